//! A feather ring: plumes outside and inside a round spine, all alike, with something in the middle.
//!
//! In the largest circle of the outline. One plume of either row is solved and the others are its copies, so the ring is the
//! same whichever way it is turned. There are as many inner plumes as outer ones, or half as many, and every inner foot stands
//! where an outer one does: a foot where two lines leave the spine is even, and the line need not come back to it. A double
//! spine has a rung at each of these feet.

use kurbo::{Affine, BezPath, Line as Straight, Point, Shape, Vec2};
use serde::Deserialize;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::centre::Centre;
use super::feet::Ask;
use super::guide::Guide;
use super::heads::Head;
use super::hull;
use super::weave::{Line, Plume, ring};
use super::{Look, no_room};
use crate::base::tolerance::ARC_LENGTH_MM;
use crate::block::{Block, further_in};
use crate::drawing::constructions::wedge::circle;
use crate::drawing::settings::{Need, Settings};
use crate::drawing::{DrawError, Drawing};

/// The settings that a ring reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("curl", "angle")];

const RING: &str = "a ring of feathers";
/// How far inside the inner outline plumes are fitted, mm: a head strays a little from where it is put.
const HAIR_MM: f64 = 0.06;
/// Outer plumes come in fours, so that inner ones come in pairs, and are neither fewer nor more than these.
const FEWEST: f64 = 28.0;
const MOST: f64 = 64.0;

/// How much farther apart the heads of separate plumes stand than those of tucked ones.
const SEPARATE: f64 = 1.44;
/// The other side of a separate plume is nearly straight: it turns by so much of what its back does.
const HOLLOW: f64 = 0.32;

/// The numbers of a ring.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// Where the middle ends, as a share of the way from the centre to the edge.
    inner: f64,
    /// Where the spine runs, likewise.
    spine: f64,
    /// Outer plumes for every inner one.
    #[serde(default = "one_each")]
    pairs: u32,
    /// How far apart the two lines of a double spine are, likewise; 0 for a single one.
    #[serde(default)]
    double: f64,
    /// What plumes look like.
    #[serde(default)]
    plumes: Kind,
    /// What is in the middle.
    centre: Option<Centre>,
}

fn one_each() -> u32 {
    1
}

/// What plumes look like.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Each tucked behind the one before it.
    #[default]
    Tucked,
    /// Each by itself, from its foot round and back to it.
    Separate,
}

/// One row of a ring.
struct Row<'a> {
    look: &'a Look,
    kind: Kind,
    middle: Point,
    spine: Guide,
    /// The spine's radius, mm.
    radius: f64,
    /// 1 inside, −1 outside.
    side: f64,
    /// The radius of a head, mm.
    head: f64,
    /// The distance of the heads from the middle, mm.
    line: f64,
    /// How many plumes it has.
    count: u32,
}

/// Draws a ring in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in block.inside.iter().flat_map(|region| further_in(region, HAIR_MM)) {
        let (middle, reach) = hull::largest_circle(&region);
        let around = |count: f64| TAU * reach / (count + PI);
        let look = Look::fitted(settings, [around(MOST), around(FEWEST)], RING, &mut drawing)?;
        let count = (TAU * (reach - look.width / 2.0) / look.width / 4.0).round() * 4.0;
        let count = count.clamp(FEWEST, MOST);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just above")]
        one(numbers, &look, (middle, reach), count as u32, &mut drawing)
            .ok_or_else(|| no_room(RING, "its plumes do not meet; ask for narrower plumes or less curl"))?;
    }
    Ok(drawing)
}

fn one(
    n: &Numbers,
    look: &Look,
    (middle, reach): (Point, f64),
    count: u32,
    drawing: &mut Drawing,
) -> Option<()> {
    let kind = n.plumes;
    let apart = if kind == Kind::Separate { SEPARATE * look.closeness } else { look.closeness };
    let (edge, spine, half) = (n.inner * reach, n.spine * reach, n.double * reach / 2.0);
    let row = |side: f64, edge: f64, count: u32| {
        let sin = (PI / f64::from(count)).sin();
        let head = edge * sin / (apart - side * sin);
        let radius = spine - side * half;
        let spine = Guide::closed(&hull::circle(middle, radius))?;
        Some(Row { look, kind, middle, spine, radius, side, head, line: edge + side * head, count })
    };
    let (outer, inner) = (row(-1.0, reach, count)?, row(1.0, edge, count / n.pairs.clamp(1, 2))?);
    // A head of the inner row stands straight below the middle, and its foot is one of the outer row's as well.
    let begin = -FRAC_PI_2;
    let shared = begin + inner.lead();
    let outer_lines = outer.lines(shared - outer.lead())?;
    let inner_lines = inner.lines(begin)?;
    let heads: Vec<Head> = (0..inner.count).map(|i| inner.head(begin + inner.turn(i))).collect();
    for row in [&outer, &inner].into_iter().take(if half > 0.0 { 2 } else { 1 }) {
        drawing.lines.push(circle(middle, row.radius));
    }
    if half > 0.0 {
        drawing.lines.extend((0..inner.count).map(|i| {
            let way = Vec2::from_angle(shared + inner.turn(i));
            Straight::new(middle + way * inner.radius, middle + way * outer.radius).to_path(ARC_LENGTH_MM)
        }));
    }
    if let Some(centre) = &n.centre {
        drawing.lines.extend(centre.lines(middle, edge, begin, (&heads, &inner_lines)));
    }
    drawing.lines.extend(outer_lines);
    drawing.lines.extend(inner_lines);
    Some(())
}

