use super::certificate::verify;
use super::shortest::{UM_PER_MM, micrometres};
use super::trail::Arc;
use super::*;
use crate::block::side::Side;
use crate::network::{Edge, EdgeKind};
use kurbo::Point;
use oorandom::Rand64;

/// Nodes as `x y`, edges as `from-to`, drawn unless they begin with `~`.
fn network(nodes: &str, edges: &str) -> Network {
    let numbers: Vec<f64> = nodes.split_whitespace().map(|n| n.parse().unwrap()).collect();
    let nodes: Vec<Point> = numbers.chunks(2).map(|n| Point::new(n[0], n[1])).collect();
    let edge = |text: &str| {
        let (from, to) = text.trim_start_matches('~').split_once('-').unwrap();
        let (from, to): (usize, usize) = (from.parse().unwrap(), to.parse().unwrap());
        let kind = if text.starts_with('~') { EdgeKind::Travel } else { EdgeKind::Drawn };
        let chain = vec![nodes[from], nodes[to]];
        Edge { from, to, chain, corners: vec![], length_mm: nodes[from].distance(nodes[to]), kind }
    };
    Network { edges: edges.split_whitespace().map(edge).collect(), nodes }
}

/// The nodes of each walk in order; a single pass is written `~`, a triple one `=`.
fn walked(network: &Network, options: &WalkOptions) -> String {
    let route = walk(network, options).unwrap();
    verify(network, &route).unwrap();
    let mut text = String::new();
    for walk in &route.pieces {
        let arc = |s: &Step| Arc { edge: s.edge, forward: s.forward };
        text += &walk.steps.first().map_or(String::new(), |s| arc(s).ends(network).0.to_string());
        for s in &walk.steps {
            text += if s.visit == Visit::Triple { "=" } else { "~" };
            text += &arc(s).ends(network).1.to_string();
        }
        text += " ";
    }
    text.trim_end().to_owned()
}

#[test]
fn an_empty_network_gives_an_empty_route() {
    assert_eq!(walk(&Network::default(), &WalkOptions::default()), Ok(Route::default()));
    let only_travel = network("0 0 1 0", "~0-1");
    assert_eq!(walked(&only_travel, &WalkOptions::default()), "");
}

#[test]
fn a_cross_is_walked_once_and_back_along_two_arms() {
    let cross = network("0 0 3 0 0 3 -1 0 0 -1", "0-1 0-2 0-3 0-4");
    let route = walk(&cross, &WalkOptions::default()).unwrap();
    assert_eq!((route.drawn_mm, route.doubled_mm, route.least_mm), (8.0, 2.0, 2.0));
    assert_eq!(walked(&cross, &WalkOptions::default()), "1=0=3~0=4~0=2");
}

#[test]
fn travel_is_taken_where_it_is_shorter() {
    let comb = network("0 0 0 9 2 0 2 9 4 0 4 9", "0-1 2-3 4-5 1-3 3-5 ~0-2 ~2-4");
    let route = walk(&comb, &WalkOptions::default()).unwrap();
    assert_eq!((route.doubled_mm, route.travelled_mm, route.least_mm), (0.0, 2.0, 2.0));
}

#[test]
fn pieces_are_joined_along_travel_and_the_rest_are_ordered() {
    let network = network("0 0 5 0 9 0 14 0 90 0 95 0 30 0 35 0", "0-1 2-3 4-5 6-7 ~1-2 ~3-1");
    assert_eq!(walked(&network, &WalkOptions::default()), "0=1~2=3 6=7 4=5");
    let route = walk(&network, &WalkOptions::default()).unwrap();
    assert_eq!((route.travelled_mm, route.connected_mm, route.moved_mm), (4.0, 4.0, 71.0));
}

#[test]
fn an_asked_start_is_kept_and_its_cost_told() {
    let line = network("0 0 5 0 9 0", "0-1 1-2");
    let start = Some(Start::At(Point::new(5.0, 1.0)));
    assert_eq!(walked(&line, &WalkOptions { start }), "1=2~1=0");
    assert_eq!(walk(&line, &WalkOptions { start }).unwrap().start_costs_mm, 4.0);
    let start = Some(Start::Side(Side::Right));
    assert_eq!(walked(&line, &WalkOptions { start }), "2=1=0");
}

#[test]
fn a_star_of_equal_rays_is_routed() {
    // Every ray is equally near to all others, so that the nearest ones are the same for all of them.
    let points: String =
        (0..100).map(|i| format!("{} {} ", f64::from(i).cos(), f64::from(i).sin())).collect();
    let rays: String = (1..=100).map(|i| format!("0-{i} ")).collect();
    let star = network(&format!("0 0 {points}"), &rays);
    let route = walk(&star, &WalkOptions::default()).unwrap();
    assert!((route.doubled_mm - 98.0).abs() < 1e-6, "{}", route.doubled_mm);
    assert_eq!(verify(&star, &route).unwrap().bound_um(), 98_000);
}

