//! Plaits: bands that cross over and under each other on a grid of whole cells: knots, and the weave of a basket.
//!
//! In a knot bands run aslant through the middles of all inner sides of the cells, and turn where they meet the edge; in a
//! weave they run straight, one for each row and column, the outermost along a line on the edge. They lie over and under in turn.
//! Limits: made for four straight sides.

use kurbo::{BezPath, Point, Vec2};
use serde::Deserialize;

use super::crossing::{Laid, pass_over};
use super::tangled;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::drawing::constructions::board::{Board, Ground};
use crate::drawing::constructions::counts::counts;
use crate::drawing::constructions::frame::{frame, runs_along};
use crate::drawing::constructions::part::carry;
use crate::drawing::constructions::run::run_together;
use crate::drawing::constructions::through::within;
use crate::drawing::settings::{Need, Settings};
use crate::drawing::{DrawError, Drawing};

/// The settings that plaits read.
pub const NEEDS: &[Need] = &[("cell", "length"), ("lines", "count"), ("band", "ratio")];

/// Lines of a band closer than this cannot be sewn apart, mm.
const LEAST_GAP_MM: f64 = 1.5;
/// How far from the edge of its cells a band's middle turns, in cells: a quarter of a circle turns there.
const TURN: f64 = 0.25 - 0.25 * (std::f64::consts::SQRT_2 - 1.0);
/// The handle of that quarter, along x and along y.
const ROUND: f64 = 0.138_071;
/// The handle of a band that turns in a corner of the block, likewise: as long as keeps it inside the other turns.
const CORNER: f64 = 0.3204;

/// The numbers of a plait.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// Whether bands run straight or aslant.
    form: Form,
    /// The fewest cells either way.
    fewest: u32,
    /// In a knot, every so many columns bands turn back from the middle instead of crossing there; 0 for never.
    #[serde(default)]
    parted: u32,
}

/// How bands run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Form {
    /// Aslant, turning at the edge.
    Knot,
    /// Straight, to the edge.
    Weave,
}

/// Draws a plait in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band would come too close to each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let ground = Ground::of(region);
        let size = settings.number("cell");
        // A grid is larger than the block: a knot's by what its bands turn inside it, a weave's by half the space between
        // two bands, so that the outermost end on the edge.
        let margin = match numbers.form {
            Form::Knot => TURN,
            Form::Weave => (1.0 - settings.number("band")) / 2.0,
        };
        let grown = |mm: f64| mm + 2.0 * margin * size;
        let (width, height) = ground.size();
        let whole = counts((grown(width), grown(height)), (size, size), numbers.fewest);
        drawing.fitted(whole.fit);
        drawing.notes.extend(whole.fit.told("cell", size));
        let (a, b) = (f64::from(whole.columns), f64::from(whole.rows));
        let cell = (width / (a - 2.0 * margin)).min(height / (b - 2.0 * margin));
        let (offsets, half) = band(settings, cell)?;
        let (inset, margins) = match numbers.form {
            Form::Knot => (half, (margin, margin)),
            Form::Weave => (0.0, (flush(width, a, half), flush(height, b, half))),
        };
        let board = Board { ground, columns: 1, rows: 1 };
        let place = |p: Point| {
            let (u, v) =
                ((p.x - margins.0) / (a - 2.0 * margins.0), (p.y - margins.1) / (b - 2.0 * margins.1));
            let clear = |from: Point, to: Point| inset / from.distance(to);
            let (x, y) =
                (clear(board.at(0.0, v), board.at(1.0, v)), clear(board.at(u, 0.0), board.at(u, 1.0)));
            board.at(x + u * (1.0 - 2.0 * x), y + v * (1.0 - 2.0 * y))
        };
        let pieces = match numbers.form {
            Form::Knot => knot(whole.columns, whole.rows, numbers.parted),
            Form::Weave => weave(whole.columns, whole.rows),
        };
        let laid: Vec<Laid> =
            pieces.into_iter().map(|(path, depth)| Laid { middle: carry(&path, place), depth }).collect();
        let lines = pass_over(&laid, &offsets, &[]).map_err(|tangle| tangled(tangle, settings, [ASK; 2]))?;
        let lines = run_together(&lines);
        if numbers.form == Form::Weave {
            let inner = within(&lines, std::slice::from_ref(region));
            drawing.lines.extend(inner.into_iter().filter(|line| !runs_along(line, region)));
            drawing.lines.extend(frame(block, region));
        } else {
            drawing.lines.extend(lines);
        }
    }
    Ok(drawing)
}

