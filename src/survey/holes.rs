//! Runs of needle points → [`Heaviest`]: the 1 mm disc that takes the most needle holes, and where it lies.
//!
//! Every time the needle goes down counts, for it is thread that piles up, in however few places.
//! Method: some heaviest disc has a hole on its edge, so a disc is swept round every hole and the angles at which other
//! holes enter and leave are sorted (Chazelle and Lee, On a circle placement problem, Computing 36, 1986) [228]. Exact on the
//! holes of the machine's grid; a hole on the disc's edge counts as in it.

use std::f64::consts::{PI, TAU};
use std::ops::Range;

use kurbo::Point;
use rustc_hash::FxHashMap;

use super::needle::{Hole, Run, hole, place, sort_by_hole};
use crate::base::tolerance::GRID_MM;

/// Diameter of the disc, mm: about the hole of a 90/14 needle.
pub const DISC_MM: f64 = 1.0;
/// The most holes that a disc should take. Derived: three passes leave 3 × degree / 2 holes in a junction, which is
/// 12 where eight lines meet; beyond that thread piles up and the needle is deflected. Do not pass a line more than
/// three times, published [163].
pub const MOST_HOLES: usize = 12;
/// Angles this close are one, radians: a thousand times the rounding of an arc cosine at the edge of the disc.
const ANGLE_GUARD: f64 = 1e-7;

/// The heaviest disc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heaviest {
    /// Needle holes in the disc.
    pub holes: usize,
    /// The disc's centre, mm.
    pub at: Point,
}

/// The heaviest disc of [`DISC_MM`] over all needle points of `runs`, ties included; `None` without any.
///
/// Of equally heavy discs the one found first counts, from left to right.
#[must_use]
pub fn heaviest(runs: &[Run]) -> Option<Heaviest> {
    let holes = counted(runs);
    let patches = Patches::over(&holes);
    let swept = |(centre, own): &(Hole, usize)| sweep(*centre, *own, &patches.near(*centre));
    // What the most crowded place holds is no more than the most: discs that cannot hold it are not swept.
    let crowded = holes.iter().max_by_key(|(centre, _)| patches.most(*centre))?;
    let least = swept(crowded).holes;
    let mut best: Option<Heaviest> = None;
    for (centre, own) in &holes {
        let is_enough = |most: usize| most >= least && best.is_none_or(|b| most > b.holes);
        if !is_enough(patches.most(*centre)) {
            continue;
        }
        let near = patches.near(*centre);
        if !is_enough(own + near.iter().map(|n| n.holes).sum::<usize>()) {
            continue;
        }
        let swept = sweep(*centre, *own, &near);
        if best.is_none_or(|b| swept.holes > b.holes) {
            best = Some(swept);
        }
    }
    best.map(|b| centred(b, &holes))
}

/// Every hole with how often the needle goes down in it, from left to right, then from the bottom up.
fn counted(runs: &[Run]) -> Vec<(Hole, usize)> {
    let mut all: Vec<Hole> = runs.iter().flat_map(|r| r.points).map(|p| hole(*p)).collect();
    sort_by_hole(&mut all, |hole| *hole);
    all.chunk_by(|a, b| a == b).map(|same| (same[0], same.len())).collect()
}

/// A hole that some disc holds together with the one in hand, as seen from there.
struct Neighbour {
    across: i32,
    up: i32,
    holes: usize,
}

/// Holes by squares as wide as the disc, so that a hole's neighbours are in nine of them.
struct Patches {
    // Invariant: the holes of one square lie beside each other.
    holes: Vec<(Hole, usize)>,
    squares: FxHashMap<(i32, i32), Patch>,
}

/// One square: which of the holes are in it, and how many the nine about it hold.
#[derive(Clone, Default)]
struct Patch {
    held: Range<usize>,
    most: usize,
}

