//! Lines and a block's edges → [`Gap`]: the largest circle that no line crosses, and where it lies.
//!
//! The gap is the circle's diameter: between two lines s apart it is s, as makers of batting mean it; in a corner of
//! angle a between rings s apart it is 2s / (1 + sin(a/2)). A maker's distance is an unquilted square of that side,
//! published [35], which holds a circle of that diameter, so a gap within the limit keeps to it.
//! What counts as a line: every stitch, the block's outline (it is stitched in the ditch before hooping), and the
//! edges of parts kept clear (they are stitched round in the same way). The circle's centre lies in the block and in
//! no part kept clear; how large those are is asked of each one on its own.
//!
//! Method: branch and bound over a quadtree, best bound first, distances from a grid of segments. A cell is bounded
//! by the distance at its centre plus its half diagonal (Lipschitz), and, much tighter along a ridge between two
//! lines, by pairs of segments: the distance to a segment is convex, so nowhere in a cell is the lesser of two above
//! the least, over all mixtures of the two, of the mixture's greatest value at the cell's corners.
//! Exact to [`GAP_MM`]; ties between equal gaps fall the same way every time. Gaps that nobody asks about are bounded only
//! ([`widest_over`]): in a fill of rows 0.4 mm apart every place between them would have to be looked at.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use kurbo::{Point, Rect, Vec2};

use super::nearest::{Line, Lines, distance};
use crate::base::chain;
use crate::base::tolerance::GAP_MM;
use crate::base::units::{Units, show_length};

/// The ways tried when a circle is pushed to where it is larger.
const WAYS: [(f64, f64); 8] =
    [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
/// The most squares that a search begins with: a strip is hardly ever longer for its width.
const MOST_SQUARES: f64 = 64.0;
/// How finely the widest circle is settled, as a part of [`GAP_MM`].
const SETTLED: f64 = 1e-3;

/// The widest gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Diameter of the largest circle, mm; the true value is at most [`GAP_MM`] more.
    pub widest_mm: f64,
    /// True if the widest gap is this wide at most, and it was not asked how wide it is; then [`GAP_MM`] is in it.
    pub at_most: bool,
    /// Its centre, mm; of the largest circle found, if only the most is known.
    pub at: Point,
}

impl Gap {
    /// Its width in words.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let width = show_length(self.widest_mm, units);
        if self.at_most { format!("at most {width}") } else { width }
    }
}

/// The widest gap between `lines` within `edges`: the outline first, then the parts kept clear in it.
///
/// `None` if the outline encloses nothing. A line without length, or with an end that is no number, is no line.
#[must_use]
pub fn widest(edges: &[&[Point]], lines: impl Iterator<Item = Line>) -> Option<Gap> {
    widest_over(0.0, edges, lines)
}

/// As [`widest`]; but if no gap is wider than `least_mm`, only that is found out.
#[must_use]
pub fn widest_over(least_mm: f64, edges: &[&[Point]], lines: impl Iterator<Item = Line>) -> Option<Gap> {
    let outline = *edges.first()?;
    let sides = edges.iter().flat_map(|ring| chain::sides(ring));
    let sound = |(a, b): &Line| a != b && a.is_finite() && b.is_finite();
    let bounds = chain::bounds(outline);
    let longer = bounds.width().max(bounds.height());
    if !longer.is_finite() || longer == 0.0 {
        return None;
    }
    let field = Field { edges, lines: Lines::new(sides.chain(lines).filter(sound), bounds)? };
    search(&field, whole(&field, bounds), least_mm)
}

/// Cells side by side over all of `bounds`.
fn whole(field: &Field, bounds: Rect) -> BinaryHeap<Cell> {
    let size = bounds.size();
    let (longer, shorter) = (size.max_side(), size.min_side());
    // A long border is no more squares than it is times as long as wide; what lies beside it would only be looked at in vain.
    let count = (longer / shorter).ceil().clamp(1.0, MOST_SQUARES);
    let half = (longer / count).max(shorter) / 2.0;
    let along = if size.width >= size.height { Vec2::new(1.0, 0.0) } else { Vec2::new(0.0, 1.0) };
    let mut cells = BinaryHeap::new();
    let mut square = 0.5;
    while square < count {
        let centre = bounds.center() + along * (longer * (square / count - 0.5));
        let corners = corners_of(centre, half).map(|p| field.lines.nearest(p, field.lines.any()));
        cells.push(Cell::new(field, centre, half, corners, corners[0]));
        square += 1.0;
    }
    cells
}

