//! Lines as path text → nodes, edges and length as text.

use kurbo::BezPath;

use super::*;
use crate::base::curve;
use crate::base::tolerance::FLATTEN_MM;

/// Connects lines given as path text, one a line, and says what came out: nodes, edges, drawn length in mm, corners.
fn connected(paths: &[&str]) -> String {
    said(&network(paths))
}

/// The same, with the length in tenths only.
fn counted(paths: &[&str]) -> String {
    let network = network(paths);
    format!("{} edges, {:.1} mm", network.edges.len(), network.drawn_length())
}

fn network(paths: &[&str]) -> Network {
    connect(&drawing(paths), &[]).unwrap()
}

fn drawing(paths: &[&str]) -> Drawing {
    let lines = paths.iter().map(|p| BezPath::from_svg(p).unwrap()).collect();
    Drawing { lines, ..Drawing::default() }
}

/// The same as [`connected`], with a ring to travel along; says how many edges are for travel, their length and corners.
fn travelled(paths: &[&str], ring: &str) -> String {
    let flat = curve::flatten(&BezPath::from_svg(ring).unwrap(), FLATTEN_MM).remove(0);
    let points = &flat.points[1..];
    let mut corners: Vec<Point> = flat.corners.iter().map(|c| flat.points[*c]).collect();
    if flat.corner_at_start {
        corners.push(flat.points[0]);
    }
    let network = weave(&drawing(paths), vec![Run::travel(points, &corners)]).unwrap();
    let travel: Vec<&Edge> = network.edges.iter().filter(|e| !e.is_drawn()).collect();
    let length: f64 = travel.iter().fold(0.0, |sum, e| sum + e.length_mm);
    let corners: usize = travel.iter().map(|e| e.corners.len()).sum();
    format!("{}; {} travel, {length:.2} mm, {corners} corners", said(&network), travel.len())
}

fn said(network: &Network) -> String {
    let corners: usize = network.edges.iter().map(|e| e.corners.len()).sum();
    let mut degrees = network.drawn_degrees();
    degrees.sort_unstable();
    let degrees = degrees.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
    let (edges, length) = (network.edges.len(), network.drawn_length());
    format!("{edges} edges, {length:.2} mm, {corners} corners, degrees {degrees}")
}

#[test]
fn crossing_lines_meet_in_a_node() {
    assert_eq!(connected(&["M0,0 L10,10", "M0,10 L10,0"]), "4 edges, 28.28 mm, 0 corners, degrees 1 1 1 1 4");
}

#[test]
fn a_line_that_ends_on_another_splits_it() {
    assert_eq!(connected(&["M0,0 L10,0", "M4,0 L4,5"]), "3 edges, 15.00 mm, 0 corners, degrees 1 1 1 3");
}

#[test]
fn a_line_that_stops_a_hair_short_is_joined() {
    assert_eq!(connected(&["M0,0 L10,0", "M4,0.01 L4,5"]), "3 edges, 14.99 mm, 0 corners, degrees 1 1 1 3");
    assert_eq!(connected(&["M0,0 L10,0", "M4,-0.01 L4,5"]), "3 edges, 15.01 mm, 0 corners, degrees 1 1 1 3");
    assert_eq!(connected(&["M0,0 L10,0", "M4,0.06 L4,5"]), "2 edges, 14.94 mm, 0 corners, degrees 1 1 1 1");
}

#[test]
fn a_side_of_two_squares_is_one_edge() {
    let squares = ["M0,0 L10,0 L10,10 L0,10 Z", "M10,0 L20,0 L20,10 L10,10 Z"];
    assert_eq!(connected(&squares), "3 edges, 70.00 mm, 4 corners, degrees 3 3");
}

#[test]
fn lines_that_overlap_in_part_are_one_line() {
    assert_eq!(connected(&["M0,0 L10,0", "M6,0 L16,0"]), "1 edges, 16.00 mm, 0 corners, degrees 1 1");
    assert_eq!(
        connected(&["M0,0 L10,0 L10,5", "M6,0 L16,0"]),
        "3 edges, 21.00 mm, 0 corners, degrees 1 1 1 3"
    );
    assert_eq!(connected(&["M0,0 L10,0 L0,0"]), "1 edges, 10.00 mm, 0 corners, degrees 1 1");
}

