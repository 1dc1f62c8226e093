//! A checked design → [`CheckReport`]: everything that was found, with keys that stay the same.
//!
//! Written as JSON by `serde_json`. Lengths are mm, points `[x, y]` in block coordinates, rounded to a thousandth.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};
use serde::Serialize;

use super::kind::Sewn;
use super::kind::areas::Cover;
use super::report::{BoundsPart, EstimatePart, GapPart, HoopPart, bounds_part, estimate_part, gap_part};
use super::report::{hoop_part, point, rounded, word};
use super::verdict::{Mark, Moves, Verdict, Weight};
use super::{Survey, holes};
use crate::base::units::Units;
use crate::block::Block;
use crate::stitches::fingerprint::Fingerprint;

/// What was checked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Checked<'a> {
    /// The file's name.
    pub file: &'a str,
    /// The name inside the file.
    pub name: Option<&'a str>,
    /// What stands for its stitches.
    pub fingerprint: Fingerprint,
    /// What was odd about the file.
    pub odd: &'a [String],
    /// The block that it was held against.
    pub block: Option<&'a Block>,
    /// Its figures.
    pub survey: &'a Survey,
    /// What is thought of it.
    pub verdict: &'a Verdict,
    /// Where the machine does something else than sew.
    pub moves: Moves,
    /// Which unit is printed first.
    pub units: Units,
}

/// Everything about one machine file; the keys are stable.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report, explained where the report is")]
pub struct CheckReport {
    pub file: String,
    /// The name inside the file; null without one.
    pub name: Option<String>,
    /// What stands for its stitches, by which it is matched with papers.
    pub fingerprint: Fingerprint,
    pub verdict: Weight,
    pub findings: Vec<FindingPart>,
    pub sewing: SewingPart,
    pub stitches: StepsPart,
    pub moves: Moves,
    /// The word for the shape; null without a block.
    pub block: Option<&'static str>,
    /// In the block, or in the design's own box without one.
    pub gap: GapPart,
    pub holes: PilePart,
    /// Null without a hoop.
    pub hoop: Option<HoopPart>,
    pub estimate: EstimatePart,
    /// What was odd about the file, though it could be read.
    pub odd: Vec<String>,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct FindingPart {
    pub weight: Weight,
    pub sentence: String,
    /// Where it lies, or where the first of it does; null if it is everywhere or nowhere.
    pub at: Option<[f64; 2]>,
}

/// What the stitching is, each part from 0 to 1.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct SewingPart {
    /// How often the running line is sewn; null if there is none.
    pub line: Option<Sewn>,
    /// From a number of passes to the part of the running line that is sewn so often.
    pub passes: BTreeMap<usize, f64>,
    /// The part of all stitches that are satin.
    pub satin: f64,
    /// The part of the line that is fill.
    pub fill: f64,
    pub areas: Vec<AreaPart>,
}

/// An area of satin or fill.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct AreaPart {
    pub cover: Cover,
    pub bounds: BoundsPart,
    pub stitches: usize,
    pub spacing: f64,
    /// How it was recognised.
    pub told_by: String,
}

/// Counts and lengths of stitches.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct StepsPart {
    pub holes: usize,
    pub shortest: f64,
    pub median: f64,
    pub longest: f64,
    /// Different stitches that are shorter than sews well.
    pub very_short: usize,
    /// Different stitches that are longer than sews well.
    pub very_long: usize,
    pub bounds: BoundsPart,
}

/// The heaviest disc of needle holes against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct PilePart {
    pub most_in_1mm: usize,
    pub at: [f64; 2],
    pub limit: usize,
}

/// The report on one machine file.
#[must_use]
pub fn report(checked: &Checked<'_>) -> CheckReport {
    let Checked { survey, verdict, .. } = *checked;
    let findings = verdict.findings.iter().map(|finding| FindingPart {
        weight: finding.weight,
        sentence: finding.sentence.clone(),
        at: finding.mark.as_ref().and_then(place).map(point),
    });
    CheckReport {
        file: checked.file.into(),
        name: checked.name.map(str::to_owned),
        fingerprint: checked.fingerprint,
        verdict: verdict.weight,
        findings: findings.collect(),
        sewing: sewing(verdict, checked.units),
        stitches: steps(survey),
        moves: checked.moves,
        block: checked.block.map(|block| word(&block.shape)),
        gap: gap_part(survey),
        holes: PilePart {
            most_in_1mm: survey.holes.holes,
            at: point(survey.holes.at),
            limit: holes::MOST_HOLES,
        },
        hoop: hoop_part(survey),
        estimate: estimate_part(survey),
        odd: checked.odd.to_vec(),
    }
}

fn place(mark: &Mark) -> Option<Point> {
    match mark {
        Mark::Area(bounds) => Some(Rect::center(bounds)),
        Mark::Circle(at, _) => Some(*at),
        Mark::Stitches(ends) => ends.first().map(|(from, to)| from.midpoint(*to)),
    }
}

fn sewing(verdict: &Verdict, units: Units) -> SewingPart {
    let kind = &verdict.kind;
    let areas = kind.areas.iter().map(|area| AreaPart {
        cover: area.cover,
        bounds: bounds_part(area.bounds),
        stitches: area.stitches,
        spacing: rounded(area.spacing_mm),
        told_by: area.how(units),
    });
    SewingPart {
        line: kind.word(),
        passes: kind.passes.iter().map(|(passes, part)| (*passes, rounded(*part))).collect(),
        satin: rounded(kind.satin),
        fill: rounded(kind.filled),
        areas: areas.collect(),
    }
}

fn steps(survey: &Survey) -> StepsPart {
    let steps = &survey.steps;
    StepsPart {
        holes: steps.penetrations,
        shortest: rounded(steps.shortest_mm),
        median: rounded(steps.median_mm),
        longest: rounded(steps.longest_mm),
        very_short: steps.too_short,
        very_long: steps.too_long,
        bounds: bounds_part(steps.bounds),
    }
}
