//! What is shared out → the hoopings in their order, with the strips that the hoop needs past the quilt's edge.

use kurbo::{Affine, Point, Rect};

use super::file::hooping::Order;
use super::layout::Layout;
use super::place::Place;
use super::sequence::{self, Stop};
use super::sewing::Sewn;
use super::share::Shared;
use super::share::items::{Item, turned};
use crate::survey::hoop::Hoop;

/// How far a hoop's frame reaches beyond its sewing field on every side, mm. Frames differ; from memory, on the safe side.
pub const FRAME_MM: f64 = 30.0;
/// Extension strips are cut to this, mm: a quarter inch.
const STRIP_STEP_MM: f64 = 6.35;

/// One hooping.
#[derive(Debug, Clone, PartialEq)]
pub struct Hooping {
    /// Its number in sewing order, from 1.
    pub number: usize,
    /// Which of the machine files.
    pub sewn: usize,
    /// Which pieces it sews.
    pub items: Vec<Item>,
    /// From the file's coordinates to the quilt.
    pub at: Affine,
    /// The design's centre on the quilt, mm.
    pub centre: Point,
    /// How far the quilt lies turned to the left in the hoop, degrees in [0, 360).
    pub quilt_turn_deg: f64,
    /// Strips to add where the hoop reaches past the quilt's edge.
    pub extensions: Vec<Extension>,
}

/// A strip of batting and backing, or of scrap, for the hoop to hold past the quilt's edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Extension {
    /// Which edge of the quilt: left, right, bottom or top.
    pub edge: &'static str,
    /// How wide, mm.
    pub width_mm: f64,
    /// How long, mm.
    pub length_mm: f64,
}

/// The machine files in the order in which they are first sewn, named so, and the hoopings in sewing order.
#[must_use]
pub fn order(shared: Shared, layout: &Layout, order: Order, title: &str) -> (Vec<Sewn>, Vec<Hooping>) {
    let Shared { items, mut sewn, groups, .. } = shared;
    let mut all: Vec<Hooping> = groups
        .iter()
        .map(|g| {
            let items = g.items.iter().map(|i| items[*i]).collect();
            hooping(&sewn[g.file], g.file, items, g.at, layout.size)
        })
        .collect();
    let stops: Vec<Stop> = all.iter().map(|h| stop(h, &sewn, layout)).collect();
    let turns = sequence::sequence(&stops, order, step(&sewn));
    all = turns.iter().map(|i| all[*i].clone()).collect();
    let mut names = vec![usize::MAX; sewn.len()];
    let mut count = 0;
    for (index, hooping) in all.iter_mut().enumerate() {
        hooping.number = index + 1;
        if names[hooping.sewn] == usize::MAX {
            (names[hooping.sewn], count) = (count, count + 1);
        }
        hooping.sewn = names[hooping.sewn];
    }
    let mut named: Vec<(usize, Sewn)> = names.into_iter().zip(sewn.drain(..)).collect();
    named.sort_by_key(|(number, _)| *number);
    for (number, one) in &mut named {
        one.piece.order.name = short_name(title, *number + 1, count);
    }
    (named.into_iter().map(|(_, one)| one).collect(), all)
}

/// Files have names of eight letters and digits at most, which every machine reads: up to four letters of the title, and a
/// number with as many digits as the last one, three at least.
fn short_name(title: &str, number: usize, count: usize) -> String {
    let letters = title.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_uppercase());
    let letters: String = letters.take(4).collect();
    let letters = if letters.is_empty() { "Q".to_owned() } else { letters };
    let digits = count.to_string().len().max(3);
    format!("{letters}{number:0digits$}")
}

/// How thick a ring is: as much as the short side of the largest field that is used.
fn step(sewn: &[Sewn]) -> f64 {
    let short = |h: &Hoop| h.width_mm.min(h.height_mm);
    sewn.iter().map(|s| short(&s.hoop)).fold(1.0, f64::max)
}

/// What its place in the order depends on.
#[must_use]
pub fn stop(hooping: &Hooping, sewn: &[Sewn], layout: &Layout) -> Stop {
    let layer = |item: &Item| match layout.designs[item.design].place {
        Place::Border(n) | Place::BorderCorner(n) => n,
        _ => 0,
    };
    let layer = hooping.items.iter().map(layer).min().unwrap_or(0);
    let hoop = &sewn[hooping.sewn].hoop;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_possible_wrap,
        reason = "a few thousand millimetres"
    )]
    let set_up = [
        (hooping.quilt_turn_deg * 1e3).round() as i64,
        (hoop.width_mm * 10.0).round() as i64 * 100_000 + (hoop.height_mm * 10.0).round() as i64,
        hooping.sewn as i64,
    ];
    Stop { layer, at: hooping.centre, set_up }
}

