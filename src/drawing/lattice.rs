//! Lattices: one cell of path data, repeated in whole columns and rows over a [`Board`].
//!
//! On four straight sides the cells follow the sides, also where they are not square; on three sides the cells on the
//! long side are drawn as half cells; on any other outline the cells are laid over its bounding box, and their parts are
//! kept where they are whole, or cut at the outline.
//!
//! Curves are carried over by their ends and end tangents, so that what is smooth across cells stays smooth.

use kurbo::{Affine, BezPath, PathEl, Point, Vec2};
use serde::Deserialize;

use super::board::{Board, Ground, repeats};
use super::clip::clip;
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::block::Block;
use crate::block::region::Region;

/// Up to this ratio of spacings on an odd block nothing is said.
const SPREAD_TOLD: f64 = 2.0;

/// The numbers of a lattice.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The name of the setting (a length) that sets the size of a cell.
    size: String,
    /// The width of a cell as a multiple of that setting.
    width: f64,
    /// The height of a cell as a multiple of that setting.
    height: f64,
    /// The parts of a cell as path data, in a cell from 0,0 (bottom left) to 1,1.
    cell: Vec<Part>,
    /// The parts of a cell on the long side of a triangle, which runs from 0,1 to 1,0; without them triangles are cut.
    #[serde(default)]
    half: Vec<Part>,
}

/// One part of a cell, checked.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "String")]
pub struct Part(BezPath);

impl TryFrom<String> for Part {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let path = BezPath::from_svg(&text).map_err(|e| format!("`{text}` is not path data: {e}"))?;
        let drawn = path.segments().next().is_some() && path.is_finite();
        if drawn { Ok(Self(path)) } else { Err(format!("`{text}` draws nothing")) }
    }
}

impl Numbers {
    /// The setting that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        vec![(self.size.clone(), "length"), ("edge".to_owned(), "choice")]
    }
}

/// Draws the lattice in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if not one whole part lies inside.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (board, stretch) = lay(numbers, settings, region);
        drawing.stretch = drawing.stretch.max(stretch);
        if board.spread() > SPREAD_TOLD {
            let spread = board.spread();
            drawing
                .notes
                .push(format!("The widest cells of this block are {spread:.1} times the narrowest."));
        }
        let parts = place(numbers, &board);
        if board.ground.overhangs() || !region.holes.is_empty() {
            drawing.lines.extend(trim(parts, settings.word("edge") == "whole", region));
        } else {
            drawing.lines.extend(parts);
        }
    }
    if drawing.lines.is_empty() {
        let size = settings.number(&numbers.size);
        let why = format!(
            "no whole {} of {size:.1} mm lies inside; ask for a smaller one, or for edge=cut",
            numbers.size
        );
        return Err(DrawError::NoRoom { motif: "the lattice".into(), why });
    }
    Ok(drawing)
}

/// The board of whole cells nearest to the size asked for, and the stretch that needs.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region) -> (Board, f64) {
    let ground = match Ground::of(region) {
        Ground::Three(_) if numbers.half.is_empty() => Ground::around(region),
        ground => ground,
    };
    let size = settings.number(&numbers.size);
    let (width, height) = ground.size();
    if let Ground::Three(_) = ground {
        let (n, _) = repeats((width * height).sqrt(), size * (numbers.width * numbers.height).sqrt());
        let fit = |length: f64, cell: f64| (length / (f64::from(n) * cell) - 1.0).abs();
        let stretch = fit(width, size * numbers.width).max(fit(height, size * numbers.height));
        return (Board { ground, columns: n, rows: n }, stretch);
    }
    let (columns, across) = repeats(width, size * numbers.width);
    let (rows, up) = repeats(height, size * numbers.height);
    (Board { ground, columns, rows }, across.max(up))
}

fn place(numbers: &Numbers, board: &Board) -> Vec<BezPath> {
    let mut placed = Vec::new();
    for row in 0..board.rows {
        for column in 0..board.columns {
            let parts = match board.ground {
                Ground::Three(_) if column + row + 1 > board.columns => continue,
                Ground::Three(_) if column + row + 1 == board.columns => &numbers.half,
                _ => &numbers.cell,
            };
            let offset = Vec2::new(f64::from(column), f64::from(row));
            placed
                .extend(parts.iter().map(|part| carry(&(Affine::translate(offset) * part.0.clone()), board)));
        }
    }
    placed
}

