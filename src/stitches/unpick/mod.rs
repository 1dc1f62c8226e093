//! [`Stitches`] → the lines they follow, each once, and how often each is sewn.
//!
//! Ties are left out. All passes of a line are merged (see [`seam`]); then the steps are joined to lines that run straight on
//! where lines meet, end where a line ends, and close where they come back to their start. From its holes, which were
//! rounded to the machine's grid, a line is recovered as the smoothest one that rounds to them (see [`settled`]).
//! Limits: holes of two lines nearer to each other than [`seam::SAME_HOLE_MM`] are taken for one.

pub mod fitted;
pub mod seam;
pub mod settled;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, Point, Vec2};

use super::Stitches;
use crate::base::angle::{turn_deg, unit};
use crate::base::chain;
use crate::base::smooth::smooth_path;
use seam::{Passes, Seam};

/// Lines that meet run on into each other if they turn by less than this, degrees.
const STRAIGHT_ON_DEG: f64 = 35.0;
/// How far a recovered curve may leave the smooth line through its holes, mm: less than rounding moved the holes.
const CURVE_MM: f64 = 0.015;
/// Spans that go on into each other turn by less than this, degrees: rounding, where a corner turns by twenty and more.
const SMOOTH_DEG: f64 = 0.1;

/// A line as it was sewn.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its holes in order, mm; a closed line does not repeat its first.
    pub points: Vec<Point>,
    /// Where it meets other lines, in the order of `points`.
    pub meets: Vec<bool>,
    /// True if it closes on itself.
    pub closed: bool,
    /// How often most of it is sewn.
    pub passes: usize,
}

/// The lines of a design.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Unpicked {
    /// The lines, in the order and direction in which they were first sewn.
    pub lines: Vec<Line>,
    /// How many steps are sewn how often: passes → steps.
    pub passes: BTreeMap<usize, usize>,
}

/// The lines that `stitches` follow; steps that `is_line` says no to, by their ends and passes, are left out.
#[must_use]
pub fn unpick(
    stitches: &Stitches,
    passes: Passes,
    is_line: &dyn Fn(Point, Point, usize) -> bool,
) -> Unpicked {
    let seam = Seam::of(stitches, passes, is_line);
    let mut passes = BTreeMap::new();
    for step in &seam.steps {
        *passes.entry(step.passes).or_insert(0) += 1;
    }
    let onward = onward(&seam);
    let mut done = vec![false; seam.steps.len()];
    let mut lines = Vec::new();
    for first in 0..seam.steps.len() {
        if !done[first] {
            lines.push(line(&seam, &onward, first, &mut done));
        }
    }
    Unpicked { lines, passes }
}

impl Line {
    /// The curve that the line was sewn from, as well as its holes tell; it goes exactly through the holes where it meets
    /// other lines.
    #[must_use]
    pub fn path(&self) -> BezPath {
        let points = settled::settled(&self.points, &self.meets, self.closed);
        let spans: Vec<CubicBez> = smooth_path(&points, self.closed)
            .segments()
            .filter(|s| s.start() != s.end())
            .map(|s| s.to_cubic())
            .collect();
        let mut path = BezPath::new();
        let Some(first) = spans.first() else { return path };
        path.move_to(first.p0);
        let mut from = 0;
        for to in 1..=spans.len() {
            let meets = self.meets.get(to).copied().unwrap_or(true);
            if to == spans.len() || meets || is_corner(&spans[to - 1], &spans[to]) {
                push_recovered(&mut path, &spans[from..to]);
                from = to;
            }
        }
        if self.closed {
            path.close_path();
        }
        path
    }
}

/// True if a span does not go on as the one before it arrives.
fn is_corner(before: &CubicBez, after: &CubicBez) -> bool {
    let [into, out] = [before.deriv().eval(1.0), after.deriv().eval(0.0)].map(Point::to_vec2);
    turn_deg(into, out).abs() > SMOOTH_DEG
}

/// A smooth stretch of spans as few curves as follow them closely.
fn push_recovered(path: &mut BezPath, spans: &[CubicBez]) {
    let (from, to) = (spans[0].p0, spans[spans.len() - 1].p3);
    let near = |p: Point| p.distance(chain::nearest_on_segment(p, from, to)) <= CURVE_MM;
    let is_straight = match spans {
        [one] => near(one.p1) && near(one.p2),
        many => many.iter().all(|span| near(span.p3)),
    };
    if is_straight {
        return path.line_to(to);
    }
    path.extend(fitted::fitted(spans, CURVE_MM).into_iter().map(|span| PathSeg::from(span).as_path_el()));
}

