//! A design from elsewhere → [`Verdict`]: whether it suits three layers, and why.
//!
//! What suits: running lines only, each sewn three times, steps of 1 to 5 mm, no jumps, no thread piled up. Fill
//! and satin do not suit three layers: they stiffen the quilt and pull it in. All else can be mended or lived with.
//! Common practice, no source.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Rect};

use super::holes::DISC_MM;
use super::kind::areas::{Area, Cover};
use super::kind::{self, Kind, Sewn};
use super::needle::{Hole, Run, hole, place};
use super::steps::{self, LONGEST_MM, SHORTEST_MM};
use super::warnings::{self, MOST_PASSES};
use super::{Sandwich, Survey, SurveyError, needle, survey};
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::stitches::Stitches;

/// Satin above this part of all stitches speaks against a design.
pub const SATIN_LIMIT: f64 = 0.05;
/// Filled areas above this part of the line speak against a design.
pub const FILLED_LIMIT: f64 = 0.10;
/// So many areas are told one by one.
const TOLD: usize = 6;
/// Stitches that stay in their hole, up to so many, are knots and no fault.
const KNOTS: usize = 3;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Weight {
    /// As it should be.
    #[serde(rename = "suits")]
    Good,
    /// To be mended or lived with.
    #[serde(rename = "with care")]
    Care,
    /// Not for three layers.
    #[serde(rename = "does not suit")]
    Against,
}

/// Where a fault lies.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// All over a box.
    Area(Rect),
    /// In a circle: its middle and its width, mm.
    Circle(Point, f64),
    /// On stitches, by their ends.
    Stitches(Vec<(Point, Point)>),
}

/// One thing found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it weighs.
    pub weight: Weight,
    /// A whole sentence with its numbers.
    pub sentence: String,
    /// Where it lies; `None` if it is everywhere or nowhere.
    pub mark: Option<Mark>,
}

/// Where the machine does something else than sew.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize)]
pub struct Moves {
    /// Moves to another run.
    pub jumps: usize,
    /// Moves at which it trims the thread.
    pub trims: usize,
    /// Stops for another thread.
    pub colour_stops: usize,
}

/// Whether a design suits three layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The weightiest of the findings.
    pub weight: Weight,
    /// The same without the hoop.
    pub of_stitches: Weight,
    /// What the stitching is.
    pub kind: Kind,
    /// What was found, first the kind of stitching, then the passes, then the rest.
    pub findings: Vec<Finding>,
}

impl Verdict {
    /// The verdict in one sentence.
    #[must_use]
    pub fn sentence(&self) -> &'static str {
        match self.weight {
            Weight::Against if self.of_stitches < Weight::Against => {
                "The design does not fit this hoop; take a larger hoop, or refit it to a smaller block."
            }
            Weight::Good => "The design suits three layers.",
            Weight::Care => "The design can be sewn through three layers with care; mind what is said above.",
            Weight::Against => "The design does not suit three layers.",
        }
    }
}

/// Surveys `stitches` sewn in `block`, as [`super::survey`] does, and judges them; between their runs the machine makes `moves`.
///
/// # Errors
/// Those of [`super::survey`].
pub fn judge(
    stitches: &Stitches,
    block: Option<&Block>,
    sandwich: &Sandwich,
    moves: Moves,
    units: Units,
) -> Result<(Survey, Verdict), SurveyError> {
    let runs = needle::runs(stitches)?;
    let (survey, kind) = rayon::join(|| survey(stitches, block, sandwich), || kind::tell(&runs));
    let survey = survey?;
    let verdict = weighed(&runs, &survey, kind, moves, units);
    Ok((survey, verdict))
}

fn weighed(runs: &[Run], survey: &Survey, kind: Kind, moves: Moves, units: Units) -> Verdict {
    let mut findings = vec![stitching(&kind)];
    findings.extend(passes(&kind));
    findings.extend(areas(&kind, units));
    findings.extend(places(survey, units));
    findings.extend(said_of_moves(moves).into_iter().map(|sentence| care(sentence, None)));
    findings.extend(said_of_steps(survey, runs));
    let of_stitches = heaviest(&findings);
    let is_past_hoop = survey.fit.is_some_and(|fit| !fit.fits && !fit.turned);
    let weight = if is_past_hoop { Weight::Against } else { Weight::Care };
    // Without a hoop there is nothing to say of it.
    let hoop = warnings::hoop(survey).into_iter().filter(|sentence| sentence != warnings::NOT_CHECKED);
    let hoop = hoop.enumerate().map(|(i, sentence)| (if i == 0 { weight } else { Weight::Care }, sentence));
    findings.extend(hoop.map(|(weight, sentence)| Finding { weight, sentence, mark: None }));
    Verdict { weight: heaviest(&findings), of_stitches, kind, findings }
}