impl Patches {
    fn over(counted: &[(Hole, usize)]) -> Self {
        let mut holes = counted.to_vec();
        sort_by_hole(&mut holes, |(hole, _)| patch(*hole));
        let mut squares: FxHashMap<(i32, i32), Patch> = FxHashMap::default();
        let mut sums: Vec<((i32, i32), usize)> = Vec::new();
        let mut from = 0;
        for same in holes.chunk_by(|a, b| patch(a.0) == patch(b.0)) {
            let square = patch(same[0].0);
            squares.insert(square, Patch { held: from..from + same.len(), most: 0 });
            sums.push((square, same.iter().map(|(_, count)| count).sum()));
            from += same.len();
        }
        for (square, sum) in sums {
            for beside in nine(square) {
                if let Some(patch) = squares.get_mut(&beside) {
                    patch.most += sum;
                }
            }
        }
        Patches { holes, squares }
    }

    /// No disc with `centre` on its edge holds more than this.
    fn most(&self, centre: Hole) -> usize {
        self.squares.get(&patch(centre)).map_or(0, |patch| patch.most)
    }

    /// The other holes that are not further than the disc is wide.
    fn near(&self, centre: Hole) -> Vec<Neighbour> {
        let squares = nine(patch(centre)).filter_map(|square| self.squares.get(&square));
        let holes = squares.flat_map(|patch| &self.holes[patch.held.clone()]);
        holes
            .map(|&((x, y), holes)| Neighbour { across: x - centre.0, up: y - centre.1, holes })
            .filter(|n| (1..=width() * width()).contains(&(n.across * n.across + n.up * n.up)))
            .collect()
    }
}

/// A square and those about it.
fn nine((column, row): (i32, i32)) -> impl Iterator<Item = (i32, i32)> {
    (-1..=1).flat_map(move |i| (-1..=1).map(move |j| (column + i, row + j)))
}

/// The disc's width in steps of the machine.
#[expect(clippy::cast_possible_truncation, reason = "ten")]
fn width() -> i32 {
    (DISC_MM / GRID_MM).round() as i32
}

fn patch(hole: Hole) -> (i32, i32) {
    (hole.0.div_euclid(width()), hole.1.div_euclid(width()))
}

/// The heaviest disc with `centre` on its edge.
fn sweep(centre: Hole, own: usize, near: &[Neighbour]) -> Heaviest {
    // A neighbour is in the disc while the disc's centre, seen from the hole in hand, lies within `half` of it.
    let mut turns: Vec<(f64, bool, usize)> = Vec::with_capacity(2 * near.len());
    let mut now = own;
    for n in near {
        let (x, y) = (f64::from(n.across), f64::from(n.up));
        let half = (x.hypot(y) / f64::from(width())).min(1.0).acos() + ANGLE_GUARD;
        let (enters, leaves) = (wrapped(y.atan2(x) - half), wrapped(y.atan2(x) + half));
        if enters > leaves {
            now += n.holes;
        }
        // `false` sorts first: at one angle holes enter before others leave, for the edge belongs to the disc.
        turns.push((enters, false, n.holes));
        turns.push((leaves, true, n.holes));
    }
    turns.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    // The sweep starts, and ends, with the disc to the left.
    let mut best = (now, PI);
    for (angle, is_leaving, holes) in turns {
        now = if is_leaving { now - holes } else { now + holes };
        if now > best.0 {
            best = (now, angle + ANGLE_GUARD);
        }
    }
    let at = place(centre) + kurbo::Vec2::from_angle(best.1) * (DISC_MM / 2.0);
    Heaviest { holes: best.0, at }
}

/// An angle in (−π, π].
fn wrapped(angle: f64) -> f64 {
    if angle > PI {
        angle - TAU
    } else if angle <= -PI {
        angle + TAU
    } else {
        angle
    }
}