/// How often quilt, hoop and file change.
#[must_use]
pub fn changes(hoopings: &[Hooping], sewn: &[Sewn], layout: &Layout) -> sequence::Changes {
    let stops: Vec<Stop> = hoopings.iter().map(|h| stop(h, sewn, layout)).collect();
    sequence::changes(&stops)
}

fn hooping(one: &Sewn, sewn: usize, items: Vec<Item>, at: Affine, size: (f64, f64)) -> Hooping {
    let [a, b, ..] = at.as_coeffs();
    let quilt_turn_deg = turned(-b.atan2(a).to_degrees());
    let centre = at * one.piece.survey.centre;
    Hooping { number: 0, sewn, items, at, centre, quilt_turn_deg, extensions: extensions(one, at, size) }
}

/// The strips for the whole quilt, one a side: as wide as the widest that a hooping asks for, and as long as reaches from the
/// first of them to the last.
#[must_use]
pub fn strips(hoopings: &[Hooping], sewn: &[Sewn]) -> Vec<Extension> {
    let mut strips = Vec::new();
    for edge in ["left", "right", "bottom", "top"] {
        let (mut wide, mut from, mut to) = (0.0_f64, f64::INFINITY, f64::NEG_INFINITY);
        for hooping in hoopings {
            for extension in hooping.extensions.iter().filter(|e| e.edge == edge) {
                let bounds = crate::base::chain::bounds(&frame(&sewn[hooping.sewn], hooping.at));
                let upright = matches!(edge, "left" | "right");
                let span = if upright { (bounds.y0, bounds.y1) } else { (bounds.x0, bounds.x1) };
                wide = wide.max(extension.width_mm);
                (from, to) = (from.min(span.0), to.max(span.1));
            }
        }
        if wide > 0.0 {
            strips.push(Extension { edge, width_mm: wide, length_mm: up(to - from) });
        }
    }
    strips
}

/// Up to the next quarter inch.
fn up(mm: f64) -> f64 {
    crate::base::tolerance::ceil_guarded(mm / STRIP_STEP_MM) * STRIP_STEP_MM
}

/// The hoop's frame about the design's centre, as it lies over the quilt.
#[must_use]
pub fn frame(one: &Sewn, at: Affine) -> [Point; 4] {
    corners(one, at, FRAME_MM)
}

/// The sewing field about the design's centre, as it lies over the quilt.
#[must_use]
pub fn field(one: &Sewn, at: Affine) -> [Point; 4] {
    corners(one, at, 0.0)
}

fn corners(one: &Sewn, at: Affine, more: f64) -> [Point; 4] {
    let (w, h) = (one.hoop.width_mm + 2.0 * more, one.hoop.height_mm + 2.0 * more);
    let size = if one.is_turned() { (h, w) } else { (w, h) };
    let r = Rect::from_center_size(one.piece.survey.centre, size);
    [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)].map(|p| at * Point::from(p))
}

fn extensions(one: &Sewn, at: Affine, (width, height): (f64, f64)) -> Vec<Extension> {
    let frame = frame(one, at);
    let bounds = crate::base::chain::bounds(&frame);
    let (x, y) = (width / 2.0, height / 2.0);
    let sides = [
        ("left", -x - bounds.x0, bounds.height()),
        ("right", bounds.x1 - x, bounds.height()),
        ("bottom", -y - bounds.y0, bounds.width()),
        ("top", bounds.y1 - y, bounds.width()),
    ];
    let past = sides.into_iter().filter(|(_, over, _)| *over > crate::base::tolerance::GRID_MM);
    past.map(|(edge, over, long)| Extension { edge, width_mm: up(over), length_mm: up(long) }).collect()
}

#[cfg(test)]
mod tests {
    use super::short_name;

    #[test]
    fn files_have_short_names_that_sort_in_sewing_order() {
        assert_eq!(short_name("Tide and Lantern", 7, 60), "TIDE007");
        assert_eq!(short_name("A 9", 1, 1234), "A90001");
        assert_eq!(short_name("雪", 12, 12), "Q012");
    }
}
