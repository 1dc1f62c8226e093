//! [`Route`] → [`Stitches`]: needle points in sewing order.
//!
//! In: a [`Route`] over a [`Network`]. Out: [`Stitches`]; mm, block coordinates, y up, on the machine's 0.1 mm grid.
//! Every corner, end and junction gets a needle point (a crowded junction not on every visit); between them steps are
//! equal, shorter where the line bends tightly. An edge's holes are worked out and rounded once, and every visit of it
//! uses the same holes.
//! Features closer than a stitch share a hole or are passed over (see [`features`]), and holes are chosen so that no stitch is
//! shorter than [`steps::SHORTEST_MM`] and none is sewn by two lines (see [`mend`]); where two still share one, it is sewn four
//! times at most.
//! Limits: where many features crowd within a stitch, or a line is a loop of less than three stitches, short steps remain; the
//! survey counts them.

pub mod align;
pub mod features;
pub mod fingerprint;
pub mod grid;
pub mod holes;
pub mod mend;
#[cfg(test)]
mod promises;
pub mod spread;
pub mod steps;
pub mod ties;
pub mod turn;
pub mod unpick;

#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;

use kurbo::{Point, Rect};
use rustc_hash::FxHashMap;

use crate::base::chain;
use crate::network::Network;
use crate::route::{Route, Visit};
use holes::Pass;

/// Step lengths that can be asked for, mm (published [10] [11] [12], recommended range of running stitches).
pub const STEP_RANGE_MM: RangeInclusive<f64> = steps::SHORTEST_MM..=steps::LONGEST_MM;

/// The step unless another is asked for, mm: 10 to the inch (published [1] [2] [3], 2.5–3.0 mm for machine
/// quilting).
pub const STEP_MM: f64 = 2.5;

/// No stitch of a triple line is sewn more often than this: three passes, and one more where the line is walked back.
const MOST_PASSES: usize = 4;

/// Needle points in sewing order, mm in block coordinates, every one on the machine's 0.1 mm grid.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stitches {
    /// The unbroken runs, in sewing order; between two of them the machine moves without sewing.
    pub pieces: Vec<Run>,
    /// The centre of the needle points' bounding box, on the 0.1 mm grid: the machine file's origin.
    pub centre: Point,
}

/// An unbroken run of needle points.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Run {
    /// The needle points, in order, ties included.
    pub points: Vec<Point>,
    /// How many stitches at the start only secure the thread; they lie on the line and lead back to its start.
    pub tie_in: usize,
    /// How many stitches at the end only secure the thread.
    pub tie_off: usize,
}

/// How to sew.
#[derive(Debug, Clone, PartialEq)]
pub struct SewOptions {
    /// The step to come near to, mm, in [`STEP_RANGE_MM`]. Default: [`STEP_MM`].
    pub step_mm: f64,
    /// How often every line is sewn. Default: [`Times::Thrice`].
    pub times: Times,
    /// Secure the thread at both ends of every run. Default: true.
    pub ties: bool,
    /// Let every second visit that goes straight through a crowded junction pass over it, so that fewer holes pile
    /// up in one hole; see [`spread`]. Default: true.
    pub spread_junctions: bool,
}

/// How often every line is sewn; as often again where it has to be walked again, or once more if it is three times.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Times {
    /// Once, along the walk.
    Once,
    /// Along the whole walk and back, hole by hole: a double run, which ends where it began.
    Twice,
    /// Stitch by stitch forward, back and forward.
    #[default]
    Thrice,
}

impl Default for SewOptions {
    fn default() -> Self {
        SewOptions { step_mm: STEP_MM, times: Times::Thrice, ties: true, spread_junctions: true }
    }
}

/// Sews a route: equal steps between features, every triple visit as often as is asked.
///
/// # Errors
/// [`SewError::StepOutOfRange`] if the step is outside [`STEP_RANGE_MM`] or not a number;
/// [`SewError::BrokenWalk`] if a walk names an edge that is not there or does not begin where the last one ended.
pub fn sew(route: &Route, network: &Network, options: &SewOptions) -> Result<Stitches, SewError> {
    if !STEP_RANGE_MM.contains(&options.step_mm) {
        return Err(SewError::StepOutOfRange { step_mm: options.step_mm });
    }
    check_walks(route, network)?;
    let spread = match options.spread_junctions {
        true => spread::over_crowded(route, network, options.step_mm),
        false => spread::nowhere(route, network),
    };
    let settled = features::settle(route, network, &spread, true);
    let legs = holes::of_legs(route, &settled, options.step_mm, &spread);
    let mut walks: Vec<Walked> =
        legs.walks.iter().map(|passes| sew_walk(passes, &legs.holes, options)).collect();
    if options.times != Times::Once {
        thin(&mut walks);
    }
    let runs = walks.into_iter().map(|walk| if options.ties { secure(walk) } else { walk.untied() });
    Ok(Stitches::new(runs.filter(|run| run.points.len() > 1).collect()))
}

/// Why a route cannot be sewn.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SewError {
    /// The asked step is outside [`STEP_RANGE_MM`].
    #[error(
        "a step of {step_mm} mm cannot be sewn; ask for {} to {} mm",
        STEP_RANGE_MM.start(),
        STEP_RANGE_MM.end()
    )]
    StepOutOfRange {
        /** What was asked for, mm. */
        step_mm: f64,
    },
    /// A walk is not one unbroken way over the network.
    #[error("step {step} of walk {piece} does not begin where the last one ended; walk the network again")]
    BrokenWalk {
        /** Which walk, from 0. */
        piece: usize,
        /** Which of its steps, from 0. */
        step: usize,
    },
}

