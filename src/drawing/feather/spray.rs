//! Feather spray: a spine that sweeps from one corner to the farthest other, with plumes that reach to the outline.
//!
//! The spine follows the middle of the block and swings about it; plumes grow from its base, first small ones, and a
//! crown closes the tip.

use kurbo::{Point, Vec2};
use serde::Deserialize;
use std::f64::consts::{PI, TAU};

use super::feet::{self, Head, Row};
use super::guide::Guide;
use super::plume::{Hand, Line};
use super::{Look, hull, no_room, plumes};
use crate::base::angle::{left_of, unit};
use crate::base::chain;
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::construction::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

const SPRAY: &str = "a feather spray";

/// The settings that a spray reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("sweep", "ratio"), ("form", "choice")];

/// The narrowest plume that can be sewn, mm from head to head.
const NARROWEST_MM: f64 = 4.0;

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
}

/// Draws a spray in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if there is no room for a few plumes on either side.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let look = Look::new(settings, numbers.curl);
    let swing = settings.number("sweep") * if settings.word("form") == "c" { -1.0 } else { 1.0 };
    let mut drawing = Drawing::default();
    for region in &block.inside {
        sweep(numbers, &look, swing, region, &mut drawing)?;
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
    let width = look.width_within(n.stoutest * reach, NARROWEST_MM / n.smallest, SPRAY, drawing)?;
    let none = || {
        no_room(
            SPRAY,
            format!("there are only {reach:.1} mm from the middle to the edge; ask for narrower plumes"),
        )
    };
    let (base, tip) = ends(region).ok_or_else(none)?;
    let spine = spine(&outline, base, tip, swing).ok_or_else(none)?;
    let ring = head_line(n, look, width, &outline).ok_or_else(none)?;
    let spine = short_of(&spine, ring.at(ring.nearest(tip)).0, n.crown_height * width).ok_or_else(none)?;
    let hand = Hand::new(look.curl_deg, &outline);
    let (crown, sides) = heads(n, look, width, &ring, &spine, [base, tip]).ok_or_else(none)?;
    let lines = weave(look, &hand, &spine, crown, sides).ok_or_else(|| look.apart(width, SPRAY))?;
    drawing.lines.extend(lines);
    Ok(())
}

/// The two corners farthest apart (points of the outline, if it has fewer than two corners): the lower one is the base.
fn ends(region: &Region) -> Option<(Point, Point)> {
    const NEARLY: f64 = 1e-6;
    let mut corners = region.outer.corners();
    if corners.len() < 2 {
        corners = region.outer.points().to_vec();
    }
    let mut best: Option<(f64, Point, Point)> = None;
    for (i, p) in corners.iter().enumerate() {
        for q in &corners[i + 1..] {
            let (p, q) = if (p.y, p.x) <= (q.y, q.x) { (*p, *q) } else { (*q, *p) };
            let away = p.distance(q);
            // Between equals, the base farthest to the left.
            let better =
                best.is_none_or(|b| away > b.0 + NEARLY || (away > b.0 - NEARLY && p.x < b.1.x - NEARLY));
            if better {
                best = Some((away, p, q));
            }
        }
    }
    best.map(|(_, base, tip)| (base, tip))
}

/// The spine from base to tip: along the middle of the outline, evened out, and swinging about it.
///
/// A positive swing makes an S, a negative one a C; it is given as a share of the half width.
fn spine(outline: &[Point], base: Point, tip: Point, swing: f64) -> Option<Guide> {
    const STATIONS: usize = 64;
    // What makes sin(2πt) sin²(πt) swing by 1.
    const HIGHEST: f64 = 1.54;
    let axis = tip - base;
    let across = left_of(unit(axis));
    // The middle as waves of least squares, which keep its ends: sin(kπt), k up to 3.
    let (mut waves, mut half) = ([0.0; 3], 0.0);
    for i in 1..STATIONS {
        let t = i as f64 / STATIONS as f64;
        let (low, high) = section(outline, base + axis * t, across)?;
        for (k, wave) in waves.iter_mut().enumerate() {
            *wave += f64::midpoint(low, high) * (PI * t * (k + 1) as f64).sin() * 2.0 / STATIONS as f64;
        }
        half += (high - low) / 2.0 / STATIONS as f64;
    }
    // A spine that bows already swings the less.
    let swing = swing * (1.0 - waves[0].abs() / half).max(0.0);
    let offset = |t: f64| {
        let middle = waves.iter().enumerate().map(|(k, a)| a * (PI * t * (k + 1) as f64).sin()).sum::<f64>();
        // The swing dies away towards both ends, which keep to the middle.
        let bell = (PI * t).sin().powi(2);
        middle + half * bell * if swing < 0.0 { swing } else { -HIGHEST * swing * (TAU * t).sin() }
    };
    let steps = (axis.hypot() / 0.2).ceil().max(64.0) as usize;
    let point = |i: usize| {
        let t = i as f64 / steps as f64;
        base + axis * t + across * offset(t)
    };
    Guide::open(&(0..=steps).map(point).collect::<Vec<_>>())
}

