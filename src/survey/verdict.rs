//! A design from elsewhere → [`Verdict`]: whether it suits three layers, and why.
//!
//! What suits: running lines only, each gone over three times, steps of 1 to 5 mm, no jumps, no thread piled up. Fill
//! and satin do not suit three layers: they stiffen the quilt and pull it in. All else can be mended or lived with.
//! Common practice, no source.

use super::kind::{self, Kind};
use super::warnings::{NOT_CHECKED, warnings};
use super::{Survey, SurveyError, needle};
use crate::base::units::Units;
use crate::stitches::Stitches;

/// Zig-zags above this part of all steps are satin, not corners.
pub const ZIGZAG_LIMIT: f64 = 0.05;
/// Filled patches above this part of the line are a fill, not a crossing.
pub const FILLED_LIMIT: f64 = 0.10;
/// A design is triple if at least this part of its line is sewn three or four times; four where a line is walked twice.
pub const TRIPLE_PART: f64 = 0.80;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// As it should be.
    Good,
    /// To be mended or lived with.
    Care,
    /// Not for three layers.
    Against,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it weighs.
    pub weight: Weight,
    /// A whole sentence with its numbers.
    pub sentence: String,
}

/// Whether a design suits three layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The weightiest of the findings.
    pub weight: Weight,
    /// What was found, first the kind of stitching, then the passes, then the survey's warnings.
    pub findings: Vec<Finding>,
}

impl Verdict {
    /// The verdict in one sentence.
    #[must_use]
    pub fn sentence(&self) -> &'static str {
        match self.weight {
            Weight::Good => "The design suits three layers.",
            Weight::Care => "The design can be sewn through three layers; mind what is said above.",
            Weight::Against => "The design does not suit three layers.",
        }
    }
}

/// Judges `stitches`, of which `survey` is the survey.
///
/// # Errors
/// [`SurveyError::BadPoint`] for a needle point that is no number.
pub fn judge(stitches: &Stitches, survey: &Survey, units: Units) -> Result<Verdict, SurveyError> {
    let kind = kind::tell(&needle::runs(stitches)?);
    let mut findings = vec![stitching(&kind), passes(&kind)];
    let care = |sentence| Finding { weight: Weight::Care, sentence };
    // Which hoop it is sewn in says nothing of the stitches.
    let said = warnings(survey, 0.0, units).into_iter().filter(|sentence| sentence != NOT_CHECKED);
    findings.extend(said.map(care));
    let weight = findings.iter().map(|f| f.weight).max().unwrap_or(Weight::Good);
    Ok(Verdict { weight, findings })
}

fn stitching(kind: &Kind) -> Finding {
    let (weight, sentence) = if kind.zigzag > ZIGZAG_LIMIT {
        let part = percent(kind.zigzag);
        (
            Weight::Against,
            format!("Satin: {part} of the steps go to and fro; it draws three layers together."),
        )
    } else if kind.filled > FILLED_LIMIT {
        let part = percent(kind.filled);
        (
            Weight::Against,
            format!(
                "Fill: {part} of the line lies in rows too close for a quilt; it turns three layers stiff."
            ),
        )
    } else {
        (Weight::Good, "Running stitches only.".into())
    };
    Finding { weight, sentence }
}

fn passes(kind: &Kind) -> Finding {
    let (once, triple, more) = (kind.sewn(1, 2), kind.sewn(3, 4), kind.sewn(5, usize::MAX));
    let (weight, sentence) = if triple >= TRIPLE_PART {
        (Weight::Good, format!("Triple: {} of the line is sewn three or four times.", percent(triple)))
    } else if once >= more {
        let part = percent(once);
        (
            Weight::Care,
            format!(
                "Only {} of the line is triple, {part} is sewn once or twice; refit it to make it triple.",
                percent(triple)
            ),
        )
    } else {
        (Weight::Care, format!("{} of the line is sewn five times or more; thread piles up.", percent(more)))
    };
    Finding { weight, sentence }
}