/// What to ask for where a band's lines do not go round its bends.
const ASK: &str = "fewer lines or a smaller band";

/// Where the lines of a band lie beside its middle, mm, and half its width.
fn band(settings: &Settings, cell: f64) -> Result<(Vec<f64>, f64), DrawError> {
    let lines = settings.whole("lines").max(2);
    // Beside each other bands stay apart as well.
    let width = (settings.number("band") * cell).min(cell - LEAST_GAP_MM);
    let gap = width / f64::from(lines - 1);
    if gap < LEAST_GAP_MM {
        let why = format!(
            "{lines} lines in a band of {} come closer than {}; ask for larger cells or fewer lines",
            show_length(width, Units::Inches),
            show_length(LEAST_GAP_MM, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "the band".into(), why });
    }
    Ok(((0..lines).map(|i| f64::from(i) * gap - width / 2.0).collect(), width / 2.0))
}

/// How much of a cell lies beyond the edge where `count` bands fill `length` mm and the outermost, `half` mm to either side of
/// its middle, ends on it.
fn flush(length: f64, count: f64, half: f64) -> f64 {
    (length / 2.0 - half * count) / (length - 2.0 * half)
}

/// The pieces of a weave, a crossing each, with how deep they lie.
fn weave(columns: u32, rows: u32) -> Vec<(BezPath, usize)> {
    let mut pieces = Vec::new();
    // Bands run on over the edge, at which they are cut.
    let ends = |i: u32, n: u32| {
        let (from, to) = (f64::from(i), f64::from(i + 1));
        (if i == 0 { from - 1.0 } else { from }, if i + 1 == n { to + 1.0 } else { to })
    };
    for (row, column) in (0..rows).flat_map(|row| (0..columns).map(move |column| (row, column))) {
        let over = (row + column).is_multiple_of(2);
        let (left, right) = ends(column, columns);
        let (low, high) = ends(row, rows);
        let along = straight(Point::new(left, f64::from(row) + 0.5), Vec2::new(right - left, 0.0));
        let up = straight(Point::new(f64::from(column) + 0.5, low), Vec2::new(0.0, high - low));
        pieces.extend([(along, usize::from(!over)), (up, usize::from(over))]);
    }
    pieces
}

/// The pieces of a knot: two at each crossing, the turns along the edge and in the corners.
fn knot(columns: u32, rows: u32, parted: u32) -> Vec<(BezPath, usize)> {
    let (a, b) = (f64::from(columns), f64::from(rows));
    let mut pieces = Vec::new();
    for row in 0..=2 * rows {
        for column in (0..=2 * columns).filter(|column| (row + column) % 2 == 1) {
            let at = Point::new(f64::from(column) / 2.0, f64::from(row) / 2.0);
            let inward = Vec2::new(
                f64::from(u8::from(column == 0)) - f64::from(u8::from(column == 2 * columns)),
                f64::from(u8::from(row == 0)) - f64::from(u8::from(row == 2 * rows)),
            );
            if inward != Vec2::ZERO {
                let beside = if inward.x == 0.0 { column } else { row };
                let last = if inward.x == 0.0 { 2 * columns } else { 2 * rows };
                if beside != 1 && beside + 1 != last {
                    pieces.push((turn(at, inward), 0));
                }
                continue;
            }
            if parted > 0 && row == rows && column % (2 * parted) == parted && rows.is_multiple_of(2) {
                pieces.extend([1.0, -1.0].map(|up| (turn(at, Vec2::new(0.0, up)), 0)));
                continue;
            }
            let rising = straight(at - Vec2::new(0.25, 0.25), Vec2::new(0.5, 0.5));
            let falling = straight(at - Vec2::new(0.25, -0.25), Vec2::new(0.5, -0.5));
            let over = row % 2 == 0;
            pieces.extend([(rising, usize::from(!over)), (falling, usize::from(over))]);
        }
    }
    for (corner, x, y) in
        [((0.0, 0.0), 1.0, 1.0), ((a, 0.0), -1.0, 1.0), ((a, b), -1.0, -1.0), ((0.0, b), 1.0, -1.0)]
    {
        pieces.push((corner_turn(Point::from(corner), Vec2::new(x, y)), 0));
    }
    pieces
}

