//! The asked look → the nearest look with which the plumes neither cross, nor stand outside, nor crowd each other.
//!
//! Widths and angles are tried in a fixed order, and the first that draws well is taken. If all that can be drawn leave a
//! sliver, the one that leaves the widest is taken and noted; if that is too narrow as well, the feather is refused.

use super::{Look, no_room, slivers, sound};
use crate::base::units::{Units, show_length};
use crate::block::region::Region;
use crate::drawing::{DrawError, Drawing};

/// Shares of the asked width that are tried where plumes would cross.
const WIDTHS: [f64; 5] = [1.0, 1.2, 0.85, 1.45, 1.8];

/// Shares that are tried to tell what to ask for instead, where none of those will do.
const OTHERS: [f64; 6] = [2.2, 2.7, 3.3, 0.75, 0.6, 0.5];

/// How much steeper plumes are tried, degrees.
const STEEPER_DEG: [f64; 4] = [0.0, 6.0, 12.0, 18.0];

/// The steepest that is tried, degrees.
const STEEPEST_DEG: f64 = 54.0;

/// Lines that run this far apart leave no sliver, mm: the width of one, less what it is measured by.
pub const CLEAR_MM: f64 = slivers::SLIVER_MM - 0.05;

/// The narrowest sliver that is drawn at all, and noted, mm: three passes of thread on either side still leave it open.
const NARROW_MM: f64 = 1.0;

/// What a look gave.
struct Trial {
    drawing: Drawing,
    // The width and the angle drawn with, mm and degrees.
    width: f64,
    angle_deg: f64,
    // As asked for, but for what the block has no room for.
    as_asked: bool,
    // The narrowest sliver, mm; infinite if there is none.
    sliver: f64,
}

impl Trial {
    /// The drawing, with a note of what is not as asked for; `why` says what for.
    fn noted(mut self, why: &str) -> Drawing {
        let wide = show_length(self.width, Units::Inches);
        if !self.as_asked {
            let steep = self.angle_deg;
            let note = format!("The plumes are {wide} wide and {steep}° steep at most, so that none {why}.");
            self.drawing.notes.push(note);
        }
        if self.sliver < CLEAR_MM {
            let note = format!("Two lines run {:.1} mm apart; ask for another plume width.", self.sliver);
            self.drawing.notes.push(note);
        }
        self.drawing
    }
}

/// Draws with the asked look, or with the nearest to it with which no plume crosses another, stands outside `region` or leaves
/// a sliver (which is noted). `draw` gives the width that it drew with.
///
/// # Errors
/// That of the asked look, if none can be drawn; [`DrawError::NoRoom`] if all leave too narrow a sliver.
pub fn settle(
    look: &Look,
    region: &Region,
    drawing: &mut Drawing,
    draw: impl Fn(&Look, &mut Drawing) -> Result<f64, DrawError>,
) -> Result<(), DrawError> {
    let (mut first, mut best) = (None, None::<Trial>);
    for share in WIDTHS {
        for more in STEEPER_DEG {
            match tried(look, (share, more), region, drawing, &draw) {
                Ok(trial) if trial.sliver >= CLEAR_MM => {
                    let crowded = first.is_none() && best.is_some();
                    let why = if crowded { "crowds another" } else { "crosses another or the edge" };
                    *drawing = trial.noted(why);
                    return Ok(());
                }
                Ok(trial) if best.as_ref().is_none_or(|b| trial.sliver > b.sliver) => best = Some(trial),
                Ok(_) => {}
                Err(error) => first = first.or(Some(error)),
            }
        }
    }
    match best {
        Some(best) if best.sliver >= NARROW_MM => *drawing = best.noted("crowds another"),
        Some(best) => {
            let other = |share: &f64| tried(look, (*share, 0.0), region, drawing, &draw).ok();
            let clear = OTHERS.iter().filter_map(other).find(|t| t.sliver >= CLEAR_MM);
            return Err(crowded(&best, clear.as_ref()));
        }
        None => return first.map_or(Ok(()), Err),
    }
    Ok(())
}

/// What the look gives with this share of its width and so many degrees more.
fn tried(
    look: &Look,
    (share, more): (f64, f64),
    region: &Region,
    drawing: &Drawing,
    draw: impl Fn(&Look, &mut Drawing) -> Result<f64, DrawError>,
) -> Result<Trial, DrawError> {
    let angle_deg = (look.angle_deg + more).min(STEEPEST_DEG.max(look.angle_deg));
    let before = drawing.lines.len();
    let mut drawing = drawing.clone();
    let width = draw(&Look { share, angle_deg, ..*look }, &mut drawing)?;
    if !sound::draw_in(&mut drawing.lines[before..], region) {
        let wide = show_length(width, Units::Inches);
        let why = format!("plumes {wide} wide stand over the edge here; ask for narrower ones");
        return Err(no_room("a feather", why));
    }
    let sliver = slivers::narrowest(&drawing.lines[before..]).map_or(f64::INFINITY, |s| s.0);
    Ok(Trial { drawing, width, angle_deg, as_asked: share == 1.0 && more == 0.0, sliver })
}

/// The error for plumes that leave too narrow a sliver whatever is tried, with the width that would do.
fn crowded(best: &Trial, clear: Option<&Trial>) -> DrawError {
    let [is, of] = [best.width, best.sliver];
    let remedy = clear.map_or("ask for a larger block".to_owned(), |t| {
        format!("ask for plumes {} wide", show_length(t.width, Units::Inches))
    });
    no_room("a feather", format!("two lines of plumes {is:.1} mm wide would run {of:.1} mm apart; {remedy}"))
}
