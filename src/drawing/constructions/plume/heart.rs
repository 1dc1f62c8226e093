//! A feathered heart: plumes outside and inside a spine in the form of a heart, from a drop at its point to one in its cleft.
//!
//! Half a spine is a back ([`back`](super::back)) from the point onto the circle of a lobe, round it and down into the cleft,
//! stretched upwards. Heads stand along that heart moved outwards and inwards, its corners rounded, from a whole drop at the point
//! to a crown on the axis at the cleft; so both ends are level there, and the left half is the right one's mirror. The
//! heart keeps its form and is as large as the block allows.

use kurbo::{Affine, BezPath, Point, Vec2};
use serde::Deserialize;
use std::f64::consts::PI;

use super::back::Family;
use super::feet::{Ask, Hung};
use super::guide::Guide;
use super::heads::{Head, Stretch};
use super::weave::{Line, Plume, row};
use super::{Look, hull, no_room};
use crate::base::chain;
use crate::base::curve::{flatten, path_of};
use crate::block::{Block, further_in};
use crate::drawing::own;
use crate::drawing::settings::{Need, Settings};
use crate::drawing::{DrawError, Drawing};

/// The settings that a heart reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("curl", "angle")];

const HEART: &str = "a feathered heart";
/// How far inside the inner outline plumes are fitted, mm: a head strays a little from where it is put.
const HAIR_MM: f64 = 0.06;
/// How often radii are scaled until whole plumes stand as close as asked.
const ROUNDS: usize = 6;
/// How fine the form of the heart is, in parts of its height, and in how many pieces its lobe is laid out.
const FINE: f64 = 1e-5;
const LOBE: u32 = 400;
/// How high the spine is for which its place is looked for, mm.
const FITTED_MM: f64 = 100.0;
/// How far along the heart heads are larger towards a drop or a crown, in their radii.
const GROWN: f64 = 3.2;
/// No foot of a plume is nearer to an end of the spine, mm: six lines meet there, and the needle goes down often enough.
const CROWDED_MM: f64 = 2.0;
/// Feet on either side that are nearer than this share of the gap between outer ones meet.
const MEET: f64 = 0.5;

/// The numbers of a heart.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The narrowest and the widest plume, as shares of the spine's height.
    plumes: [f64; 2],
    /// The width of half the spine before it is stretched, and from the axis to the middle of its lobe's circle, in radii of that.
    form: [f64; 2],
    /// By how much the spine is stretched upwards.
    taller: f64,
    /// By how much the side from its point turns, degrees.
    side: f64,
    /// How far heads reach outside and inside, in heights of the spine.
    reach: [f64; 2],
    /// To what radius the silhouette is rounded outside in the cleft and inside at the point, likewise.
    rounding: [f64; 2],
    /// The size of the plumes inside, in sizes of those outside.
    inside: f64,
    /// How much larger the drops at the point and the crowns at the cleft are: outside and inside.
    drops: [f64; 2],
    /// See `drops`.
    crowns: [f64; 2],
}

/// One half of a row: its drop, its plumes, and its crown.
struct Half {
    drop: Head,
    plumes: Vec<Plume>,
    crown: Head,
}

/// Draws a heart in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    let apart = || no_room(HEART, "its plumes do not meet; ask for narrower plumes or less curl");
    let half = numbers.half();
    let scaled: Vec<Point> = whole(&half).iter().map(|p| (p.to_vec2() * FITTED_MM).to_point()).collect();
    let fitted = hull::outset(&hull::simple(&scaled), numbers.reach[0] * FITTED_MM).ok_or_else(apart)?;
    let fitted = hull::simple(&fitted);
    for region in block.inside.iter().flat_map(|region| further_in(region, HAIR_MM)) {
        let (middle, scale) = own::place(&fitted, &region);
        let height = scale * FITTED_MM;
        let look = Look::fitted(settings, numbers.plumes.map(|share| share * height), HEART, &mut drawing)?;
        let lines = numbers.lines(&look, &half, height).ok_or_else(apart)?;
        let place = Affine::translate(middle.to_vec2());
        drawing.lines.extend(lines.into_iter().map(|line| place * line));
    }
    Ok(drawing)
}

/// The ring round both halves, of which the given one is the right.
fn whole(half: &[Point]) -> Vec<Point> {
    let left = half[1..half.len() - 1].iter().rev().map(|p| Point::new(-p.x, p.y));
    half.iter().copied().chain(left).collect()
}

