//! Pebbles: an outline → circles of many sizes that touch, all in one piece.
//!
//! Every pebble is laid against two that lie already, as near to the first one as there is room, as large as wanted or as
//! fits; what room is left gets smaller ones, or one laid against a single other. Each is a closed line, and two that touch
//! share that point exactly, so every point has an even number of ends: the whole is one line with nothing walked twice.
//! (Packing from the middle outwards by sites of tangent pairs: Wang, Wang, Dai and Wang, Visualization of large
//! hierarchical data by circle packing, CHI 2006 [226].)

use std::collections::BTreeSet;

use kurbo::{BezPath, Point, Vec2};
use oorandom::Rand64;
use serde::Deserialize;

use super::meander::fence::whole;
use crate::base::angle::left_of;
use crate::base::units::{Units, show_at_most, show_length};
use crate::block::Block;
use crate::block::deepest::deepest;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The settings that pebbles read.
pub const NEEDS: &[Need] = &[("size", "length"), ("seed", "seed")];

/// The numbers of a pebble motif, in parts of the size asked for.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The smallest and the largest pebble.
    sizes: [f64; 2],
    /// Above 1 there are more small pebbles than large ones.
    small: f64,
    /// Gaps down to this size are filled with a pebble.
    fill: f64,
}

/// Pebbles nearer than this touch, mm: a gap as thin as this could not be sewn.
const TOUCH_MM: f64 = 0.02;

/// A gap narrower than this is closed by a larger pebble, in parts of the size.
const APART: f64 = 0.04;

/// A gap narrower than this is not left between pebbles that do not touch, mm: it fills with thread.
const SEEN_MM: f64 = 0.3;

/// How much larger than wanted a pebble may become to close a narrow gap.
const LARGER: f64 = 1.3;

/// Random places among which the first pebble is laid.
const THROWS: u32 = 200;

/// Directions in which a pebble is laid against a single other.
const WAYS: u32 = 24;

/// How finely the largest pebble that fits is looked for, halvings.
const HALVINGS: usize = 30;

#[derive(Debug, Clone, Copy)]
struct Pebble {
    at: Point,
    radius: f64,
}

/// Draws pebbles in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if no pebble of the smallest size fits anywhere.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let size = settings.number("size");
    let mut drawing = Drawing::default();
    let mut deep: f64 = 0.0;
    for (i, region) in block.inside.iter().enumerate() {
        deep = deep.max(deepest(region).1);
        let seed = u128::from(settings.whole("seed")) << 8 | i as u128;
        let mut heap = Heap::new(numbers, size, region, Rand64::new(seed));
        heap.fill();
        drawing.lines.extend(heap.outlines());
    }
    if drawing.lines.is_empty() {
        let why = format!(
            "the inner outline is {} across at its widest, too little for pebbles of {}; ask for a size of {} or less",
            show_length(2.0 * deep, Units::Inches),
            show_length(size, Units::Inches),
            show_at_most(2.0 * deep / numbers.sizes[0], Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "pebbles".into(), why });
    }
    Ok(drawing)
}

struct Heap<'a> {
    region: &'a Region,
    random: Rand64,
    // Radii, mm: the smallest and largest to be laid, and the smallest that fills a gap.
    least: f64,
    most: f64,
    fill: f64,
    small: f64,
    apart: f64,
    pebbles: Vec<Pebble>,
    bin: f64,
    columns: usize,
    bins: Vec<Vec<usize>>,
    // Pairs between which there may be room: distance from the first pebble (µm), and the two.
    sites: BTreeSet<(usize, usize, usize)>,
}

impl<'a> Heap<'a> {
    fn new(numbers: &Numbers, size: f64, region: &'a Region, random: Rand64) -> Self {
        let bounds = region.bounds();
        let most = numbers.sizes[1] * size / 2.0;
        let bin = 2.0 * most * LARGER;
        let (columns, rows) = (whole(bounds.width() / bin) + 5, whole(bounds.height() / bin) + 5);
        Self {
            region,
            random,
            least: numbers.sizes[0] * size / 2.0,
            most,
            fill: numbers.fill * size / 2.0,
            small: numbers.small,
            apart: APART * size,
            pebbles: Vec::new(),
            bin,
            columns,
            bins: vec![Vec::new(); columns * rows],
            sites: BTreeSet::new(),
        }
    }

    /// The pebbles in bins up to `reach` bins away.
    fn near(&self, p: Point, reach: usize) -> Vec<usize> {
        let bounds = self.region.bounds();
        let place = |x: f64, from: f64| whole((x - from) / self.bin + 2.0);
        let (column, row) = (place(p.x, bounds.x0), place(p.y, bounds.y0));
        let rows = row.saturating_sub(reach)..=row + reach;
        let cells = rows.flat_map(|r| (column.saturating_sub(reach)..=column + reach).map(move |c| (r, c)));
        cells.filter_map(|(r, c)| self.bins.get(r * self.columns + c)).flatten().copied().collect()
    }

