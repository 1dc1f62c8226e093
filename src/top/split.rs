//! A piece larger than every hoop → few hoopings that sew it, each a piece of its own.
//!
//! Lines are cut at needle holes only: at junctions, and along lines longer than [`PART_MM`] at a hole about that far on.
//! The fewest windows that hold all these parts are found by [`super::cover`]; where cuts at any hole need fewer, in rows of
//! windows ([`super::shelves`]), those are taken. That no fewer are possible is said only where as many single stitches lie so
//! far apart that no window holds two of them. Every part is then sewn in exactly one of
//! them, and the hole at a cut is the same in both, to the machine's step.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Rect, Size};

use super::TopError;
use super::cover;
use super::shelves;
use crate::base::chain::{self, nearest_on_segment};
use crate::base::curve::path_through;
use crate::drawing::Drawing;
use crate::network::{Edge, EdgeKind, Network};
use crate::route::certificate::verify;
use crate::route::{self, RouteError, WalkOptions};
use crate::stitches::{self, features, grid, holes, spread};
use crate::survey;
use crate::survey::hoop::{CLEARANCE_MM, Hoop};
use crate::tailor::{self, Piece};

/// A line is cut at a needle hole at the latest after this length, mm: long enough for few joins, short against any hoop.
pub const PART_MM: f64 = 25.0;

/// More bits than this are not searched for the fewest windows.
const MOST_SEARCHED: usize = 2500;

/// One hooping of a large piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its lines, walked and sewn by themselves, in the coordinates of the whole piece.
    pub piece: Piece,
    /// The needle holes that it shares with other hoopings.
    pub joins: Vec<Point>,
}

/// A large piece in its hoopings.
#[derive(Debug, Clone, PartialEq)]
pub struct Split {
    /// The hoopings.
    pub parts: Vec<Part>,
    /// The boxes of the parts of lines that had to be covered.
    pub boxes: Vec<Rect>,
    /// True if no fewer hoopings can sew it, wherever its lines are cut at needle holes.
    pub exact: bool,
}

/// A stretch of an edge between two of its holes.
struct Bit {
    edge: usize,
    from: usize,
    to: usize,
    bounds: Rect,
}

/// Splits `piece` over windows of the hoops' fields.
///
/// # Errors
/// [`TopError::HoopTooSmall`] if not even one part of a line fits; [`TopError::Piece`] if a part cannot be sewn.
pub fn split(piece: &Piece, hoops: &[Hoop]) -> Result<Split, TopError> {
    let name = &piece.order.name;
    let (network, holes) = holed(piece);
    let fields = fields(hoops);
    let cover = covered(&network, &holes, piece.order.block.within.is_some(), &fields);
    let Covered { bits, boxes, windows } =
        cover.ok_or_else(|| TopError::HoopTooSmall { name: name.clone() })?;
    let owners = owners(&bits, &windows);
    let places: Vec<Vec<f64>> =
        network.edges.iter().zip(&holes).map(|(edge, holes)| places(&edge.chain, holes)).collect();
    let mut parts = Vec::new();
    let shared = shared_holes(&bits, &owners, &holes);
    for (window, rect) in windows.iter().enumerate() {
        let network = part_network(&network, (&holes, &places), &bits, &owners, window, rect);
        if network.edges.iter().any(Edge::is_drawn) {
            let joins: Vec<Point> =
                network.nodes.iter().copied().filter(|p| shared.contains(&cell(*p))).collect();
            parts.push(Part { piece: sewn(piece, network)?, joins });
        }
    }
    let exact = parts.len() == cover::at_least(&Covered::boxes(&self::bits(&network, &holes, 0.0)), &fields);
    Ok(Split { parts, boxes, exact })
}

/// How many hoopings a piece is split into, without sewing them; `None` if not even a part of a line fits.
#[must_use]
pub fn count(piece: &Piece, hoop: Hoop) -> Option<usize> {
    let (network, holes) = holed(piece);
    let Covered { bits, windows, .. } =
        covered(&network, &holes, piece.order.block.within.is_some(), &fields(&[hoop]))?;
    Some(owners(&bits, &windows).into_iter().collect::<BTreeSet<_>>().len())
}

