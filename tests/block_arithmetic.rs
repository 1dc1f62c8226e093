//! Published worked examples of quilt arithmetic against the finished blocks and the cutting sizes; all in inches.

use kurbo::Point;
use thrice::base::chain;
use thrice::base::units::MM_PER_INCH;
use thrice::block::cutting;
use thrice::block::outline;
use thrice::block::shape::Shape;
use thrice::drawing::library;
use thrice::top::cutting::list;
use thrice::top::file;

/// A function of mm as a function of inches.
fn inches(of: impl Fn(f64) -> f64, value: f64) -> f64 {
    of(value * MM_PER_INCH) / MM_PER_INCH
}

#[track_caller]
fn assert_near(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance.max(1e-9), "{got} is not {expected}");
}

/// The corners of a block, in inches.
fn corners(shape: &Shape) -> Vec<Point> {
    let block = outline(shape, 0.0).unwrap();
    block.outline.outer.points().iter().map(|p| (p.to_vec2() / MM_PER_INCH).to_point()).collect()
}

fn sides(shape: &Shape) -> Vec<f64> {
    chain::sides(&corners(shape)).map(|(a, b)| a.distance(b)).collect()
}

#[test]
fn setting_triangles_are_cut_as_published() {
    for (finished, side, corner) in [
        (12.0, 18.25, 9.375), // side [95] [100], corner [101] [95]
        (6.0, 9.75, 5.125),   // [99] [95]
        (9.0, 14.0, 7.25),    // [95] [100]
        (10.0, 15.5, 8.0),    // [95] [100]
        (8.0, 12.625, 6.625), // [95] [100]
        (15.0, 22.5, 11.5),   // [100]
    ] {
        assert_near(inches(cutting::side_triangle, finished), side, 0.0);
        assert_near(inches(cutting::corner_triangle, finished), corner, 0.0);
    }
    assert_near(inches(cutting::side_triangle, 16.0), 23.875, 0.0); // [100]; √2 would give 24
    assert_near(inches(cutting::side_triangle, 3.5), 6.25, 0.0); // [95]
}

/// Finished block, side square, corner square [95] [100]; eighths of an inch after the point of the block.
///
/// The corner for 3½ is printed 3½ in [95], where the rule it states gives 3⅜: the rule stands here. The corner for 12½ is
/// computed, not printed.
const CHART: [(f64, f64, f64); 24] = [
    (3.0, 5.5, 3.0),
    (3.5, 6.25, 3.375),
    (4.0, 7.0, 3.75),
    (4.5, 7.625, 4.125),
    (5.0, 8.375, 4.5),
    (5.5, 9.125, 4.875),
    (6.0, 9.75, 5.125),
    (6.5, 10.5, 5.5),
    (7.0, 11.25, 5.875),
    (7.5, 11.875, 6.25),
    (8.0, 12.625, 6.625),
    (8.5, 13.375, 7.0),
    (9.0, 14.0, 7.25),
    (9.5, 14.75, 7.625),
    (10.0, 15.5, 8.0),
    (10.5, 16.125, 8.375),
    (11.0, 16.875, 8.75),
    (11.5, 17.625, 9.125),
    (12.0, 18.25, 9.375),
    (12.5, 19.0, 9.75),
    (13.0, 19.75, 10.125),
    (14.0, 21.125, 10.875),
    (15.0, 22.5, 11.5),
    (16.0, 23.875, 12.25),
];

#[test]
fn the_whole_published_chart_is_met() {
    for (finished, side, corner) in CHART {
        assert_near(inches(cutting::side_triangle, finished), side, 0.0);
        assert_near(inches(cutting::corner_triangle, finished), corner, 0.0);
    }
}

