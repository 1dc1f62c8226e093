//! What the page needs to begin with: motifs, shapes, hoops, battings, families, options.

use std::sync::OnceLock;

use serde_json::{Value, json};
use thrice::base::units::{Units, option, show_length};
use thrice::block::suit::Suit;
use thrice::drawing::background::Background;
use thrice::drawing::motif::{Motif, kind_word};
use thrice::drawing::settings::{Kind, Setting, resolve};
use thrice::drawing::{corner, family};
use thrice::survey::batting::BATTINGS;
use thrice::survey::cautions::CAUTIONS;
use thrice::survey::hoop::FIELDS_MM;

use super::answer::{Answer, JSON, Refusal};
use crate::motifs;

/// Made once: it stays the same.
static START: OnceLock<Vec<u8>> = OnceLock::new();

/// All of it.
pub fn start() -> Result<Answer, Refusal> {
    if let Some(known) = START.get() {
        return Ok(Answer::new(JSON, known.clone()));
    }
    let all = motifs::read(None, &[])?;
    let answer = Answer::json(&json!({
        "version": env!("CARGO_PKG_VERSION"),
        "motifs": all.iter().map(motif).collect::<Vec<_>>(),
        "backgrounds": all.iter().filter(|m| fills(m)).map(|m| m.name.as_str()).collect::<Vec<_>>(),
        "shapes": SHAPES.iter().map(shape).collect::<Vec<_>>(),
        "hoops": FIELDS_MM.map(hoop),
        "battings": BATTINGS.map(|b| json!({
            "name": b.name, "gap_mm": b.gap_mm, "words": format!("gaps up to {}", show_length(b.gap_mm, Units::Inches)),
        })),
        "families": family::all().iter().map(|f| json!({ "name": f.name, "title": f.title, "words": f.about })).collect::<Vec<_>>(),
        "cautions": CAUTIONS.map(|c| json!({ "when": c.when, "sentences": c.sentences })),
    }))?;
    START.get_or_init(|| answer.body.clone());
    Ok(answer)
}

/// True if a motif can fill what another leaves open.
fn fills(motif: &Motif) -> bool {
    resolve(&motif.name, &motif.settings, &[]).is_ok_and(|settings| Background::new(motif, settings).is_ok())
}

fn motif(m: &Motif) -> Value {
    let words = |suits: &[Suit]| suits.iter().map(|s| s.word()).collect::<Vec<_>>();
    let families = family::all();
    let families = families.iter().filter(|f| f.members.iter().any(|member| member.motif == m.name));
    json!({
        "name": m.name,
        "title": m.title,
        "words": m.about,
        "suits": words(&m.suits),
        "families": families.map(|f| f.name.as_str()).collect::<Vec<_>>(),
        "corners": corner::ways(m).iter().map(|way| way.word()).collect::<Vec<_>>(),
        "scale": m.scale,
        "backtracking": m.doubling,
        "settings": m.settings.iter().map(setting).collect::<Vec<_>>(),
    })
}

fn setting(s: &Setting) -> Value {
    use thrice::drawing::settings::Value as Set;
    let bounded = !matches!(s.kind, Kind::Choice(_) | Kind::Seed);
    let default = match (&s.default, &s.kind) {
        (Set::Number(mm), Kind::Length) => option(*mm, Units::Inches).replace("about-", ""),
        (Set::Number(x), _) => x.to_string(),
        (Set::Whole(n), _) => n.to_string(),
        (Set::Word(word), _) => word.clone(),
    };
    let choices = if let Kind::Choice(words) = &s.kind { words.clone() } else { Vec::new() };
    json!({
        "name": s.name,
        "words": s.help,
        "kind": kind_word(&s.kind),
        "default": default,
        "value": s.default,
        "shown": s.show_value(&s.default),
        "least": bounded.then_some(s.range.0),
        "most": bounded.then_some(s.range.1),
        "unit": match s.kind { Kind::Length => Some("mm"), Kind::Angle => Some("deg"), _ => None },
        "choices": choices,
    })
}

fn hoop((across, up): (f64, f64)) -> Value {
    let inches = |mm: f64| {
        show_length(mm, Units::Inches).split(" in").next().unwrap_or_default().replace("about ", "")
    };
    json!({
        "field": format!("{across}x{up}mm"),
        "words": format!("{across} × {up} mm (about {} × {} in)", inches(across), inches(up)),
    })
}

/// A measure of a shape: name, words, an example; one that goes beside the others has a name of its own.
type Measure = (&'static str, &'static str, &'static str, bool);

/// Option, name, words, measures.
type Words = (&'static str, &'static str, &'static str, &'static [Measure]);

const SHAPES: [Words; 17] = [
    ("square", "square", "A square", &[("side", "side", "8in", false)]),
    (
        "sides",
        "sides",
        "A block as it came out, by its four sides and a diagonal",
        &[
            ("bottom", "bottom", "8 1/8in", false),
            ("right", "right side", "8in", false),
            ("top", "top", "7 7/8in", false),
            ("left", "left side", "8 1/16in", false),
            ("diagonal", "bottom left to top right", "11 3/8in", true),
            ("other-diagonal", "bottom right to top left, if you measured it", "", true),
        ],
    ),
    (
        "rectangle",
        "rectangle",
        "A rectangle",
        &[("across", "across", "6in", false), ("up", "up", "9in", false)],
    ),
    ("half-square", "half-square", "Half a square", &[("leg", "its two equal sides", "8in", false)]),
    ("quarter-square", "quarter-square", "A quarter of a square", &[("long", "its long side", "8in", false)]),
    (
        "side-triangle",
        "side-triangle",
        "The triangle at the side of blocks on point",
        &[("block", "the block’s side", "8in", false)],
    ),
    (
        "corner-triangle",
        "corner-triangle",
        "The triangle at the corner of blocks on point",
        &[("block", "the block’s side", "8in", false)],
    ),
    ("equilateral", "equilateral", "A triangle with three equal sides", &[("side", "side", "8in", false)]),
    (
        "sides",
        "three-sides",
        "A triangle as it came out, by its three sides",
        &[
            ("bottom", "bottom", "8in", false),
            ("right", "right side", "8in", false),
            ("left", "left side", "8in", false),
        ],
    ),
    ("hexagon", "hexagon", "A hexagon", &[("side", "side", "4in", false)]),
    ("octagon", "octagon", "An octagon", &[("across", "across the flats", "8in", false)]),
    (
        "diamond",
        "diamond",
        "A diamond",
        &[("side", "side", "6in", false), ("angle", "angle bottom left, degrees", "60", false)],
    ),
    ("circle", "circle", "A circle", &[("diameter", "diameter", "7in", false)]),
    (
        "strip",
        "strip",
        "A border or sash",
        &[("width", "width", "5in", false), ("length", "length", "40in", false)],
    ),
    ("corner", "corner", "The corner of a border", &[("width", "the border’s width", "5in", false)]),
    (
        "corners",
        "corners",
        "Any outline, by its corners",
        &[(
            "corners",
            "across and up of each corner in order",
            "0in,0in; 8 1/8in,0in; 8in,8in; 0in,7 7/8in",
            false,
        )],
    ),
    ("outline", "outline", "An outline of your own, from a drawing", &[]),
];

fn shape((option, name, words, measures): &Words) -> Value {
    let fields = measures.iter().map(|(name, words, example, more)| {
        json!({ "name": name, "words": words, "example": example, "more": more })
    });
    json!({
        "option": option,
        "name": name,
        "words": words,
        "fields": fields.collect::<Vec<_>>(),
        "file": *option == "outline",
    })
}
