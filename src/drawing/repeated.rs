//! Her own line drawing, repeated: lines → whole copies of them along a border, or in the cells of a lattice.
//!
//! Along a border (what is at least `BORDER` times as long as wide, or runs on) a copy is as high as the border is wide; in
//! any other block it is as wide as asked for, else as drawn. Copies are stretched a little so that whole ones fill the space,
//! and where copies meet, ends of lines that nearly meet are joined: both are moved half the way, and nothing is drawn between
//! ends further apart. Limits: on outlines without four upright sides cells are cut.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _, Vec2};

use super::constructions::clip::clip;
use super::{DrawError, Drawing};
use crate::base::tolerance::TOUCH_MM;
use crate::block::Block;

/// What is at least so many times as long as wide is a border.
const BORDER: f64 = 2.0;
/// Ends of lines this close to a side of the drawing end on it, as a share of the drawing's size.
const AT_SIDE: f64 = 0.02;
/// Ends on opposite sides whose places differ by less are joined, as a share of the drawing's size.
const NEAR: f64 = 0.06;
/// The most copies in one block.
const MOST: f64 = 2500.0;

/// Lines and how they repeat.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeated {
    /// The lines, as drawn, mm.
    pub lines: Vec<BezPath>,
    /// How wide a copy is to be, mm; without it as the border or the drawing has it.
    pub width_mm: Option<f64>,
    /// True if copies right of the middle are mirrored.
    pub mirrored: bool,
}

/// Draws whole copies in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if there are no lines, or more copies than are drawn at once.
pub fn draw(repeated: &Repeated, block: &Block) -> Result<Drawing, DrawError> {
    let cell = Cell::of(&repeated.lines)?;
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let r = region.bounds();
        let upright = r.height() >= BORDER * r.width() && block.open.is_empty();
        let (along, across) = if upright { (r.height(), r.width()) } else { (r.width(), r.height()) };
        let is_border = along >= BORDER * across || !block.open.is_empty();
        let natural = if is_border { cell.width * across / cell.height } else { cell.width };
        let width = repeated.width_mm.unwrap_or(natural).min(along);
        let height = if is_border { across } else { width * cell.height / cell.width };
        let copies = (along / width) * (across / height);
        if copies > MOST {
            return Err(no_room(format!(
                "it would be repeated {copies:.0} times, and at most {MOST:.0} copies are drawn at once; make a repeat wider"
            )));
        }
        let columns = whole(along / width, repeated.mirrored);
        let rows = whole(across / height, false);
        let (w, h) = (along / columns, across / rows);
        let stretch = ((w / width) / (h / height) - 1.0).abs();
        drawing.stretch = drawing.stretch.max(stretch);
        let turn = if upright { Affine::rotate(std::f64::consts::FRAC_PI_2) } else { Affine::IDENTITY };
        let place =
            Affine::translate(r.center().to_vec2()) * turn * Affine::translate((-along / 2.0, -across / 2.0));
        let mut lines = Vec::new();
        let mut column = 0.0;
        while column < columns {
            let flipped = repeated.mirrored && column >= columns / 2.0;
            let mut row = 0.0;
            while row < rows {
                let at = Affine::translate((column * w, row * h)) * Affine::scale_non_uniform(w, h);
                let at = if flipped { at * Affine::translate((1.0, 0.0)) * Affine::FLIP_X } else { at };
                lines.extend(cell.lines.iter().map(|line| place * at * line.clone()));
                row += 1.0;
            }
            column += 1.0;
        }
        let boxed = region.holes.is_empty() && (region.area() - r.area()).abs() < TOUCH_MM;
        let cut = |lines: &[BezPath]| clip(lines, std::slice::from_ref(region));
        drawing.lines.extend(if boxed { lines } else { cut(&lines) });
    }
    Ok(drawing)
}

/// A whole number near `count`, at least 1; an even one if copies are mirrored at the middle.
fn whole(count: f64, even: bool) -> f64 {
    if even { 2.0 * (count / 2.0).round().max(1.0) } else { count.round().max(1.0) }
}

fn no_room(why: String) -> DrawError {
    DrawError::NoRoom { motif: "your drawing".into(), why }
}

