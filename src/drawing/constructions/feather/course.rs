//! The course of a spray's spine: from one corner to the farthest other, along the middle of the outline, swinging about it.

use kurbo::{Point, Vec2};
use std::f64::consts::{PI, TAU};

use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain;
use crate::block::region::Region;
use crate::drawing::constructions::plume::guide::Guide;

/// The two corners farthest apart: the lower one is the base. On a round outline, the ends of the way that rises most evenly
/// among the longest.
pub fn ends(region: &Region) -> Option<(Point, Point)> {
    const NEARLY: f64 = 1e-6;
    let corners = region.outer.corners();
    if corners.len() < 2 {
        return round_ends(region.outer.points());
    }
    let mut best: Option<(f64, Point, Point)> = None;
    for (i, p) in corners.iter().enumerate() {
        for q in &corners[i + 1..] {
            let (p, q) = if (p.y, p.x) <= (q.y, q.x) { (*p, *q) } else { (*q, *p) };
            let away = p.distance(q);
            // Between equals, the base farthest to the left.
            let better =
                best.is_none_or(|b| away > b.0 + NEARLY || (away > b.0 - NEARLY && p.x < b.1.x - NEARLY));
            if better {
                best = Some((away, p, q));
            }
        }
    }
    best.map(|(_, base, tip)| (base, tip))
}

/// The two points of a round outline that lie farthest apart; of all that lie nearly as far, those farthest to the lower left
/// and the upper right of each other.
fn round_ends(ring: &[Point]) -> Option<(Point, Point)> {
    const LOOKED_AT: usize = 120;
    const NEARLY: f64 = 0.99;
    let some: Vec<Point> = ring.iter().step_by(ring.len().div_ceil(LOOKED_AT)).copied().collect();
    let pairs = || some.iter().flat_map(|p| some.iter().map(move |q| (*p, *q)));
    let longest = pairs().map(|(p, q)| p.distance(q)).fold(0.0, f64::max);
    let rising = |(p, q): &(Point, Point)| (*q - *p).dot(Vec2::new(1.0, 1.0));
    pairs().filter(|(p, q)| p.distance(*q) > NEARLY * longest).max_by(|a, b| rising(a).total_cmp(&rising(b)))
}

/// The spine from base to tip: along the middle of the outline, evened out, and swinging about it.
///
/// A positive swing makes an S, a negative one a C; it is given as a share of the half width.
pub fn spine(outline: &[Point], base: Point, tip: Point, swing: f64) -> Option<Guide> {
    const STATIONS: usize = 64;
    let axis = tip - base;
    let across = left_of(unit(axis));
    let banks = banks(outline, base, tip)?;
    // The middle as waves of least squares, which keep its ends: sin(kπt), k up to 3.
    let (mut waves, mut half) = ([0.0; 3], 0.0);
    for i in 1..STATIONS {
        let t = i as f64 / STATIONS as f64;
        let at = base + axis * t;
        let section = section(outline, at, across)?;
        let middle = middle(at, across, section, &banks);
        for (k, wave) in waves.iter_mut().enumerate() {
            *wave += middle * (PI * t * (k + 1) as f64).sin() * 2.0 / STATIONS as f64;
        }
        half += (section.1 - section.0) / 2.0 / STATIONS as f64;
    }
    // A spine that bows already swings the less.
    let swing = swing * (1.0 - waves[0].abs() / half).max(0.0);
    let held = held(&banks);
    let swung = |t: f64| {
        let bell = (PI * t).sin().max(0.0);
        if swing < 0.0 { bell.powf(1.0 + held / 2.0) } else { (TAU * t).sin() * bell.powf(held) }
    };
    let most = (0..STATIONS).map(|i| swung(i as f64 / STATIONS as f64)).fold(0.0, f64::max);
    let offset = |t: f64| {
        let middle = waves.iter().enumerate().map(|(k, a)| a * (PI * t * (k + 1) as f64).sin()).sum::<f64>();
        middle - half * swing.abs() * swung(t) / most
    };
    let steps = (axis.hypot() / 0.2).ceil().max(64.0) as usize;
    let point = |i: usize| {
        let t = i as f64 / steps as f64;
        base + axis * t + across * offset(t)
    };
    Guide::open(&(0..=steps).map(point).collect::<Vec<_>>())
}