#[test]
fn a_walk_begins_outermost_but_not_where_very_many_lines_meet() {
    let two = network("0 0 -2 1 -1 2 1 2 2 1", "0-1 1-2 2-0 0-3 3-4 4-0");
    assert!(walked(&two, &WalkOptions::default()).starts_with("0="));
    let four =
        network("0 0 -5 1 -4 2 -3 3 -2 4 2 4 3 3 4 2 5 1", "0-1 1-2 2-0 0-3 3-4 4-0 0-5 5-6 6-0 0-7 7-8 8-0");
    let walk = walked(&four, &WalkOptions::default());
    assert!(!walk.starts_with("0=") && walk.matches("0=").count() == 4, "{walk}");
}

#[test]
fn closed_loops_and_parallel_lines_are_walked() {
    let network = network("0 0 5 0", "0-0 0-1 1-0 1-1");
    let route = walk(&network, &WalkOptions::default()).unwrap();
    assert_eq!((route.pieces.len(), route.doubled_mm), (1, 0.0));
    verify(&network, &route).unwrap();
}

#[test]
fn what_is_no_network_is_refused() {
    let mut network = network("0 0 5 0", "0-1");
    network.edges[0].to = 7;
    let words = walk(&network, &WalkOptions::default()).unwrap_err().to_string();
    assert_eq!(words, "edge 0 leads from node 0 to node 7 of 2; connect it to nodes that exist");
    network.edges[0].to = 1;
    for length_mm in [f64::NAN, -1.0, f64::INFINITY] {
        network.edges[0].length_mm = length_mm;
        let error = walk(&network, &WalkOptions::default());
        assert!(matches!(error, Err(RouteError::EdgeLength { edge: 0, .. })), "{error:?}");
    }
    network.edges[0].length_mm = 2e7;
    assert_eq!(walk(&network, &WalkOptions::default()), Err(RouteError::TooLong { total_mm: 2e7 }));
}

fn random(dice: &mut Rand64, nodes: u64, edges: u64, travel: u64) -> Network {
    let point = |_| Point::new(dice.rand_range(0..9) as f64, dice.rand_range(0..9) as f64);
    let nodes_at: Vec<Point> = (0..nodes).map(point).collect();
    let mut all = Vec::new();
    for i in 0..edges + travel {
        let (from, to) = (dice.rand_range(0..nodes) as usize, dice.rand_range(0..nodes) as usize);
        let kind = if i < edges { EdgeKind::Drawn } else { EdgeKind::Travel };
        let length_mm = dice.rand_range(0..12) as f64;
        let chain = vec![nodes_at[from], nodes_at[to]];
        all.push(Edge { from, to, chain, corners: vec![], length_mm, kind });
    }
    Network { nodes: nodes_at, edges: all }
}

/// The least extra length over all choices of extra edges, µm, with `required` walked once.
fn brute(network: &Network, required: &[usize], start: Option<usize>) -> u64 {
    let mut least = u64::MAX;
    for extra in 0..1u32 << network.edges.len() {
        let chosen = (0..network.edges.len()).filter(|e| extra >> e & 1 == 1);
        let length = chosen.clone().map(|e| micrometres(&network.edges[e])).sum();
        let odd = join::odd_nodes(network, required.iter().copied().chain(chosen), None);
        let ends_fit = odd.is_empty() || odd.len() == 2 && start.is_none_or(|s| odd.contains(&s));
        // Extra edges far away from the piece may hang loose here, but then leaving them out is shorter still.
        if ends_fit && length < least {
            least = length;
        }
    }
    least
}

#[test]
fn small_networks_agree_with_trying_everything() {
    let mut dice = Rand64::new(5);
    let (mut whole, mut asked) = (0, 0);
    for _ in 0..3000 {
        let (nodes, edges, travel) = (dice.rand_range(1..7), dice.rand_range(1..8), dice.rand_range(0..4));
        let network = random(&mut dice, nodes, edges, travel);
        let start = Some(Start::At(network.nodes[0])).filter(|_| dice.rand_range(0..2) == 0);
        let route = walk(&network, &WalkOptions { start }).unwrap();
        verify(&network, &route).unwrap_or_else(|e| panic!("{e}: {network:?} {route:?}"));
        assert!((route.doubled_mm + route.travelled_mm - route.least_mm).abs() < 1e-6);
        if let ([_], [certificate]) = (&route.pieces[..], &route.certificates[..]) {
            let required: Vec<usize> = (0..edges as usize).chain(certificate.connectors.clone()).collect();
            let least = brute(&network, &required, certificate.start) as f64 / UM_PER_MM;
            let found = route.least_mm - route.connected_mm;
            // Lines without length count as a micrometre, so that no way is free.
            assert!((found - least).abs() < 0.02, "{found} for {least} mm: {network:?}");
            whole += 1;
            asked += usize::from(start.is_some());
        }
    }
    assert!(whole > 1000 && asked > 300, "{whole} of one piece, {asked} with a start");
}
