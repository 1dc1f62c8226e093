//! How the time of a whole route (join, proof, walk) grows with the network, beside a matching of all pairs by another crate.
//!
//! `cargo bench --bench route`. With `WRITE=file` the networks of the comparison are written for `route_bench.py`.

#[expect(dead_code, reason = "shared with the tests")]
#[path = "../outside/networks.rs"]
mod networks;

use divan::Bencher;
use networks::{crosshatch, random_plane, square};
use rustworkx_core::max_weight_matching::max_weight_matching;
use rustworkx_core::petgraph::graph::{NodeIndex, UnGraph};
use rustworkx_core::shortest_path::dijkstra;
use thrice::network::Network;
use thrice::route::certificate::verify;
use thrice::route::{WalkOptions, walk};

fn main() {
    if let Ok(path) = std::env::var("WRITE") {
        let all = COMPARED.map(|lines| {
            let network = hatch(lines);
            let route = walk(&network, &WalkOptions::default()).expect("the network is sound");
            let least_um = verify(&network, &route).expect("the route is proven").bound_um();
            let edges: Vec<_> = network.edges.iter().map(|e| (e.from, e.to, e.length_mm)).collect();
            serde_json::json!({"lines": lines, "nodes": network.nodes.len(), "edges": edges, "least_um": least_um})
        });
        std::fs::write(path, serde_json::to_vec(&all).expect("plain numbers"))
            .expect("the file can be written");
    }
    for network in [hatch(68), hatch(167), plane(30), plane(180)] {
        let route = walk(&network, &WalkOptions::default()).expect("the network is sound");
        let odd: usize = route.certificates.iter().map(|c| c.nodes.len()).sum();
        let sizes = (network.nodes.len(), network.edges.len());
        println!("{} nodes, {} edges, {odd} odd, {} pieces", sizes.0, sizes.1, route.pieces.len());
    }
    divan::main();
}

/// Line counts across the block at which all programs are compared.
const COMPARED: [u32; 3] = [17, 34, 68];

/// Cross-hatching at 30° with about `lines` lines across a 200 mm block.
fn hatch(lines: u32) -> Network {
    crosshatch(&square(200.0), [30.0, 120.0], 200.0 / f64::from(lines), false)
}

/// A random plane graph, half of whose nodes are odd.
fn plane(side: u64) -> Network {
    random_plane(side, side, 66, 0)
}

/// 1,000 to 60,000 edges, about one in thirty nodes odd.
#[divan::bench(args = [21, 34, 47, 68, 95, 120, 167], max_time = 3)]
fn walk_a_hatch(bencher: Bencher, lines: u32) {
    let network = hatch(lines);
    bencher.bench(|| walk(&network, &WalkOptions::default()));
}

/// 1,000 to 64,000 edges, half of the nodes odd.
#[divan::bench(args = [23, 45, 90, 180], max_time = 3)]
fn walk_a_plane_graph(bencher: Bencher, side: u64) {
    let network = plane(side);
    bencher.bench(|| walk(&network, &WalkOptions::default()));
}

/// An 8 in block as it is hatched at half an inch and at a quarter of an inch, to be compared with verifying it.
#[divan::bench(args = [16, 32], max_time = 3)]
fn walk_an_eight_inch_block(bencher: Bencher, lines: u32) {
    let network = hatch(lines);
    bencher.bench(|| walk(&network, &WalkOptions::default()));
}

/// The proof of the same: less than the walk itself, and under 5 ms.
#[divan::bench(args = [16, 32], max_time = 3)]
fn verify_an_eight_inch_block(bencher: Bencher, lines: u32) {
    let network = hatch(lines);
    let route = walk(&network, &WalkOptions::default()).expect("the network is sound");
    bencher.bench(|| verify(&network, &route));
}

#[divan::bench(args = [23, 45, 90, 180], max_time = 3)]
fn verify_a_plane_graph(bencher: Bencher, side: u64) {
    let network = plane(side);
    let route = walk(&network, &WalkOptions::default()).expect("the network is sound");
    bencher.bench(|| verify(&network, &route));
}

#[divan::bench(args = [34, 68, 167], max_time = 3)]
fn verify_a_hatch(bencher: Bencher, lines: u32) {
    let network = hatch(lines);
    let route = walk(&network, &WalkOptions::default()).expect("the network is sound");
    bencher.bench(|| verify(&network, &route));
}

/// The other crate's share of the work alone: all shortest ways between odd nodes and the matching of all pairs.
#[divan::bench(args = COMPARED, max_time = 3)]
fn match_a_hatch_by_rustworkx(bencher: Bencher, lines: u32) {
    let network = hatch(lines);
    bencher.bench(|| match_all_pairs(&network));
}

fn match_all_pairs(network: &Network) -> usize {
    let mut graph = UnGraph::<(), u64>::new_undirected();
    let nodes: Vec<NodeIndex> = network.nodes.iter().map(|_| graph.add_node(())).collect();
    for e in &network.edges {
        graph.add_edge(nodes[e.from], nodes[e.to], (e.length_mm * 1000.0).round() as u64);
    }
    let odd: Vec<NodeIndex> = graph.node_indices().filter(|n| graph.edges(*n).count() % 2 == 1).collect();
    let mut pairs = UnGraph::<(), i128>::new_undirected();
    let ends: Vec<NodeIndex> = (0..odd.len() + 2).map(|_| pairs.add_node(())).collect();
    for (i, &a) in odd.iter().enumerate() {
        let far = dijkstra(&graph, a, None, |e| Ok::<u64, ()>(*e.weight()), None);
        let far: rustworkx_core::dictmap::DictMap<NodeIndex, u64> = far.expect("no weight fails");
        for (j, b) in odd.iter().enumerate().skip(i + 1) {
            pairs.add_edge(ends[i], ends[j], 1_000_000_000 - i128::from(far[b]));
        }
        for free in odd.len()..odd.len() + 2 {
            pairs.add_edge(ends[i], ends[free], 1_000_000_000);
        }
    }
    let found = max_weight_matching(&pairs, true, |e| Ok::<i128, ()>(*e.weight()), false);
    found.map_or(0, |m| m.len())
}
