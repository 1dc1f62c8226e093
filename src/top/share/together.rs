//! Pieces of one hooping → one piece, sewn one after the other with a jump between them, or as one drawing with travel in the
//! ditch where that takes less time.
//!
//! With jumps each piece keeps its lines and its walk; its holes are worked out and rounded anew where it lies in the hooping,
//! each once, so that lines that meet at a seam share a hole. Where lines end on the seams, the needle may walk along the seams
//! instead of jumping: all lines are then one network with the seams as ways to travel, and it is walked anew.

use kurbo::{Affine, Point, Rect};

use super::turned::moved;
use crate::base::chain;
use crate::block::Block;
use crate::block::region::{Region, Ring};
use crate::block::shape::Shape;
use crate::drawing::Drawing;
use crate::network::{self, Edge, Network};
use crate::route::certificate::{Certificate, verify};
use crate::route::{self, Route, RouteError, Step, Walk, WalkOptions};
use crate::stitches::{self, Run, Stitches};
use crate::survey::estimate;
use crate::survey::hoop::Hoop;
use crate::survey::{self, Sandwich};
use crate::tailor::{Piece, PieceError};

/// Joins pieces, each with where it goes, into one that is sewn in `hoop`.
///
/// # Errors
/// [`PieceError`] of the stage that could not go on.
pub fn join(members: &[(&Piece, Affine)], hoop: Hoop) -> Result<Piece, PieceError> {
    let members = in_turn(members);
    let mut whole = Whole::default();
    for (piece, to_file) in &members {
        whole.add(piece, *to_file)?;
    }
    let speed = members[0].0.order.sandwich.pace.speed_per_minute;
    if let Some(other) = in_ditch(&members, &whole)?
        && other.minutes(speed) < whole.minutes(speed)
        && other.fits(hoop)
    {
        whole = other;
    }
    whole.route.moved_mm = jumps_mm(&whole.runs);
    let stitches = Stitches::new(whole.runs);
    let proof = verify(&whole.network, &whole.route).map_err(RouteError::from)?;
    let sandwich = Sandwich { hoop: Some(hoop), ..members[0].0.order.sandwich };
    let mut survey = survey::survey(&stitches, None, &sandwich)?;
    // Between the pieces nothing is meant to be sewn: gaps are a matter of each piece.
    let gaps = members.iter().filter_map(|(piece, at)| piece.survey.gap.map(|g| (g, *at)));
    let widest = gaps.max_by(|(a, _), (b, _)| a.widest_mm.total_cmp(&b.widest_mm));
    survey.gap = widest.map(|(gap, at)| survey::gap::Gap { at: at * gap.at, ..gap });
    let mut order = members[0].0.order.clone();
    order.block = block(&members).unwrap_or(order.block);
    order.sandwich = sandwich;
    order.notes = Vec::new();
    let unspread_holes = members.iter().map(|(piece, _)| piece.unspread_holes).max().unwrap_or(0);
    let (drawing, network, route) = (whole.drawing, whole.network, whole.route);
    Ok(Piece { order, drawing, network, route, proof, stitches, survey, unspread_holes })
}

/// The members in the order of sewing: from the top left one to the nearest that is left.
fn in_turn<'p>(members: &[(&'p Piece, Affine)]) -> Vec<(&'p Piece, Affine)> {
    let middle = |(_, at): &(&Piece, Affine)| *at * Point::ZERO;
    let mut left = members.to_vec();
    let mut turn: Vec<(&Piece, Affine)> = Vec::new();
    while !left.is_empty() {
        let far = |m: &(&Piece, Affine)| match turn.last() {
            Some(last) => middle(m).distance(middle(last)),
            None => middle(m).x - 2.0 * middle(m).y,
        };
        // Of equals, within dust, the first.
        let least = left.iter().map(far).fold(f64::INFINITY, f64::min);
        let next = left.iter().position(|m| far(m) <= least + 1e-6).unwrap_or(0);
        turn.push(left.remove(next));
    }
    turn
}

/// All members as one drawing, walked anew with the seams of those that reach them as ways to travel; nothing where fewer than two
/// do, or where there is no jump to save.
fn in_ditch(members: &[(&Piece, Affine)], whole: &Whole) -> Result<Option<Whole>, PieceError> {
    let seams = |(piece, at): &(&Piece, Affine)| -> Vec<Region> {
        piece.order.ditches().iter().filter_map(|seam| placed(seam, at)).collect()
    };
    let seams: Vec<Vec<Region>> = members.iter().map(seams).collect();
    if whole.runs.len() < 2 || seams.iter().filter(|own| !own.is_empty()).count() < 2 {
        return Ok(None);
    }
    let network = network::connect(&whole.drawing, &seams.concat())?;
    let route = route::walk(&network, &WalkOptions::default())?;
    let runs = stitches::sew(&route, &network, &members[0].0.order.sew)?.pieces;
    Ok(Some(Whole { drawing: whole.drawing.clone(), network, route, runs }))
}