/// The disc moved to the middle of its holes, where it still holds them all: a single hole is named by its own place.
#[expect(clippy::cast_precision_loss, reason = "counts of stitches are far below 2^52")]
fn centred(disc: Heaviest, holes: &[(Hole, usize)]) -> Heaviest {
    let held = |at: Point| {
        let is_held = move |h: &Hole| place(*h).distance(at) <= DISC_MM / 2.0 + ANGLE_GUARD;
        holes.iter().filter(move |(h, _)| is_held(h))
    };
    let sum = held(disc.at).fold(kurbo::Vec2::ZERO, |sum, (h, n)| sum + place(*h).to_vec2() * *n as f64);
    let middle = (sum / disc.holes as f64).to_point();
    let stays = held(middle).map(|(_, n)| n).sum::<usize>() == disc.holes;
    if stays { Heaviest { at: middle, ..disc } } else { disc }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::{Strategy, prop, prop_assert, prop_assert_eq, proptest};

    fn heaviest_of(points: &[(f64, f64)]) -> Heaviest {
        let points: Vec<Point> = points.iter().map(|p| Point::from(*p)).collect();
        heaviest(&[Run { points: &points, tie_in: 0, tie_off: 0 }]).unwrap()
    }

    #[test]
    fn a_triple_line_puts_three_strikes_in_its_inner_holes() {
        let line = [0.0, 2.5, 0.0, 2.5, 5.0, 2.5, 5.0, 7.5, 5.0, 7.5].map(|x| (x, 0.0));
        assert_eq!(heaviest_of(&line), Heaviest { holes: 3, at: Point::new(2.5, 0.0) });
    }

    #[test]
    fn eight_lines_that_meet_reach_the_limit() {
        // Four triple lines through one point: three holes each.
        let mut points = Vec::new();
        for (x, y) in [(2.0, 0.0), (0.0, 2.0), (1.5, 1.5), (-1.5, 1.5)] {
            points.extend([(-x, -y), (0.0, 0.0), (-x, -y), (0.0, 0.0), (x, y), (0.0, 0.0), (x, y)]);
        }
        assert_eq!(heaviest_of(&points), Heaviest { holes: MOST_HOLES, at: Point::ZERO });
    }

    #[test]
    fn holes_exactly_a_disc_apart_are_held_together() {
        assert_eq!(heaviest_of(&[(0.0, 0.0), (1.0, 0.0)]).holes, 2);
        assert_eq!(heaviest_of(&[(0.0, 0.0), (0.6, 0.8)]).holes, 2);
        assert_eq!(heaviest_of(&[(0.0, 0.0), (1.1, 0.0)]).holes, 1);
        // The four corners of a 0.6 × 0.8 rectangle lie on one circle of 1 mm.
        assert_eq!(heaviest_of(&[(0.0, 0.0), (0.6, 0.0), (0.6, 0.8), (0.0, 0.8)]).holes, 4);
    }

    #[test]
    fn one_strike_is_a_disc_of_one_at_its_hole() {
        assert_eq!(heaviest_of(&[(-3.2, 7.1)]), Heaviest { holes: 1, at: Point::new(-3.2, 7.1) });
        assert_eq!(heaviest(&[]), None);
    }

    /// The heaviest disc by trying every circle through two holes, and every hole alone.
    fn by_trying(points: &[Point]) -> usize {
        let count = |c: Point| points.iter().filter(|p| p.distance(c) <= DISC_MM / 2.0 + 1e-9).count();
        let mut best = points.iter().map(|p| count(*p)).max().unwrap_or(0);
        for a in points {
            for b in points {
                let apart = a.distance(*b);
                if apart > 0.0 && apart <= DISC_MM + 1e-9 {
                    let rise = ((DISC_MM * DISC_MM - apart * apart).max(0.0)).sqrt() / 2.0;
                    let side = kurbo::Vec2::new(a.y - b.y, b.x - a.x) * (rise / apart);
                    best = best.max(count(a.midpoint(*b) + side));
                }
            }
        }
        best
    }

    fn crowd() -> impl Strategy<Value = Vec<Point>> {
        let one = (-15i32..15, -15i32..15).prop_map(|(x, y)| place((x, y)));
        prop::collection::vec(one, 1..60)
    }

    proptest! {
        #[test]
        fn no_disc_is_heavier(points in crowd()) {
            let found = heaviest(&[Run { points: &points, tie_in: 0, tie_off: 0 }]).unwrap();
            prop_assert_eq!(found.holes, by_trying(&points));
            let held = points.iter().filter(|p| p.distance(found.at) <= DISC_MM / 2.0 + 2e-7).count();
            prop_assert!(held == found.holes, "{} of {} are in the disc", held, found.holes);
        }
    }
}
