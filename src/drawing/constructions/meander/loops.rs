//! Loops thrown into a line: here and there it goes once round before it goes on, and the passes beside it make room.

use std::f64::consts::TAU;

use kurbo::{Point, Vec2};
use oorandom::Rand64;
use serde::Deserialize;

use super::cells::pick;
use super::discs::Disc;
use super::fence::{Fence, whole};
use super::near::Near;
use super::relax::{Ground, make_room};
use super::simple::{crossings, is_simple};
use crate::base::angle::{left_of, turn_deg, unit};
use crate::block::region::Region;

/// The size and number of loops; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loops {
    /// The least and the largest radius.
    radius: [f64; 2],
    /// How far loops keep off the line and off each other.
    clear: f64,
    /// The least distance between the middles of loops.
    apart: f64,
    /// No loop is thrown in where the line turns by more than this under it, degrees: it would be lopsided.
    bent: f64,
}

/// How unevenly a loop turns: 0 makes it a circle that stands on the line, 1 an e that leaves and meets the line gently.
const SWAY: f64 = 0.5;

/// How far a loop moves on, as a part of its length: the first Bessel function J₁ at [`SWAY`].
const FOOT: f64 = 0.242_268;

/// Points round a loop.
const ROUND: usize = 24;

/// There is no loop where it would be smaller than this part of the least radius, or begin with less room than this part of its own.
const SMALLEST: f64 = 0.7;

/// A loop that meets another part of the line is made smaller by this, and so often.
const SHRINK: f64 = 0.8;

/// See [`SHRINK`].
const SHRINKINGS: usize = 12;

/// The line with loops scattered over it, as large as there is room; `None` if there is no room for any.
#[must_use]
pub fn throw_in(
    points: &[Point],
    closed: bool,
    spacing: f64,
    region: &Region,
    ground: &Ground<'_>,
    loops: &Loops,
    random: &mut Rand64,
) -> Option<Vec<Point>> {
    let mut discs = places(points, closed, spacing, region, loops, random);
    let first = discs.clone();
    let mut line = make_room(points, ground, &mut discs);
    if !is_simple(&line, closed) {
        (line, discs) = (points.to_vec(), first);
    }
    let rooms = rooms(&line, closed, 4.0 * loops.radius[1] * spacing, region);
    for disc in &mut discs {
        let room = rooms[disc.at][usize::from(disc.side < 0.0)];
        disc.radius = disc.radius.min(room - 0.5 * disc.clear);
    }
    // Loops stand apart on the line, and not at its ends, also after it has been moved.
    let step = line[0].distance(line[1]);
    let mut free = 1;
    discs.retain(|disc| {
        let foot = foot(disc, step);
        let fits = disc.at >= free + foot && disc.at + foot + 1 < line.len();
        free = if fits { disc.at + foot + 1 } else { free };
        fits
    });
    let least = SMALLEST * loops.radius[0] * spacing;
    for _ in 0..SHRINKINGS {
        discs.retain(|disc| disc.radius > least);
        let (looped, spans) = with_loops(&line, &discs);
        let wrong = wrong(&looped, closed, &spans, region);
        if !wrong.contains(&true) {
            return (!discs.is_empty()).then_some(looped);
        }
        for (disc, _) in discs.iter_mut().zip(wrong).filter(|(_, wrong)| *wrong) {
            disc.radius *= SHRINK;
        }
    }
    None
}

/// For each loop, from its first point to its last, whether it crosses anything but itself, itself not just once, or the edge.
fn wrong(line: &[Point], closed: bool, spans: &[(usize, usize)], region: &Region) -> Vec<bool> {
    let of = |i: usize| spans.iter().position(|(from, to)| (*from..*to).contains(&i));
    let mut own = vec![0; spans.len()];
    let is_out = |(from, to): &(usize, usize)| line[*from..=*to].iter().any(|p| !region.contains(*p));
    let mut wrong: Vec<bool> = spans.iter().map(is_out).collect();
    for (i, j) in crossings(line, closed) {
        match (of(i), of(j)) {
            (Some(k), Some(l)) if k == l => own[k] += 1,
            (k, l) => k.into_iter().chain(l).for_each(|k| wrong[k] = true),
        }
    }
    wrong.iter().zip(own).map(|(wrong, own)| *wrong || own != 1).collect()
}

