//! Settled lines → their needle holes, rounded to the machine's grid once and shared by every visit.
//!
//! A leg is what is sewn from one fixed hole to another: an edge of the network, or several that the walk runs through.
//! Corners are fixed too; between them steps are equal where that sews well, and chosen by [`mend`] where it does not.

#[cfg(test)]
mod tests;

use kurbo::Point;

use super::features::{Settled, joined_chain};
use super::grid::{cells, millimetres, snap};
use super::mend::{Holes, Taken, mend};
use super::spread::Spread;
use super::steps::{SHORTEST_MM, Stretch, needle_points};
use crate::base::chain::length;
use crate::base::tolerance::CHORD_MM;
use crate::network::Network;
use crate::route::{Route, Step, Visit};

/// Rounds of looking for better holes; a second one settles what the first moved.
const SWEEPS: usize = 2;
/// A line that leads back to its own hole is sewn in this many steps or more: two would be one, there and back.
const ROUND: usize = 3;

/// A part of a walk from one fixed hole to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// Which of the legs.
    pub leg: usize,
    /// True if it is walked as the leg lies.
    pub forward: bool,
    /// How it is sewn.
    pub visit: Visit,
    /// True if the needle passes over the hole at its end.
    pub over: bool,
}

/// All holes of a route.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Legs {
    /// The holes of each leg from its start to its end; one alone if both ends share a hole and nothing is sewn.
    pub holes: Vec<Vec<Point>>,
    /// The legs of each walk, in order.
    pub walks: Vec<Vec<Pass>>,
}

/// A leg before it has holes: its line, its corners and whether its steps stand half a step away from its ends.
struct Line {
    chain: Vec<Point>,
    corners: Vec<usize>,
    open: [bool; 2],
}

/// The legs of a settled route with their holes.
///
/// Where the needle is to pass over a leg's end, its steps stand half a step away from it; the end's own hole is
/// listed all the same, for visits that use it. Neighbouring holes differ, and no two legs share a stitch where that can be.
#[must_use]
pub fn of_legs(route: &Route, settled: &Settled, step_mm: f64, spread: &Spread) -> Legs {
    let network = &settled.network;
    let (mut lines, mut walks) = (Vec::new(), Vec::new());
    let mut known = vec![usize::MAX; network.edges.len()];
    for ((walk, runs_on), over) in route.pieces.iter().zip(&settled.runs_on).zip(&spread.over) {
        let (mut passes, mut first) = (Vec::new(), 0);
        for last in (0..walk.steps.len()).filter(|i| !runs_on[*i]) {
            let steps = &walk.steps[first..=last];
            first = last + 1;
            let alone = steps.len() == 1;
            let mut leg = if alone { known[steps[0].edge] } else { usize::MAX };
            if leg == usize::MAX {
                leg = lines.len();
                lines.push(if alone {
                    edge_line(network, steps[0].edge, spread)
                } else {
                    line(network, steps, spread)
                });
                known[steps[0].edge] = leg;
            }
            let forward = !alone || steps[0].forward;
            passes.push(Pass { leg, forward, visit: steps[0].visit, over: over[last] });
        }
        walks.push(passes);
    }
    Legs { holes: of_lines(&lines, step_mm), walks }
}

/// The holes of every edge that the route uses, from the edge's `from` to its `to`, if none is run through; none for others.
#[must_use]
pub fn of_edges(route: &Route, network: &Network, step_mm: f64, spread: &Spread) -> Vec<Vec<Point>> {
    let runs_on = route.pieces.iter().map(|walk| vec![false; walk.steps.len()]).collect();
    let settled = Settled { network: network.clone(), runs_on };
    let mut legs = of_legs(route, &settled, step_mm, spread);
    let mut holes = vec![Vec::new(); network.edges.len()];
    for (walk, passes) in route.pieces.iter().zip(&legs.walks) {
        for (step, pass) in walk.steps.iter().zip(passes) {
            let found = std::mem::take(&mut legs.holes[pass.leg]);
            if !found.is_empty() {
                holes[step.edge] = found;
            }
        }
    }
    holes
}

fn edge_line(network: &Network, edge: usize, spread: &Spread) -> Line {
    let edge_of = &network.edges[edge];
    Line { chain: edge_of.chain.clone(), corners: edge_of.corners.clone(), open: spread.ends[edge] }
}

