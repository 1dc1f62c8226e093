//! Hoopings → what the whole quilt takes: minutes at the machine and beside it, thread, bobbins.

use super::file::Quilt;
use super::hoopings::Hooping;
use super::sewing::Sewn;
use crate::survey::estimate::{self, JUMP_S, Pace};

/// For winding or fetching a bobbin and changing it, minutes: from memory.
pub const BOBBIN_MINUTES: f64 = 2.0;

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
    /// Minutes at the machine, trims within a hooping included, without hooping and bobbin changes.
    pub minutes: f64,
    /// Of these, for stopping and trimming between parts of a hooping.
    pub trim_minutes: f64,
    /// Minutes for hooping.
    pub hooping_minutes: f64,
    /// Minutes for changing bobbins.
    pub bobbin_minutes: f64,
    /// Needle thread to have at hand, waste included, m.
    pub needle_thread_m: f64,
    /// Bobbin thread to have at hand, waste included, m.
    pub bobbin_thread_m: f64,
    /// Bobbins, as they run out from hooping to hooping.
    pub bobbins: u32,
}

impl Totals {
    /// All minutes together.
    #[must_use]
    pub fn all_minutes(&self) -> f64 {
        self.minutes + self.hooping_minutes + self.bobbin_minutes
    }
}

/// Adds everything up.
#[must_use]
pub fn add_up(sewn: &[Sewn], hoopings: &[Hooping], quilt: &Quilt) -> Totals {
    let mut totals = Totals { hoopings: hoopings.len(), ..Totals::default() };
    let mut files: Vec<usize> = hoopings.iter().map(|h| h.sewn).collect();
    files.sort_unstable();
    files.dedup();
    totals.files = files.len();
    for hooping in hoopings {
        let piece = &sewn[hooping.sewn].piece;
        let estimate = &piece.survey.estimate;
        totals.penetrations += piece.survey.steps.penetrations;
        totals.drawn_m += piece.route.drawn_mm / 1000.0;
        totals.minutes += estimate.minutes;
        #[expect(clippy::cast_precision_loss, reason = "a few jumps")]
        let jumps = piece.survey.jumps() as f64;
        totals.trim_minutes += jumps * JUMP_S / 60.0;
        totals.hooping_minutes += quilt.hooping.minutes;
        totals.needle_thread_m += estimate.needle_thread_m;
        totals.bobbin_thread_m += estimate.bobbin_thread_m;
    }
    totals.bobbins =
        changes(sewn, hoopings, &quilt.pace).iter().sum::<u32>() + u32::from(!hoopings.is_empty());
    totals.bobbin_minutes = f64::from(totals.bobbins.saturating_sub(1)) * BOBBIN_MINUTES;
    totals
}

/// How many new bobbins each hooping takes: one before it where what is on the bobbin would not last, and more where a whole
/// bobbin does not.
#[must_use]
pub fn changes(sewn: &[Sewn], hoopings: &[Hooping], pace: &Pace) -> Vec<u32> {
    let mut left = pace.bobbin_m;
    let needs = hoopings.iter().map(|h| sewn[h.sewn].piece.survey.estimate.bobbin_thread_m);
    needs.map(|need| run_out(need, &mut left, pace.bobbin_m)).collect()
}

fn run_out(need: f64, left: &mut f64, full: f64) -> u32 {
    if need <= *left {
        *left -= need;
        return 0;
    }
    let whole = estimate::bobbins(need, full).max(1);
    let fresh = *left >= full;
    *left = (f64::from(whole) * full - need).max(0.0);
    if fresh { whole - 1 } else { whole }
}

#[cfg(test)]
mod tests {
    use super::run_out;

    #[test]
    fn a_bobbin_is_changed_before_it_runs_out() {
        let mut left = 100.0;
        let taken = [40.0, 40.0, 40.0, 60.0, 1.0, 250.0, 50.0].map(|need| run_out(need, &mut left, 100.0));
        // 20 left are too little for 40: a new one, which the fourth empties; 1 takes the next; 250 three more.
        assert_eq!(taken, [0, 0, 1, 0, 1, 3, 0]);
        let mut fresh = 100.0;
        assert_eq!((run_out(250.0, &mut fresh, 100.0), fresh), (2, 50.0));
    }
}