/// How steadily the swing dies away towards both ends, as a power of the bell between them.
///
/// 2 where an end lies in a right angle or a sharper corner, in whose middle the spine has to begin; 0 where both ends are flat
/// and the spine may bend evenly all the way.
fn held([right, left]: &[Vec<Point>; 2]) -> f64 {
    let corner = |before: &[Point], after: &[Point]| match (before, after) {
        ([.., p, q], [_, r, ..]) => turn_deg(*q - *p, *r - *q).abs(),
        _ => 0.0,
    };
    2.0 * (corner(right, left).max(corner(left, right)) / 90.0).min(1.0).powi(2)
}

/// The outline to the right of the way from base to tip, and to the left of it.
pub fn banks(outline: &[Point], base: Point, tip: Point) -> Option<[Vec<Point>; 2]> {
    let nearest = |p: Point| {
        (0..outline.len()).min_by(|i, j| outline[*i].distance(p).total_cmp(&outline[*j].distance(p)))
    };
    let (from, to) = (nearest(base)?, nearest(tip)?);
    let n = outline.len();
    let walk = |i: usize, j: usize| (0..=(j + n - i) % n).map(|k| outline[(i + k) % n]).collect();
    Some([walk(from, to), walk(to, from)])
}

/// How far along `across` from `at` both banks are equally far away.
fn middle(at: Point, across: Vec2, (mut low, mut high): (f64, f64), [right, left]: &[Vec<Point>; 2]) -> f64 {
    const HALVINGS: usize = 16;
    for _ in 0..HALVINGS {
        let y = f64::midpoint(low, high);
        let p = at + across * y;
        if chain::distance_to_chain(p, left) > chain::distance_to_chain(p, right) {
            low = y;
        } else {
            high = y;
        }
    }
    f64::midpoint(low, high)
}

/// How far the outline reaches from `p` against and along `across`: the part of the section that holds `p`, or the nearest.
fn section(outline: &[Point], p: Point, across: Vec2) -> Option<(f64, f64)> {
    let mut cuts: Vec<f64> = chain::sides(outline)
        .filter_map(|(a, b)| {
            let (f, g) = (across.cross(a - p), across.cross(b - p));
            ((f > 0.0) != (g > 0.0)).then(|| (a.lerp(b, f / (f - g)) - p).dot(across))
        })
        .collect();
    cuts.sort_by(f64::total_cmp);
    let away = |pair: &&[f64]| if pair[0] > 0.0 { pair[0] } else { (-pair[1]).max(0.0) };
    cuts.chunks_exact(2).min_by(|a, b| away(a).total_cmp(&away(b))).map(|pair| (pair[0], pair[1]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_course_through_a_square_is_its_diagonal() {
        let square = [(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)].map(Point::from);
        let spine = spine(&square, square[0], square[2], 0.0).unwrap();
        assert!((spine.length() - 80.0 * 2f64.sqrt()).abs() < 1e-3, "{}", spine.length());
        let s = super::spine(&square, square[0], square[2], 0.2).unwrap();
        assert!(s.at(0.0).0 == square[0] && s.at(1e9).0 == square[2]);
        let middle = s.at(s.length() / 2.0).0;
        assert!(
            middle.distance(Point::new(40.0, 40.0)) < 0.1,
            "an S passes through the middle, not {middle}"
        );
    }

    #[test]
    fn in_a_half_square_the_spine_keeps_off_both_sides_alike() {
        let half = [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)].map(Point::from);
        let spine = spine(&half, half[1], half[2], 0.2).unwrap();
        let p = spine.at(spine.length() / 4.0).0;
        let (leg, long) = (p.y, (100.0 - p.x - p.y) / 2f64.sqrt());
        assert!((leg / long - 1.0).abs() < 0.25, "{leg} from the leg, {long} from the long side");
    }
}