/// A copy: its lines from 0,0 to 1,1, and the size that it was drawn in, mm.
struct Cell {
    lines: Vec<BezPath>,
    width: f64,
    height: f64,
}

impl Cell {
    fn of(lines: &[BezPath]) -> Result<Self, DrawError> {
        let bounds = lines.iter().map(BezPath::bounding_box).reduce(|a: Rect, b| a.union(b));
        let bounds = bounds.filter(|b| b.width() > TOUCH_MM && b.height() > TOUCH_MM);
        let Some(bounds) = bounds else {
            return Err(no_room(
                "it is flat, so no cell can be made of it; draw something that has a width and a height"
                    .into(),
            ));
        };
        let (width, height) = (bounds.width(), bounds.height());
        let unit = Affine::scale_non_uniform(1.0 / width, 1.0 / height)
            * Affine::translate(-bounds.origin().to_vec2());
        let lines = lines.iter().map(|line| unit * line.clone()).collect();
        Ok(Self { lines: joined(lines), width, height })
    }
}

/// Where a line of a cell ends.
#[derive(Clone, Copy)]
struct End {
    line: usize,
    last: bool,
    at: Point,
}

/// Lines of a cell whose ends on opposite sides, where copies meet, lie level.
fn joined(mut lines: Vec<BezPath>) -> Vec<BezPath> {
    for upright in [false, true] {
        let across = |p: Point| if upright { p.y } else { p.x };
        let along = |p: Point| if upright { p.x } else { p.y };
        let ends = ends(&lines);
        let low: Vec<End> = ends.iter().copied().filter(|e| across(e.at) < AT_SIDE).collect();
        let mut high: Vec<End> = ends.iter().copied().filter(|e| across(e.at) > 1.0 - AT_SIDE).collect();
        for a in low {
            let off = |b: &End| (along(a.at) - along(b.at)).abs();
            let Some(i) = (0..high.len()).min_by(|i, j| off(&high[*i]).total_cmp(&off(&high[*j]))) else {
                break;
            };
            if off(&high[i]) > NEAR {
                continue;
            }
            let b = high.swap_remove(i);
            let level = f64::midpoint(along(a.at), along(b.at));
            let to = |side: f64| if upright { Point::new(level, side) } else { Point::new(side, level) };
            shift(&mut lines[a.line], a.last, to(0.0) - a.at);
            shift(&mut lines[b.line], b.last, to(1.0) - b.at);
        }
    }
    lines
}

fn ends(lines: &[BezPath]) -> Vec<End> {
    let mut found = Vec::new();
    for (line, path) in lines.iter().enumerate() {
        let points: Vec<Point> = path.elements().iter().filter_map(PathEl::end_point).collect();
        let (Some(first), Some(last)) = (points.first(), points.last()) else { continue };
        let closed = path.elements().iter().any(|e| matches!(e, PathEl::ClosePath));
        if !closed && first.distance(*last) > 1e-6 {
            found.push(End { line, last: false, at: *first });
            found.push(End { line, last: true, at: *last });
        }
    }
    found
}

/// Moves an end of a line with its handle.
fn shift(path: &mut BezPath, last: bool, by: Vec2) {
    let elements = path.elements_mut();
    let count = elements.len();
    if count < 2 {
        return;
    }
    if last {
        match &mut elements[count - 1] {
            PathEl::LineTo(p) => *p += by,
            PathEl::QuadTo(_, p) => *p += by,
            PathEl::CurveTo(_, c, p) => (*c, *p) = (*c + by, *p + by),
            PathEl::MoveTo(_) | PathEl::ClosePath => {}
        }
        return;
    }
    if let PathEl::MoveTo(p) = &mut elements[0] {
        *p += by;
    }
    if let PathEl::CurveTo(c, _, _) = &mut elements[1] {
        *c += by;
    }
}

