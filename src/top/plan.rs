//! [`Work`] → [`Plan`]: everything about a quilt, with keys that stay the same. Lengths in mm, thread in m.

use kurbo::Affine;
use serde::Serialize;

use super::Work;
use super::course::Course;
use super::cutting::{self, Cut};
use super::hoopings::{self, Hooping};
use super::layout::{Design, Patch};
use super::notes;
use super::place::Place;
use super::scale::{EASE, UNEVEN};
use super::sewing::{Made, Sewn};
use super::share::items::Item;
use super::totals;
use super::whereabouts::Whereabouts;
use crate::stitches::fingerprint::Fingerprint;
use crate::survey::cautions;
use crate::survey::remedy::{Remedy, Warning};

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
    /// Strips to baste on past the quilt's edge, one a side: edge, width, length.
    pub strips: Vec<(&'static str, f64, f64)>,
    pub totals: TotalsPart,
    pub cutting: Vec<Cut>,
    pub warnings: Vec<Warning>,
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
    /// How many of them are still to be sewn, wholly or in part.
    pub left: usize,
    pub hoopings_each: usize,
    /// True if no fewer hoopings can sew it by itself, straight in a hoop, its lines cut at needle holes.
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
    pub name: String,
    /// What stands for the stitches of the file; the same on all papers and in every format.
    pub fingerprint: Fingerprint,
    pub hoop: [f64; 2],
    /// How many pieces are sewn from it in one hooping.
    pub pieces: usize,
    pub times: usize,
    pub penetrations: usize,
    pub minutes: f64,
    pub needle_thread_m: f64,
    pub bobbin_thread_m: f64,
    /// Needle holes shared with other hoopings.
    pub joins: usize,
}

/// One hooping, in the order of sewing.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct HoopingPart {
    pub number: usize,
    pub file: String,
    /// Where it lies, in words.
    pub place: String,
    /// The names of the pieces that it sews.
    pub pieces: Vec<String>,
    /// Sewing field of its hoop, across and up as mounted.
    pub hoop: [f64; 2],
    pub minutes: f64,
    /// New bobbins: one before it, more where one does not last.
    pub new_bobbins: u32,
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
    /// How many were planned, those that are sewn already included.
    pub planned_hoopings: usize,
    /// Of the whole quilt: no fewer hold all pieces, and the parts of large ones as they are cut, with the quilt straight or,
    /// if something is on point, at 45°.
    pub least_hoopings: usize,
    /// How often another file is called up, another hoop is put on, and the quilt is turned.
    pub changes: ChangesPart,
    pub files: usize,
    pub penetrations: usize,
    pub drawn_m: f64,
    /// At the machine, `trim_minutes` included.
    pub minutes: f64,
    pub trim_minutes: f64,
    pub hooping_minutes: f64,
    pub bobbin_minutes: f64,
    pub all_minutes: f64,
    pub needle_thread_m: f64,
    pub bobbin_thread_m: f64,
    pub bobbins: u32,
}

/// What changes from hooping to hooping.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[expect(missing_docs, reason = "keys of the plan")]
pub struct ChangesPart {
    pub files: usize,
    pub hoops: usize,
    pub turns: usize,
}

/// The plan of a quilt.
#[must_use]
pub fn plan(work: &Work) -> Plan {
    let pieces = pieces(work);
    let warnings = notes::warnings(work, uneven_words(work, &pieces));
    let (size, centre) = (work.layout.size, work.layout.centre);
    Plan {
        title: work.quilt.title.clone(),
        size: [r(size.0), r(size.1)],
        centre: [r(centre.0), r(centre.1)],
        counts: counts(work),
        patches: work.layout.patches.iter().map(patch).collect(),
        look: LookPart {
            asked: work.look.asked_mm.map(r),
            factor: rr(work.look.factor),
            worst_stretch: rr(notes::worst_stretch(work)),
        },
        pieces,
        borders: work.courses.iter().map(border).collect(),
        files: work.sewn.iter().enumerate().map(|(i, one)| file(i, one, work)).collect(),
        hoopings: hooping_parts(work),
        strips: notes::strips(work).iter().map(|s| (s.edge, r(s.width_mm), r(s.length_mm))).collect(),
        totals: totals_part(work),
        // What is being quilted is pieced.
        cutting: if work.done.is_empty() { cutting::list(&work.quilt) } else { Vec::new() },
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
        left: left(design, work),
        hoopings_each: made.sewn.len(),
        fewest: made.split.as_ref().is_none_or(|s| s.exact),
        stretch: rr(made.whole.drawing.stretch),
        density: rr(density),
        density_ratio: rr(ratio),
        uneven: ((ratio - 1.0).abs() > UNEVEN).then(|| uneven(design, ratio, work)),
    }
}

/// At how many of its places a design is not sewn, or only in part.
fn left(design: &Design, work: &Work) -> usize {
    let of = |item: &Item| std::ptr::eq(&raw const work.layout.designs[item.design], design);
    let mut places: Vec<Affine> = Vec::new();
    for item in work.hoopings.iter().flat_map(|h| &h.items).filter(|i| of(i)) {
        if !places.contains(&item.at) {
            places.push(item.at);
        }
    }
    places.len()
}

