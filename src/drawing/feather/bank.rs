//! The heads of a spray: along the outline on either side, from the base to the crown, sized by the room there is.

use kurbo::Point;

use super::feet::Head;
use super::guide::Guide;
use super::hull;
use crate::base::angle::left_of;

/// How far apart the room for heads is measured, mm.
const STRIDE_MM: f64 = 1.5;

/// By how much the size may change over a full-sized head's width, so that neighbours reach each other.
const STEEPEST: f64 = 0.2;

/// The fewest heads on a side.
const FEWEST: f64 = 3.0;

/// How heads are sized.
#[derive(Debug, Clone, Copy)]
pub struct Sizes {
    /// From one full-sized head to the next, mm.
    pub width: f64,
    /// The radius of a full-sized head, mm.
    pub radius: f64,
    /// The size of the smallest heads as a share of the full size.
    pub smallest: f64,
    /// The size of the crown, likewise.
    pub crown: f64,
    /// The least distance between a head's centre and the spine, in head radii.
    pub lowest: f64,
}

/// The line on which full-sized heads stand: a radius inside the outline, rounded in its corners.
pub fn line(outline: &[Point], radius: f64, rounding: f64) -> Option<Guide> {
    let line = hull::inset(outline, radius + rounding).and_then(|r| hull::outset(&r, rounding))?;
    Guide::closed(&line)
}

/// The heads of a spray.
#[derive(Debug, Clone)]
pub struct Heads {
    /// The head at the tip.
    pub crown: Head,
    /// Those on the left of the spine, from the base on.
    pub left: Vec<Head>,
    /// Those on the right.
    pub right: Vec<Head>,
}

/// The heads on both sides of a spine, along `line`, from near `base` to near `tip`.
///
/// Heads stand as far apart as they are large, a whole number on each side.
pub fn heads(line: &Guide, spine: &Guide, sizes: &Sizes, base: Point, tip: Point) -> Option<Heads> {
    let (from, to) = (line.nearest(base), line.nearest(tip));
    let on_right = (to - from).rem_euclid(line.length());
    let bank = |side: f64, length: f64| side_heads(line, spine, sizes, (to, side, length));
    Some(Heads {
        crown: place(line, sizes, to, sizes.crown),
        right: bank(1.0, on_right)?,
        left: bank(-1.0, line.length() - on_right)?,
    })
}

/// A head of this size that touches the outline as the full-sized ones do.
fn place(line: &Guide, sizes: &Sizes, s: f64, size: f64) -> Head {
    let (centre, way) = line.at(s);
    Head { centre: centre - left_of(way) * sizes.radius * (1.0 - size), radius: sizes.radius * size }
}

/// The heads of one side; `way` is where on the line the tip is, 1 for the right or −1 for the left, and the length to the
/// base.
fn side_heads(line: &Guide, spine: &Guide, sizes: &Sizes, way: (f64, f64, f64)) -> Option<Vec<Head>> {
    let (tip, sign, length) = way;
    let steps = (length / STRIDE_MM).ceil() as usize;
    let stride = length / steps as f64;
    let room = |i: usize| {
        let p = line.at(tip - sign * stride * i as f64).0;
        let room = spine.at(spine.nearest(p)).0.distance(p) / (sizes.lowest * sizes.radius);
        let near_tip = (stride * i as f64 / (3.0 * sizes.width)).min(1.0);
        room.min(sizes.crown + (1.0 - sizes.crown) * near_tip).min(1.0)
    };
    let mut size: Vec<f64> = (0..=steps).map(room).collect();
    let last = (1..=steps).rev().find(|i| size[*i] >= sizes.smallest)?;
    for i in (0..last).rev() {
        size[i] = size[i].min(size[i + 1] + STEEPEST * stride / sizes.width);
    }
    for i in 1..=last {
        size[i] = size[i].min(size[i - 1] + STEEPEST * stride / sizes.width);
    }
    let weights = size[..=last].iter().scan(0.0, |sum, size| {
        let so_far = *sum;
        *sum += stride / sizes.width / size.max(sizes.smallest);
        Some(so_far)
    });
    let weights: Vec<f64> = weights.collect();
    let count = weights[last].round().max(FEWEST);
    let step = weights[last] / count;
    let head = |k: usize| {
        let (i, size) = reach(&weights, &size, k as f64 * step);
        place(line, sizes, tip - sign * stride * i, size.max(sizes.smallest) * step)
    };
    Some((1..=count as usize).rev().map(head).collect())
}

/// Where rising weights reach `wanted`, as an index with its fraction, and the size there.
fn reach(weights: &[f64], size: &[f64], wanted: f64) -> (f64, f64) {
    let i = weights.partition_point(|w| *w < wanted).clamp(1, weights.len() - 1);
    let t = ((wanted - weights[i - 1]) / (weights[i] - weights[i - 1])).clamp(0.0, 1.0);
    ((i - 1) as f64 + t, size[i - 1] + (size[i] - size[i - 1]) * t)
}