impl Numbers {
    /// The right half of the spine, from the point to the cleft; the heart moved outwards as far as its heads reach has its
    /// middle at 0,0.
    fn half(&self) -> Vec<Point> {
        let [w, q] = self.form;
        let r = w / (1.0 + q);
        let lobe = Point::new(q * r, 1.0 - r);
        let away = lobe.to_vec2().hypot() / r;
        let (back, lead) = Family::new(self.side).side(away).0.less(away, self.side.to_radians());
        let way = Vec2::from_angle(lobe.to_vec2().atan2() - lead);
        let side = path_of(&back.curves(Point::ZERO, way, r, 1.0));
        let mut points: Vec<Point> = flatten(&side, FINE).into_iter().flat_map(|flat| flat.points).collect();
        let from = points.last().map_or(0.0, |p| (*p - lobe).atan2());
        let cleft = PI - q.min(1.0).acos();
        points.extend((1..=LOBE).map(|i| {
            let angle = from + (cleft - from) * f64::from(i) / f64::from(LOBE);
            lobe + Vec2::from_angle(angle) * r
        }));
        let top = points.iter().map(|p| p.y).fold(0.0, f64::max);
        let tall =
            Affine::translate((0.0, -0.5)) * Affine::scale_non_uniform(1.0 / (self.taller * top), 1.0 / top);
        points.iter().map(|p| tall * *p).collect()
    }

    /// The lines of a heart whose spine is so high.
    fn lines(&self, look: &Look, half: &[Point], height: f64) -> Option<Vec<BezPath>> {
        let half: Vec<Point> = half.iter().map(|p| (p.to_vec2() * height).to_point()).collect();
        let ring = hull::simple(&whole(&half));
        let spine = Guide::open(&half)?;
        let [reach, round] = [self.reach, self.rounding].map(|shares| shares.map(|share| share * height));
        let outside = hull::inset(&hull::simple(&hull::outset(&ring, reach[0] + round[0])?), round[0])?;
        let inside = hull::outset(&hull::simple(&hull::inset(&ring, reach[1] + round[1])?), round[1])?;
        let full = look.width / 2.0 / look.closeness;
        let mut rows = Vec::new();
        for (k, (ring, size)) in [(outside, full), (inside, full * self.inside)].into_iter().enumerate() {
            rows.push(self.heads(&ring, size, look.closeness, k)?);
        }
        let halves = hang(look.ask(&spine), &rows);
        let mut knots: Vec<f64> = Vec::new();
        let mut lines = Vec::new();
        let (point, cleft) = (spine.at(0.0).0, spine.at(spine.length()).0);
        for half in &halves {
            knots.extend(half.plumes.iter().map(|p| spine.nearest(p.foot)));
            lines.extend(weave(look, half, point, cleft)?);
        }
        let right = spine.curve(&knots);
        lines.push(Affine::FLIP_X * right.clone());
        lines.push(right);
        Some(lines)
    }

    /// The heads of half a row, from the drop at the point to the crown at the cleft.
    fn heads(&self, ring: &[Point], size: f64, closeness: f64, k: usize) -> Option<Vec<Head>> {
        let box_ = chain::bounds(ring);
        let silhouette = Guide::closed(ring)?;
        let from = silhouette.nearest(Point::new(0.0, box_.y0 - 1.0));
        let touch = silhouette.between(from, from + silhouette.length() / 2.0)?;
        let whole = touch.length();
        let inward = if k == 0 { 1.0 } else { -1.0 };
        let line = Stretch { touch: &touch, inward, from: 0.0, to: whole };
        let radius = |full: f64| {
            move |s: f64| {
                let near = |away: f64| (-(away / (GROWN * size)).powi(2)).exp();
                full * (1.0 + self.drops[k] * near(s) + self.crowns[k] * near(whole - s))
            }
        };
        let count = line.steps(&radius(size), closeness).round().max(4.0) as usize;
        let mut full = size;
        for _ in 0..ROUNDS {
            full *= line.even(&radius(full), count).1 / closeness;
        }
        let mut heads = line.even(&radius(full), count).0;
        // On the axis to the last digit.
        for i in [0, count] {
            heads[i].centre.x = 0.0;
        }
        Some(heads)
    }
}

