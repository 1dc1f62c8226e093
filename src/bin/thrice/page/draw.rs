//! A design → what the page shows of it: picture, figures in words and numbers, warnings.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use thrice::base::units::{show_length, show_mm};
use thrice::drawing::Drawing;
use thrice::survey;
use thrice::survey::hoop::Fit;
use thrice::survey::lie;
use thrice::survey::remedy::Warning;
use thrice::survey::warnings::NOT_CHECKED;
use thrice::tailor::{self, Order, Piece, PieceError};
use thrice::top::advice::{self, Asked};
use thrice::views::relief::{self, scenes};
use thrice::views::sewn::{self, Sewn};

use super::answer::{Answer, Refusal};
use super::cache::Cache;
use super::design::{Design, Ordered};
use super::picture;
use crate::block::{self, bobbins, told};

/// Pictures of cloth are at most this wide, pixels.
const WIDEST_PX: u32 = 2400;

/// A design to be drawn.
#[derive(Deserialize)]
pub struct Draw {
    design: Design,
    #[serde(flatten)]
    shown: Shown,
}

/// What is shown of it.
#[derive(Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub struct Shown {
    /// Nothing but outline and lines, and nothing is made of them yet: no figures.
    lines: bool,
    /// The picture as a card has it: outline and lines.
    card: bool,
    /// The needle holes as well.
    holes: bool,
    /// What would help, tried out: takes as long as several drawings.
    advice: bool,
}

/// A design to be shown as cloth.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Relief {
    design: Design,
    cloth: Option<String>,
    thread: Option<String>,
    #[serde(default = "usual_px")]
    px: u32,
    #[serde(default)]
    png: bool,
}

const fn usual_px() -> u32 {
    900
}

/// A piece made, and why it is not written if it is not.
pub struct Made {
    piece: Piece,
    misfit: Option<PieceError>,
}

/// An order with its lines.
pub struct Lines {
    order: Order,
    drawing: Drawing,
}

/// What was made last.
pub struct Latest {
    lines: Cache<Lines>,
    made: Cache<Made>,
}

impl Latest {
    /// So many of each are kept.
    pub const fn new(most: usize) -> Self {
        Self { lines: Cache::new(most), made: Cache::new(most) }
    }
}

/// Draws the lines of a design.
fn lines(ordered: &Ordered, design: &Design, latest: &Latest) -> Result<Arc<Lines>, Refusal> {
    let refused = |error: anyhow::Error| ordered.refusal(&error, design);
    latest.lines.get(ordered.key(), || {
        let order = block::order(&ordered.args, ordered.files()).map_err(refused)?;
        let drawing = tailor::draw(&order).map_err(|error| refused(told(error.into())))?;
        Ok(Lines { order, drawing })
    })
}

/// Makes a piece, whether or not it fits its hoop.
fn made(ordered: &Ordered, design: &Design, latest: &Latest) -> Result<Arc<Made>, Refusal> {
    latest.made.get(ordered.key(), || {
        let lines = lines(ordered, design, latest)?;
        let piece = tailor::make_of(lines.order.clone(), lines.drawing.clone());
        piece.map_err(|error| ordered.refusal(&told(error.into()), design)).map(fitted)
    })
}

/// Makes what was ordered, and holds it against its hoop.
pub fn held(order: Order) -> anyhow::Result<Made> {
    tailor::make(order).map(fitted).map_err(|error| told(error.into()))
}

/// A piece held against its hoop.
fn fitted(piece: Piece) -> Made {
    let Some(hoop) = piece.order.sandwich.hoop else { return Made { piece, misfit: None } };
    match survey::admit(&piece.stitches, hoop, piece.order.units) {
        Ok(fit) => Made { piece: piece.held(fit), misfit: None },
        Err(error) => Made { piece, misfit: Some(error.into()) },
    }
}

