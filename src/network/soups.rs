//! Random lines: what holds for every network, whatever was drawn.

use kurbo::{Affine, BezPath};
use proptest::prelude::{ProptestConfig, Strategy, any, prop_assert, prop_assert_eq, proptest};
use proptest::test_runner::RngSeed;

use super::*;
use crate::base::curve::path_length;
use crate::base::tolerance::{FEATURE_MM, LOST_MM};
use crate::network::cross::side;
use crate::network::spots::Spot;

/// The same cases on every run, so that a test that passed stays passed.
fn fixed() -> ProptestConfig {
    ProptestConfig {
        cases: 60,
        rng_seed: RngSeed::Fixed(20),
        failure_persistence: None,
        ..Default::default()
    }
}

/// Straight lines and curves in a block of 200 mm.
fn soup() -> impl Strategy<Value = Drawing> {
    let point = (-100.0..100.0, -100.0..100.0).prop_map(Point::from);
    let line =
        (any::<bool>(), point.clone(), point.clone(), point.clone(), point).prop_map(|(bent, a, b, c, d)| {
            let mut path = BezPath::new();
            path.move_to(a);
            if bent {
                path.curve_to(b, c, d);
            } else {
                path.line_to(d);
            }
            path
        });
    proptest::collection::vec(line, 1..30).prop_map(|lines| Drawing { lines, ..Drawing::default() })
}

/// Short lines between the points of a coarse lattice: overlaps, shared ends and many lines through a point.
fn lattice() -> impl Strategy<Value = Drawing> {
    let point = (0..6, 0..6).prop_map(|(x, y)| Point::new(f64::from(x) / 0.6, f64::from(y) / 0.6));
    let line = proptest::collection::vec(point, 2..5)
        .prop_map(|points| crate::base::curve::path_through(&points, false));
    proptest::collection::vec(line, 1..30).prop_map(|lines| Drawing { lines, ..Drawing::default() })
}

/// The straight pieces of all edges that meet elsewhere than in their ends, or in an end that is no node.
fn faults(network: &Network) -> Vec<String> {
    let mut pieces = Vec::new();
    for (e, edge) in network.edges.iter().enumerate() {
        let last = edge.chain.len() - 2;
        for (i, w) in edge.chain.windows(2).enumerate() {
            pieces.push((e, i, i == last, Spot::nearest(w[0]), Spot::nearest(w[1])));
        }
    }
    let inside = |a: Spot, b: Spot, p: Spot| {
        let between = |a: i32, b: i32, p: i32| (a.min(b)..=a.max(b)).contains(&p);
        p != a && p != b && side(a, b, p) == 0 && between(a.x, b.x, p.x) && between(a.y, b.y, p.y)
    };
    let mut faults = Vec::new();
    for (n, p) in pieces.iter().enumerate() {
        for q in &pieces[n + 1..] {
            let (a, b, c, d) = (p.3, p.4, q.3, q.4);
            let across = |a, b, c, d| side(a, b, c).signum() * side(a, b, d).signum() < 0;
            let crossed = across(a, b, c, d) && across(c, d, a, b);
            let touched = inside(a, b, c) || inside(a, b, d) || inside(c, d, a) || inside(c, d, b);
            let doubled = (a, b) == (c, d) || (a, b) == (d, c);
            let joined = [(a, p.1 == 0), (b, p.2)].into_iter().any(|(s, is_node)| {
                let other = [(c, q.1 == 0), (d, q.2)];
                let next = p.0 == q.0 && q.1 == p.1 + 1 && s == b;
                !next && other.iter().any(|(t, other_is_node)| s == *t && !(is_node && *other_is_node))
            });
            if crossed || touched || doubled || joined {
                faults.push(format!("{a:?} {b:?} and {c:?} {d:?}"));
            }
        }
    }
    faults
}

fn turned(drawing: &Drawing, deg: f64) -> Drawing {
    let turn = Affine::rotate(deg.to_radians());
    Drawing { lines: drawing.lines.iter().map(|l| turn * l.clone()).collect(), ..Drawing::default() }
}

fn counts(network: &Network) -> (usize, usize, usize) {
    (network.nodes.len(), network.edges.len(), network.pieces().len())
}