/// The edges and every line in them.
struct Field<'a> {
    edges: &'a [&'a [Point]],
    lines: Lines,
}

/// A square of the search.
#[derive(Clone, Copy)]
struct Cell {
    centre: Point,
    half: f64,
    /// The nearest segment at the centre, and its distance.
    middle: Line,
    reach: f64,
    /// The nearest segments at the corners, in the order of [`corners_of`].
    corners: [Line; 4],
    /// No circle with its centre in the cell has a larger radius.
    bound: f64,
}

impl Field<'_> {
    fn reach(&self, p: Point, near: Line) -> f64 {
        distance(p, self.lines.nearest(p, near))
    }

    fn contains(&self, p: Point) -> bool {
        self.edges.iter().filter(|ring| chain::contains(ring, p)).count() == 1
            && self.edges.first().is_some_and(|outline| chain::contains(outline, p))
    }
}

impl Cell {
    /// A cell with the nearest lines at its corners, and one that is not far from its centre.
    fn new(field: &Field, centre: Point, half: f64, corners: [Line; 4], near: Line) -> Cell {
        let middle = field.lines.nearest(centre, near);
        let reach = distance(centre, middle);
        let bound = reach + half * std::f64::consts::SQRT_2;
        Cell { centre, half, middle, reach, corners, bound }
    }

    /// The cell with its bound tightened by every pair of its segments.
    fn tightened(self) -> Cell {
        let places = corners_of(self.centre, self.half);
        let [a, b, c, d] = self.corners;
        let mut at_corners: Vec<[f64; 4]> = Vec::with_capacity(5);
        for segment in [self.middle, a, b, c, d] {
            let distances = places.map(|p| distance(p, segment));
            if !at_corners.contains(&distances) {
                at_corners.push(distances);
            }
        }
        let mut bound = self.bound;
        for (i, one) in at_corners.iter().enumerate() {
            for other in &at_corners[i..] {
                bound = bound.min(mixed_bound(one, other));
            }
        }
        Cell { bound, ..self }
    }

    /// The quarters of the cell in which a circle of a radius above `enough` may have its centre.
    fn quarters(&self, field: &Field, enough: f64) -> impl Iterator<Item = Cell> {
        let quarter = self.half / 2.0;
        let centres = corners_of(self.centre, quarter);
        let [sw, se, ne, nw] = self.corners;
        let m = self.middle;
        // The two lines that are known already bound most quarters well enough, before the nearest is looked for.
        let open = [(0, sw), (1, se), (2, ne), (3, nw)].map(|(i, corner)| {
            let to = |line: Line| corners_of(centres[i], quarter).map(|p| distance(p, line));
            mixed_bound(&to(m), &to(corner)) > enough
        });
        let beside = |x: f64, y: f64, is_asked: bool| {
            let at = self.centre + Vec2::new(x, y) * self.half;
            if is_asked { field.lines.nearest(at, m) } else { m }
        };
        let s = beside(0.0, -1.0, open[0] || open[1]);
        let e = beside(1.0, 0.0, open[1] || open[2]);
        let n = beside(0.0, 1.0, open[2] || open[3]);
        let w = beside(-1.0, 0.0, open[3] || open[0]);
        let corners = [[sw, s, m, w], [s, se, e, m], [m, e, ne, n], [w, m, n, nw]];
        (0..4).filter(move |i| open[*i]).map(move |i| Cell::new(field, centres[i], quarter, corners[i], m))
    }
}

