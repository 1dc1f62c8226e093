//! Lattices: one cell of parts, repeated in whole columns and rows over a [`Board`].
//!
//! On four straight sides the cells follow the sides, also where they are not square; on three sides with a right angle the
//! cells on the long side are drawn as half cells; any other triangle is divided into small ones of its own shape, and a
//! hexagon into six triangles first, a diamond of 60° into two, with a cell made for them; on any other outline the cells
//! are laid over its bounding box, and their parts are kept where they are whole, or cut at the outline. Parts are path
//! data, or bows: circular arcs between two points of the cell, as a quilter draws them along a curved ruler.

pub mod numbers;
mod through;

use kurbo::{Affine, BezPath, ParamCurve, Point, Vec2};

use super::board::{Board, Ground, LEAN_DEG, is_convex, is_upright, repeats};
use super::clip::{clip, largest};
use super::counts::{Counts, Fit, counts};
use super::frame::frame;
use super::part::{bow, carry};
use super::run::run_together;
use crate::base::angle::{turn_deg, unit};
use crate::base::chain::sides;
use crate::base::curve::{flatten, path_length};
use crate::base::tolerance::{FLATTEN_MM, TOUCH_MM};
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;
use crate::block::side::Side;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use numbers::{Cell, Edge, Numbers, Rise};

/// Up to this ratio of spacings on an odd block nothing is said.
const SPREAD_TOLD: f64 = 2.0;
/// The least radius of an eye, mm: each of its six arcs takes three steps that are not too short.
const EYE_MM: f64 = 3.2;
/// The largest, as a share of the side of a small triangle, whatever its size.
const LARGEST_EYE: f64 = 0.15;
/// The rise of a quarter circle, as a share of its chord: (√2 − 1) / 2. Bows never rise more.
const QUARTER_RISE: f64 = 0.207_106_781_186_547_5;

/// What cells are drawn by, and the region that they lie on.
#[derive(Clone, Copy)]
struct On<'a> {
    numbers: &'a Numbers,
    settings: &'a Settings,
    region: &'a Region,
    /// The sides across which its lines run on.
    open: &'a [Side],
}

impl On<'_> {
    /// The bow from `a` to `b`, its ends `from` and `to` of the way off them; nothing if it is left out.
    fn bow(
        self,
        (a, b): (Point, Point),
        (from, to): (f64, f64),
        share: Option<f64>,
        steepest: f64,
    ) -> Option<BezPath> {
        let chord = a.distance(b);
        let rise = share.map_or_else(|| rise(self.numbers, self.settings, chord), |share| share * chord);
        let bow = || bow(a.lerp(b, from), b.lerp(a, to), rise.min(steepest * chord));
        (!self.leaves_out(a, b)).then(bow)
    }

    /// True if bows along the outline are left out, and it runs from `a` straight to `b`, not across an open side.
    fn leaves_out(self, a: Point, b: Point) -> bool {
        let bounds = self.region.bounds();
        let is_open = |side: &Side| [a, b].iter().all(|p| side.beyond(*p, bounds).abs() < TOUCH_MM);
        let along = [a, a.midpoint(b), b].into_iter().all(|p| self.region.depth(p) < TOUCH_MM);
        self.numbers.inner && along && !self.open.iter().any(is_open)
    }
}

