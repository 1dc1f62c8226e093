//! Plumes → the lines that show: each plume tucks behind the one before it, so that neighbours share their backs.
//!
//! A plume is one line: up its back, round its head, down to where it first meets the line before it that shows. A teardrop
//! shows all round; a crown shows between the two plumes that it stands behind. Where lines meet both get a knot, at the same
//! point to the last digit.

use kurbo::{Affine, BezPath, CubicBez, ParamCurve, ParamCurveDeriv, Point, Rect, Vec2};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::back::Family;
use super::heads::Head;
use crate::base::curve::path_of;

/// How far round its head a plume is led before it has to meet the line before, as a share of a full turn.
const ROUND: f64 = 0.8;
/// How much of its turn a back keeps at least so as to stay within the silhouette.
const LEAST_TURN: f64 = 0.6;
/// How often a back is made to turn less, each time nearer to what it may.
const TRIES: usize = 8;
/// The first of the pieces of a back that may meet the line before: earlier ones lie at the foot.
const FREE: usize = 3;
/// A meeting this near to a knot, as a share of the curve, takes that knot.
const AT_KNOT: f64 = 1e-3;

/// A plume: its head, and its foot with the way along the spine there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plume {
    /// Its head.
    pub head: Head,
    /// Its foot on the spine.
    pub foot: Point,
    /// The way the spine grows there.
    pub spine: Vec2,
    /// The side on which it stands, and to which it turns: left 1, right −1.
    pub side: f64,
}

/// A plume's line.
#[derive(Debug, Clone)]
pub struct Line {
    curves: Vec<CubicBez>,
}

/// Where two lines meet: the curve and the place on it, for either.
#[derive(Debug, Clone, Copy)]
struct Meeting {
    own: (usize, f64),
    other: (usize, f64),
}

impl Plume {
    /// The plume moved and turned, or mirrored if `map` does that; lengths have to stay.
    pub fn placed(&self, map: Affine) -> Self {
        let turned = |way: Vec2| map * way.to_point() - map * Point::ZERO;
        let head = Head { centre: map * self.head.centre, out: turned(self.head.out), ..self.head };
        Self {
            head,
            foot: map * self.foot,
            spine: turned(self.spine),
            side: self.side * map.determinant().signum(),
        }
    }

    /// Its whole line, its back setting out `angle` radians from the spine, or as nearly so as it can.
    pub fn line(&self, family: &Family, angle: f64) -> Line {
        let to = self.head.centre - self.foot;
        let away = to.hypot() / self.head.radius;
        let between = self.side * self.spine.cross(to).atan2(self.spine.dot(to));
        let (mut back, mut lead) = family.back(away, between - angle);
        // It comes onto its head before the silhouette: outside its circle it would run beyond that.
        let least = LEAST_TURN * back.turn();
        for _ in 0..TRIES {
            let to_edge = self.head.out.atan2() - (to.atan2() - self.side * lead);
            let most = (self.side * to_edge + PI).rem_euclid(TAU) - PI + FRAC_PI_2;
            if back.turn() <= most.max(least) {
                break;
            }
            (back, lead) = back.less(away, most.max(least));
        }
        let way = Vec2::from_angle(to.atan2() - self.side * lead);
        let mut curves = back.curves(self.foot, way, self.head.radius, self.side);
        let from = curves.last().map_or(self.foot, |c| c.p3);
        curves.extend(arc(self.head.centre, from, self.side * ROUND * TAU));
        Line { curves }
    }
}

impl Plume {
    /// A plume by itself: up its back, round its head, and back to its foot along a side that turns by `hollow` of what the
    /// back does, the same way.
    pub fn drop(&self, family: &Family, angle: f64, hollow: f64) -> Line {
        let to = self.head.centre - self.foot;
        let away = to.hypot() / self.head.radius;
        let between = self.side * self.spine.cross(to).atan2(self.spine.dot(to));
        let (back, lead) = family.back(away, between - angle);
        let up_way = Vec2::from_angle(to.atan2() - self.side * lead);
        let up = back.curves(self.foot, up_way, self.head.radius, self.side);
        let (front, lead) = back.less(away, hollow * back.turn());
        let down_way = Vec2::from_angle(to.atan2() + self.side * lead);
        let down = front.curves(self.foot, down_way, self.head.radius, -self.side);
        let ends = [&up, &down].map(|side| side.last().map_or(self.foot, |c| c.p3) - self.head.centre);
        let round = (self.side * ends[0].cross(ends[1]).atan2(ends[0].dot(ends[1]))).rem_euclid(TAU);
        let mut curves = up;
        curves.extend(arc(self.head.centre, self.head.centre + ends[0], self.side * round));
        if let Some(last) = curves.last_mut() {
            last.p3 = self.head.centre + ends[1];
        }
        curves.extend(reversed(&down));
        Line { curves }
    }
}

