//! Lattices: one cell of parts, repeated in whole columns and rows over a [`Board`].
//!
//! On four straight sides the cells follow the sides, also where they are not square; on three sides the cells on the
//! long side are drawn as half cells; on any other outline the cells are laid over its bounding box, and their parts are
//! kept where they are whole, or cut at the outline. Parts are path data, or bows: circular arcs between two points of the
//! cell, as a quilter draws them along a curved ruler.

use kurbo::{Affine, BezPath, Point, Vec2};
use serde::Deserialize;

use super::board::{Board, Ground, repeats};
use super::clip::{clip, largest};
use super::part::{Part, bow, carry};
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::base::angle::turn_deg;
use crate::base::curve::path_length;
use crate::block::Block;
use crate::block::region::Region;

/// How far a triangle's widest corner may be from a right angle for cells to follow its sides, degrees; beyond that they
/// would be sheared, and one side's would look unlike the other's.
const LEAN_DEG: f64 = 12.0;
/// Up to this ratio of spacings on an odd block nothing is said.
const SPREAD_TOLD: f64 = 2.0;
/// The rise of a quarter circle, as a share of its chord: (√2 − 1) / 2. Bows never rise more.
const QUARTER_RISE: f64 = 0.207_106_781_186_547_5;

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
    /// The parts of a cell.
    cell: Cell,
    /// The parts of a cell in every other row, from the second.
    other_row: Option<Cell>,
    /// The parts of a cell on the long side of a triangle, which runs from 0,1 to 1,0; without them triangles are cut.
    half: Option<Cell>,
    /// How high the bows rise.
    rise: Option<Rise>,
    /// What happens at an outline that cells run over.
    edge: Edge,
}

/// What happens at an outline that cells run over.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Edge {
    /// Parts are cut at it.
    Cut,
    /// Parts are cut at it, and it is drawn as well.
    Framed,
    /// Only whole parts are kept, and of those the largest set that hangs together.
    Whole,
    /// The setting `edge` says which of these.
    Ask,
}

impl Edge {
    fn settled(self, settings: &Settings) -> Self {
        match (self, settings.word("edge")) {
            (Self::Ask, "cut") => Self::Cut,
            (Self::Ask, "framed") => Self::Framed,
            (Self::Ask, _) => Self::Whole,
            (known, _) => known,
        }
    }
}

/// The parts of a cell, which goes from 0,0 (bottom left) to 1,1.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Cell {
    /// Path data.
    #[serde(default)]
    parts: Vec<Part>,
    /// Circular arcs from a point to a point, which rise to the left.
    #[serde(default)]
    bows: Vec<[f64; 4]>,
}

/// The setting that says how high bows rise.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Rise {
    /// A length.
    Length(String),
    /// A share of the chord.
    Ratio(String),
}

impl Numbers {
    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        let mut needs = vec![(self.size.clone(), "length")];
        if self.edge == Edge::Ask {
            needs.push(("edge".to_owned(), "choice"));
        }
        match &self.rise {
            Some(Rise::Length(name)) => needs.push((name.clone(), "length")),
            Some(Rise::Ratio(name)) => needs.push((name.clone(), "ratio")),
            None => {}
        }
        needs
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
        let parts = place(numbers, settings, &board);
        if board.ground.overhangs() || !region.holes.is_empty() {
            drawing.lines.extend(trim(parts, numbers, settings, region));
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
        Ground::Three(_) if numbers.half.is_none() => Ground::around(region),
        Ground::Three(corners) if settings.word("edge") != "whole" && !is_upright(corners) => {
            Ground::around(region)
        }
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

/// True if the first corner is near enough a right angle that square cells along its sides look square.
fn is_upright([at, a, b]: [Point; 3]) -> bool {
    (90.0 - turn_deg(a - at, b - at)).abs() <= LEAN_DEG
}

fn place(numbers: &Numbers, settings: &Settings, board: &Board) -> Vec<BezPath> {
    let mut placed = Vec::new();
    for row in 0..board.rows {
        for column in 0..board.columns {
            let cell = match (&board.ground, &numbers.half, &numbers.other_row) {
                (Ground::Three(_), _, _) if column + row + 1 > board.columns => continue,
                (Ground::Three(_), Some(half), _) if column + row + 1 == board.columns => half,
                (_, _, Some(other)) if row % 2 == 1 => other,
                _ => &numbers.cell,
            };
            let offset = Vec2::new(f64::from(column), f64::from(row));
            for part in &cell.parts {
                let path = Affine::translate(offset) * part.path().clone();
                placed.push(carry(&path, |p| board.at(p.x, p.y)));
            }
            for [x0, y0, x1, y1] in &cell.bows {
                let at = |x: f64, y: f64| board.at(x + offset.x, y + offset.y);
                placed.push(bow(
                    at(*x0, *y0),
                    at(*x1, *y1),
                    rise(numbers, settings, at(*x0, *y0), at(*x1, *y1)),
                ));
            }
        }
    }
    placed
}

fn rise(numbers: &Numbers, settings: &Settings, a: Point, b: Point) -> f64 {
    let chord = a.distance(b);
    match &numbers.rise {
        Some(Rise::Length(name)) => settings.number(name).min(QUARTER_RISE * chord),
        Some(Rise::Ratio(name)) => settings.number(name).min(QUARTER_RISE) * chord,
        None => QUARTER_RISE * chord,
    }
}

/// Keeps the parts that are whole, or cuts them at the outline; what hangs loose is left out.
fn trim(parts: Vec<BezPath>, numbers: &Numbers, settings: &Settings, region: &Region) -> Vec<BezPath> {
    let regions = std::slice::from_ref(region);
    let edge = numbers.edge.settled(settings);
    let mut kept = Vec::new();
    for part in parts {
        let inside = clip(std::slice::from_ref(&part), regions);
        let left: f64 = inside.iter().map(path_length).sum();
        if left > path_length(&part) - 1e-3 {
            kept.push(part);
        } else if edge != Edge::Whole {
            kept.extend(inside);
        }
    }
    match edge {
        Edge::Whole => return largest(kept),
        Edge::Framed => kept.extend(region.rings().map(|r| r.path().clone())),
        _ => {}
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

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