/// How far the outline reaches from `p` against and along `across`: the part of the section that holds `p`, or the nearest.
fn section(outline: &[Point], p: Point, across: Vec2) -> Option<(f64, f64)> {
    let mut cuts: Vec<f64> = chain::sides(outline)
        .filter_map(|(a, b)| {
            let (f, g) = (across.cross(a - p), across.cross(b - p));
            ((f > 0.0) != (g > 0.0)).then(|| (a.lerp(b, f / (f - g)) - p).dot(across))
        })
        .collect();
    cuts.sort_by(f64::total_cmp);
    let away = |pair: &&[f64]| if pair[0] > 0.0 { pair[0] } else { (-pair[1]).max(0.0) };
    cuts.chunks_exact(2).min_by(|a, b| away(a).total_cmp(&away(b))).map(|pair| (pair[0], pair[1]))
}

/// The line on which full heads stand: a radius inside the outline, rounded in its corners.
fn head_line(n: &Numbers, look: &Look, width: f64, outline: &[Point]) -> Option<Guide> {
    let (radius, rounding) = (width * look.fullness / 2.0, n.rounding * width);
    let line = hull::inset(outline, radius + rounding).and_then(|r| hull::outset(&r, rounding))?;
    Guide::closed(&line)
}

/// The spine up to where it is `away` mm from the crown.
fn short_of(spine: &Guide, crown: Point, away: f64) -> Option<Guide> {
    let mut s = spine.nearest(crown);
    while s > 0.0 && spine.at(s).0.distance(crown) < away {
        s -= 0.1;
    }
    spine.upto(s)
}

/// The crown's head, and the heads on the left and on the right from the base on.
fn heads(
    n: &Numbers,
    look: &Look,
    width: f64,
    ring: &Guide,
    spine: &Guide,
    [base, tip]: [Point; 2],
) -> Option<(Head, [Vec<Head>; 2])> {
    let radius = width * look.fullness / 2.0;
    let (from, to) = (ring.nearest(base), ring.nearest(tip));
    let on_right = (to - from).rem_euclid(ring.length());
    let place = |s: f64, size: f64| {
        let (centre, way) = ring.at(s);
        Head { centre: centre - left_of(way) * radius * (1.0 - size), radius: radius * size }
    };
    let side = |sign: f64, length: f64| {
        // From the crown back to the base: sizes follow the room between the line and the spine.
        let steps = (length / 0.5).ceil() as usize;
        let sizes: Vec<f64> = (0..=steps)
            .map(|i| {
                let s = length * i as f64 / steps as f64;
                let p = ring.at(to - sign * s).0;
                let room = spine.at(spine.nearest(p)).0.distance(p) / (n.lowest * radius);
                let near_tip = n.crown + (1.0 - n.crown) * (s / (3.0 * width)).min(1.0);
                room.min(near_tip).min(1.0)
            })
            .collect();
        let last = (0..=steps).rev().find(|i| sizes[*i] >= n.smallest)?;
        let weight: Vec<f64> = sizes[..=last]
            .iter()
            .scan(0.0, |sum, size| {
                *sum += length / steps as f64 / width / size.max(n.smallest);
                Some(*sum)
            })
            .collect();
        let total = weight[last];
        let count = total.round().max(3.0);
        let heads = (1..=count as usize).rev().map(|k| {
            let i = weight.partition_point(|w| *w < k as f64 / count * total).min(last);
            place(to - sign * length * i as f64 / steps as f64, sizes[i].max(n.smallest) * total / count)
        });
        Some(heads.collect::<Vec<Head>>())
    };
    let right = side(1.0, on_right)?;
    let left = side(-1.0, ring.length() - on_right)?;
    Some((place(to, n.crown), [left, right]))
}

fn weave(
    look: &Look,
    hand: &Hand,
    spine: &Guide,
    crown: Head,
    sides: [Vec<Head>; 2],
) -> Option<Vec<kurbo::BezPath>> {
    let least = feet::least_gap(look.angle_deg);
    let mut placed = [(1.0, &sides[0]), (-1.0, &sides[1])].map(|(side, heads)| {
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
        (row, heads.clone(), feet)
    });
    let [left, right] = &mut placed;
    let (i, j) = (left.2.len() - 1, right.2.len() - 1);
    feet::share(&mut left.2[..i], &mut right.2[..j]);
    let mut knots: Vec<f64> = placed.iter().flat_map(|p| p.2.iter().copied()).collect();
    let mut woven = Vec::new();
    for (row, heads, feet) in &placed {
        let all = plumes(heads, feet, spine);
        let (first, rest) = all.split_first()?;
        let back = feet[0] - least.max(first.radius * 0.5).min(feet[0] * 0.6);
        knots.push(back);
        let whole = Line::whole(first, hand, row.turn(), spine.at(back).0)?;
        woven.push(Line::row(rest, hand, row.turn(), whole)?);
    }
    let mut right = woven.pop()?;
    let mut left = woven.pop()?;
    let (left_last, right_last) = (left.last_mut()?, right.last_mut()?);
    let from = spine.at(spine.length()).0;
    // The crown as small as it can be to reach the plumes on both sides.
    let crown = (0..SWELLINGS).find_map(|k| {
        let radius = crown.radius * (1.0 + 0.04 * f64::from(k));
        let centre = crown.centre - unit(crown.centre - from) * (radius - crown.radius);
        Line::crown(centre, radius, centre - from, left_last, right_last)
    })?;
    let mut lines = vec![spine.curve(&knots)];
    lines.extend(left.iter().chain(&right).map(Line::path));
    lines.push(crown.path());
    Some(lines)
}
