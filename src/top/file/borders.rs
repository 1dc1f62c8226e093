//! `[[border]]` of a quilt file.

use super::chosen::{MOTIF, chosen};
use super::sewing::dress;
use super::{Border, Chosen, Corner, MOST_BORDERS, Sources};
use crate::base::form::{Form, Problems};
use crate::base::units::{LONGEST_MM, read_length};
use crate::block::LEAST_MM;
use crate::block::suit::Suit;

const KEYS: [&str; 8] =
    ["width", "motif", "settings", "corner", "corner-motif", "corner-settings", "cloth", "thread"];

pub fn read(form: &mut Form<'_>, sources: &Sources<'_>, problems: &mut Problems<'_>) -> Vec<Border> {
    let mut borders = Vec::new();
    for mut table in form.forms("border", problems) {
        if borders.len() == MOST_BORDERS {
            problems.add(table.offset(), format!("there are more than {MOST_BORDERS} borders"));
        }
        if !table.has("width") {
            table.missing("width", "\"5in\"", problems);
        }
        let widths = widths(&mut table, problems);
        let asked = table.has("corner");
        let mut corner = corner(&mut table, problems);
        let at = table.offset();
        if let Some(widths) = widths
            && corner == Corner::Turn
            && widths.iter().any(|mm| *mm != widths[0])
        {
            if asked {
                problems.add(
                    at,
                    "a border turns its corners only where all four sides are equally wide; take corner = \"butt\", \
                     \"mitre\" or \"square\"",
                );
            }
            corner = Corner::Butt;
        }
        let kind = if corner == Corner::Mitre { Suit::Quadrilateral } else { Suit::Strip };
        let corner_motif = table.has("corner-motif") || table.has("corner-settings");
        let corner_suit = match widths {
            Some([a, b, ..]) if a != b => Suit::Rectangle,
            _ => Suit::Square,
        };
        let corner_chosen = corner_motif
            .then(|| {
                chosen(&mut table, ["corner-motif", "corner-settings"], sources, Some(corner_suit), problems)
            })
            .flatten();
        if corner_motif && corner != Corner::Square {
            problems.add(at, "corner-motif needs corner = \"square\"");
        }
        let any = table.has("motif") || table.has("settings");
        let chosen = any.then(|| chosen(&mut table, MOTIF, sources, Some(kind), problems)).flatten();
        let dress = dress(&mut table, problems);
        let dressed = |chosen: Option<Chosen>| chosen.map(|c| Chosen { dress: dress.clone(), ..c });
        let (chosen, corner_chosen) = (dressed(chosen), dressed(corner_chosen));
        table.finish(&KEYS, problems);
        if let Some(widths) = widths {
            borders.push(Border { widths, chosen, corner, corner_chosen });
        }
    }
    borders
}

/// One width, or four: top, right, bottom, left; 0 for no border there.
fn widths(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<[f64; 4]> {
    let (text, at) = table.text_at("width", problems)?;
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    if parts.len() != 1 && parts.len() != 4 {
        problems.add(
            at,
            format!("width has {} lengths; give one, or four: top, right, bottom, left", parts.len()),
        );
        return None;
    }
    let mut read = Vec::new();
    for part in &parts {
        match read_length(part) {
            Ok(mm) if (LEAST_MM..=LONGEST_MM).contains(&mm) || (mm == 0.0 && parts.len() == 4) => read.push(mm),
            Ok(_) => problems.add(at, format!("width is {part}; it goes from {LEAST_MM} to {LONGEST_MM:.0} mm, or is 0in on a side without")),
            Err(error) => problems.add(at, format!("width: {error}")),
        }
    }
    match read[..] {
        [all] => Some([all; 4]),
        [top, right, bottom, left] if read.iter().any(|mm| *mm > 0.0) => Some([top, right, bottom, left]),
        [_, _, _, _] => {
            problems.add(at, "all four widths are 0; leave the border out, or give one side a width");
            None
        }
        _ => None,
    }
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