/// How many points of the line on either side of a disc its loop takes the place of.
fn foot(disc: &Disc, step: f64) -> usize {
    whole((0.5 * FOOT * disc.radius * TAU / step).round()).max(1)
}

/// The line with a loop on every disc, and the first and the last point of each loop.
fn with_loops(points: &[Point], discs: &[Disc]) -> (Vec<Point>, Vec<(usize, usize)>) {
    let step = points[0].distance(points[1]);
    let shape = shape();
    let (mut line, mut spans) = (Vec::new(), Vec::new());
    let mut done = 0;
    for disc in discs {
        let foot = foot(disc, step);
        let (from, to) = (disc.at - foot, disc.at + foot);
        line.extend_from_slice(&points[done..from]);
        let start = line.len();
        push_loop(points, from, to, disc, &shape, &mut line);
        spans.push((start, line.len() - 1));
        done = to + 1;
    }
    line.extend_from_slice(&points[done..]);
    (line, spans)
}

/// The loop that leaves the line at its point `from` and joins it again at `to`, in the line's direction at both.
fn push_loop(points: &[Point], from: usize, to: usize, disc: &Disc, shape: &[Point], line: &mut Vec<Point>) {
    let way = |i: usize| points[i + 1] - points[i - 1];
    let (a, b) = (way(from), way(to));
    let (start, turn) = (a.atan2(), turn_deg(a, b).to_radians());
    let chord = points[to] - points[from];
    let scale = disc.radius * TAU;
    for (k, p) in shape.iter().enumerate() {
        let u = k as f64 / ROUND as f64;
        // The foot goes evenly along an arc, and the loop leans over with it.
        let bulge = left_of(chord) * (-0.5 * turn.tan().clamp(-1.0, 1.0) * u * (1.0 - u));
        let along = Vec2::from_angle(start + u * turn);
        let away = Vec2::new(p.x - u * shape[ROUND].x, p.y * disc.side) * scale;
        line.push(points[from] + chord * u + bulge + along * away.x + left_of(along) * away.y);
    }
}

/// A loop to the left of a line along x, from 0,0, of length 1: its direction turns by φ − sway · sin φ.
fn shape() -> Vec<Point> {
    const FINE: usize = 8;
    let mut at = Point::ZERO;
    let mut points = vec![at];
    for k in 0..ROUND * FINE {
        let phase = TAU * (k as f64 + 0.5) / (ROUND * FINE) as f64;
        at += Vec2::from_angle(phase - SWAY * phase.sin()) / (ROUND * FINE) as f64;
        if (k + 1) % FINE == 0 {
            points.push(at);
        }
    }
    points
}

/// Places for loops in random order, each kept if it is apart from those before; then in the order of the line.
fn places(
    points: &[Point],
    closed: bool,
    spacing: f64,
    region: &Region,
    loops: &Loops,
    random: &mut Rand64,
) -> Vec<Disc> {
    let n = points.len();
    let step = points[0].distance(points[1]);
    let largest = loops.radius[1] * spacing;
    let rooms = rooms(points, closed, 2.0 * largest, region);
    let margin = whole(2.0 * largest / step) + 3;
    let mut order: Vec<usize> = (margin..n.saturating_sub(margin)).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, pick(random, i + 1));
    }
    let way = |i: usize| points[i + 1] - points[i - 1];
    let mut chosen: Vec<(Disc, Point)> = Vec::new();
    for at in order {
        let [left, right] = rooms[at];
        let side = if left >= right { 1.0 } else { -1.0 };
        let radius = spacing * (loops.radius[0] + (loops.radius[1] - loops.radius[0]) * random.rand_float());
        let foot = whole(largest / step).max(1) + 1;
        if left.max(right) < SMALLEST * radius || turn_deg(way(at - foot), way(at + foot)).abs() > loops.bent
        {
            continue;
        }
        let middle = points[at] + normal(points, at) * (side * radius);
        let apart = |(other, q): &(Disc, Point)| {
            other.at.abs_diff(at) > 2 * foot && q.distance(middle) >= loops.apart * spacing
        };
        if chosen.iter().all(apart) {
            chosen.push((Disc { at, side, radius, clear: loops.clear * spacing }, middle));
        }
    }
    chosen.sort_by_key(|(disc, _)| disc.at);
    chosen.into_iter().map(|(disc, _)| disc).collect()
}

