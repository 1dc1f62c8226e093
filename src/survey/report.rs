//! [`Survey`] + what was asked for → [`Report`]: everything about one piece, with keys that stay the same.
//!
//! Written as JSON by `serde_json`. Lengths are mm, points `[x, y]` in block coordinates, rounded to a thousandth; only
//! `stitches.bounds` are those of the file, so turned with it: a needle point `p` of the block lies in the file at
//! `turned(p − centre)`.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};
use serde::Serialize;
use serde_json::Value;

use super::cautions;
use super::remedy::Warning;
use super::warnings::warnings;
use super::{Survey, gap, holes};
use crate::base::angle::QUARTER_LEFT;
use crate::base::units::Units;
use crate::block::Block;
use crate::block::region::Ring;
use crate::block::shape::Shape;
use crate::stitches::fingerprint::Fingerprint;

/// Lengths are rounded to this part of a mm: far below the machine's step, far above rounding errors.
const PARTS_OF_MM: f64 = 1000.0;

/// What was asked for and how the line was laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece<'a> {
    /// The piece's name, also of its files.
    pub name: &'a str,
    /// What stands for its stitches as they will be sewn.
    pub fingerprint: Fingerprint,
    /// The motif's name.
    pub motif: &'a str,
    /// The motif's settings, as used.
    pub settings: &'a BTreeMap<String, Value>,
    /// The name and settings of what fills the open places, if anything.
    pub background: Option<(&'a str, BTreeMap<String, Value>)>,
    /// The step length asked for, mm.
    pub target_step_mm: f64,
    /// How far the fit had to stretch the motif, 0.1 for 10 %.
    pub stretch: f64,
    /// How the line was laid.
    pub route: RouteFigures,
    /// Holes in the heaviest disc if junctions were not spread.
    pub unspread_holes: usize,
    /// What the stages before had to say: whole sentences, first among the warnings.
    pub notes: &'a [Warning],
    /// Which unit warnings print first.
    pub units: Units,
}

/// How the line was laid, lengths in mm.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct RouteFigures {
    /// Pieces that are sewn without a jump.
    pub pieces: usize,
    /// Moves between pieces.
    pub jumps: usize,
    /// The fewest moves that any order could have: connected pieces less one.
    pub fewest_jumps: usize,
    /// Drawn lines, each once.
    pub drawn: f64,
    /// Travel along the edge.
    pub travelled: f64,
    /// Drawn lines that are walked a second time.
    pub doubled: f64,
    /// The least that `doubled` and `travelled` can come to together; not told where the pieces of a drawing are joined by
    /// travel, for then another choice of joins might come to less.
    pub least_doubled: Option<f64>,
    /// The verified bound: what is walked again or along the edge cannot be less, in whole micrometres; where pieces are
    /// joined by travel, what is walked beyond these joins.
    pub certificate: f64,
}

/// Everything about one piece; the keys are stable.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report, explained where the report is")]
pub struct Report {
    pub name: String,
    /// What stands for the stitches of the file; the same on all papers and in every format.
    pub fingerprint: Fingerprint,
    pub motif: MotifPart,
    pub block: BlockPart,
    /// The design's centre, which is the machine file's origin.
    pub centre: [f64; 2],
    /// Degrees by which the file is turned to the left against the block.
    pub turned: f64,
    pub stitches: StitchesPart,
    pub route: RouteFigures,
    pub gap: GapPart,
    pub holes: HolesPart,
    /// Null without a hoop.
    pub hoop: Option<HoopPart>,
    pub estimate: EstimatePart,
    pub warnings: Vec<Warning>,
    pub cautions: Vec<&'static str>,
}

/// The motif as drawn.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct MotifPart {
    pub name: String,
    pub settings: BTreeMap<String, Value>,
    /// What fills the open places; left out if nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub background: Option<Box<MotifPart>>,
}

/// The block as quilted.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct BlockPart {
    /// The word for the shape, as in the options.
    pub shape: &'static str,
    pub outline: Vec<[f64; 2]>,
    /// The inner outline; the largest one where the margin parts it.
    pub inside: Vec<[f64; 2]>,
    pub width: f64,
    pub height: f64,
}