fn heaviest(findings: &[Finding]) -> Weight {
    findings.iter().map(|f| f.weight).max().unwrap_or(Weight::Good)
}

fn care(sentence: String, mark: Option<Mark>) -> Finding {
    Finding { weight: Weight::Care, sentence, mark }
}

fn stitching(kind: &Kind) -> Finding {
    let (satin, filled) = (percent(kind.satin), percent(kind.filled));
    let against = |sentence| Finding { weight: Weight::Against, sentence, mark: None };
    if kind.satin > SATIN_LIMIT {
        against(format!("Satin: {satin} of the stitches go to and fro; it draws three layers together."))
    } else if kind.filled > FILLED_LIMIT {
        against(format!(
            "Fill: {filled} of the line lies too close together for a quilt; it turns three layers stiff."
        ))
    } else if kind.areas.is_empty() {
        let sentence = "Running stitches only.".to_owned();
        Finding { weight: Weight::Good, sentence, mark: None }
    } else {
        care("Running stitches, with a little satin or fill; leave those parts out.".to_owned(), None)
    }
}

fn passes(kind: &Kind) -> Option<Finding> {
    let [once, twice, triple, more] =
        [(1, 1), (2, 2), (3, 4), (5, usize::MAX)].map(|(least, most)| percent(kind.sewn(least, most)));
    let refit = "refit it to make it triple";
    let sentence = match kind.word()? {
        Sewn::Triple => {
            let sentence = format!("Triple: {triple} of the line is sewn three or four times.");
            return Some(Finding { weight: Weight::Good, sentence, mark: None });
        }
        Sewn::Single => format!("Single: {once} of the line is sewn once; {refit}."),
        Sewn::Double => format!("Double: {twice} of the line is sewn twice; {refit}."),
        Sewn::Mixed if kind.sewn(5, usize::MAX) > 0.5 => {
            format!("{more} of the line is sewn five times or more; thread piles up.")
        }
        Sewn::Mixed => {
            format!(
                "Mixed: {once} of the line is sewn once, {twice} twice, {triple} three or four times; {refit}."
            )
        }
    };
    Some(care(sentence, None))
}

/// The areas of satin and fill, each with how it was recognised.
fn areas(kind: &Kind, units: Units) -> Vec<Finding> {
    let weight = |area: &Area| match area.cover {
        Cover::Satin if kind.satin > SATIN_LIMIT => Weight::Against,
        Cover::Fill if kind.filled > FILLED_LIMIT => Weight::Against,
        _ => Weight::Care,
    };
    let mut largest: Vec<&Area> = kind.areas.iter().collect();
    largest.sort_by_key(|area| std::cmp::Reverse(area.stitches));
    let told = largest.iter().take(TOLD).map(|area| {
        let name = match area.cover {
            Cover::Satin => "Satin",
            Cover::Fill => "Fill",
        };
        let sentence = format!("{name} told by {}.", area.how(units));
        Finding { weight: weight(area), sentence, mark: Some(Mark::Area(area.bounds)) }
    });
    let mut findings: Vec<Finding> = told.collect();
    if largest.len() > TOLD {
        findings
            .push(care(format!("{} smaller areas of satin or fill besides.", largest.len() - TOLD), None));
    }
    findings
}

/// Gaps, piles of holes, and what goes past the block's edge.
fn places(survey: &Survey, units: Units) -> Vec<Finding> {
    let gap = |gap: Option<super::gap::Gap>| gap.map(|g| Mark::Circle(g.at, g.widest_mm));
    let said = [
        (warnings::gap(survey, units), gap(survey.gap)),
        (warnings::clear_gap(survey, units), gap(survey.clear_gap)),
        (warnings::holes(survey, units), Some(Mark::Circle(survey.holes.at, DISC_MM))),
        (warnings::past(survey, units), survey.past.map(|(mm, at)| Mark::Circle(at, mm))),
    ];
    said.into_iter().filter_map(|(sentence, mark)| Some(care(sentence?, mark))).collect()
}

fn said_of_moves(moves: Moves) -> Vec<String> {
    let mut said = Vec::new();
    let times = |n: usize| if n == 1 { "once".to_owned() } else { format!("{n} times") };
    let Moves { jumps, trims, colour_stops } = moves;
    if jumps > 0 {
        let trim = match trims {
            0 => "none of them trims the thread: cut it there by hand".to_owned(),
            n if n == jumps => "the thread is trimmed there, and its ends are left to bury".to_owned(),
            n => format!("the thread is trimmed at {n} of them"),
        };
        said.push(format!("The machine moves on without sewing {}; {trim}.", times(jumps)));
    }
    if colour_stops > 0 {
        let stops = times(colour_stops);
        said.push(format!("It stops {stops} for another colour; start it again with the same thread."));
    }
    said
}

