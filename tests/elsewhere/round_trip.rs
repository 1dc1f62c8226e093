//! Motifs of the library as if they came from elsewhere: written, read, checked, sewn anew.

use std::collections::BTreeMap;

use kurbo::{Affine, Point};
use rayon::prelude::*;
use rstar::primitives::{GeomWithData, Line};
use rstar::{PointDistance, RTree};
use thrice::base::chain::length;
use thrice::base::curve::flatten;
use thrice::base::units::Units;
use thrice::block::outline;
use thrice::block::shape::Shape;
use thrice::drawing::motif::Motif;
use thrice::drawing::{library, settings};
use thrice::network::Edge;
use thrice::stitches::Times;
use thrice::survey::Sandwich;
use thrice::survey::kind::Sewn;
use thrice::survey::verdict::{Moves, judge};
use thrice::tailor::refit::{self, Lines};
use thrice::tailor::{Design, Order, Piece, make};
use thrice::wire::Format;

/// How far lines may come back from where they were, mm, away from places where features share a hole.
const BACK_MM: f64 = 0.15;
/// As far as a line is bent to a shared hole, mm, and about such places.
const BENT_MM: f64 = 1.11;
const CROWDED_MM: f64 = 1.3;
const BEND_MM: f64 = 4.6;

const SHAPES: [(&str, &str); 4] =
    [("square", "8in"), ("half-square", "8in"), ("hexagon", "4in"), ("strip", "5in,20in")];
/// Motifs of the quick run: curves, straight lines that cross, plumes, a wandering line.
const QUICK: [&str; 5] = ["orange-peel", "cross-hatch", "feather-wreath", "stipple", "clamshell"];

fn sewn(motif: &Motif, (key, value): (&str, &str)) -> Option<Piece> {
    let block = outline(&Shape::from_words(key, value).unwrap(), 6.35).unwrap();
    if !motif.suits(block.shape.suit()) {
        return None;
    }
    let defaults = settings::resolve(&motif.name, &motif.settings, &[]).unwrap();
    let name = format!("{}-{key}", motif.name);
    make(Order::new(&name, block, Design::Motif(Box::new(motif.clone()), defaults))).ok()
}

struct Pieces(RTree<GeomWithData<Line<[f64; 2]>, ()>>);

impl Pieces {
    fn of<'a>(chains: impl Iterator<Item = &'a [Point]>) -> Self {
        let line = |w: &[Point]| GeomWithData::new(Line::new([w[0].x, w[0].y], [w[1].x, w[1].y]), ());
        Self(RTree::bulk_load(chains.flat_map(|c| c.windows(2).map(line).collect::<Vec<_>>()).collect()))
    }

    fn off(&self, p: Point) -> f64 {
        let at = [p.x, p.y];
        self.0.nearest_neighbor(&at).map_or(f64::INFINITY, |l| l.distance_2(&at).sqrt())
    }
}

fn dense(chain: &[Point]) -> Vec<Point> {
    let mut all = Vec::new();
    for w in chain.windows(2) {
        let n = (w[0].distance(w[1]) / 0.5).ceil().max(1.0) as usize;
        all.extend((0..n).map(|k| w[0].lerp(w[1], k as f64 / n as f64)));
    }
    all.extend(chain.last());
    all
}

/// How far two sets of chains are apart at most, away from `crowded` places, with the place, and near them, mm.
fn apart(one: &[Vec<Point>], other: &[Vec<Point>], crowded: &[Point]) -> (f64, Point, f64) {
    let (mut plain, mut at, mut near) = (0.0_f64, Point::ORIGIN, 0.0_f64);
    for (from, to) in [(one, other), (other, one)] {
        let lines = Pieces::of(to.iter().map(Vec::as_slice));
        for p in from.iter().flat_map(|chain| dense(chain)) {
            let off = lines.off(p);
            if crowded.iter().any(|c| c.distance(p) < BEND_MM) {
                near = near.max(off)
            } else if off > plain {
                (plain, at) = (off, p);
            }
        }
    }
    (plain, at, near)
}

fn chains(lines: &Lines, to: Affine) -> Vec<Vec<Point>> {
    lines.paths.iter().flat_map(|path| flatten(&(to * path.clone()), 0.005)).map(|flat| flat.points).collect()
}

/// The ends and corners of a line that are nearer to each other along it than a stitch, so that they share a hole.
fn crowded(edge: &Edge) -> Vec<Point> {
    let features: Vec<usize> = [&[0], edge.corners.as_slice(), &[edge.chain.len() - 1]].concat();
    let near = features.windows(2).filter(|w| length(&edge.chain[w[0]..=w[1]]) < CROWDED_MM);
    near.map(|w| edge.chain[w[0]]).collect()
}

/// What is wrong with one motif that went through, and how far its lines came back.
fn gone_through(piece: &Piece) -> (Vec<String>, f64, f64) {
    let name = &piece.order.name;
    let mut wrong = Vec::new();
    let bytes = Format::Dst.write(&piece.stitches, "x").unwrap();
    let reading = Format::Dst.read(&bytes).unwrap();
    let moves =
        Moves { jumps: reading.jumps(), trims: reading.trims(), colour_stops: reading.colour_changes };
    let (_, verdict) = judge(&reading.stitches, None, &Sandwich::default(), moves, Units::Inches).unwrap();
    if verdict.kind.word() != Some(Sewn::Triple) || !verdict.kind.areas.is_empty() {
        wrong.push(format!("{name}: {:?} {:?}", verdict.kind.passes, verdict.kind.areas));
    }
    let lines = match refit::lines(&reading.stitches, Units::Inches) {
        Ok(lines) => lines,
        Err(error) => return ([wrong, vec![format!("{name}: {error}")]].concat(), 0.0, 0.0),
    };
    let crowded: Vec<Point> = piece.network.edges.iter().flat_map(crowded).collect();
    let drawn: Vec<Vec<Point>> =
        piece.network.edges.iter().filter(|e| e.is_drawn()).map(|e| e.chain.clone()).collect();
    let back = chains(&lines, Affine::translate(piece.stitches.centre.to_vec2()));
    let (plain, at, near) = apart(&back, &drawn, &crowded);
    if plain > BACK_MM || near > BENT_MM {
        wrong.push(format!(
            "{name}: lines come back {plain:.3} mm off at {at:.1}, {near:.3} mm where they crowd"
        ));
    }
    for scale in [1.0, 0.5, 0.75, 1.25] {
        wrong.extend(sewn_anew(piece, &lines, scale));
    }
    (wrong, plain, near)
}