/// Counts and lengths of steps.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct StitchesPart {
    pub penetrations: usize,
    pub target: f64,
    pub shortest: f64,
    pub median: f64,
    pub longest: f64,
    /// From a number of passes to how many stitches were sewn that often.
    pub passes: BTreeMap<usize, usize>,
    pub bounds: BoundsPart,
}

/// How far the needle points reach from the block's centre as they will be sewn: turned if the file is turned.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct BoundsPart {
    pub left: f64,
    pub right: f64,
    pub bottom: f64,
    pub top: f64,
}

/// The widest gap against the batting's limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct GapPart {
    pub widest: f64,
    /// There, and true, if no gap is wider and it was not asked how wide the widest is: lines so close need no telling apart.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub at_most: bool,
    pub at: [f64; 2],
    pub limit: f64,
    pub within: bool,
}

/// The heaviest disc of needle holes against its limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct HolesPart {
    pub most_in_1mm: usize,
    /// What it would be if every visit of a crowded junction went down in it.
    pub without_spreading: usize,
    pub at: [f64; 2],
    pub limit: usize,
}

/// How the stitches lie in the hoop's field.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct HoopPart {
    pub field: [f64; 2],
    pub fits: bool,
    /// True if the file is turned a quarter to the left, because only so it fits.
    pub turned: bool,
    /// What is left across and up as it will be sewn, with the clearance taken off; negative where it is too large.
    pub spare: [f64; 2],
}

/// Minutes, thread and bobbins.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the report")]
pub struct EstimatePart {
    pub minutes: f64,
    pub needle_thread_m: f64,
    pub bobbin_thread_m: f64,
    pub bobbins: u32,
}

/// The report on one piece.
#[must_use]
pub fn report(piece: &Piece, block: &Block, survey: &Survey) -> Report {
    write(piece, block_part(block), survey)
}

fn motif(piece: &Piece<'_>) -> MotifPart {
    let background = piece.background.as_ref().map(|(name, settings)| {
        Box::new(MotifPart { name: (*name).into(), settings: settings.clone(), background: None })
    });
    MotifPart { name: piece.motif.into(), settings: piece.settings.clone(), background }
}

fn write(piece: &Piece, block: BlockPart, survey: &Survey) -> Report {
    let mut said = piece.notes.to_vec();
    said.extend(warnings(survey, piece.stretch, piece.units).into_iter().map(Warning::from));
    let said = said.iter().map(|warning| warning.in_units(piece.units)).collect();
    Report {
        name: piece.name.into(),
        fingerprint: piece.fingerprint,
        motif: motif(piece),
        block,
        centre: point(survey.centre),
        turned: if survey.is_turned() { 90.0 } else { 0.0 },
        stitches: stitches_part(piece, survey),
        route: rounded_route(piece.route),
        gap: gap_part(survey),
        holes: HolesPart {
            most_in_1mm: survey.holes.holes,
            without_spreading: piece.unspread_holes,
            at: point(survey.holes.at),
            limit: holes::MOST_HOLES,
        },
        hoop: hoop_part(survey),
        estimate: estimate_part(survey),
        warnings: said,
        cautions: cautions::sentences().collect(),
    }
}

fn block_part(block: &Block) -> BlockPart {
    let bounds = block.outline.bounds();
    let inside = block.inside.iter().max_by(|a, b| a.area().total_cmp(&b.area()));
    BlockPart {
        shape: word(&block.shape),
        outline: ring(&block.outline.outer),
        inside: inside.map_or_else(Vec::new, |region| ring(&region.outer)),
        width: rounded(bounds.width()),
        height: rounded(bounds.height()),
    }
}

fn stitches_part(piece: &Piece, survey: &Survey) -> StitchesPart {
    let steps = &survey.steps;
    StitchesPart {
        penetrations: steps.penetrations,
        target: rounded(piece.target_step_mm),
        shortest: rounded(steps.shortest_mm),
        median: rounded(steps.median_mm),
        longest: rounded(steps.longest_mm),
        passes: steps.passes.clone(),
        bounds: bounds_part(if survey.is_turned() {
            QUARTER_LEFT.transform_rect_bbox(steps.bounds)
        } else {
            steps.bounds
        }),
    }
}

pub(super) fn bounds_part(r: Rect) -> BoundsPart {
    BoundsPart { left: rounded(r.x0), right: rounded(r.x1), bottom: rounded(r.y0), top: rounded(r.y1) }
}