fn said_of_steps(survey: &Survey, runs: &[Run]) -> Vec<Finding> {
    let [short, long] = warnings::steps(survey);
    let piled = warnings::passes(survey);
    let is_asked = short.is_some() || long.is_some() || piled.is_some();
    let passes = if is_asked { steps::passes_of(runs) } else { BTreeMap::new() };
    let marked = |wanted: &dyn Fn(f64, usize) -> bool| {
        let chosen = passes.iter().filter(|((a, b), n)| wanted(place(*a).distance(place(*b)), **n));
        let ends: Vec<(Point, Point)> = chosen.map(|((a, b), _)| (place(*a), place(*b))).collect();
        Some(Mark::Stitches(ends))
    };
    let mut findings = Vec::new();
    findings.extend(short.map(|s| care(s, marked(&|mm, _| mm < SHORTEST_MM - steps::DUST_MM))));
    findings.extend(long.map(|s| care(s, marked(&|mm, _| mm > LONGEST_MM + steps::DUST_MM))));
    findings.extend(piled.map(|s| care(s, marked(&|_, n| n > MOST_PASSES))));
    let (stays, at) = in_place(runs);
    if stays > KNOTS {
        let sentence =
            format!("{stays} stitches stay in their hole; the needle may cut its own thread there.");
        findings.push(care(sentence, Some(Mark::Stitches(at))));
    }
    findings
}

/// How many stitches come down in the hole that they come from, and where.
fn in_place(runs: &[Run]) -> (usize, Vec<(Point, Point)>) {
    let stays =
        runs.iter().flat_map(Run::line_steps).map(|(a, b)| (hole(a), hole(b))).filter(|(a, b)| a == b);
    let stays: Vec<Hole> = stays.map(|(a, _)| a).collect();
    let places: BTreeSet<Hole> = stays.iter().copied().collect();
    (stays.len(), places.into_iter().map(|h| (place(h), place(h))).collect())
}

/// The size of a design in words.
#[must_use]
pub fn size(survey: &Survey, units: Units) -> String {
    let size = survey.steps.bounds.size();
    format!("{} by {}", show_length(size.width, units), show_length(size.height, units))
}

fn percent(part: f64) -> String {
    format!("{:.0} %", part * 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::Sandwich;

    fn judged(pieces: &[Vec<(f64, f64)>]) -> Verdict {
        let pieces: Vec<Vec<Point>> =
            pieces.iter().map(|piece| piece.iter().map(|p| Point::from(*p)).collect()).collect();
        let stitches = needle::sewn_through(&pieces);
        let jumps = pieces.len() - 1;
        let moves = Moves { jumps, trims: jumps, colour_stops: 0 };
        judge(&stitches, None, &Sandwich::default(), moves, Units::Inches).unwrap().1
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
            "Single: 100 % of the line is sewn once; refit it to make it triple."
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
    fn what_does_not_fit_the_hoop_does_not_suit() {
        let stitches = needle::sewn_through(&[triple(&wave()).into_iter().map(Point::from).collect()]);
        let judged = |side: f64| {
            let hoop = Some(crate::survey::hoop::Hoop { width_mm: side, height_mm: side, in_inches: false });
            let sandwich = Sandwich { hoop, ..Sandwich::default() };
            judge(&stitches, None, &sandwich, Moves::default(), Units::Inches).unwrap().1
        };
        let (wide, narrow) = (judged(150.0), judged(80.0));
        assert_eq!((wide.weight, wide.sentence()), (Weight::Good, "The design suits three layers."));
        assert_eq!((narrow.weight, narrow.of_stitches), (Weight::Against, Weight::Good));
        assert!(narrow.sentence().starts_with("The design does not fit this hoop"), "{}", narrow.sentence());
    }

    #[test]
    fn jumps_and_long_steps_are_a_care() {
        let far: Vec<(f64, f64)> = triple(&[(0.0, 40.0), (7.0, 40.0)]);
        let verdict = judged(&[triple(&wave()), far]);
        assert_eq!(verdict.weight, Weight::Care);
        let said = sentences(&verdict).join(" ");
        assert!(
            said.contains("moves on without sewing once")
                && said.contains("1 of 41 stitches are longer than 5 mm"),
            "{said}"
        );
    }
}