/// Draws the lattice in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if not one whole part lies inside.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    if let Some(lie) = &block.lie
        && numbers.runs_through(settings)
    {
        return Ok(through::draw(numbers, settings, (block, lie)));
    }
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let on = On { numbers, settings, region, open: &block.open };
        if let Some(triangles) = triangles(numbers, region) {
            divide(on, &triangles, &mut drawing);
            continue;
        }
        let (board, fit) = lay(numbers, settings, region);
        drawing.fitted(fit);
        drawing.notes.extend(fit.told(&numbers.size, settings.number(&numbers.size)));
        if board.spread() > SPREAD_TOLD {
            let spread = board.spread();
            drawing
                .notes
                .push(format!("The widest cells of this block are {spread:.1} times the narrowest."));
        }
        let mut parts = Vec::new();
        place(on, &board, &mut parts);
        if board.ground.overhangs() || numbers.below > 0 || !region.holes.is_empty() {
            drawing.lines.extend(trim(parts, numbers, settings, block, region));
        } else {
            drawing.lines.extend(parts);
        }
    }
    if let Some(Rise::Length(name)) = &numbers.rise {
        drawing.notes.extend(tell_rise(settings.number(name), &drawing.lines));
    }
    if drawing.lines.is_empty() {
        let size = settings.number(&numbers.size);
        let why = format!(
            "no whole {} of {} lies inside; ask for a smaller one, or for edge=cut",
            numbers.size,
            show_length(size, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "the lattice".into(), why });
    }
    Ok(drawing)
}

/// What she should know of arcs of which none rises as far as asked.
fn tell_rise(asked_mm: f64, arcs: &[BezPath]) -> Option<String> {
    /// Nearer than this it is the one asked for, mm.
    const SAME_MM: f64 = 0.1;
    let rises = arcs.iter().filter_map(|arc| {
        let (from, to) = (arc.segments().next()?.start(), arc.segments().last()?.end());
        let along = unit(to - from);
        let points = flatten(arc, FLATTEN_MM).into_iter().flat_map(|flat| flat.points);
        Some(points.map(|p| along.cross(p - from).abs()).fold(0.0, f64::max))
    });
    let most = rises.fold(0.0, f64::max);
    (most > 0.0 && asked_mm > most + SAME_MM).then(|| {
        let most = show_length(most, Units::Inches);
        format!("Arcs rise {most} at most, as on a quarter circle or as sharp corners allow; a greater rise makes no difference.")
    })
}

/// How long a cell is along a run, mm.
pub fn repeat_mm(numbers: &Numbers, settings: &Settings, run: &Block) -> Option<f64> {
    let (board, _) = lay(numbers, settings, run.inside.first()?);
    Some(board.ground.size().0 / f64::from(board.columns))
}

/// The board of whole cells nearest to the size and shape asked for, and how they come out.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region) -> (Board, Fit) {
    let most = if numbers.upright { LEAN_DEG } else { 90.0 };
    let ground = match Ground::upright(region, most) {
        Ground::Three(_) if numbers.half.is_none() => Ground::around(region),
        ground => ground,
    };
    let size = settings.number(&numbers.size);
    let (width, height) = ground.size();
    let cell = (size * numbers.width, size * numbers.height);
    if let Ground::Three(_) = ground {
        // As many rows as columns: what is stretched is so whatever their number.
        let n =
            repeats((width * height).sqrt(), (cell.0 * cell.1).sqrt()).0.max(fewest_on_three_sides(numbers));
        let fit = Fit::of(width / (f64::from(n) * cell.0), height / (f64::from(n) * cell.1));
        return (Board { ground, columns: n, rows: n }, fit);
    }
    let Counts { columns, rows, fit } = counts((width, height), cell, numbers.least);
    (Board { ground, columns, rows }, fit)
}

fn fewest_on_three_sides(numbers: &Numbers) -> u32 {
    if numbers.least > 1 { numbers.least + 1 } else { 1 }
}

/// The triangles that a region is divided into, if its cells are to be triangles: itself, the six of a hexagon,
/// or the two of a diamond.
fn triangles(numbers: &Numbers, region: &Region) -> Option<Vec<[Point; 3]>> {
    numbers.triangle.as_ref()?;
    let corners = region.outer.corners();
    if !region.holes.is_empty() || !region.outer.is_polygon() || !is_convex(&corners) {
        return None;
    }
    match (Ground::of(region), corners.len()) {
        (Ground::Three(corners), _) if !is_upright(corners) => Some(vec![corners]),
        (_, 6) if numbers.hexagons => {
            let middle = corners.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2() / 6.0).to_point();
            Some(sides(&corners).map(|(a, b)| [middle, a, b]).collect())
        }
        (Ground::Four([a, b, c, d]), _) if numbers.hexagons => {
            let halves =
                if a.distance(c) < b.distance(d) { [[a, b, c], [a, c, d]] } else { [[a, b, d], [b, c, d]] };
            halves.iter().all(|half| has_equal_sides(*half)).then(|| halves.into())
        }
        _ => None,
    }
}

