use super::*;

fn region(xy: &[(f64, f64)]) -> Region {
    let points: Vec<Point> = xy.iter().map(|p| Point::from(*p)).collect();
    Region { outer: Ring::from_points(&points).unwrap(), holes: Vec::new() }
}

fn corners(region: &Region) -> Vec<(f64, f64)> {
    region.outer.points().iter().map(|p| ((p.x * 1e6).round() / 1e6, (p.y * 1e6).round() / 1e6)).collect()
}

#[test]
fn a_square_keeps_square_corners() {
    let got = inset(&region(&[(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)]), 6.35);
    assert_eq!(corners(&got[0]), [(6.35, 6.35), (73.65, 6.35), (73.65, 73.65), (6.35, 73.65)]);
    assert!(got[0].outer.is_polygon());
}

#[test]
fn a_sharp_triangle_keeps_its_exact_corners() {
    let got = inset(&region(&[(0.0, 0.0), (200.0, 0.0), (200.0, 20.0)]), 2.0);
    for (corner, p) in got[0].outer.points().iter().zip([(0.0, 0.0), (200.0, 0.0), (200.0, 20.0)]) {
        assert!(corner.distance(p.into()) > 2.0);
    }
    assert_eq!(got[0].outer.points().len(), 3);
    let worst =
        got[0].outer.points().iter().map(|p| region(&[(0.0, 0.0), (200.0, 0.0), (200.0, 20.0)]).depth(*p));
    assert!(worst.into_iter().all(|d| (d - 2.0).abs() < 1e-9));
}

#[test]
fn an_inward_corner_stays_a_corner() {
    let ell = [(0.0, 0.0), (80.0, 0.0), (80.0, 40.0), (40.0, 40.0), (40.0, 80.0), (0.0, 80.0)];
    let got = inset(&region(&ell), 5.0);
    assert_eq!(got.len(), 1);
    let mut found = corners(&got[0]);
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    assert_eq!(found, [(5.0, 5.0), (5.0, 75.0), (35.0, 35.0), (35.0, 75.0), (75.0, 5.0), (75.0, 35.0)]);
}

#[test]
fn a_needle_poking_in_is_cut_off_square() {
    // The tip is at 40, 40; a bare mitre would reach 10 margins past it.
    let vee = [(0.0, 0.0), (36.0, 0.0), (40.0, 40.0), (44.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)];
    let got = inset(&region(&vee), 5.0);
    let highest_below = got[0].outer.points().iter().filter(|p| p.y < 60.0).map(|p| p.y).fold(0.0, f64::max);
    assert!((highest_below - 50.0).abs() < 1e-6, "{highest_below}");
}

#[test]
fn a_waist_parts_the_block_and_the_larger_piece_comes_first() {
    let waist = [
        (0.0, 0.0),
        (40.0, 0.0),
        (40.0, 30.0),
        (48.0, 30.0),
        (48.0, 0.0),
        (100.0, 0.0),
        (100.0, 80.0),
        (48.0, 80.0),
        (48.0, 38.0),
        (40.0, 38.0),
        (40.0, 80.0),
        (0.0, 80.0),
    ];
    let got = inset(&region(&waist), 5.0);
    assert_eq!(got.len(), 2);
    assert!(got[0].area() > got[1].area());
    assert!((got[1].area() - 30.0 * 70.0).abs() < 1e-3, "{}", got[1].area());
}

#[test]
fn a_hole_grows_with_round_corners() {
    let hole = Ring::from_points(&[(30.0, 30.0), (50.0, 30.0), (50.0, 50.0), (30.0, 50.0)].map(Point::from));
    let mut block = region(&[(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)]);
    block.holes.push(hole.unwrap());
    let got = inset(&block, 5.0);
    assert_eq!((got.len(), got[0].holes.len()), (1, 1));
    let grown = 20.0 * 20.0 + 4.0 * 20.0 * 5.0 + std::f64::consts::PI * 25.0;
    // The four quarter rounds, 31 mm of arc, are counted along chords up to 0.01 mm inside.
    assert!((got[0].area() - (70.0 * 70.0 - grown)).abs() < 0.31, "{}", got[0].area());
    assert!(got[0].holes[0].corners().is_empty());
}

#[test]
fn the_largest_margin_is_just_short_of_the_middle() {
    let square = region(&[(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)]);
    assert_eq!(largest_margin(&square, 50.0), 39.4);
    assert!(inset(&square, 40.0).is_empty());
}