/// The curves of a drop: from its foot up the right side, round its head, down the left side.
fn drop(head: Head, foot: Point, family: &Family) -> [Vec<CubicBez>; 3] {
    let to = head.centre - foot;
    let away = to.hypot() / head.radius;
    let (back, lead) = family.side(away);
    // The right side turns left, to the head.
    let up = back.curves(foot, Vec2::from_angle(to.atan2() - lead), head.radius, 1.0);
    let down = back.curves(foot, Vec2::from_angle(to.atan2() + lead), head.radius, -1.0);
    let ends = [&up, &down].map(|side| side.last().map_or(foot, |c| c.p3) - head.centre);
    let round = ends[0].cross(ends[1]).atan2(ends[0].dot(ends[1])).rem_euclid(TAU);
    let mut over = arc(head.centre, head.centre + ends[0], round / 2.0);
    // A knot in the middle, where a crown may touch another.
    let middle = over.last().map_or(foot, |c| c.p3);
    over.extend(arc(head.centre, middle, round / 2.0));
    if let Some(last) = over.last_mut() {
        last.p3 = head.centre + ends[1];
    }
    [up, over, reversed(&down)]
}

/// A box round a curve.
fn hull(c: &CubicBez) -> Rect {
    Rect::from_points(c.p0, c.p3).union_pt(c.p1).union_pt(c.p2)
}

/// The arc about `centre` from a point on it, `turn` radians round.
fn arc(centre: Point, from: Point, turn: f64) -> Vec<CubicBez> {
    let pieces = (turn.abs() / 0.7).ceil().max(1.0);
    let step = turn / pieces;
    let spoke = from - centre;
    let at = |k: f64| {
        let (sin, cos) = (step * k).sin_cos();
        Vec2::new(spoke.x * cos - spoke.y * sin, spoke.x * sin + spoke.y * cos)
    };
    let handle = 4.0 / 3.0 * (step / 4.0).tan();
    let piece = |k: usize| {
        let (a, b) = (at(k as f64), at(k as f64 + 1.0));
        let left = |v: Vec2| Vec2::new(-v.y, v.x) * handle;
        CubicBez::new(centre + a, centre + a + left(a), centre + b - left(b), centre + b)
    };
    (0..pieces as usize).map(piece).collect()
}

fn reversed(curves: &[CubicBez]) -> Vec<CubicBez> {
    curves.iter().rev().map(|c| CubicBez::new(c.p3, c.p2, c.p1, c.p0)).collect()
}

impl Line {
    /// A teardrop that shows all round.
    pub fn teardrop(head: Head, foot: Point, family: &Family) -> Self {
        Self { curves: drop(head, foot, family).concat() }
    }

    /// A teardrop of which only its head shows, behind the lines on its left and right.
    pub fn crown(
        head: Head,
        foot: Point,
        family: &Family,
        left: &mut Self,
        right: &mut Self,
    ) -> Option<Self> {
        let [up, over, down] = drop(head, foot, family);
        // From the middle of the head both ways.
        let (over, rest) = over.split_at(over.len() / 2);
        let mut down = Self { curves: [rest, &down].concat() };
        let mut up = Self { curves: reversed(&[&up, over].concat()) };
        down.tuck(left, 0)?;
        up.tuck(right, 0)?;
        let mut curves = reversed(&up.curves);
        curves.extend(down.curves);
        Some(Self { curves })
    }

    /// Ends the line where it first meets `before` beyond the first `free` curves. `None` if it never does.
    pub fn tuck(&mut self, before: &mut Self, free: usize) -> Option<()> {
        let meeting = self.meets(before, free)?;
        let knot = before.knot(meeting.other);
        let (i, t) = meeting.own;
        self.curves.truncate(i + 1);
        self.curves[i] = self.curves[i].subsegment(0.0..t);
        self.curves[i].p3 = knot;
        Some(())
    }