/// True if the sides of a triangle are so nearly equal that one cell looks like the next.
fn has_equal_sides([a, b, c]: [Point; 3]) -> bool {
    /// How much longer the longest may be than the shortest: two sides of 1 and one of 1.15 have a corner of 70°.
    const LONGER: f64 = 1.15;
    let lengths = [a.distance(b), b.distance(c), c.distance(a)];
    let longest = lengths.into_iter().fold(0.0, f64::max);
    longest <= LONGER * lengths.into_iter().fold(f64::INFINITY, f64::min)
}

/// Divides triangles into small ones, and draws a cell in each of these.
fn divide(on: On, triangles: &[[Point; 3]], out: &mut Drawing) {
    let numbers = on.numbers;
    let Some(cell) = &numbers.triangle else { return };
    // The side of a triangle of equal sides that is as large.
    let area = on.region.area() / triangles.len() as f64;
    let side = (area * 4.0 / 3f64.sqrt()).sqrt();
    let asked = on.settings.number(&numbers.size) * numbers.triangle_side;
    let fewest = if triangles.len() == 1 { fewest_on_three_sides(numbers) } else { 1 };
    let n = repeats(side, asked).0.max(fewest);
    let grown = side / (f64::from(n) * asked);
    let fit = Fit::of(grown, grown);
    out.fitted(fit);
    out.notes.extend(fit.told(&on.numbers.size, on.settings.number(&on.numbers.size)));
    for corners in triangles {
        let board = Board { ground: Ground::Three(*corners), columns: n, rows: n };
        for (row, column) in (0..n).flat_map(|row| (0..n - row).map(move |column| (row, column))) {
            let at = Vec2::new(f64::from(column), f64::from(row));
            let turned = Affine::translate(at + Vec2::new(1.0, 1.0)) * Affine::scale(-1.0);
            let whole = if column + row + 1 < n { 2 } else { 1 };
            for place in [Affine::translate(at), turned].into_iter().take(whole) {
                if cell.eye > 0.0 {
                    with_eyes(cell, place, &board, on, &mut out.lines);
                } else {
                    lay_cell(cell, place, &board, on, &mut out.lines);
                }
            }
        }
    }
}

/// The parts of all cells of a board.
fn place(on: On, board: &Board, out: &mut Vec<BezPath>) {
    let numbers = on.numbers;
    let over = numbers.over_row.as_ref().filter(|_| board.ground.overhangs() || numbers.below > 0);
    let odd = |row: i64| row.rem_euclid(2) == 1;
    for row in -i64::from(numbers.below)..i64::from(board.rows) {
        let more = u32::from(over.is_some() && odd(row));
        for column in 0..board.columns + more {
            let cell = match (&board.ground, &numbers.half, &numbers.other_row) {
                (Ground::Three(_), _, _) if i64::from(column) + row + 1 > i64::from(board.columns) => {
                    continue;
                }
                (Ground::Three(_), Some(half), _)
                    if i64::from(column) + row + 1 == i64::from(board.columns) =>
                {
                    half
                }
                (_, _, Some(other)) if odd(row) => over.unwrap_or(other),
                _ => &numbers.cell,
            };
            #[expect(clippy::cast_precision_loss, reason = "at most 100,000 rows")]
            let offset = Affine::translate(Vec2::new(f64::from(column), row as f64));
            lay_cell(cell, offset, board, on, out);
        }
    }
}

