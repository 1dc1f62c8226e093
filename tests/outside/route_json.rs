//! A network and its route as JSON, for the judge of routes in another language.

use serde_json::json;
use thrice::network::{EdgeKind, Network};
use thrice::route::{Route, Step, Visit};

/// What `route_networkx.py` reads.
pub fn as_json(name: &str, network: &Network, route: &Route) -> serde_json::Value {
    let travel = |e: &thrice::network::Edge| e.kind == EdgeKind::Travel;
    let edges = network.edges.iter().map(|e| json!([e.from, e.to, e.length_mm, travel(e)]));
    let step = |s: &Step| json!([s.edge, s.forward, if s.visit == Visit::Triple { 3 } else { 1 }]);
    let pieces = route.pieces.iter().zip(&route.certificates).map(|(walk, certificate)| {
        let steps = walk.steps.iter().map(step).collect::<Vec<_>>();
        json!({ "steps": steps, "connectors": certificate.connectors, "start": certificate.start })
    });
    json!({
        "name": name,
        "nodes": network.nodes.len(),
        "edges": edges.collect::<Vec<_>>(),
        "pieces": pieces.collect::<Vec<_>>(),
        "least_mm": route.least_mm,
    })
}
