//! `[[border]]` of a quilt file.

use super::chosen::{MOTIF, chosen, own};
use super::sewing::dress;
use super::{Border, Chosen, Corner, MOST_BORDERS, Sources};
use crate::base::form::{Form, Problems};
use crate::base::units::{LONGEST_MM, read_length};
use crate::block::LEAST_MM;
use crate::block::suit::Suit;
use crate::drawing::corner::{self, Way};
use crate::drawing::motif::Motif;

const KEYS: [&str; 12] = [
    "width",
    "motif",
    "settings",
    "drawing",
    "repeat",
    "mirrored",
    "corner",
    "corner-motif",
    "corner-settings",
    "cloth",
    "thread",
    "share",
];

/// The borders, and where each stands in the file.
pub fn read(
    form: &mut Form<'_>,
    sources: &Sources<'_>,
    problems: &mut Problems<'_>,
) -> (Vec<Border>, Vec<usize>) {
    let (mut borders, mut lines) = (Vec::new(), Vec::new());
    for mut table in form.forms("border", problems) {
        if borders.len() == MOST_BORDERS {
            problems.add(table.offset(), format!("there are more than {MOST_BORDERS} borders"));
        }
        if !table.has("width") {
            table.missing("width", "\"5in\"", problems);
        }
        let at = table.offset();
        let widths = widths(&mut table, problems);
        let corner = corner_word(&mut table, problems);
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
        if corner_motif && corner != Some(Corner::Square) {
            problems.add(at, "corner-motif needs corner = \"square\"");
        }
        let any = table.has("motif") || table.has("settings");
        let chosen = if table.has("drawing") {
            if any {
                problems.add(at, "motif and drawing are both given; leave one of them out");
            }
            own(&mut table, sources, true, problems)
        } else {
            any.then(|| chosen(&mut table, MOTIF, sources, Some(Suit::Strip), problems)).flatten()
        };
        let dress = dress(&mut table, problems);
        let dressed = |chosen: Option<Chosen>| chosen.map(|c| Chosen { dress: dress.clone(), ..c });
        let (chosen, corner_chosen) = (dressed(chosen), dressed(corner_chosen));
        let share = table.flag("share", problems).unwrap_or(true);
        table.finish(&KEYS, problems);
        if let Some(widths) = widths {
            let (corner, asked) = (corner.unwrap_or(Corner::Butt), corner.is_some());
            borders.push(Border { widths, chosen, corner, asked, corner_chosen, share });
            lines.push(at);
        }
    }
    (borders, lines)
}

/// Settles how a border goes round its corners: the best that its motif can where nothing was asked for; what it cannot is
/// refused, with the motifs that can.
pub fn go_round(border: &mut Border, at: usize, motifs: &[Motif], problems: &mut Problems<'_>) {
    let equal = border.widths.iter().all(|mm| *mm == border.widths[0]);
    if border.asked && border.corner == Corner::Turn && !equal {
        problems.add(
            at,
            "a border turns its corners only where all four sides are equally wide; take corner = \"butt\", \"mitre\" or \
             \"square\"",
        );
        return;
    }
    let Some(chosen) = &border.chosen else { return };
    let ways = corner::ways(&chosen.motif);
    if !border.asked {
        let best = ways.iter().find(|way| equal || **way != Way::Turn);
        border.corner = best.map_or(Corner::Butt, |way| asked_for(*way));
        return;
    }
    let Some(way) = way(border.corner) else { return };
    if !ways.contains(&way) && !ways.is_empty() {
        let (name, word) = (&chosen.motif.name, way.word());
        let own: Vec<String> = ways.iter().map(|w| format!("\"{}\"", w.word())).collect();
        let those = corner::that_can(motifs, way).join(", ");
        problems.add(
            at,
            format!(
                "{name} has no {word} for its corners; take corner = {}, or a motif that has: {those}",
                own.join(" or ")
            ),
        );
    }
}

/// The way of a motif that a corner asks for; a square asks for none.
const fn way(corner: Corner) -> Option<Way> {
    match corner {
        Corner::Turn => Some(Way::Turn),
        Corner::Mitre => Some(Way::Mitre),
        Corner::Butt => Some(Way::Butt),
        Corner::Square => None,
    }
}

const fn asked_for(way: Way) -> Corner {
    match way {
        Way::Turn => Corner::Turn,
        Way::Mitre => Corner::Mitre,
        Way::Butt => Corner::Butt,
    }
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

fn corner_word(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Corner> {
    let (word, at) = table.text_at("corner", problems)?;
    match word.as_str() {
        "turn" => Some(Corner::Turn),
        "square" => Some(Corner::Square),
        "butt" => Some(Corner::Butt),
        "mitre" | "miter" => Some(Corner::Mitre),
        _ => {
            let message = format!(
                "corner is `{word}`; it is \"turn\" (the line runs round), \"square\" (a square of its own), \
                 \"butt\" (top and bottom run out to the edge) or \"mitre\" (the sides meet on a slant)"
            );
            problems.add(at, message);
            None
        }
    }
}