impl Stitches {
    /// Runs with the centre worked out; runs without points are left out.
    #[must_use]
    pub fn new(mut pieces: Vec<Run>) -> Self {
        pieces.retain(|run| !run.points.is_empty());
        let mut stitches = Stitches { pieces, centre: Point::ORIGIN };
        stitches.centre = grid::middle(stitches.bounds());
        stitches
    }

    /// The bounding box of all needle points; empty at 0,0 if there are none.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        let boxes = self.pieces.iter().filter(|r| !r.points.is_empty()).map(|r| chain::bounds(&r.points));
        boxes.reduce(|all, one| all.union(one)).unwrap_or(Rect::ZERO)
    }

    /// How often the needle goes down.
    #[must_use]
    pub fn penetrations(&self) -> usize {
        self.pieces.iter().map(|run| run.points.len()).sum()
    }

    /// Every needle point in sewing order.
    pub fn points(&self) -> impl Iterator<Item = Point> + '_ {
        self.pieces.iter().flat_map(|run| run.points.iter().copied())
    }

    /// Every stitch in sewing order, from hole to hole, ties included.
    pub fn segments(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.pieces.iter().flat_map(|run| run.points.windows(2).map(|w| (w[0], w[1])))
    }
}

impl Run {
    /// A run of needle points as read from somewhere: ties are recognised by their shape.
    #[must_use]
    pub fn from_points(points: Vec<Point>) -> Self {
        let tie_in = ties::tie_at_start(&points);
        let tie_off = ties::tie_at_end(&points[tie_in..]);
        Run { points, tie_in, tie_off }
    }

    /// The needle points without those of the ties: the drawn line as sewn.
    #[must_use]
    pub fn body(&self) -> &[Point] {
        let to = self.points.len().saturating_sub(self.tie_off);
        self.points.get(self.tie_in..to).unwrap_or(&[])
    }
}

fn check_walks(route: &Route, network: &Network) -> Result<(), SewError> {
    for (piece, walk) in route.pieces.iter().enumerate() {
        let mut at = None;
        for (step, s) in walk.steps.iter().enumerate() {
            let broken = SewError::BrokenWalk { piece, step };
            let Some(edge) = network.edges.get(s.edge) else { return Err(broken) };
            let (from, to) = if s.forward { (edge.from, edge.to) } else { (edge.to, edge.from) };
            let known = from.max(to) < network.nodes.len() && edge.chain.len() > 1;
            if !known || at.is_some_and(|node| node != from) {
                return Err(broken);
            }
            at = Some(to);
        }
    }
    Ok(())
}

/// A walk with its holes.
struct Walked {
    /// The holes in order, each once a visit; of a double run there and back.
    path: Vec<Point>,
    /// The needle points, every visit as often as it is sewn.
    body: Vec<Point>,
}

impl Walked {
    fn untied(self) -> Run {
        Run { points: self.body, tie_in: 0, tie_off: 0 }
    }
}

/// One walk's holes in order, once, twice or three times.
fn sew_walk(passes: &[Pass], holes: &[Vec<Point>], options: &SewOptions) -> Walked {
    let mut line: Vec<(Point, Visit)> = Vec::new();
    for pass in passes {
        let mut ordered = holes[pass.leg].clone();
        if !pass.forward {
            ordered.reverse();
        }
        if pass.over {
            ordered.pop();
        }
        // The node's hole is there already, or passed over.
        let skip = usize::from(!line.is_empty());
        line.extend(ordered.into_iter().skip(skip).map(|p| (p, pass.visit)));
    }
    if options.times == Times::Twice {
        line.extend(line.clone().into_iter().rev().skip(1));
    }
    let path: Vec<Point> = line.iter().map(|(p, _)| *p).collect();
    let mut body: Vec<Point> = path.first().copied().into_iter().collect();
    for (i, (to, visit)) in line.iter().enumerate().skip(1) {
        match visit {
            Visit::Triple if options.times == Times::Thrice => body.extend([*to, path[i - 1], *to]),
            Visit::Triple | Visit::Single => body.push(*to),
        }
    }
    Walked { path, body }
}

/// Lines that end within a stitch of each other may share one: ways there and back are left out, the last ones first, until
/// it is sewn three or four times.
fn thin(walks: &mut [Walked]) {
    let stitch = |a: Point, b: Point| {
        let (a, b) = ((grid::cells(a.x), grid::cells(a.y)), (grid::cells(b.x), grid::cells(b.y)));
        (a.min(b), a.max(b))
    };
    let mut passes = FxHashMap::default();
    for w in walks.iter().flat_map(|walk| walk.body.windows(2)) {
        *passes.entry(stitch(w[0], w[1])).or_insert(0_usize) += 1;
    }
    if passes.values().all(|n| *n <= MOST_PASSES) {
        return;
    }
    for walk in walks.iter_mut().rev() {
        let mut kept: Vec<Point> = Vec::with_capacity(walk.body.len());
        for p in walk.body.iter().rev() {
            kept.push(*p);
            if let [.., a, b, c] = kept[..]
                && a == c
                && let Some(n) = passes.get_mut(&stitch(a, b))
                && *n > MOST_PASSES
            {
                *n -= 2;
                kept.truncate(kept.len() - 2);
            }
        }
        kept.reverse();
        walk.body = kept;
    }
}

fn secure(walk: Walked) -> Run {
    let back: Vec<Point> = walk.path.iter().rev().copied().collect();
    let (Some(tie_in), Some(tie_off)) = (ties::tie(&walk.path), ties::tie(&back)) else {
        return walk.untied();
    };
    let mut points = tie_in[..ties::TIE_STITCHES].to_vec();
    points.extend(walk.body);
    points.extend(&tie_off[1..]);
    Run { points, tie_in: ties::TIE_STITCHES, tie_off: ties::TIE_STITCHES }
}
