//! [`Work`] → [`Plan`]: everything about a quilt, with keys that stay the same. Lengths in mm, thread in m.

use serde::Serialize;

use super::Work;
use super::course::Course;
use super::cutting::{self, Cut};
use super::hoopings::Hooping;
use super::layout::{Design, Patch};
use super::place::Place;
use super::scale::{self, EASE, STRETCH_TOLD, UNEVEN};
use super::sewing::{Made, Sewn};
use super::units::apart;
use crate::base::units::{Units, in_units, show_length};
use crate::stitches::fingerprint::Fingerprint;
use crate::survey::cautions;
use crate::survey::warnings::NOT_CHECKED;

/// Everything about a quilt; the keys are stable.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct Plan {
    pub title: String,
    pub size: [f64; 2],
    /// Without borders.
    pub centre: [f64; 2],
    pub counts: Counts,
    pub patches: Vec<PatchPart>,
    pub look: LookPart,
    pub pieces: Vec<PiecePart>,
    pub borders: Vec<BorderPart>,
    pub files: Vec<FilePart>,
    pub hoopings: Vec<HoopingPart>,
    pub totals: TotalsPart,
    pub cutting: Vec<Cut>,
    pub warnings: Vec<String>,
    pub cautions: Vec<&'static str>,
}

/// One patch of the top or of a border, as it is pieced.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct PatchPart {
    pub place: String,
    /// From the quilt's centre.
    pub outline: Vec<[f64; 2]>,
}

/// What the top is pieced of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct Counts {
    pub blocks: usize,
    pub side_triangles: usize,
    pub corner_triangles: usize,
    pub sashes: usize,
    pub posts: usize,
    pub borders: usize,
}

/// The scale that all pieces share.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct LookPart {
    /// Null if each motif has its own default.
    pub asked: Option<f64>,
    /// What the scale was multiplied by so that all pieces get whole repeats.
    pub factor: f64,
    pub worst_stretch: f64,
}

/// One distinct piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct PiecePart {
    pub name: String,
    pub place: String,
    pub motif: String,
    pub size: String,
    pub times: usize,
    pub hoopings_each: usize,
    /// True if no fewer hoopings can sew it.
    pub fewest: bool,
    pub stretch: f64,
    /// Line for each area, mm per mm².
    pub density: f64,
    /// As a multiple of the quilt's mean.
    pub density_ratio: f64,
    /// Why the density is far from the mean, if it is.
    pub uneven: Option<String>,
}

/// One border quilted as a ring.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct BorderPart {
    pub number: usize,
    /// Along bottom and top, and along the sides; more where sides are not alike.
    pub repeats: Vec<u32>,
    pub repeat_mm: Vec<f64>,
    pub stretch: f64,
    /// True if the lines run round the corners without a break.
    pub turns: bool,
    pub join_gap_mm: Option<f64>,
    pub join_bend_deg: Option<f64>,
    pub hoopings: Vec<Vec<u32>>,
}

/// One machine file.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct FilePart {
    pub folder: String,
    pub name: String,
    /// What stands for the stitches of the file; the same on all papers and in every format.
    pub fingerprint: Fingerprint,
    pub hoop: [f64; 2],
    /// True if the file is written turned by a quarter to the left, so that it fits the hoop as that lies.
    pub turned: bool,
    pub times: usize,
    pub penetrations: usize,
    pub minutes: f64,
    pub needle_thread_m: f64,
    pub bobbin_thread_m: f64,
    /// Needle holes shared with other hoopings of the same piece.
    pub joins: usize,
}

/// One hooping, in the order of sewing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct HoopingPart {
    pub number: usize,
    pub file: String,
    /// The design's centre on the quilt, from its centre.
    pub centre: [f64; 2],
    /// How far the quilt lies turned to the left in the hoop, degrees.
    pub quilt_turn_deg: f64,
    /// Strips for the hoop to hold past the quilt's edge: edge, width, length.
    pub extensions: Vec<(&'static str, f64, f64)>,
}

/// What the whole quilt takes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct TotalsPart {
    pub hoopings: usize,
    pub files: usize,
    pub penetrations: usize,
    pub drawn_m: f64,
    pub minutes: f64,
    pub needle_thread_m: f64,
    pub bobbin_thread_m: f64,
    pub bobbins: u32,
}

