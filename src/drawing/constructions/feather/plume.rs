//! Plumes: heads and feet → their lines, each ending exactly on the plume before it.
//!
//! A plume is drawn as one line: from its foot on the spine up its stem, round its head, and down to where it meets the
//! line of the plume before. So every plume shows only where those before do not cover it, and neighbours share their
//! backs. The meeting point is found as a root, both lines get a knot there, and nothing has to be clipped.

use kurbo::{BezPath, CubicBez, ParamCurve, Point, Vec2};

use super::curls;
use super::spiral::Spiral;
use crate::base::angle::unit;
use crate::base::chain;
use crate::base::curve::path_of;

use std::f64::consts::TAU;

/// Where a plume's head stands and where its foot stands on the spine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plume {
    /// The centre of the head's circle.
    pub centre: Point,
    /// The radius of the head's circle, mm.
    pub radius: f64,
    /// The foot on the spine.
    pub foot: Point,
}

/// How far round its head, at least, a plume goes before it may meet the one before, as a share of a full turn.
const LEAST_ROUND: f64 = 0.02;

/// How far round its head, at most, a plume that shows all round goes between its sides, as a share of a full turn.
const MOST_ROUND: f64 = 0.75;

/// How far a stem may leave the outline, mm: what is lost in following a round outline with chords.
const ASTRAY_MM: f64 = 0.02;

/// How plumes are drawn: the stems to choose from, and the outline that they have to stay in.
#[derive(Debug, Clone)]
pub struct Hand {
    // Invariant: from the asked curl down; at least one.
    spirals: Vec<Spiral>,
    bounds: Vec<Point>,
}

impl Hand {
    /// Stems of this curl, or of less where that would lead out of `bounds` or across the plume before.
    pub fn new(curl_deg: f64, bounds: &[Point]) -> Self {
        const LEVELS: usize = 12;
        const LEAST: f64 = 0.12;
        let spirals = (0..LEVELS).map(|k| {
            let share = 1.0 - (1.0 - LEAST) * k as f64 / (LEVELS - 1) as f64;
            Spiral::new(curl_deg * share)
        });
        Self { spirals: spirals.collect(), bounds: bounds.to_vec() }
    }

    /// The stems of the asked curl.
    pub fn spiral(&self) -> &Spiral {
        &self.spirals[0]
    }

    /// A circle of this radius inside the bounds: as near to `centre` on the way to `from` as it can be.
    pub fn fitted(&self, centre: Point, radius: f64, from: Point) -> Point {
        const STEPS: usize = 12;
        const LEAST_MM: f64 = 0.01;
        let mut moved = centre;
        for _ in 0..STEPS {
            let off = radius - chain::distance_to_ring(moved, &self.bounds);
            if self.bounds.is_empty() || off <= 0.0 {
                break;
            }
            moved += unit(from - centre) * (off * 1.5).max(LEAST_MM);
        }
        moved
    }

    fn stays_inside(&self, stem: &[CubicBez]) -> bool {
        self.bounds.is_empty()
            || stem.iter().skip(stem.len() / 3).flat_map(|c| [c.eval(0.5), c.p3]).all(|p| {
                chain::contains(&self.bounds, p) || chain::distance_to_ring(p, &self.bounds) < ASTRAY_MM
            })
    }
}

/// A plume's line while it is woven.
#[derive(Debug, Clone)]
pub struct Line {
    curves: Vec<CubicBez>,
    head: Circle,
    level: usize,
}

/// A head's circle, with the angle at which its line comes onto it and the way it goes round.
#[derive(Debug, Clone, Copy)]
struct Circle {
    centre: Point,
    radius: f64,
    from: f64,
    side: f64,
}

/// Where a head meets a line.
#[derive(Debug, Clone, Copy)]
struct Meeting {
    curve: usize,
    t: f64,
    round: f64,
}

impl Line {
    /// A plume that shows all round: one side comes up from its foot, the other down to `back_foot`.
    ///
    /// `None` if its foot lies inside its head.
    pub fn whole(plume: &Plume, hand: &Hand, side: f64, back_foot: Point) -> Option<Self> {
        let back_plume = Plume { foot: back_foot, ..*plume };
        let (mut line, back, round) = hand.spirals.iter().find_map(|spiral| {
            let line = Self::stem_of(plume, spiral, side);
            let back = Self::stem_of(&back_plume, spiral, -side);
            let round = line.head.round_to(back.head.at(0.0));
            let inside = hand.stays_inside(&line.curves) && hand.stays_inside(&back.curves);
            let apart = !(line.winds_across() || back.winds_across());
            (inside && apart && round < MOST_ROUND * TAU).then_some((line, back, round))
        })?;
        line.round(round, back.head.at(0.0));
        line.curves.extend(back.curves.iter().rev().map(|c| CubicBez::new(c.p3, c.p2, c.p1, c.p0)));
        Some(line)
    }

