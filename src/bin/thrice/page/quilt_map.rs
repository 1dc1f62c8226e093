//! A quilt worked out → what the page draws and lists: patches, every piece in its place, hoopings in their order.
//!
//! Lengths in mm, from the top left of the finished quilt, x right, y down.

use kurbo::{Affine, BezPath};
use serde_json::{Value, json};
use thrice::base::curve::path_through;
use thrice::base::fnv::fnv_1a;
use thrice::base::units::show_length;
use thrice::block::region::Region;
use thrice::block::shape::Shape;
use thrice::survey::cautions::CAUTIONS;
use thrice::top::Work;
use thrice::top::hoopings::{self, Hooping};
use thrice::top::layout::Design;
use thrice::top::place::Place;
use thrice::top::plan::{HoopingPart, Plan};
use thrice::top::sewing::Sewn;
use thrice::top::share::items::Item;
use thrice::views::paper::Paper;
use thrice::views::quilt_sheet::lies::up;
use thrice::views::quilt_sheet::templates;

use super::picture::{boxed, data, round};

/// The quilt as the page shows it; `named` are the pieces that its file names.
pub fn shown(work: &Work, plan: &Plan, named: usize) -> Value {
    let book = templates::draw(work, Paper::default());
    let page = |number: usize| book.pages.get(&number).map_or(0, |(first, _)| *first);
    let listed = plan.hoopings.iter().zip(&work.hoopings);
    let units = work.quilt.units;
    let long = |mm: f64| show_length(mm, units);
    let t = &plan.totals;
    json!({
        "title": plan.title,
        "units": if units == thrice::base::units::Units::Inches { "in" } else { "mm" },
        "fingerprint": fingerprint(work),
        "map": map(work),
        "places": places(work, named),
        "hoopings": listed.map(|(part, hooping)| listed_hooping(part, hooping, page(part.number), work)).collect::<Vec<_>>(),
        "totals": t,
        "words": {
            "size": format!("{} by {}", long(plan.size[0]), long(plan.size[1])),
            "hoopings": format!("{} hoopings {}", t.hoopings, work.least.told(t.hoopings)),
            "hours": format!("{:.1} hours at the machine", t.minutes / 60.0),
            "all_hours": format!("{:.1} hours with hooping and bobbins", t.all_minutes / 60.0),
            "thread": format!("{:.0} m in the needle, {:.0} m in the bobbin ({} bobbins)", t.needle_thread_m, t.bobbin_thread_m, t.bobbins),
        },
        "counts": plan.counts,
        "cutting": plan.cutting,
        "strips": plan.strips,
        "warnings": plan.warnings,
        "cautions": CAUTIONS.map(|c| json!({ "when": c.when, "sentences": c.sentences })),
    })
}

/// What stands for all machine files: another one wherever any of them changes.
fn fingerprint(work: &Work) -> String {
    let all: Vec<String> = work.sewn.iter().map(|sewn| sewn.piece.fingerprint().to_string()).collect();
    format!("{:016x}", fnv_1a(all.join(" ").bytes()))
}

/// From the quilt's own coordinates to the page's.
fn to_page(work: &Work) -> Affine {
    let (w, h) = work.layout.size;
    Affine::translate((w / 2.0, h / 2.0)) * Affine::FLIP_Y
}

fn map(work: &Work) -> Value {
    let to_page = to_page(work);
    let patches = work.layout.patches.iter().map(|patch| {
        let outline = to_page * path_through(&patch.outline, true);
        json!({ "place": patch.place.to_string(), "d": data([outline]) })
    });
    let mut drawings = serde_json::Map::new();
    for (design, made) in work.layout.designs.iter().zip(&work.made) {
        for (part, sewn) in made.sewn.iter().enumerate() {
            drawings.insert(key(design, part, made.sewn.len()), json!(lines(sewn)));
        }
    }
    let hoopings = work.hoopings.iter().map(|hooping| {
        let sewn = &work.sewn[hooping.sewn];
        let pieces = hooping.items.iter().map(|item| {
            let design = &work.layout.designs[item.design];
            let parts = work.made[item.design].sewn.len();
            let matrix = to_page * item.at * Affine::FLIP_Y;
            json!({ "drawing": key(design, item.part, parts), "matrix": matrix.as_coeffs().map(fine) })
        });
        let field = to_page * path_through(&hoopings::field(sewn, hooping.at), true);
        let areas = hooping.items.iter().flat_map(|item| area(item, work)).map(|p| to_page * p);
        let at = to_page * hooping.centre;
        json!({
            "n": hooping.number,
            "pieces": pieces.collect::<Vec<_>>(),
            "area": data(areas),
            "field": data([field]),
            "at": [round(at.x), round(at.y)],
        })
    });
    let (w, h) = work.layout.size;
    json!({
        "size_mm": [round(w), round(h)],
        "patches": patches.collect::<Vec<_>>(),
        "drawings": drawings,
        "hoopings": hoopings.collect::<Vec<_>>(),
    })
}

