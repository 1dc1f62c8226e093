//! Heads → feet on the spine: where each stem leaves at the asked angle, evened out and kept apart.

use kurbo::Point;

use super::spiral::Spiral;
use crate::base::angle::turn_deg;
use crate::drawing::constructions::plume::guide::Guide;

use kurbo::Vec2;

/// Feet nearer to each other than this share one point of the spine, mm: else needle holes pile up.
pub const SHARED_MM: f64 = 3.0;

/// The least distance between two feet on one side of the spine, mm, for the same reason.
pub const LEAST_MM: f64 = 2.5;

/// The least distance between neighbouring stems where they leave the spine, mm.
const SLIVER_MM: f64 = 1.8;

/// The least angle between a stem and the spine beside it, degrees.
const GRAZING_DEG: f64 = 19.0;

/// How far from its foot, along it, a stem has to be clear of the spine, and by how much, mm: a wedge between two lines is
/// narrow where they meet, but soon wider than a sliver.
const PARTING_MM: f64 = 5.5;
const PARTED_MM: f64 = 1.6;

/// The steepest angle between a stem and the spine, degrees, where feet are evened out.
const STANDING_DEG: f64 = 72.0;

/// A head that looks for its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    /// The centre of its circle.
    pub centre: Point,
    /// Its radius, mm.
    pub radius: f64,
}

/// Which side of the spine a row stands on and which way along the spine its plumes point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// 1 on the left of the spine's direction, −1 on the right.
    pub side: f64,
    /// 1 along the spine's direction, −1 against it.
    pub way: f64,
}

impl Row {
    /// The way its stems turn: 1 left, −1 right.
    pub fn turn(self) -> f64 {
        self.side * self.way
    }
}

/// The least distance between feet whose stems leave at this angle, mm: `LEAST_MM`, and `SLIVER_MM` across.
pub fn least_gap(angle_deg: f64) -> f64 {
    (SLIVER_MM / angle_deg.to_radians().sin()).max(LEAST_MM)
}

/// How far along the spine each head's foot stands so that its stem leaves at `angle_deg`, mm.
pub fn feet(heads: &[Head], row: Row, spine: &Guide, spiral: &Spiral, angle_deg: f64) -> Vec<f64> {
    heads.iter().map(|h| foot(h, row, spine, spiral, angle_deg)).collect()
}

fn foot(head: &Head, row: Row, spine: &Guide, spiral: &Spiral, angle_deg: f64) -> f64 {
    const HALVINGS: usize = 28;
    let across = spine.nearest(head.centre);
    let height = spine.at(across).0.distance(head.centre);
    // Going back from the point across, the stem leaves ever flatter.
    let (mut steep, mut flat) = (-0.5 * head.radius, 4.0 * height + head.radius);
    for _ in 0..HALVINGS {
        let back = f64::midpoint(steep, flat);
        let s = across - row.way * back;
        if leaving_deg(head, s, row, spine, spiral) > angle_deg { steep = back } else { flat = back }
    }
    across - row.way * flat
}

/// The angle between the spine and the stem that leaves it at `s`, degrees.
pub fn leaving_deg(head: &Head, s: f64, row: Row, spine: &Guide, spiral: &Spiral) -> f64 {
    let (foot, way) = spine.at(s);
    let leaves = spiral.departure(foot, head.centre, head.radius, row.turn());
    turn_deg(way * row.way, Vec2::from_angle(leaves)) * row.turn()
}

/// Moves feet whose stems would run along the spine, or into it where it bends towards them, forward, and those whose stems
/// would stand up against the growth back.
pub fn clear(feet: &mut [f64], heads: &[Head], row: Row, spine: &Guide, spiral: &Spiral) {
    for (s, head) in feet.iter_mut().zip(heads) {
        let across = spine.beside(spine.nearest(head.centre), *s);
        let free = |s: f64| free_deg(head, s, row, spine, spiral);
        let leaving = |s: f64| leaving_deg(head, s, row, spine, spiral);
        if free(*s) < GRAZING_DEG {
            *s = crossing(*s, across, |s| free(s) >= GRAZING_DEG);
        } else if leaving(*s) > STANDING_DEG {
            let back = across - row.way * 4.0 * head.centre.distance(spine.at(across).0);
            *s = crossing(*s, back, |s| leaving(s) <= STANDING_DEG);
        }
    }
}

/// The place nearest to `bad`, on the way to `good`, where it is well.
fn crossing(mut bad: f64, mut good: f64, well: impl Fn(f64) -> bool) -> f64 {
    const HALVINGS: usize = 12;
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(bad, good);
        if well(middle) { good = middle } else { bad = middle }
    }
    good
}