/// The network of a piece with every feature in its hole, and the holes of its edges.
fn holed(piece: &Piece) -> (Network, Vec<Vec<Point>>) {
    let none = spread::nowhere(&piece.route, &piece.network);
    let network = features::settle(&piece.route, &piece.network, &none, false).network;
    let holes = holes::of_edges(&piece.route, &network, piece.order.sew.step_mm, &none);
    (network, holes)
}

/// The fields of all hoops as they lie and turned, clearance taken off.
#[must_use]
pub fn fields(hoops: &[Hoop]) -> Vec<Size> {
    let usable = |h: &Hoop| (h.width_mm - 2.0 * CLEARANCE_MM, h.height_mm - 2.0 * CLEARANCE_MM);
    hoops.iter().map(usable).flat_map(|(w, h)| [Size::new(w, h), Size::new(h, w)]).collect()
}

/// Bits of lines, their boxes, and the windows that hold them.
struct Covered {
    bits: Vec<Bit>,
    boxes: Vec<Rect>,
    windows: Vec<Rect>,
}

impl Covered {
    fn boxes(bits: &[Bit]) -> Vec<Rect> {
        let mut boxes: Vec<Rect> = bits.iter().map(|b| b.bounds).collect();
        boxes.dedup();
        boxes
    }
}

/// The fewer windows of two covers: of bits of [`PART_MM`], the best that is found; and of single stitches, in rows.
fn covered(network: &Network, holes: &[Vec<Point>], keep_whole: bool, fields: &[Size]) -> Option<Covered> {
    let bits_of = |part_mm: f64| {
        let mut bits = bits(network, holes, part_mm);
        if keep_whole {
            keep_lines_whole(network, &mut bits, fields);
        }
        bits
    };
    let long = bits_of(PART_MM);
    let boxes = Covered::boxes(&long);
    // A field in which not even such a bit fits is none to quilt with.
    let fits = |b: &Rect| fields.iter().any(|f| b.width() <= f.width && b.height() <= f.height);
    if !boxes.iter().all(fits) {
        return None;
    }
    let few = boxes.len() <= MOST_SEARCHED;
    let searched = if few { cover::cover(&boxes, fields) } else { None };
    let short = bits_of(0.0);
    let steps = Covered::boxes(&short);
    let windows = shelves::shelves(&steps, fields);
    if let Some(windows) = windows.filter(|w| searched.as_ref().is_none_or(|s| w.len() < s.windows.len())) {
        return Some(Covered { bits: short, boxes: steps, windows });
    }
    Some(Covered { bits: long, boxes, windows: searched?.windows })
}

fn bits(network: &Network, holes: &[Vec<Point>], part_mm: f64) -> Vec<Bit> {
    let mut bits = Vec::new();
    for (edge, points) in holes.iter().enumerate().filter(|(i, _)| network.edges[*i].is_drawn()) {
        let length = chain::length(points);
        let each = if part_mm > 0.0 { length / (length / part_mm).ceil().max(1.0) } else { 0.0 };
        let (mut from, mut run) = (0, 0.0);
        for (i, pair) in points.windows(2).enumerate() {
            run += pair[0].distance(pair[1]);
            if run >= each - 1e-6 || i + 2 == points.len() {
                bits.push(Bit { edge, from, to: i + 1, bounds: chain::bounds(&points[from..=i + 1]) });
                (from, run) = (i + 1, 0.0);
            }
        }
    }
    bits
}

/// Lines that were drawn to fit a field are not cut: every bit of one takes up the room of all of it.
fn keep_lines_whole(network: &Network, bits: &mut [Bit], fields: &[Size]) {
    let mut line = vec![0; network.edges.len()];
    for (number, edges) in network.pieces().iter().enumerate() {
        edges.iter().for_each(|e| line[*e] = number);
    }
    let mut lines: BTreeMap<usize, Rect> = BTreeMap::new();
    for bit in bits.iter() {
        lines.entry(line[bit.edge]).and_modify(|r| *r = r.union(bit.bounds)).or_insert(bit.bounds);
    }
    for bit in bits {
        let whole = lines[&line[bit.edge]];
        if fields.iter().any(|f| whole.width() <= f.width && whole.height() <= f.height) {
            bit.bounds = whole;
        }
    }
}