    fn wanted(&mut self) -> f64 {
        self.least + (self.most - self.least) * self.random.rand_float().powf(self.small)
    }

    /// Lays pebbles until no more fit.
    fn fill(&mut self) {
        if !self.first() {
            return;
        }
        let mut bare = 0;
        loop {
            while let Some((_, a, b)) = self.sites.pop_first() {
                self.lay_between(a, b);
            }
            if bare == self.pebbles.len() {
                return;
            }
            self.lay_against(bare);
            bare += 1;
        }
    }

    /// Lays the first pebble at the deepest of some random places.
    fn first(&mut self) -> bool {
        let bounds = self.region.bounds();
        let mut best = (0.0, bounds.center());
        for _ in 0..THROWS {
            let (x, y) = (self.random.rand_float(), self.random.rand_float());
            let p = Point::new(bounds.x0 + x * bounds.width(), bounds.y0 + y * bounds.height());
            let deep = self.region.depth(p);
            if deep > best.0 {
                best = (deep, p);
            }
        }
        let radius = self.wanted().min(best.0);
        if radius >= self.least {
            self.lay(Pebble { at: best.1, radius });
        }
        radius >= self.least
    }

    fn lay(&mut self, pebble: Pebble) {
        let new = self.pebbles.len();
        let from = self.pebbles.first().map_or(pebble.at, |p| p.at);
        for other in self.near(pebble.at, 2) {
            let p = self.pebbles[other];
            if p.at.distance(pebble.at) - p.radius - pebble.radius < 2.0 * self.least {
                let away = whole(from.distance(p.at.midpoint(pebble.at)) * 1e3);
                self.sites.insert((away, other, new));
            }
        }
        let bounds = self.region.bounds();
        let place = |x: f64, from: f64| whole((x - from) / self.bin + 2.0);
        let bin = place(pebble.at.y, bounds.y0) * self.columns + place(pebble.at.x, bounds.x0);
        self.bins[bin].push(new);
        self.pebbles.push(pebble);
    }

    /// Lays a pebble on either side between two.
    fn lay_between(&mut self, a: usize, b: usize) {
        let (p, q) = (self.pebbles[a], self.pebbles[b]);
        for side in [1.0, -1.0] {
            let beside = |radius: f64| {
                let (to_p, to_q) = (p.radius + radius, q.radius + radius);
                let way = q.at - p.at;
                let apart = way.hypot();
                let along = (apart * apart + to_p * to_p - to_q * to_q) / (2.0 * apart);
                let up = (to_p * to_p - along * along).max(0.0).sqrt();
                let unit = way / apart;
                (along * along <= to_p * to_p).then(|| p.at + unit * along + left_of(unit) * (side * up))
            };
            self.lay_where(beside, &[a, b]);
        }
    }

    /// Lays pebbles against one pebble, wherever there is room.
    fn lay_against(&mut self, a: usize) {
        let p = self.pebbles[a];
        let turn = self.random.rand_float();
        for k in 0..WAYS {
            let way = Vec2::from_angle((f64::from(k) + turn) / f64::from(WAYS) * std::f64::consts::TAU);
            self.lay_where(|radius| Some(p.at + way * (p.radius + radius)), &[a]);
        }
    }

    /// Lays a pebble of the wanted size, or the largest below it that fits, at the place that goes with its radius.
    fn lay_where(&mut self, place: impl Fn(f64) -> Option<Point>, touching: &[usize]) {
        let wanted = self.wanted();
        let room =
            |radius: f64| place(radius).map_or(f64::NEG_INFINITY, |at| self.room(at, radius, touching));
        let mut radius = wanted;
        if room(wanted) < self.apart {
            // A gap too narrow to see is closed by a pebble a little larger, a want of room by a smaller one.
            let (mut fits, mut fails) =
                if room(wanted) >= 0.0 { (wanted, wanted * LARGER) } else { (self.fill, wanted) };
            if room(fits) < 0.0 {
                return;
            }
            if room(fails) < 0.0 {
                for _ in 0..HALVINGS {
                    let middle = f64::midpoint(fits, fails);
                    if room(middle) >= 0.0 { fits = middle } else { fails = middle }
                }
            }
            radius = fits;
        }
        let Some(at) = place(radius) else { return };
        if room(radius) >= 0.0 && self.is_clean(at, radius) {
            self.lay(Pebble { at, radius });
        }
    }

    /// The least distance to the edge and to pebbles other than those it is to touch, mm; negative if it does not fit.
    fn room(&self, at: Point, radius: f64, touching: &[usize]) -> f64 {
        let mut room = f64::INFINITY;
        for other in self.near(at, 1) {
            if !touching.contains(&other) {
                let p = self.pebbles[other];
                room = room.min(p.at.distance(at) - p.radius - radius);
            }
        }
        if room < 0.0 {
            return room;
        }
        let edge = self.region.depth(at) - radius;
        // The edge is no line: pebbles may come as near to it as they like.
        if edge < 0.0 { edge } else { room }
    }

