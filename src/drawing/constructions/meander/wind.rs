//! Wind: discs → a closed line round every tree that winds between them.

use std::f64::consts::{FRAC_PI_3, TAU};

use kurbo::{Point, Vec2};

use super::bend::{even_by, filtered};
use super::discs::Discs;
use super::mesh::{Mesh, root, unite};
use crate::base::angle::{left_of, unit};

/// Points of the line are this far apart, spacings.
pub const STEP: f64 = 0.1;

/// The line is filtered by 1 / (1 + (this × k)⁶), k its waves in radians a spacing: bends stay, kinks go.
const CUT: f64 = 0.16;
/// The filter's kernel reaches this many points to each side; beyond it is less than a thousandth.
const KERNEL: i32 = 12;
/// Arcs round a point that are wider than this get touches of their own, no farther apart than the second, radians.
const WIDE: (f64, f64) = (1.7, 1.2);
/// Touches in which a way round a point ends a hair before it began: no arc, radians.
const WHOLE_TURN: f64 = 5.8;

/// Where the line touches a disc of a point, with the point to its left.
#[derive(Debug, Clone, Copy)]
struct Touch {
    at: Point,
    way: Vec2,
    point: usize,
    angle: f64,
}

/// The lines as points about [`STEP`] spacings apart, anticlockwise, one for each tree; `branches` are of all of them.
#[must_use]
pub fn wind(mesh: &Mesh, branches: &[bool], discs: &Discs, spacing: f64) -> Vec<Vec<Point>> {
    let mut roots: Vec<usize> = (0..mesh.points.len()).collect();
    for (edge, _) in mesh.edges.iter().zip(branches).filter(|(_, on)| **on) {
        unite(&mut roots, edge.ends[0], edge.ends[1]);
    }
    let mut starts: Vec<Option<Start>> = vec![None; mesh.points.len()];
    for (e, edge) in mesh.edges.iter().enumerate().filter(|(e, _)| branches[*e]) {
        starts[root(&mut roots, edge.ends[0])].get_or_insert((edge.ends[0], Some(e)));
    }
    let roots = (0..mesh.points.len()).filter(|p| root(&mut roots, *p) == *p);
    roots.map(|p| one(mesh, branches, discs, spacing, starts[p].unwrap_or((p, None)))).collect()
}

/// A point of a tree and a branch at it, if it has one.
type Start = (usize, Option<usize>);

fn one(mesh: &Mesh, tree: &[bool], discs: &Discs, spacing: f64, start: Start) -> Vec<Point> {
    let touches = with_arcs(&touches(mesh, tree, discs, start), discs);
    let step = STEP * spacing;
    let mut line = Vec::new();
    for (i, touch) in touches.iter().enumerate() {
        hermite(touch, &touches[(i + 1) % touches.len()], step, &mut line);
    }
    filtered(&even_by(&line, step), &kernel())
}

fn on(discs: &Discs, point: usize, angle: f64) -> Touch {
    let disc = discs.all[point];
    let way = Vec2::from_angle(angle);
    Touch { at: disc.at + way * disc.radius, way: left_of(way), point, angle }
}

/// The touches in the order of the line: round every point, and along its branches to the next.
fn touches(mesh: &Mesh, tree: &[bool], discs: &Discs, start: Start) -> Vec<Touch> {
    let between = |point: usize, other: usize| {
        let (a, b) = (discs.all[point], discs.all[other]);
        let way = unit(b.at - a.at);
        let at = a.at.lerp(b.at, a.radius / (a.radius + b.radius));
        Touch { at, way: left_of(way), point, angle: way.atan2() }
    };
    let (lone, Some(first)) = start else {
        return (0..6).map(|k| on(discs, start.0, f64::from(k) * FRAC_PI_3)).collect();
    };
    let start = (lone, first);
    let (mut point, mut edge) = start;
    let mut list = Vec::new();
    loop {
        let around = &mesh.around[point];
        let i = around.iter().position(|(e, _)| *e == edge).unwrap_or(0);
        let next = around[(i + 1) % around.len()].0;
        // Seen from the point: to the left of the edge it came by, to the right of the next.
        let left = discs.sides[edge][usize::from(mesh.edges[edge].ends[0] != point)];
        let right = discs.sides[next][usize::from(mesh.edges[next].ends[0] == point)];
        list.extend(left.map(|d| between(point, d)));
        list.extend(right.filter(|_| right != left).map(|d| between(point, d)));
        if tree[next] {
            point = mesh.other(next, point);
        }
        edge = next;
        if (point, edge) == start {
            return list;
        }
    }
}

/// The touches, with more of them in wide arcs round a point.
fn with_arcs(touches: &[Touch], discs: &Discs) -> Vec<Touch> {
    let mut all = Vec::new();
    for (i, touch) in touches.iter().enumerate() {
        all.push(*touch);
        let next = touches[(i + 1) % touches.len()];
        let sweep = (next.angle - touch.angle).rem_euclid(TAU);
        if next.point == touch.point && (WIDE.0..WHOLE_TURN).contains(&sweep) {
            let parts = (sweep / WIDE.1).ceil();
            let mut k = 1.0;
            while k < parts {
                all.push(on(discs, touch.point, touch.angle + sweep * k / parts));
                k += 1.0;
            }
        }
    }
    all
}

/// A cubic from touch to touch, nearly an arc where both lie on one circle: its tangents are the chord over cos²(α/4), α the turn.
fn hermite(from: &Touch, to: &Touch, step: f64, line: &mut Vec<Point>) {
    let chord = from.at.distance(to.at);
    let turn = from.way.cross(to.way).atan2(from.way.dot(to.way));
    let pull = chord / (turn / 4.0).cos().powi(2);
    let steps = (chord / step).ceil().max(2.0);
    let mut k = 0.0;
    while k < steps {
        let t: f64 = k / steps;
        let (t2, t3) = (t * t, t * t * t);
        let ends = from.at.to_vec2() * (2.0 * t3 - 3.0 * t2 + 1.0) + to.at.to_vec2() * (3.0 * t2 - 2.0 * t3);
        let ways = from.way * (t3 - 2.0 * t2 + t) + to.way * (t3 - t2);
        line.push((ends + ways * pull).to_point());
        k += 1.0;
    }
}

/// The filter of [`CUT`] as weights of points [`STEP`] apart: its Fourier integral, by the midpoint rule.
fn kernel() -> Vec<f64> {
    const WAVE: f64 = 0.1;
    let weight = |j: i32| {
        let wave = |i: u32| (f64::from(i) + 0.5) * WAVE;
        let part = |k: f64| (k * f64::from(j) * STEP).cos() / (1.0 + (CUT * k).powi(6));
        (0..314).map(|i| part(wave(i))).sum()
    };
    (-KERNEL..=KERNEL).map(weight).collect()
}