/// For each bit the window that sews it: that of the whole edge if one holds it, else the nearest that holds the bit.
fn owners(bits: &[Bit], windows: &[Rect]) -> Vec<usize> {
    let mut edges: BTreeMap<usize, Rect> = BTreeMap::new();
    for bit in bits {
        edges.entry(bit.edge).and_modify(|r| *r = r.union(bit.bounds)).or_insert(bit.bounds);
    }
    bits.iter()
        .map(|bit| nearest(&edges[&bit.edge], windows).or_else(|| nearest(&bit.bounds, windows)).unwrap_or(0))
        .collect()
}

/// The window whose middle is nearest to a box, of those that hold it.
fn nearest(bounds: &Rect, windows: &[Rect]) -> Option<usize> {
    let holds = |w: &Rect| {
        let w = w.inflate(1e-6, 1e-6);
        w.x0 <= bounds.x0 && w.x1 >= bounds.x1 && w.y0 <= bounds.y0 && w.y1 >= bounds.y1
    };
    let away = |w: &Rect| (w.center() - bounds.center()).hypot2();
    let held = windows.iter().enumerate().filter(|(_, w)| holds(w));
    held.min_by(|(_, a), (_, b)| away(a).total_cmp(&away(b))).map(|(i, _)| i)
}

type Cell = (i64, i64);

fn cell(p: Point) -> Cell {
    (grid::cells(p.x), grid::cells(p.y))
}

/// The holes at which lines of different hoopings meet.
fn shared_holes(bits: &[Bit], owners: &[usize], holes: &[Vec<Point>]) -> BTreeSet<Cell> {
    let mut at: BTreeMap<Cell, BTreeSet<usize>> = BTreeMap::new();
    for (bit, owner) in bits.iter().zip(owners) {
        for i in [bit.from, bit.to] {
            at.entry(cell(holes[bit.edge][i])).or_default().insert(*owner);
        }
    }
    at.into_iter().filter(|(_, owners)| owners.len() > 1).map(|(cell, _)| cell).collect()
}

/// A network under construction: its nodes by the hole they stand on.
#[derive(Default)]
struct Build {
    network: Network,
    known: BTreeMap<Cell, usize>,
}

impl Build {
    fn node(&mut self, p: Point) -> usize {
        let nodes = &mut self.network.nodes;
        *self.known.entry(cell(p)).or_insert_with(|| {
            nodes.push(p);
            nodes.len() - 1
        })
    }

    fn edge(&mut self, chain: Vec<Point>, corners: Vec<usize>, kind: EdgeKind) {
        let (Some(first), Some(last)) = (chain.first(), chain.last()) else { return };
        let (from, to) = (self.node(*first), self.node(*last));
        let length_mm = chain::length(&chain);
        if length_mm > 0.0 {
            self.network.edges.push(Edge { from, to, chain, corners, length_mm, kind });
        }
    }
}

fn part_network(
    network: &Network,
    (holes, places): (&[Vec<Point>], &[Vec<f64>]),
    bits: &[Bit],
    owners: &[usize],
    window: usize,
    rect: &Rect,
) -> Network {
    let mut build = Build::default();
    let mut i = 0;
    while i < bits.len() {
        let mut j = i + 1;
        while j < bits.len() && bits[j].edge == bits[i].edge && owners[j] == owners[i] {
            j += 1;
        }
        if owners[i] == window {
            let e = bits[i].edge;
            let (chain, corners) =
                cut(&network.edges[e], (&holes[e], &places[e]), bits[i].from, bits[j - 1].to);
            build.edge(chain, corners, EdgeKind::Drawn);
        }
        i = j;
    }
    let room = rect.inflate(1e-6, 1e-6);
    for edge in network.edges.iter().filter(|e| !e.is_drawn()) {
        let ends = [edge.from, edge.to].map(|n| grid::snap(network.nodes[n]));
        let known = ends.iter().all(|p| build.known.contains_key(&cell(*p)));
        let inside = edge.chain.iter().chain(&ends).all(|p| room.contains(*p));
        if known && inside {
            let mut chain = edge.chain.clone();
            let last = chain.len() - 1;
            (chain[0], chain[last]) = (ends[0], ends[1]);
            build.edge(chain, edge.corners.clone(), EdgeKind::Travel);
        }
    }
    build.network
}