pub(super) fn gap_part(survey: &Survey) -> GapPart {
    let gap = survey.gap.unwrap_or(gap::Gap { widest_mm: 0.0, at_most: false, at: Point::ZERO });
    GapPart {
        widest: rounded(gap.widest_mm),
        at_most: gap.at_most,
        at: point(gap.at),
        limit: rounded(survey.gap_limit_mm),
        within: survey.is_held(),
    }
}

pub(super) fn hoop_part(survey: &Survey) -> Option<HoopPart> {
    survey.fit.map(|fit| HoopPart {
        field: [rounded(fit.hoop.width_mm), rounded(fit.hoop.height_mm)],
        fits: fit.fits,
        turned: survey.is_turned(),
        spare: fit.spare_mm.map(rounded),
    })
}

pub(super) fn estimate_part(survey: &Survey) -> EstimatePart {
    EstimatePart {
        minutes: rounded(survey.estimate.minutes),
        needle_thread_m: rounded(survey.estimate.needle_thread_m),
        bobbin_thread_m: rounded(survey.estimate.bobbin_thread_m),
        bobbins: survey.estimate.bobbins,
    }
}

fn rounded_route(route: RouteFigures) -> RouteFigures {
    RouteFigures {
        drawn: rounded(route.drawn),
        travelled: rounded(route.travelled),
        doubled: rounded(route.doubled),
        least_doubled: route.least_doubled.map(rounded),
        certificate: rounded(route.certificate),
        ..route
    }
}

fn ring(ring: &Ring) -> Vec<[f64; 2]> {
    ring.points().iter().map(|p| point(*p)).collect()
}

pub(super) fn point(p: Point) -> [f64; 2] {
    [rounded(p.x), rounded(p.y)]
}

/// Rounded to a thousandth; never minus zero.
pub(super) fn rounded(value: f64) -> f64 {
    (value * PARTS_OF_MM).round() / PARTS_OF_MM + 0.0
}