/// A region where it lies in the hooping.
fn placed(region: &Region, at: &Affine) -> Option<Region> {
    let ring = |ring: &Ring| Ring::from_path(&(*at * ring.path().clone()));
    let holes = region.holes.iter().filter_map(ring).collect();
    Some(Region { outer: ring(&region.outer)?, holes })
}

fn jumps_mm(runs: &[Run]) -> f64 {
    let gap = |w: &[Run]| Some(w[0].points.last()?.distance(*w[1].points.first()?));
    runs.windows(2).filter_map(gap).sum()
}

/// A piece under construction.
#[derive(Default)]
struct Whole {
    drawing: Drawing,
    network: Network,
    route: Route,
    runs: Vec<Run>,
}

impl Whole {
    /// True if the hoop takes it as it lies: a way along a seam may lead further out than the lines do.
    fn fits(&self, hoop: Hoop) -> bool {
        let points: Vec<Point> = self.runs.iter().flat_map(|run| run.points.iter().copied()).collect();
        survey::hoop::fit(hoop, chain::bounds(&points)).fits
    }

    /// At the machine.
    fn minutes(&self, speed_per_minute: f64) -> f64 {
        let holes = self.runs.iter().map(|run| run.points.len()).sum();
        estimate::minutes(holes, self.runs.len().saturating_sub(1), speed_per_minute)
    }

    fn add(&mut self, piece: &Piece, to_file: Affine) -> Result<(), PieceError> {
        let network = moved(&piece.network, to_file);
        self.runs.extend(stitches::sew(&piece.route, &network, &piece.order.sew)?.pieces);
        self.drawing.lines.extend(piece.drawing.lines.iter().map(|line| to_file * line.clone()));
        self.drawing.stretch = self.drawing.stretch.max(piece.drawing.stretch);
        let (nodes, edges) = (self.network.nodes.len(), self.network.edges.len());
        self.network.nodes.extend(network.nodes);
        let shifted = |e: Edge| Edge { from: e.from + nodes, to: e.to + nodes, ..e };
        self.network.edges.extend(network.edges.into_iter().map(shifted));
        self.walk(&piece.route, nodes, edges);
        Ok(())
    }

    fn walk(&mut self, route: &Route, nodes: usize, edges: usize) {
        let step = |s: &Step| Step { edge: s.edge + edges, ..*s };
        let walk = |w: &Walk| Walk { steps: w.steps.iter().map(step).collect() };
        let proof = |c: &Certificate| Certificate {
            connectors: c.connectors.iter().map(|e| e + edges).collect(),
            start: c.start.map(|n| n + nodes),
            nodes: c.nodes.iter().map(|n| n + nodes).collect(),
            ..c.clone()
        };
        let all = &mut self.route;
        all.pieces.extend(route.pieces.iter().map(walk));
        all.certificates.extend(route.certificates.iter().map(proof));
        all.drawn_mm += route.drawn_mm;
        all.doubled_mm += route.doubled_mm;
        all.travelled_mm += route.travelled_mm;
        all.least_mm += route.least_mm;
        all.connected_mm += route.connected_mm;
        all.start_costs_mm += route.start_costs_mm;
    }
}

/// The rectangle round all blocks, with what is quilted in each.
fn block(members: &[(&Piece, Affine)]) -> Option<Block> {
    let outlines: Vec<Region> =
        members.iter().filter_map(|(piece, at)| placed(&piece.order.block.outline, at)).collect();
    let round: Rect = outlines.iter().map(Region::bounds).reduce(|a, b| a.union(b))?;
    let corners = [(round.x0, round.y0), (round.x1, round.y0), (round.x1, round.y1), (round.x0, round.y1)];
    let outer = Ring::from_points(&corners.map(Point::from))?;
    let insides =
        members.iter().flat_map(|(piece, at)| piece.order.block.inside.iter().map(move |r| (r, at)));
    Some(Block {
        shape: Shape::Rectangle { width: round.width(), height: round.height() },
        outline: Region { outer, holes: Vec::new() },
        inside: insides.filter_map(|(r, at)| placed(r, at)).collect(),
        margin_mm: 0.0,
        open: Vec::new(),
        lie: None,
        within: None,
        notes: Vec::new(),
    })
}
