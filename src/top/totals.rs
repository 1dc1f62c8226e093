//! Hoopings → what the whole quilt takes: minutes at the machine and beside it, thread, bobbins.

use super::file::Quilt;
use super::hoopings::Hooping;
use super::sewing::Sewn;
use crate::base::tolerance::ceil_guarded;
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

/// How few hoopings there can be, of the whole quilt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Least {
    /// How many were planned, those that are sewn already included.
    pub planned: usize,
    /// No fewer hold all pieces, and the parts of large ones as they are cut, with the quilt lying as it may.
    pub bound: usize,
    /// Whether the quilt may lie at 45° besides straight.
    pub aslant: bool,
    /// Whether some pieces are hooped by themselves because that was asked for.
    pub alone: bool,
}

impl Least {
    /// What is said behind the number of hoopings that are left: of how many, or whether fewer would do.
    #[must_use]
    pub fn told(&self, left: usize) -> String {
        let lies = if self.aslant { "straight or at 45° in the hoop" } else { "straight in the hoop" };
        let alone = if self.alone { " and pieces by themselves where asked" } else { "" };
        let (planned, bound) = (self.planned, self.bound);
        match () {
            () if left != planned => format!("left of {planned}"),
            () if planned == bound => format!("(the fewest for these pieces, with the quilt {lies}{alone})"),
            () => format!("(at least {bound} are needed for these pieces, with the quilt {lies}{alone})"),
        }
    }
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

/// How many new bobbins each hooping takes: one before it where what is on the bobbin would not last, its reserve kept, and more
/// where a whole bobbin does not.
#[must_use]
pub fn changes(sewn: &[Sewn], hoopings: &[Hooping], pace: &Pace) -> Vec<u32> {
    let full = estimate::usable(pace.bobbin_m);
    let mut left = full;
    let needs = hoopings.iter().map(|h| sewn[h.sewn].piece.survey.estimate.bobbin_thread_m);
    needs.map(|need| run_out(need, &mut left, full)).collect()
}

/// The new bobbins for what a hooping needs, `full` counted on of each.
fn run_out(need: f64, left: &mut f64, full: f64) -> u32 {
    if need <= *left {
        *left -= need;
        return 0;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "saturates; neither is negative"
    )]
    let whole = (ceil_guarded(need / full) as u32).max(1);
    let fresh = *left >= full;
    *left = (f64::from(whole) * full - need).max(0.0);
    if fresh { whole - 1 } else { whole }
}

#[cfg(test)]
mod tests {
    use super::{Least, run_out};

    #[test]
    fn what_is_left_is_said_of_how_many_and_never_to_be_the_fewest() {
        let least = Least { planned: 20, bound: 20, aslant: false, alone: false };
        assert_eq!(least.told(20), "(the fewest for these pieces, with the quilt straight in the hoop)");
        assert_eq!(least.told(6), "left of 20");
        let open = Least { bound: 18, aslant: true, alone: true, ..least };
        let words = "(at least 18 are needed for these pieces, with the quilt straight or at 45° in the hoop and pieces by \
                     themselves where asked)";
        assert_eq!((open.told(20).as_str(), open.told(18).as_str()), (words, "left of 20"));
    }

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