/// The word for a shape, as in the options.
pub(super) fn word(shape: &Shape) -> &'static str {
    match shape {
        Shape::Square { .. } => "square",
        Shape::Rectangle { .. } => "rectangle",
        Shape::HalfSquare { .. } => "half-square",
        Shape::QuarterSquare { .. } => "quarter-square",
        Shape::SideTriangle { .. } => "side-triangle",
        Shape::CornerTriangle { .. } => "corner-triangle",
        Shape::Equilateral { .. } => "equilateral",
        Shape::Hexagon { .. } => "hexagon",
        Shape::Octagon { .. } => "octagon",
        Shape::Diamond { .. } => "diamond",
        Shape::Circle { .. } => "circle",
        Shape::Strip { .. } => "strip",
        Shape::Corner { .. } => "corner",
        Shape::Sides { .. } => "sides",
        Shape::Corners { .. } => "corners",
        Shape::Outline { .. } => "outline",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stitches::{self, Stitches, fingerprint};
    use crate::survey::hoop::{self, Hoop};
    use crate::survey::needle::Run;
    use crate::survey::{Sandwich, measure};

    /// A block of 40 mm with one triple line of 30 mm across its middle, in steps of 2.5 mm.
    fn reported(notes: &[Warning]) -> Report {
        turned_to_fit("100x130mm", notes)
    }

    /// The same, sewn in a hoop, turned if only that fits.
    fn turned_to_fit(hoop: &str, notes: &[Warning]) -> Report {
        let xs: Vec<f64> = (0..=12).map(|i| f64::from(i) * 2.5 - 15.0).collect();
        let mut points = vec![Point::new(xs[0], 0.0)];
        for pair in xs.windows(2) {
            points.extend([pair[1], pair[0], pair[1]].map(|x| Point::new(x, 0.0)));
        }
        let run = Run { points: &points, tie_in: 0, tie_off: 0 };
        let outline = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)];
        let corners = outline.map(Point::from);
        let hoop: Hoop = hoop.parse().unwrap();
        let sandwich = Sandwich { hoop: Some(hoop), ..Sandwich::default() };
        let mut survey = measure(&[run], Point::ZERO, Some(vec![&corners]), &sandwich).unwrap();
        survey.fit = Some(hoop::admit(hoop, survey.steps.bounds, Units::Inches).unwrap());
        let settings = BTreeMap::from([("lines".to_string(), Value::from(1))]);
        let piece = Piece {
            name: "line-square-40mm",
            fingerprint: fingerprint::of(&Stitches::new(vec![stitches::Run::from_points(points.clone())])),
            motif: "line",
            background: None,
            settings: &settings,
            target_step_mm: 2.5,
            stretch: 0.0,
            route: RouteFigures { pieces: 1, drawn: 30.000_04, ..RouteFigures::default() },
            unspread_holes: 3,
            notes,
            units: Units::Inches,
        };
        let block = BlockPart {
            shape: "square",
            outline: outline.map(|(x, y)| [x, y]).to_vec(),
            inside: vec![[-15.0, -15.0], [15.0, -15.0], [15.0, 15.0], [-15.0, 15.0]],
            width: 40.0,
            height: 40.0,
        };
        write(&piece, block, &survey)
    }

    #[test]
    fn every_key_of_the_report_is_there_in_its_order() {
        let mut report = reported(&[]);
        report.cautions.truncate(1);
        // The gap's circle touches the line, or its end, and two sides of the block.
        report.gap.at = [0.0, 0.0];
        let expected = concat!(
            r#"{"name":"line-square-40mm","fingerprint":"XQAX-QVCU","motif":{"name":"line","settings":{"lines":1}},"#,
            r#""block":{"shape":"square","outline":[[-20.0,-20.0],[20.0,-20.0],[20.0,20.0],[-20.0,20.0]],"#,
            r#""inside":[[-15.0,-15.0],[15.0,-15.0],[15.0,15.0],[-15.0,15.0]],"width":40.0,"height":40.0},"#,
            r#""centre":[0.0,0.0],"turned":0.0,"#,
            r#""stitches":{"penetrations":37,"target":2.5,"shortest":2.5,"median":2.5,"longest":2.5,"#,
            r#""passes":{"3":12},"bounds":{"left":-15.0,"right":15.0,"bottom":0.0,"top":0.0}},"#,
            r#""route":{"pieces":1,"jumps":0,"fewest_jumps":0,"drawn":30.0,"travelled":0.0,"doubled":0.0,"#,
            r#""least_doubled":null,"certificate":0.0},"#,
            r#""gap":{"widest":20.0,"at":[0.0,0.0],"limit":50.8,"within":true},"#,
            r#""holes":{"most_in_1mm":3,"without_spreading":3,"at":[-12.5,0.0],"limit":12},"#,
            r#""hoop":{"field":[100.0,130.0],"fits":true,"turned":false,"spare":[68.0,128.0]},"#,
            r#""estimate":{"minutes":0.062,"needle_thread_m":0.166,"bobbin_thread_m":0.166,"bobbins":1},"#,
            r#""warnings":[],"#,
            r#""cautions":["Your machine's manual and the batting's label overrule everything printed here."]}"#,
        );
        assert_eq!(serde_json::to_string(&report).unwrap(), expected);
    }

    #[test]
    fn a_file_that_is_turned_is_reported_as_it_will_be_sewn() {
        let upright = turned_to_fit("100x20mm", &[]);
        let report = serde_json::to_value(upright).unwrap();
        assert_eq!(report["turned"], 0.0);
        let report = serde_json::to_value(turned_to_fit("20x100mm", &[])).unwrap();
        assert_eq!(report["turned"], 90.0);
        let bounds = serde_json::json!({ "left": 0.0, "right": 0.0, "bottom": -15.0, "top": 15.0 });
        assert_eq!(report["stitches"]["bounds"], bounds);
        let hoop = serde_json::json!({ "field": [20.0, 100.0], "fits": true, "turned": true, "spare": [18.0, 68.0] });
        assert_eq!(report["hoop"], hoop);
        assert_eq!(report["warnings"], serde_json::json!([]));
    }

    #[test]
    fn notes_of_earlier_stages_come_first() {
        let notes = ["The tape was off by 2 mm.".into()];
        assert_eq!(reported(&notes).warnings, notes);
    }

    #[test]
    fn the_same_piece_is_reported_in_the_same_bytes() {
        let text = || serde_json::to_string(&reported(&[])).unwrap();
        assert_eq!(text(), text());
    }

    #[test]
    fn lengths_are_rounded_and_never_minus_zero() {
        assert_eq!(rounded(-0.000_01).to_string(), "0");
        assert_eq!(rounded(203.199_999_9), 203.2);
    }
}
