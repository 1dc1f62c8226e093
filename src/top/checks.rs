//! A quilt laid out → what does not go together in it: odd blocks larger than their places are refused, smaller ones told of, and
//! places left bare that are wider than the batting allows.

use kurbo::{Rect, Size};

use super::TopError;
use super::file::Quilt;
use super::file::top::Set;
use super::layout::Layout;
use super::place::Place;
use super::setting::{self, Spot};
use crate::base::chain;
use crate::base::tolerance::GRID_MM;
use crate::base::units::{MM_PER_INCH, Units, show_length};
use crate::block;
use crate::survey::gap;
use crate::survey::remedy::Warning;

/// A block may be larger or smaller than its place by this much, mm, before it is worth a word: a quarter inch, which a
/// seam takes up. From memory.
pub const EASED_MM: f64 = MM_PER_INCH / 4.0;

/// Refuses odd blocks larger than their places.
///
/// # Errors
/// [`TopError::OddBlock`] for the first that would be sewn over what lies beside it.
pub fn admit(quilt: &Quilt, layout: &Layout) -> Result<(), TopError> {
    let too_large = odds(quilt).into_iter().find(|odd| odd.more().width.max(odd.more().height) > EASED_MM);
    too_large.map_or(Ok(()), |odd| {
        let past = past_edge(odd.bounds, layout.centre);
        let show = |mm: f64| show_length(mm, quilt.units);
        let over = match past > GRID_MM && layout.size == layout.centre {
            true => format!("it would be sewn {} beyond the quilt’s edge", show(past)),
            false => "it would be sewn over its neighbours".to_owned(),
        };
        let own = match quilt.top.set {
            Set::Straight => ", or give its column and row sizes of their own: columns = […], rows = […]",
            _ => "",
        };
        Err(TopError::OddBlock { sizes: odd.told(quilt.units), over, own: own.to_owned() })
    })
}

/// All that is to be said.
#[must_use]
pub fn notes(quilt: &Quilt, layout: &Layout) -> Vec<Warning> {
    let small = odds(quilt).into_iter().filter(|odd| odd.more().width.min(odd.more().height) < -EASED_MM);
    let told = |odd: OddSpot| {
        format!(
            "{}: a part of its place would stay bare; measure it again, or piece it to size.",
            odd.told(quilt.units)
        )
        .into()
    };
    let mut said: Vec<Warning> = small.map(told).collect();
    said.extend(layout.bare.iter().filter_map(|name| too_wide(quilt, layout, name).map(Warning::from)));
    said
}

/// An odd block and its place.
struct OddSpot {
    name: String,
    size: Size,
    place: Size,
    /// In the quilt.
    bounds: Rect,
}

impl OddSpot {
    fn more(&self) -> Size {
        self.size - self.place
    }

    fn told(&self, units: Units) -> String {
        let show =
            |size: Size| format!("{} by {}", show_length(size.width, units), show_length(size.height, units));
        format!("{} is {}, but its place is {}", self.name, show(self.size), show(self.place))
    }
}

/// The odd blocks, each with its place.
fn odds(quilt: &Quilt) -> Vec<OddSpot> {
    let (spots, usual) = (setting::set(&quilt.top, &quilt.odds).spots, setting::set(&quilt.top, &[]).spots);
    let odd = |(spot, usual): (&Spot, &Spot)| {
        let Place::Odd(name) = &spot.place else { return None };
        let [ours, place] = [spot, usual].map(|s| block::outline(&s.shape, 0.0).map(|b| b.outline));
        let (ours, place) = (ours.ok()?, place.ok()?);
        let corners: Vec<_> = ours.outer.points().iter().map(|p| spot.at * *p).collect();
        Some(OddSpot {
            name: name.clone(),
            size: ours.bounds().size(),
            place: place.bounds().size(),
            bounds: chain::bounds(&corners),
        })
    };
    spots.iter().zip(&usual).filter_map(odd).collect()
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