#[test]
fn a_hundred_lines_through_a_point_meet_in_one_node() {
    let lines: Vec<String> = (0..100)
        .map(|i| f64::from(i) * std::f64::consts::PI / 100.0)
        .map(|a| {
            format!(
                "M{},{} L{},{}",
                3.0 + 80.0 * a.cos(),
                80.0 * a.sin(),
                3.0 - 70.0 * a.cos(),
                -70.0 * a.sin()
            )
        })
        .collect();
    let network = network(&lines.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((network.nodes.len(), network.edges.len()), (201, 200));
    assert!((network.drawn_length() - 15_000.0).abs() < 0.5);
}

#[test]
fn parallel_lines_a_tenth_apart_stay_apart() {
    let lines: Vec<String> = (0..50).map(|i| format!("M0,{0} L50,{0}", f64::from(i) * 0.1)).collect();
    let network = network(&lines.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((network.nodes.len(), network.edges.len(), network.pieces().len()), (100, 50, 50));
}

#[test]
fn an_arc_drawn_twice_is_one_edge() {
    let arc = "M0,0 C0,19.33 15.67,35 35,35";
    assert_eq!(connected(&[arc, arc]), connected(&[arc]));
    assert_eq!(connected(&[arc, "M35,35 C15.67,35 0,19.33 0,0"]), connected(&[arc]));
    assert_eq!(connected(&[arc]), "1 edges, 54.98 mm, 0 corners, degrees 1 1");
}

#[test]
fn an_arc_split_elsewhere_is_one_edge() {
    let arc = kurbo::CubicBez::new((0.0, 0.0), (0.0, 19.33), (15.67, 35.0), (35.0, 35.0));
    let whole = counted(&["M0,0 C0,19.33 15.67,35 35,35"]);
    for cut in [0.13, 0.37, 0.5, 0.71] {
        let parts = [0.0..cut, cut..1.0].map(|r| kurbo::ParamCurve::subsegment(&arc, r));
        let mut path = BezPath::new();
        path.move_to(parts[0].p0);
        parts.iter().for_each(|p| path.curve_to(p.p1, p.p2, p.p3));
        assert_eq!(counted(&["M0,0 C0,19.33 15.67,35 35,35", &path.to_svg()]), whole, "cut at {cut}");
        let part = kurbo::ParamCurve::subsegment(&arc, cut / 2.0..cut);
        let part = format!(
            "M{:?},{:?} C{:?},{:?} {:?},{:?} {:?},{:?}",
            part.p3.x, part.p3.y, part.p2.x, part.p2.y, part.p1.x, part.p1.y, part.p0.x, part.p0.y
        );
        assert_eq!(counted(&["M0,0 C0,19.33 15.67,35 35,35", &part]), whole, "part to {cut}");
    }
}

/// A circle as path text.
fn circle(x: f64, y: f64, r: f64) -> String {
    kurbo::Shape::to_path(&kurbo::Circle::new((x, y), r), 1e-4).to_svg()
}

#[test]
fn a_circle_alone_is_one_edge_on_one_node() {
    let network = network(&[&circle(5.0, 5.0, 20.0)]);
    assert_eq!(said(&network), "1 edges, 125.64 mm, 0 corners, degrees 2");
    assert!(network.nodes[0].x < 0.0 && network.nodes[0].y < 0.0, "anchored at the lower left");
}

#[test]
fn a_circle_with_a_chord_has_two_nodes() {
    assert_eq!(
        connected(&[&circle(0.0, 0.0, 20.0), "M-20,0 L20,0"]),
        "3 edges, 165.64 mm, 0 corners, degrees 3 3"
    );
}

#[test]
fn a_figure_eight_crosses_itself_once() {
    assert_eq!(
        connected(&["M0,0 C40,40 40,-40 0,0 C-40,40 -40,-40 0,0 Z"]).split(", degrees").nth(1),
        Some(" 4")
    );
    assert_eq!(
        connected(&["M-20,-10 L20,10 L20,-10 L-20,10 Z"]).split(" mm,").nth(1),
        Some(" 4 corners, degrees 4")
    );
}

/// Four petals of two quarter arcs round each of `n` × `n` points, 50 mm apart.
fn petals(n: i32) -> Vec<String> {
    let arc = |x0: f64, y0: f64, x1: f64, y1: f64, flag: u8| {
        format!("M{x0},{y0} A35.35533905932738,35.35533905932738 0 0 {flag} {x1},{y1}")
    };
    let mut all = Vec::new();
    for i in 0..n {
        for j in 0..n {
            let (x, y) = (50.0 * f64::from(i), 50.0 * f64::from(j));
            for flag in [0, 1] {
                all.push(arc(x, y, x + 50.0, y, flag));
                all.push(arc(x, y, x, y + 50.0, flag));
            }
        }
    }
    all
}

#[test]
fn petal_tips_meet_in_one_node() {
    let petals = petals(3);
    let network = network(&petals.iter().map(String::as_str).collect::<Vec<_>>());
    let degrees = network.drawn_degrees();
    assert_eq!((network.edges.len(), degrees.iter().filter(|d| **d == 8).count()), (30, 4));
}

#[test]
fn circles_that_touch_share_one_node() {
    let words = |x: f64, r: f64| connected(&[&circle(0.0, 0.0, 35.0), &circle(x, 0.0, r)]);
    assert_eq!(words(70.0, 35.0), "2 edges, 439.78 mm, 0 corners, degrees 4");
    assert_eq!(words(17.5, 17.5), "2 edges, 329.83 mm, 0 corners, degrees 4");
    assert_eq!(words(40.0, 5.0), "2 edges, 251.29 mm, 0 corners, degrees 4");
    assert_eq!(words(34.0, 1.0), "2 edges, 226.16 mm, 0 corners, degrees 4");
}

const SQUARE: &str = "M0,0 L10,0 L10,10 L0,10 Z";

#[test]
fn lines_that_end_on_the_edge_can_travel_there() {
    assert_eq!(
        travelled(&["M0,5 L10,5"], SQUARE),
        "3 edges, 10.00 mm, 4 corners, degrees 1 1; 2 travel, 40.00 mm, 4 corners"
    );
    assert_eq!(
        travelled(&["M0.015,5 L9.985,5"], SQUARE),
        "3 edges, 9.97 mm, 4 corners, degrees 1 1; 2 travel, 40.00 mm, 4 corners"
    );
}

#[test]
fn a_line_along_the_edge_is_drawn_not_travelled() {
    assert_eq!(
        travelled(&["M0,0 L10,0 L5,5"], SQUARE),
        "3 edges, 17.07 mm, 2 corners, degrees 1 1 2; 1 travel, 30.00 mm, 2 corners"
    );
    assert_eq!(
        travelled(&[SQUARE], SQUARE),
        "1 edges, 40.00 mm, 3 corners, degrees 2; 0 travel, 0.00 mm, 0 corners"
    );
}

#[test]
fn a_loop_that_touches_the_edge_meets_it_in_one_node() {
    let words = travelled(&[&circle(25.0, 10.0, 10.0)], "M0,0 L50,0 L50,50 L0,50 Z");
    assert_eq!(words, "2 edges, 62.81 mm, 4 corners, degrees 2; 1 travel, 200.00 mm, 4 corners");
}

#[test]
fn an_edge_that_nothing_touches_is_left_out() {
    let words = travelled(&["M2,2 L8,8"], SQUARE);
    assert_eq!(words, "1 edges, 8.49 mm, 0 corners, degrees 1 1; 0 travel, 0.00 mm, 0 corners");
}

#[test]
fn lines_without_length_and_no_lines_give_nothing() {
    assert_eq!(network(&[]), Network::default());
    assert_eq!(network(&["M3,3 L3,3", "M5,5 C5,5 5,5 5,5", "M1,1 Z"]), Network::default());
}

#[test]
fn points_that_are_no_numbers_are_refused() {
    let mut path = BezPath::new();
    path.move_to((0.0, 0.0));
    path.line_to((f64::NAN, 1.0));
    let drawing = Drawing { lines: vec![BezPath::new(), path], ..Drawing::default() };
    assert_eq!(connect(&drawing, &[]), Err(NetworkError::NotANumber { line: 2 }));
    let drawing = self::drawing(&["M0,0 L1e9,0"]);
    assert_eq!(connect(&drawing, &[]), Err(NetworkError::TooFar { line: 1, at_mm: 1e9 }));
}

#[test]
fn pieces_count_drawn_lines_only() {
    let network = network(&["M0,0 L10,0", "M5,0 L5,5", "M20,0 L30,0"]);
    assert_eq!(network.pieces(), vec![vec![0, 1, 2], vec![3]]);
    assert_eq!(network.adjacency()[1], vec![0, 1, 2]);
    assert_eq!(network.degree(1), 3);
}

#[test]
fn cells_drawn_whole_share_their_bent_sides() {
    // An S from `a` to `b` that is the same line from `b` to `a`.
    let bent = |a: Point, b: Point| {
        let (along, across) = ((b - a) / 3.0, kurbo::Vec2::new(a.y - b.y, b.x - a.x) / 4.0);
        let (p, q) = (a + along + across, b - along - across);
        format!("C{},{} {},{} {},{}", p.x, p.y, q.x, q.y, b.x, b.y)
    };
    let cell = |x: f64, y: f64| {
        let corners = [(x, y), (x + 30.0, y), (x + 30.0, y + 30.0), (x, y + 30.0), (x, y)].map(Point::from);
        let sides: Vec<String> = corners.windows(2).map(|w| bent(w[0], w[1])).collect();
        format!("M{x},{y} {} Z", sides.join(" "))
    };
    let one = network(&[&cell(0.0, 0.0)]).drawn_length() / 4.0;
    let cells = [cell(0.0, 0.0), cell(30.0, 0.0), cell(0.0, 30.0), cell(30.0, 30.0)];
    let all = network(&cells.each_ref().map(String::as_str));
    // Twelve sides, those at the four outer corners joined into one edge round the corner.
    assert_eq!((all.nodes.len(), all.edges.len()), (5, 8));
    assert!((all.drawn_length() - 12.0 * one).abs() < 0.01);
}

#[test]
fn a_plume_that_leaves_along_the_spine_has_its_foot_in_one_node() {
    let bent = "M-40,0 C-20,10 20,10 40,0";
    assert_eq!(connected(&[bent]), "1 edges, 82.04 mm, 0 corners, degrees 1 1");
    assert_eq!(
        connected(&[bent, "M0,7.5 C8,7.5 15,11 15,18"]),
        "3 edges, 102.50 mm, 0 corners, degrees 1 1 1 3"
    );
    let shared = ["M-40,0 L40,0", "M-10,0 L0,0 C8,0 15,4 15,10"];
    assert_eq!(connected(&shared), "3 edges, 99.91 mm, 0 corners, degrees 1 1 1 3");
}

#[test]
fn circles_that_touch_from_inside_share_a_node_or_a_short_line() {
    for (r, turn) in [(25.0_f64, 0.0_f64), (25.0, 0.7), (17.0, 1.0), (33.0, 2.0), (5.0, 3.0)] {
        let (x, y) = ((35.0 - r) * turn.cos(), (35.0 - r) * turn.sin());
        let network = network(&[&circle(0.0, 0.0, 35.0), &circle(x, y, r)]);
        let shared = 2.0 * std::f64::consts::PI * (35.0 + r) - network.drawn_length();
        // Within the flattening the circles lie on each other for so long.
        let most = 2.0 * (2.0 * (TWIN_MM + FLATTEN_MM) / (1.0 / r - 1.0 / 35.0)).sqrt();
        assert!(network.edges.len() <= 3 && shared <= most, "{shared} of {most} mm shared at radius {r}");
    }
}
