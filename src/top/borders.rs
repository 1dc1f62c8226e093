//! Borders → rings round the quilt: their patches, the straight runs of quilting along their sides, and their corners.
//!
//! A run lies along x in its own coordinates, the quilt's centre above it; the four sides are the run turned by quarters.
//! Where the lines turn the corner (`turn`), a run reaches from corner unit to corner unit and meets it without a margin;
//! otherwise it keeps the margin at its ends as well.

use kurbo::{Affine, Point};

use super::TopError;
use super::file::{Border, Chosen, Corner, Quilt};
use super::layout::{Design, Layout, Patch, free_name};
use super::place::Place;
use crate::base::tolerance::GRAIN_MM;
use crate::base::units::LONGEST_MM;
use crate::block::region::{Region, Ring as Edge};
use crate::block::shape::Shape;
use crate::block::side::Side;
use crate::block::{self, Block, BlockError};

/// A quilted border whose sides are straight runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Which border, from 1, the innermost first.
    pub number: usize,
    /// Finished width of the border, mm.
    pub width: f64,
    /// Kept clear along its seams, mm.
    pub margin: f64,
    /// Finished width and height of what it goes round, mm.
    pub inner: (f64, f64),
    /// How it goes round the corner.
    pub corner: Corner,
    /// Its motif.
    pub chosen: Chosen,
    /// The length of the quilting along bottom and top, and along the sides, mm.
    pub runs: [f64; 2],
    /// True if lines may travel along the edges where they do not run on.
    pub travel: bool,
    /// The corner unit, where the lines turn.
    pub corner_block: Option<Block>,
}

impl Ring {
    /// True if all four sides are alike.
    #[must_use]
    pub fn is_square(&self) -> bool {
        (self.runs[0] - self.runs[1]).abs() < GRAIN_MM
    }

    /// The block of a stretch of `length` mm along the border, open at both ends.
    ///
    /// # Errors
    /// [`BlockError::Vanishes`] if the margins leave nothing.
    pub fn stretch(&self, length: f64) -> Result<Block, BlockError> {
        let height = self.width - 2.0 * self.margin;
        let ring = |up: f64| Edge::from_points(&rectangle(length, up)).ok_or(BlockError::NoArea);
        if height <= 0.0 {
            let largest_mm = (self.width * 5.0).floor() / 10.0;
            return Err(BlockError::Vanishes { margin_mm: self.margin, largest_mm });
        }
        Ok(Block {
            shape: Shape::Strip { width: self.width, length },
            outline: Region { outer: ring(self.width)?, holes: Vec::new() },
            inside: vec![Region { outer: ring(height)?, holes: Vec::new() }],
            margin_mm: self.margin,
            open: vec![Side::Left, Side::Right],
            lie: None,
            notes: Vec::new(),
        })
    }

    /// From run coordinates to the quilt: bottom, right, top, left; even ones are level.
    #[must_use]
    pub fn sides(&self) -> [Affine; 4] {
        sides(self.inner, self.width)
    }

    /// From the corner unit's coordinates to the quilt: bottom right first, then counter-clockwise.
    #[must_use]
    pub fn corners(&self) -> [Affine; 4] {
        corners(self.inner, self.width)
    }

    /// The placings of one of the two runs: 0 for bottom and top, 1 for the sides.
    #[must_use]
    pub fn sides_of(&self, run: usize) -> [Affine; 2] {
        let all = self.sides();
        if run == 0 { [all[0], all[2]] } else { [all[1], all[3]] }
    }
}

fn sides((w, h): (f64, f64), width: f64) -> [Affine; 4] {
    [(0.0, h), (90.0, w), (180.0, h), (270.0, w)].map(|(turn_deg, across): (f64, f64)| {
        Affine::rotate(turn_deg.to_radians()) * Affine::translate((0.0, -(across + width) / 2.0))
    })
}

fn corners((w, h): (f64, f64), width: f64) -> [Affine; 4] {
    let (x, y) = ((w + width) / 2.0, (h + width) / 2.0);
    [(x, -y, 0.0), (x, y, 90.0), (-x, y, 180.0), (-x, -y, 270.0)].map(|(x, y, turn_deg): (f64, f64, f64)| {
        Affine::translate((x, y)) * Affine::rotate(turn_deg.to_radians())
    })
}

fn rectangle(across: f64, up: f64) -> [Point; 4] {
    let (x, y) = (across / 2.0, up / 2.0);
    [(-x, -y), (x, -y), (x, y), (-x, y)].map(Point::from)
}

