//! Hoopings → what the whole quilt takes: minutes, thread, bobbins, and how often each file is sewn.

use super::hoopings::Hooping;
use super::sewing::Sewn;
use crate::survey::estimate::{self, Pace};

/// What the quilt takes.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Totals {
    /// How often the quilt is hooped.
    pub hoopings: usize,
    /// Machine files.
    pub files: usize,
    /// How often the needle goes down.
    pub penetrations: usize,
    /// Lines, each once, m.
    pub drawn_m: f64,
    /// Minutes at the machine, without hooping and bobbin changes.
    pub minutes: f64,
    /// Needle thread to have at hand, waste included, m.
    pub needle_thread_m: f64,
    /// Bobbin thread to have at hand, waste included, m.
    pub bobbin_thread_m: f64,
    /// Bobbins, rounded up over the whole quilt.
    pub bobbins: u32,
}

/// Adds everything up.
#[must_use]
pub fn add_up(sewn: &[Sewn], hoopings: &[Hooping], pace: &Pace) -> Totals {
    let mut totals = Totals { hoopings: hoopings.len(), files: sewn.len(), ..Totals::default() };
    for hooping in hoopings {
        let piece = &sewn[hooping.sewn].piece;
        let estimate = &piece.survey.estimate;
        totals.penetrations += piece.survey.steps.penetrations;
        totals.drawn_m += piece.route.drawn_mm / 1000.0;
        totals.minutes += estimate.minutes;
        totals.needle_thread_m += estimate.needle_thread_m;
        totals.bobbin_thread_m += estimate.bobbin_thread_m;
    }
    totals.bobbins = estimate::bobbins(totals.bobbin_thread_m, pace.bobbin_m);
    totals
}