impl PartialEq for Cell {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Cell {}

impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Cell {
    /// The larger bound first; equal bounds from left to right, then from the bottom up.
    fn cmp(&self, other: &Self) -> Ordering {
        let place =
            |c: &Cell, d: &Cell| d.centre.x.total_cmp(&c.centre.x).then(d.centre.y.total_cmp(&c.centre.y));
        self.bound.total_cmp(&other.bound).then_with(|| place(self, other))
    }
}

/// Searches `cells` for a gap wider than `least_mm`; radii here, the diameter at the end.
fn search(field: &Field, mut cells: BinaryHeap<Cell>, least_mm: f64) -> Option<Gap> {
    let within = GAP_MM / 2.0;
    let least = least_mm / 2.0;
    // Whatever is not larger than this is not looked at; but some circle has to be found first.
    let enough = |radius: f64| if radius > 0.0 { least.max(radius + within) } else { within };
    let first = cells.peek()?;
    let (mut at, mut radius, mut near) = (first.centre, 0.0, first.middle);
    while let Some(cell) = cells.pop() {
        if cell.bound <= enough(radius) {
            break;
        }
        if cell.reach > radius && field.contains(cell.centre) {
            near = cell.middle;
            (at, radius) = pushed(field, (cell.centre, near), cell.reach, cell.half, within);
        }
        let enough = enough(radius);
        for quarter in cell.quarters(field, enough) {
            let hollow = quarter.reach > quarter.half * std::f64::consts::SQRT_2;
            if quarter.bound <= enough || (hollow && !field.contains(quarter.centre)) {
                continue;
            }
            let quarter = quarter.tightened();
            if quarter.bound > enough {
                cells.push(quarter);
            }
        }
    }
    let (at, radius) = pushed(field, (at, near), radius, GAP_MM, GAP_MM * SETTLED);
    let at_most = radius + within < least;
    let widest_mm = if at_most { least_mm } else { 2.0 * radius };
    (radius > 0.0).then_some(Gap { widest_mm, at_most, at })
}

/// Pushes a circle to where it is larger, with steps from `stride` down to `finest`; a line is known that is near to it.
fn pushed(field: &Field, (from, near): (Point, Line), reach: f64, stride: f64, finest: f64) -> (Point, f64) {
    let (mut at, mut radius, mut stride) = (from, reach, stride);
    while stride >= finest {
        let mut tried =
            WAYS.iter().map(|(x, y)| at + Vec2::new(*x, *y) * stride).map(|p| (p, field.reach(p, near)));
        let better = tried.find(|(p, r)| *r > radius && field.contains(*p));
        match better {
            Some(found) => (at, radius) = found,
            None => stride /= 2.0,
        }
    }
    (at, radius)
}

/// The least, over all mixtures of the two, of a mixture's greatest value at the corners.
fn mixed_bound(one: &[f64; 4], other: &[f64; 4]) -> f64 {
    let greatest = |part: f64| {
        let mixed = one.iter().zip(other).map(|(a, b)| part * a + (1.0 - part) * b);
        mixed.fold(f64::NEG_INFINITY, f64::max)
    };
    let mut least = greatest(0.0).min(greatest(1.0));
    for i in 0..4 {
        for j in 0..i {
            let part = (other[j] - other[i]) / (one[i] - other[i] - one[j] + other[j]);
            if (0.0..=1.0).contains(&part) {
                least = least.min(greatest(part));
            }
        }
    }
    least
}

/// Corners of a square, counter-clockwise from the bottom left.
fn corners_of(centre: Point, half: f64) -> [Point; 4] {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| centre + Vec2::new(x, y) * half)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Affine;
    use proptest::prelude::{Strategy, prop, prop_assert, proptest};

    type Lines = Vec<Line>;

    fn ring(text: &str) -> Vec<Point> {
        let numbers: Vec<f64> = text.split_whitespace().map(|n| n.parse().unwrap()).collect();
        numbers.chunks(2).map(|xy| Point::new(xy[0], xy[1])).collect()
    }

    fn lines(text: &str) -> Lines {
        text.split(',')
            .map(ring)
            .flat_map(|c| c.windows(2).map(|w| (w[0], w[1])).collect::<Lines>())
            .collect()
    }