/// What is wrong with it sewn anew at a scale.
fn sewn_anew(piece: &Piece, lines: &Lines, scale: f64) -> Vec<String> {
    let name = format!("{} at {} %", piece.order.name, scale * 100.0);
    let again = match make(refit::order("x", "x", lines, refit::own_box(lines, scale).unwrap())) {
        Ok(again) => again,
        Err(error) => return vec![format!("{name}: {error}")],
    };
    let mut wrong = Vec::new();
    // Crowded holes are those of the size asked for, and another matter.
    let judge = if scale < 1.0 { super::kept::faults_made_smaller } else { super::kept::faults };
    let kept = judge(&again).into_iter().filter(|fault| !fault.contains("too many holes"));
    wrong.extend(kept.map(|fault| format!("{name}: {fault}")));
    let ratio = again.route.drawn_mm / (piece.route.drawn_mm * scale);
    if (ratio - 1.0).abs() > 0.01 {
        wrong.push(format!("{name}: {:.3} times the line", ratio));
    }
    wrong
}

#[test]
fn motifs_from_elsewhere_are_told_and_come_back_at_any_size() {
    let motifs = library::read_all(&[]).unwrap();
    let asked = super::asked();
    let shapes = if asked.is_some() { &SHAPES[..] } else { &SHAPES[..1] };
    let names: Vec<&str> = asked.as_deref().map_or(QUICK.to_vec(), |words| words.split(',').collect());
    let chosen = motifs.iter().filter(|m| super::all() || names.contains(&m.name.as_str()));
    let cases: Vec<(&Motif, (&str, &str))> =
        chosen.flat_map(|motif| shapes.iter().map(move |shape| (motif, *shape))).collect();
    let pieces: Vec<Piece> = cases.par_iter().filter_map(|(motif, shape)| sewn(motif, *shape)).collect();
    let known = |name: &&str| *name == "all" || motifs.iter().any(|m| m.name == **name);
    assert!(names.iter().all(known), "one of {names:?} is no motif");
    assert!(pieces.len() >= names.len(), "{} pieces for {names:?}", pieces.len());
    let told: Vec<(Vec<String>, f64, f64)> = pieces.par_iter().map(gone_through).collect();
    let worst = told.iter().map(|t| t.1).fold(0.0, f64::max);
    let near = told.iter().map(|t| t.2).fold(0.0, f64::max);
    println!("{} designs, lines back within {worst:.3} mm, where they crowd {near:.3} mm", pieces.len());
    let wrong: Vec<&String> = told.iter().flat_map(|t| &t.0).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_design_is_bent_to_an_odd_block_and_keeps_its_passes() {
    let motifs = library::read_all(&[]).unwrap();
    let piece = sewn(library::find(&motifs, "orange-peel").unwrap(), SHAPES[0]).unwrap();
    let lines = refit::lines(&piece.stitches, Units::Inches).unwrap();
    let sides = Shape::from_sides("8 1/8in, 8in, 7 7/8in, 8 1/16in", Some("11 3/8in"), None).unwrap();
    let block = outline(&sides, 6.35).unwrap();
    let again = make(refit::order("x", "x", &lines, block.clone())).unwrap();
    assert_eq!(again.survey.jumps(), 0);
    let passes: BTreeMap<usize, usize> = again.survey.steps.passes.clone();
    assert!(passes.keys().all(|n| (3..=4).contains(n)), "{passes:?}");
    // A corner of the design's box goes to a corner of the inner outline; none of its holes is past the outline.
    assert_eq!(again.survey.past, None);
    let reach = again.stitches.bounds();
    let inside = block.inside[0].bounds();
    assert!((reach.width() - inside.width()).abs() < 1.5, "{reach:?} in {inside:?}");
    assert!((0.002..0.1).contains(&again.drawing.stretch), "{}", again.drawing.stretch);
}

#[test]
fn a_triple_design_is_made_single_and_a_single_one_triple() {
    let motifs = library::read_all(&[]).unwrap();
    let piece = sewn(library::find(&motifs, "clamshell").unwrap(), SHAPES[0]).unwrap();
    let lines = refit::lines(&piece.stitches, Units::Inches).unwrap();
    let mut order = refit::order("x", "x", &lines, refit::own_box(&lines, 1.0).unwrap());
    order.sew.times = Times::Once;
    let single = make(order).unwrap();
    assert!(single.survey.steps.passes.keys().all(|n| *n <= 2), "{:?}", single.survey.steps.passes);
    let lines = refit::lines(&single.stitches, Units::Inches).unwrap();
    let triple = make(refit::order("x", "x", &lines, refit::own_box(&lines, 1.0).unwrap())).unwrap();
    assert!(
        triple.survey.steps.passes.keys().all(|n| (3..=4).contains(n)),
        "{:?}",
        triple.survey.steps.passes
    );
    assert!((triple.route.drawn_mm / piece.route.drawn_mm - 1.0).abs() < 0.005);
}
