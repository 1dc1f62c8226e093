//! Rim: a region → points along its edges, a bend's depth inside them, and which of them sit in a corner.

use kurbo::{Point, Vec2};
use oorandom::Rand64;

use super::fence::whole;
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain::{length, point_along};
use crate::block::further_in;
use crate::block::region::Region;

/// How far inside the edges the points lie, spacings: a bend of this radius touches the edge.
pub const DEEP: f64 = 0.72;

/// How far apart the points are along the edges, spacings, and by which part of that they are moved to and fro.
const APART: f64 = 1.9;
/// See [`APART`].
const JITTER: f64 = 0.24;

/// Points nearer to each other than this are one, spacings.
const LEAST: f64 = 1.1;

/// A ring of the rim has a corner where it turns by more than this, degrees: it gets a point of its own.
const CORNER_DEG: f64 = 30.0;

/// A point of the rim that sits in a corner of the outline.
#[derive(Debug, Clone, Copy)]
pub struct Pin {
    /// Which point.
    pub point: usize,
    /// The corner.
    pub corner: Point,
    /// Where a disc of radius 1 that touches both sides has its middle, from the corner.
    pub way: Vec2,
}

/// Points about `APART` spacings apart along the edges, [`DEEP`] spacings inside them, and those in corners.
#[must_use]
pub fn rim(region: &Region, spacing: f64, random: &mut Rand64) -> (Vec<Point>, Vec<Pin>) {
    let (mut points, mut pins) = (Vec::new(), Vec::new());
    let deep = DEEP * spacing;
    for inner in further_in(region, deep) {
        for ring in inner.rings() {
            along(ring.points(), deep, spacing, random, &mut points, &mut pins);
        }
    }
    thinned(&points, &pins, LEAST * spacing)
}

/// The points, and those of corners, without those nearer than `least` mm to one before: where a neck is hardly wider than
/// twice the depth, both sides of the rim are one.
fn thinned(points: &[Point], pins: &[Pin], least: f64) -> (Vec<Point>, Vec<Pin>) {
    let mut kept: Vec<Point> = Vec::new();
    let mut number = vec![None; points.len()];
    for (i, p) in points.iter().enumerate() {
        if kept.iter().all(|q| p.distance(*q) >= least) {
            number[i] = Some(kept.len());
            kept.push(*p);
        }
    }
    let pins = pins.iter().filter_map(|pin| Some(Pin { point: number[pin.point]?, ..*pin })).collect();
    (kept, pins)
}

/// Adds the points along one ring.
fn along(
    ring: &[Point],
    deep: f64,
    spacing: f64,
    random: &mut Rand64,
    points: &mut Vec<Point>,
    pins: &mut Vec<Pin>,
) {
    let n = ring.len();
    let sides = |i: usize| (unit(ring[i] - ring[(i + n - 1) % n]), unit(ring[(i + 1) % n] - ring[i]));
    let turn = |i: usize| turn_deg(sides(i).0, sides(i).1);
    let mut corners: Vec<usize> = (0..n).filter(|i| turn(*i).abs() > CORNER_DEG).collect();
    if corners.is_empty() {
        corners.push(0);
    }
    for (k, start) in corners.iter().enumerate() {
        let end = corners[(k + 1) % corners.len()];
        let mut stretch = vec![ring[*start]];
        let mut i = *start;
        while stretch.len() == 1 || i != end {
            i = (i + 1) % n;
            stretch.push(ring[i]);
        }
        if turn(*start) > CORNER_DEG {
            let (a, b) = sides(*start);
            let way = unit(left_of(a) + left_of(b)) / (turn(*start).to_radians() / 2.0).cos();
            pins.push(Pin { point: points.len(), corner: ring[*start] - way * deep, way });
        }
        let long = length(&stretch);
        let count = whole((long / (APART * spacing)).round()).max(1);
        for j in 0..count {
            let moved = if j == 0 { 0.0 } else { JITTER * (random.rand_float() - 0.5) };
            points.extend(point_along(&stretch, long * (j as f64 + moved) / count as f64).map(|p| p.0));
        }
    }
}
