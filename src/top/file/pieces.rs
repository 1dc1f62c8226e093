//! `[[piece]]` of a quilt file: which motif goes where, how it is turned, and how far it keeps from the seams.

use super::chosen::{MOTIF, background, chosen, elsewhere, own};
use super::sewing::{dress, length_in};
use super::top::{Set, Top};
use super::{Chosen, Fill, Mirror, Odd, Sources, Turn};
use crate::base::form::{Form, Problems};
use crate::block::suit::Suit;
use crate::drawing::settings::Kind;
use crate::top::place::Place;
use crate::top::setting::Spot;

const KEYS: [&str; 17] = [
    "where",
    "at",
    "motif",
    "drawing",
    "repeat",
    "mirrored",
    "design",
    "settings",
    "turn",
    "mirror",
    "seed",
    "margin",
    "background",
    "background-settings",
    "cloth",
    "thread",
    "share",
];

/// What `[[piece]]` is read against: the top, its odd blocks and all its spots.
pub struct Ground<'a> {
    /// `[top]`, if it could be read.
    pub top: Option<&'a Top>,
    /// The odd blocks.
    pub odds: &'a [Odd],
    /// Every spot of the top.
    pub spots: &'a [Spot],
}

/// Reads all of them.
pub fn read(
    form: &mut Form<'_>,
    sources: &Sources<'_>,
    ground: &Ground<'_>,
    problems: &mut Problems<'_>,
) -> Vec<Fill> {
    let mut fills: Vec<Fill> = Vec::new();
    for mut table in form.forms("piece", problems) {
        let named = place(&mut table, ground, problems);
        let offset = named.as_ref().map_or(table.offset(), |(_, at)| *at);
        let place = named.map(|(place, _)| place);
        let at = at(&mut table, place.as_ref(), ground, problems);
        let chosen = what(&mut table, place.as_ref(), at.as_deref(), (sources, ground), problems);
        let turn = turn(&mut table, place.as_ref(), problems);
        let mirror = mirror(&mut table, problems);
        let each_seed = seed(&mut table, chosen.as_ref().map(|c| &c.motif), problems);
        let margin = length_in(&mut table, "margin", 0.0..=100.0, problems);
        let dress = dress(&mut table, problems);
        let share = table.flag("share", problems).unwrap_or(true);
        table.finish(&KEYS, problems);
        let chosen = chosen.map(|chosen| Chosen { dress, ..chosen });
        let (Some(place), Some(chosen)) = (place, chosen) else { continue };
        let clash = |f: &&Fill| f.place == place && clash(f.at.as_deref(), at.as_deref());
        if let Some(other) = fills.iter().find(clash) {
            let where_ = match &other.at {
                Some(_) => format!("`{place}` has a motif at one of these rows and columns already"),
                None => format!("`{place}` has a motif already"),
            };
            problems.add(
                offset,
                format!("{where_}; leave one of them out, or say at = [[1, 1]] for some of them"),
            );
        }
        fills.push(Fill { place, at, chosen, turn, mirror, each_seed, margin, share });
    }
    fills
}

/// True if two pieces of one place claim the same spot with the same right.
fn clash(a: Option<&[(f64, f64)]>, b: Option<&[(f64, f64)]>) -> bool {
    match (a, b) {
        (None, None) => true,
        (Some(a), Some(b)) => a.iter().any(|p| b.contains(p)),
        _ => false,
    }
}

fn place(table: &mut Form<'_>, ground: &Ground<'_>, problems: &mut Problems<'_>) -> Option<(Place, usize)> {
    let Some((word, at)) = table.text_at("where", problems) else {
        table.missing("where", "\"blocks\"", problems);
        return None;
    };
    let named = Place::NAMED.into_iter().find(|p| p.to_string() == word);
    let odd = || ground.odds.iter().find(|o| o.name == word).map(|o| Place::Odd(o.name.clone()));
    let patch = || {
        ground
            .spots
            .iter()
            .map(|s| &s.place)
            .find(|p| matches!(p, Place::Patch(name) if *name == word))
            .cloned()
    };
    let Some(place) = named.or_else(odd).or_else(patch) else {
        let mut all: Vec<String> = Place::NAMED.iter().map(Place::to_string).collect();
        all.extend(ground.odds.iter().map(|o| o.name.clone()));
        all.extend(
            ground
                .spots
                .iter()
                .filter(|s| matches!(s.place, Place::Patch(_)))
                .take(12)
                .map(|s| s.place.to_string()),
        );
        problems.add(at, format!("`{word}` is no place of the quilt; there are {}", all.join(", ")));
        return None;
    };
    let Some(top) = ground.top else { return Some((place, at)) };
    let drawn = matches!(top.set, Set::Drawn(_));
    let why = match &place {
        Place::SideTriangles | Place::CornerTriangles if top.set != Set::OnPoint => {
            "only a setting on point has setting triangles"
        }
        Place::Sashes | Place::Posts if !top.sashing.is_some() => {
            "there is no sashing; give [top] a sashing, such as \"1in\""
        }
        Place::Posts if !top.sashing.posts || top.sashing.upright * top.sashing.level == 0.0 => {
            "posts stand where upright and level sashes meet; give both a width, and leave posts = false out"
        }
        Place::AlternateBlocks if drawn || top.set == Set::WholeCloth => {
            "name the patches, or \"blocks\" for all"
        }
        _ => return Some((place, at)),
    };
    problems.add(at, format!("there are no {place} in this quilt; {why}"));
    None
}