/// Why a piece is denser or opener than the quilt.
fn uneven(design: &Design, ratio: f64, work: &Work) -> String {
    let motif = &design.chosen.motif;
    let eased = work.look.eased.get(&motif.name).copied().unwrap_or(1.0);
    let limit = if ratio > 1.0 { EASE } else { 1.0 / EASE };
    let more = if ratio > 1.0 { "more densely" } else { "more openly" };
    let why = if motif.scale.is_none() {
        "its motif has no scale to change".to_owned()
    } else if its_own_scale(design, work).is_some() {
        "its scale was asked for by itself".to_owned()
    } else if (eased / limit - 1.0).abs() < 1e-6 {
        format!("its motif is already drawn {:.0} % {} than the rest", (EASE - 1.0) * 100.0, coarser(ratio))
    } else {
        "whole repeats allow no closer match".to_owned()
    };
    format!("quilted {:.0} % {more} than the rest: {why}", (ratio - 1.0).abs() * 100.0)
}

/// The scale of a piece's motif, if it was asked for under that piece.
fn its_own_scale<'a>(design: &'a Design, work: &Work) -> Option<&'a String> {
    let pinned = match &design.place {
        Place::Border(n) | Place::BorderCorner(n) => {
            let border = work.quilt.borders.get(n - 1);
            let corner = matches!(design.place, Place::BorderCorner(_));
            let own = border.and_then(|b| b.corner_chosen.as_ref().filter(|_| corner));
            own.or(border.and_then(|b| b.chosen.as_ref())).is_some_and(|c| c.pinned)
        }
        _ => design.chosen.pinned,
    };
    design.chosen.motif.scale.as_ref().filter(|_| pinned)
}

fn coarser(ratio: f64) -> &'static str {
    if ratio > 1.0 { "coarser" } else { "finer" }
}

/// Why pieces are denser or opener than the quilt; the stretches of one border are alike, and the first speaks for them all.
fn uneven_words(work: &Work, pieces: &[PiecePart]) -> Vec<Warning> {
    let (mut said, mut told) = (Vec::new(), Vec::<&str>::new());
    for (piece, design) in pieces.iter().zip(&work.layout.designs) {
        if let Some(why) = piece.uneven.as_ref().filter(|_| !told.contains(&piece.place.as_str())) {
            let remedy = its_own_scale(design, work).map(|name| Remedy::Without { without: name.clone() });
            said.push(Warning { remedy, ..Warning::of(&[&piece.place], format!("{why}.")) });
            told.push(&piece.place);
        }
    }
    said
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

fn file(index: usize, sewn: &Sewn, work: &Work) -> FilePart {
    let survey = &sewn.piece.survey;
    FilePart {
        name: sewn.piece.order.name.clone(),
        fingerprint: sewn.piece.fingerprint(),
        hoop: [sewn.hoop.width_mm, sewn.hoop.height_mm],
        pieces: work.all().find(|h| h.sewn == index).map_or(0, |h| h.items.len()),
        times: work.hoopings.iter().filter(|h| h.sewn == index).count(),
        penetrations: survey.steps.penetrations,
        minutes: r(survey.estimate.minutes),
        needle_thread_m: r(survey.estimate.needle_thread_m),
        bobbin_thread_m: r(survey.estimate.bobbin_thread_m),
        joins: sewn.joins.len(),
    }
}

fn hooping_parts(work: &Work) -> Vec<HoopingPart> {
    let places = Whereabouts::new(work);
    let bobbins = totals::changes(&work.sewn, &work.hoopings, &work.quilt.pace);
    let parts = work.hoopings.iter().zip(bobbins);
    parts.map(|(hooping, new_bobbins)| part(hooping, new_bobbins, &places, work)).collect()
}

/// The hoopings of the whole quilt, those that are sewn already included; for things in which bobbins do not matter.
#[must_use]
pub fn all_hoopings(work: &Work) -> Vec<HoopingPart> {
    let places = Whereabouts::new(work);
    work.all().map(|hooping| part(hooping, 0, &places, work)).collect()
}

fn part(hooping: &Hooping, new_bobbins: u32, places: &Whereabouts, work: &Work) -> HoopingPart {
    let one = &work.sewn[hooping.sewn];
    let extensions = hooping.extensions.iter().map(|l| (l.edge, r(l.width_mm), r(l.length_mm)));
    HoopingPart {
        number: hooping.number,
        file: one.piece.order.name.clone(),
        place: places.words(&hooping.items, work),
        pieces: hooping.items.iter().map(|i| work.layout.designs[i.design].name.clone()).collect(),
        hoop: [one.hoop.width_mm, one.hoop.height_mm],
        minutes: r(one.piece.survey.estimate.minutes),
        new_bobbins,
        centre: [r(hooping.centre.x), r(hooping.centre.y)],
        quilt_turn_deg: hooping.quilt_turn_deg,
        extensions: extensions.collect(),
    }
}

fn totals_part(work: &Work) -> TotalsPart {
    let t = work.totals;
    let changes = hoopings::changes(&work.hoopings, &work.sewn, &work.layout);
    TotalsPart {
        hoopings: t.hoopings,
        planned_hoopings: work.least.planned,
        least_hoopings: work.least.bound,
        changes: ChangesPart { files: changes.files, hoops: changes.hoops, turns: changes.turns },
        files: t.files,
        penetrations: t.penetrations,
        drawn_m: r(t.drawn_m),
        minutes: r(t.minutes),
        trim_minutes: r(t.trim_minutes),
        hooping_minutes: r(t.hooping_minutes),
        bobbin_minutes: r(t.bobbin_minutes),
        all_minutes: r(t.all_minutes()),
        needle_thread_m: r(t.needle_thread_m),
        bobbin_thread_m: r(t.bobbin_thread_m),
        bobbins: t.bobbins,
    }
}

/// Rounded to a thousandth; never minus zero.
fn r(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

/// Rounded to a hundred-thousandth, for ratios.
fn rr(value: f64) -> f64 {
    (value * 100_000.0).round() / 100_000.0 + 0.0
}
