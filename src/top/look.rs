//! The look that all pieces of a quilt share: one scale for all motifs, each eased as a whole to even the density.

use std::collections::BTreeMap;

use super::file::Chosen;
use crate::drawing::settings::Settings;

/// The scale that all pieces share.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// What was asked for, mm.
    pub asked_mm: Option<f64>,
    /// What it was multiplied by.
    pub factor: f64,
    /// The largest stretch of any piece at this scale, 0.1 for 10 %.
    pub worst_stretch: f64,
    /// By motif, how much coarser (above 1) or finer it is drawn to even the density: the same in every piece, so that its
    /// unit is the same all over the quilt.
    pub eased: BTreeMap<String, f64>,
}

impl Look {
    /// The settings of a motif at this scale, made `more` times as coarse.
    #[must_use]
    pub fn settings(&self, chosen: &Chosen, more: f64) -> Settings {
        let scale = chosen.motif.scale.as_ref().filter(|_| !chosen.pinned);
        let Some(setting) = scale.and_then(|s| chosen.motif.settings.iter().find(|known| known.name == *s))
        else {
            return chosen.settings.clone();
        };
        let asked = self.asked_mm.unwrap_or_else(|| chosen.settings.number(&setting.name));
        let eased = self.eased.get(&chosen.motif.name).copied().unwrap_or(1.0);
        let mm = (asked * self.factor * eased * more).clamp(setting.range.0, setting.range.1);
        chosen.settings.clone().with(&setting.name, setting.value(mm))
    }

    /// The same look at another factor.
    #[must_use]
    pub fn at(&self, factor: f64) -> Self {
        Self { factor, ..self.clone() }
    }
}
