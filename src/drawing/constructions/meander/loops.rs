//! Loops: a meander → the same line with teardrop loops, to one side and the other by turns.
//!
//! Over a chord of the line, where it bends alike on both sides, the line is replaced by two mirrored halves: the
//! curvature grows from the line's own by a smoothstep over a length ℓ to 1/r, and stays until the heading is 180°; ℓ is
//! such that this top of the loop lies on the chord's axis. So the curvature is continuous, and the loop is a teardrop
//! that crosses itself the more steeply the wider the chord and the less the line bends under it.

use std::f64::consts::PI;

use kurbo::common::solve_itp;
use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::bend::curvature;
use super::fence::whole;
use super::near::Near;
use super::wind::STEP;
use crate::base::angle::{left_of, unit};
use crate::base::chain::bounds;
use crate::block::region::Region;

/// The size and number of loops; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Loops {
    /// Radii of a loop's head, the best first.
    radius: Vec<f64>,
    /// Halves of the chord that a loop takes out of the line, the best first.
    chord: Vec<f64>,
    /// The least angle at which a loop crosses itself, degrees.
    crossing: f64,
    /// How far loops keep off the rest of the line and off each other.
    clear: f64,
    /// The least distance along the line between loops to the same side, and to the other.
    apart: [f64; 2],
}

/// How differently the line may bend on both sides of a loop, radians.
const UNLIKE: f64 = 0.2;
/// The most that the line may bend to one side before a loop to the same side and to the other, radians.
const BENT: (f64, f64) = (1.0, -0.6);
/// Steps in which half a loop is drawn, half chords, and the most of them.
const FINE: f64 = 0.02;
/// Steps in which its smoothstep is looked for: the top then stands off the axis by microns.
const COARSE: f64 = 0.06;
/// See [`FINE`].
const MOST: usize = 1500;
/// The longest smoothstep tried, and how closely the one is found that brings the top over the middle, half chords.
const LONGEST: f64 = 6.0;
/// See [`LONGEST`].
const CLOSELY: f64 = 1e-7;
/// Loops keep this far inside the edges, mm: the curve through their points swings out by less.
const INSIDE: f64 = 0.3;
/// What lies farther from the box of a line than this is nowhere near its loops, spacings.
const FAR: f64 = 3.0;
/// What is this near to the loop's own stretch along the line is not the rest of the line, spacings.
const OWN: f64 = 1.0;

/// A loop: the points of the line between which it lies, its own, and whether it lies to the left.
struct Loop {
    from: usize,
    to: usize,
    points: Vec<Point>,
    left: bool,
}

/// The closed lines with loops; as they are where there is room for none.
#[must_use]
pub fn throw_in(mut lines: Vec<Vec<Point>>, spacing: f64, region: &Region, loops: &Loops) -> Vec<Vec<Point>> {
    for i in 0..lines.len() {
        let near = bounds(&lines[i]).inflate(FAR * spacing, FAR * spacing);
        let others = lines.iter().enumerate().filter(|(k, _)| *k != i).flat_map(|(_, line)| line);
        let others: Vec<Point> = others.copied().filter(|p| near.contains(*p)).collect();
        lines[i] = throw_into(&lines[i], &others, spacing, region, loops);
    }
    lines
}

/// The closed line with loops that keep off the points of `others`.
fn throw_into(line: &[Point], others: &[Point], spacing: f64, region: &Region, loops: &Loops) -> Vec<Point> {
    let near = Near::new(&[line, others].concat(), spacing);
    let bent = curvature(line);
    let mut kept: Vec<Loop> = Vec::new();
    for i in 0..line.len() {
        for left in [true, false] {
            let is_far = kept.last().is_none_or(|last| {
                let apart = loops.apart[usize::from(last.left != left)];
                i > last.to && (i - last.from.midpoint(last.to)) as f64 * STEP > apart
            });
            if !is_far {
                continue;
            }
            let clear = loops.clear * spacing;
            let fits = |l: &Loop| {
                let is_off = |p: &Point| kept.iter().flat_map(|k| &k.points).all(|q| p.distance(*q) > clear);
                is_clear(l, line, &near, clear, region) && l.points.iter().all(is_off)
            };
            let sizes = loops.radius.iter().flat_map(|r| loops.chord.iter().map(move |c| (*r, *c)));
            let found = sizes.filter_map(|(r, chord)| {
                let whole = whole(chord / STEP);
                let at = (i.checked_sub(whole)?, i + whole);
                looped(line, &bent, at, r * spacing, loops.crossing.to_radians(), left)
            });
            kept.extend({ found }.find(fits));
        }
    }
    spliced(line, &kept)
}

