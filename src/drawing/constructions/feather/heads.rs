//! Heads spaced evenly along a line of their own, a head's radius inside an outline.
//!
//! Where a whole number of plumes fits every side nearly alike, a head stands in each corner and touches both sides.
//! Else the outline is rounded in its corners, and heads hang on it all along, larger where longer plumes reach into a corner:
//! so fewer of them meet there.

use kurbo::Point;

use super::feet::Head;
use crate::base::angle::{left_of, turn_deg};
use crate::base::chain;
use crate::drawing::constructions::plume::guide::Guide;
use crate::drawing::constructions::plume::hull;

/// How far the spacing along one side may differ from that along another for heads to stand in the corners.
pub const UNEVEN: f64 = 1.08;

/// A corner that turns by more than this is too sharp for a head of its own, degrees.
const SHARP_DEG: f64 = 100.0;

/// By how much the size may change over a plume's width.
const STEEPEST: f64 = 0.2;

/// Which heads are wanted.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    /// From one head to the next, mm.
    pub width: f64,
    /// The diameter of a head as a share of that.
    pub fullness: f64,
    /// How far the line is rounded where no heads stand in the corners, in widths.
    pub rounding: f64,
    /// The fewest heads.
    pub fewest: f64,
    /// How often the ring repeats, as far as its corners tell.
    pub folds: f64,
    /// Where the first head stands if none stand in the corners.
    pub begin: Point,
}

/// A whole number of plumes, one that lets them repeat as often as the block does if that stretches them by little.
pub fn whole(asked: f64, folds: f64, fewest: f64) -> f64 {
    const LITTLE: f64 = 0.1;
    let folded = (asked / folds).round() * folds;
    let count = if (folded / asked - 1.0).abs() <= LITTLE { folded } else { asked.round() };
    count.max(fewest)
}

/// Heads inside a ring, counter-clockwise, of `size` times the full size where the ring has a point; `None` where there is no
/// room for them.
pub fn inside(ring: &[Point], wanted: &Wanted, size: &impl Fn(Point) -> f64) -> Option<Vec<Head>> {
    cornered(ring, wanted.width, wanted.fullness).or_else(|| flowing(ring, wanted, size))
}

/// Heads in all the corners, and evenly along the sides between them.
fn cornered(ring: &[Point], width: f64, fullness: f64) -> Option<Vec<Head>> {
    let mut radius = width * fullness / 2.0;
    let mut heads = Vec::new();
    for _ in 0..4 {
        let corners = clean(&hull::inset(ring, radius)?);
        let n = corners.len();
        let turns = (0..n)
            .map(|i| turn_deg(corners[i] - corners[(i + n - 1) % n], corners[(i + 1) % n] - corners[i]));
        if n > 10 || turns.into_iter().any(|t| !(20.0..SHARP_DEG).contains(&t)) {
            return None;
        }
        let sides: Vec<f64> = chain::sides(&corners).map(|(a, b)| a.distance(b)).collect();
        let (steps, uneven) = (0..=40)
            .map(|k| {
                let try_width = width * (0.88 + 0.006 * f64::from(k));
                let steps: Vec<f64> = sides.iter().map(|s| s / (s / try_width).round().max(1.0)).collect();
                let most = steps.iter().copied().fold(0.0, f64::max);
                let least = steps.iter().copied().fold(f64::INFINITY, f64::min);
                let off = (most / least).max(1.0) - 1.0;
                (steps, off, off + 0.5 * (try_width / width - 1.0).abs())
            })
            .min_by(|a, b| a.2.total_cmp(&b.2))
            .map(|(steps, off, _)| (steps, off + 1.0))?;
        if uneven > UNEVEN {
            return None;
        }
        radius = steps.iter().sum::<f64>() / steps.len() as f64 / 2.0 * fullness;
        heads.clear();
        for ((a, b), (side, step)) in chain::sides(&corners).zip(sides.iter().zip(&steps)) {
            let count = (side / step).round() as usize;
            heads.extend((0..count).map(|i| Head { centre: a.lerp(b, i as f64 / count as f64), radius }));
        }
    }
    Some(heads)
}

/// Heads that hang on the rounded outline, evenly as their sizes go.
fn flowing(ring: &[Point], wanted: &Wanted, size: &impl Fn(Point) -> f64) -> Option<Vec<Head>> {
    const STRIDE_MM: f64 = 1.0;
    const TIMES: usize = 3;
    let Wanted { width, fullness, .. } = *wanted;
    let full = width * fullness / 2.0;
    let round = full + wanted.rounding * width;
    let touch = Guide::closed(&hull::inset(ring, round).and_then(|r| hull::outset(&r, round))?)?;
    let begin = touch.nearest(wanted.begin);
    let n = (touch.length() / STRIDE_MM).ceil() as usize;
    let stride = touch.length() / n as f64;
    let on = |i: f64| touch.at(begin + stride * i);
    let sizes = gentle((0..n).map(|i| size(on(i as f64).0)).collect(), stride / width);
    let sized = |i: f64| {
        let (before, t) = (i.floor() as usize, i.fract());
        sizes[before % n] + (sizes[(before + 1) % n] - sizes[before % n]) * t
    };
    let hung = |i: f64, share: f64| {
        let ((p, way), radius) = (on(i), full * sized(i) * share);
        Head { centre: p + left_of(way) * radius, radius }
    };
    let mut share = 1.0;
    let mut heads = Vec::new();
    for _ in 0..TIMES {
        let mut gone = vec![0.0];
        for i in 0..n {
            let [a, b] = [i, i + 1].map(|i| hung(i as f64, share).centre);
            gone.push(gone[i] + a.distance(b) / width / sized(i as f64 + 0.5));
        }
        let count = whole(gone[n], wanted.folds, wanted.fewest);
        share = gone[n] / count;
        let place = |k: usize| {
            let along = k as f64 * share;
            let i = gone.partition_point(|g| *g <= along).clamp(1, n);
            (i - 1) as f64 + (along - gone[i - 1]) / (gone[i] - gone[i - 1])
        };
        heads = (0..count as usize).map(|k| hung(place(k), share)).collect();
    }
    Some(heads)
}

/// Sizes round a ring, lowered until they change gently from plume to plume; neighbours are `step` plume widths apart.
fn gentle(mut sizes: Vec<f64>, step: f64) -> Vec<f64> {
    let n = sizes.len();
    for k in 1..2 * n {
        let (i, j) = (k % n, (2 * n - k) % n);
        sizes[i] = sizes[i].min(sizes[(i + n - 1) % n] + STEEPEST * step);
        sizes[j] = sizes[j].min(sizes[(j + 1) % n] + STEEPEST * step);
    }
    sizes
}

/// The ring without points in the middle of a straight side.
fn clean(ring: &[Point]) -> Vec<Point> {
    let n = ring.len();
    let bend = |i: usize| turn_deg(ring[i] - ring[(i + n - 1) % n], ring[(i + 1) % n] - ring[i]).abs();
    (0..n).filter(|i| bend(*i) > 0.01).map(|i| ring[i]).collect()
}
