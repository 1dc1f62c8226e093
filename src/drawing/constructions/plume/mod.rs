//! Feathers: plumes along a spine, fitted to the inner outline.
//!
//! A plume is a head, which is a circle, and a back, a curve of monotone curvature from a foot on the spine onto that circle
//! ([`back`]). Heads stand evenly along a silhouette ([`heads`]); feet are the least squares of angle and evenness ([`feet`]); plumes
//! tuck behind each other in order ([`weave`]). A motif is a spine, a silhouette on either side, and where it begins and ends.

pub mod arm;
pub mod back;
pub mod centre;
pub mod feet;
pub mod guide;
pub mod heads;
pub mod heart;
pub mod hull;
pub mod ring;
pub mod vine;
pub mod weave;

#[cfg(test)]
mod tests;

use back::Family;
use feet::Ask;
use guide::Guide;

use crate::base::units::{Units, show_length};
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The narrowest plume that can be sewn, mm from head to head: four stitches round a head.
const NARROWEST_MM: f64 = 4.0;

/// How wide, steep, full and curled plumes are.
#[derive(Debug, Clone)]
pub struct Look {
    /// From one head to the next, mm.
    pub width: f64,
    /// Between back and spine, radians.
    angle: f64,
    /// How far apart heads stand, in sums of their radii.
    closeness: f64,
    family: Family,
}

impl Look {
    /// Plumes this wide, mm, and otherwise as asked for.
    #[must_use]
    pub fn new(settings: &Settings, width: f64) -> Self {
        Self {
            width,
            angle: settings.number("angle").to_radians(),
            closeness: 1.0 / settings.number("fullness"),
            family: Family::new(settings.number("curl")),
        }
    }

    /// Plumes as asked for, or the nearest width that draws well here, from the first to the second of `range`, mm; which is noted.
    ///
    /// # Errors
    /// [`DrawError::NoRoom`] if they would be too narrow to sew.
    fn fitted(
        settings: &Settings,
        range: [f64; 2],
        what: &str,
        drawing: &mut Drawing,
    ) -> Result<Self, DrawError> {
        let [least, most] = [range[0].max(NARROWEST_MM), range[1]];
        let asked = settings.number("plume");
        if most < least {
            let why = format!(
                "there is room for plumes {most:.1} mm wide and they have to be {least:.1} mm to be sewn; ask for a larger \
                 block or a smaller margin"
            );
            return Err(no_room(what, why));
        }
        let width = asked.clamp(least, most);
        if (width - asked).abs() > 0.02 * asked {
            let told = |mm: f64| show_length(mm, Units::Inches);
            drawing.sized(width / asked);
            drawing.notes.push(format!(
                "The plumes are {} wide: this block takes plumes from {} to {}.",
                told(width),
                told(least),
                told(most)
            ));
        }
        Ok(Self::new(settings, width))
    }

    /// Between back and spine, radians.
    #[must_use]
    pub fn angle(&self) -> f64 {
        self.angle
    }

    /// The backs.
    #[must_use]
    pub fn family(&self) -> &Family {
        &self.family
    }

    /// What is asked of feet on `spine`.
    #[must_use]
    pub fn ask<'a>(&'a self, spine: &'a Guide) -> Ask<'a> {
        Ask { spine, family: &self.family, angle: self.angle }
    }
}

/// The error for plumes that find no room, with what to change.
fn no_room(what: &str, why: impl Into<String>) -> DrawError {
    DrawError::NoRoom { motif: what.to_owned(), why: why.into() }
}