    /// True if it touches its neighbours or leaves a gap that can be seen.
    fn is_clean(&self, at: Point, radius: f64) -> bool {
        self.near(at, 1).into_iter().all(|other| {
            let p = self.pebbles[other];
            let gap = p.at.distance(at) - p.radius - radius;
            gap <= TOUCH_MM || gap >= SEEN_MM
        })
    }

    /// Every pebble as a closed line through the points at which it touches others.
    fn outlines(&self) -> Vec<BezPath> {
        (0..self.pebbles.len()).map(|i| self.outline(i)).collect()
    }

    fn outline(&self, i: usize) -> BezPath {
        let p = self.pebbles[i];
        let mut touches: Vec<(f64, Point)> = Vec::new();
        for other in self.near(p.at, 1) {
            let q = self.pebbles[other];
            let apart = q.at.distance(p.at);
            if other != i && apart - p.radius - q.radius <= TOUCH_MM {
                // The same for both: from the one laid first.
                let (a, b) = if i < other { (p, q) } else { (q, p) };
                let touch = a.at.lerp(b.at, (a.radius + (apart - a.radius - b.radius) / 2.0) / apart);
                touches.push(((touch - p.at).atan2(), touch));
            }
        }
        touches.sort_by(|a, b| a.0.total_cmp(&b.0));
        if touches.is_empty() {
            touches.push((0.0, p.at + Vec2::new(p.radius, 0.0)));
        }
        let mut path = BezPath::new();
        path.move_to(touches[0].1);
        for (k, (from, _)) in touches.iter().enumerate() {
            let (to, end) = touches[(k + 1) % touches.len()];
            let sweep = if k + 1 == touches.len() { to - from + std::f64::consts::TAU } else { to - from };
            push_arc(&mut path, p, *from, sweep, end);
        }
        path.close_path();
        path
    }
}

/// An arc of `sweep` radians to the point `end`, in cubics of an eighth turn at most.
fn push_arc(path: &mut BezPath, pebble: Pebble, from: f64, sweep: f64, end: Point) {
    let count = (sweep / std::f64::consts::FRAC_PI_4).ceil().max(1.0);
    let part = sweep / count;
    let handle = pebble.radius * 4.0 / 3.0 * (part / 4.0).tan();
    let mut k = 1.0;
    while k <= count {
        let (a, b) = (Vec2::from_angle(from + part * (k - 1.0)), Vec2::from_angle(from + part * k));
        let last = if k < count { pebble.at + b * pebble.radius } else { end };
        let first = pebble.at + a * pebble.radius;
        path.curve_to(first + left_of(a) * handle, pebble.at + b * pebble.radius - left_of(b) * handle, last);
        k += 1.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;

    const NUMBERS: Numbers = Numbers { sizes: [0.5, 1.5], small: 1.4, fill: 0.3 };

    fn heap(region: &Region, seed: u128) -> Heap<'_> {
        let mut heap = Heap::new(&NUMBERS, 16.0, region, Rand64::new(seed));
        heap.fill();
        heap
    }

    fn block(side: f64) -> Block {
        outline(&Shape::Square { side }, 6.35).unwrap()
    }

    #[test]
    fn pebbles_touch_or_keep_a_gap_that_can_be_seen() {
        let block = block(150.0);
        for seed in 1..=10 {
            let heap = heap(&block.inside[0], seed);
            for (i, p) in heap.pebbles.iter().enumerate() {
                assert!(block.inside[0].depth(p.at) > p.radius - 1e-9);
                for q in &heap.pebbles[..i] {
                    let gap = p.at.distance(q.at) - p.radius - q.radius;
                    assert!(gap > -1e-9 && (gap <= TOUCH_MM || gap >= SEEN_MM), "a gap of {gap} mm");
                }
            }
            let area: f64 = heap.pebbles.iter().map(|p| p.radius * p.radius * std::f64::consts::PI).sum();
            let share = area / block.inside[0].area();
            assert!(share > 0.78, "seed {seed} covers {share}");
        }
    }

    #[test]
    fn every_pebble_is_round() {
        let block = block(100.0);
        let heap = heap(&block.inside[0], 3);
        for (pebble, path) in heap.pebbles.iter().zip(heap.outlines()) {
            let flat = crate::base::curve::flatten(&path, 0.001).remove(0);
            assert!(flat.closed);
            let off = flat.points.iter().map(|p| (p.distance(pebble.at) - pebble.radius).abs());
            let worst = off.fold(0.0, f64::max);
            assert!(worst < TOUCH_MM, "{worst} mm off");
        }
    }
}