fn at(
    table: &mut Form<'_>,
    place: Option<&Place>,
    ground: &Ground<'_>,
    problems: &mut Problems<'_>,
) -> Option<Vec<(f64, f64)>> {
    if !table.has("at") {
        return None;
    }
    let offset = table.offset();
    let at: Vec<(f64, f64)> = table.value("at", problems)?;
    let place = place?;
    let spots = || ground.spots.iter().filter(|s| stands_for(place, s));
    for (row, column) in &at {
        if !spots().any(|s| s.grid == (*row, *column)) {
            let some: Vec<String> =
                spots().take(4).map(|s| format!("[{}, {}]", s.grid.0, s.grid.1)).collect();
            let message = format!(
                "there are no {place} at row {row}, column {column}; there are some at {} and so on",
                some.join(", ")
            );
            problems.add(offset, message);
        }
    }
    if at.is_empty() {
        problems.add(offset, "at names no row and column; leave it out for all, or write at = [[1, 1]]");
    }
    Some(at)
}

/// True if a piece for `place` may fill a spot: its own, what an odd one stands for, and for blocks every block.
pub fn stands_for(place: &Place, spot: &Spot) -> bool {
    spot.place == *place || spot.usual == *place || (*place == Place::Blocks && spot.usual.is_block())
}

fn what(
    table: &mut Form<'_>,
    place: Option<&Place>,
    at: Option<&[(f64, f64)]>,
    (sources, ground): (&Sources<'_>, &Ground<'_>),
    problems: &mut Problems<'_>,
) -> Option<super::Chosen> {
    let offset = table.offset();
    let (drawn, sewn) = (table.has("drawing"), table.has("design"));
    let mut chosen = if drawn || sewn {
        if table.has("motif") || table.has("settings") {
            problems.add(offset, "a piece has a motif, a drawing or a design; leave the others out");
            let _ = chosen(table, MOTIF, sources, None, problems);
        }
        if drawn && sewn {
            problems.add(offset, "a piece has a drawing or a design; leave one of them out");
            let _ = elsewhere(table, sources, problems);
        }
        if drawn { own(table, sources, false, problems) } else { elsewhere(table, sources, problems) }
    } else {
        chosen(table, MOTIF, sources, place.and_then(|p| suit(p, at, ground)), problems)
    };
    let background = background(table, sources, problems);
    if let Some(chosen) = &mut chosen {
        chosen.background = background;
    }
    chosen
}

/// The kind of block at a place, if it is the same for all of them.
pub fn suit(place: &Place, at: Option<&[(f64, f64)]>, ground: &Ground<'_>) -> Option<Suit> {
    let named = |s: &&Spot| at.is_none_or(|at| at.contains(&s.grid));
    let own = |s: &&Spot| s.place == *place || (at.is_some() && stands_for(place, s));
    let mut suits = ground.spots.iter().filter(own).filter(named).map(|s| s.shape.suit());
    let first = suits.next()?;
    suits.all(|s| s == first).then_some(first)
}

fn turn(table: &mut Form<'_>, place: Option<&Place>, problems: &mut Problems<'_>) -> Turn {
    let offset = table.offset();
    if !table.has("turn") {
        return Turn::Quarters(0);
    }
    let turn = if table.is_text("turn") {
        match table.text_at("turn", problems) {
            Some((word, _)) if word == "outwards" => Turn::Outwards,
            Some((word, at)) => {
                problems.add(at, format!("turn is `{word}`; it is 0, 90, 180 or 270, or \"outwards\""));
                Turn::Quarters(0)
            }
            None => Turn::Quarters(0),
        }
    } else {
        match table.number("turn", -270.0..=270.0, problems).map(|deg| deg.rem_euclid(360.0)) {
            Some(0.0) | None => Turn::Quarters(0),
            Some(90.0) => Turn::Quarters(1),
            Some(180.0) => Turn::Quarters(2),
            Some(270.0) => Turn::Quarters(3),
            Some(deg) => {
                problems.add(offset, format!("turn is {deg}; it is 0, 90, 180 or 270, or \"outwards\""));
                Turn::Quarters(0)
            }
        }
    };
    let strip = matches!(place, Some(Place::Sashes));
    if strip && !matches!(turn, Turn::Quarters(0 | 2)) {
        problems.add(offset, "a motif along a sash can be turned by 180 only");
    }
    turn
}

fn mirror(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Mirror {
    if !table.has("mirror") {
        return Mirror::None;
    }
    if !table.is_text("mirror") {
        let all = table.flag("mirror", problems) == Some(true);
        return if all { Mirror::All } else { Mirror::None };
    }
    match table.text_at("mirror", problems) {
        Some((word, _)) if word == "alternate" => Mirror::Alternate,
        Some((word, at)) => {
            problems.add(at, format!("mirror is `{word}`; it is true or \"alternate\""));
            Mirror::None
        }
        None => Mirror::None,
    }
}

fn seed(
    table: &mut Form<'_>,
    motif: Option<&crate::drawing::motif::Motif>,
    problems: &mut Problems<'_>,
) -> bool {
    let Some((word, at)) = table.text_at("seed", problems) else { return false };
    if word != "each" {
        problems.add(at, format!("seed is `{word}`; it is \"each\", or a number under settings"));
        return false;
    }
    if let Some(motif) = motif
        && !motif.settings.iter().any(|s| s.kind == Kind::Seed)
    {
        problems
            .add(at, format!("{} has no seed: every drawing of it is the same; leave seed out", motif.name));
    }
    true
}
