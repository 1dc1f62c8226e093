//! A family of motifs → what it puts into every place of a quilt that nothing is named for.

use super::pieces::Ground;
use super::{Border, Chosen, Corner, Dress, Fill, Mirror, Turn};
use crate::block::shape::Shape;
use crate::block::suit::Suit;
use crate::drawing;
use crate::drawing::background::Background;
use crate::drawing::family::{Family, Member};
use crate::drawing::library;
use crate::drawing::motif::Motif;
use crate::drawing::settings::resolve;
use crate::top::place::Place;
use crate::top::setting::{Grid, Spot};

/// Fills what is not named.
pub fn fill(
    family: &Family,
    motifs: &[Motif],
    (ground, margin_mm): (&Ground<'_>, f64),
    fills: &mut Vec<Fill>,
    borders: &mut [Border],
) {
    let named: Vec<Place> = fills.iter().filter(|f| f.at.is_none()).map(|f| f.place.clone()).collect();
    let mut groups: Vec<(Place, Shape, f64, Vec<Grid>)> = Vec::new();
    for spot in ground.spots {
        if named.contains(&spot.place) || (spot.place != spot.usual && named.contains(&spot.usual)) {
            continue;
        }
        // A motif named for blocks is for every block that has none of its own.
        if spot.usual.is_block() && named.contains(&Place::Blocks) && spot.usual != Place::AlternateBlocks {
            continue;
        }
        let (suit, width) = (spot.shape.suit(), width(spot));
        match groups.iter_mut().find(|(p, s, w, _)| *p == spot.usual && s.suit() == suit && *w == width) {
            Some((_, _, _, at)) => at.push(spot.grid),
            None => groups.push((spot.usual.clone(), spot.shape.clone(), width, vec![spot.grid])),
        }
    }
    let take =
        |place: &str, shape: &Shape, width: f64| choose(family, motifs, place, (shape, width, margin_mm));
    for (place, shape, width, at) in groups {
        let word =
            if place.is_block() && place != Place::AlternateBlocks { Place::Blocks } else { place.clone() };
        let Some(chosen) = take(&word.to_string(), &shape, width) else { continue };
        let alone = !ground.spots.iter().any(|s| s.usual == place && !at.contains(&s.grid));
        let at = (!alone).then_some(at);
        let (turn, mirror) = (Turn::Quarters(0), Mirror::None);
        fills.push(Fill { place, at, chosen, turn, mirror, each_seed: false, margin: None, share: true });
    }
    for border in borders {
        let width = border.widths.iter().copied().filter(|mm| *mm > 0.0).fold(f64::INFINITY, f64::min);
        if border.chosen.is_none() {
            let shape = Shape::Strip { width, length: width.max(LONG_MM) };
            border.chosen = take("borders", &shape, width);
        }
        if border.corner == Corner::Square && border.corner_chosen.is_none() {
            border.corner_chosen = take("posts", &Shape::Square { side: width }, width);
        }
    }
}

/// The lesser side of a strip or post; of no meaning for other shapes.
fn width(spot: &Spot) -> f64 {
    match spot.shape {
        Shape::Strip { width, .. } => width,
        Shape::Square { side } if spot.usual == Place::Posts => side,
        _ => f64::INFINITY,
    }
}

/// How long a border is taken to be to see whether a motif fits it, mm.
const LONG_MM: f64 = 1000.0;

/// The first member for a place that suits and fits it.
fn choose(
    family: &Family,
    motifs: &[Motif],
    place: &str,
    (shape, width, margin_mm): (&Shape, f64, f64),
) -> Option<Chosen> {
    let block = crate::block::outline(shape, margin_mm).ok()?;
    let members = family.members.iter().filter(|m| m.place == place && m.least_mm() <= width);
    let fits = |c: &Chosen| drawing::draw(&c.motif, &c.settings, &block).is_ok();
    members.filter_map(|member| chosen(member, motifs, shape.suit())).find(fits)
}

fn chosen(member: &Member, motifs: &[Motif], suit: Suit) -> Option<Chosen> {
    let motif = library::find(motifs, &member.motif).ok().filter(|m| m.suits(suit))?;
    let settings = resolve(&motif.name, &motif.settings, &member.settings).ok()?;
    let background = member.background.as_ref().and_then(|name| {
        let motif = library::find(motifs, name).ok()?;
        Background::new(motif, resolve(name, &motif.settings, &[]).ok()?).ok()
    });
    let pinned = motif.scale.as_ref().is_some_and(|scale| {
        member.settings.iter().any(|w| w.split('=').next().is_some_and(|name| name.trim() == scale))
    });
    Some(Chosen { motif: motif.clone(), settings, pinned, background, dress: Dress::default() })
}
