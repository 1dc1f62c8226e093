//! Steps → minutes at the machine, thread for needle and bobbin, and bobbins.
//!
//! Thread follows the rectangle model of the lockstitch (stitch class 301): C = 2 + 2·T·S lengths of thread for a
//! length of seam, T the thickness sewn down and S the stitches in that length, published [41] [42]. With N the
//! length of one stitch that is N + T of needle thread and N + T of bobbin thread a stitch, half each: the two interlace midway in stitch type 301 [208] [44].
//! Limits: tension shifts thread from one side to the other, so that embroidery tension draws less from the bobbin than
//! is said here; the balanced figure is the safe side for planning bobbins.

use super::SurveyError;
use super::needle::Run;
use crate::base::tolerance::ceil_guarded;
use crate::base::units::MM_PER_INCH;

/// Added to the thread for tails and threading: 15 %, where 10–15 % and 15–20 % are published [47] [48].
pub const WASTE: f64 = 0.15;
/// What a jump costs, seconds: slowing down, trimming, starting again. 6–20 s are published for a stop [83].
pub const JUMP_S: f64 = 10.0;
/// Speeds that are taken at their word, stitches a minute: home machines rarely leave 400–1,000.
pub const SPEED_MIN: f64 = 50.0;
/// See [`SPEED_MIN`].
pub const SPEED_MAX: f64 = 2000.0;
/// Without a word from her, stitches a minute: 600–800 is advised for hooped quilting, published [81].
pub const DEFAULT_SPEED: f64 = 600.0;
/// The thinnest sandwich, sewn down, that is taken at its word, mm: two thin cottons with next to nothing between, from
/// memory.
pub const THICKNESS_MIN_MM: f64 = 0.3;
/// The thickest sandwich, sewn down, that is taken at its word, mm.
pub const THICKNESS_MAX_MM: f64 = 20.0;
/// Without a word from her, mm: 1–2 mm for low loft sewn down, from memory.
pub const DEFAULT_THICKNESS_MM: f64 = 1.5;
/// So much of every bobbin is not counted on, as a part of it: what is on it differs from winding to winding, and its end is too
/// short to be caught. Common practice, no source.
pub const RESERVE: f64 = 0.1;
/// The least thread on a bobbin that is taken at its word, m.
pub const BOBBIN_MIN_M: f64 = 5.0;
/// The most thread on a bobbin that is taken at its word, m.
pub const BOBBIN_MAX_M: f64 = 1000.0;
/// Without a word from her, m: pre-wound flat bobbins hold 119–141 m, published [66]; wound at home they hold less.
pub const DEFAULT_BOBBIN_M: f64 = 100.0;
const M_PER_YARD: f64 = 36.0 * MM_PER_INCH / 1000.0;

/// What the figures are worked out from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// Stitches a minute.
    pub speed_per_minute: f64,
    /// The three layers as sewn down, mm.
    pub thickness_mm: f64,
    /// Thread on one bobbin, m.
    pub bobbin_m: f64,
}

/// What a design takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Minutes at the machine, without hooping and bobbin changes.
    pub minutes: f64,
    /// Needle thread to have at hand, [`WASTE`] included, m.
    pub needle_thread_m: f64,
    /// Bobbin thread to have at hand, [`WASTE`] included, m.
    pub bobbin_thread_m: f64,
    /// Bobbins, [`RESERVE`] left on each, rounded up.
    pub bobbins: u32,
}

impl Default for Pace {
    fn default() -> Self {
        Pace {
            speed_per_minute: DEFAULT_SPEED,
            thickness_mm: DEFAULT_THICKNESS_MM,
            bobbin_m: DEFAULT_BOBBIN_M,
        }
    }
}

/// Works out minutes, thread and bobbins for `runs`, ties included.
///
/// # Errors
/// [`SurveyError::SpeedOutOfRange`], [`SurveyError::ThicknessOutOfRange`] or [`SurveyError::BobbinOutOfRange`] if `pace`
/// is not to be believed.
pub fn estimate(runs: &[Run], pace: &Pace) -> Result<Estimate, SurveyError> {
    check(pace)?;
    let sewn: Vec<&Run> = runs.iter().filter(|r| !r.points.is_empty()).collect();
    let penetrations: usize = sewn.iter().map(|r| r.points.len()).sum();
    let steps = sewn.iter().flat_map(|r| r.steps()).map(|(a, b)| a.distance(b));
    let thread_m = seam_thread_mm(steps, pace.thickness_mm) * (1.0 + WASTE) / 1000.0;
    Ok(Estimate {
        minutes: minutes(penetrations, sewn.len().saturating_sub(1), pace.speed_per_minute),
        needle_thread_m: thread_m,
        bobbin_thread_m: thread_m,
        bobbins: bobbins(thread_m, pace.bobbin_m),
    })
}

