//! The words for what stitches are held against: hoop, batting, thickness, speed, bobbin.

use thrice::survey::estimate::{self, Pace};
use thrice::survey::hoop::Hoop;
use thrice::survey::{Sandwich, batting, loft};

use super::words::{length, typed};

/// What the stitches are held against.
#[derive(clap::Args)]
pub struct SandwichArgs {
    /// Sewing field of the hoop, such as 200x200mm; a design that does not fit is refused
    #[arg(long, value_name = "FIELD")]
    hoop: Option<String>,
    /// Batting, for the widest gap it allows; the figure on its label is better, with --gap
    #[arg(long, value_name = "NAME", conflicts_with = "gap")]
    batting: Option<String>,
    /// Widest gap that the batting's label allows
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true, value_parser = length)]
    gap: Option<f64>,
    /// Thickness of the three layers, sewn down
    #[arg(long, value_name = "LENGTH", default_value = "1.5mm", allow_hyphen_values = true, value_parser = length)]
    thickness: f64,
    /// Stitches a minute
    #[arg(long, value_name = "COUNT", default_value_t = estimate::DEFAULT_SPEED)]
    speed: f64,
    /// Thread on a bobbin
    #[arg(long, value_name = "METRES", default_value = "100m", allow_hyphen_values = true)]
    bobbin: String,
}

impl SandwichArgs {
    /// The batting that was named.
    pub fn batting(&self) -> Option<&str> {
        self.batting.as_deref()
    }

    /// True if the label's figure was given.
    pub fn has_gap(&self) -> bool {
        self.gap.is_some()
    }

    /// How high the batting lifts the cloth in pictures, mm.
    pub fn loft_mm(&self) -> f64 {
        loft::loft_mm(self.batting.as_deref(), self.thickness)
    }

    /// What the stitches are held against.
    ///
    /// # Errors
    /// If a field, a batting or a bobbin cannot be read, or the pace cannot be.
    pub fn sandwich(&self) -> anyhow::Result<Sandwich> {
        let gap_limit_mm = match (self.gap, &self.batting) {
            (Some(gap), _) => gap,
            (None, Some(name)) => batting::find(name).map_err(typed)?.gap_mm,
            (None, None) => batting::UNKNOWN.gap_mm,
        };
        let hoop: Option<Hoop> = self.hoop.as_deref().map(str::parse).transpose().map_err(typed)?;
        let bobbin_m = estimate::read_bobbin(&self.bobbin).map_err(typed)?;
        let pace = Pace { speed_per_minute: self.speed, thickness_mm: self.thickness, bobbin_m };
        estimate::check(&pace).map_err(typed)?;
        Ok(Sandwich { gap_limit_mm, hoop, pace })
    }
}
