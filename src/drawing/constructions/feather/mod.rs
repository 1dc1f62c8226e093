//! Feathers: a spine with plumes on both sides, fitted to the inner outline.
//!
//! Heads stand evenly along a line of their own, a head's radius inside the outline; feet stand on the spine where the
//! stems leave it at the asked angle; each plume's line ends on the plume before it.

mod bank;
mod course;
mod curls;
mod feet;
mod grown;

pub mod half_wreath;
mod heads;

mod open;
mod plume;
mod settle;
mod slivers;
mod sound;
mod spiral;
pub mod spray;
pub mod wreath;

#[cfg(test)]
mod tests;

use kurbo::BezPath;

use crate::base::units::{Units, show_length};
use crate::block::region::Region;
use crate::block::{Block, further_in};
use crate::drawing::constructions::plume::guide::Guide;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use feet::{Head, Row};
use plume::{Hand, Line, Plume};

/// The narrowest plume that can be sewn, mm from head to head: four stitches round a head.
const NARROWEST_MM: f64 = 4.0;

/// How far inside the inner outline plumes are fitted, mm: a fitted head strays by up to 0.07 mm from where it is put,
/// and may stand outside by no more than [`JOIN_MM`](crate::base::tolerance::JOIN_MM).
const HAIR_MM: f64 = 0.06;

/// The regions that plumes are fitted to: a hair inside the inner outline.
fn within(block: &Block) -> Vec<Region> {
    block.inside.iter().flat_map(|region| further_in(region, HAIR_MM)).collect()
}

/// How full, how steep and how large the plumes are asked to be.
#[derive(Debug, Clone, Copy)]
struct Look {
    /// From one head to the next, mm.
    width: f64,
    /// The share of that, or of what there is room for, that is to be tried.
    share: f64,
    /// Between stem and spine, degrees.
    angle_deg: f64,
    /// The diameter of a head as a share of the distance to the next.
    fullness: f64,
    /// By how much a middling stem turns, degrees.
    curl_deg: f64,
}

impl Look {
    /// As asked for.
    fn new(settings: &Settings, curl_deg: f64) -> Self {
        Self {
            width: settings.number("plume"),
            share: 1.0,
            angle_deg: settings.number("angle"),
            fullness: settings.number("fullness"),
            curl_deg,
        }
    }

    /// The width asked for, or the nearest that is neither too slim nor too stout for the block (which is noted); of that,
    /// the share to be tried.
    ///
    /// # Errors
    /// [`DrawError::NoRoom`] if that is less than `least`, all in mm, or if a greater share is no wider.
    fn width_within(
        &self,
        [slim, stout]: [f64; 2],
        least: f64,
        what: &str,
        drawing: &mut Drawing,
    ) -> Result<f64, DrawError> {
        let fitting = self.width.clamp(slim.min(stout), stout);
        let width = (fitting * self.share).min(stout);
        if stout < least {
            let why = format!(
                "there is room for plumes {stout:.1} mm wide and they have to be {least:.1} mm to be sewn; ask for a larger \
                 block or a smaller margin"
            );
            return Err(no_room(what, why));
        }
        if width < least {
            let why =
                format!("plumes {width:.1} mm wide are too narrow to sew; ask for at least {least:.1} mm");
            return Err(no_room(what, why));
        }
        if self.share > 1.0 && width <= fitting {
            let why = format!(
                "plumes wider than {stout:.1} mm would not stay longer than wide; ask for a larger block"
            );
            return Err(no_room(what, why));
        }
        drawing.sized(width / self.width);
        if self.share == 1.0 && width != self.width {
            let why = if width < self.width { "stay longer than wide" } else { "do not become needles" };
            drawing.notes.push(format!(
                "The plumes are {} wide, so that they {why} in this block.",
                show_length(width, Units::Inches)
            ));
        }
        Ok(width)
    }

    /// The error for plumes that do not meet.
    fn apart(&self, width: f64, what: &str) -> DrawError {
        let why = format!(
            "plumes {width:.1} mm wide and {}° steep do not reach each other everywhere; ask for another width, a steeper \
             angle or more fullness",
            self.angle_deg
        );
        no_room(what, why)
    }
}

/// The error for plumes that find no room, with what to change.
fn no_room(what: &str, why: impl Into<String>) -> DrawError {
    DrawError::NoRoom { motif: what.to_owned(), why: why.into() }
}

/// The plumes of a row, with their feet on the spine.
fn plumes(heads: &[Head], feet: &[f64], spine: &Guide) -> Vec<Plume> {
    let plume = |(h, s): (&Head, &f64)| Plume { centre: h.centre, radius: h.radius, foot: spine.at(*s).0 };
    heads.iter().zip(feet).map(plume).collect()
}

/// A row with its heads and how far along the spine their feet stand.
type Placed = (Row, Vec<Head>, Vec<f64>);

/// The lines of two closed rows round a closed spine, the spine first.
fn closed(spine: &Guide, hand: &Hand, rows: [Placed; 2]) -> Option<Vec<BezPath>> {
    let knots: Vec<f64> = rows.iter().flat_map(|r| r.2.iter().copied()).collect();
    let mut lines = vec![spine.curve(&knots)];
    for (row, heads, feet) in &rows {
        let woven = Line::ring(&plumes(heads, feet, spine), hand, row.turn())?;
        lines.extend(woven.iter().map(Line::path));
    }
    sound::is_clean(&lines).then_some(lines)
}