/// Thread that steps of these lengths take on each side of the layers, no waste counted, mm: N + T a stitch.
pub fn seam_thread_mm(steps_mm: impl Iterator<Item = f64>, thickness_mm: f64) -> f64 {
    steps_mm.map(|n| n + thickness_mm).sum()
}

/// Minutes for so many needle holes and jumps.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "counts of stitches are far below 2^52")]
pub fn minutes(penetrations: usize, jumps: usize, speed_per_minute: f64) -> f64 {
    penetrations as f64 / speed_per_minute + jumps as f64 * JUMP_S / 60.0
}

/// What is counted on of a bobbin that holds `bobbin_m`, m.
#[must_use]
pub fn usable(bobbin_m: f64) -> f64 {
    bobbin_m * (1.0 - RESERVE)
}

/// Bobbins of `bobbin_m` that hold `thread_m`, [`RESERVE`] left on each.
#[must_use]
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; neither is negative")]
pub fn bobbins(thread_m: f64, bobbin_m: f64) -> u32 {
    ceil_guarded(thread_m / usable(bobbin_m)).max(0.0) as u32
}

/// Reads the thread on a bobbin, `100m` or `120yd`, as metres.
///
/// # Errors
/// [`SurveyError::BobbinNotRead`] without a number or one of these units, [`SurveyError::BobbinOutOfRange`] for a
/// number that no bobbin holds.
pub fn read_bobbin(text: &str) -> Result<f64, SurveyError> {
    let not_read = || SurveyError::BobbinNotRead { text: text.trim().into() };
    let (number, unit) = text
        .trim()
        .split_at(text.trim().find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.trim().len()));
    let number: f64 = number.parse().map_err(|_| not_read())?;
    let bobbin_m = match unit.trim().to_lowercase().as_str() {
        "m" | "metres" | "meters" => number,
        "yd" | "yds" | "yards" => number * M_PER_YARD,
        _ => return Err(not_read()),
    };
    check_bobbin(bobbin_m)?;
    Ok(bobbin_m)
}

/// Refuses a pace that cannot be.
///
/// # Errors
/// [`SurveyError::SpeedOutOfRange`], [`SurveyError::ThicknessOutOfRange`] and [`SurveyError::BobbinOutOfRange`].
pub fn check(pace: &Pace) -> Result<(), SurveyError> {
    let (speed, thickness_mm) = (pace.speed_per_minute, pace.thickness_mm);
    if !(SPEED_MIN..=SPEED_MAX).contains(&speed) {
        return Err(SurveyError::SpeedOutOfRange { speed });
    }
    if !(THICKNESS_MIN_MM..=THICKNESS_MAX_MM).contains(&thickness_mm) {
        return Err(SurveyError::ThicknessOutOfRange { thickness_mm });
    }
    check_bobbin(pace.bobbin_m)
}

