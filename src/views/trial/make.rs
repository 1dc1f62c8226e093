//! Designs wished for → cells, each made as it would be for the machine, in parallel.

use std::borrow::Cow;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use super::{Cell, Sample, relief_of};
use crate::base::units::Units;
use crate::block::Block;
use crate::drawing::background::Background;
use crate::drawing::motif::Motif;
use crate::drawing::settings::Settings;
use crate::stitches::SewOptions;
use crate::survey::Sandwich;
use crate::tailor::{self, Design, Order};
use crate::views::relief::scenes::Stuff;
use crate::views::sewn::{self, Sewn};

/// What is the same for all designs.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// The block.
    pub block: Block,
    /// How to sew.
    pub sew: SewOptions,
    /// What the stitches are held against.
    pub sandwich: Sandwich,
    /// True if lines may travel along the inner outline.
    pub travel: bool,
    /// Cloth, thread and batting of the relief.
    pub stuff: Stuff,
    /// The unit printed first.
    pub units: Units,
}

/// One design that is wished for.
#[derive(Debug, Clone, PartialEq)]
pub struct Wish {
    /// What it is called.
    pub title: String,
    /// The motif.
    pub motif: Motif,
    /// Its settings.
    pub settings: Settings,
    /// What fills the places that it leaves open.
    pub background: Option<Background>,
}

/// Makes every design; one that cannot be made has the reason in its place.
#[must_use]
pub fn all(trial: &Trial, wishes: &[Wish]) -> Vec<Cell> {
    wishes.par_iter().map(|wish| Cell { title: wish.title.clone(), made: one(trial, wish) }).collect()
}

fn one(trial: &Trial, wish: &Wish) -> Result<Sample, String> {
    let design = Design::Motif(Box::new(wish.motif.clone()), wish.settings.clone());
    let order = Order {
        background: wish.background.clone(),
        travel: trial.travel,
        sew: trial.sew.clone(),
        sandwich: trial.sandwich,
        units: trial.units,
        ..Order::new(&wish.title, trial.block.clone(), design)
    };
    let piece = tailor::make_to_fit(order).map_err(|error| {
        let hint = error.hint().map(|hint| format!("; {hint}")).unwrap_or_default();
        sentence(&format!("{error}{hint}"))
    })?;
    // As the block lies in the quilt, however it lies in the hoop.
    let upright = Sewn {
        block: Some(Cow::Borrowed(&piece.order.block)),
        stitches: Cow::Borrowed(&piece.stitches),
        turned: false,
        ..sewn::of_piece(&piece)
    };
    let picture = sewn::picture(&upright);
    let relief = relief_of(&picture, &trial.stuff).map_err(|error| sentence(&error.to_string()))?;
    let survey = &piece.survey;
    Ok(Sample {
        picture,
        relief,
        minutes: survey.estimate.minutes,
        thread_m: survey.estimate.needle_thread_m,
        jumps: survey.jumps(),
        gap_mm: survey.gap.map(|gap| gap.widest_mm),
        held: survey.is_held(),
    })
}

/// A message as a sentence of its own.
fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first = letters.next().map(|c| c.to_uppercase().collect::<String>()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