/// The parts of one cell, moved to its place on the board.
fn lay_cell(cell: &Cell, place: Affine, board: &Board, on: On, out: &mut Vec<BezPath>) {
    for part in &cell.parts {
        out.push(carry(&(place * part.path().clone()), |p| board.at(p.x, p.y)));
    }
    let steepest = steepest(board);
    for [x0, y0, x1, y1] in &cell.bows {
        let at = |x: f64, y: f64| {
            let p = place * Point::new(x, y);
            board.at(p.x, p.y)
        };
        out.extend(on.bow((at(*x0, *y0), at(*x1, *y1)), (0.0, 0.0), cell.rise, steepest));
    }
}

/// Bows along the sides of a small triangle that stop at the eyes round its corners, and its share of these eyes.
fn with_eyes(cell: &Cell, place: Affine, board: &Board, on: On, out: &mut Vec<BezPath>) {
    let corners = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)].map(|(x, y)| place * Point::new(x, y));
    let [a, b, c] = corners.map(|p| board.at(p.x, p.y));
    let side = (a.distance(b) + b.distance(c) + c.distance(a)) / 3.0;
    let share = cell.eye.max(EYE_MM / side).min(LARGEST_EYE);
    // On the outline half of the bows end, and there is no room for an eye.
    let eye = |p: Point| if on.region.depth(p) > TOUCH_MM { share } else { 0.0 };
    let steepest = steepest(board);
    for (at, p, q) in [(a, b, c), (b, c, a), (c, a, b)] {
        out.extend(on.bow((at, p), (eye(at), eye(p)), cell.rise, steepest));
        if eye(at) > 0.0 {
            let (from, to) = (at.lerp(p, share), at.lerp(q, share));
            let quarter = turn_deg(p - at, q - at).to_radians() / 4.0;
            // Away from the corner is to the right of the way from one side to the next.
            out.push(bow(from, to, -from.distance(to) / 2.0 * quarter.tan()));
        }
    }
}

/// How high a bow may rise, as a share of its chord: on three sides, so little that two bows in the sharpest corner keep
/// clear of each other.
fn steepest(board: &Board) -> f64 {
    /// How much of the corner two bows may take up.
    const OPEN: f64 = 0.9;
    let Ground::Three([a, b, c]) = board.ground else { return QUARTER_RISE };
    let angle = |at: Point, p: Point, q: Point| turn_deg(p - at, q - at).abs();
    let sharpest = angle(a, b, c).min(angle(b, c, a)).min(angle(c, a, b)).to_radians();
    // An arc leaves its chord at twice the angle whose tangent is rise over half the chord.
    ((OPEN * sharpest / 4.0).tan() / 2.0).min(QUARTER_RISE)
}

fn rise(numbers: &Numbers, settings: &Settings, chord: f64) -> f64 {
    match &numbers.rise {
        Some(Rise::Length(name)) => settings.number(name).min(QUARTER_RISE * chord),
        Some(Rise::Ratio(name)) => settings.number(name).min(QUARTER_RISE) * chord,
        None => QUARTER_RISE * chord,
    }
}