/// The least angle between a stem and the spine over the first half of its way, degrees.
fn free_deg(head: &Head, s: f64, row: Row, spine: &Guide, spiral: &Spiral) -> f64 {
    let (foot, _) = spine.at(s);
    let far = head.centre.distance(foot);
    let leaves = Vec2::from_angle(spiral.departure(foot, head.centre, head.radius, row.turn()));
    let angle = |share: f64| {
        let chord = spine.at(s + row.way * far * share).0 - foot;
        turn_deg(chord, leaves) * row.turn()
    };
    let wedge = if parts(head, s, row, spine, spiral) { 90.0 } else { 0.0 };
    leaving_deg(head, s, row, spine, spiral).min(angle(0.25)).min(angle(0.5)).min(wedge)
}

/// True if a stem is soon as far from the spine as no sliver is left between them: [`PARTED_MM`] once it is [`PARTING_MM`] long.
fn parts(head: &Head, s: f64, row: Row, spine: &Guide, spiral: &Spiral) -> bool {
    const LOOKED_AT: usize = 10;
    let Some(p) = spiral.along(spine.at(s).0, (head.centre, head.radius), row.turn(), PARTING_MM) else {
        return true;
    };
    let beside = |k: usize| spine.at(s + row.way * PARTING_MM * 1.2 * k as f64 / LOOKED_AT as f64);
    (0..=LOOKED_AT).map(beside).all(|(q, way)| {
        let off = p - q;
        off.hypot() >= PARTED_MM
            && (off.dot(way).abs() > off.hypot() / 2.0 || way.cross(off) * row.side > 0.0)
    })
}

/// Evens out the gaps of feet on an open spine; the first and the last stay.
pub fn even_open(feet: &mut [f64], times: usize) {
    for _ in 0..times {
        let old = feet.to_vec();
        for i in 1..feet.len().saturating_sub(1) {
            feet[i] = f64::midpoint(old[i], f64::midpoint(old[i - 1], old[i + 1]));
        }
    }
}

/// Keeps feet that run from the first towards `end` (`way` 1 rising, −1 falling) `least` mm apart and short of the end, if
/// that can be.
pub fn hold(feet: &mut [f64], way: f64, end: f64, least: f64) {
    let n = feet.len();
    for i in 1..n {
        if (feet[i] - feet[i - 1]) * way < least {
            feet[i] = feet[i - 1] + least * way;
        }
    }
    let mut limit = end;
    for s in feet.iter_mut().skip(1).rev() {
        limit -= least * way;
        if (*s - limit) * way > 0.0 {
            *s = limit;
        }
    }
}

/// Evens out the gaps of feet, in order, round a closed spine of this length.
pub fn even_closed(feet: &mut [f64], length: f64, times: usize) {
    let n = feet.len();
    // Unrolled, so that neighbours differ by less than half the length.
    for i in 1..n {
        feet[i] = feet[i - 1] + (feet[i] - feet[i - 1] + length / 2.0).rem_euclid(length) - length / 2.0;
    }
    for _ in 0..times {
        let old = feet.to_vec();
        for i in 0..n {
            let before = if i > 0 { old[i - 1] } else { old[n - 1] - length };
            let after = if i + 1 < n { old[i + 1] } else { old[0] + length };
            feet[i] = f64::midpoint(old[i], f64::midpoint(before, after));
        }
    }
}

/// Moves feet round a closed spine forward where their stems would leave it nearer to the ones before than [`PARTED_MM`].
pub fn part_closed(feet: &mut [f64], heads: &[Head], row: Row, spine: &Guide, spiral: &Spiral) {
    const TIMES: usize = 2;
    let n = feet.len();
    for k in 0..TIMES * n {
        let (before, i) = (k % n, (k + 1) % n);
        let lap = if i == 0 { spine.length() } else { 0.0 };
        let leaving = |j: usize| leaving_deg(&heads[j], feet[j], row, spine, spiral);
        let flatter = leaving(before).min(leaving(i)).clamp(GRAZING_DEG, 90.0);
        let least = feet[before] - lap + PARTED_MM / flatter.to_radians().sin();
        feet[i] = feet[i].max(least);
    }
}

/// Makes feet of the two sides that nearly coincide one foot.
pub fn share(left: &mut [f64], right: &mut [f64]) {
    let mut taken = vec![false; right.len()];
    for l in left.iter_mut() {
        let near = (0..right.len())
            .filter(|j| !taken[*j])
            .min_by(|i, j| (right[*i] - *l).abs().total_cmp(&(right[*j] - *l).abs()));
        if let Some(j) = near
            && (right[j] - *l).abs() < SHARED_MM
        {
            let middle = f64::midpoint(right[j], *l);
            *l = middle;
            right[j] = middle;
            taken[j] = true;
        }
    }
}