/// Adds every border to the layout, the innermost first; those without a motif are named in `bare`.
pub fn lay(quilt: &Quilt, layout: &mut Layout, bare: &mut Vec<String>) -> Result<(), TopError> {
    for (i, border) in quilt.borders.iter().enumerate() {
        let inner = layout.size;
        let (width, height) = (inner.0 + 2.0 * border.width, inner.1 + 2.0 * border.width);
        if width.max(height) > LONGEST_MM {
            return Err(TopError::TooLarge { width_mm: width, height_mm: height });
        }
        patches(border, i + 1, inner, layout);
        match &border.chosen {
            None => bare.push(Place::Border(i + 1).to_string()),
            Some(chosen) if border.corner == Corner::Mitre => {
                mitred(quilt, border, i + 1, inner, chosen, layout)?
            }
            Some(chosen) => ring(quilt, border, i + 1, chosen, layout)?,
        }
        layout.size = (width, height);
    }
    Ok(())
}

fn patches(border: &Border, number: usize, inner: (f64, f64), layout: &mut Layout) {
    let b = border.width;
    let (w, h) = inner;
    // How far bottom and top, and the sides, reach beyond what they go round: at their outer and at their inner edge.
    let (level, upright) = match border.corner {
        Corner::Square => ([0.0, 0.0], [0.0, 0.0]),
        Corner::Turn | Corner::Butt => ([b, b], [0.0, 0.0]),
        Corner::Mitre => ([b, 0.0], [b, 0.0]),
    };
    for (i, side) in sides(inner, b).into_iter().enumerate() {
        let (half, [out, inn]) = if i % 2 == 0 { (w / 2.0, level) } else { (h / 2.0, upright) };
        let y = b / 2.0;
        let outline = [(-half - out, -y), (half + out, -y), (half + inn, y), (-half - inn, y)];
        let outline = outline.map(|p| side * Point::from(p)).to_vec();
        layout.patches.push(Patch { place: Place::Border(number), outline });
    }
    if border.corner == Corner::Square {
        for corner in corners(inner, b) {
            let outline = rectangle(b, b).map(|p| corner * p).to_vec();
            layout.patches.push(Patch { place: Place::BorderCorner(number), outline });
        }
    }
}

fn ring(
    quilt: &Quilt,
    border: &Border,
    number: usize,
    chosen: &Chosen,
    layout: &mut Layout,
) -> Result<(), TopError> {
    let margin = quilt.margin_mm;
    let inner = layout.size;
    let runs = match border.corner {
        Corner::Turn => [inner.0 + 2.0 * margin, inner.1 + 2.0 * margin],
        Corner::Butt => [inner.0 + 2.0 * border.width - 2.0 * margin, inner.1 - 2.0 * margin],
        Corner::Square | Corner::Mitre => [inner.0 - 2.0 * margin, inner.1 - 2.0 * margin],
    };
    let place = Place::Border(number);
    let square = Shape::Square { side: border.width };
    let unit = block::outline(&square, margin);
    let unit = unit.map_err(|error| TopError::Block { place: place.to_string(), error })?;
    let (width, chosen) = (border.width, chosen.clone());
    if border.corner == Corner::Square {
        let place = Place::BorderCorner(number);
        let chosen = border.corner_chosen.as_ref().unwrap_or(&chosen);
        if chosen.motif.suits(square.suit()) {
            layout.designs.push(Design {
                name: free_name(&layout.designs, &place.to_string()),
                place,
                block: unit.clone(),
                chosen: chosen.clone(),
                travel: quilt.travel,
                at: corners(inner, width).to_vec(),
            });
        } else {
            let name = &chosen.motif.name;
            layout.notes.push(format!(
                "The corner squares of border {number} are not quilted: {name} does not suit a square; name a \
                 corner-motif."
            ));
        }
    }
    // Its lines come in from the run on its left and go on into the one above.
    let open = vec![Side::Left, Side::Top];
    let corner_block = (border.corner == Corner::Turn).then_some(Block { open, ..unit });
    let (corner, travel) = (border.corner, quilt.travel);
    layout.rings.push(Ring { number, width, margin, inner, corner, chosen, runs, travel, corner_block });
    Ok(())
}

/// The sides of a mitred border are blocks of their own.
fn mitred(
    quilt: &Quilt,
    border: &Border,
    number: usize,
    inner: (f64, f64),
    chosen: &Chosen,
    layout: &mut Layout,
) -> Result<(), TopError> {
    let (b, y) = (border.width, border.width / 2.0);
    let all = sides(inner, b);
    let mut runs = vec![(inner.0, vec![all[0], all[2]]), (inner.1, vec![all[1], all[3]])];
    if inner.0 == inner.1 {
        runs = vec![(inner.0, all.to_vec())];
    }
    for (length, at) in runs {
        let x = length / 2.0;
        let corners = [(-x - b, -y), (x + b, -y), (x, y), (-x, y)].map(Point::from).to_vec();
        let place = Place::Border(number);
        let block = block::outline(&Shape::Corners { corners }, quilt.margin_mm);
        let block = block.map_err(|error| TopError::Block { place: place.to_string(), error })?;
        let name = free_name(&layout.designs, &place.to_string());
        let chosen = chosen.clone();
        layout.designs.push(Design { name, place, block, chosen, travel: quilt.travel, at });
    }
    Ok(())
}