    /// The first place along this line, from the curve `from` on, where it meets another.
    fn meets(&self, other: &Self, from: usize) -> Option<Meeting> {
        const CHORDS: usize = 6;
        let chord = |c: &CubicBez, k: usize| [k, k + 1].map(|k| c.eval(k as f64 / CHORDS as f64));
        let boxes: Vec<Rect> = other.curves.iter().map(hull).collect();
        for (i, own) in self.curves.iter().enumerate().skip(from) {
            let own_box = hull(own);
            let near: Vec<usize> = (0..boxes.len()).filter(|j| boxes[*j].overlaps(own_box)).collect();
            for k in 0..CHORDS {
                let [a, b] = chord(own, k);
                let mut first: Option<Meeting> = None;
                for j in &near {
                    for l in 0..CHORDS {
                        let [c, d] = chord(&other.curves[*j], l);
                        let Some((t, u)) = cross(a, b, c, d) else { continue };
                        let at = [(k, t), (l, u)].map(|(k, t)| (k as f64 + t) / CHORDS as f64);
                        if first.is_none_or(|m| at[0] < m.own.1) {
                            first = Some(Meeting { own: (i, at[0]), other: (*j, at[1]) });
                        }
                    }
                }
                if let Some(meeting) = first {
                    return Some(self.refined(other, meeting));
                }
            }
        }
        None
    }

    /// The meeting to the last digit, by Newton's method, as far as it stays on its two curves.
    fn refined(&self, other: &Self, meeting: Meeting) -> Meeting {
        let (own, theirs) = (self.curves[meeting.own.0], other.curves[meeting.other.0]);
        let (mut t, mut u) = (meeting.own.1, meeting.other.1);
        for _ in 0..8 {
            let off = theirs.eval(u) - own.eval(t);
            let (v, w) = (own.deriv().eval(t).to_vec2(), theirs.deriv().eval(u).to_vec2());
            let cross = v.cross(w);
            if cross.abs() < 1e-12 {
                break;
            }
            t = (t + off.cross(w) / cross).clamp(0.0, 1.0);
            u = (u + off.cross(v) / cross).clamp(0.0, 1.0);
        }
        Meeting { own: (meeting.own.0, t), other: (meeting.other.0, u) }
    }

    /// Puts a knot at a place of the line and tells where it is.
    fn knot(&mut self, (i, t): (usize, f64)) -> Point {
        let curve = self.curves[i];
        if t < AT_KNOT {
            return curve.p0;
        }
        if t > 1.0 - AT_KNOT {
            return curve.p3;
        }
        let (a, b) = (curve.subsegment(0.0..t), curve.subsegment(t..1.0));
        self.curves.splice(i..=i, [a, CubicBez { p0: a.p3, ..b }]);
        a.p3
    }

    /// The line as a path.
    pub fn path(&self) -> BezPath {
        path_of(&self.curves)
    }
}

/// Where the straight lines `ab` and `cd` cross, as shares of either.
fn cross(a: Point, b: Point, c: Point, d: Point) -> Option<(f64, f64)> {
    let (v, w) = (b - a, d - c);
    let area = v.cross(w);
    if area == 0.0 {
        return None;
    }
    let (t, u) = ((c - a).cross(w) / area, (c - a).cross(v) / area);
    let on = |x: f64| (0.0..=1.0).contains(&x);
    (on(t) && on(u)).then_some((t, u))
}

/// Weaves a row of lines, each behind the one before it, the first behind `before`.
pub fn row(mut lines: Vec<Line>, before: &mut Line) -> Option<Vec<Line>> {
    for i in 0..lines.len() {
        let (done, rest) = lines.split_at_mut(i);
        rest[0].tuck(done.last_mut().unwrap_or(before), FREE)?;
    }
    Some(lines)
}

/// Weaves a ring of lines, each behind the one before it, the first behind the last.
pub fn ring(mut lines: Vec<Line>) -> Option<Vec<Line>> {
    for i in 1..lines.len() {
        let (done, rest) = lines.split_at_mut(i);
        rest[0].tuck(&mut done[i - 1], FREE)?;
    }
    let (first, rest) = lines.split_first_mut()?;
    first.tuck(rest.last_mut()?, FREE)?;
    Some(lines)
}
