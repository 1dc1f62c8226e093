//! A ring whose lines go round its corners → the margin at which its repeats keep their shape.
//!
//! A repeat is so many times as long as the row is high, and every side takes whole ones. On a border that is wide beside
//! what it goes round there may be no whole number that does. So the row gives way, not the shape of what is in it: of all
//! margins from the quilt's own upwards the least is taken at which repeats are stretched by no more than
//! [`STRETCH_TOLD`] on every side. The corner unit is as wide as the row, so a lower row makes the run between two units
//! longer as well.
//! Limits: no row is lower than `LOWEST` of what the border has room for; where that is not enough the quilt's margin stays,
//! and the nearest width of the border that would do is told. Margins are tried in `STEPS` steps.

use super::layout::Layout;
use super::ring::Ring;
use super::scale::STRETCH_TOLD;
use crate::base::units::{Units, option, ruler_step, show_length};
use crate::block;
use crate::block::shape::Shape;
use crate::drawing::corner;
use crate::survey::remedy::Warning;

/// How low a row may become, as a share of what the border has room for: below two thirds it looks lost in its border.
const LOWEST: f64 = 2.0 / 3.0;
/// How many margins are tried up to that.
const STEPS: u32 = 400;
/// How far the width of a border that would do is looked for, as a share of its own.
const NEARBY: f64 = 0.5;
/// Marks of a ruler from one width that is tried to the next: a quarter of an inch, or 4 mm.
const MARKS: f64 = 4.0;

/// Gives every ring its margin, and says so where that is not the quilt's.
pub fn settle(layout: &mut Layout, units: Units) {
    for ring in layout.rings.iter_mut().filter(|ring| ring.corner_block.is_some()) {
        let Some(asked) = stretch(ring).filter(|share| *share > STRETCH_TOLD) else { continue };
        let solved = least(ring).and_then(|mm| with_margin(ring, mm));
        let told = match &solved {
            Some(solved) => kept(ring, solved, asked),
            None => not_kept(ring, asked, units),
        };
        layout.notes.push(Warning::from(told));
        if let Some(solved) = solved {
            *ring = solved;
        }
    }
}

/// The least margin at which repeats keep their shape, mm; `None` if there is none.
fn least(ring: &Ring) -> Option<f64> {
    let most = (1.0 - LOWEST) * (ring.widths[0] / 2.0 - ring.margin);
    let margins = (0..=STEPS).map(|i| ring.margin + most * f64::from(i) / f64::from(STEPS));
    let keeps = |ring: &Ring| stretch(ring).is_some_and(|share| share < STRETCH_TOLD);
    margins.into_iter().find(|mm| with_margin(ring, *mm).as_ref().is_some_and(keeps))
}

/// The ring with another margin; `None` if that leaves nothing.
fn with_margin(ring: &Ring, margin: f64) -> Option<Ring> {
    let unit = block::outline(&Shape::Corner { width: ring.widths[0] }, margin).ok()?;
    Some(Ring { margin, corner_block: Some(unit), ..ring.clone() })
}

/// How far repeats are stretched on the side where they are most; `None` where repeats have no shape of their own.
fn stretch(ring: &Ring) -> Option<f64> {
    let of = |run| corner::stretch(&ring.chosen.motif, &ring.chosen.settings, &run);
    let each = ring.lanes().into_iter().map(|lane| ring.block(&lane).ok().and_then(of));
    each.reduce(|a, b| Some(a?.max(b?))).flatten()
}

fn kept(ring: &Ring, solved: &Ring, asked: f64) -> String {
    let [now, before] = [solved, ring].map(|ring| show_length(ring.margin, Units::Inches));
    format!(
        "Border {} keeps {now} clear inside its seams instead of {before}: its repeats are stretched by at most {:.0} % so, where \
         they would be by {:.1} %.",
        ring.number,
        STRETCH_TOLD * 100.0,
        asked * 100.0
    )
}

fn not_kept(ring: &Ring, asked: f64, units: Units) -> String {
    let what = format!(
        "No margin keeps the repeats of border {} in shape: they are stretched by {:.0} %",
        ring.number,
        asked * 100.0
    );
    match width_that_does(ring, units) {
        Some(mm) => format!("{what}; take width = \"{}\", or another motif.", option(mm, units)),
        None => format!("{what}; take another motif."),
    }
}

/// The width of a border nearest to this one's whose repeats keep their shape, mm.
fn width_that_does(ring: &Ring, units: Units) -> Option<f64> {
    let (step, width) = (MARKS * ruler_step(units), ring.widths[0]);
    let marks = (0..).map(f64::from).take_while(|i| i * step <= NEARBY * width);
    let near = marks.flat_map(|i| [-1.0, 1.0].map(|way| ((width / step).round() + way * i) * step));
    near.into_iter().find(|mm| {
        let other = Ring { widths: [*mm; 4], ..ring.clone() };
        *mm > 2.0 * ring.margin && least(&other).is_some()
    })
}
