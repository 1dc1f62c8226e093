//! Feathers that grow from a place on an open spine towards both its ends.
//!
//! Where they begin, one plume on each side stands upright and shows all round; the others tuck behind it, one after the
//! other, to both ends, where a crown closes the tip or the spine runs on.

use kurbo::BezPath;

use super::feet::{self, Head};
use super::grown::{self, Ends};
use super::plume::{Hand, Line, Plume};
use super::{Look, Placed, plumes, sound};
use crate::drawing::constructions::plume::guide::Guide;

/// One arm of a feather on one side: its heads, from the upright plume to the last, and the crown after them.
#[derive(Debug, Clone)]
pub struct Arm {
    /// The heads; the first is the upright one's.
    pub heads: Vec<Head>,
    /// The head at the tip.
    pub crown: Head,
    /// From the end of the spine to the middle of that head, mm.
    pub height: f64,
}

/// The part of a spine between its tips, each `off` mm long.
pub fn between(spine: &Guide, off: f64) -> Option<Guide> {
    spine.upto(spine.length() - off)?.from(off)
}

/// Half of a feather: the spine as far as it is drawn, and its plumes on the left and on the right, the upright ones first.
type Half = (Guide, [Placed; 2]);

/// The lines of a feather that grows from `middle` mm along `spine` to both its ends, the spine first.
///
/// The first arms go along the spine, the second against it; each left and right of the spine's direction. If they are not
/// `crowned`, the spine runs on to its ends.
pub fn draw(
    look: &Look,
    hand: &Hand,
    spine: &Guide,
    middle: f64,
    [ahead, behind]: &[[Arm; 2]; 2],
    crowned: bool,
) -> Option<Vec<BezPath>> {
    let onwards = half(look, hand, &spine.from(middle)?, [&ahead[0], &ahead[1]], crowned)?;
    // Seen the way it grows, the half against the spine has its sides changed over.
    let back = spine.reversed()?.from(spine.length() - middle)?;
    let back = half(look, hand, &back, [&behind[1], &behind[0]], crowned)?;
    let mut rows = Vec::new();
    for side in 0..2 {
        let (forward, backward) = (&onwards.1[side], &back.1[1 - side]);
        let foot = spine.at(middle).0;
        let upright = Plume { centre: forward.1[0].centre, radius: forward.1[0].radius, foot };
        let whole = Line::whole(&upright, hand, forward.0.turn(), foot)?;
        let mut front = row(forward, (middle, 1.0), spine, hand, whole)?;
        let whole = front.remove(0);
        rows.push([front, row(backward, (middle, -1.0), spine, hand, whole)?]);
    }
    let [mut right, mut left] = [rows.pop()?, rows.pop()?];
    let mut tips = Vec::new();
    if crowned {
        tips.push(tip(hand, &onwards.0, [&ahead[0], &ahead[1]], left[0].last_mut()?, right[0].last_mut()?)?);
        tips.push(tip(hand, &back.0, [&behind[1], &behind[0]], right[1].last_mut()?, left[1].last_mut()?)?);
    }
    let feet = |half: &Half| half.1.iter().flat_map(|p| p.2.clone()).collect::<Vec<f64>>();
    let mut knots: Vec<f64> = feet(&onwards).iter().map(|s| middle + s).collect();
    knots.extend(feet(&back).iter().map(|s| middle - s));
    let (from, to) =
        if crowned { (middle - back.0.length(), middle + onwards.0.length()) } else { (0.0, spine.length()) };
    let mut lines = vec![spine.curve_between(from, to, &knots)];
    lines.extend(left.iter().chain(&right).flatten().chain(&tips).map(Line::path));
    sound::is_clean(&lines).then_some(lines)
}

/// A half: where its plumes' feet stand, and how far the spine goes.
fn half(look: &Look, hand: &Hand, spine: &Guide, arms: [&Arm; 2], crowned: bool) -> Option<Half> {
    let short = if crowned { parted(hand, spine, arms)? } else { spine.clone() };
    let ends = Ends { upright: true, crowned };
    let [mut left, mut right] = [(1.0, arms[0]), (-1.0, arms[1])]
        .map(|(side, arm)| grown::place(look, hand, &short, side, &arm.heads, ends));
    // Feet at both ends are shared already.
    let last = usize::from(crowned);
    let (i, j) = (left.2.len() - last, right.2.len() - last);
    feet::share(left.2.get_mut(1..i)?, right.2.get_mut(1..j)?);
    Some((short, [left, right]))
}

/// A spine as long as lets the last plumes part well before the crown.
fn parted(hand: &Hand, spine: &Guide, arms: [&Arm; 2]) -> Option<Guide> {
    let crown = arms[0].crown;
    let last = arms.map(|a| a.heads.last());
    let mut best: Option<(f64, Guide)> = None;
    for k in 0..grown::REACHES {
        let Some(short) = grown::short_of(spine, crown.centre, arms[0].height, k) else {
            continue;
        };
        let parting = grown::parting_deg(last, &short, hand);
        if best.as_ref().is_none_or(|b| parting > b.0) {
            best = Some((parting, short));
        }
        if parting >= grown::PARTED_DEG {
            break;
        }
    }
    best.map(|b| b.1)
}

/// The plumes of a side behind the upright one; `start` is where on the whole spine they begin and which way they go.
fn row(
    (row, heads, feet): &Placed,
    start: (f64, f64),
    spine: &Guide,
    hand: &Hand,
    whole: Line,
) -> Option<Vec<Line>> {
    let feet: Vec<f64> = feet[1..].iter().map(|s| start.0 + start.1 * s).collect();
    Line::row(&plumes(&heads[1..], &feet, spine), hand, row.turn(), whole)
}

fn tip(hand: &Hand, spine: &Guide, arms: [&Arm; 2], left: &mut Line, right: &mut Line) -> Option<Line> {
    let radius = f64::midpoint(arms[0].crown.radius, arms[1].crown.radius);
    let head = Head { radius, ..arms[0].crown };
    grown::crown(&head, spine.at(spine.length()).0, hand, left, right)
}
