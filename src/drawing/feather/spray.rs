//! Feather spray: a spine that sweeps from one corner to the farthest other, with plumes that reach to the outline.
//!
//! The spine follows the middle of the block and swings about it; plumes grow from its base, first small ones, and a
//! crown closes the tip.

use kurbo::BezPath;
use serde::Deserialize;

use super::bank::{self, Heads, Sizes};
use super::feet::{self, Head, Row};
use super::guide::Guide;
use super::plume::{Hand, Line};
use super::{Look, NARROWEST_MM, Placed, course, hull, no_room, plumes, settle, sound, within};
use crate::base::angle::unit;
use crate::base::tolerance::TOUCH_MM;
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::construction::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use kurbo::Point;

const SPRAY: &str = "a feather spray";

/// The settings that a spray reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("sweep", "ratio"), ("form", "choice")];

/// How many ends of the spine are tried.
const REACHES: u32 = 8;

/// The angle between spine and last stems that will do, degrees.
const PARTED_DEG: f64 = 22.0;

/// How often feet are evened out and moved clear of the spine.
const EVENINGS: usize = 8;

/// How many sizes of the crown are tried.
const SWELLINGS: u32 = 12;

/// The numbers of a spray.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// By how much a middling stem turns from its foot to its head, degrees.
    curl: f64,
    /// The size of the smallest plumes, at the base, as a share of the others'.
    smallest: f64,
    /// The size of the crown, likewise.
    crown: f64,
    /// From the spine's end to the middle of the crown's head, in plume widths.
    crown_height: f64,
    /// How far the head line is rounded in corners, in plume widths.
    rounding: f64,
    /// The least height of a plume, in head radii.
    lowest: f64,
    /// The widest plume, as a share of the largest circle's radius.
    stoutest: f64,
    /// The narrowest plume, likewise.
    slimmest: f64,
}

/// Draws a spray in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if there is no room for a few plumes on either side.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let look = Look::new(settings, numbers.curl);
    let swing = settings.number("sweep") * if settings.word("form") == "c" { -1.0 } else { 1.0 };
    let mut drawing = Drawing::default();
    for region in &within(block) {
        settle(&look, &mut drawing, |look, drawing| sweep(numbers, look, swing, region, drawing))?;
    }
    Ok(drawing)
}

fn sweep(
    n: &Numbers,
    look: &Look,
    swing: f64,
    region: &Region,
    drawing: &mut Drawing,
) -> Result<(), DrawError> {
    let outline = hull::simple(region.outer.points());
    let (_, reach) = hull::largest_circle(region);
    let widths = [n.slimmest * reach, n.stoutest * reach];
    let width = look.width_within(widths, NARROWEST_MM / n.smallest, SPRAY, drawing)?;
    let none = || {
        let why =
            format!("there are only {reach:.1} mm from the middle to the edge; ask for narrower plumes");
        no_room(SPRAY, why)
    };
    let (base, tip) = course::ends(region).ok_or_else(none)?;
    let spine = course::spine(&outline, base, tip, swing).ok_or_else(none)?;
    if spine.points().iter().any(|p| region.depth(*p) < -TOUCH_MM) {
        let why = "the way from corner to corner leads out of this block; choose another motif, such as feather-wreath";
        return Err(no_room(SPRAY, why));
    }
    let radius = width * look.fullness / 2.0;
    let sizes = Sizes { width, radius, smallest: n.smallest, crown: n.crown, lowest: n.lowest };
    let line = bank::line(&outline, radius, n.rounding * width).ok_or_else(none)?;
    let hand = Hand::new(look.curl_deg, &outline);
    // The spine goes on until the last plumes part well before the crown.
    let mut tries = Vec::new();
    for k in 0..REACHES {
        let away = n.crown_height * width * (1.0 - 0.08 * f64::from(k));
        let Some(short) = short_of(&spine, line.at(line.nearest(tip)).0, away) else { continue };
        let Some(heads) = bank::heads(&line, &short, &sizes, base, tip) else { continue };
        let parting = parting_deg(&heads, &short, &hand);
        tries.push((parting, short, heads));
        if parting >= PARTED_DEG {
            break;
        }
    }
    tries.sort_by(|a, b| b.0.total_cmp(&a.0));
    let lines = tries.iter().find_map(|(_, short, heads)| weave(look, &hand, short, heads));
    drawing.lines.extend(lines.ok_or_else(|| look.apart(width, SPRAY))?);
    Ok(())
}

