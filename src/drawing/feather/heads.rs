//! Heads spaced evenly along a line of their own, a head's radius inside an outline.
//!
//! Where a whole number of plumes fits every side nearly alike, a head stands in each corner and touches both sides.
//! Else the line is rounded in its corners, the more the sharper they are, and the heads stand evenly all along.

use kurbo::Point;

use super::feet::Head;
use super::guide::Guide;
use super::hull;
use crate::base::angle::turn_deg;
use crate::base::chain;

/// How far the spacing along one side may differ from that along another for heads to stand in the corners.
pub const UNEVEN: f64 = 1.08;

/// A corner that turns by more than this is too sharp for a head of its own, degrees.
const SHARP_DEG: f64 = 100.0;

/// Heads inside a ring, counter-clockwise, about `width` apart; `None` where there is no room for them.
///
/// `rounding` (in widths) is how far the line is rounded where no heads stand in the corners.
pub fn inside(ring: &[Point], width: f64, fullness: f64, rounding: f64, fewest: f64) -> Option<Vec<Head>> {
    cornered(ring, width, fullness).or_else(|| flowing(ring, width, fullness, rounding, fewest))
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

/// Heads evenly along a rounded line.
fn flowing(ring: &[Point], width: f64, fullness: f64, rounding: f64, fewest: f64) -> Option<Vec<Head>> {
    let rounding = rounding * width;
    let mut radius = width * fullness / 2.0;
    let mut heads = Vec::new();
    for _ in 0..4 {
        let line = hull::inset(ring, radius + rounding).and_then(|r| hull::outset(&r, rounding))?;
        let guide = Guide::closed(&line)?;
        let count = (guide.length() / width).round().max(fewest);
        let step = guide.length() / count;
        radius = step / 2.0 * fullness;
        heads = (0..count as usize).map(|i| Head { centre: guide.at(i as f64 * step).0, radius }).collect();
    }
    Some(heads)
}

/// The ring without points in the middle of a straight side.
fn clean(ring: &[Point]) -> Vec<Point> {
    let n = ring.len();
    let bend = |i: usize| turn_deg(ring[i] - ring[(i + n - 1) % n], ring[(i + 1) % n] - ring[i]).abs();
    (0..n).filter(|i| bend(*i) > 0.01).map(|i| ring[i]).collect()
}
