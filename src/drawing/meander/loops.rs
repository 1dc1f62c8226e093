//! Loops thrown into a line: where there is room beside it, it goes once round before it goes on.

use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::fence::{Fence, whole};
use super::simple::each_near;
use crate::base::angle::{left_of, turn_deg, unit};
use crate::block::region::Region;

/// The size and number of loops; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loops {
    /// The least and largest radius.
    radius: [f64; 2],
    /// How much of the free room beside the line a loop takes, as a part of the room's radius.
    room: f64,
    /// The least distance along the line from loop to loop.
    apart: f64,
    /// The least distance between loops that do not lie on neighbouring stretches of line.
    clear: f64,
    /// The length of line that a loop begins and ends on, in parts of its radius.
    foot: f64,
}

/// No loop is thrown in where the line turns by more than this under its foot, degrees: the loop would be lopsided.
const BENT_DEG: f64 = 45.0;

struct Place {
    at: usize,
    side: f64,
    radius: f64,
}

/// The line with loops in the widest places, none nearer to the next than asked for.
#[must_use]
pub fn throw_in(points: &[Point], closed: bool, spacing: f64, region: &Region, loops: &Loops) -> Vec<Point> {
    let step = points[0].distance(points[1]);
    let places = places(points, closed, spacing, step, region, loops);
    let mut line = Vec::new();
    let mut done = 0;
    for place in &places {
        let foot = whole((loops.foot * place.radius / step).ceil()).max(1);
        let (from, to) = (place.at - foot, place.at + foot);
        line.extend_from_slice(&points[done..from]);
        let steps = whole(std::f64::consts::TAU * place.radius / step).max(9) * 2;
        for k in 0..=steps {
            let u = k as f64 / steps as f64;
            line.push(on_loop(points, place, from as f64 + u * (to - from) as f64, u));
        }
        done = to + 1;
    }
    line.extend_from_slice(&points[done..]);
    line
}

/// A point of a loop: the foot moves on evenly while the loop is gone round once, slowly at first and last.
fn on_loop(points: &[Point], place: &Place, index: f64, u: f64) -> Point {
    let i = whole(index).min(points.len() - 2);
    let foot = points[i].lerp(points[i + 1], index - i as f64);
    let along = unit(points[place.at + 1] - points[place.at - 1]);
    let up = left_of(along) * place.side;
    let turn = std::f64::consts::TAU * u * u * (3.0 - 2.0 * u);
    foot + along * (place.radius * turn.sin()) + up * (place.radius * (1.0 - turn.cos()))
}

/// The widest places first come, first served; then in the order of the line.
fn places(
    points: &[Point],
    closed: bool,
    spacing: f64,
    step: f64,
    region: &Region,
    loops: &Loops,
) -> Vec<Place> {
    let n = points.len();
    let rooms = rooms(points, closed, 2.0 * loops.radius[1] / loops.room * spacing, region);
    let radius = |room: f64| (room * loops.room).min(loops.radius[1] * spacing);
    let mut wide: Vec<Place> = (0..n)
        .flat_map(|at| [(at, 1.0, rooms[at][0]), (at, -1.0, rooms[at][1])])
        .map(|(at, side, room)| Place { at, side, radius: radius(room) })
        .filter(|p| p.radius >= loops.radius[0] * spacing)
        .collect();
    wide.sort_by(|p, q| q.radius.total_cmp(&p.radius).then(p.at.cmp(&q.at)));
    let margin = whole(loops.foot * loops.radius[1] * spacing / step) + 3;
    let apart = whole(loops.apart * spacing / step).max(2 * margin);
    let centre = |p: &Place| points[p.at] + normal(points, p.at) * (p.side * p.radius);
    let way = |i: usize| points[i + 1] - points[i - 1];
    let mut chosen: Vec<Place> = Vec::new();
    for place in wide {
        let at = place.at;
        let ends = at < margin || at + margin >= n;
        // Loops thrown into the same room from both of its sides would run into each other.
        let crowds = |c: &Place| {
            let clear = c.radius + place.radius + loops.clear * spacing;
            c.at.abs_diff(at) < apart || centre(c).distance(centre(&place)) < clear
        };
        let foot = margin - 2;
        let bent = || turn_deg(way(at - foot), way(at + foot)).abs() > BENT_DEG;
        if !ends && !bent() && !chosen.iter().any(crowds) {
            chosen.push(place);
        }
    }
    chosen.sort_by_key(|p| p.at);
    chosen
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
    each_near(points, reach, |i, j| {
        let along = if closed { (j - i).min(n - (j - i)) } else { j - i };
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
