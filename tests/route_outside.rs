//! Routes and matchings against judges that share no code with them.
//!
//! Two crates judge the matching here. Every network is also written, with its route, to `route.json` in cargo's folder
//! for test files, where `tests/outside/route_networkx.py` judges the whole route.

#[path = "outside/networks.rs"]
mod networks;
#[path = "outside/route_json.rs"]
mod route_json;

use oorandom::Rand64;
use route_json::as_json;
use rustworkx_core::max_weight_matching::max_weight_matching;
use rustworkx_core::petgraph::graph::UnGraph;
use thrice::route::certificate::refusal::Refusal;
use thrice::route::certificate::{Certificate, DUALS_PER_UM, verify};
use thrice::route::matching::{Link, least_perfect};
use thrice::route::start::Start;
use thrice::route::{Route, Step, Visit, WalkOptions, walk};

const TOP: i32 = 1_000_000;

fn random_links(dice: &mut Rand64) -> (usize, Vec<Link>) {
    let vertices = 2 * dice.rand_range(1..16) as usize;
    let chance = dice.rand_range(20..101);
    let most = [3, 20, 500_000][dice.rand_range(0..3) as usize];
    let mut links = Vec::new();
    for b in 1..vertices {
        for a in 0..b {
            if dice.rand_range(0..100) < chance {
                links.push(Link { a, b, weight: 2 * dice.rand_range(0..most) as i64 });
            }
        }
    }
    (vertices, links)
}

/// The least weight of a perfect matching; `None` if the pairs leave a vertex over.
fn weigh(vertices: usize, links: &[Link], pairs: &[(usize, usize)]) -> Option<i64> {
    let weight = |p: &(usize, usize)| links.iter().find(|l| (l.a, l.b) == *p).map(|l| l.weight);
    (2 * pairs.len() == vertices).then(|| pairs.iter().filter_map(weight).sum())
}

fn by_mwmatching(vertices: usize, links: &[Link]) -> Option<i64> {
    let edges = links.iter().map(|l| (l.a, l.b, TOP - l.weight as i32)).collect();
    let mates = mwmatching::Matching::new(edges).max_cardinality().solve();
    let pairs = mates.iter().enumerate().filter(|(a, b)| a < *b && **b != mwmatching::SENTINEL);
    weigh(vertices, links, &pairs.map(|(a, b)| (a, *b)).collect::<Vec<_>>())
}

fn by_rustworkx(vertices: usize, links: &[Link]) -> Option<i64> {
    let mut graph = UnGraph::<(), i128>::new_undirected();
    let nodes: Vec<_> = (0..vertices).map(|_| graph.add_node(())).collect();
    for l in links {
        graph.add_edge(nodes[l.a], nodes[l.b], i128::from(TOP) - i128::from(l.weight));
    }
    let found = max_weight_matching(&graph, true, |e| Ok::<i128, ()>(*e.weight()), true).unwrap();
    let pairs: Vec<(usize, usize)> = found.into_iter().map(|(a, b)| (a.min(b), a.max(b))).collect();
    weigh(vertices, links, &pairs)
}

#[test]
fn two_other_matchings_agree_on_thousands_of_graphs() {
    let mut dice = Rand64::new(2024);
    let mut perfect = 0;
    for _ in 0..4000 {
        let (vertices, links) = random_links(&mut dice);
        let own = least_perfect(&links, &vec![0; vertices]).ok().map(|m| {
            let pairs = m.partner.iter().enumerate().filter(|(a, b)| a < *b).map(|(a, b)| (a, *b));
            weigh(vertices, &links, &pairs.collect::<Vec<_>>()).unwrap()
        });
        assert_eq!(own, by_mwmatching(vertices, &links), "{links:?}");
        assert_eq!(own, by_rustworkx(vertices, &links), "{links:?}");
        perfect += usize::from(own.is_some());
    }
    assert!(perfect > 2000, "only {perfect} graphs had a perfect matching");
}