    /// A plume that tucks behind the line of the one before, which gets a knot where they meet; its stem is of this level's
    /// curl, or of less.
    ///
    /// `None` if its head does not reach that line.
    fn tucked(plume: &Plume, hand: &Hand, level: usize, side: f64, before: &mut Self) -> Option<Self> {
        let (mut line, meeting) = (level..hand.spirals.len()).find_map(|level| {
            let line = Self { level, ..Self::stem_of(plume, &hand.spirals[level], side) };
            let meeting = before.meets(&line.head)?;
            hand.stays_inside(&line.curves).then_some((line, meeting))
        })?;
        let knot = before.knot(meeting);
        line.round(meeting.round, knot);
        Some(line)
    }

    /// The plume at the tip, which shows only its head: from the line on its left to the line on its right.
    pub fn crown(centre: Point, radius: f64, way: Vec2, left: &mut Self, right: &mut Self) -> Option<Self> {
        let half = |side: f64| Circle { centre, radius, from: way.atan2(), side };
        let on_left = left.meets(&half(1.0))?;
        let on_right = right.meets(&half(-1.0))?;
        let (from, to) = (right.knot(on_right), left.knot(on_left));
        let head = Circle { from: (from - centre).atan2(), ..half(1.0) };
        let mut line = Self { curves: Vec::new(), head, level: 0 };
        line.round(on_left.round + on_right.round, to);
        if let Some(first) = line.curves.first_mut() {
            first.p0 = from;
        }
        Some(line)
    }

    /// Weaves a row: each plume behind the one before, the first behind `first`.
    pub fn row(plumes: &[Plume], hand: &Hand, side: f64, first: Self) -> Option<Vec<Self>> {
        curls::easiest(plumes.len(), false, |levels| Self::row_of(plumes, levels, hand, side, first.clone()))
    }

    fn row_of(plumes: &[Plume], levels: &[usize], hand: &Hand, side: f64, first: Self) -> Option<Vec<Self>> {
        let mut lines = vec![first];
        for (plume, level) in plumes.iter().zip(levels) {
            let before = lines.last_mut()?;
            let line = Self::tucked(plume, hand, *level, side, before)?;
            lines.push(line);
        }
        Some(lines)
    }

    /// Weaves a ring: each plume behind the one before, the first behind the last.
    pub fn ring(plumes: &[Plume], hand: &Hand, side: f64) -> Option<Vec<Self>> {
        curls::easiest(plumes.len(), true, |levels| {
            let from = *levels.first()?;
            (from..hand.spirals.len()).find_map(|level| Self::ring_from(plumes, levels, level, hand, side))
        })
    }

    /// Weaves a ring with a stem of this level for the first plume.
    fn ring_from(
        plumes: &[Plume],
        levels: &[usize],
        level: usize,
        hand: &Hand,
        side: f64,
    ) -> Option<Vec<Self>> {
        // The first is drawn once as if nothing were before it, so that the last can be tucked behind its neighbour;
        // then it is drawn anew behind the last.
        let (first, rest) = plumes.split_first()?;
        let mut again = Self { level, ..Self::stem_of(first, &hand.spirals[level], side) };
        if !hand.stays_inside(&again.curves) {
            return None;
        }
        let mut open = again.clone();
        open.round(0.6 * TAU, open.head.at(0.6 * TAU));
        let mut lines = Self::row_of(rest, levels.get(1..)?, hand, side, open)?;
        let last = lines.last_mut()?;
        let meeting = last.meets(&again.head)?;
        let knot = last.knot(meeting);
        again.round(meeting.round, knot);
        let second = lines.get_mut(1)?.curves.last_mut()?;
        second.p3 = again.knot_at(second.p3);
        lines[0] = again;
        Some(lines)
    }

    /// How far down from the asked curl its stem's is, in levels.
    pub fn level(&self) -> usize {
        self.level
    }

