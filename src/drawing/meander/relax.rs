//! Relaxing: a line that keeps clear of itself → the same line, evenly spaced and rounded, still clear of itself.
//!
//! Bending stiffness rounds the line, passes push each other away, and the edges push it in (Pedersen and Singh, Organic labyrinths and mazes, NPAR 2006,
//! doi 10.1145/1124728.1124742). Steps are small, and a step after which the line would cross itself is not taken.

use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::fence::{Fence, whole};
use super::simple::is_simple;
use crate::base::angle::turn_deg;
use crate::base::chain;

/// What moves the line; lengths in cells.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Forces {
    /// Rounds of moving.
    pub rounds: u32,
    /// How far apart the points of the line are.
    pub step: f64,
    /// How far passes push each other.
    pub reach: f64,
    /// How hard they push.
    pub push: f64,
    /// How stiff the line is against bending.
    pub bend: f64,
    /// How far from the edge the line is pushed in.
    pub edge: f64,
    /// How hard the edge pushes.
    pub shove: f64,
}

/// Parts of a pass nearer than this along the line do not push each other, in cells: a half turn's length.
const NEAR_ALONG: f64 = 0.73;

/// The same in the last third of the rounds: ends of bends, pushed into every corner before, come out round.
const NEAR_ALONG_LAST: f64 = 0.91;

/// The longest move in one round, in cells.
const MOVE: f64 = 0.05;

/// Rounds between looking for neighbours afresh.
const AFRESH: u32 = 5;

/// Rounds of smoothing to every round of pushing.
const SMOOTHINGS: usize = 1;

/// The line turns by no more than this from one of its points to the next, degrees: a half turn takes four steps.
const SHARP_DEG: f64 = 42.0;

/// How far a sharp point is pulled in at a time, as a part of the way to the middle of its neighbours times two.
const BLUNT: f64 = 0.15;

/// How often sharp points are pulled in at the most.
const BLUNTINGS: usize = 40;

/// The line keeps at least this far from the edge, in cells.
const LEAST_EDGE: f64 = 0.04;

/// The line, relaxed.
#[must_use]
pub fn relax(line: &[Point], closed: bool, side: f64, fence: &Fence, forces: &Forces) -> Vec<Point> {
    let rest = forces.step * side;
    let mut points = even_by(line, closed, rest);
    let mut good = points.clone();
    let mut pairs = Vec::new();
    let mut longest = MOVE * side;
    for round in 0..forces.rounds {
        if round % AFRESH == 0 {
            if is_simple(&points, closed) {
                good.clone_from(&points);
            } else {
                points.clone_from(&good);
                longest *= 0.5;
            }
            points = even_by(&points, closed, rest);
            let near = if round * 3 < forces.rounds * 2 { NEAR_ALONG } else { NEAR_ALONG_LAST };
            pairs = neighbours(&points, closed, near * side, side, forces);
        }
        let count = points.len();
        let before = points.clone();
        let mut moves = vec![Vec2::ZERO; count];
        push_apart(&points, &pairs, side, rest, forces, &mut moves);
        let ends = if closed { 0..count } else { 1..count - 1 };
        for i in ends.clone() {
            let step = moves[i] + shove(points[i], fence, side, forces);
            let long = step.hypot();
            points[i] += if long > longest { step * (longest / long) } else { step };
        }
        for _ in 0..SMOOTHINGS {
            let mut moves = vec![Vec2::ZERO; count];
            straighten(&points, closed, forces, &mut moves);
            for i in ends.clone() {
                points[i] += moves[i];
            }
        }
        for i in ends {
            points[i] = held(before[i], points[i], fence, LEAST_EDGE * side);
        }
    }
    if is_simple(&points, closed) {
        good = points;
    }
    let mut round = even_by(&good, closed, rest);
    blunt(&mut round, closed);
    if is_simple(&round, closed) { round } else { good }
}

/// Pulls in every point at which the line turns more sharply than [`SHARP_DEG`], and its neighbours with it.
fn blunt(points: &mut [Point], closed: bool) {
    let n = points.len();
    for _ in 0..BLUNTINGS {
        let side = |i: usize| points[(i + 1) % n] - points[i % n];
        let sharp = |i: &usize| turn_deg(side(i + n - 1), side(*i)).abs() > SHARP_DEG;
        let inner = if closed { 0..n } else { 2..n - 2 };
        let sharp: Vec<usize> = inner.filter(sharp).collect();
        let mut moves: Vec<(usize, Vec2)> = Vec::new();
        for i in sharp.into_iter().flat_map(|i| [i + n - 1, i, i + 1]) {
            let i = i % n;
            moves.push((i, (side(i) - side(i + n - 1)) * BLUNT));
        }
        if moves.is_empty() {
            return;
        }
        for (i, by) in moves {
            points[i] += by;
        }
    }
}

