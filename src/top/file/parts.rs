//! The tables of a quilt file that say what lies where: setting, pieces, borders, odd blocks.

use super::sewing::length_in;
use super::{Border, Chosen, Corner, Fill, MOST_BLOCKS, MOST_BORDERS, Odd, Top};
use crate::base::form::{Form, Problems};
use crate::base::units::{LONGEST_MM, read_length};
use crate::block::shape::Shape;
use crate::block::suit::Suit;
use crate::block::{LEAST_MM, words};
use crate::drawing::background::Background;
use crate::drawing::library;
use crate::drawing::motif::Motif;
use crate::drawing::settings::resolve;
use crate::top::place::Place;

const TOP_KEYS: [&str; 6] = ["setting", "rows", "columns", "block", "sashing", "outer-sashing"];
const PIECE_KEYS: [&str; 5] = ["where", "motif", "settings", "background", "background-settings"];
const BORDER_KEYS: [&str; 6] = ["width", "motif", "settings", "corner", "corner-motif", "corner-settings"];

pub fn top(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Top> {
    let Some(mut table) = form.form("top", problems) else {
        form.missing("[top]", "with setting, rows, columns and block below it", problems);
        return None;
    };
    let on_point = setting(&mut table, problems);
    for key in ["rows", "columns"] {
        if !table.has(key) {
            table.missing(key, "4", problems);
        }
    }
    let rows = table.count("rows", 1..=MOST_BLOCKS, problems);
    let columns = table.count("columns", 1..=MOST_BLOCKS, problems);
    let block = block(&mut table, on_point == Some(true), problems);
    let sashing = match table.text_at("sashing", problems) {
        Some((text, at)) => match read_length(&text) {
            Ok(mm) if mm == 0.0 || (LEAST_MM..=LONGEST_MM).contains(&mm) => Some(mm),
            Ok(_) => {
                problems.add(at, format!("sashing is {text}; it is 0in, or {LEAST_MM} mm and more"));
                None
            }
            Err(error) => {
                problems.add(at, format!("sashing: {error}"));
                None
            }
        },
        None => Some(0.0),
    };
    let outer_sashing = table.flag("outer-sashing", problems).unwrap_or(false);
    if outer_sashing && on_point == Some(true) {
        problems.add(table.offset(), "outer-sashing is for a straight setting; on point, add a border");
    }
    table.finish(&TOP_KEYS, problems);
    let (block, sashing) = (block?, sashing?);
    Some(Top { on_point: on_point?, rows: rows?, columns: columns?, block, sashing, outer_sashing })
}

fn setting(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<bool> {
    match table.text_at("setting", problems) {
        Some((word, _)) if word == "straight" => Some(false),
        Some((word, _)) if word == "on point" => Some(true),
        Some((word, at)) => {
            problems.add(at, format!("setting is `{word}`; it is \"straight\" or \"on point\""));
            None
        }
        None => {
            table.missing("setting", "\"straight\" or \"on point\"", problems);
            None
        }
    }
}

fn block(table: &mut Form<'_>, on_point: bool, problems: &mut Problems<'_>) -> Option<(f64, f64)> {
    let Some((text, at)) = table.text_at("block", problems) else {
        table.missing("block", "\"8in\"", problems);
        return None;
    };
    let key = if text.contains(',') { "rectangle" } else { "square" };
    match Shape::from_words(key, &text) {
        Ok(Shape::Square { side }) => Some((side, side)),
        Ok(Shape::Rectangle { .. }) if on_point => {
            problems.add(at, "on point the blocks are squares; give one size, such as \"8in\"");
            None
        }
        Ok(Shape::Rectangle { width, height }) => Some((width, height)),
        Ok(_) => None,
        Err(error) => {
            problems.add(at, format!("block: {error}"));
            None
        }
    }
}

pub fn odds(form: &mut Form<'_>, top: Option<&Top>, problems: &mut Problems<'_>) -> Vec<Odd> {
    let mut odds: Vec<Odd> = Vec::new();
    for table in form.forms("odd", problems) {
        let offset = table.offset();
        let Some(odd) = odd(table, top, problems) else { continue };
        if odds.iter().any(|o| o.at == odd.at || o.name == odd.name) {
            problems.add(offset, format!("`{}` has the name or the place of another odd block", odd.name));
        }
        odds.push(odd);
    }
    odds
}

fn odd(mut table: Form<'_>, top: Option<&Top>, problems: &mut Problems<'_>) -> Option<Odd> {
    let offset = table.offset();
    let name = table.text_at("name", problems);
    if name.is_none() {
        table.missing("name", "\"the one that came out wide\"", problems);
    }
    let name = name.and_then(|(name, at)| {
        let taken = Place::NAMED.iter().any(|p| p.to_string() == name);
        if taken || super::path_safe(&name).is_empty() {
            problems.add(at, format!("`{name}` cannot name an odd block; give it words of its own"));
            return None;
        }
        Some(name)
    });
    if !table.has("at") {
        table.missing("at", "[2, 1]", problems);
    }
    let at: Option<(f64, f64)> = table.value("at", problems);
    if let (Some(at), Some(top)) = (at, top)
        && !is_a_place(at, top)
    {
        let (columns, rows) = (top.columns, top.rows);
        problems.add(
            offset,
            format!(
                "there is no block at column {}, row {}; columns go from 1 to {columns}, rows from 1 to {rows}, \
                 with halves between them on point",
                at.0, at.1
            ),
        );
    }
    let shape = shape(&mut table, problems);
    let mut allowed = vec!["name", "at", "diagonal", "other-diagonal"];
    allowed.extend(words::KEYS);
    table.finish(&allowed, problems);
    Some(Odd { name: name?, at: at?, shape: shape? })
}

/// True for the column and row of a block; halves, both at once, for the blocks between the rows on point.
fn is_a_place((column, row): (f64, f64), top: &Top) -> bool {
    let (columns, rows) = (f64::from(top.columns), f64::from(top.rows));
    let between = top.on_point && column.fract() == 0.5 && row.fract() == 0.5;
    let whole = column.fract() == 0.0 && row.fract() == 0.0;
    (whole || between) && (1.0..=columns).contains(&column) && (1.0..=rows).contains(&row)
}

fn shape(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Shape> {
    let offset = table.offset();
    let keys: Vec<&str> = words::KEYS.into_iter().filter(|k| table.has(k)).collect();
    let diagonal = table.text("diagonal", problems);
    let other = table.text("other-diagonal", problems);
    let [key] = keys[..] else {
        let all = words::KEYS.join(", ");
        problems.add(offset, format!("an odd block needs one shape, such as sides = \"…\"; there are {all}"));
        for key in keys {
            table.text(key, problems);
        }
        return None;
    };
    let (text, at) = table.text_at(key, problems)?;
    let read = match key {
        "sides" => Shape::from_sides(&text, diagonal.as_deref(), other.as_deref()),
        _ => Shape::from_words(key, &text),
    };
    match read.and_then(|shape| crate::block::outline(&shape, 0.0).map(|_| shape)) {
        Ok(shape) => Some(shape),
        Err(error) => {
            problems.add(at, format!("{key}: {error}"));
            None
        }
    }
}

pub fn fills(
    form: &mut Form<'_>,
    motifs: &[Motif],
    top: Option<&Top>,
    odds: &[Odd],
    problems: &mut Problems<'_>,
) -> Vec<Fill> {
    let mut fills: Vec<Fill> = Vec::new();
    for mut table in form.forms("piece", problems) {
        let place = table.text_at("where", problems);
        if place.is_none() {
            table.missing("where", "\"blocks\"", problems);
        }
        let place = place.and_then(|(word, at)| Some((read_place(&word, at, top, odds, problems)?, at)));
        let suit = place.as_ref().and_then(|(place, _)| suit(place, top, odds));
        let mut chosen = chosen(&mut table, MOTIF, motifs, suit, problems);
        let background = background(&mut table, motifs, problems);
        if let Some(chosen) = &mut chosen {
            chosen.background = background;
        }
        table.finish(&PIECE_KEYS, problems);
        let (Some((place, at)), Some(chosen)) = (place, chosen) else { continue };
        if fills.iter().any(|f| f.place == place) {
            problems.add(at, format!("`{place}` has a motif already; leave one of them out"));
        }
        fills.push(Fill { place, chosen });
    }
    fills
}

/// What fills the places that the motif leaves open.
fn background(table: &mut Form<'_>, motifs: &[Motif], problems: &mut Problems<'_>) -> Option<Background> {
    let at = table.offset();
    if !table.has("background") {
        if let Some(asked) = table.texts_at("background-settings", problems) {
            let at = asked.first().map_or(at, |(_, at)| *at);
            problems.add(at, "background-settings needs a background, such as background = \"cross-hatch\"");
        }
        return None;
    }
    let chosen = chosen(table, ["background", "background-settings"], motifs, None, problems)?;
    match Background::new(&chosen.motif, chosen.settings) {
        Ok(background) => Some(background),
        Err(error) => {
            problems.add(at, error.to_string());
            None
        }
    }
}

/// The kind of block at a place.
fn suit(place: &Place, top: Option<&Top>, odds: &[Odd]) -> Option<Suit> {
    match place {
        Place::Blocks | Place::AlternateBlocks => {
            let (width, height) = top?.block;
            Some(Shape::Rectangle { width, height }.suit())
        }
        Place::Odd(name) => Some(odds.iter().find(|o| o.name == *name)?.shape.suit()),
        _ => place.suit(),
    }
}

fn read_place(
    word: &str,
    at: usize,
    top: Option<&Top>,
    odds: &[Odd],
    problems: &mut Problems<'_>,
) -> Option<Place> {
    let named = Place::NAMED.into_iter().find(|p| p.to_string() == word);
    let odd = odds.iter().find(|o| o.name == word).map(|o| Place::Odd(o.name.clone()));
    let Some(place) = named.or(odd) else {
        let all: Vec<String> =
            Place::NAMED.iter().map(Place::to_string).chain(odds.iter().map(|o| o.name.clone())).collect();
        problems.add(at, format!("`{word}` is no place of the quilt; there are {}", all.join(", ")));
        return None;
    };
    let why = match (&place, top) {
        (Place::SideTriangles | Place::CornerTriangles, Some(top)) if !top.on_point => {
            "only a setting on point has setting triangles"
        }
        (Place::Sashes | Place::Posts, Some(top)) if top.sashing == 0.0 => {
            "there is no sashing; give [top] a sashing, such as \"1in\""
        }
        _ => return Some(place),
    };
    problems.add(at, format!("there are no {place} in this quilt; {why}"));
    None
}

pub fn borders(form: &mut Form<'_>, motifs: &[Motif], problems: &mut Problems<'_>) -> Vec<Border> {
    let mut borders = Vec::new();
    for mut table in form.forms("border", problems) {
        if borders.len() == MOST_BORDERS {
            problems.add(table.offset(), format!("there are more than {MOST_BORDERS} borders"));
        }
        if !table.has("width") {
            table.missing("width", "\"5in\"", problems);
        }
        let width = length_in(&mut table, "width", LEAST_MM..=LONGEST_MM, problems);
        let corner = corner(&mut table, problems);
        let kind = if corner == Corner::Mitre { Suit::Quadrilateral } else { Suit::Strip };
        let at = table.offset();
        let corner_motif = table.has("corner-motif") || table.has("corner-settings");
        let corner_chosen = corner_motif
            .then(|| {
                chosen(&mut table, ["corner-motif", "corner-settings"], motifs, Some(Suit::Square), problems)
            })
            .flatten();
        if corner_motif && corner != Corner::Square {
            problems.add(at, "corner-motif needs corner = \"square\"");
        }
        let any = table.has("motif") || table.has("settings");
        let chosen = any.then(|| chosen(&mut table, MOTIF, motifs, Some(kind), problems)).flatten();
        table.finish(&BORDER_KEYS, problems);
        if let Some(width) = width {
            borders.push(Border { width, chosen, corner, corner_chosen });
        }
    }
    borders
}

fn corner(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Corner {
    let Some((word, at)) = table.text_at("corner", problems) else { return Corner::Turn };
    match word.as_str() {
        "turn" => Corner::Turn,
        "square" => Corner::Square,
        "butt" => Corner::Butt,
        "mitre" | "miter" => Corner::Mitre,
        _ => {
            let message = format!(
                "corner is `{word}`; it is \"turn\" (the line runs round), \"square\" (a square of its own), \
                 \"butt\" (top and bottom run out to the edge) or \"mitre\" (the sides meet on a slant)"
            );
            problems.add(at, message);
            Corner::Turn
        }
    }
}

/// The keys of a motif and its settings.
const MOTIF: [&str; 2] = ["motif", "settings"];

/// Takes a motif and its settings by their keys.
fn chosen(
    table: &mut Form<'_>,
    [key, settings]: [&str; 2],
    motifs: &[Motif],
    suit: Option<Suit>,
    problems: &mut Problems<'_>,
) -> Option<Chosen> {
    let name = table.text_at(key, problems);
    if name.is_none() {
        table.missing(key, "\"orange-peel\"", problems);
    }
    let asked = table.texts_at(settings, problems);
    let (name, at) = name?;
    let motif = match library::find(motifs, &name) {
        Ok(motif) => motif,
        Err(error) => {
            problems.add(at, error.to_string());
            return None;
        }
    };
    if let Some(suit) = suit
        && !motif.suits(suit)
    {
        let suits: Vec<&str> = motif.suits.iter().map(|s| s.word()).collect();
        let suits = suits.join(", ");
        problems.add(at, format!("{name} does not suit a {}; it suits {suits}", suit.word()));
    }
    let (words, offsets): (Vec<String>, Vec<usize>) = asked.unwrap_or_default().into_iter().unzip();
    let pinned = motif.scale.as_ref().is_some_and(|scale| {
        words.iter().any(|w| w.split('=').next().is_some_and(|name| name.trim() == scale))
    });
    match resolve(&motif.name, &motif.settings, &words) {
        Ok(settings) => Some(Chosen { motif: motif.clone(), settings, pinned, background: None }),
        Err(error) => {
            problems.add(offsets.first().copied().unwrap_or(at), error.to_string());
            None
        }
    }
}