/// Draws a design.
pub fn draw(asked: &Draw, latest: &Latest) -> Result<Answer, Refusal> {
    let ordered = asked.design.read(&[])?;
    if asked.shown.lines {
        let lines = lines(&ordered, &asked.design, latest)?;
        return Answer::json(&picture::lines(&lines.order.block, &lines.drawing.lines));
    }
    let made = made(&ordered, &asked.design, latest)?;
    Answer::json(&drawn(&made, asked.shown, &ordered.command()))
}

/// What the page shows of a piece, and the command that makes it.
pub fn drawn(made: &Made, asked: Shown, command: &str) -> Value {
    let piece = &made.piece;
    let mut drawn = json!({
        "svg": picture::svg(piece, asked.card),
        "box": picture::boxed(picture::shown(&piece.order.block)),
        "centre": picture::point(piece.survey.centre),
        "size_mm": picture::size(&piece.order.block),
        "corners": picture::corners(&piece.order.block),
        "name": piece.order.name,
        "title": piece.title(),
        "figures": figures(piece),
        "words": words(piece),
        "refused": refused(made, asked.advice),
    });
    if !asked.card {
        drawn["fingerprint"] = json!(piece.fingerprint());
        drawn["settings"] = json!(piece.report().motif.settings);
        drawn["warnings"] = warnings(piece, asked.advice);
        drawn["hoop"] = hoop(piece);
        drawn["command"] = json!(command);
    }
    if asked.holes {
        let runs = piece.stitches.pieces.iter();
        let holes: Vec<[f64; 2]> =
            runs.clone().flat_map(|run| run.points.iter().map(|p| picture::point(*p))).collect();
        let mut end = 0;
        let runs: Vec<[usize; 2]> = runs
            .map(|run| {
                let first = end;
                end += run.points.len();
                [first, end.saturating_sub(1)]
            })
            .collect();
        drawn["holes"] = json!(holes);
        drawn["runs"] = json!(runs);
    }
    drawn
}

/// Why its files are not written, if they are not.
fn refused(made: &Made, advice: bool) -> Value {
    let Some(misfit) = &made.misfit else { return Value::Null };
    let misfit = if advice { advice::on_misfit(misfit.clone(), &made.piece.order) } else { misfit.clone() };
    Refusal::of(&told(misfit.into())).at("options.hoop").value()
}

fn figures(piece: &Piece) -> Value {
    let (survey, route) = (&piece.survey, piece.route_figures());
    let gap = survey.gap.map(|gap| (picture::round(gap.widest_mm), picture::point(gap.at)));
    let e = survey.estimate;
    json!({
        "minutes": e.minutes,
        "thread_m": e.needle_thread_m,
        "bobbin_m": e.bobbin_thread_m,
        "bobbins": e.bobbins,
        "stitches": survey.steps.penetrations,
        "stitch_mm": survey.steps.median_mm,
        "passes": survey.steps.passes,
        "jumps": survey.jumps(),
        "line_mm": route.drawn,
        "backtracking_mm": route.doubled,
        "travel_mm": route.travelled,
        "gap_mm": gap.map(|(mm, _)| mm),
        "gap_at": gap.map(|(_, at)| at),
        "gap_allowed_mm": survey.gap_limit_mm,
        "gap_held": survey.is_held(),
        "most_holes": survey.holes.holes,
        "stretch": piece.drawing.stretch,
    })
}

/// The figures as the command prints them.
fn words(piece: &Piece) -> Value {
    let (survey, route, units) = (&piece.survey, piece.route_figures(), piece.order.units);
    let (e, long) = (survey.estimate, |mm: f64| show_length(mm, units));
    json!({
        "minutes": format!("{:.1} minutes", e.minutes),
        "speed": format!("{} a minute", piece.order.sandwich.pace.speed_per_minute),
        "thread": format!("{:.0} m in the needle, {:.0} m in the bobbin ({})", e.needle_thread_m, e.bobbin_thread_m, bobbins(e.bobbins)),
        "stitches": format!("{} stitches of {}", survey.steps.penetrations, show_mm(survey.steps.median_mm)),
        "gap": survey.gap.map(|gap| long(gap.widest_mm)),
        "gap_allowed": long(survey.gap_limit_mm),
        "size": piece.order.block.shape.describe(units),
        "jumps": block::jumps(survey.jumps()),
        "line": format!("{:.2} m of line", route.drawn / 1000.0),
        "backtracking": block::backtracking(route.doubled, units),
        "margin": long(piece.order.block.margin_mm),
    })
}