/// What a drawing is called.
fn key(design: &Design, part: usize, parts: usize) -> String {
    if parts == 1 { design.name.clone() } else { format!("{}/{}", design.name, part + 1) }
}

/// The drawn lines about the piece's own centre.
fn lines(sewn: &Sewn) -> String {
    data(sewn.piece.drawing.lines.iter().map(|line| Affine::FLIP_Y * line))
}

/// The seams round what an item sews, on the quilt.
fn area(item: &Item, work: &Work) -> Vec<BezPath> {
    let block = &work.made[item.design].sewn[item.part].piece.order.block;
    rings(&block.outline).into_iter().map(|ring| item.at * ring).collect()
}

fn rings(region: &Region) -> Vec<BezPath> {
    region.rings().map(|ring| ring.path().clone()).collect()
}

fn listed_hooping(part: &HoopingPart, hooping: &Hooping, page: usize, work: &Work) -> Value {
    let sewn = &work.sewn[hooping.sewn];
    let [w, h] = part.hoop;
    let up = up(part.quilt_turn_deg);
    let lies = match &up {
        None => "The quilt’s top edge points to the top of the screen.".to_owned(),
        Some(words) => match words.strip_suffix(" up") {
            Some(edge) => format!("The quilt’s {edge} points to the top of the screen."),
            None => format!("The {words}."),
        },
    };
    json!({
        "n": part.number,
        "file": part.file,
        "where": part.place,
        "hoop": format!("{w:.0} × {h:.0} mm"),
        "field": part.hoop,
        "lies": lies,
        "up": up.unwrap_or_else(|| "top edge up".to_owned()),
        "quilt_turn_deg": part.quilt_turn_deg,
        "minutes": part.minutes,
        "stitches": sewn.piece.survey.steps.penetrations,
        "needle_thread_m": sewn.piece.survey.estimate.needle_thread_m,
        "bobbin_thread_m": sewn.piece.survey.estimate.bobbin_thread_m,
        "fingerprint": sewn.piece.fingerprint(),
        "before": before(part, work),
        "template": page,
    })
}

/// What has to be done before a hooping, in words; nothing if nothing has.
fn before(part: &HoopingPart, work: &Work) -> Option<String> {
    let mut said = Vec::new();
    match part.new_bobbins {
        0 => {}
        1 => said.push("New bobbin first.".to_owned()),
        more => said.push(format!("New bobbin first; it takes {more} in all.")),
    }
    let long = |mm: f64| show_length(mm, work.quilt.units);
    said.extend(part.extensions.iter().map(|(edge, wide, length)| {
        format!(
            "Baste a strip {} wide and {} long to the {edge} edge, for the hoop to hold.",
            long(*wide),
            long(*length)
        )
    }));
    (!said.is_empty()).then(|| said.join(" "))
}

/// The places of the quilt, each once for each look, with what is drawn there.
fn places(work: &Work, named: usize) -> Vec<Value> {
    let shown = work.layout.designs.iter().zip(&work.made);
    let place = |(design, made): (&Design, &thrice::top::sewing::Made)| {
        let outline = rings(&design.block.outline).into_iter().map(|ring| Affine::FLIP_Y * ring);
        let (path, family) = table(design, named);
        json!({
            "name": design.name,
            "place": design.place.to_string(),
            "corner": matches!(design.place, Place::BorderCorner(_)),
            "suit": design.block.shape.suit().word(),
            "corners_of_patch": corners(design),
            "words": capital(&design.place.to_string()),
            "count": design.at.len(),
            "motif": design.chosen.motif.name,
            "background": design.chosen.background.as_ref().map(|b| b.motif.name.clone()),
            "motif_words": made.whole.title().to_lowercase(),
            "size": design.block.shape.describe(work.quilt.units),
            "drawing": key(design, 0, made.sewn.len()),
            "parts": made.sewn.len(),
            "d": data(outline),
            "box": boxed(design.block.outline.bounds()),
            "toml": path,
            "by_family": family,
            "minutes": made.sewn.iter().map(|sewn| sewn.piece.survey.estimate.minutes).sum::<f64>(),
        })
    };
    shown.map(place).collect()
}

/// The table of the quilt file that a design follows, and whether a family filled it.
fn table(design: &Design, named: usize) -> (Value, bool) {
    match (&design.place, design.fill) {
        (Place::Border(n) | Place::BorderCorner(n), _) => (json!(["border", n - 1]), false),
        (_, Some(fill)) if fill < named => (json!(["piece", fill]), false),
        _ => (Value::Null, true),
    }
}

/// The corners of a patch that has no measures but them, as they can be typed; null for other shapes.
fn corners(design: &Design) -> Value {
    let (Place::Patch(_), Shape::Corners { corners }) = (&design.place, &design.block.shape) else {
        return Value::Null;
    };
    let typed = corners.iter().map(|p| format!("{:.2}mm,{:.2}mm", p.x, p.y)).collect::<Vec<_>>();
    json!(typed.join("; "))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A number of a matrix: a turn has to hold over a whole border.
fn fine(x: f64) -> f64 {
    (x * 1e6).round() / 1e6 + 0.0
}
