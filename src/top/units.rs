//! Where a motif's unit (petal, plume, spacing) is not the same all over the quilt: which piece could not keep it, and why.

use super::Work;
use crate::base::units::show_length;
use crate::survey::remedy::Warning;

/// A unit further than this from the quilt's is told: a tenth, as much as hardly shows.
pub const UNIT_TOLD: f64 = 0.1;

/// One sentence for each piece whose motif has another size than asked for everywhere, where that motif occurs more than once.
#[must_use]
pub fn apart(work: &Work) -> Vec<Warning> {
    let mut told: Vec<Warning> = Vec::new();
    for (design, made) in work.layout.designs.iter().zip(&work.made) {
        let (chosen, stretch) = (&design.chosen, made.whole.drawing.off());
        let Some(scale) = &chosen.motif.scale else { continue };
        let others = work.layout.designs.iter().filter(|d| d.chosen.motif.name == chosen.motif.name);
        if stretch <= UNIT_TOLD || others.count() < 2 {
            continue;
        }
        let place = design.place.to_string();
        let asked = show_length(chosen.settings.number(scale), work.quilt.units);
        let words = format!(
            "{} cannot keep its {scale} of {asked} there, as only whole repeats fit: it is {:.0} % off; ask for a {scale} \
             that divides its size.",
            chosen.motif.name,
            stretch * 100.0
        );
        let words = Warning::of(&[&place], words);
        if !told.iter().any(|known| known.pieces == words.pieces) {
            told.push(words);
        }
    }
    told
}
