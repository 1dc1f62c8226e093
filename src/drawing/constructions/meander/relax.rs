//! Relaxing: a line that keeps clear of itself → the same line, evenly spaced and rounded, still clear of itself.
//!
//! Bending stiffness rounds the line, passes push each other away, and the edges push it in (Pedersen and Singh, Organic labyrinths and mazes, NPAR 2006)
//! [222]. Where too much room is left, what lies round it is pulled in.

use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::bend::{blunt, straighten};
use super::discs::{Disc, push_out, resample};
use super::fence::{Fence, posts, whole};
use super::near::Near;
use super::simple::is_simple;
use super::voids::Raster;
use crate::block::region::Region;

/// What moves the line; lengths in cells.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Forces {
    /// How far apart the points of the finished line are.
    step: f64,
    /// How far passes push each other.
    reach: f64,
    /// How hard they push.
    push: f64,
    /// Passes nearer than this push each other harder.
    close: f64,
    /// How much harder.
    guard: f64,
    /// How stiff the line is against bending.
    bend: f64,
    /// The least radius on which the line turns.
    round: f64,
    /// How far from the edge the line is pushed in.
    edge: f64,
    /// How hard the edge pushes.
    shove: f64,
    /// The radius of a void that pulls the line in.
    wide: f64,
    /// What is done first, next and so on; the last of them also mends.
    stages: Vec<Stage>,
}

/// Some rounds of moving; lengths in cells.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stage {
    /// How many.
    rounds: u32,
    /// How far apart the points of the line are meanwhile.
    step: f64,
    /// Parts of the line nearer than this along it do not push each other.
    near: f64,
    /// Rounds of straightening to each round.
    smooth: u32,
    /// How hard a void pulls, as a part of how much too wide it is.
    pull: f64,
}

/// The longest move in one round, in cells.
const MOVE: f64 = 0.05;

/// Rounds between looking for neighbours afresh.
const AFRESH: u32 = 5;

/// Rounds of mending.
const MENDING: u32 = 10;

/// The line keeps at least this far from the edge, in cells.
const LEAST_EDGE: f64 = 0.04;

/// How far corners that point into the region push, in cells.
const POST: f64 = 0.36;

/// The points of the line keep at least this far from such corners, in cells, lest the line cut them off.
const LEAST_POST: f64 = 0.28;

/// How far apart the places are at which voids are looked for, in cells.
const RASTER: f64 = 0.28;

/// What a line is relaxed in.
pub struct Ground<'a> {
    closed: bool,
    // The side of a cell, mm.
    side: f64,
    fence: Fence,
    raster: Raster<'a>,
    posts: Vec<Point>,
    forces: &'a Forces,
}

impl<'a> Ground<'a> {
    /// A region with cells of `side` mm.
    #[must_use]
    pub fn new(region: &'a Region, closed: bool, side: f64, forces: &'a Forces) -> Self {
        let fence = Fence::new(region, forces.edge * side);
        Self {
            closed,
            side,
            fence,
            raster: Raster::new(region, RASTER * side),
            posts: posts(region).iter().map(|[_, post, _]| *post).collect(),
            forces,
        }
    }

    /// True if the line is to come back to where it began.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// The corners of the edges that point into the region.
    #[must_use]
    pub fn posts(&self) -> &[Point] {
        &self.posts
    }

    /// The radius of the widest void of more than `wide` mm, to some hundredths of a cell; 0 if there is none.
    #[must_use]
    pub fn widest(&self, points: &[Point], wide: f64) -> f64 {
        self.raster.voids(&Near::new(points, self.side), wide).first().map_or(0.0, |v| v.1)
    }

    /// The numbers of the points that may be moved: the ends of an open line stay.
    fn free(&self, count: usize) -> std::ops::Range<usize> {
        if self.closed { 0..count } else { 1..count - 1 }
    }
}

/// The line, relaxed.
#[must_use]
pub fn relax(line: &[Point], ground: &Ground<'_>) -> Vec<Point> {
    let all = |careful: bool| {
        let mut points = line.to_vec();
        for stage in &ground.forces.stages {
            let next = moved(&points, ground, stage, &mut []);
            if !careful || is_simple(&next, ground.closed) {
                points = next;
            }
        }
        rounded(&points, ground, &mut [])
    };
    // A line hardly ever runs across itself: it is looked at once, at the end.
    let quick = all(false);
    if is_simple(&quick, ground.closed) { quick } else { all(true) }
}

/// A relaxed line after some more rounds, or itself if it would cross itself.
#[must_use]
pub fn mend(line: &[Point], ground: &Ground<'_>) -> Vec<Point> {
    let Some(stage) = ground.forces.stages.last() else { return line.to_vec() };
    let stage = Stage { rounds: MENDING, ..stage.clone() };
    let mended = rounded(&moved(line, ground, &stage, &mut []), ground, &mut []);
    if is_simple(&mended, ground.closed) { mended } else { line.to_vec() }
}

/// The line after as many more rounds as all stages have, pushed off the discs while they grow.
#[must_use]
pub fn make_room(line: &[Point], ground: &Ground<'_>, discs: &mut [Disc]) -> Vec<Point> {
    let Some(stage) = ground.forces.stages.last() else { return line.to_vec() };
    let rounds = ground.forces.stages.iter().map(|s| s.rounds).sum();
    let moved = moved(line, ground, &Stage { rounds, pull: 0.0, ..stage.clone() }, discs);
    rounded(&moved, ground, discs)
}