/// The part of an edge between two of its holes: its chain, whose ends are the holes, and its corners.
fn cut(edge: &Edge, (holes, places): (&[Point], &[f64]), from: usize, to: usize) -> (Vec<Point>, Vec<usize>) {
    let start = places[from];
    let end = if to + 1 == holes.len() { f64::INFINITY } else { places[to] };
    let (mut chain, mut corners) = (vec![holes[from]], Vec::new());
    let mut run = 0.0;
    for i in 1..edge.chain.len().saturating_sub(1) {
        run += edge.chain[i - 1].distance(edge.chain[i]);
        if run > start + grid_dust() && run < end - grid_dust() {
            if edge.corners.contains(&i) {
                corners.push(chain.len());
            }
            chain.push(edge.chain[i]);
        }
    }
    chain.push(holes[to]);
    (chain, corners)
}

/// Points of the line closer than this to a cut are left out, mm: half a step of the machine.
fn grid_dust() -> f64 {
    crate::base::tolerance::GRID_MM / 2.0
}

/// How far along `chain` each of its holes lies. A hole lies on its line, within the grid: the nearest place a step or so
/// further on than the one before.
fn places(chain: &[Point], holes: &[Point]) -> Vec<f64> {
    let mut places = vec![0.0];
    let (mut first, mut done, mut along) = (0, 0.0, 0.0);
    for pair in holes.windows(2) {
        let most = along + 2.0 * pair[0].distance(pair[1]) + 1.0;
        let side = |i: usize| Some((*chain.get(i)?, *chain.get(i + 1)?));
        while let Some((a, b)) = side(first).filter(|(a, b)| done + a.distance(*b) < along) {
            (first, done) = (first + 1, done + a.distance(b));
        }
        let mut best = (f64::INFINITY, along);
        let (mut i, mut run) = (first, done);
        while let Some((a, b)) = side(i).filter(|_| run <= most) {
            let q = nearest_on_segment(pair[1], a, b);
            let off = pair[1].distance(q);
            if off < best.0 {
                best = (off, (run + a.distance(q)).clamp(along, most));
            }
            (i, run) = (i + 1, run + a.distance(b));
        }
        along = best.1;
        places.push(along);
    }
    places
}

/// A part of a piece, walked and sewn by itself.
fn sewn(whole: &Piece, network: Network) -> Result<Piece, TopError> {
    let failed = |error| TopError::Piece { name: whole.order.name.clone(), error };
    let route = route::walk(&network, &WalkOptions::default()).map_err(|e| failed(e.into()))?;
    let proof = verify(&network, &route).map_err(|e| failed(RouteError::from(e).into()))?;
    let stitches = stitches::sew(&route, &network, &whole.order.sew).map_err(|e| failed(e.into()))?;
    let mut survey = survey::survey(&stitches, None, &whole.order.sandwich).map_err(|e| failed(e.into()))?;
    // Gaps are a matter of the whole piece; the other hoopings fill what this one leaves open.
    (survey.gap, survey.clear_gap) = (whole.survey.gap, whole.survey.clear_gap);
    let lines = network.edges.iter().filter(|e| e.is_drawn()).map(|e| path_through(&e.chain, false));
    let drawing = Drawing { lines: lines.collect(), ..whole.drawing.clone() };
    let unspread_holes = tailor::unspread_holes(&route, &network, &whole.order.sew).map_err(failed)?;
    let order = whole.order.clone();
    Ok(Piece { order, drawing, network, route, proof, stitches, survey, unspread_holes })
}