/// Points about `step` mm apart evenly along the line.
fn even_by(line: &[Point], closed: bool, step: f64) -> Vec<Point> {
    let long = if closed { chain::perimeter(line) } else { chain::length(line) };
    even(line, closed, whole((long / step).round()).max(12))
}

/// `count` points evenly along the line, its ends kept if it is open.
#[must_use]
pub fn even(line: &[Point], closed: bool, count: usize) -> Vec<Point> {
    let mut chain: Vec<Point> = line.to_vec();
    if closed && let Some(first) = line.first() {
        chain.push(*first);
    }
    let total = chain::length(&chain);
    let parts = if closed { count } else { count - 1 };
    let step = total / parts as f64;
    let mut points = Vec::with_capacity(count);
    let (mut done, mut next) = (0.0, 0.0);
    for w in chain.windows(2) {
        let long = w[0].distance(w[1]);
        while points.len() < count && next <= done + long && long > 0.0 {
            points.push(w[0].lerp(w[1], (next - done) / long));
            next += step;
        }
        done += long;
    }
    while points.len() < count {
        points.extend(chain.last());
    }
    points
}

/// Pairs of points within reach that are not near along the line.
fn neighbours(points: &[Point], closed: bool, near: f64, side: f64, forces: &Forces) -> Vec<(u32, u32)> {
    let reach = (forces.reach + 2.0 * MOVE) * side;
    let apart = whole(near / (forces.step * side)).max(2);
    let n = points.len();
    let mut pairs = Vec::new();
    super::simple::each_near(points, reach, |i, j| {
        let along = if closed { (j - i).min(n - (j - i)) } else { j - i };
        if along > apart && points[i].distance_squared(points[j]) < reach * reach {
            pairs.push((i as u32, j as u32));
        }
    });
    pairs
}

fn push_apart(
    points: &[Point],
    pairs: &[(u32, u32)],
    side: f64,
    rest: f64,
    forces: &Forces,
    moves: &mut [Vec2],
) {
    let reach = forces.reach * side;
    let weight = forces.push * rest;
    for (i, j) in pairs {
        let (i, j) = (*i as usize, *j as usize);
        let between = points[i] - points[j];
        let squared = between.hypot2();
        if squared < reach * reach {
            let fall = 1.0 - squared / (reach * reach);
            let push = between * (weight * fall * fall / squared.sqrt().max(1e-6));
            moves[i] += push;
            moves[j] -= push;
        }
    }
}

fn straighten(points: &[Point], closed: bool, forces: &Forces, moves: &mut [Vec2]) {
    let n = points.len();
    let way = |i: usize| points[(i + 1) % n] - points[i % n];
    let turns: Vec<Vec2> = (0..n)
        .map(|i| if !closed && (i == 0 || i == n - 1) { Vec2::ZERO } else { way(i) - way(i + n - 1) })
        .collect();
    for (i, here) in moves.iter_mut().enumerate() {
        let (before, after) = ((i + n - 1) % n, (i + 1) % n);
        let (mut a, mut b) = (turns[before], turns[after]);
        if !closed && i == 0 {
            a = Vec2::ZERO;
        }
        if !closed && i == n - 1 {
            b = Vec2::ZERO;
        }
        *here += (turns[i] * 2.0 - a - b) * forces.bend;
    }
}

fn shove(p: Point, fence: &Fence, side: f64, forces: &Forces) -> Vec2 {
    let Some(q) = fence.nearest(p) else { return Vec2::ZERO };
    let away = p - q;
    let (long, range) = (away.hypot(), forces.edge * side);
    if long >= range || long == 0.0 {
        return Vec2::ZERO;
    }
    away * (forces.shove * side * (1.0 - long / range) / long)
}

/// Where a point may go that was at `from`, inside, and wants to go to `to`: not past the edge, nor nearer than the least.
fn held(from: Point, to: Point, fence: &Fence, least: f64) -> Point {
    let mut to = to;
    for seen in [from, to] {
        let Some(q) = fence.nearest(seen) else { continue };
        let away = from - q;
        let room = away.hypot();
        if room < 1e-9 {
            return from;
        }
        let inward = away / room;
        let left = (to - q).dot(inward);
        if left < least {
            to += inward * (least - left);
        }
    }
    to
}
