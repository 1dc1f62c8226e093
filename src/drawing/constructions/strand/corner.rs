//! The corner unit of a motif of strands: its lines as the motif's file gives them, joined to both runs.
//!
//! A unit is drawn on one side of the diagonal and mirrored to the other. Where a line comes in from a run it takes on the
//! run's slope there, which depends on how long its repeats came out.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Vec2};

use super::crossing::Laid;
use super::numbers::{Corner, Numbers, Repeat};
use super::{Band, Part};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::constructions::clip::clip;
use crate::drawing::constructions::part::carry;
use crate::drawing::constructions::run::run_together;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// Left becomes top: the mirror at the diagonal from 0,1 to 1,0.
const MIRROR: Affine = Affine::new([0.0, -1.0, -1.0, 0.0, 1.0, 1.0]);

/// Up to here a unit's coordinates are those of its runs, as a share of its width.
const KEPT: f64 = 0.75;
/// So far from a run its repeats count, as a share of the unit's width.
const NEAR: f64 = 0.11;

/// So many times as far from the other run as from this one, that one counts for nothing.
const ALONE: f64 = 3.0;

/// Draws the corner unit between runs whose repeats are as long as told, mm: the one on the left and the one at the top; its
/// lines are cut at `within`.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band leave no room for each other.
pub fn draw(
    numbers: &Numbers,
    settings: &Settings,
    block: &Block,
    repeats_mm: Option<[f64; 2]>,
    within: &[Region],
) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    let Some(corner) = &numbers.corner else { return Ok(drawing) };
    for region in &block.inside {
        let bounds = region.bounds();
        let across = bounds.height();
        let asked = match &numbers.repeat {
            Repeat::Length(name) => settings.number(name),
            Repeat::Widths(name) => settings.number(name) * across,
        };
        let band = Band::of(numbers, settings, across)?;
        let (repeats, drawn_for) = (repeats_mm.unwrap_or([asked; 2]), corner.repeat * across);
        let frame = |half: f64| Frame { bounds, half, repeats, drawn_for };
        let (place, bare) = (frame(band.half()), frame(0.0));
        let under = bare.both(&corner.further(settings, across, true));
        let loose = bare.both(&corner.further(settings, across, false));
        let mut lines = band.over(numbers, settings, place.strands(corner), under)?;
        lines.extend(loose.into_iter().map(|laid| laid.middle));
        drawing.lines.extend(clip(&run_together(&lines), within));
    }
    Ok(drawing)
}

/// Where a unit lies.
struct Frame {
    bounds: Rect,
    /// How far strands keep clear of the outer sides and of the runs' inner ones, mm.
    half: f64,
    /// The length of a repeat on the left and at the top, mm.
    repeats: [f64; 2],
    /// The length of a repeat that the unit is drawn for, mm.
    drawn_for: f64,
}

impl Frame {
    /// The strands and the mirrored ones; in these what lay above lies below.
    fn strands(&self, corner: &Corner) -> Vec<Laid> {
        let once = corner.strands.iter().enumerate().map(|(i, part)| (part.path().clone(), i));
        let last = corner.mirrored.len().saturating_sub(1);
        let here = corner.mirrored.iter().enumerate().map(|(i, part)| (part.path().clone(), i));
        let there = corner.mirrored.iter().enumerate().map(|(i, part)| (mirrored(part), last - i));
        let laid = |(path, depth): (BezPath, usize)| Laid { middle: self.carried(&path), depth };
        once.chain(here).chain(there).map(laid).collect()
    }

    /// Lines and their mirror images.
    fn both(&self, parts: &[&Part]) -> Vec<Laid> {
        let each = parts.iter().flat_map(|part| [part.path().clone(), mirrored(part)]);
        each.map(|path| Laid { middle: self.carried(&path), depth: 0 }).collect()
    }

    /// The point at `p`: beyond the sides on a run, else in the unit.
    fn at(&self, p: Point) -> Point {
        let (size, half) = (self.bounds.height(), self.half);
        let run = |v: f64| half + v * (size - 2.0 * half);
        // As high as in a run, but for the last bit up to the side itself.
        let from_outer = |v: f64| run(v) + half * ((v - KEPT) / (1.0 - KEPT)).max(0.0);
        // Close to a run, lengths along it are those of its repeats, but across the other one, `v` away, as they are there.
        let from_run = |u: f64, v: f64, repeat: f64| {
            let near = (1.0 - (u / NEAR).powi(2)).max(0.0).powi(2);
            let from_other = if u > 0.0 { (v / (ALONE * u)).clamp(0.0, 1.0) } else { 1.0 };
            let alone = from_other * from_other * (3.0 - 2.0 * from_other);
            (size - from_outer(1.0 - u)) * (1.0 + (repeat / self.drawn_for - 1.0) * near * alone)
        };
        // Distances from the left side, and from the bottom; towards the outer corner strands keep clear.
        let (x, y) = if p.x < 0.0 {
            (p.x * self.repeats[0], run(p.y))
        } else if p.y > 1.0 {
            (size - run(1.0 - p.x), size + (p.y - 1.0) * self.repeats[1])
        } else {
            let (u, v) = (p.x, 1.0 - p.y);
            (from_run(u, v, self.repeats[0]), size - from_run(v, u, self.repeats[1]))
        };
        Point::new(self.bounds.x0 + x, self.bounds.y0 + y)
    }

    fn carried(&self, path: &BezPath) -> BezPath {
        let mut line = carry(path, |p| self.at(p));
        let joints: Vec<usize> = (1..path.elements().len())
            .filter(|i| {
                path.elements()[i - 1]
                    .end_point()
                    .is_some_and(|p| p.x.abs() < 1e-9 || (p.y - 1.0).abs() < 1e-9)
            })
            .collect();
        for i in joints {
            smooth(
                line.elements_mut(),
                i,
                path.elements()[i - 1].end_point().is_some_and(|p| p.x.abs() < 1e-9),
            );
        }
        line
    }
}

/// Turns the handle inside the unit at the start of element `i` so that the line runs on from the run without a bend.
fn smooth(elements: &mut [PathEl], i: usize, comes_in: bool) {
    let Some(joint) = elements[i - 1].end_point() else { return };
    let (PathEl::CurveTo(_, before, _), PathEl::CurveTo(after, _, _)) = (elements[i - 1], elements[i]) else {
        return;
    };
    let turned = |from: Vec2, to: Vec2| from * (-to.hypot() / from.hypot().max(1e-12));
    let ((_, from), (_, to)) = ((joint, before - joint), (joint, after - joint));
    if comes_in {
        if let PathEl::CurveTo(handle, _, _) = &mut elements[i] {
            *handle = joint + turned(from, to);
        }
    } else if let PathEl::CurveTo(_, handle, _) = &mut elements[i - 1] {
        *handle = joint + turned(to, from);
    }
}

/// The mirror image of a part, drawn the other way, so that it goes on from it.
fn mirrored(part: &Part) -> BezPath {
    (MIRROR * part.path().clone()).reverse_subpaths()
}