/// What she should know: what was measured in the stitches wants care, what the stages before had to say is a note.
fn warnings(piece: &Piece, advice: bool) -> Value {
    let notes = piece.order.notes.len() + piece.order.block.notes.len() + piece.drawing.notes.len();
    let all = piece.report().warnings.into_iter().enumerate().filter(|(_, told)| told.text != NOT_CHECKED);
    let kind = |at: usize| if at < notes { "note" } else { "care" };
    let one = |told: &Warning, kind: &str| json!({ "text": told.text, "kind": kind, "remedy": told.remedy });
    let mut told: Vec<Value> = all.map(|(at, told)| one(&told, kind(at))).collect();
    if advice && let Some(help) = advice::on_gap(piece, Asked::Options) {
        told.push(one(&help.in_units(piece.order.units), "note"));
    }
    if piece.order.sandwich.hoop.is_none() {
        told.push(json!({ "text": "Not checked against a hoop: name yours.", "kind": "note" }));
    }
    json!(told)
}

#[derive(Serialize)]
struct InHoop {
    field: [f64; 2],
    /// In the picture.
    rect: [f64; 4],
    fits: bool,
    turned: bool,
    spare: [f64; 2],
    words: String,
}

fn hoop(piece: &Piece) -> Value {
    let (Some(hoop), Some(rect)) = (piece.order.sandwich.hoop, picture::field(piece)) else {
        return Value::Null;
    };
    let fit: Fit = piece.survey.fit.unwrap_or(Fit { hoop, fits: false, turned: false, spare_mm: [0.0; 2] });
    let [across, up] = fit.spare_mm.map(|mm| show_length(mm, piece.order.units));
    let words = if fit.fits {
        format!(
            "{} It has {across} across and {up} up to spare.",
            lie::words(&piece.order.block.shape, piece.is_turned())
        )
    } else {
        format!("It does not fit a field of {hoop}.")
    };
    json!(InHoop {
        field: [hoop.width_mm, hoop.height_mm],
        rect: picture::boxed(rect),
        fits: fit.fits,
        turned: piece.is_turned(),
        spare: fit.spare_mm,
        words,
    })
}

/// The design as quilted cloth, as the block lies in the quilt.
pub fn relief(asked: Relief, latest: &Latest) -> Result<Answer, Refusal> {
    let design = asked.design.coloured(asked.cloth, asked.thread);
    let ordered = design.read(&[])?;
    let made = made(&ordered, &design, latest)?;
    let piece = &made.piece;
    let upright = Sewn {
        block: Some(std::borrow::Cow::Borrowed(&piece.order.block)),
        stitches: std::borrow::Cow::Borrowed(&piece.stitches),
        turned: false,
        ..sewn::of_piece(piece)
    };
    let scene = scenes::block(&sewn::picture(&upright), &ordered.args.looks().stuff);
    let broke = |error: &dyn std::fmt::Display| Refusal::new(422, &error.to_string());
    let px = asked.px.clamp(1, WIDEST_PX).min(relief::widest(scene.shown));
    let pixels = relief::draw(&scene, px).map_err(|error| broke(&error))?;
    let r = scene.shown;
    let shown = picture::boxed(kurbo::Rect::new(r.x0, -r.y1, r.x1, -r.y0));
    let (kind, bytes) = if asked.png { ("image/png", pixels.png()) } else { ("image/jpeg", pixels.jpeg()) };
    let bytes = bytes.map_err(|error| broke(&error))?;
    Ok(Answer::new(kind, bytes).with("X-Box", shown.map(|mm| mm.to_string()).join(" ")))
}