/// The plan of a quilt.
#[must_use]
pub fn plan(work: &Work) -> Plan {
    let pieces = pieces(work);
    let warnings = warnings(work, &pieces);
    let (size, centre) = (work.layout.size, work.layout.centre);
    let t = work.totals;
    Plan {
        title: work.quilt.title.clone(),
        size: [r(size.0), r(size.1)],
        centre: [r(centre.0), r(centre.1)],
        counts: counts(work),
        patches: work.layout.patches.iter().map(patch).collect(),
        look: LookPart {
            asked: work.look.asked_mm.map(r),
            factor: rr(work.look.factor),
            worst_stretch: rr(worst_stretch(work)),
        },
        pieces,
        borders: work.courses.iter().map(border).collect(),
        files: work.sewn.iter().map(file).collect(),
        hoopings: work.hoopings.iter().enumerate().map(|(i, h)| hooping(i, h, work)).collect(),
        totals: TotalsPart {
            hoopings: t.hoopings,
            files: t.files,
            penetrations: t.penetrations,
            drawn_m: r(t.drawn_m),
            minutes: r(t.minutes),
            needle_thread_m: r(t.needle_thread_m),
            bobbin_thread_m: r(t.bobbin_thread_m),
            bobbins: t.bobbins,
        },
        cutting: cutting::list(&work.quilt),
        warnings,
        cautions: cautions::sentences().collect(),
    }
}

fn patch(patch: &Patch) -> PatchPart {
    let outline = patch.outline.iter().map(|p| [r(p.x), r(p.y)]).collect();
    PatchPart { place: patch.place.to_string(), outline }
}

fn counts(work: &Work) -> Counts {
    let mut counts = Counts { borders: work.quilt.borders.len(), ..Counts::default() };
    for patch in &work.layout.patches {
        match patch.place {
            Place::Blocks | Place::AlternateBlocks | Place::Odd(_) | Place::Patch(_) => counts.blocks += 1,
            Place::SideTriangles => counts.side_triangles += 1,
            Place::CornerTriangles => counts.corner_triangles += 1,
            Place::Sashes => counts.sashes += 1,
            Place::Posts => counts.posts += 1,
            Place::Border(_) | Place::BorderCorner(_) => {}
        }
    }
    counts
}

fn worst_stretch(work: &Work) -> f64 {
    let pieces = work.made.iter().map(|m| m.whole.drawing.stretch);
    pieces.chain(work.courses.iter().map(|c| c.stretch)).fold(0.0, f64::max)
}

fn pieces(work: &Work) -> Vec<PiecePart> {
    let rows = || work.layout.designs.iter().zip(&work.made);
    let (mut lines, mut area) = (0.0, 0.0);
    for (design, made) in rows() {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
        let times = design.at.len() as f64;
        lines += made.whole.route.drawn_mm * times;
        area += design.block.outline.area() * times;
    }
    rows().map(|(design, made)| piece(design, made, lines / area, work)).collect()
}

fn piece(design: &Design, made: &Made, mean: f64, work: &Work) -> PiecePart {
    let density = made.whole.route.drawn_mm / design.block.outline.area();
    let ratio = density / mean;
    PiecePart {
        name: design.name.clone(),
        place: design.place.to_string(),
        motif: made.whole.title(),
        size: design.block.shape.describe(work.quilt.units),
        times: design.at.len(),
        hoopings_each: made.sewn.len(),
        fewest: made.split.as_ref().is_none_or(|s| s.exact),
        stretch: rr(made.whole.drawing.stretch),
        density: rr(density),
        density_ratio: rr(ratio),
        uneven: ((ratio - 1.0).abs() > UNEVEN).then(|| uneven(design, ratio, work)),
    }
}

/// Why a piece is denser or opener than the quilt.
fn uneven(design: &Design, ratio: f64, work: &Work) -> String {
    let motif = &design.chosen.motif;
    let eased = work.look.eased.get(&motif.name).copied().unwrap_or(1.0);
    let limit = if ratio > 1.0 { EASE } else { 1.0 / EASE };
    let more = if ratio > 1.0 { "more densely" } else { "more openly" };
    let why = if motif.scale.is_none() {
        "its motif has no scale to change".to_owned()
    } else if asked_by_itself(design, work) {
        "its scale was asked for by itself".to_owned()
    } else if (eased / limit - 1.0).abs() < 1e-6 {
        format!("its motif is already drawn {:.0} % {} than the rest", (EASE - 1.0) * 100.0, coarser(ratio))
    } else {
        "whole repeats allow no closer match".to_owned()
    };
    format!("quilted {:.0} % {more} than the rest: {why}", (ratio - 1.0).abs() * 100.0)
}

/// True if the scale of a piece's motif was asked for under that piece.
fn asked_by_itself(design: &Design, work: &Work) -> bool {
    match &design.place {
        Place::Border(n) | Place::BorderCorner(n) => {
            let border = work.quilt.borders.get(n - 1);
            let corner = matches!(design.place, Place::BorderCorner(_));
            let own = border.and_then(|b| b.corner_chosen.as_ref().filter(|_| corner));
            own.or(border.and_then(|b| b.chosen.as_ref())).is_some_and(|c| c.pinned)
        }
        _ => design.chosen.pinned,
    }
}