    /// The line as a path.
    pub fn path(&self) -> BezPath {
        path_of(&self.curves)
    }

    fn stem_of(plume: &Plume, spiral: &Spiral, side: f64) -> Self {
        let Plume { centre, radius, foot } = *plume;
        let curves = spiral.stem(foot, centre, radius, side);
        let on = curves.last().map_or(foot, |c| c.p3);
        Self { curves, head: Circle { centre, radius, from: (on - centre).atan2(), side }, level: 0 }
    }

    /// True if the stem winds on round its head to the other side of the way from its foot to the head's centre, where it
    /// would lie on the stem that comes up there.
    fn winds_across(&self) -> bool {
        let Some(foot) = self.curves.first().map(|c| c.p0) else { return false };
        let axis = self.head.centre - foot;
        // A stem that turns left stands on the right of that way.
        axis.cross(self.head.at(0.0) - foot) * self.head.side > 0.0
    }

    /// Goes on round the head by `round` radians, to end in `to`.
    fn round(&mut self, round: f64, to: Point) {
        let pieces = (round / 0.8).ceil().max(1.0);
        let step = round / pieces;
        let handle = 4.0 / 3.0 * (step / 4.0).tan() * self.head.radius;
        let mut from = self.head.at(0.0);
        for k in 1..=pieces as usize {
            let (a, b) = (step * (k - 1) as f64, step * k as f64);
            let end = if k == pieces as usize { to } else { self.head.at(b) };
            let (v, u) = (self.head.way(a) * handle, self.head.way(b) * handle);
            self.curves.push(CubicBez::new(from, from + v, end - u, end));
            from = end;
        }
    }

    /// The first place, going round `head`, where it meets this line.
    fn meets(&self, head: &Circle) -> Option<Meeting> {
        const SAMPLES: usize = 8;
        let off = |curve: &CubicBez, t: f64| curve.eval(t).distance(head.centre) - head.radius;
        let mut best: Option<Meeting> = None;
        for (i, curve) in self.curves.iter().enumerate() {
            for k in 0..SAMPLES {
                let (mut a, mut b) = (k as f64 / SAMPLES as f64, (k + 1) as f64 / SAMPLES as f64);
                let (f, g) = (off(curve, a), off(curve, b));
                if f * g > 0.0 {
                    continue;
                }
                for _ in 0..48 {
                    let m = f64::midpoint(a, b);
                    if off(curve, m) * f > 0.0 { a = m } else { b = m }
                }
                let t = f64::midpoint(a, b);
                let round = head.round_to(curve.eval(t));
                let early = best.is_none_or(|m| round < m.round);
                if early && (LEAST_ROUND * TAU..0.8 * TAU).contains(&round) {
                    best = Some(Meeting { curve: i, t, round });
                }
            }
        }
        best
    }

    /// Puts a knot into the line and tells where it is.
    fn knot(&mut self, at: Meeting) -> Point {
        const NO_BIT: f64 = 1e-3;
        let curve = self.curves[at.curve];
        if at.t < NO_BIT {
            return curve.p0;
        }
        if at.t > 1.0 - NO_BIT {
            return curve.p3;
        }
        let (a, b) = (curve.subsegment(0.0..at.t), curve.subsegment(at.t..1.0));
        self.curves.splice(at.curve..=at.curve, [a, b]);
        a.p3
    }

    /// Puts a knot where the line passes `p`, or takes the one that is there all but exactly, and tells where it is.
    fn knot_at(&mut self, p: Point) -> Point {
        let mut best = (f64::INFINITY, Meeting { curve: 0, t: 0.0, round: 0.0 });
        for (curve, c) in self.curves.iter().enumerate() {
            let near = kurbo::ParamCurveNearest::nearest(c, p, 1e-9);
            if near.distance_sq < best.0 {
                best = (near.distance_sq, Meeting { curve, t: near.t, round: 0.0 });
            }
        }
        self.knot(best.1)
    }
}

impl Circle {
    fn at(&self, round: f64) -> Point {
        self.centre + Vec2::from_angle(self.from + self.side * round) * self.radius
    }

    fn way(&self, round: f64) -> Vec2 {
        let v = Vec2::from_angle(self.from + self.side * round) * self.side;
        Vec2::new(-v.y, v.x)
    }

    fn round_to(&self, p: Point) -> f64 {
        (((p - self.centre).atan2() - self.from) * self.side).rem_euclid(TAU)
    }
}