/// Ends of lines that lie on no other line, two and two, those nearest to each other first: the gaps to close.
///
/// Each end is named once; ends further apart than `most_mm` are not paired.
#[must_use]
pub fn gaps(lines: &[BezPath], most_mm: f64) -> Vec<(Point, Point)> {
    use super::constructions::clip::lies_on;
    let open: Vec<Point> = ends(lines)
        .into_iter()
        .filter(|end| !lines.iter().enumerate().any(|(i, line)| i != end.line && lies_on(end.at, line)))
        .map(|end| end.at)
        .collect();
    let mut pairs: Vec<(f64, usize, usize)> = Vec::new();
    for i in 0..open.len() {
        pairs.extend((i + 1..open.len()).map(|j| (open[i].distance(open[j]), i, j)));
    }
    pairs.retain(|(mm, ..)| *mm <= most_mm);
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut used = vec![false; open.len()];
    let mut found = Vec::new();
    for (_, i, j) in pairs {
        if !used[i] && !used[j] {
            (used[i], used[j]) = (true, true);
            found.push((open[i], open[j]));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;

    fn wave(mirrored: bool, width_mm: Option<f64>) -> Repeated {
        // It begins at 4 and ends at 4.3 of 10: a hand's breadth of error.
        let lines = vec![
            BezPath::from_svg("M0,4 C10,20 20,-10 30,4.3").unwrap(),
            BezPath::from_svg("M5,0 L5,1 M5,9 L5,10").unwrap(),
        ];
        Repeated { lines, width_mm, mirrored }
    }

    /// Where lines end on the upright at `x`.
    fn at(lines: &[BezPath], x: f64) -> Vec<f64> {
        let mut found: Vec<f64> =
            ends(lines).iter().filter(|e| (e.at.x - x).abs() < 1e-6).map(|e| e.at.y).collect();
        found.sort_by(f64::total_cmp);
        found
    }

    #[test]
    fn copies_along_a_border_are_whole_and_their_ends_meet() {
        let strip = outline(&Shape::Strip { width: 60.0, length: 430.0 }, 5.0).unwrap();
        let drawn = draw(&wave(false, None), &strip).unwrap();
        let copies = drawn.lines.len() / 2;
        let step = 420.0 / copies as f64;
        assert!(copies > 1 && drawn.stretch < 0.25, "{copies} {}", drawn.stretch);
        for i in 1..copies {
            let met = at(&drawn.lines, step.mul_add(i as f64, -210.0));
            assert!(met.len() == 2 && (met[0] - met[1]).abs() < 1e-9, "{i}: {met:?}");
        }
    }

    #[test]
    fn copies_are_mirrored_at_the_middle_if_asked() {
        let strip = outline(&Shape::Strip { width: 60.0, length: 430.0 }, 5.0).unwrap();
        let drawn = draw(&wave(true, Some(50.0)), &strip).unwrap();
        assert_eq!(drawn.lines.len() % 4, 0);
        let points: Vec<Point> =
            drawn.lines.iter().flat_map(|l| l.segments()).map(|s| kurbo::ParamCurve::eval(&s, 0.3)).collect();
        let others: Vec<Point> = drawn
            .lines
            .iter()
            .map(|l| Affine::FLIP_X * l.clone())
            .flat_map(|l| l.segments().collect::<Vec<_>>())
            .map(|s| kurbo::ParamCurve::eval(&s, 0.3))
            .collect();
        let off = |p: &Point| others.iter().map(|q| q.distance(*p)).fold(f64::INFINITY, f64::min);
        assert!(points.iter().all(|p| off(p) < 1e-6));
    }

    #[test]
    fn a_block_is_filled_with_cells_of_the_asked_width() {
        let block = outline(&Shape::Square { side: 210.0 }, 5.0).unwrap();
        let drawn = draw(&wave(false, Some(100.0)), &block).unwrap();
        let bounds = drawn.lines.iter().map(BezPath::bounding_box).reduce(|a, b| a.union(b)).unwrap();
        assert!((bounds.width() - 200.0).abs() < 0.1 && bounds.height() < 200.1, "{bounds:?}");
        assert_eq!(at(&drawn.lines, 0.0).len() % 2, 0);
    }

    #[test]
    fn open_ends_are_paired_with_the_nearest() {
        let lines: Vec<BezPath> = ["M0,0 L10,0", "M11,0 L20,0", "M5,0 L5,9", "M20,3 L20,9"]
            .iter()
            .map(|d| BezPath::from_svg(d).unwrap())
            .collect();
        let found = gaps(&lines, 5.0);
        let mm: Vec<f64> = found.iter().map(|(a, b)| a.distance(*b)).collect();
        assert_eq!(mm, [1.0, 3.0]);
    }
}