fn coarser(ratio: f64) -> &'static str {
    if ratio > 1.0 { "coarser" } else { "finer" }
}

fn border(course: &Course) -> BorderPart {
    let join = course.join.filter(|j| j.gap_mm.is_finite());
    BorderPart {
        number: course.number,
        repeats: course.counts.clone(),
        repeat_mm: course.repeats_mm.iter().copied().map(r).collect(),
        stretch: rr(course.stretch),
        turns: course.turns(),
        join_gap_mm: join.map(|j| rr(j.gap_mm)),
        join_bend_deg: join.map(|j| rr(j.bend_deg)),
        hoopings: course.hoopings.clone(),
    }
}

fn file(sewn: &Sewn) -> FilePart {
    let survey = &sewn.piece.survey;
    FilePart {
        folder: sewn.folder.clone(),
        name: sewn.piece.order.name.clone(),
        fingerprint: sewn.piece.fingerprint(),
        hoop: [sewn.hoop.width_mm, sewn.hoop.height_mm],
        turned: sewn.is_turned(),
        times: sewn.at.len(),
        penetrations: survey.steps.penetrations,
        minutes: r(survey.estimate.minutes),
        needle_thread_m: r(survey.estimate.needle_thread_m),
        bobbin_thread_m: r(survey.estimate.bobbin_thread_m),
        joins: sewn.joins.len(),
    }
}

fn hooping(index: usize, hooping: &Hooping, work: &Work) -> HoopingPart {
    HoopingPart {
        number: index + 1,
        file: work.sewn[hooping.sewn].piece.order.name.clone(),
        centre: [r(hooping.centre.x), r(hooping.centre.y)],
        quilt_turn_deg: hooping.quilt_turn_deg,
        extensions: hooping.extensions.iter().map(|l| (l.edge, r(l.width_mm), r(l.length_mm))).collect(),
    }
}

fn warnings(work: &Work, pieces: &[PiecePart]) -> Vec<String> {
    let mut said = work.layout.notes.clone();
    let units = work.quilt.units;
    let worst = worst_stretch(work);
    if worst > STRETCH_TOLD {
        said.push(format!(
            "To get whole repeats everywhere, a motif is stretched by {:.0} %; up to {:.0} % hardly shows.",
            worst * 100.0,
            STRETCH_TOLD * 100.0
        ));
    }
    said.extend(apart(work));
    if (work.look.factor - 1.0).abs() > scale::FLEX / 2.0 {
        said.push(format!(
            "All motifs are made {} so that every piece gets whole repeats.",
            scale::told(work.look.factor)
        ));
    }
    // The stretches of one border are alike; the first speaks for them all.
    let mut told: Vec<&str> = Vec::new();
    for piece in pieces {
        if let Some(why) = piece.uneven.as_ref().filter(|_| !told.contains(&piece.place.as_str())) {
            said.push(format!("{}: {why}.", piece.place));
            told.push(&piece.place);
        }
    }
    said.extend(by_sentence(work));
    said.extend(extension_words(work, units));
    said.iter().map(|warning| in_units(warning, units)).collect()
}

/// What the pieces' own reports say, each sentence once with the pieces it is said of.
fn by_sentence(work: &Work) -> Vec<String> {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for made in &work.made {
        let report = made.whole.report();
        // The whole of a piece that is sewn in parts has no hoop of its own; its parts have theirs.
        for warning in report.warnings.into_iter().filter(|w| w != NOT_CHECKED) {
            match said.iter_mut().find(|(words, _)| *words == warning) {
                Some((_, names)) => names.push(report.name.clone()),
                None => said.push((warning, vec![report.name.clone()])),
            }
        }
    }
    said.into_iter().map(|(words, names)| format!("{}: {words}", names.join(", "))).collect()
}

/// One sentence for the whole quilt: how wide the extension strips have to be.
fn extension_words(work: &Work, units: Units) -> Option<String> {
    let extensions = || work.hoopings.iter().flat_map(|h| &h.extensions);
    let widest = extensions().map(|l| l.width_mm).reduce(f64::max)?;
    let count = work.hoopings.iter().filter(|h| !h.extensions.is_empty()).count();
    Some(format!(
        "{count} hoopings reach past the quilt's edge: leave batting and backing {} beyond it, or baste on an extension strip \
         that wide.",
        show_length(widest, units)
    ))
}

/// Rounded to a thousandth; never minus zero.
fn r(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

/// Rounded to a hundred-thousandth, for ratios.
fn rr(value: f64) -> f64 {
    (value * 100_000.0).round() / 100_000.0 + 0.0
}
