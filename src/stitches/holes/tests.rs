use super::*;
use crate::base::chain;
use crate::base::tolerance::FLATTEN_MM;
use crate::network::{Edge, EdgeKind};
use crate::route::Walk;
use crate::stitches::spread::nowhere;
use kurbo::Vec2;

/// The holes of one edge when it has the cloth to itself.
fn alone(network: &Network, edge: usize) -> Vec<Point> {
    let Edge { chain, corners, .. } = network.edges[edge].clone();
    of_line(&Line { chain, corners, open: [false; 2] }, 2.5, &mut Taken::default())
}

/// One edge along an arc of `radius` mm and 20 mm (or five sixths of a turn) that begins at `start`.
fn arc(radius: f64, start: Point, from_turn: f64) -> Network {
    let turn = (20.0 / radius).min(5.0);
    let count = (turn / (2.0 * (1.0 - FLATTEN_MM / radius).acos())).ceil();
    let spoke = |share: f64| Vec2::from_angle(from_turn + turn * share) * radius;
    let chain: Vec<Point> =
        (0..=count as usize).map(|i| start + spoke(i as f64 / count) - spoke(0.0)).collect();
    let nodes = vec![chain[0], chain[chain.len() - 1]];
    let length_mm = chain::length(&chain);
    let edge = Edge { from: 0, to: 1, corners: vec![], length_mm, kind: EdgeKind::Drawn, chain };
    Network { nodes, edges: vec![edge] }
}

/// The furthest that the line and its stitches leave each other.
fn furthest(line: &[Point], holes: &[Point]) -> f64 {
    let samples = |all: &[Point]| -> Vec<Point> {
        let pairs = all.windows(2);
        pairs.flat_map(|w| [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| w[0].lerp(w[1], t))).collect()
    };
    let line_off = samples(line).into_iter().map(|p| chain::distance_to_chain(p, holes));
    let holes_off = samples(holes).into_iter().map(|p| chain::distance_to_chain(p, line));
    line_off.chain(holes_off).fold(0.0, f64::max)
}

#[test]
fn rounded_stitches_keep_to_their_curve() {
    let mut random = oorandom::Rand64::new(7);
    for radius in [1.5, 1.7, 2.0, 3.0, 5.0, 8.0, 13.0, 20.0, 100.0] {
        for _ in 0..40 {
            let start = Point::new(random.rand_float(), random.rand_float());
            let network = arc(radius, start, random.rand_float() * 6.3);
            let holes = alone(&network, 0);
            let shortest = holes.windows(2).map(|w| w[0].distance(w[1])).fold(9.0, f64::min);
            assert!(shortest > 1.0 - 1e-9, "radius {radius} from {start}: {shortest}");
            let off = furthest(&network.edges[0].chain, &holes);
            // At 1.5 mm the shortest step alone leaves the circle by 0.083 mm, and its ends are rounded.
            let allowed = if radius < 1.6 { 1.2 * CHORD_MM } else { CHORD_MM };
            assert!(off <= allowed + FLATTEN_MM, "radius {radius} from {start}: {off}");
        }
    }
}

#[test]
fn lines_that_touch_in_a_node_do_not_share_their_next_hole() {
    let start = Point::new(0.04, 0.02);
    let mut network = arc(90.0, start, 1.0);
    let other = arc(110.0, start, 1.0);
    network.nodes.push(other.nodes[1]);
    network.edges.push(Edge { to: 2, ..other.edges[0].clone() });
    let steps = [0, 1].map(|edge| Step { edge, forward: edge == 1, visit: Visit::Triple });
    let route = Route { pieces: vec![Walk { steps: steps.to_vec() }], ..Route::default() };
    let holes = of_edges(&route, &network, 2.5, &nowhere(&route, &network));
    let alone = [0, 1].map(|i| alone(&network, i));
    assert_eq!(alone[0][..2], alone[1][..2], "the two would share a stitch");
    let stitches = |holes: &[Point]| -> Vec<[(i64, i64); 2]> {
        holes.windows(2).map(|w| [w[0], w[1]].map(|p| (cells(p.x), cells(p.y)))).collect()
    };
    let (one, other) = (stitches(&holes[0]), stitches(&holes[1]));
    assert!(one.iter().all(|s| !other.contains(s)), "{one:?} {other:?}");
    for (edge, holes) in network.edges.iter().zip(&holes) {
        assert!(furthest(&edge.chain, holes) <= CHORD_MM + FLATTEN_MM);
    }
}

#[test]
fn holes_are_the_nearest_grid_points_where_that_suffices() {
    let network = arc(60.0, Point::new(0.33, 0.71), 1.0);
    let edge = &network.edges[0];
    let stretch = Stretch::new(&edge.chain);
    let plain: Vec<Point> =
        needle_points(&stretch, 2.5, [false; 2]).into_iter().map(|s| snap(stretch.at(s))).collect();
    assert_eq!(alone(&network, 0), plain);
}

#[test]
fn a_corner_beside_a_node_makes_no_stitch_without_length() {
    let chain = vec![Point::new(0.0, 0.0), Point::new(0.02, 0.03), Point::new(5.0, 0.0)];
    let (nodes, corners) = (vec![chain[0], chain[2]], vec![1]);
    let edge = Edge { from: 0, to: 1, corners, length_mm: 5.0, kind: EdgeKind::Drawn, chain };
    let network = Network { nodes, edges: vec![edge] };
    assert_eq!(alone(&network, 0), [0.0, 2.5, 5.0].map(|x| Point::new(x, 0.0)));
}