#[test]
fn patches_are_cut_as_published() {
    assert_near(inches(cutting::square, 6.0), 6.5, 0.0); // [99]
    assert_near(inches(cutting::quarter_square, 3.0), 4.25, 0.0); // [97]
    // The large squares of flying geese, twice as wide as high.
    for (height, large) in [
        (3.0, 7.25),  // [95] [98]
        (1.25, 3.75), // [98]
        (2.75, 6.75), // [98]
        (2.0, 5.25),  // [98] [95]
        (1.0, 3.25),  // [98] [95]
        (2.5, 6.25),  // [98] [95]
    ] {
        assert_near(inches(cutting::quarter_square, 2.0 * height), large, 0.0);
    }
    assert_near(inches(cutting::half_square_by_long_side, 6.0), 5.125, 0.0); // [111]
    assert_near(inches(cutting::half_square_by_long_side, 4.0), 3.75, 0.0); // [104]
}

/// Blocks, side triangles and the squares they are cut from, as a quilt on point lists them.
fn patches_on_point(rows: usize, columns: usize) -> [(u64, u64); 2] {
    let text = format!(
        "title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"on point\"\nrows = {rows}\n\
         columns = {columns}\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n"
    );
    let quilt = file::read(&text, &library::read_all(&[]).unwrap(), &["dst"]).unwrap();
    let list = list(&quilt);
    ["blocks, unfinished", "side triangles"]
        .map(|what| list.iter().find(|cut| cut.what == what).map_or((0, 0), |cut| (cut.patches, cut.cut)))
}

#[test]
fn settings_on_point_are_counted_as_published() {
    assert_eq!(patches_on_point(4, 4), [(25, 25), (12, 3)]); // [102]
    assert_eq!(patches_on_point(4, 5), [(32, 32), (14, 4)]); // derived; 32 in [103]
    assert_eq!(patches_on_point(1, 1), [(1, 1), (0, 0)]);
}

#[test]
fn finished_octagons_and_hexagons_have_the_published_sides() {
    let octagon = Shape::Octagon { across: 20.0 * MM_PER_INCH };
    assert_eq!(sides(&octagon).len(), 8);
    for side in sides(&octagon) {
        assert_near(side, 8.2843, 0.0005); // [107]
    }
    let hexagon = Shape::Hexagon { side: 2.5 * MM_PER_INCH };
    assert_near(chain::signed_area(&corners(&hexagon)), 16.238, 0.005); // [109]
    let hexagon = Shape::Hexagon { side: 1.5877 * MM_PER_INCH };
    assert_near(chain::bounds(&corners(&hexagon)).height(), 2.75, 0.0005); // [108]
}

#[test]
fn the_star_block_is_filled_by_its_own_diamonds() {
    // Eight diamonds, four squares on the side of a diamond and four triangles fill the block of (2 + √2) sides.
    let side = 4.3934; // [106], printed 4.3936
    let diamond = Shape::Diamond { side: side * MM_PER_INCH, angle_deg: 45.0 };
    let square = Shape::Square { side: side * MM_PER_INCH };
    let triangle = Shape::SideTriangle { block: side * MM_PER_INCH };
    let area = |s: &Shape| chain::signed_area(&corners(s));
    assert_near(8.0 * area(&diamond) + 4.0 * area(&square) + 4.0 * area(&triangle), 225.0, 0.005);
}

#[test]
fn setting_triangles_close_the_edge_of_blocks_on_point() {
    // A block on point is √2 of its side from corner to corner, which is the long side of the side triangle: 16.971 for 12.
    let block = 12.0 * MM_PER_INCH;
    let side = sides(&Shape::SideTriangle { block });
    assert_near(side[0], 16.971, 0.001); // derived; [94]
    assert_near(side[1], 12.0, 1e-9);
    let corner = sides(&Shape::CornerTriangle { block });
    assert_near(corner[1], 12.0, 1e-9);
    assert_near(corner[0], 16.971 / 2.0, 0.001);
    // The trade's patch is large enough: cut in four it leaves at least the seam all round.
    let exact = side[0] + 0.5 * (1.0 + 2f64.sqrt());
    assert!(inches(cutting::side_triangle, 12.0) >= exact, "{exact}");
}