    fn square(side: f64) -> Vec<Point> {
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|p| (Point::from(p).to_vec2() * side / 2.0).to_point())
            .to_vec()
    }

    fn widest_in(edges: &[&[Point]], lines: &Lines) -> f64 {
        widest(edges, lines.iter().copied()).unwrap().widest_mm
    }

    fn assert_near(got: f64, wanted: f64) {
        assert!((got - wanted).abs() <= GAP_MM, "{got} instead of {wanted}");
    }

    #[test]
    fn an_empty_square_is_as_wide_as_its_side() {
        let gap = widest(&[&square(50.0)], std::iter::empty()).unwrap();
        assert_near(gap.widest_mm, 50.0);
        assert!(gap.at.distance(Point::ZERO) < GAP_MM, "{:?}", gap.at);
    }

    #[test]
    fn between_parallel_lines_the_gap_is_their_distance() {
        for turn_deg in [0.0, 17.0, 45.0, 90.0, 133.3] {
            let turn = Affine::rotate(f64::to_radians(turn_deg));
            let outline: Vec<Point> = square(100.0).into_iter().map(|p| turn * p).collect();
            let rows = [-38.0, -26.0, -12.5, 0.0, 12.0, 24.0, 37.9];
            let lines = rows.map(|y| (turn * Point::new(-50.0, y), turn * Point::new(50.0, y))).to_vec();
            // The widest is the strip of 13.9 mm between 24 and 37.9.
            assert_near(widest_in(&[&outline], &lines), 13.9);
        }
    }

    #[test]
    fn lines_of_short_stitches_leave_the_same_gap() {
        let stitched = |y: f64| {
            let xs: Vec<f64> = (0..=40).map(|i| 2.5 * f64::from(i) - 50.0).collect();
            xs.windows(2).map(|w| (Point::new(w[0], y), Point::new(w[1], y))).collect::<Lines>()
        };
        let lines: Lines = [-30.0, -10.0, 10.0, 30.0].into_iter().flat_map(stitched).collect();
        assert_near(widest_in(&[&square(100.0)], &lines), 20.0);
    }

    #[test]
    fn a_corner_between_rings_leaves_more_than_their_distance() {
        // 2s / (1 + sin(a/2)) in a corner of angle a between rings s apart.
        let s = 10.0;
        for (angle_deg, ratio) in [(90.0, 1.1716), (60.0, 1.3333), (30.0, 1.5887)] {
            let half = f64::to_radians(angle_deg) / 2.0;
            // A triangle with its tip at 0,0 that five rings fill up to an incircle of radius s round `middle`.
            let middle = Point::new(6.0 * s / half.sin(), 0.0);
            let ring = |k: f64| {
                let (tip, base) = (k * s / half.sin(), middle.x + (6.0 - k) * s);
                let rise = (base - tip) * half.tan();
                [Point::new(tip, 0.0), Point::new(base, -rise), Point::new(base, rise)]
            };
            let rings = (1..=5).map(|k| ring(f64::from(k)));
            let mut lines: Lines = rings.flat_map(|r| chain::sides(&r).collect::<Lines>()).collect();
            lines.extend(ring(5.0).map(|corner| (middle, corner)));
            let formula = |half: f64| 2.0 * s / (1.0 + half.sin());
            assert!((formula(half) / s - ratio).abs() < 5e-4, "{}", formula(half));
            // The sharpest of the three corners leaves the most.
            let others = (std::f64::consts::PI - 2.0 * half) / 4.0;
            assert_near(widest_in(&[&ring(0.0)], &lines), formula(half.min(others)));
        }
    }

    #[test]
    fn a_part_kept_clear_is_an_edge_and_holds_no_centre() {
        let (outline, clear) = (square(100.0), square(60.0));
        let gap = widest(&[&outline, &clear], std::iter::empty()).unwrap();
        // In a corner: centre (50 − r, 50 − r), r = √2·(20 − r).
        let root = 2.0_f64.sqrt();
        assert_near(gap.widest_mm, 2.0 * 20.0 * root / (1.0 + root));
        assert!(!chain::contains(&clear, gap.at), "{:?}", gap.at);
    }

    #[test]
    fn the_gap_stays_inside_a_bent_outline() {
        // An L of two arms 20 mm wide: the largest circle sits in the knee, touching its inner corner.
        let outline = ring("0 0  100 0  100 20  20 20  20 100  0 100");
        let root = 2.0_f64.sqrt();
        let gap = widest(&[&outline], std::iter::empty()).unwrap();
        assert_near(gap.widest_mm, 2.0 * 20.0 * root / (1.0 + root));
        assert!(gap.at.x < 20.0 && gap.at.y < 20.0, "{:?}", gap.at);
    }

    #[test]
    fn a_gap_that_nobody_asks_about_is_bounded() {
        let rows: Lines = (1..100)
            .map(f64::from)
            .map(|y| (Point::new(-50.0, y - 50.0), Point::new(50.0, y - 50.0)))
            .collect();
        let over = |least: f64| widest_over(least, &[&square(100.0)], rows.iter().copied()).unwrap();
        let gap = over(3.0);
        assert_eq!(
            (gap.widest_mm, gap.at_most, gap.words(Units::Millimetres).as_str()),
            (3.0, true, "at most 3 mm (1/8 in)")
        );
        assert!(chain::contains(&square(100.0), gap.at), "{:?}", gap.at);
        let gap = over(0.9);
        assert!((gap.widest_mm - 1.0).abs() <= GAP_MM && !gap.at_most, "{gap:?}");
        // Without one row a gap of 4 mm is left, and found as wide as it is.
        let fewer = rows.iter().copied().filter(|(a, _)| !(-2.5..=0.5).contains(&a.y));
        let gap = widest_over(3.0, &[&square(100.0)], fewer).unwrap();
        assert!((gap.widest_mm - 4.0).abs() <= GAP_MM && !gap.at_most, "{gap:?}");
    }

    #[test]
    fn lines_outside_the_block_change_nothing() {
        let outside = lines("-100 60  100 60, 70 -100  70 100");
        assert_near(widest_in(&[&square(50.0)], &outside), 50.0);
    }

    #[test]
    fn an_outline_that_encloses_nothing_has_no_gap() {
        for outline in ["", "1 1", "0 0 10 0", "0 0 10 0 5 0", "3 3 3 3 3 3"] {
            assert_eq!(widest(&[&ring(outline)], lines("0 0 1 1").into_iter()), None, "{outline}");
        }
        assert_eq!(widest(&[], std::iter::empty()), None);
    }

    #[test]
    fn what_is_no_number_is_no_line() {
        let nan = Point::new(f64::NAN, 0.0);
        assert_near(widest_in(&[&square(50.0)], &vec![(nan, Point::ZERO), (Point::ZERO, nan)]), 50.0);
        assert_eq!(widest(&[&[nan, nan, nan]], std::iter::empty()), None);
        assert_eq!(widest(&[&[Point::new(f64::INFINITY, 0.0); 3]], std::iter::empty()), None);
    }

    #[test]
    fn equal_gaps_are_found_in_the_same_place_every_time() {
        let cross = lines("-50 0  50 0, 0 -50  0 50");
        let first = widest(&[&square(100.0)], cross.iter().copied()).unwrap();
        let again = widest(&[&square(100.0)], cross.iter().rev().copied()).unwrap();
        assert_eq!(first, again);
        assert_near(first.widest_mm, 50.0);
    }

    #[test]
    fn a_mixture_bounds_two_slopes_by_their_ridge() {
        // 5 + x and 5 − x over x in −1..1 meet at 5.
        assert!((mixed_bound(&[4.0, 6.0, 6.0, 4.0], &[6.0, 4.0, 4.0, 6.0]) - 5.0).abs() < 1e-12);
        assert_eq!(mixed_bound(&[1.0, 2.0, 3.0, 2.0], &[9.0, 9.0, 9.0, 9.0]), 3.0);
    }

    fn scribble() -> impl Strategy<Value = Lines> {
        let place = (-250i32..=250, -250i32..=250)
            .prop_map(|(x, y)| Point::new(f64::from(x) / 10.0, f64::from(y) / 10.0));
        prop::collection::vec((place.clone(), place), 0..12)
    }

    proptest! {
        #[test]
        fn no_circle_on_a_raster_is_larger(lines in scribble(), bite in 1.0..24.0f64) {
            const CELL: f64 = 0.5;
            let mut outline = square(50.0);
            outline[2] = Point::new(25.0 - bite, 25.0 - 0.7 * bite);
            let outline: &[Point] = &outline;
            let gap = widest(&[outline], lines.iter().copied()).unwrap();
            let reach = |p: Point| {
                let line = |(a, b): &(Point, Point)| p.distance(chain::nearest_on_segment(p, *a, *b));
                lines.iter().map(line).fold(chain::distance_to_ring(p, outline), f64::min)
            };
            let spots = (0..10_000).map(|i| Point::new(f64::from(i % 100), f64::from(i / 100)));
            let spots = spots.map(|p| ((p.to_vec2() + Vec2::splat(0.5)) * CELL - Vec2::splat(25.0)).to_point());
            let tried = 2.0 * spots.filter(|p| chain::contains(outline, *p)).map(reach).fold(0.0, f64::max);
            prop_assert!(gap.widest_mm >= tried - GAP_MM, "{} but the raster has {}", gap.widest_mm, tried);
            prop_assert!(gap.widest_mm <= tried + CELL * std::f64::consts::SQRT_2, "{} over {}", gap.widest_mm, tried);
            prop_assert!((2.0 * reach(gap.at) - gap.widest_mm).abs() < 1e-9 && chain::contains(outline, gap.at));
        }
    }
}
