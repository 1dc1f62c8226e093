//! What every sewn route keeps, on one network with a straight, a bend, a tight S, a corner and a doubled line.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Point};

use super::grid::cells;
use super::unpick::seam::Passes;
use super::unpick::unpick;
use super::{SewOptions, Stitches, sew};
use crate::base::chain::distance_to_chain;
use crate::base::curve::{flatten, path_length};
use crate::base::tolerance::{CHORD_MM, FLATTEN_MM, GRID_MM};
use crate::network::{Edge, EdgeKind, Network};
use crate::route::{Route, Step, Visit, Walk};

/// Three lines in a ring, and a branch that is sewn out and walked back; (from, to, path).
const LINES: [(usize, usize, &str); 4] = [
    (0, 1, "M-20.03,-10.02 L20.01,-10.04"),
    (1, 2, "M20.01,-10.04 C32,-10 32,10.3 20.02,10.01"),
    (2, 0, "M20.02,10.01 C5,-20 0,30 -20.03,-10.02"),
    (2, 3, "M20.02,10.01 L9.07,18.33 C4,14 4,22 -6.61,17.77"),
];

fn network(placing: Affine) -> Network {
    let nodes = [(-20.03, -10.02), (20.01, -10.04), (20.02, 10.01), (-6.61, 17.77)];
    let edge = |(from, to, line): &(usize, usize, &str)| {
        let path = placing * BezPath::from_svg(line).unwrap();
        let flat = flatten(&path, FLATTEN_MM).remove(0);
        let length_mm = crate::base::chain::length(&flat.points);
        let (from, to, kind) = (*from, *to, EdgeKind::Drawn);
        Edge { from, to, chain: flat.points, corners: flat.corners, length_mm, kind }
    };
    let nodes = nodes.into_iter().map(|p| placing * Point::from(p)).collect();
    Network { nodes, edges: LINES.iter().map(edge).collect() }
}

/// Round the ring, with the branch out and back on the way.
fn route() -> Route {
    let triple = |edge: usize| Step { edge, forward: true, visit: Visit::Triple };
    let back = Step { edge: 3, forward: false, visit: Visit::Single };
    let steps = vec![triple(0), triple(1), triple(3), back, triple(2)];
    Route { pieces: vec![Walk { steps }], ..Route::default() }
}

fn sewn(placing: Affine) -> (Network, Stitches) {
    let network = network(placing);
    let stitches = sew(&route(), &network, &SewOptions::default()).unwrap();
    (network, stitches)
}

fn turned(degrees: f64) -> Affine {
    Affine::rotate(degrees.to_radians())
}

fn placings() -> Vec<Affine> {
    let turns: Vec<Affine> = [0.0, 7.0, 30.0, 45.0, 90.0, 123.4, 180.0, 271.0].map(turned).to_vec();
    let mirrored = turns.iter().map(|turn| *turn * Affine::FLIP_X);
    turns.iter().copied().chain(mirrored).collect()
}

/// How often each step between two holes is sewn, ties left out.
fn passes(stitches: &Stitches) -> BTreeMap<[(i64, i64); 2], usize> {
    let mut passes = BTreeMap::new();
    for w in stitches.pieces.iter().flat_map(|run| run.body().windows(2)) {
        let mut step = [(cells(w[0].x), cells(w[0].y)), (cells(w[1].x), cells(w[1].y))];
        step.sort_unstable();
        *passes.entry(step).or_insert(0) += 1;
    }
    passes
}

/// How many steps are sewn how often.
fn counts(stitches: &Stitches) -> BTreeMap<usize, usize> {
    let mut counts = BTreeMap::new();
    for times in passes(stitches).into_values() {
        *counts.entry(times).or_insert(0) += 1;
    }
    counts
}

#[test]
fn every_step_is_sewn_three_times_and_four_where_it_is_walked_back() {
    let (network, stitches) = sewn(Affine::IDENTITY);
    for (step, times) in passes(&stitches) {
        let middle = Point::new((step[0].0 + step[1].0) as f64, (step[0].1 + step[1].1) as f64);
        let middle = Point::new(middle.x / 20.0, middle.y / 20.0);
        let on_branch = distance_to_chain(middle, &network.edges[3].chain) < 0.15;
        assert_eq!(times, if on_branch { 4 } else { 3 }, "{step:?}");
    }
}