/// Plumes for the heads of both rows: feet on either side that nearly meet are one, and all find their places together.
fn hang(ask: Ask<'_>, rows: &[Vec<Head>]) -> Vec<Half> {
    let spine = ask.spine;
    let hung = |heads: &[Head], side: f64| -> Vec<Vec<Hung>> {
        heads[1..heads.len() - 1].iter().map(|head| vec![(*head, side)]).collect()
    };
    // The drop's and the crown's feet stand at the ends of the spine.
    let feet = |plumes: Vec<Vec<Hung>>| {
        let all = [vec![Vec::new()], plumes, vec![Vec::new()]].concat();
        let last = all.len() - 1;
        ask.feet(&all, &[(0, 0.0), (last, spine.length())], false)[1..last].to_vec()
    };
    let [outer, inner] = [hung(&rows[0], -1.0), hung(&rows[1], 1.0)];
    let alone = [feet(outer.clone()), feet(inner.clone())];
    // In order along the spine, each with the row that it belongs to.
    let mut order: Vec<(f64, Vec<Hung>)> = alone[0].iter().copied().zip(outer).collect();
    let mut next = 0;
    for (s, plume) in alone[1].iter().zip(inner) {
        while next < order.len() && order[next].0 < s - near_mm(&alone[0], *s) {
            next += 1;
        }
        match order.get_mut(next) {
            Some((t, with)) if (*t - s).abs() < near_mm(&alone[0], *s) => with.extend(plume),
            _ => order.insert(next, (*s, plume)),
        }
        next += 1;
    }
    let feet = feet(order.iter().map(|(_, plumes)| plumes.clone()).collect());
    let mut halves: Vec<Half> =
        rows.iter().map(|row| Half { drop: row[0], plumes: Vec::new(), crown: row[row.len() - 1] }).collect();
    for (s, (_, plumes)) in feet.iter().zip(&order) {
        let (foot, way) = spine.at(s.clamp(CROWDED_MM, spine.length() - CROWDED_MM));
        for (head, side) in plumes {
            halves[usize::from(*side > 0.0)].plumes.push(Plume {
                head: *head,
                foot,
                spine: way,
                side: *side,
            });
        }
    }
    halves
}

/// How near to `s` another foot has to stand to be the same, mm.
fn near_mm(feet: &[f64], s: f64) -> f64 {
    let i = feet.partition_point(|t| *t < s).clamp(1, feet.len() - 1);
    MEET * (feet[i] - feet[i - 1])
}

/// The lines of one row, left and right.
fn weave(look: &Look, half: &Half, point: Point, cleft: Point) -> Option<Vec<BezPath>> {
    let mut drop = Line::teardrop(half.drop, point, look.family());
    let mut rows = Vec::new();
    for place in [Affine::IDENTITY, Affine::FLIP_X] {
        let lines = half.plumes.iter().map(|p| p.placed(place).line(look.family(), look.angle()));
        rows.push(row(lines.collect(), &mut drop)?);
    }
    let [mut right, mut left] = <[Vec<Line>; 2]>::try_from(rows).ok()?;
    // Outside the crown stands up from the cleft, inside it hangs.
    let up = half.crown.centre.y > cleft.y;
    let (l, r) = if up { (&mut left, &mut right) } else { (&mut right, &mut left) };
    let crown = Line::crown(half.crown, cleft, look.family(), l.last_mut()?, r.last_mut()?)?;
    let mut lines: Vec<BezPath> = right.iter().chain(&left).map(Line::path).collect();
    lines.extend([drop.path(), crown.path()]);
    Some(lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape;
    use crate::drawing::construction::Construction;
    use crate::drawing::{library, settings};

    fn numbers() -> Numbers {
        let motifs = library::read_all(&[]).unwrap();
        match &library::find(&motifs, "feathered-heart").unwrap().construction {
            Construction::FeatherHeart(numbers) => numbers.clone(),
            other => panic!("{}", other.word()),
        }
    }

    #[test]
    fn the_spine_is_a_heart_with_a_deep_cleft_and_its_widest_place_a_third_down() {
        let half = numbers().half();
        let (top, cleft) = (half.iter().map(|p| p.y).fold(-1.0, f64::max), half[half.len() - 1]);
        assert!((top - 0.5).abs() < 1e-9 && half[0].distance(Point::new(0.0, -0.5)) < 1e-9);
        assert!(cleft.x.abs() < 1e-6 && (0.22..=0.25).contains(&(top - cleft.y)), "{cleft:?}");
        let widest = half.iter().max_by(|a, b| a.x.total_cmp(&b.x)).unwrap();
        assert!((top - widest.y - 0.35).abs() < 0.03, "{widest:?}");
    }

    #[test]
    fn the_left_half_is_the_right_ones_mirror() {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, "feathered-heart").unwrap();
        let settings = settings::resolve("feathered-heart", &motif.settings, &[]).unwrap();
        let block = outline(&Shape::Square { side: 203.2 }, 6.35).unwrap();
        let lines = draw(&numbers(), &settings, &block).unwrap().lines;
        let ends = |line: &BezPath| -> Vec<Point> {
            let chains = flatten(line, 0.01).into_iter().map(|flat| flat.points);
            chains.flat_map(|chain| [chain[0], chain[chain.len() - 1]]).collect()
        };
        let ends: Vec<Point> = lines.iter().flat_map(ends).collect();
        assert!(ends.len() > 100, "{}", ends.len());
        for p in &ends {
            let mirrored = Point::new(-p.x, p.y);
            let off = ends.iter().map(|q| q.distance(mirrored)).fold(f64::INFINITY, f64::min);
            assert!(off < 1e-3, "{p:?} has no mirror within {off} mm");
        }
    }
}