impl Row<'_> {
    fn turn(&self, i: u32) -> f64 {
        TAU * f64::from(i) / f64::from(self.count)
    }

    /// The head in this direction from the middle.
    fn head(&self, angle: f64) -> Head {
        let way = Vec2::from_angle(angle);
        Head { centre: self.middle + way * self.line, radius: self.head, out: way * -self.side }
    }

    fn ask(&self) -> Ask<'_> {
        self.look.ask(&self.spine)
    }

    /// How far round a foot stands from its head, radians.
    fn lead(&self) -> f64 {
        let foot = self.foot(0.0);
        let at = (self.spine.at(foot).0 - self.middle).atan2();
        (at + PI).rem_euclid(TAU) - PI
    }

    fn foot(&self, angle: f64) -> f64 {
        let near = angle.rem_euclid(TAU) * self.radius;
        self.ask().alone((self.head(angle), self.side), near)
    }

    /// All plumes, of which the first has its head in the direction `begin`.
    fn lines(&self, begin: f64) -> Option<Vec<BezPath>> {
        let head = self.head(begin);
        let way = Vec2::from_angle(begin + self.lead());
        let foot = self.middle + way * self.radius;
        let plume = Plume { head, foot, spine: Vec2::new(-way.y, way.x), side: self.side };
        let turned = |i: u32| plume.placed(Affine::rotate_about(self.turn(i), self.middle));
        let all = (0..self.count).map(turned);
        if self.kind == Kind::Separate {
            let family = self.look.family();
            return Some(all.map(|p| p.drop(family, self.look.angle(), HOLLOW).path()).collect());
        }
        let lines = ring(all.map(|p| p.line(self.look.family(), self.look.angle())).collect())?;
        Some(lines.iter().map(Line::path).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape;
    use crate::drawing::{library, settings};
    use kurbo::ParamCurve;

    fn drawn(name: &str) -> Vec<BezPath> {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, name).unwrap();
        let settings = settings::resolve(name, &motif.settings, &[]).unwrap();
        let block = outline(&shape::Shape::Square { side: 203.2 }, 6.35).unwrap();
        motif.construction.draw(&settings, &block).unwrap().lines
    }

    #[test]
    fn every_inner_foot_stands_where_an_outer_one_does() {
        let lines = drawn("wreath-heart");
        let foot = |line: &BezPath| line.segments().next().map(|s| s.start());
        let spine = 0.63 * (101.6 - 6.35 - HAIR_MM);
        let on_spine = |p: &Point| (p.to_vec2().hypot() - spine).abs() < 1e-6;
        let mut feet: Vec<Point> = lines.iter().filter_map(foot).filter(on_spine).collect();
        feet.sort_by(|a, b| a.to_vec2().atan2().total_cmp(&b.to_vec2().atan2()));
        // The spine itself begins there as well, somewhere.
        let (together, apart): (Vec<f64>, Vec<f64>) =
            feet.windows(2).map(|w| w[0].distance(w[1])).partition(|mm| *mm < 1.0);
        assert!(together.len() >= 30, "{} feet meet", together.len());
        assert!(together.iter().all(|mm| *mm < 1e-6) && apart.len() >= 30, "{together:?}");
    }

    #[test]
    fn separate_plumes_keep_clear_of_each_other() {
        let lines = drawn("wreath-separate");
        let closed: Vec<Vec<Point>> =
            lines[1..].iter().map(|l| crate::base::curve::flatten(l, 0.01).remove(0).points).collect();
        // The first outer plume and its neighbours: away from their feet nothing comes within a stitch.
        let far = |p: &&Point| p.to_vec2().hypot() > 0.75 * 95.0;
        for other in [&closed[1], &closed[2]] {
            let near = closed[0].iter().filter(far).map(|p| crate::base::chain::distance_to_chain(*p, other));
            let least = near.fold(f64::INFINITY, f64::min);
            assert!(least > 1.5, "{least}");
        }
    }
}
