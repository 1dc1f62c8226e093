//! Plumes that grow along a spine to its tip: where their feet stand, and the crown between the last two.

use super::Look;
use super::Placed;
use super::feet::{self, Head, Row};
use super::plume::{Hand, Line};
use crate::drawing::constructions::plume::guide::Guide;
use kurbo::Point;

/// How often feet are evened out each time before they are moved clear of the spine.
const EVENINGS: [usize; 9] = [12, 12, 12, 12, 12, 12, 12, 12, 1];

/// How many sizes of a crown are tried.
const SWELLINGS: u32 = 12;

/// How many ends of a spine are tried.
pub const REACHES: u32 = 8;

/// By how much each end is nearer to the crown than the one before.
const NEARER: f64 = 0.08;

/// The angle between spine and last stems that will do, degrees.
pub const PARTED_DEG: f64 = 22.0;

/// The least distance from a foot to the middle of its head, in radii of the head.
const NEAREST: f64 = 1.03;

/// The part of `spine` that ends `height` mm before a crown, less with each try.
pub fn short_of(spine: &Guide, crown: Point, height: f64, tried: u32) -> Option<Guide> {
    const STEP_MM: f64 = 0.1;
    let away = height * (1.0 - NEARER * f64::from(tried));
    let mut s = spine.nearest(crown);
    while s > 0.0 && spine.at(s).0.distance(crown) < away {
        s -= STEP_MM;
    }
    spine.upto(s)
}

/// The lesser angle between the spine's end and the last stems on either side, degrees.
pub fn parting_deg(last: [Option<&Head>; 2], spine: &Guide, hand: &Hand) -> f64 {
    let angle = |side: f64, head: Option<&Head>| {
        let row = Row { side, way: 1.0 };
        head.map_or(0.0, |h| feet::leaving_deg(h, spine.length(), row, spine, hand.spiral()))
    };
    angle(1.0, last[0]).min(angle(-1.0, last[1]))
}

/// How a side of a feather begins and ends.
#[derive(Debug, Clone, Copy)]
pub struct Ends {
    /// True if the first plume stands upright, its foot where the spine begins.
    pub upright: bool,
    /// True if the last foot is the spine's end, under a crown.
    pub crowned: bool,
}

/// The feet of one side, evened out and clear of the spine.
pub fn place(look: &Look, hand: &Hand, spine: &Guide, side: f64, heads: &[Head], ends: Ends) -> Placed {
    let least = feet::least_gap(look.angle_deg);
    let row = Row { side, way: 1.0 };
    let mut feet = feet::feet(heads, row, spine, hand.spiral(), look.angle_deg);
    if let Some(first) = feet.first_mut() {
        *first = if ends.upright { 0.0 } else { first.max(2.0 * least) };
    }
    if let Some(last) = feet.last_mut().filter(|_| ends.crowned) {
        *last = spine.length();
    }
    let mut heads = heads.to_vec();
    if let Some(head) = heads.last_mut().filter(|_| ends.crowned) {
        head.radius = head.radius.min(spine.at(spine.length()).0.distance(head.centre) / NEAREST);
    }
    let free = feet.len() - usize::from(ends.crowned && !feet.is_empty());
    if free > 1 {
        for times in EVENINGS {
            feet::even_open(&mut feet, times);
            feet::clear(&mut feet[1..free], &heads[1..free], row, spine, hand.spiral());
        }
    }
    feet::hold(&mut feet[..free], 1.0, spine.length(), least);
    (row, heads, feet)
}

/// The crown over a spine's end, as small as it can be to reach the plumes on both sides.
pub fn crown(head: &Head, from: Point, hand: &Hand, left: &mut Line, right: &mut Line) -> Option<Line> {
    (0..SWELLINGS).find_map(|k| {
        let radius = head.radius * (1.0 + 0.04 * f64::from(k));
        let centre = hand.fitted(head.centre, radius, from);
        Line::crown(centre, radius, centre - from, left, right)
    })
}