#[test]
fn every_network_is_proven_and_written_for_the_outside_judge() {
    let mut all = Vec::new();
    let mut odd_sets = 0;
    for (i, (name, network)) in networks::for_judges().into_iter().enumerate() {
        let start = network.nodes.get(i).filter(|_| i % 5 == 0).map(|p| Start::At(*p));
        let route = walk(&network, &WalkOptions { start }).unwrap();
        let proof = verify(&network, &route).unwrap_or_else(|e| panic!("{name}: {e}"));
        // Lengths are rounded to micrometres for the proof, and every line counts as one at least.
        let beyond = route.doubled_mm + route.travelled_mm - route.connected_mm;
        let rounding = 0.001 * route.pieces.iter().map(|w| w.steps.len()).sum::<usize>() as f64;
        assert!((beyond - proof.bound_mm()).abs() <= rounding, "{name}: {beyond} for {proof:?}");
        let joined = route.certificates.iter().any(|c| !c.connectors.is_empty());
        assert_eq!(proof.holds_for_all(), !joined, "{name}");
        assert_eq!(walk(&network, &WalkOptions { start }).unwrap(), route, "{name} differs from run to run");
        odd_sets += route.certificates.iter().map(|c| c.sets.len()).sum::<usize>();
        all.push(as_json(&name, &network, &route));
    }
    assert!(all.len() >= 60 && odd_sets > 100, "{} networks, {odd_sets} odd sets", all.len());
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("route.json");
    std::fs::write(path, serde_json::to_vec(&all).unwrap()).unwrap();
}

#[test]
fn whole_petals_need_no_doubling_back() {
    for (triangular, bend) in [(false, 0.0), (true, 0.3), (false, 0.7)] {
        let network = networks::peel(6, 20.0, triangular, bend, 0);
        let route = walk(&network, &WalkOptions::default()).unwrap();
        assert_eq!((route.pieces.len(), route.least_mm), (1, 0.0));
    }
}

/// What the judge says after one thing has been changed.
fn tampered(change: impl Fn(&mut Route)) -> Result<(), Refusal> {
    let network = networks::random_plane(3, 9, 80, 10);
    let mut route = walk(&network, &WalkOptions::default()).unwrap();
    verify(&network, &route).unwrap();
    change(&mut route);
    verify(&network, &route).map(|_| ())
}

#[test]
fn a_changed_proof_is_refused() {
    let proof = |change: fn(&mut Certificate)| tampered(|route| change(&mut route.certificates[0]));
    assert_eq!(2 * DUALS_PER_UM, 4096, "the changes below are meant to be of two micrometres");
    assert!(matches!(proof(|c| c.duals[0] += 4096), Err(Refusal::Dual { .. } | Refusal::Gap { .. })));
    assert!(matches!(proof(|c| c.duals[1] -= 4096), Err(Refusal::Gap { .. })));
    assert!(matches!(proof(|c| c.duals.fill(i64::MAX)), Err(Refusal::Dual { .. })));
    assert!(matches!(proof(|c| c.sets[0].dual = -1), Err(Refusal::OddSet { .. })));
    assert!(matches!(proof(|c| c.sets.clear()), Err(Refusal::Gap { .. })));
    assert!(matches!(proof(|c| c.sets[0].members.clear()), Err(Refusal::OddSet { .. })));
    assert!(matches!(proof(|c| c.sets[0].members.push(999_999)), Err(Refusal::OddSet { .. })));
    assert!(matches!(proof(|c| c.nodes.truncate(1)), Err(Refusal::Mismatch { what: "odd nodes", .. })));
    assert!(matches!(proof(|c| c.free_ends = 0), Err(Refusal::Mismatch { .. })));
    assert!(matches!(proof(|c| c.start = Some(usize::MAX)), Err(Refusal::Mismatch { what: "start", .. })));
    assert!(matches!(proof(|c| c.connectors.push(0)), Err(Refusal::Mismatch { what: "connectors", .. })));
}

#[test]
fn a_changed_walk_is_refused() {
    let steps = |change: fn(&mut Vec<Step>)| tampered(|route| change(&mut route.pieces[0].steps));
    assert!(matches!(steps(|s| s.swap(3, 9)), Err(Refusal::Broken { .. })));
    assert!(matches!(steps(|s| s[4].forward ^= true), Err(Refusal::Broken { .. })));
    assert!(matches!(steps(|s| s[4].edge = 999_999), Err(Refusal::Broken { piece: 0, step: 4 })));
    assert!(matches!(steps(|s| s[0].visit = Visit::Single), Err(Refusal::WrongVisit { piece: 0, step: 0 })));
    assert!(matches!(steps(|s| s.truncate(s.len() - 1)), Err(Refusal::LeftOut { .. } | Refusal::Gap { .. })));
    let back_and_forth = |s: &mut Vec<Step>| {
        let last = s[s.len() - 1];
        s.push(Step { forward: !last.forward, visit: Visit::Single, ..last });
        s.push(Step { visit: Visit::Single, ..last });
    };
    assert!(matches!(steps(back_and_forth), Err(Refusal::Gap { .. })));
    let cut = tampered(|route| {
        let rest = route.pieces[0].steps.split_off(5);
        route.pieces.push(thrice::route::Walk { steps: rest });
    });
    assert_eq!(cut, Err(Refusal::Pieces { found: 2, least: 1 }));
}