/// How many pairs of neighbouring crossings or ends along a line are nearer than [`FEATURE_MM`], and four times that: the
/// lines that lead to them. Lines are flattened finely and every pair of pieces is tried.
fn near_crossings(drawing: &Drawing) -> (f64, f64) {
    let chains: Vec<Vec<Point>> = drawing
        .lines
        .iter()
        .flat_map(|l| crate::base::curve::flatten(l, 1e-3))
        .map(|flat| flat.points)
        .collect();
    let pieces: Vec<(usize, f64, Point, Point)> = chains
        .iter()
        .enumerate()
        .flat_map(|(i, chain)| {
            let mut run = 0.0;
            chain.windows(2).map(move |w| {
                let from = run;
                run += w[0].distance(w[1]);
                (i, from, w[0], w[1])
            })
        })
        .collect();
    let mut stops: Vec<Vec<f64>> = chains.iter().map(|c| vec![0.0, crate::base::chain::length(c)]).collect();
    for (n, (i, s, a, b)) in pieces.iter().enumerate() {
        for (j, t, c, d) in pieces.get(n + 2..).unwrap_or(&[]) {
            let (u, v) = (*b - *a, *d - *c);
            let cross = u.cross(v);
            let (x, y) = ((*c - *a).cross(v) / cross, (*c - *a).cross(u) / cross);
            if (0.0..=1.0).contains(&x) && (0.0..=1.0).contains(&y) {
                stops[*i].push(s + x * u.hypot());
                stops[*j].push(t + y * v.hypot());
            }
        }
    }
    let mut near = 0;
    for stops in &mut stops {
        stops.sort_by(f64::total_cmp);
        near += stops.windows(2).filter(|w| w[1] - w[0] < FEATURE_MM + LOST_MM).count();
    }
    (near as f64, 4.0 * near as f64)
}

proptest! {
    #![proptest_config(fixed())]

    #[test]
    fn edges_meet_only_in_nodes(drawing in soup()) {
        prop_assert_eq!(faults(&connect(&drawing, &[]).unwrap()), Vec::<String>::new());
    }

    #[test]
    fn edges_of_a_lattice_meet_only_in_nodes(drawing in lattice()) {
        prop_assert_eq!(faults(&connect(&drawing, &[]).unwrap()), Vec::<String>::new());
    }

    #[test]
    fn no_length_is_lost(drawing in soup()) {
        let network = connect(&drawing, &[]).unwrap();
        let drawn: f64 = drawing.lines.iter().map(path_length).sum();
        let features = (network.nodes.len() + drawing.lines.len()) as f64;
        // What is drawn together, and by how much the lines that led there grow or shrink, is known from crossings alone.
        let (near, around) = near_crossings(&drawing);
        prop_assert!((network.drawn_length() - drawn).abs() <= LOST_MM * features + FEATURE_MM * (near + around));
    }

    #[test]
    fn features_that_are_near_are_one(drawing in soup()) {
        let network = connect(&drawing, &[]).unwrap();
        let degrees = network.drawn_degrees();
        let alone = |e: &Edge| degrees[e.from] == 1 && degrees[e.to] == 1;
        let short: Vec<f64> =
            network.edges.iter().filter(|e| e.length_mm < FEATURE_MM && !alone(e)).map(|e| e.length_mm).collect();
        prop_assert_eq!(short, Vec::<f64>::new());
    }

    #[test]
    fn a_turned_drawing_has_the_same_network(drawing in soup(), deg in 1.0..359.0) {
        let network = connect(&drawing, &[]).unwrap();
        prop_assert_eq!(counts(&network), counts(&connect(&turned(&drawing, deg), &[]).unwrap()));
    }

    #[test]
    fn a_lattice_drawn_twice_and_backward_is_the_same(drawing in lattice()) {
        let once = connect(&drawing, &[]).unwrap();
        let mut lines = drawing.lines.clone();
        lines.extend(drawing.lines.iter().rev().map(BezPath::reverse_subpaths));
        prop_assert_eq!(&once, &connect(&Drawing { lines, ..Drawing::default() }, &[]).unwrap());
        prop_assert_eq!(&once, &connect(&drawing, &[]).unwrap());
    }
}
