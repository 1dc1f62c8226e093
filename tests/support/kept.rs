//! What every sewn piece promises, looked at from outside: plain loops over needle points, lines and outlines.

use std::collections::BTreeMap;

use kurbo::{ParamCurveNearest, Point};
use rstar::primitives::{GeomWithData, Line};
use rstar::{PointDistance, RTree};
use thrice::block::Block;
use thrice::block::region::Ring;
use thrice::network::{Edge, Network};
use thrice::stitches::Stitches;
use thrice::tailor::Piece;

/// How far a stitch may leave its line, mm, and what the flattening of the line may add.
const OFF_MM: f64 = 0.1 + 0.01;
/// Where features are nearer than a stitch they share a hole, and the lines about it are bent to it, mm.
const CROWDED_MM: f64 = 1.3;
const BENT_MM: f64 = 4.6;
const OFF_WHERE_CROWDED_MM: f64 = 1.0 + 0.11;
/// Where a line bends within a stitch even the shortest stitch leaves it, mm: it is as short as may be and leaves it by less.
const SHORT_MM: f64 = 1.1;
const OFF_WHERE_SHORT_MM: f64 = 0.3;
/// A line of so many mm between two features holds one of the shortest stitches, rounding allowed for.
const ROOM_MM: f64 = 1.05;
/// How far a hole may stand beside it, mm: one step of the machine, where there is no room for it along the line.
const BESIDE_MM: f64 = 0.1;
/// How far rounding to the machine's steps moves a hole at most, mm.
const ROUNDED_MM: f64 = 0.071;
/// How far a needle hole may stand outside the inner outline, mm.
const OUTSIDE_MM: f64 = 0.1;
/// The shortest and the longest stitch, mm.
const STEP_MM: std::ops::RangeInclusive<f64> = 1.0 - 1e-9..=5.0 + 1e-9;
/// The most needle holes in a circle of 1 mm.
const HOLES: usize = 12;

/// A stitch as its two holes in tenths of a millimetre, the lower one first.
pub type Stitch = ((i64, i64), (i64, i64));

fn tenths(p: Point) -> (i64, i64) {
    ((p.x * 10.0).round() as i64, (p.y * 10.0).round() as i64)
}

/// How often each stitch is sewn, ties left out.
pub fn passes(stitches: &Stitches) -> BTreeMap<Stitch, usize> {
    let mut passes = BTreeMap::new();
    for run in &stitches.pieces {
        for w in run.body().windows(2) {
            let (a, b) = (tenths(w[0]), tenths(w[1]));
            *passes.entry((a.min(b), a.max(b))).or_insert(0) += 1;
        }
    }
    passes
}

fn ends((a, b): &Stitch) -> (Point, Point) {
    let mm = |p: &(i64, i64)| Point::new(p.0 as f64 / 10.0, p.1 as f64 / 10.0);
    (mm(a), mm(b))
}

/// The straight pieces of all lines, to look for the nearest.
struct Lines(RTree<GeomWithData<Line<[f64; 2]>, ()>>);

impl Lines {
    fn of(network: &Network) -> Self {
        let pieces = network.edges.iter().flat_map(|e| e.chain.windows(2));
        let line = |w: &[Point]| GeomWithData::new(Line::new([w[0].x, w[0].y], [w[1].x, w[1].y]), ());
        Self(RTree::bulk_load(pieces.map(line).collect()))
    }

    fn off(&self, p: Point) -> f64 {
        let at = [p.x, p.y];
        self.0.nearest_neighbor(&at).map_or(f64::INFINITY, |l| l.distance_2(&at).sqrt())
    }
}

/// How deep a point lies inside the inner outline, mm; outside it is below 0.
fn depth(block: &Block, p: Point) -> f64 {
    block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max)
}

/// True if a stitch lies in the seam: there it may be travel, sewn once, and does not show.
fn is_travel(block: &Block, stitch: &Stitch, crowded: &[Point]) -> bool {
    let (a, b) = ends(stitch);
    let rings: Vec<&Ring> = block.outline.rings().collect();
    let near = |p: Point| {
        let bent = crowded.iter().any(|c| c.distance(p) < BENT_MM);
        let most = if bent { OFF_WHERE_CROWDED_MM } else { 2.0 * OFF_MM };
        rings.iter().any(|r| thrice::base::chain::distance_to_ring(p, r.points()) <= most)
    };
    near(a) && near(b) && near(a.midpoint(b))
}

/// A stretch of line between two ends or corners, and how far equal steps, as many as have room in it, leave it at most.
struct Tight<'a> {
    chain: &'a [Point],
    sag: f64,
}

/// The stretches that hold at most so many of the shortest stitches.
fn tight(piece: &Piece, most: f64) -> Vec<Tight<'_>> {
    let features = |e: &Edge| [&[0], e.corners.as_slice(), &[e.chain.len() - 1]].concat();
    let edges = piece.network.edges.iter().map(|e| (e, features(e)));
    let stretches = edges.flat_map(|(e, at)| {
        at.windows(2).map(|w| &e.chain[w[0]..=w[1]]).filter(|c| c.len() > 1).collect::<Vec<_>>()
    });
    let few = stretches.filter(|chain| length(chain) / ROOM_MM < most + 1.0);
    few.map(|chain| Tight { chain, sag: equal_sag(chain) }).collect()
}

fn length(chain: &[Point]) -> f64 {
    chain.windows(2).map(|w| w[0].distance(w[1])).sum()
}