#[test]
fn every_corner_end_and_junction_has_its_hole() {
    for placing in placings() {
        let (network, stitches) = sewn(placing);
        let corners = network.edges.iter().flat_map(|e| e.corners.iter().map(|c| e.chain[*c]));
        let features: Vec<Point> = network.nodes.iter().copied().chain(corners).collect();
        assert_eq!(features.len(), 5);
        for feature in features {
            let nearest = stitches.points().map(|p| p.distance(feature)).fold(9.0, f64::min);
            assert!(nearest <= GRID_MM * 0.7072, "{feature}: {nearest}");
        }
    }
}

#[test]
fn stitches_keep_to_the_lines_and_the_lines_to_their_stitches() {
    for placing in placings() {
        let (network, stitches) = sewn(placing);
        let chains: Vec<&[Point]> = network.edges.iter().map(|e| e.chain.as_slice()).collect();
        for (a, b) in stitches.segments() {
            for p in [0.0, 0.25, 0.5, 0.75].map(|t| a.lerp(b, t)) {
                let off = chains.iter().map(|c| distance_to_chain(p, c)).fold(9.0, f64::min);
                assert!(off <= CHORD_MM + FLATTEN_MM, "the stitch at {p} is {off} mm off");
            }
        }
        let runs: Vec<&[Point]> = stitches.pieces.iter().map(|r| r.body()).collect();
        for p in chains.into_iter().flatten() {
            let off = runs.iter().map(|r| distance_to_chain(*p, r)).fold(9.0, f64::min);
            assert!(off <= CHORD_MM + FLATTEN_MM, "the line at {p} is {off} mm from its stitches");
        }
    }
}

#[test]
fn steps_are_neither_tiny_nor_long_and_lie_on_the_grid() {
    for placing in placings() {
        let (_, stitches) = sewn(placing);
        for w in stitches.pieces.iter().flat_map(|run| run.body().windows(2)) {
            let step = w[0].distance(w[1]);
            assert!((1.0 - 1e-9..=3.0).contains(&step), "{step} at {}", w[0]);
        }
        for p in stitches.points() {
            assert_eq!((p.x, p.y), (cells(p.x) as f64 / 10.0, cells(p.y) as f64 / 10.0));
        }
    }
}

#[test]
fn turned_and_mirrored_copies_are_sewn_alike() {
    let wanted = counts(&sewn(Affine::IDENTITY).1);
    assert_eq!(wanted.keys().copied().collect::<Vec<_>>(), [3, 4]);
    for placing in placings() {
        assert_eq!(counts(&sewn(placing).1), wanted, "{placing:?}");
    }
}

#[test]
fn the_same_route_is_sewn_the_same_twice() {
    assert_eq!(sewn(turned(33.0)).1, sewn(turned(33.0)).1);
    assert_ne!(sewn(turned(33.0)).1, sewn(turned(34.0)).1);
}

#[test]
fn ties_are_tiny_and_leave_the_rest_as_it_is() {
    let (network, tied) = sewn(Affine::IDENTITY);
    let plain = sew(&route(), &network, &SewOptions { ties: false, ..SewOptions::default() }).unwrap();
    assert_eq!(tied.pieces[0].body(), plain.pieces[0].points);
    assert_eq!(plain.pieces[0].body(), plain.pieces[0].points);
    let points = &tied.pieces[0].points;
    let (first, last) = (&points[..5], &points[points.len() - 5..]);
    for tie in [first, last] {
        assert!(tie.windows(2).all(|w| (0.95..=1.25).contains(&w[0].distance(w[1]))), "{tie:?}");
    }
}

#[test]
fn an_unpicked_design_is_its_lines_again() {
    for placing in placings() {
        let (network, stitches) = sewn(placing);
        let unpicked = unpick(&stitches, Passes::SharedHoles, &|_, _, _| true);
        assert_eq!(unpicked.passes, counts(&stitches));
        let drawn: usize = unpicked.lines.iter().map(|line| line.points.len()).sum();
        assert!(unpicked.lines.len() <= 2 && drawn > 40, "{:?}", unpicked.lines.len());
        let drawn: f64 = unpicked.lines.iter().map(|line| path_length(&line.path())).sum();
        let wanted: f64 = network.edges.iter().map(|e| e.length_mm).sum();
        assert!((drawn - wanted).abs() < 0.005 * wanted, "{drawn} for {wanted}");
        for p in
            unpicked.lines.iter().flat_map(|line| flatten(&line.path(), FLATTEN_MM)).flat_map(|f| f.points)
        {
            let off = network.edges.iter().map(|e| distance_to_chain(p, &e.chain)).fold(9.0, f64::min);
            assert!(off <= CHORD_MM + FLATTEN_MM, "{p} is {off} mm off");
        }
    }
}
