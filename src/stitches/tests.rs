use super::*;
use crate::network::{Edge, EdgeKind};
use crate::route::{Step, Walk};

/// One edge along the points "x y  x y …", walked once in the way given.
fn sewn(chain: &str, corners: &[usize], visits: &[(bool, Visit)], options: &SewOptions) -> Stitches {
    let (route, network) = one_edge(chain, corners, visits);
    sew(&route, &network, options).unwrap()
}

fn one_edge(chain: &str, corners: &[usize], visits: &[(bool, Visit)]) -> (Route, Network) {
    let numbers: Vec<f64> = chain.split_whitespace().map(|n| n.parse().unwrap()).collect();
    let chain: Vec<Point> = numbers.chunks(2).map(|xy| Point::new(xy[0], xy[1])).collect();
    let nodes = vec![chain[0], *chain.last().unwrap()];
    let length_mm = chain::length(&chain);
    let corners = corners.to_vec();
    let edge = Edge { from: 0, to: 1, chain, corners, length_mm, kind: EdgeKind::Drawn };
    let steps = visits.iter().map(|(forward, visit)| Step { edge: 0, forward: *forward, visit: *visit });
    let route = Route { pieces: vec![Walk { steps: steps.collect() }], ..Route::default() };
    (route, Network { nodes, edges: vec![edge] })
}

fn untied(step_mm: f64) -> SewOptions {
    SewOptions { step_mm, ties: false, ..SewOptions::default() }
}

/// The x of every needle point.
fn xs(stitches: &Stitches) -> String {
    stitches.points().map(|p| p.x.to_string()).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_stitch_goes_forward_back_and_forward() {
    let stitches = sewn("0 0  7.5 0", &[], &[(true, Visit::Triple)], &untied(2.5));
    assert_eq!(xs(&stitches), "0 2.5 0 2.5 5 2.5 5 7.5 5 7.5");
}

#[test]
fn closing_step_is_not_short() {
    // 10 mm at 3 mm gives three steps of 3.33, not three of 3 and one of 1.
    let stitches = sewn("0 0  10 0", &[], &[(true, Visit::Single)], &untied(3.0));
    assert_eq!(xs(&stitches), "0 3.3 6.7 10");
}

#[test]
fn a_second_visit_uses_the_same_holes() {
    let visits = [(true, Visit::Triple), (false, Visit::Single)];
    let stitches = sewn("0 0  10 0", &[], &visits, &untied(3.0));
    assert_eq!(xs(&stitches), "0 3.3 0 3.3 6.7 3.3 6.7 10 6.7 10 6.7 3.3 0");
}

#[test]
fn a_double_run_goes_along_the_walk_and_back() {
    let twice = SewOptions { times: Times::Twice, ..untied(2.5) };
    assert_eq!(xs(&sewn("0 0  7.5 0", &[], &[(true, Visit::Triple)], &twice)), "0 2.5 5 7.5 5 2.5 0");
    // Walked again it is sewn four times, and both ties lie where it begins.
    let visits = [(true, Visit::Triple), (false, Visit::Single)];
    assert_eq!(xs(&sewn("0 0  5 0", &[], &visits, &twice)), "0 2.5 5 2.5 0 2.5 5 2.5 0");
    let tied = SewOptions { ties: true, ..twice };
    let stitches = sewn("0 0  5 0", &[], &[(true, Visit::Triple)], &tied);
    assert_eq!(xs(&stitches), "0 1.1 2.2 1.1 0 2.5 5 2.5 0 1.1 2.2 1.1 0");
}

#[test]
fn a_stitch_that_lines_share_is_sewn_four_times_at_most() {
    let visits = [(true, Visit::Triple), (false, Visit::Triple), (true, Visit::Single)];
    assert_eq!(xs(&sewn("0 0  1.5 0", &[], &visits, &untied(2.5))), "0 1.5 0 1.5");
    let visits = [(true, Visit::Triple), (false, Visit::Triple)];
    assert_eq!(xs(&sewn("0 0  1.5 0", &[], &visits, &untied(2.5))), "0 1.5 0 1.5 0");
}

#[test]
fn a_corner_gets_a_hole_of_its_own() {
    let stitches = sewn("0 0  3.14 0  3.14 4", &[1], &[(true, Visit::Single)], &untied(2.5));
    let points = &stitches.pieces[0].points;
    assert!(points.contains(&Point::new(3.1, 0.0)), "{points:?}");
    assert_eq!(points.len(), 4);
}

#[test]
fn ties_lie_on_the_line_and_lead_back_to_its_end() {
    let stitches = sewn("0 0  5 0", &[], &[(true, Visit::Single)], &SewOptions::default());
    assert_eq!(xs(&stitches), "0 1.1 2.2 1.1 0 2.5 5 3.9 2.8 3.9 5");
    let run = &stitches.pieces[0];
    assert_eq!((run.tie_in, run.tie_off), (4, 4));
    assert_eq!(run.body().iter().map(|p| p.x).collect::<Vec<_>>(), [0.0, 2.5, 5.0]);
    assert_eq!(Run::from_points(run.points.clone()), *run);
}

#[test]
fn the_centre_is_that_of_the_needle_points() {
    let stitches = sewn("1 2  6.1 2", &[], &[(true, Visit::Triple)], &SewOptions::default());
    assert_eq!(stitches.centre, Point::new(3.5, 2.0));
    assert_eq!(stitches.bounds(), Rect::new(1.0, 2.0, 6.1, 2.0));
    assert_eq!(stitches.penetrations(), 4 + 7 + 4);
    assert_eq!(stitches.segments().count(), 14);
}

#[test]
fn a_line_within_one_hole_is_not_sewn() {
    let stitches = sewn("0 0  0.04 0", &[], &[(true, Visit::Triple)], &SewOptions::default());
    assert_eq!(stitches, Stitches::default());
}

#[test]
fn steps_out_of_range_are_refused() {
    let (route, network) = one_edge("0 0  10 0", &[], &[(true, Visit::Triple)]);
    for step_mm in [0.0, -2.5, 0.99, 5.01, f64::NAN, f64::INFINITY] {
        let refused = sew(&route, &network, &untied(step_mm)).unwrap_err();
        assert!(matches!(refused, SewError::StepOutOfRange { .. }));
    }
    let words = sew(&route, &network, &untied(0.5)).unwrap_err().to_string();
    assert_eq!(words, "a step of 0.5 mm cannot be sewn; ask for 1 to 5 mm");
}

#[test]
fn a_walk_with_a_gap_is_refused() {
    let twice_forward = [(true, Visit::Triple), (true, Visit::Single)];
    let (route, network) = one_edge("0 0  10 0", &[], &twice_forward);
    let refused = sew(&route, &network, &SewOptions::default());
    assert_eq!(refused, Err(SewError::BrokenWalk { piece: 0, step: 1 }));
    let nowhere = sew(&route, &Network::default(), &SewOptions::default());
    assert_eq!(nowhere, Err(SewError::BrokenWalk { piece: 0, step: 0 }));
}