/// The spine up to where it is `away` mm from the crown.
fn short_of(spine: &Guide, crown: Point, away: f64) -> Option<Guide> {
    let mut s = spine.nearest(crown);
    while s > 0.0 && spine.at(s).0.distance(crown) < away {
        s -= 0.1;
    }
    spine.upto(s)
}

/// The lesser angle between the spine's end and the last stems on either side, degrees.
fn parting_deg(heads: &Heads, spine: &Guide, hand: &Hand) -> f64 {
    let angle = |side: f64, heads: &[Head]| {
        let row = Row { side, way: 1.0 };
        heads.last().map_or(0.0, |h| feet::leaving_deg(h, spine.length(), row, spine, hand.spiral()))
    };
    angle(1.0, &heads.left).min(angle(-1.0, &heads.right))
}

fn weave(look: &Look, hand: &Hand, spine: &Guide, heads: &Heads) -> Option<Vec<BezPath>> {
    let least = feet::least_gap(look.angle_deg);
    let mut left = place(look, hand, spine, 1.0, &heads.left);
    let mut right = place(look, hand, spine, -1.0, &heads.right);
    // The last feet, at the spine's end, are shared already.
    let (i, j) = (left.2.len() - 1, right.2.len() - 1);
    feet::share(&mut left.2[..i], &mut right.2[..j]);
    let mut knots: Vec<f64> = left.2.iter().chain(&right.2).copied().collect();
    let mut woven = Vec::new();
    for (row, heads, feet) in [&left, &right] {
        let all = plumes(heads, feet, spine);
        let (first, rest) = all.split_first()?;
        let back = feet[0] - least.max(first.radius * 0.5).min(feet[0] * 0.6);
        knots.push(back);
        let whole = Line::whole(first, hand, row.turn(), spine.at(back).0)?;
        woven.push(Line::row(rest, hand, row.turn(), whole)?);
    }
    let mut right = woven.pop()?;
    let mut left = woven.pop()?;
    let crown = crown(&heads.crown, spine, left.last_mut()?, right.last_mut()?)?;
    let mut lines = vec![spine.curve(&knots)];
    lines.extend(left.iter().chain(&right).map(Line::path));
    lines.push(crown.path());
    sound::is_clean(&lines).then_some(lines)
}

/// The feet of one side: the last at the spine's end, the others evened out and clear of the spine.
fn place(look: &Look, hand: &Hand, spine: &Guide, side: f64, heads: &[Head]) -> Placed {
    let least = feet::least_gap(look.angle_deg);
    let row = Row { side, way: 1.0 };
    let mut feet = feet::feet(heads, row, spine, hand.spiral(), look.angle_deg);
    let last = feet.len() - 1;
    (feet[0], feet[last]) = (feet[0].max(2.0 * least), spine.length());
    for _ in 0..EVENINGS {
        feet::even_open(&mut feet, 12);
        feet::clear(&mut feet[1..last], &heads[1..last], row, spine, hand.spiral());
    }
    feet::even_open(&mut feet, 2);
    feet::hold(&mut feet[..last], 1.0, spine.length(), least);
    (row, heads.to_vec(), feet)
}

/// The crown, as small as it can be to reach the plumes on both sides.
fn crown(head: &Head, spine: &Guide, left: &mut Line, right: &mut Line) -> Option<Line> {
    let from = spine.at(spine.length()).0;
    (0..SWELLINGS).find_map(|k| {
        let radius = head.radius * (1.0 + 0.04 * f64::from(k));
        let centre = head.centre - unit(head.centre - from) * (radius - head.radius);
        Line::crown(centre, radius, centre - from, left, right)
    })
}
