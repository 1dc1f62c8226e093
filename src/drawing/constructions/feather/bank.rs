//! A bank: the heads on one side of a spine, touching the outline, evenly spaced, each as large as there is room for.
//!
//! A head hangs on the line that it touches, from its radius inside it; so small heads reach into corners that large ones
//! cannot. Sizes change smoothly, and the last head is the crown's neighbour.

use super::feet::Head;
use crate::base::angle::left_of;
use crate::base::chain;
use crate::drawing::constructions::plume::guide::Guide;
use kurbo::Point;

/// How far apart the room for heads is measured, mm.
const STRIDE_MM: f64 = 1.0;

/// By how much the size may change over a full-sized head's width, so that neighbours reach each other.
const STEEPEST: f64 = 0.26;

/// For how many heads there has to be room before they become larger, and for how many more they do.
const ROOMY: f64 = 1.2;
const ROOMIER: f64 = 2.6;

/// The fewest steps on a side.
const FEWEST: f64 = 3.0;

/// How heads are sized.
#[derive(Debug, Clone, Copy)]
pub struct Sizes {
    /// From one full-sized head to the next, mm.
    pub width: f64,
    /// The diameter of a head as a share of the distance to the next.
    pub fullness: f64,
    /// The size at the tip as a share of the full size, if there is room.
    pub taper: f64,
    /// By how much heads are larger where there is room for them many times over, as a share.
    pub swell: f64,
    /// The least distance between a head's centre and the spine, in head radii.
    pub lowest: f64,
    /// The size of the smallest head, likewise.
    pub smallest: f64,
}

/// The line on which heads hang, from the base to the tip, and on which side of it they do.
pub struct Line<'a> {
    /// The line, along the way the plumes follow each other.
    pub touch: &'a Guide,
    /// 1 if the heads hang on its left, −1 on its right.
    pub side: f64,
    /// The outline that no head may cross.
    pub outline: &'a [Point],
    /// True if the first head stands where the line begins, false if where there is room for it.
    pub from_start: bool,
}

/// The heads of a bank, up to the one before `crown`; and by how much their steps are stretched.
pub fn heads(line: &Line<'_>, spine: &Guide, sizes: &Sizes, crown: &Head) -> Option<(Vec<Head>, f64)> {
    let full = sizes.width * sizes.fullness / 2.0;
    let length = line.touch.nearest(crown.centre);
    let pieces = (length / STRIDE_MM).ceil().max(8.0) as usize;
    let stride = length / pieces as f64;
    let hung = |s: f64, radius: f64| {
        let (p, way) = line.touch.at(s);
        Head { centre: p + left_of(way) * line.side * radius, radius }
    };
    let room = |i: usize| {
        let s = stride * i as f64;
        let p = line.touch.at(s).0;
        let room = spine.at(spine.nearest(p)).0.distance(p) / (1.0 + sizes.lowest) / full;
        let swell = 1.0 + sizes.swell * ((room - ROOMY) / ROOMIER).clamp(0.0, 1.0);
        room.min(swell * (1.0 - (1.0 - sizes.taper) * s / length))
    };
    let mut size: Vec<f64> = (0..=pieces).map(room).collect();
    let first = if line.from_start { 0 } else { (0..=pieces).find(|i| size[*i] >= sizes.smallest)? };
    // The crown stands at the end, whatever the room beside it.
    size[pieces] = size[pieces].max(crown.radius / full);
    let most = STEEPEST * stride / sizes.width;
    for i in (first..pieces).rev() {
        size[i] = size[i].min(size[i + 1] + most).max(sizes.smallest);
    }
    for i in first + 1..=pieces {
        size[i] = size[i].min(size[i - 1] + most);
    }
    let mut gone = vec![0.0; pieces + 1];
    for i in first + 1..=pieces {
        let [a, b] = [i - 1, i].map(|i| hung(stride * i as f64, size[i] * full).centre);
        gone[i] = gone[i - 1] + a.distance(b) / sizes.width / f64::midpoint(size[i - 1], size[i]);
    }
    let count = gone[pieces].round().max(FEWEST);
    let share = gone[pieces] / count;
    let fitted = |head: Head| {
        let radius = head.radius.min(chain::distance_to_ring(head.centre, line.outline));
        Head { radius, ..head }
    };
    let head = |k: usize| {
        let wanted = k as f64 * share;
        let i = gone.partition_point(|g| *g < wanted).clamp(first + 1, pieces);
        let t = ((wanted - gone[i - 1]) / (gone[i] - gone[i - 1])).clamp(0.0, 1.0);
        let size = size[i - 1] + (size[i] - size[i - 1]) * t;
        fitted(hung(stride * ((i - 1) as f64 + t), size * full * share))
    };
    Some(((0..count as usize).map(head).collect(), share))
}
