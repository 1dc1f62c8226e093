//! The words for how a design is sewn: its margin, its stitches, its ties, and what they are held against.

use thrice::stitches::{STEP_RANGE_MM, SewError, SewOptions};

use super::sandwich_args::SandwichArgs;
use super::words::{length, typed};

/// How a design is sewn, and what it is held against.
#[derive(clap::Args)]
pub struct SewnArgs {
    /// Kept clear inside the seam
    #[arg(long, value_name = "LENGTH", default_value = "1/4in", allow_hyphen_values = true, value_parser = length)]
    pub margin: f64,
    /// Target stitch length
    #[arg(long, value_name = "LENGTH", default_value = "2.5mm", allow_hyphen_values = true, value_parser = length)]
    pub stitch: f64,
    /// Leave out the small stitches that secure the thread
    #[arg(long)]
    pub no_ties: bool,
    #[command(flatten)]
    pub held: SandwichArgs,
}

impl SewnArgs {
    /// The stitches that were asked for.
    ///
    /// # Errors
    /// If the stitch length is out of range.
    pub fn sew(&self) -> anyhow::Result<SewOptions> {
        let step_mm = self.stitch;
        if !STEP_RANGE_MM.contains(&step_mm) {
            return Err(typed(SewError::StepOutOfRange { step_mm }));
        }
        Ok(SewOptions { step_mm, ties: !self.no_ties, ..SewOptions::default() })
    }
}
