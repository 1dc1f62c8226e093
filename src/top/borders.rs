//! Borders → rings round the quilt: their patches, the runs along their sides, and their corners.

use kurbo::{Affine, Point};

use super::TopError;
use super::file::{Border, Chosen, Corner, Quilt};
use super::layout::{Design, Layout, Patch, free_name};
use super::place::Place;
use super::ring::{Ring, rectangle};
use super::setting::block_shape;
use crate::base::units::LONGEST_MM;
use crate::block::lie::Lie;
use crate::block::pose::Pose;
use crate::block::shape::Shape;
use crate::block::side::Side;
use crate::block::suit::Suit;
use crate::block::{self, Block};

/// Adds every border to the layout, the innermost first; those without a motif are named in `bare`.
pub fn lay(quilt: &Quilt, layout: &mut Layout, bare: &mut Vec<String>) -> Result<(), TopError> {
    for (i, border) in quilt.borders.iter().enumerate() {
        let number = i + 1;
        let [top, right, bottom, left] = border.widths;
        let mut ring = Ring {
            number,
            widths: [bottom, right, top, left],
            margin: quilt.margin_mm,
            inner: layout.frame,
            corner: border.corner,
            // A border without a motif has no course.
            chosen: border.chosen.clone().unwrap_or_else(Chosen::nothing),
            travel: quilt.travel,
            corner_block: None,
        };
        let outer = ring.outer();
        let (width_mm, height_mm) = (outer.width(), outer.height());
        if width_mm.max(height_mm) > LONGEST_MM {
            return Err(TopError::TooLarge { width_mm, height_mm });
        }
        patches(&ring, layout);
        match &border.chosen {
            None => bare.push(Place::Border(number).to_string()),
            Some(chosen) if border.corner == Corner::Mitre => mitred(quilt, &ring, chosen, layout)?,
            Some(chosen) => {
                if border.corner == Corner::Square {
                    corner_squares(quilt, border, &ring, chosen, layout)?;
                }
                ring.corner_block = corner_unit(&ring)?;
                layout.rings.push(ring);
            }
        }
        layout.frame = outer;
    }
    Ok(())
}

fn patches(ring: &Ring, layout: &mut Layout) {
    for side in (0..4).filter(|side| ring.widths[*side] > 0.0) {
        let (half, y) = (ring.inner_length(side) / 2.0, ring.widths[side] / 2.0);
        let (left, right) = match ring.corner {
            // As it is pieced where the lines turn: top and bottom run out to the edge.
            Corner::Turn => Ring { corner: Corner::Butt, ..ring.clone() }.reach(side),
            _ => ring.reach(side),
        };
        let inner = if ring.corner == Corner::Mitre { (0.0, 0.0) } else { (left, right) };
        let outline = [(-half - left, -y), (half + right, -y), (half + inner.1, y), (-half - inner.0, y)];
        let outline = outline.map(|p| ring.side(side) * Point::from(p)).to_vec();
        layout.patches.push(Patch { place: Place::Border(ring.number), outline });
    }
    if ring.corner == Corner::Square {
        for ((across, up), at) in ring.corners() {
            let outline = rectangle(across, up).map(|p| at * p).to_vec();
            layout.patches.push(Patch { place: Place::BorderCorner(ring.number), outline });
        }
    }
}

/// The corner unit of a border whose lines turn: they come in from the run on its left and go on into the one above.
fn corner_unit(ring: &Ring) -> Result<Option<Block>, TopError> {
    if ring.corner != Corner::Turn || ring.corners().is_empty() {
        return Ok(None);
    }
    let side = ring.widths[0];
    let turns = ring.chosen.motif.suits(Suit::Corner);
    let shape = if turns { Shape::Corner { width: side } } else { Shape::Square { side } };
    let unit = block::outline(&shape, ring.margin);
    let unit =
        unit.map_err(|error| TopError::Block { place: Place::Border(ring.number).to_string(), error })?;
    Ok(Some(Block { open: vec![Side::Left, Side::Top], ..unit }))
}

fn corner_squares(
    quilt: &Quilt,
    border: &Border,
    ring: &Ring,
    chosen: &Chosen,
    layout: &mut Layout,
) -> Result<(), TopError> {
    let place = Place::BorderCorner(ring.number);
    let chosen = border.corner_chosen.as_ref().unwrap_or(chosen);
    for ((across, up), at) in ring.corners() {
        let shape = block_shape(across, up);
        if !chosen.motif.suits(shape.suit()) {
            let (name, kind) = (&chosen.motif.name, shape.suit().word());
            let note = format!(
                "The corner squares of border {} are not quilted: {name} does not suit a {kind}; name a corner-motif.",
                ring.number
            );
            if !layout.notes.contains(&note) {
                layout.notes.push(note);
            }
            continue;
        }
        let known = layout.designs.iter_mut().find(|d| d.place == place && d.block.shape == shape);
        if let Some(known) = known {
            known.at.push(at);
            continue;
        }
        let block = block::outline(&shape, quilt.margin_mm);
        let block = block.map_err(|error| TopError::Block { place: place.to_string(), error })?;
        let name = free_name(&layout.designs, &place.to_string());
        let (place, chosen, travel) = (place.clone(), chosen.clone(), quilt.travel);
        let at = vec![at];
        layout.designs.push(Design {
            name,
            place,
            block,
            chosen,
            pose: Pose::default(),
            fill: None,
            drawn: None,
            travel,
            at,
        });
    }
    Ok(())
}

/// The sides of a mitred border are blocks of their own; lines that run through a quilt run from mitre to mitre.
fn mitred(quilt: &Quilt, ring: &Ring, chosen: &Chosen, layout: &mut Layout) -> Result<(), TopError> {
    let place = Place::Border(ring.number);
    for side in (0..4).filter(|side| ring.widths[*side] > 0.0) {
        let (left, right) = ring.reach(side);
        let (half, y) = (ring.inner_length(side) / 2.0, ring.widths[side] / 2.0);
        // About the middle of its box.
        let off = (right - left) / 2.0;
        let corners = [(-half - left, -y), (half + right, -y), (half, y), (-half, y)];
        let corners: Vec<Point> = corners.iter().map(|(x, y)| Point::new(x - off, *y)).collect();
        let at = ring.side(side) * Affine::translate((off, 0.0));
        let shape = Shape::Corners { corners };
        let known = layout.designs.iter_mut().find(|d| d.place == place && d.block.shape == shape);
        if let Some(known) = known {
            known.at.push(at);
            continue;
        }
        let runs = chosen.runs_through();
        let block = block::outline(&shape, if runs { 0.0 } else { quilt.margin_mm });
        let block = block.map_err(|error| TopError::Block { place: place.to_string(), error })?;
        let to_block = Affine::translate((-half - off, y));
        // As wide as high, so that a line at 45 degrees lies on the mitre.
        let module = (ring.inner_length(side), ring.inner_length(side));
        let lie = runs.then_some(Lie { to_block, module, bend: None });
        layout.designs.push(Design {
            name: free_name(&layout.designs, &place.to_string()),
            place: place.clone(),
            block: Block { lie, ..block },
            chosen: chosen.clone(),
            pose: Pose::default(),
            fill: None,
            drawn: None,
            travel: quilt.travel || runs,
            at: vec![at],
        });
    }
    Ok(())
}