/// The line in its finished steps, without sharp turns.
fn rounded(line: &[Point], ground: &Ground<'_>, discs: &mut [Disc]) -> Vec<Point> {
    let mut round = resample(line, ground.closed, ground.forces.step * ground.side, discs);
    blunt(&mut round, ground.closed, ground.forces.round / ground.forces.step);
    round
}

/// The line after a stage.
fn moved(line: &[Point], ground: &Ground<'_>, stage: &Stage, discs: &mut [Disc]) -> Vec<Point> {
    let rest = stage.step * ground.side;
    let longest = MOVE * ground.side;
    let mut points = resample(line, ground.closed, rest, discs);
    let (mut moves, mut before) = (Vec::new(), Vec::new());
    let mut seen = Seen::default();
    for round in 0..stage.rounds {
        if round % AFRESH == 0 {
            if round > 0 {
                points = resample(&points, ground.closed, rest, discs);
            }
            seen = Seen::new(&points, ground, stage);
        }
        before.clone_from(&points);
        moves.clear();
        moves.resize(points.len(), Vec2::ZERO);
        push_apart(&points, &seen.pairs, ground, rest, &mut moves);
        seen.pulls.iter().for_each(|(i, pull)| moves[*i] += *pull);
        push_off(&points, &seen, ground, &mut moves);
        push_out(&points, discs, f64::from(round + 1) / f64::from(stage.rounds), &mut moves);
        for i in ground.free(points.len()) {
            let long = moves[i].hypot();
            points[i] += if long > longest { moves[i] * (longest / long) } else { moves[i] };
        }
        for _ in 0..stage.smooth {
            straighten(&points, ground.closed, ground.forces.bend, &mut moves);
            ground.free(points.len()).for_each(|i| points[i] += moves[i]);
        }
        hold(&mut points, &before, &seen, ground);
    }
    points
}

/// What points have to do with each other and with their surroundings, until it is looked at afresh.
#[derive(Default)]
struct Seen {
    /// Points that push each other.
    pairs: Vec<(u32, u32)>,
    /// Points and what voids pull them by.
    pulls: Vec<(usize, Vec2)>,
    /// Points and the corners that they are beside.
    beside: Vec<(usize, Point)>,
}

impl Seen {
    fn new(points: &[Point], ground: &Ground<'_>, stage: &Stage) -> Self {
        let Ground { closed, side, forces, .. } = ground;
        let near = Near::new(points, (forces.reach + 2.0 * MOVE) * side);
        let apart = whole(stage.near / stage.step).max(2);
        let n = points.len();
        let mut pairs = Vec::new();
        near.each_pair(|i, j| {
            let along = i.abs_diff(j);
            let along = if *closed { along.min(n - along) } else { along };
            if along > apart {
                pairs.push((i as u32, j as u32));
            }
        });
        let mut beside = Vec::new();
        for post in &ground.posts {
            near.each_within(*post, 2.0 * POST * side, |i| beside.push((i, *post)));
        }
        let pulls = if stage.pull > 0.0 {
            ground.raster.pulls(&near, points, forces.wide * side, stage.pull)
        } else {
            Vec::new()
        };
        Self { pairs, pulls, beside }
    }
}

fn push_apart(points: &[Point], pairs: &[(u32, u32)], ground: &Ground<'_>, rest: f64, moves: &mut [Vec2]) {
    let Ground { side, forces, .. } = ground;
    let (reach, close) = (forces.reach * side, forces.close * side);
    let (inverse, close_squared) = (1.0 / (reach * reach), close * close);
    let weight = forces.push * rest / reach;
    for (i, j) in pairs {
        let (i, j) = (*i as usize, *j as usize);
        let between = points[i] - points[j];
        let squared = between.hypot2();
        let fall = (1.0 - squared * inverse).max(0.0);
        let mut push = fall * fall;
        if squared < close_squared {
            let away = squared.sqrt().max(1e-6);
            push += (1.0 - away / close) * forces.guard * reach / away;
        }
        let push = between * (weight * push);
        moves[i] += push;
        moves[j] -= push;
    }
}

/// Pushes points off the edges and off the corners that point inward.
fn push_off(points: &[Point], seen: &Seen, ground: &Ground<'_>, moves: &mut [Vec2]) {
    let Ground { side, fence, forces, .. } = ground;
    for (i, post) in &seen.beside {
        let away = points[*i] - *post;
        let long = away.hypot().max(1e-6);
        moves[*i] += away * ((POST * side - long).max(0.0) * 0.5 / long);
    }
    let range = forces.edge * side;
    for (p, by) in points.iter().zip(moves) {
        let Some(q) = fence.nearest(*p) else { continue };
        let away = *p - q;
        let long = away.hypot();
        if long < range && long > 0.0 {
            *by += away * (forces.shove * side * (1.0 - long / range) / long);
        }
    }
}

/// Keeps points from going past an edge or too near to a corner that points inward.
fn hold(points: &mut [Point], before: &[Point], seen: &Seen, ground: &Ground<'_>) {
    let Ground { side, fence, .. } = ground;
    let free = ground.free(points.len());
    for (i, post) in seen.beside.iter().filter(|(i, _)| free.contains(i)) {
        let away = points[*i] - *post;
        let long = away.hypot();
        if long < LEAST_POST * side && long > 0.0 {
            points[*i] = *post + away * (LEAST_POST * side / long);
        }
    }
    for i in free {
        points[i] = held(before[i], points[i], fence, LEAST_EDGE * side);
    }
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
