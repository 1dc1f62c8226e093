//! Borders → rings round the quilt: their patches, the runs along their sides, and their corners.

use kurbo::{Affine, Line, Point, Shape as _};

use super::TopError;
use super::file::{Border, Chosen, Corner, Quilt};
use super::layout::{Design, Layout, Patch, free_name};
use super::place::Place;
use super::ring::{Ring, rectangle};
use super::setting::block_shape;
use crate::base::units::LONGEST_MM;
use crate::block::lie::Lie;
use crate::block::pose::Pose;
use crate::block::region::{Region, Ring as Edge};
use crate::block::shape::Shape;
use crate::block::suit::Suit;
use crate::block::{self, Block};
use crate::drawing::Drawing;
use crate::drawing::constructions::clip::clip;
use crate::drawing::constructions::run::run_together;
use crate::drawing::motif::Mitre;
use crate::survey::remedy::Warning;

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
            asked: border.asked,
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
            Some(chosen) => {
                ring.corner_block = corner_unit(&ring)?;
                match border.corner {
                    Corner::Mitre if ring.corner_block.is_none() => mitred(quilt, &ring, chosen, layout)?,
                    Corner::Square => {
                        corner_squares(quilt, border, &ring, chosen, layout)?;
                        layout.rings.push(ring);
                    }
                    _ => layout.rings.push(ring),
                }
            }
        }
        layout.frame = outer;
    }
    Ok(())
}

fn patches(ring: &Ring, layout: &mut Layout) {
    for side in (0..4).filter(|side| ring.widths[*side] > 0.0) {
        let (half, y) = (ring.inner_length(side) / 2.0, ring.widths[side] / 2.0);
        let (left, right) = ring.pieced_reach(side);
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

/// The corner unit of a border whose lines turn, or are cut along the mitre: they come in from the run on its left and go on
/// into the one above.
fn corner_unit(ring: &Ring) -> Result<Option<Block>, TopError> {
    let width = ring.widths[0];
    let motif = &ring.chosen.motif;
    let round = match ring.corner {
        Corner::Turn => true,
        Corner::Mitre => motif.mitred.is_some(),
        Corner::Butt | Corner::Square => false,
    };
    if !round || !motif.suits(Suit::Corner) || ring.widths.iter().any(|mm| *mm != width) {
        return Ok(None);
    }
    let unit = block::outline(&Shape::Corner { width }, ring.margin);
    unit.map(Some).map_err(|error| TopError::Block { place: Place::Border(ring.number).to_string(), error })
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
            let note = Warning::from(format!(
                "The corner squares of border {} are not quilted: {name} does not suit a {kind}; name a corner-motif.",
                ring.number
            ));
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

/// The inside of a mitred side up to its mitres, and a run that stands upright in it, cut there; `None` for motifs that fill a
/// side as any other block. The mitres themselves, if they are sewn, go with top and bottom.
fn cut_at_mitre(ring: &Ring, side: usize, off: f64) -> Result<Option<(Region, Drawing)>, TopError> {
    let motif = &ring.chosen.motif;
    let Some(mitre) = motif.mitred else { return Ok(None) };
    let (left, right) = ring.reach(side);
    let (half, width) = (ring.inner_length(side) / 2.0, ring.widths[side]);
    let run = ring.stretch(width, 2.0 * half + left + right);
    let run =
        run.map_err(|error| TopError::Block { place: Place::Border(ring.number).to_string(), error })?;
    let settings = &ring.chosen.settings;
    let mut drawn = motif
        .construction
        .draw(settings, &run)
        .map_err(|error| TopError::Draw { place: Place::Border(ring.number).to_string(), error })?;
    // From the middle of the side's box; the mitre goes from corner to corner of the border.
    let at = |outwards: f64, up: f64, reach: f64| {
        let share = (width / 2.0 - up) / width;
        Point::new(outwards * (half + reach * share) - off, up)
    };
    let edge = width / 2.0 - ring.margin;
    let corners = [at(-1.0, -edge, left), at(1.0, -edge, right), at(1.0, edge, right), at(-1.0, edge, left)];
    let Some(outer) = Edge::from_points(&corners) else { return Ok(None) };
    let inside = Region { outer, holes: Vec::new() };
    drawn.lines = clip(&run_together(&drawn.lines), std::slice::from_ref(&inside));
    if mitre == Mitre::Sewn && side.is_multiple_of(2) {
        let ends = [(corners[0], corners[3], left), (corners[1], corners[2], right)];
        let sewn = ends.iter().filter(|(.., reach)| *reach > 0.0);
        drawn.lines.extend(sewn.map(|(a, b, _)| Line::new(*a, *b).to_path(0.1)));
    }
    Ok(Some((inside, drawn)))
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
        let cut = cut_at_mitre(ring, side, off)?;
        let (block, drawn) = cut.map_or((block.clone(), None), |(inside, drawn)| {
            (Block { inside: vec![inside], ..block }, Some(drawn))
        });
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
            drawn,
            travel: quilt.travel || runs,
            at: vec![at],
        });
    }
    Ok(())
}
