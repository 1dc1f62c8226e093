use super::*;
use crate::base::curve::flatten;
use crate::stitches::Run;

fn run(text: &str) -> Run {
    let numbers: Vec<f64> = text.split_whitespace().map(|n| n.parse().unwrap()).collect();
    Run::from_points(numbers.chunks(2).map(|xy| Point::new(xy[0], xy[1])).collect())
}

fn all(_: Point, _: Point, _: usize) -> bool {
    true
}

/// The lines of runs written as "x y  x y …", one line of text each: passes, then holes, then "closed".
fn unpicked(runs: &[&str]) -> String {
    unpicked_with(runs, Passes::SharedHoles)
}

fn unpicked_with(runs: &[&str], passes: Passes) -> String {
    let unpicked = unpick(&Stitches::new(runs.iter().map(|text| run(text)).collect()), passes, &all);
    let show = |line: &Line| {
        let holes: Vec<String> = line.points.iter().map(|p| format!("{} {}", p.x, p.y)).collect();
        let closed = if line.closed { " closed" } else { "" };
        format!("{} × {}{closed}", line.passes, holes.join("  "))
    };
    unpicked.lines.iter().map(show).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_triple_line_is_one_line_sewn_three_times() {
    assert_eq!(unpicked(&["0 0  2 0  0 0  2 0  4 1  2 0  4 1"]), "3 × 0 0  2 0  4 1");
}

#[test]
fn a_closed_line_is_closed() {
    assert_eq!(unpicked(&["0 0  2 0  2 2  0 2  0 0"]), "1 × 0 0  2 0  2 2  0 2 closed");
}

#[test]
fn a_loop_on_a_stem_runs_on_from_the_stem() {
    let lines = unpicked(&["0 0  2 0  4 0  4 2  2 0"]);
    assert_eq!(lines, "1 × 0 0  2 0  4 0  4 2  2 0");
}

#[test]
fn lines_that_touch_and_part_are_two_from_where_they_touch() {
    // From 0 0 two lines go on almost the same way: their next holes are a tenth apart.
    let lines = unpicked(&["-2 0  0 0  2.5 0.1  5 0.4", "-2 0.3  0 0  2.5 0  5 -0.3"]);
    assert_eq!(lines, "1 × -2 0  0 0  2.5 0.1  5 0.4\n1 × -2 0.3  0 0  2.5 0  5 -0.3");
    // Two triple lines a tenth apart between the same ends are two.
    let lens = "0 0  2 0  0 0  2 0  4 0  2 0  4 0  6 0  4 0  6 0  4 0.1  6 0  4 0.1  2 0.1  4 0.1  2 0.1  0 0  2 0.1  0 0";
    assert_eq!(unpicked(&[lens]), "3 × 0 0  2 0  4 0  6 0  4 0.1  2 0.1 closed");
    // One line in two passes that round two ways is one.
    let lines = unpicked(&["0 0  2.5 0.1  5 0.2", "0 0  2.5 0  5 0.2"]);
    assert_eq!(lines, "2 × 0 0  2.5 0.1  5 0.2");
}

#[test]
fn lines_that_cross_in_a_hole_are_two() {
    let lines = unpicked(&["0 0  2 2  4 4", "0 4  2 2  4 0"]);
    assert_eq!(lines, "1 × 0 0  2 2  4 4\n1 × 0 4  2 2  4 0");
}

#[test]
fn a_line_that_ends_on_another_leaves_that_whole() {
    let lines = unpicked(&["0 0  2 0  4 0", "2 3  2 0"]);
    assert_eq!(lines, "1 × 0 0  2 0  4 0\n1 × 2 3  2 0");
}

#[test]
fn a_line_sewn_more_often_in_part_is_one_line() {
    assert_eq!(unpicked(&["0 0  2 0  4 0  6 0  4 0"]), "1 × 0 0  2 0  4 0  6 0");
}

#[test]
fn a_line_first_met_in_its_middle_is_followed_both_ways() {
    // From the middle to one end, and from the middle to the other.
    assert_eq!(unpicked(&["2 0  4 0", "2 0  0 0"]), "1 × 0 0  2 0  4 0");
}

#[test]
fn ties_and_stitches_in_place_are_no_lines() {
    assert_eq!(unpicked(&["0 0  0.8 0  1.6 0  0.8 0  0 0  2.5 0  2.5 0  5 0"]), "1 × 0 0  2.5 0  5 0");
    assert_eq!(unpicked(&["0 0  0.5 0  0 0.3  0.4 0.2  0 0  2.5 0  5 0"]), "1 × 0 0  2.5 0  5 0");
    assert_eq!(unpicked(&[]), "");
    assert_eq!(unpicked(&["1 1"]), "");
}

#[test]
fn passes_in_holes_of_their_own_are_one_line() {
    // There, back with holes half a step on and a tenth beside, and there again.
    let runs = ["0 0  2 0  4 0  6 0", "6 0.1  5 0.1  3 -0.1  1 0.1  0.1 0", "0 0  2 0  4 0  6 0"];
    let lines = unpicked_with(&runs, Passes::OwnHoles);
    assert_eq!(lines, "3 × 0 0  1 0.1  2 0  3 -0.1  4 0  5 0.1  6 0");
}

#[test]
fn a_stitch_that_passes_over_a_junction_goes_through_it() {
    // Four arms; one way through has a hole in the middle, the other passes over it by a tenth.
    let lines = unpicked(&["-2 0  0 0  2 0", "0.1 2  0.1 -2", "0 0  0.1 2  0 0  0.1 -2"]);
    assert_eq!(lines, "1 × -2 0  0 0  2 0\n3 × 0.1 2  0 0  0.1 -2");
}

#[test]
fn what_is_no_line_is_left_out() {
    let stitches = Stitches::new(vec![run("0 0  2 0  0 0  2 0  2 3")]);
    let unpicked = unpick(&stitches, Passes::SharedHoles, &|_, _, passes| passes > 1);
    assert_eq!(unpicked.lines.len(), 1);
    assert_eq!(unpicked.passes, BTreeMap::from([(3, 1)]));
}

#[test]
fn steps_are_counted_by_their_passes() {
    let run = |xs: &[f64]| Run::from_points(xs.iter().map(|x| Point::new(*x, 0.0)).collect());
    let unpicked = unpick(
        &Stitches::new(vec![run(&[0.0, 2.0, 0.0, 2.0, 4.0, 2.0, 4.0, 6.0])]),
        Passes::SharedHoles,
        &all,
    );
    assert_eq!(unpicked.passes, BTreeMap::from([(1, 1), (3, 2)]));
}

#[test]
fn a_circle_is_recovered_from_rounded_holes_in_a_few_curves() {
    let (radius, count) = (30.0, 75);
    let hole = |i: i32| {
        let p = Vec2::from_angle(std::f64::consts::TAU * f64::from(i) / f64::from(count)) * radius;
        Point::new((p.x * 10.0).round() / 10.0, (p.y * 10.0).round() / 10.0)
    };
    let ring: Vec<Point> = (0..=count).map(hole).collect();
    let lines = unpick(&Stitches::new(vec![Run::from_points(ring)]), Passes::SharedHoles, &all).lines;
    assert!(lines.len() == 1 && lines[0].closed);
    let path = lines[0].path();
    let flat = flatten(&path, 0.001);
    let off = flat[0].points.iter().map(|p| (p.to_vec2().hypot() - radius).abs()).fold(0.0, f64::max);
    assert!(off < 0.1, "{off}");
    assert!(path.segments().count() <= 16, "{}", path.segments().count());
}