/// Keeps the parts that are whole, or cuts them at the outline; what hangs loose is left out.
fn trim(
    parts: Vec<BezPath>,
    numbers: &Numbers,
    settings: &Settings,
    block: &Block,
    region: &Region,
) -> Vec<BezPath> {
    let regions = std::slice::from_ref(region);
    let edge = numbers.edge.settled(settings);
    // Cut whole lines, not cells: a short bit of the last one would be left out, and the rest hang on nothing.
    let parts = if edge == Edge::Cut && numbers.tick == 0.0 { run_together(&parts) } else { parts };
    let mut kept = Vec::new();
    for part in parts {
        let inside = clip(std::slice::from_ref(&part), regions);
        let left: f64 = inside.iter().map(path_length).sum();
        let whole = path_length(&part);
        if left > whole - 1e-3 {
            kept.push(part);
        } else if edge != Edge::Whole {
            kept.extend(inside.into_iter().filter(|l| path_length(l) > numbers.tick * whole));
        }
    }
    match edge {
        Edge::Whole => return largest(kept),
        Edge::Framed => kept.extend(frame(block, region)),
        _ => {}
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;
    use crate::drawing::{library, settings};

    fn board(corners: [(f64, f64); 4]) -> Board {
        Board { ground: Ground::Four(corners.map(Point::from)), columns: 1, rows: 1 }
    }

    fn carried(path: &str, board: &Board) -> BezPath {
        carry(&BezPath::from_svg(path).unwrap(), |p| board.at(p.x, p.y))
    }

    #[test]
    fn a_quarter_arc_keeps_its_radius_and_rise_on_a_square() {
        // Orange peel on a 50 mm grid: radius 35.355 mm, rise 10.355 mm (derived: r = g/√2, rise = r − g/2).
        let grid = 50.0;
        let side = grid / 2f64.sqrt();
        let drawn =
            carried("M1,0 A1,1 0 0 1 0,1", &board([(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]));
        let chain = &crate::base::curve::flatten(&drawn, 1e-4)[0].points;
        let radius = chain.iter().map(|p| p.to_vec2().hypot());
        assert!(radius.clone().all(|r| (r - 35.355).abs() < 0.01), "{radius:?}");
        let chord = (chain[0] - chain[chain.len() - 1]).hypot();
        let rise = chain.iter().map(|p| (p.x + p.y - side) / 2f64.sqrt()).fold(0.0, f64::max);
        assert!((chord - grid).abs() < 1e-9 && (rise - 10.355).abs() < 0.01, "{chord} {rise}");
    }

    fn drawn(name: &str, asked: &[&str], shape: &Shape) -> Vec<BezPath> {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, name).unwrap();
        let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
        let settings = settings::resolve(name, &motif.settings, &asked).unwrap();
        motif.construction.draw(&settings, &outline(shape, 6.35).unwrap()).unwrap().lines
    }

    #[test]
    fn six_petals_meet_round_an_eye_and_each_side_is_one_arc() {
        // A hexagon of 101.6 mm has an inner side of 94.268; a rise of 0.11 of the chord s is an arc of radius
        // s (1 / 0.88 + 0.055) = 1.191364 s. Petals stop 0.04 of the side from the middle, and reach the outline.
        let lines = drawn("orange-peel", &[], &Shape::Hexagon { side: 101.6 });
        let side = 101.6 - 2.0 * 6.35 / 3f64.sqrt();
        assert_eq!(lines.len(), 6 * 3 + 6);
        let (mut petals, mut eyes) = (0, 0);
        for line in &lines {
            let chain = &crate::base::curve::flatten(line, 1e-4)[0].points;
            let (from, to) = (chain[0].to_vec2().hypot(), chain[chain.len() - 1].to_vec2().hypot());
            let eye = 0.04 * side;
            let near = chain.iter().map(|p| p.to_vec2().hypot());
            if (from - eye).abs() < 1e-6 && (to - eye).abs() < 1e-6 {
                assert!(near.map(|r| (r - eye).abs()).fold(0.0, f64::max) < 2e-3);
                eyes += 1;
            } else if (from.min(to) - eye).abs() < 1e-6 {
                assert!((from.max(to) - side).abs() < 1e-6);
                petals += 1;
            }
        }
        assert_eq!((petals, eyes), (12, 6));
    }

    #[test]
    fn on_an_open_side_half_a_seed_is_drawn_the_next_piece_draws_the_other() {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, "pumpkin-seed").unwrap();
        let settings = settings::resolve("pumpkin-seed", &motif.settings, &["seed=40mm".to_owned()]).unwrap();
        // Four by two cells of 40 mm.
        let block = outline(&Shape::Rectangle { width: 160.0, height: 80.0 }, 0.0).unwrap();
        let lines = |open: &[Side]| {
            let block = Block { open: open.to_vec(), ..block.clone() };
            motif.construction.draw(&settings, &block).unwrap().lines
        };
        // Four seeds along and three times two across, of two bows each; then two more bows on each side.
        assert_eq!(lines(&[]).len(), 2 * (4 + 6));
        let open = lines(&[Side::Left, Side::Right]);
        assert_eq!(open.len(), 2 * (4 + 6) + 4);
        let inside = |l: &BezPath| kurbo::Shape::bounding_box(l).abs().inflate(-1e-6, 0.0);
        assert!(open.iter().map(inside).all(|b| b.x0 > -80.0 && b.x1 < 80.0));
    }

    #[test]
    fn a_diamond_of_sixty_degrees_is_two_triangles_and_a_wider_one_is_sheared_cells() {
        let petals =
            |angle_deg: f64| drawn("orange-peel", &["petal=6in"], &Shape::Diamond { side: 150.0, angle_deg });
        // Five sides, of which one is shared: a bow on each of four, and two on it.
        assert_eq!(petals(60.0).len(), 4 + 2);
        assert_eq!(petals(65.0).len(), 4 + 2);
        // One cell of four petals.
        assert_eq!(petals(80.0).len(), 4);
    }

    #[test]
    fn bows_in_a_sharp_corner_keep_clear_of_each_other() {
        // With the highest rise allowed, in corners of 45, 60 and 33 degrees.
        for shape in [
            Shape::HalfSquare { leg: 203.2 },
            Shape::Equilateral { side: 203.2 },
            Shape::Corners { corners: [(0.0, 0.0), (230.0, 0.0), (75.0, 100.0)].map(Point::from).to_vec() },
        ] {
            let lines = drawn("continuous-curve", &["rise=1in"], &shape);
            for (i, a) in lines.iter().enumerate() {
                let a: Vec<_> = a.segments().collect();
                for b in &lines[..i] {
                    let cross = |p: kurbo::PathSeg| {
                        let middle = (1..20).map(|k| kurbo::ParamCurve::eval(&p, f64::from(k) / 20.0));
                        let away = |p: Point| {
                            let off = b
                                .segments()
                                .map(|s| kurbo::ParamCurveNearest::nearest(&s, p, 1e-6).distance_sq.sqrt());
                            off.fold(f64::INFINITY, f64::min)
                        };
                        middle.map(away).fold(f64::INFINITY, f64::min)
                    };
                    let near = a.iter().map(|s| cross(*s)).fold(f64::INFINITY, f64::min);
                    assert!(near > 0.02, "two bows come within {near} mm");
                }
            }
        }
    }

    #[test]
    fn no_shell_is_left_open_where_shells_are_cut() {
        let corners = [(0.0, 0.0), (228.6, 0.0), (76.2, 101.6)].map(Point::from).to_vec();
        for shape in
            [Shape::Corners { corners }, Shape::Octagon { across: 203.2 }, Shape::Circle { diameter: 177.8 }]
        {
            let lines = drawn("clamshell", &[], &shape);
            let block = outline(&shape, 6.35).unwrap();
            let chains: Vec<Vec<Point>> =
                lines.iter().map(|l| crate::base::curve::flatten(l, 1e-3).remove(0).points).collect();
            for (i, chain) in chains.iter().enumerate() {
                for end in [chain[0], chain[chain.len() - 1]] {
                    let others = chains.iter().enumerate().filter(|(j, _)| *j != i);
                    let off = others.map(|(_, c)| crate::base::chain::distance_to_chain(end, c));
                    let off = off.fold(block.inside[0].depth(end).abs(), f64::min);
                    assert!(off < 0.02, "an end at {end:?} is {off} mm from the next line");
                }
            }
        }
    }

    #[test]
    fn curves_stay_smooth_across_the_cells_of_an_odd_block() {
        let odd = Board { columns: 2, ..board([(0.0, 0.0), (100.0, 4.0), (93.0, 55.0), (-5.0, 48.0)]) };
        let left = carried("M0,.5 C.5,.5 .8,.2 1,.4", &odd);
        let right = carried("M1,.4 C1.1,.5 1.5,.5 2,.5", &odd);
        let end = crate::base::curve::end_tangent(&left.segments().next().unwrap());
        let start = crate::base::curve::start_tangent(&right.segments().next().unwrap());
        assert!(crate::base::angle::turn_deg(end, start).abs() < 0.01);
    }
}