fn percent(part: f64) -> String {
    format!("{:.0} %", part * 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Sandwich, survey};
    use kurbo::Point;

    fn judged(pieces: &[Vec<(f64, f64)>]) -> Verdict {
        let pieces: Vec<Vec<Point>> =
            pieces.iter().map(|piece| piece.iter().map(|p| Point::from(*p)).collect()).collect();
        let stitches = needle::sewn_through(&pieces);
        let survey = survey(&stitches, None, &Sandwich::default()).unwrap();
        judge(&stitches, &survey, Units::Inches).unwrap()
    }

    /// A wave 100 mm long in steps of about 2.5 mm.
    fn wave() -> Vec<(f64, f64)> {
        (0..=40)
            .map(|i| f64::from(i) * 2.5)
            .map(|x| (x, (10.0 * (x / 15.0).sin() * 10.0).round() / 10.0))
            .collect()
    }

    fn triple(line: &[(f64, f64)]) -> Vec<(f64, f64)> {
        std::iter::once(line[0]).chain(line.windows(2).flat_map(|w| [w[1], w[0], w[1]])).collect()
    }

    fn sentences(verdict: &Verdict) -> Vec<&str> {
        verdict.findings.iter().map(|f| f.sentence.as_str()).collect()
    }

    #[test]
    fn a_triple_running_line_suits() {
        let verdict = judged(&[triple(&wave())]);
        assert_eq!(
            sentences(&verdict),
            ["Running stitches only.", "Triple: 100 % of the line is sewn three or four times."]
        );
        assert_eq!(verdict.sentence(), "The design suits three layers.");
    }

    #[test]
    fn a_single_line_can_be_made_triple() {
        let verdict = judged(&[wave()]);
        assert_eq!(verdict.weight, Weight::Care);
        assert_eq!(
            sentences(&verdict)[1],
            "Only 0 % of the line is triple, 100 % is sewn once or twice; refit it to make it triple."
        );
    }

    #[test]
    fn a_line_gone_over_too_often_is_named() {
        let heavy: Vec<(f64, f64)> = triple(&triple(&wave()));
        let verdict = judged(&[heavy]);
        assert_eq!(verdict.weight, Weight::Care);
        assert!(
            sentences(&verdict)[1].ends_with("is sewn five times or more; thread piles up."),
            "{verdict:?}"
        );
    }

    #[test]
    fn satin_and_fill_do_not_suit() {
        let satin: Vec<(f64, f64)> =
            (0..200).map(|i| (0.2 * f64::from(i), if i % 2 == 0 { 0.0 } else { 4.0 })).collect();
        let fill: Vec<(f64, f64)> = (0..60)
            .flat_map(|row| {
                let xs = (0..=16).map(move |i| 2.5 * f64::from(if row % 2 == 0 { i } else { 16 - i }));
                xs.map(move |x| (x, 0.4 * f64::from(row)))
            })
            .collect();
        for (design, word) in [(satin, "Satin: "), (fill, "Fill: ")] {
            let verdict = judged(&[design]);
            assert_eq!(verdict.weight, Weight::Against);
            assert!(sentences(&verdict)[0].starts_with(word), "{verdict:?}");
            assert_eq!(verdict.sentence(), "The design does not suit three layers.");
        }
    }

    #[test]
    fn a_satin_border_round_a_line_is_found() {
        let satin = (0..40).map(|i| (0.2 * f64::from(i), if i % 2 == 0 { 30.0 } else { 34.0 })).collect();
        assert_eq!(judged(&[triple(&wave()), satin]).weight, Weight::Against);
    }

    #[test]
    fn jumps_and_long_steps_are_a_care() {
        let far: Vec<(f64, f64)> = triple(&[(0.0, 40.0), (7.0, 40.0)]);
        let verdict = judged(&[triple(&wave()), far]);
        assert_eq!(verdict.weight, Weight::Care);
        let said = sentences(&verdict).join(" ");
        assert!(
            said.contains("2 pieces with 1 jump") && said.contains("1 of 41 stitches are longer than 5 mm"),
            "{said}"
        );
    }
}
