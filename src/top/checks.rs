//! A quilt laid out → what does not go together in it, as sentences: odd blocks of another size than their places, and
//! places left bare that are wider than the batting allows.

use kurbo::Rect;

use super::file::Quilt;
use super::layout::Layout;
use super::place::Place;
use super::setting::{self, Spot};
use crate::base::chain;
use crate::base::tolerance::GRID_MM;
use crate::base::units::{MM_PER_INCH, show_length};
use crate::block;
use crate::survey::gap;

/// A block may be larger or smaller than its place by this much, mm, before it is worth a word: a quarter inch, which a
/// seam takes up. From memory.
pub const EASED_MM: f64 = MM_PER_INCH / 4.0;

/// All that is to be said.
#[must_use]
pub fn notes(quilt: &Quilt, layout: &Layout) -> Vec<String> {
    let (spots, usual) = (setting::set(&quilt.top, &quilt.odds).spots, setting::set(&quilt.top, &[]).spots);
    let odds = spots.iter().zip(&usual).filter_map(|(spot, usual)| odd(quilt, layout, spot, usual));
    let mut said: Vec<String> = odds.collect();
    said.extend(layout.bare.iter().filter_map(|name| too_wide(quilt, layout, name)));
    said
}

/// An odd block that does not fill its place, or goes beyond it.
fn odd(quilt: &Quilt, layout: &Layout, spot: &Spot, usual: &Spot) -> Option<String> {
    let Place::Odd(name) = &spot.place else { return None };
    let outline = block::outline(&spot.shape, 0.0).ok()?.outline;
    let (size, place) =
        (outline.bounds().size(), block::outline(&usual.shape, 0.0).ok()?.outline.bounds().size());
    let more = size - place;
    if more.width.abs().max(more.height.abs()) <= EASED_MM {
        return None;
    }
    let show = |mm: f64| show_length(mm, quilt.units);
    let larger = more.width.max(more.height) > EASED_MM;
    let corners: Vec<_> = outline.outer.points().iter().map(|p| spot.at * *p).collect();
    let past = past_edge(chain::bounds(&corners), layout.centre);
    let way = match (larger, past > GRID_MM && layout.size == layout.centre) {
        (true, true) => format!("it would be sewn {} beyond the quilt’s edge", show(past)),
        (true, false) => "it would be sewn over its neighbours".to_owned(),
        (false, _) => "a part of its place would stay bare".to_owned(),
    };
    Some(format!(
        "{name} is {} by {}, but its place is {} by {}: {way}; measure it again, or piece it to size.",
        show(size.width),
        show(size.height),
        show(place.width),
        show(place.height)
    ))
}

/// How far a box reaches past a quilt of this size, mm.
fn past_edge(bounds: Rect, (width, height): (f64, f64)) -> f64 {
    let whole = Rect::from_center_size((0.0, 0.0), (width, height));
    let past = [whole.x0 - bounds.x0, bounds.x1 - whole.x1, whole.y0 - bounds.y0, bounds.y1 - whole.y1];
    past.into_iter().fold(0.0, f64::max)
}

/// A bare place whose widest open circle is more than the batting allows: the patch itself, and the margins kept clear
/// in the patches beside it.
fn too_wide(quilt: &Quilt, layout: &Layout, name: &str) -> Option<String> {
    let patches = layout.patches.iter().filter(|patch| patch.place.to_string() == name);
    let open = patches.filter_map(|patch| {
        let widest = gap::widest(&[&patch.outline], std::iter::empty())?.widest_mm;
        let on_edge = past_edge(chain::bounds(&patch.outline).inflate(GRID_MM, GRID_MM), layout.size) > 0.0;
        Some(widest + quilt.margin_mm * if on_edge { 1.0 } else { 2.0 })
    });
    let widest = open.reduce(f64::max).filter(|mm| *mm > quilt.gap_limit_mm + GRID_MM)?;
    let show = |mm: f64| show_length(mm, quilt.units);
    Some(format!(
        "Left bare, the {name} stay open over at least {}, but the batting allows {}; name a motif for them.",
        show(widest),
        show(quilt.gap_limit_mm)
    ))
}