fn check_bobbin(bobbin_m: f64) -> Result<(), SurveyError> {
    if (BOBBIN_MIN_M..=BOBBIN_MAX_M).contains(&bobbin_m) {
        Ok(())
    } else {
        Err(SurveyError::BobbinOutOfRange { bobbin_m })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    /// Total thread of `count` steps of `step`, in the unit of the steps.
    fn total(count: usize, step: f64, thickness: f64) -> f64 {
        2.0 * seam_thread_mm(std::iter::repeat_n(step, count), thickness)
    }

    #[test]
    fn an_inch_of_ten_stitches_takes_the_published_thread() {
        // T 0.010 in, S 10/in: 2.2 in per in [41]; T 0.025 in: 2.5 in per in [42].
        assert!((total(10, 0.1, 0.010) - 2.2).abs() < 1e-9);
        assert!((total(10, 0.1, 0.025) - 2.5).abs() < 1e-9);
    }

    #[test]
    fn a_seam_at_the_common_ratio_takes_half_its_thread_from_the_bobbin() {
        // Ratio 2.5 over 220 cm: 550 cm in all, 275 from the needle and 275 from the bobbin [54].
        let (stitches, step_cm) = (880, 0.25);
        let each = seam_thread_mm(std::iter::repeat_n(step_cm, stitches), 0.0625);
        assert!((each - 275.0).abs() < 1e-9, "{each}");
        assert!((total(stitches, step_cm, 0.0625) - 550.0).abs() < 1e-9);
    }

    #[test]
    fn a_metre_in_triple_stitch_takes_four_and_a_half_metres_each() {
        // N 3 mm, T 1.5 mm: 3·(1 + T/N) = 4.5 m each, 9.0 m in all (derived from [41]); 1 m is 333 1/3 stitches.
        let each_m = 3.0 * seam_thread_mm(std::iter::repeat_n(3.0, 1000), 1.5) / 3.0 / 1000.0;
        assert!((each_m - 4.5).abs() < 1e-9, "{each_m}");
        assert!((3.0 * total(1000, 3.0, 1.5) / 3.0 / 1000.0 - 9.0).abs() < 1e-9);
    }

    #[test]
    fn ten_thousand_stitches_take_fourteen_minutes() {
        // 10,000 at 700 a minute: 14.29 min [82].
        assert!((minutes(10_000, 0, 700.0) - 14.29).abs() < 0.01);
        assert!((minutes(600, 3, 600.0) - 1.5).abs() < 1e-9);
    }

    #[test]
    fn a_bobbin_is_read_in_metres_and_yards() {
        assert_eq!(read_bobbin("100m"), Ok(100.0));
        assert_eq!(read_bobbin(" 62.5 m "), Ok(62.5));
        // A flat pre-wound bobbin holds 130–154 yd, 118.9–140.8 m [66].
        assert!((read_bobbin("130yd").unwrap() - 118.9).abs() < 0.1);
        assert!((read_bobbin("154 yards").unwrap() - 140.8).abs() < 0.1);
        for text in ["", "100", "m", "a lot", "100mm", "1e2m", "NaN m", "1.2.3m", "-5m"] {
            assert!(matches!(read_bobbin(text), Err(SurveyError::BobbinNotRead { .. })), "{text}");
        }
        for text in ["0m", "5000m"] {
            assert!(matches!(read_bobbin(text), Err(SurveyError::BobbinOutOfRange { .. })), "{text}");
        }
    }

    #[test]
    fn bobbins_are_rounded_up_with_a_tenth_in_reserve() {
        assert_eq!([0.0, 89.9, 90.0, 90.1, 99.9].map(|m| bobbins(m, 100.0)), [0, 1, 1, 2, 2]);
        assert_eq!(bobbins(59.5, 60.0), 2);
    }

    #[test]
    fn a_design_is_added_up_with_its_ties_and_jumps() {
        let points: Vec<Point> = (0..=100).map(|i| Point::new(3.0 * f64::from(i), 0.0)).collect();
        let run = Run { points: &points, tie_in: 3, tie_off: 3 };
        let pace = Pace { speed_per_minute: 606.0, thickness_mm: 1.5, bobbin_m: 1000.0 };
        let got = estimate(&[run; 6], &pace).unwrap();
        // 606 holes are one minute, five jumps 50 s; 600 steps of 3 mm take 600·4.5 mm and 15 % more.
        assert!((got.minutes - (1.0 + 50.0 / 60.0)).abs() < 1e-9);
        assert!((got.needle_thread_m - 3.105).abs() < 1e-9 && (got.bobbin_thread_m - 3.105).abs() < 1e-9);
        assert_eq!(got.bobbins, 1);
    }

    #[test]
    fn a_pace_that_cannot_be_is_refused() {
        for bad in [f64::NAN, -1.0, 1e9] {
            let with = |pace: Pace| estimate(&[], &pace);
            let usual = Pace::default();
            assert!(matches!(
                with(Pace { speed_per_minute: bad, ..usual }),
                Err(SurveyError::SpeedOutOfRange { .. })
            ));
            assert!(matches!(
                with(Pace { thickness_mm: bad, ..usual }),
                Err(SurveyError::ThicknessOutOfRange { .. })
            ));
            assert!(matches!(
                with(Pace { bobbin_m: bad, ..usual }),
                Err(SurveyError::BobbinOutOfRange { .. })
            ));
        }
        let thin = |thickness_mm: f64| estimate(&[], &Pace { thickness_mm, ..Pace::default() });
        assert_eq!(
            thin(0.0).unwrap_err().to_string(),
            "a thickness of 0 mm cannot be sewn; sewn down, three layers are 0.3 to 20 mm thick"
        );
        assert!(thin(0.29).is_err() && thin(THICKNESS_MIN_MM).is_ok());
    }
}