fn off_side(p: Point, a: Point, b: Point) -> f64 {
    kurbo::Line::new(a, b).nearest(p, 1e-9).distance_sq.sqrt()
}

fn equal_sag(chain: &[Point]) -> f64 {
    let steps = (length(chain) / ROOM_MM).floor().max(1.0);
    let each = length(chain) / steps;
    let mut along = 0.0;
    let mut places = vec![(0.0, chain[0])];
    for w in chain.windows(2) {
        // Twenty places a side, each with its length along.
        let long = w[0].distance(w[1]);
        places.extend((1..=20).map(|k| f64::from(k) / 20.0).map(|t| (along + t * long, w[0].lerp(w[1], t))));
        along += long;
    }
    let at = |mm: f64| places[places.partition_point(|p| p.0 < mm - 1e-9).min(places.len() - 1)].1;
    let off = |(mm, p): &(f64, Point)| {
        let step = (mm / each).floor().min(steps - 1.0);
        off_side(*p, at(step * each), at((step + 1.0) * each))
    };
    places.iter().map(off).fold(0.0, f64::max)
}

/// How far a stitch may leave its line where it lies on one of these stretches, between its ends if it holds a single stitch.
fn off_where_tight(tight: &[Tight<'_>], a: Point, b: Point) -> f64 {
    let on = |t: &&Tight| {
        let ends = [t.chain[0], t.chain[t.chain.len() - 1]];
        let near = |p: Point| t.chain.windows(2).any(|w| off_side(p, w[0], w[1]) <= OFF_MM + BESIDE_MM);
        match length(t.chain) < 2.0 * ROOM_MM {
            true => [(a, b), (b, a)]
                .iter()
                .any(|(p, q)| p.distance(ends[0]) <= BESIDE_MM && q.distance(ends[1]) <= BESIDE_MM),
            false => near(a) && near(b),
        }
    };
    tight.iter().filter(on).map(|t| t.sag + ROUNDED_MM).fold(0.0, f64::max)
}

/// All that is wrong with a sewn piece, a line each. Where a stretch between two ends or corners holds one stitch, that one may
/// leave it by what lies between: no other stitch can be there.
pub fn faults(piece: &Piece) -> Vec<String> {
    judged(piece, &tight(piece, 1.0))
}

/// All that is wrong with a design that is sewn smaller than it was drawn for: lines on which hardly a stitch has room any more
/// may be left by as much as equal steps leave them.
pub fn faults_made_smaller(piece: &Piece) -> Vec<String> {
    judged(piece, &tight(piece, 3.0))
}

fn judged(piece: &Piece, tight: &[Tight<'_>]) -> Vec<String> {
    let (block, stitches) = (&piece.order.block, &piece.stitches);
    let passes = passes(stitches);
    let mut wrong = Vec::new();
    let short = piece.network.edges.iter().filter(|e| e.length_mm < CROWDED_MM);
    let crowded: Vec<Point> = short.map(|e| e.chain[0]).collect();
    let mut found = |what: &str, places: Vec<(Point, f64)>| {
        if let Some((at, worst)) = places.first() {
            wrong.push(format!(
                "{}: {} times {what}, as {worst:.3} at {at:.1}",
                piece.order.name,
                places.len()
            ));
        }
    };
    let all = || passes.iter().map(|(stitch, n)| (stitch, ends(stitch), *n));
    let step = |(_, (a, b), _): &(&Stitch, (Point, Point), usize)| (a.midpoint(*b), a.distance(*b));
    found("a step out of range", all().map(|s| step(&s)).filter(|s| !STEP_MM.contains(&s.1)).collect());
    let over = all().filter(|(_, _, n)| *n > 4).map(|(_, (a, b), n)| (a.midpoint(b), n as f64));
    found("passed more than four times", over.collect());
    let thin = all().filter(|(s, _, n)| *n < 3 && !is_travel(block, s, &crowded));
    found("passed less than three times", thin.map(|(_, (a, b), n)| (a.midpoint(b), n as f64)).collect());
    let lines = Lines::of(&piece.network);
    let allowed = |p: Point, (a, b): (Point, Point)| {
        let near = crowded.iter().any(|c| c.distance(p) < BENT_MM);
        match (near, a.distance(b) <= SHORT_MM) {
            (true, _) => OFF_WHERE_CROWDED_MM,
            (_, true) => OFF_WHERE_SHORT_MM,
            _ => OFF_MM.max(off_where_tight(tight, a, b)),
        }
    };
    let along = all().flat_map(|(_, (a, b), _)| {
        [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| (a.lerp(b, t), allowed(a.lerp(b, t), (a, b))))
    });
    let off = along.map(|(p, most)| (p, lines.off(p), most)).filter(|(_, off, most)| off > most);
    found("off its line", off.map(|(p, off, _)| (p, off)).collect());
    let outside = stitches.points().map(|p| (p, -depth(block, p)));
    found("outside", outside.filter(|(_, out)| *out > OUTSIDE_MM).collect());
    let holes = piece.survey.holes;
    found(
        "too many holes",
        [(holes.at, holes.holes as f64)].into_iter().filter(|h| h.1 > HOLES as f64).collect(),
    );
    let (jumps, fewest) =
        (stitches.pieces.len().saturating_sub(1), piece.network.joined_pieces().len().saturating_sub(1));
    found(
        "jumps without need",
        [(stitches.centre, jumps as f64)].into_iter().filter(|_| jumps != fewest).collect(),
    );
    wrong
}