fn straight(from: Point, by: Vec2) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    // A curve, so that it follows the map of an odd block.
    path.curve_to(from + by / 3.0, from + by * (2.0 / 3.0), from + by);
    path
}

/// A band that comes to `at` and turns back `inward`.
fn turn(at: Point, inward: Vec2) -> BezPath {
    let along = Vec2::new(-inward.y, inward.x);
    let (from, to) = (at + (inward - along) * 0.25, at + (inward + along) * 0.25);
    let mut path = BezPath::new();
    path.move_to(from);
    path.curve_to(from + (along - inward) * ROUND, to - (along + inward) * ROUND, to);
    path
}

/// A band that turns in a corner of the block.
fn corner_turn(corner: Point, inward: Vec2) -> BezPath {
    let (from, to) = (
        corner + Vec2::new(0.25 * inward.x, 0.75 * inward.y),
        corner + Vec2::new(0.75 * inward.x, 0.25 * inward.y),
    );
    let mut path = BezPath::new();
    path.move_to(from);
    path.curve_to(from - inward * CORNER, to - inward * CORNER, to);
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where pieces of a plait have their middles, and how deep they lie there.
    fn depths(pieces: &[(BezPath, usize)]) -> Vec<(Point, usize)> {
        let middle = |path: &BezPath| path.segments().next().map(|s| kurbo::ParamCurve::eval(&s, 0.5));
        pieces.iter().filter_map(|(path, depth)| Some((middle(path)?, *depth))).collect()
    }

    #[test]
    fn at_every_crossing_one_band_lies_over_the_other() {
        for pieces in [knot(4, 3, 0), weave(4, 3)] {
            let depths = depths(&pieces);
            let inside = |p: &Point| (0.3..3.7).contains(&p.x) && (0.3..2.7).contains(&p.y);
            let mut crossings = 0;
            for (i, (p, depth)) in depths.iter().enumerate().filter(|(_, (p, _))| inside(p)) {
                let partner = depths.iter().enumerate().find(|(j, (q, _))| *j != i && q.distance(*p) < 1e-9);
                if let Some((_, (_, other))) = partner {
                    assert_eq!(depth + other, 1, "{p:?}");
                    crossings += 1;
                }
            }
            assert!(crossings >= 2 * 2, "{crossings}");
        }
    }

    #[test]
    fn bands_of_a_knot_turn_everywhere_along_the_edge() {
        // Along the edge of 4 by 3 cells there are 14 middles of sides, of which the eight next to corners turn in these.
        let turns = knot(4, 3, 0).iter().filter(|(_, depth)| *depth == 0).count() - 17;
        assert_eq!(turns, 14 - 8 + 4);
    }

    #[test]
    fn the_outermost_bands_of_a_weave_end_on_the_edge() {
        // Six bands, 25 mm wide, in 190 mm: from middle to middle (190 − 25) / 5 = 33 mm.
        let beyond = flush(190.0, 6.0, 12.5);
        let cell = 190.0 / (6.0 - 2.0 * beyond);
        assert!((cell - 33.0).abs() < 1e-9 && ((0.5 - beyond) * cell - 12.5).abs() < 1e-9, "{beyond}");
    }
}
