//! Feather spray: a spine that sweeps from one corner to the farthest other, with plumes that reach to the outline.
//!
//! The spine follows the middle of the block and swings about it; plumes grow from its base, first small ones, and a
//! crown closes the tip.

use kurbo::{BezPath, Point};
use serde::Deserialize;

use super::bank::{self, Sizes};
use super::feet::{self, Head};
use super::grown::{self, Ends};
use super::plume::{Hand, Line};
use super::settle::settle;
use super::{Look, NARROWEST_MM, Placed, course, no_room, plumes, sound, within};
use crate::base::angle::turn_deg;
use crate::base::tolerance::TOUCH_MM;
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::constructions::plume::guide::Guide;
use crate::drawing::constructions::plume::hull;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

const SPRAY: &str = "a feather spray";

/// The settings that a spray reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("sweep", "ratio"), ("form", "choice")];

/// The numbers of a spray.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// By how much a middling stem turns from its foot to its head, degrees.
    curl: f64,
    /// The size of the smallest plumes as a share of the full size.
    smallest: f64,
    /// The size of the crown in a right-angled corner, likewise.
    crown: f64,
    /// How much smaller it is in a sharper corner: this power of the share of a right angle.
    pointed: f64,
    /// From the spine's end to the middle of the crown's head, in radii of that head.
    crown_height: f64,
    /// How far the outline is rounded in corners, in radii of the largest heads.
    rounding: f64,
    /// The size towards the tip as a share of the full size, if there is room.
    taper: f64,
    /// By how much plumes are wider where there is much room for them, as a share.
    swell: f64,
    /// The least distance between a head's middle and the spine, in head radii.
    lowest: f64,
    /// How far the spine goes on below the first plumes, in plume widths.
    quill: f64,
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
        settle(&look, region, &mut drawing, |look, drawing| sweep(numbers, look, swing, region, drawing))?;
    }
    Ok(drawing)
}

/// Draws with this look; gives the width drawn with, mm.
fn sweep(
    n: &Numbers,
    look: &Look,
    swing: f64,
    region: &Region,
    drawing: &mut Drawing,
) -> Result<f64, DrawError> {
    let outline = hull::simple(region.outer.points());
    let (_, reach) = hull::largest_circle(region);
    let widths = [n.slimmest * reach, n.stoutest * reach];
    let width = look.width_within(widths, NARROWEST_MM, SPRAY, drawing)?;
    let smallest = n.smallest.max(NARROWEST_MM / width).min(1.0);
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
    let banks = course::banks(&outline, base, tip).ok_or_else(none)?;
    let full = width * look.fullness / 2.0;
    let corner = pointed(&banks);
    let crown = full * (n.crown * (corner / 90.0).min(1.0).powf(n.pointed)).max(smallest);
    let centre = hull::inset(&outline, crown)
        .and_then(|r| Some(Guide::closed(&r)?.nearest_to(tip)))
        .ok_or_else(none)?;
    let crown = Head { centre, radius: crown };
    let height = n.crown_height * crown.radius;
    let sizes =
        Sizes { width, fullness: look.fullness, taper: n.taper, swell: n.swell, lowest: n.lowest, smallest };
    let rounding = full * (1.0 + n.swell) * n.rounding;
    let room = grown::short_of(&spine, crown.centre, height, 0).ok_or_else(none)?;
    let bank = |side: f64| {
        let touch = if side < 0.0 {
            hull::rounded(&banks[0], rounding)?
        } else {
            hull::rounded(&banks[1], rounding)?.reversed()?
        };
        // The right bank has the inside on its left.
        bank::heads(
            &bank::Line { touch: &touch, side: -side, outline: &outline, from_start: false },
            &room,
            &sizes,
            &crown,
        )
    };
    let ((left, a), (right, b)) = bank(1.0).zip(bank(-1.0)).ok_or_else(none)?;
    let hand = Hand::new(look.curl_deg, &outline);
    let lines = woven(Heads { n, look, hand: &hand, left: &left, right: &right, crown: &crown }, &spine);
    drawing.lines.extend(lines.ok_or_else(|| look.apart(width, SPRAY))?);
    drawing.stretch = drawing.stretch.max((a - 1.0).abs()).max((b - 1.0).abs());
    Ok(width)
}

/// What is woven round a spine.
#[derive(Clone, Copy)]
struct Heads<'a> {
    n: &'a Numbers,
    look: &'a Look,
    hand: &'a Hand,
    left: &'a [Head],
    right: &'a [Head],
    crown: &'a Head,
}

/// The lines with the spine as long as lets the last plumes part well before the crown.
fn woven(heads: Heads, spine: &Guide) -> Option<Vec<BezPath>> {
    let Heads { n, hand, left, right, crown, .. } = heads;
    let height = n.crown_height * crown.radius;
    let mut tries = Vec::new();
    for k in 0..grown::REACHES {
        let Some(short) = grown::short_of(spine, crown.centre, height, k) else {
            continue;
        };
        let parting = grown::parting_deg([left.last(), right.last()], &short, hand);
        tries.push((parting, short));
        if parting >= grown::PARTED_DEG {
            break;
        }
    }
    tries.sort_by(|a, b| b.0.total_cmp(&a.0));
    tries.iter().find_map(|(_, short)| weave(heads, short))
}

/// The angle of the corner in which both banks end, degrees.
fn pointed([right, left]: &[Vec<Point>; 2]) -> f64 {
    let [.., before, tip] = right[..] else { return 180.0 };
    let [_, after, ..] = left[..] else { return 180.0 };
    turn_deg(after - tip, before - tip).abs()
}

fn weave(heads: Heads, spine: &Guide) -> Option<Vec<BezPath>> {
    let Heads { n, look, hand, left, right, crown } = heads;
    let least = feet::least_gap(look.angle_deg);
    let ends = Ends { upright: false, crowned: true };
    let mut left = grown::place(look, hand, spine, 1.0, left, ends);
    let mut right = grown::place(look, hand, spine, -1.0, right, ends);
    // The last feet, at the spine's end, are shared already.
    let (i, j) = (left.2.len() - 1, right.2.len() - 1);
    feet::share(&mut left.2[..i], &mut right.2[..j]);
    let mut knots: Vec<f64> = left.2.iter().chain(&right.2).copied().collect();
    // The first plumes on both sides spring from one point, below which a quill may be left.
    let back = |(_, heads, feet): &Placed| feet[0] - least.max(heads[0].radius * 0.5).min(feet[0] * 0.6);
    let root = back(&left).min(back(&right));
    let start = (root - n.quill * look.width).max(0.0);
    knots.push(root);
    let mut woven = Vec::new();
    for (row, heads, feet) in [&left, &right] {
        let all = plumes(heads, feet, spine);
        let (first, rest) = all.split_first()?;
        let whole = Line::whole(first, hand, row.turn(), spine.at(root).0)?;
        woven.push(Line::row(rest, hand, row.turn(), whole)?);
    }
    let mut right = woven.pop()?;
    let mut left = woven.pop()?;
    let crown = grown::crown(crown, spine.at(spine.length()).0, hand, left.last_mut()?, right.last_mut()?)?;
    let mut lines = vec![spine.curve_between(start, spine.length(), &knots)];
    lines.extend(left.iter().chain(&right).map(Line::path));
    lines.push(crown.path());
    sound::is_clean(&lines).then_some(lines)
}
