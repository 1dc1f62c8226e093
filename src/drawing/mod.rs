//! [`Block`] + [`Motif`] + [`Settings`] → [`Drawing`]: the motif's lines as curves, fitted to the inner outline.
//!
//! A drawing knows nothing of thread: no passes, no steps, no order. Every line stays inside the inner outline; where a
//! motif runs off it, its lines end on it.

pub mod background;
pub mod construction;
pub mod constructions;
pub mod corner;
pub mod family;
pub mod library;
pub mod mapped;
pub mod motif;
pub mod own;
pub mod ranges;
pub mod repeated;
pub mod settings;

use kurbo::BezPath;

use crate::block::Block;
use crate::block::pose::Pose;
use crate::block::suit::Suit;
use constructions::counts::Fit;
use motif::Motif;
use settings::Settings;

/// A motif's lines, fitted to one block; mm, block centre at 0,0.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawing {
    /// The lines: one subpath each, open or closed. They may cross, touch and run over each other.
    pub lines: Vec<BezPath>,
    /// How far the fit had to stretch the motif's shape: 0.1 is 10 %.
    pub stretch: f64,
    /// How much larger than asked for its repeats came out: 0.1 is 10 % larger, −0.1 10 % smaller.
    pub grown: f64,
    /// What she should know about this fit. Whole sentences.
    pub notes: Vec<String>,
}

impl Drawing {
    /// How far it is from what was asked for, in shape or in size: 0.1 is 10 %.
    #[must_use]
    pub fn off(&self) -> f64 {
        self.stretch.max(self.grown.abs())
    }

    /// Takes in that repeats came out so many times as large as asked for.
    pub fn sized(&mut self, times: f64) {
        self.fitted(Fit { stretch: 0.0, grown: times - 1.0 });
    }

    /// Takes in how a part of it came out; the worst is kept.
    pub fn fitted(&mut self, fit: Fit) {
        self.stretch = self.stretch.max(fit.stretch);
        if fit.grown.abs() > self.grown.abs() {
            self.grown = fit.grown;
        }
    }
}

/// Why a motif cannot be drawn in a block.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DrawError {
    /// The motif is not made for this kind of shape.
    #[error("{motif} does not suit a {shape}; it suits {suits}")]
    Unsuited {
        /** The motif. */
        motif: String,
        /** The kind of shape. */
        shape: &'static str,
        /** What it suits. */
        suits: String,
    },
    /// The motif cannot fill what another leaves open.
    #[error(
        "{motif} cannot be a background; take a motif that suits any shape, such as cross-hatch, echo or stipple"
    )]
    NoBackground {
        /** The motif. */
        motif: String,
    },
    /// More than is drawn in one block.
    #[error(
        "{motif} has {cells:.0} cells in this block, more than the {most:.0} that are drawn at once; ask for a larger {setting}, \
         or a smaller block"
    )]
    TooMany {
        /** The motif. */
        motif: String,
        /** How many cells it would have. */
        cells: f64,
        /** The most that are drawn. */
        most: f64,
        /** The setting that sets their size. */
        setting: String,
    },
    /// There is no room for it.
    #[error("{motif} does not fit: {why}")]
    NoRoom {
        /** The motif's construction or name. */
        motif: String,
        /** What is too small, with the number, and what to change. */
        why: String,
    },
}

/// Draws `motif` to measure inside `block`, turned and mirrored as asked.
///
/// # Errors
/// As [`draw`], for the block as it is seen from the turned motif.
pub fn draw_posed(
    motif: &Motif,
    settings: &Settings,
    block: &Block,
    pose: Pose,
) -> Result<Drawing, DrawError> {
    if pose == Pose::default() {
        return draw(motif, settings, block);
    }
    let drawn = draw(motif, settings, &block.posed(pose))?;
    let lines = drawn.lines.iter().map(|line| pose.to_block() * line.clone()).collect();
    Ok(Drawing { lines, ..drawn })
}

/// Refuses a motif that is not made for a kind of shape.
///
/// # Errors
/// [`DrawError::Unsuited`] with what it suits.
pub fn admit(motif: &Motif, suit: Suit) -> Result<(), DrawError> {
    if motif.suits(suit) {
        return Ok(());
    }
    let suits: Vec<&str> = motif.suits.iter().map(|s| s.word()).collect();
    Err(DrawError::Unsuited { motif: motif.name.clone(), shape: suit.word(), suits: suits.join(", ") })
}

/// Draws `motif` to measure inside `block`.
///
/// # Errors
/// [`DrawError::Unsuited`] if the motif is not made for this kind of shape, [`DrawError::TooMany`] if the block is too large
/// for the settings, [`DrawError::NoRoom`] if the inner outline is
/// too small for the settings.
pub fn draw(motif: &Motif, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let suit = block.shape.suit();
    admit(motif, suit)?;
    let needs = motif.construction.needs();
    let drawn_with = (settings, motif.path_data);
    if let Some((cells, most)) = ranges::too_many_cells(motif.construction.word(), &needs, drawn_with, block)
    {
        let setting = needs.first().map(|(name, _)| name.clone()).unwrap_or_default();
        return Err(DrawError::TooMany { motif: motif.name.clone(), cells, most, setting });
    }
    if suit == Suit::Corner {
        return corner::draw(motif, settings, block, None);
    }
    motif.construction.draw(settings, block)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;

    #[test]
    fn settings_past_what_makes_a_difference_are_told() {
        let motifs = library::read_all(&[]).unwrap();
        let notes = |name: &str, asked: &str| {
            let motif = library::find(&motifs, name).unwrap();
            let settings = settings::resolve(name, &motif.settings, &[asked.to_owned()]).unwrap();
            let square = outline(&Shape::Square { side: 203.2 }, 6.35).unwrap();
            draw(motif, &settings, &square).unwrap().notes
        };
        let row = "One row of 7 1/2 in (190.5 mm) fills it; a row above that makes no difference.";
        assert_eq!(notes("ribbon", "row=12in"), [row]);
        assert_eq!(notes("ribbon", "row=7in"), Vec::<String>::new());
        // Three patches of 2 1/2 in: a quarter circle rises (√2 − 1) / 2 of that, 13.15 mm.
        let rise = notes("continuous-curve", "rise=1in");
        assert!(
            rise.len() == 1 && rise[0].starts_with("Arcs rise about 1/2 in (13.1 mm) at most"),
            "{rise:?}"
        );
        assert_eq!(notes("continuous-curve", "rise=1/2in"), Vec::<String>::new());
    }
}