/// Several steps in a row as one line, in the direction of the walk.
fn line(network: &Network, steps: &[Step], spread: &Spread) -> Line {
    let mut corners = Vec::new();
    let mut run = 0;
    for step in steps {
        let edge = &network.edges[step.edge];
        let last = edge.chain.len() - 1;
        let inner = edge.corners.iter().map(|c| if step.forward { *c } else { last - c });
        let from = corners.len();
        corners.extend(inner.map(|c| run + c));
        corners[from..].sort_unstable();
        run += last;
    }
    let open = |step: Step, at_end: bool| spread.ends[step.edge][usize::from(step.forward == at_end)];
    let open = [open(steps[0], false), open(steps[steps.len() - 1], true)];
    Line { chain: joined_chain(network, steps), corners, open }
}

/// The holes of all lines; short ones choose theirs first, as they have the least choice.
fn of_lines(lines: &[Line], step_mm: f64) -> Vec<Vec<Point>> {
    let lengths: Vec<f64> = lines.iter().map(|l| length(&l.chain)).collect();
    let mut order: Vec<usize> = (0..lines.len()).collect();
    order.sort_by(|a, b| lengths[*a].total_cmp(&lengths[*b]).then(a.cmp(b)));
    let mut taken = Taken::default();
    let mut holes = vec![Vec::new(); lines.len()];
    for i in order {
        holes[i] = of_line(&lines[i], step_mm, &mut taken);
    }
    holes
}

fn of_line(line: &Line, step_mm: f64, taken: &mut Taken) -> Vec<Point> {
    let last = line.chain.len() - 1;
    let mut holes = vec![snap(line.chain[0])];
    let stops = stops(line);
    let mut from = 0;
    for to in stops {
        let stretch = Stretch::new(&line.chain[from..=to]);
        let open = [line.open[0] && from == 0, line.open[1] && to == last];
        let found = of_stretch(&stretch, step_mm, open, taken);
        taken.take(&found);
        holes.extend(&found[1..]);
        from = to;
    }
    holes.dedup();
    holes
}

/// The corners of a line that get holes of their own, and its end: those that are a stitch away from the one before and
/// from the end. The others are passed as well as steps allow.
fn stops(line: &Line) -> Vec<usize> {
    let last = line.chain.len() - 1;
    let hole = |i: usize| snap(line.chain[i]);
    let is_apart = |a: usize, b: usize| {
        let along = length(&line.chain[a..=b]);
        hole(a).distance(hole(b)) >= SHORTEST_MM - 1e-9 || along >= 2.0 * SHORTEST_MM + 0.2
    };
    let mut stops: Vec<usize> = Vec::new();
    for corner in line.corners.iter().copied().filter(|c| (1..last).contains(c)) {
        if is_apart(stops.last().copied().unwrap_or(0), corner) && is_apart(corner, last) {
            stops.push(corner);
        }
    }
    stops.push(last);
    stops
}

/// The holes of a smooth stretch: its needle points on the grid.
///
/// Each goes to the nearest grid point; where a stitch would then leave the line by more than [`CHORD_MM`], the holes
/// at its ends try the grid points about them, and what does not sew well after that is mended. The ends of the stretch stay,
/// as other lines may meet there.
fn of_stretch(stretch: &Stretch, step_mm: f64, open: [bool; 2], taken: &Taken) -> Vec<Point> {
    let mut along = needle_points(stretch, step_mm, open);
    let mut holes: Vec<Point> = along.iter().map(|s| snap(stretch.at(*s))).collect();
    let last = holes.len() - 1;
    if holes[0] == holes[last] && last < ROUND && stretch.length() > ROUND as f64 * SHORTEST_MM {
        let third = stretch.length() / ROUND as f64;
        along = (0..=ROUND).map(|i| i as f64 * third).collect();
        holes = along.iter().map(|s| snap(stretch.at(*s))).collect();
    }
    for _ in 0..SWEEPS {
        for i in 1..holes.len() - 1 {
            let off = |p: Point| {
                let before = stretch.leaves((holes[i - 1], p), (along[i - 1], along[i]));
                before.max(stretch.leaves((p, holes[i + 1]), (along[i], along[i + 1])))
            };
            if off(holes[i]) > CHORD_MM {
                holes[i] = about(holes[i])
                    .into_iter()
                    .min_by(|a, b| off(*a).total_cmp(&off(*b)))
                    .unwrap_or(holes[i]);
            }
        }
    }
    let mut holes: Holes = along.into_iter().zip(holes).collect();
    mend(stretch, &mut holes, taken);
    holes.into_iter().map(|(_, p)| p).collect()
}

/// A grid point and the eight about it.
fn about(p: Point) -> [Point; 9] {
    let (x, y) = (cells(p.x), cells(p.y));
    let shifts = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, -1), (-1, 1), (1, 1)];
    shifts.map(|(dx, dy)| Point::new(millimetres(x + dx), millimetres(y + dy)))
}
