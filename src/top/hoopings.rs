//! What is sewn where → the hoopings in their order, from the centre outwards.
//!
//! First the centre, then each border; within them by the distance of the place from the quilt's centre, and around it
//! from the top in the direction of the clock. The hoopings of one large piece follow each other.
//! Starting in the middle and working outwards is published [132] [135].

use kurbo::{Affine, Point, Rect, Vec2};

use super::place::Place;
use super::sewing::Sewn;

/// How far a hoop's frame reaches beyond its sewing field on every side, mm. Frames differ; from memory, on the safe side.
pub const FRAME_MM: f64 = 30.0;
/// Extension strips are cut to this, mm: a quarter inch.
const STRIP_STEP_MM: f64 = 6.35;
/// Distances that differ by less are one ring of the order, mm.
const SAME_DISTANCE_MM: f64 = 0.5;

/// One hooping.
#[derive(Debug, Clone, PartialEq)]
pub struct Hooping {
    /// Which of the machine files.
    pub sewn: usize,
    /// From its block's coordinates to the quilt.
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

/// Puts everything in order; `places` says what each machine file is for, `size` is the finished quilt.
#[must_use]
pub fn order(sewn: &[Sewn], places: &[Place], size: (f64, f64)) -> Vec<Hooping> {
    let mut keyed = Vec::new();
    for (i, one) in sewn.iter().enumerate() {
        for at in &one.at {
            let layer = match places[i] {
                Place::Border(n) | Place::BorderCorner(n) => n,
                _ => 0,
            };
            let middle = (*at * one.piece.order.block.outline.bounds().center()).to_vec2();
            let ring = (middle.hypot() / SAME_DISTANCE_MM).round();
            let part = one.part.map_or(0, |(n, _)| n);
            keyed.push((layer, ring, (clockwise(middle) * 1e3).round(), i, part, hooping(one, i, *at, size)));
        }
    }
    keyed.sort_by(|a, b| {
        let first = a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2));
        first.then(a.4.cmp(&b.4)).then(a.3.cmp(&b.3))
    });
    keyed.into_iter().map(|key| key.5).collect()
}

/// The angle from the top in the direction of the clock, in (−ε, 2π).
fn clockwise(v: Vec2) -> f64 {
    let angle = v.x.atan2(v.y);
    if angle < -1e-6 { angle + std::f64::consts::TAU } else { angle.max(0.0) }
}

fn hooping(one: &Sewn, sewn: usize, at: Affine, size: (f64, f64)) -> Hooping {
    let [a, b, ..] = at.as_coeffs();
    let turn = b.atan2(a).to_degrees();
    let quarter = if one.is_turned() { 90.0 } else { 0.0 };
    let quilt_turn_deg = ((quarter - turn).rem_euclid(360.0) * 1e3).round() / 1e3 % 360.0;
    let centre = at * one.piece.survey.centre;
    Hooping { sewn, at, centre, quilt_turn_deg, extensions: extensions(one, at, size) }
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
    let up = |mm: f64| crate::base::tolerance::ceil_guarded(mm / STRIP_STEP_MM) * STRIP_STEP_MM;
    let sides = [
        ("left", -x - bounds.x0, bounds.height()),
        ("right", bounds.x1 - x, bounds.height()),
        ("bottom", -y - bounds.y0, bounds.width()),
        ("top", bounds.y1 - y, bounds.width()),
    ];
    let past = sides.into_iter().filter(|(_, over, _)| *over > crate::base::tolerance::GRID_MM);
    past.map(|(edge, over, long)| Extension { edge, width_mm: up(over), length_mm: up(long) }).collect()
}
