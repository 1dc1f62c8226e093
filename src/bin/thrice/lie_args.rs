//! The words for the block that a machine file is held against, and how it lies there.

use kurbo::Vec2;
use thrice::base::units::Units;
use thrice::block::Block;

use super::machine_file::place;
use super::reading::Files;
use super::shape_args::ShapeArgs;
use super::words::length;

/// The block, and where the design lies in it.
#[derive(clap::Args)]
pub struct LieArgs {
    #[command(flatten)]
    shape: ShapeArgs,
    /// Where the design's centre lies in the block, across and up from its centre, such as 1/2in,0in
    #[arg(long, value_name = "ACROSS,UP", allow_hyphen_values = true, value_parser = place)]
    at: Option<Vec2>,
    /// Kept clear inside the seam
    #[arg(long, value_name = "LENGTH", default_value = "1/4in", allow_hyphen_values = true, value_parser = length)]
    pub margin: f64,
}

impl LieArgs {
    /// The block, if one was asked for.
    ///
    /// # Errors
    /// If its sizes give no block, or nothing is left of it inside the margin.
    pub fn block(&self, files: Files<'_>) -> anyhow::Result<Option<Block>> {
        self.shape.block_if_given(self.margin, files)
    }

    /// Where the design's centre lies in the block, from its centre.
    pub fn at(&self) -> Vec2 {
        self.at.unwrap_or_default()
    }

    /// The unit that was typed.
    pub fn units(&self) -> Units {
        self.shape.units()
    }
}