/// The line with the loops in place of its own stretches.
fn spliced(line: &[Point], loops: &[Loop]) -> Vec<Point> {
    let mut all = Vec::new();
    let mut next = 0;
    for l in loops {
        all.extend_from_slice(&line[next..=l.from]);
        all.extend_from_slice(&l.points);
        next = l.to;
    }
    all.extend_from_slice(&line[next..]);
    all
}

/// A loop with a head of radius `r` mm between two points of the line, if it crosses itself steeply enough.
fn looped(
    line: &[Point],
    bent: &[f64],
    (from, to): (usize, usize),
    r: f64,
    crossing: f64,
    left: bool,
) -> Option<Loop> {
    if from == 0 || to + 1 >= line.len() {
        return None;
    }
    let side = if left { 1.0 } else { -1.0 };
    let (p, q) = (line[from], line[to]);
    let along = unit(q - p);
    let bend = |i: usize| {
        let way = line[i + 1] - line[i - 1];
        side * along.cross(way).atan2(along.dot(way))
    };
    let (down, up) = (-bend(from), bend(to));
    let theta = f64::midpoint(down, up);
    if (down - up).abs() > UNLIKE || theta > BENT.0 || theta < BENT.1 {
        return None;
    }
    let before = side * f64::midpoint(bent[from], bent[to]);
    let half = half_loop(p.distance(q) / 2.0, theta, before, r)?;
    let at = half.windows(2).find(|w| w[0].x < 0.0 && w[1].x >= 0.0)?;
    if 2.0 * (at[1] - at[0]).atan2() < crossing {
        return None;
    }
    let place = |v: Vec2| p.midpoint(q) + along * v.x + left_of(along) * (side * v.y);
    let there = half.iter().skip(1).map(|v| place(*v));
    let back = half.iter().rev().skip(1).map(|v| place(Vec2::new(-v.x, v.y)));
    let mut points: Vec<Point> = there.chain(back).collect();
    points.pop();
    Some(Loop { from, to, points, left })
}

/// Half a loop to the left over a chord on the x axis about 0: from its left end, where the line comes down by `theta` and bends by
/// `before`, to the top.
fn half_loop(half_chord: f64, theta: f64, before: f64, r: f64) -> Option<Vec<Vec2>> {
    let drawn = |ease: f64, step: f64| {
        let mut points = vec![Vec2::new(-half_chord, 0.0)];
        let (mut at, mut heading, mut gone) = (points[0], -theta, 0.0);
        while heading < PI && points.len() < MOST {
            let t = (gone / ease.max(step)).clamp(0.0, 1.0);
            let bent = before + (1.0 / r - before) * t * t * (3.0 - 2.0 * t);
            let turn = (bent * step).min(PI - heading);
            let long = if turn < bent * step { turn / bent } else { step };
            at += Vec2::from_angle(heading + turn / 2.0) * long;
            heading += turn;
            gone += long;
            points.push(at);
            if PI - heading < 1e-9 {
                break;
            }
        }
        points
    };
    let top = |ease: f64| drawn(ease, COARSE * half_chord).last().map_or(0.0, |p| p.x);
    let longest = LONGEST * half_chord;
    let (least, most) = (top(0.0), top(longest));
    if least > 0.0 || most < 0.0 {
        return None;
    }
    let ease = solve_itp(top, 0.0, longest, CLOSELY * half_chord, 1, 0.2 / longest, least, most);
    let mut points = drawn(ease, FINE * half_chord);
    // The microns by which the top stands off the axis, spread over all points.
    let (off, last) = (points.last()?.x, points.len() - 1);
    for (i, point) in points.iter_mut().enumerate() {
        point.x -= off * i as f64 / last as f64;
    }
    points[last].x = 0.0;
    Some(points)
}

/// True if a loop keeps off the rest of the line and lies in the region.
fn is_clear(l: &Loop, line: &[Point], near: &Near, clear: f64, region: &Region) -> bool {
    let own = whole(OWN / STEP);
    let n = line.len();
    let is_own = |i: usize| i < n && (i + own + n - l.from) % n <= l.to - l.from + 2 * own;
    l.points.iter().step_by(3).all(|p| {
        let mut free = region.depth(*p) > INSIDE;
        near.each_within(*p, clear, |i| free &= is_own(i));
        free
    })
}