/// The direction to the left of a closed line at a point.
fn normal(points: &[Point], i: usize) -> Vec2 {
    let n = points.len();
    left_of(unit(points[(i + 1) % n] - points[(i + n - 1) % n]))
}

/// For each point the radii of the largest circles tangent to the line there, on its left and right, that reach no other
/// part of the line and no edge; at most half of `reach`.
fn rooms(points: &[Point], closed: bool, reach: f64, region: &Region) -> Vec<[f64; 2]> {
    let n = points.len();
    let fence = Fence::new(region, reach);
    let mut rooms = vec![[reach / 2.0; 2]; n];
    let mut limit = |i: usize, q: Point| {
        let away: Vec2 = q - points[i];
        let side = away.dot(normal(points, i));
        // The circle tangent to the line that just reaches `q`.
        let radius = away.hypot2() / (2.0 * side.abs().max(1e-9));
        let room = &mut rooms[i][usize::from(side < 0.0)];
        *room = room.min(radius);
    };
    Near::new(points, reach).each_pair(|i, j| {
        let along = i.abs_diff(j);
        let along = if closed { along.min(n - along) } else { along };
        if along > 2 {
            limit(i, points[j]);
            limit(j, points[i]);
        }
    });
    for (i, p) in points.iter().enumerate() {
        if let Some(q) = fence.nearest(*p) {
            limit(i, q);
        }
    }
    rooms
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_loop_goes_once_round_and_ends_on_the_line_in_its_direction() {
        let shape = shape();
        assert_eq!(shape.len(), ROUND + 1);
        assert!(
            (shape[ROUND].x - FOOT).abs() < 1e-4 && shape[ROUND].y.abs() < 1e-9,
            "ends at {}",
            shape[ROUND]
        );
        assert_eq!(crossings(&shape, false).len(), 1);
        let first = shape[1] - shape[0];
        let last = shape[ROUND] - shape[ROUND - 1];
        assert!((turn_deg(first, last) + 2.0 * first.atan2().to_degrees()).abs() < 0.1, "{first} {last}");
    }

    #[test]
    fn loops_stand_on_a_bent_line_without_a_kink() {
        let arc = |i: u32| Point::ZERO + 40.0 * Vec2::from_angle(f64::from(i) / 40.0);
        let points: Vec<Point> = (0..100).map(arc).collect();
        let disc = |at: usize, side: f64| Disc { at, side, radius: 6.0, clear: 1.0 };
        let (line, spans) = with_loops(&points, &[disc(30, 1.0), disc(65, -1.0)]);
        let turn = |i: usize| turn_deg(line[i] - line[i - 1], line[i + 1] - line[i]).abs();
        let sharpest = (1..line.len() - 1).map(turn).fold(0.0, f64::max);
        assert!(sharpest < 25.0, "a turn of {sharpest}°");
        let square = [(-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0)].map(Point::from);
        let region =
            Region { outer: crate::block::region::Ring::from_points(&square).unwrap(), holes: Vec::new() };
        assert_eq!(wrong(&line, false, &spans, &region), [false, false]);
    }
}
