//! A motif with its settings, or a drawing of her own, as tables of a quilt file name it.

use super::{Chosen, Dress, Sources};
use crate::base::form::{Form, Problems};
use crate::block::drawn;
use crate::block::suit::Suit;
use crate::drawing::background::Background;
use crate::drawing::library;
use crate::drawing::motif::Motif;
use crate::drawing::repeated::Repeated;
use crate::drawing::settings::{Settings, resolve};

/// The keys of a motif and its settings.
pub const MOTIF: [&str; 2] = ["motif", "settings"];

/// Takes a motif and its settings by their keys; refuses one that does not suit, with what it suits.
pub fn chosen(
    table: &mut Form<'_>,
    [key, settings]: [&str; 2],
    sources: &Sources<'_>,
    suit: Option<Suit>,
    problems: &mut Problems<'_>,
) -> Option<Chosen> {
    let name = table.text_at(key, problems);
    if name.is_none() {
        table.missing(key, "\"orange-peel\"", problems);
    }
    let asked = table.texts_at(settings, problems);
    let (name, at) = name?;
    let motif = match library::find(sources.motifs, &name) {
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
        Ok(settings) => {
            Some(Chosen { motif: motif.clone(), settings, pinned, background: None, dress: Dress::default() })
        }
        Err(error) => {
            problems.add(offsets.first().copied().unwrap_or(at), error.to_string());
            None
        }
    }
}

/// Takes `drawing = "kettle.svg"` in place of a motif; in copies if a width is asked for by `repeat`, or if it `repeats` anyway.
pub fn own(
    table: &mut Form<'_>,
    sources: &Sources<'_>,
    repeats: bool,
    problems: &mut Problems<'_>,
) -> Option<Chosen> {
    let width_mm = table.length("repeat", problems);
    let mirrored = table.value("mirrored", problems).unwrap_or(false);
    let repeats = repeats || width_mm.is_some() || mirrored;
    let (file, at) = table.text_at("drawing", problems)?;
    let read = (sources.drawing)(&file).and_then(|text| drawn::svg_lines(&text).map_err(|e| e.to_string()));
    match read {
        Ok(lines) if !lines.is_empty() => {
            let stem = file.rsplit(['/', '\\']).next().unwrap_or(&file);
            let name = stem.strip_suffix(".svg").unwrap_or(stem).to_owned();
            Some(Chosen {
                motif: match repeats {
                    true => Motif::of_repeats(&name, Repeated { lines, width_mm, mirrored }),
                    false => Motif::of_lines(&name, lines),
                },
                settings: Settings::default(),
                pinned: true,
                background: None,
                dress: Dress::default(),
            })
        }
        Ok(_) => {
            problems.add(at, format!("{file} has no lines; draw at least one that is longer than a dot"));
            None
        }
        Err(why) => {
            problems.add(at, format!("drawing: {why}"));
            None
        }
    }
}

/// Takes `design = "wreath.dst"` in place of a motif: a machine file, sewn anew to the piece.
pub fn elsewhere(table: &mut Form<'_>, sources: &Sources<'_>, problems: &mut Problems<'_>) -> Option<Chosen> {
    let (file, at) = table.text_at("design", problems)?;
    match (sources.design)(&file) {
        Ok(lines) => {
            let name = file.rsplit(['/', '\\']).next().unwrap_or(&file);
            let name = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
            Some(Chosen {
                motif: Motif::of_design(name, lines),
                settings: Settings::default(),
                pinned: true,
                background: None,
                dress: Dress::default(),
            })
        }
        Err(why) => {
            problems.add(at, format!("design: {why}"));
            None
        }
    }
}

/// What fills the places that the motif leaves open.
pub fn background(
    table: &mut Form<'_>,
    sources: &Sources<'_>,
    problems: &mut Problems<'_>,
) -> Option<Background> {
    let at = table.offset();
    if !table.has("background") {
        if let Some(asked) = table.texts_at("background-settings", problems) {
            let at = asked.first().map_or(at, |(_, at)| *at);
            problems.add(at, "background-settings needs a background, such as background = \"cross-hatch\"");
        }
        return None;
    }
    let chosen = chosen(table, ["background", "background-settings"], sources, None, problems)?;
    match Background::new(&chosen.motif, chosen.settings) {
        Ok(background) => Some(background),
        Err(error) => {
            problems.add(at, error.to_string());
            None
        }
    }
}