/// A path in board coordinates carried to the block: ends by the board, end tangents by its slope there.
fn carry(path: &BezPath, board: &Board) -> BezPath {
    let mut carried = BezPath::new();
    let mut start = Point::ZERO;
    let mut last = Point::ZERO;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                carried.move_to(board.at(p.x, p.y));
                start = p;
            }
            PathEl::LineTo(p) => carried.line_to(board.at(p.x, p.y)),
            PathEl::QuadTo(c, p) => {
                let (c1, c2) = (last.lerp(c, 2.0 / 3.0), p.lerp(c, 2.0 / 3.0));
                carried.curve_to(handle(last, c1, board), handle(p, c2, board), board.at(p.x, p.y));
            }
            PathEl::CurveTo(c1, c2, p) => {
                carried.curve_to(handle(last, c1, board), handle(p, c2, board), board.at(p.x, p.y));
            }
            PathEl::ClosePath => carried.close_path(),
        }
        last = element.end_point().unwrap_or(start);
    }
    carried
}

fn handle(end: Point, control: Point, board: &Board) -> Point {
    const SHORT: f64 = 1e-4;
    let way = control - end;
    board.at(end.x, end.y)
        + (board.at(end.x + way.x * SHORT, end.y + way.y * SHORT) - board.at(end.x, end.y)) / SHORT
}

/// Keeps the parts that are whole, or cuts them at the outline.
fn trim(parts: Vec<BezPath>, whole: bool, region: &Region) -> Vec<BezPath> {
    let regions = std::slice::from_ref(region);
    let mut kept = Vec::new();
    for part in parts {
        let inside = clip(std::slice::from_ref(&part), regions);
        let all = crate::base::curve::path_length(&part);
        let left: f64 = inside.iter().map(crate::base::curve::path_length).sum();
        if left > all - 1e-3 {
            kept.push(part);
        } else if !whole {
            kept.extend(inside);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    fn board(corners: [(f64, f64); 4]) -> Board {
        Board { ground: Ground::Four(corners.map(Point::from)), columns: 1, rows: 1 }
    }

    #[test]
    fn a_quarter_arc_keeps_its_radius_and_rise_on_a_square() {
        // Orange peel on a 50 mm grid: radius 35.355 mm, rise 10.355 mm (derived: r = g/√2, rise = r − g/2).
        let grid = 50.0;
        let side = grid / 2f64.sqrt();
        let arc = BezPath::from_svg("M1,0 A1,1 0 0 1 0,1").unwrap();
        let drawn = carry(&arc, &board([(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]));
        let chain = &crate::base::curve::flatten(&drawn, 1e-4)[0].points;
        let radius = chain.iter().map(|p| p.to_vec2().hypot());
        assert!(radius.clone().all(|r| (r - 35.355).abs() < 0.01), "{radius:?}");
        let chord = (chain[0] - chain[chain.len() - 1]).hypot();
        let rise = chain.iter().map(|p| (p.x + p.y - side) / 2f64.sqrt()).fold(0.0, f64::max);
        assert!((chord - grid).abs() < 1e-9 && (rise - 10.355).abs() < 0.01, "{chord} {rise}");
    }

    #[test]
    fn curves_stay_smooth_across_the_cells_of_an_odd_block() {
        let odd = Board { columns: 2, ..board([(0.0, 0.0), (100.0, 4.0), (93.0, 55.0), (-5.0, 48.0)]) };
        let left = carry(&BezPath::from_svg("M0,.5 C.5,.5 .8,.2 1,.4").unwrap(), &odd);
        let right = carry(&BezPath::from_svg("M1,.4 C1.1,.5 1.5,.5 2,.5").unwrap(), &odd);
        let end = crate::base::curve::end_tangent(&left.segments().next().unwrap());
        let start = crate::base::curve::start_tangent(&right.segments().next().unwrap());
        assert!(crate::base::angle::turn_deg(end, start).abs() < 0.01);
    }

    #[test]
    fn path_data_that_draws_nothing_is_refused() {
        assert!(Part::try_from("M0,0".to_owned()).is_err());
        assert!(Part::try_from("hello".to_owned()).is_err());
    }
}