/// For both ends of every step, the step that goes on there.
type Onward = Vec<[Option<usize>; 2]>;

fn onward(seam: &Seam) -> Onward {
    let mut onward: Onward = vec![[None; 2]; seam.steps.len()];
    for (hole, at) in seam.at.iter().enumerate() {
        for (a, b) in pairs(seam, hole, at) {
            onward[a][seam.side(a, hole)] = Some(b);
            onward[b][seam.side(b, hole)] = Some(a);
        }
    }
    onward
}

/// Which steps at a hole go on into each other: the only two, or those that go straightest.
fn pairs(seam: &Seam, hole: usize, at: &[usize]) -> Vec<(usize, usize)> {
    if let [a, b] = at {
        return vec![(*a, *b)];
    }
    let ways: Vec<Vec2> = at.iter().map(|step| way_out(seam, *step, hole)).collect();
    let mut turns: Vec<(f64, usize, usize)> = Vec::new();
    for i in 0..at.len() {
        for j in i + 1..at.len() {
            turns.push((turn_deg(-ways[i], ways[j]).abs(), at[i], at[j]));
        }
    }
    turns.retain(|(turn, ..)| *turn <= STRAIGHT_ON_DEG);
    turns.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let (mut pairs, mut taken) = (Vec::new(), Vec::new());
    for (_, a, b) in turns {
        if !taken.contains(&a) && !taken.contains(&b) {
            taken.extend([a, b]);
            pairs.push((a, b));
        }
    }
    pairs
}

/// The direction in which the line of `step` sets out from `hole`: that of the circle through its first three holes there.
fn way_out(seam: &Seam, step: usize, hole: usize) -> Vec2 {
    let next = seam.other(step, hole);
    let first = seam.places[next] - seam.places[hole];
    let beyond = match seam.at[next].as_slice() {
        [a, b] => seam.other(if *a == step { *b } else { *a }, next),
        _ => return unit(first),
    };
    let second = seam.places[beyond] - seam.places[next];
    let bend = turn_deg(first, second);
    if bend.abs() > STRAIGHT_ON_DEG {
        return unit(first);
    }
    let back = -bend * first.hypot() / (first.hypot() + second.hypot());
    let (sin, cos) = back.to_radians().sin_cos();
    unit(Vec2::new(first.x * cos - first.y * sin, first.x * sin + first.y * cos))
}

/// The line of which `first` is a step, in the direction of `first`.
fn line(seam: &Seam, onward: &Onward, first: usize, done: &mut [bool]) -> Line {
    done[first] = true;
    let [start, end] = seam.steps[first].ends;
    let mut steps = vec![first];
    let ahead = follow(seam, onward, (first, end), done, &mut steps);
    let closed = ahead.last() == Some(&start) && onward[first][0] == steps.last().copied();
    let mut holes = if closed { Vec::new() } else { follow(seam, onward, (first, start), done, &mut steps) };
    holes.reverse();
    holes.extend([start, end]);
    holes.extend(ahead);
    if closed {
        holes.pop();
    }
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    for step in &steps {
        *counts.entry(seam.steps[*step].passes).or_insert(0) += 1;
    }
    let passes =
        counts.iter().max_by_key(|(passes, steps)| (**steps, **passes)).map_or(0, |(passes, _)| *passes);
    Line {
        points: holes.iter().map(|hole| seam.places[*hole]).collect(),
        meets: holes.iter().map(|hole| seam.at[*hole].len() != 2).collect(),
        closed,
        passes,
    }
}

/// The holes beyond `hole`, coming from `step`, to the end of the line or back to its start.
fn follow(
    seam: &Seam,
    onward: &Onward,
    (mut step, mut hole): (usize, usize),
    done: &mut [bool],
    steps: &mut Vec<usize>,
) -> Vec<usize> {
    let mut beyond = Vec::new();
    while let Some(next) = onward[step][seam.side(step, hole)].filter(|next| !done[*next]) {
        done[next] = true;
        steps.push(next);
        hole = seam.other(next, hole);
        step = next;
        beyond.push(hole);
    }
    beyond
}
