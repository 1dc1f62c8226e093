//! Pieces of one hooping → one piece, sewn one after the other with a jump between them.
//!
//! Each piece keeps its lines and its walk; its holes are worked out and rounded anew where it lies in the hooping, each once,
//! so that lines that meet at a seam share a hole.

use kurbo::{Affine, Point, Rect};

use super::turned::moved;
use crate::block::Block;
use crate::block::region::{Region, Ring};
use crate::block::shape::Shape;
use crate::drawing::Drawing;
use crate::network::{Edge, Network};
use crate::route::certificate::{Certificate, verify};
use crate::route::{Route, RouteError, Step, Walk};
use crate::stitches::{self, Run, Stitches};
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
    let placed = |ring: &Ring, at: &Affine| Ring::from_path(&(*at * ring.path().clone()));
    let region = |region: &Region, at: &Affine| {
        let holes = region.holes.iter().filter_map(|hole| placed(hole, at)).collect();
        Some(Region { outer: placed(&region.outer, at)?, holes })
    };
    let outlines: Vec<Region> =
        members.iter().filter_map(|(piece, at)| region(&piece.order.block.outline, at)).collect();
    let round: Rect = outlines.iter().map(Region::bounds).reduce(|a, b| a.union(b))?;
    let corners = [(round.x0, round.y0), (round.x1, round.y0), (round.x1, round.y1), (round.x0, round.y1)];
    let outer = Ring::from_points(&corners.map(Point::from))?;
    let insides =
        members.iter().flat_map(|(piece, at)| piece.order.block.inside.iter().map(move |r| (r, at)));
    Some(Block {
        shape: Shape::Rectangle { width: round.width(), height: round.height() },
        outline: Region { outer, holes: Vec::new() },
        inside: insides.filter_map(|(r, at)| region(r, at)).collect(),
        margin_mm: 0.0,
        open: Vec::new(),
        lie: None,
        within: None,
        notes: Vec::new(),
    })
}
