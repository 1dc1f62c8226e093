//! Spiral: an outline → a frame along it, and one line that leaves the frame and winds to the centre, or in and back out
//! between its own turns.
//!
//! Archimedes' spiral, whose radius is measured in parts of the way from the centre to the outline: round in a circle, with
//! rounded corners in any other outline that can be seen whole from its centre. The spacing is the same on all sides that
//! are as far from the centre as the nearest one, and wider towards sides further off. Between the frame and the first turn
//! it is half as wide just where the line has left the frame, and half as wide again where it comes round to that place.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use geo::algorithm::buffer::Buffer;
use geo::{Coord, LineString, Polygon};
use kurbo::{BezPath, Point, Vec2};
use serde::Deserialize;

use super::echo::rings::{inside, round};
use crate::base::angle::{turn_deg, unit};
use crate::base::chain;
use crate::base::curve::path_smooth;
use crate::base::units::{Units, show_at_most, show_length};
use crate::block::Block;
use crate::block::deepest::deepest;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The settings that a spiral reads.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("form", "choice")];

/// The numbers of a spiral.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The radius of the rounded corners, in parts of the distance from the centre to the nearest side.
    corner: f64,
    /// How far from its corner the rounding of the sharpest corner may stay, in spacings: its radius shrinks to that.
    left: f64,
    /// How near the centre a single spiral ends, in spacings: nearer in, it would curl up in one spot.
    centre: f64,
    /// How uneven the spacing may be before it is told, widest over narrowest.
    uneven: f64,
}

/// How far apart the points are that the curve is laid through, mm.
const POINT_MM: f64 = 1.5;

/// Corners are rounded with at least this radius, mm: three points of the curve to a right angle.
const LEAST_RADIUS_MM: f64 = 3.0 * POINT_MM;

/// The frame keeps this far off the edge, mm: a smooth curve through its points may swing over them by as much.
const HAIR_MM: f64 = 0.015;

/// The least part of a turn that each arm goes round.
const LEAST_TURNS: f64 = 0.5;

/// How deep below the frame an arm begins, in spacings, and how far along it goes to get there.
const BEGIN: f64 = 0.5;
const ALONG: f64 = 3.0;

/// Directions among which an arm begins where it is furthest from a corner.
const WAYS: u32 = 36;

/// Draws a spiral in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if not one whole turn fits, or if the outline cannot be seen whole from its centre.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let (spacing, double) = (settings.number("spacing"), settings.word("form") == "double");
    let no_room = |why: String| DrawError::NoRoom { motif: "a spiral".into(), why };
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (centre, deep) = deepest(region);
        let ring = rounded(region, corner_radius(numbers, spacing, deep, region));
        if !region.holes.is_empty() || !seen_whole(&ring, centre) {
            return Err(no_room(
                "the outline cannot be seen whole from its centre, so turns would leave it; ask for an echo"
                    .into(),
            ));
        }
        let deep = chain::distance_to_ring(centre, &ring);
        let arms = if double { 2.0 } else { 1.0 };
        let turns = (deep / spacing - BEGIN) / arms;
        if turns < LEAST_TURNS {
            return Err(no_room(format!(
                "the centre is {} from the edge, too little for a turn at a spacing of {}; ask for a spacing of {} or less",
                show_length(deep, Units::Inches),
                show_length(spacing, Units::Inches),
                show_at_most(deep / (BEGIN + LEAST_TURNS * arms), Units::Inches)
            )));
        }
        let pace = Pace { step: spacing / deep, arms, along: ALONG * spacing / chain::perimeter(&ring) };
        let end = if double { 0.0 } else { numbers.centre * pace.step };
        drawing.lines.extend(wind(ring.clone(), centre, pace, end));
        tell_uneven(&ring, centre, spacing / deep, numbers.uneven, &mut drawing.notes);
    }
    Ok(drawing)
}

/// The outline with its corners rounded, as points about [`POINT_MM`] apart.
fn rounded(region: &Region, radius: f64) -> Vec<Point> {
    let inner = inside(region, radius.max(0.0));
    let back = (radius - HAIR_MM).max(0.0);
    let whole = if back > 0.0 { inner.buffer_with_style(round(back)) } else { inner };
    let outer = whole.iter().map(Polygon::exterior).max_by(|a, b| a.0.len().cmp(&b.0.len()));
    let points: Vec<Point> = outer.map_or_else(Vec::new, |line: &LineString| {
        line.coords().map(|c: &Coord| Point::new(c.x, c.y)).collect()
    });
    let mut ring = super::meander::bend::even(&points, false, points_along(chain::length(&points)) + 1);
    ring.pop();
    ring
}

fn points_along(length: f64) -> usize {
    super::meander::fence::whole(length / POINT_MM).max(24)
}

/// True if every point of the ring is seen from `centre`, one after the other anticlockwise.
fn seen_whole(ring: &[Point], centre: Point) -> bool {
    ring.len() > 2 && chain::sides(ring).all(|(a, b)| (a - centre).cross(b - centre) > 0.0)
}

/// How an arm goes inwards.
#[derive(Clone, Copy)]
struct Pace {
    /// The spacing in parts of the way from the centre to the outline.
    step: f64,
    /// How many arms wind between each other.
    arms: f64,
    /// The part of a turn over which an arm leaves the frame.
    along: f64,
}

impl Pace {
    /// The part of the way out to the outline after `turns` turns.
    fn part(self, turns: f64) -> f64 {
        let left = (turns / self.along).min(1.0);
        1.0 - self.step * (BEGIN * left * left * (3.0 - 2.0 * left) + self.arms * turns)
    }
}

/// The radius of the rounded corners, mm.
fn corner_radius(numbers: &Numbers, spacing: f64, deep: f64, region: &Region) -> f64 {
    let corners = region.outer.corners();
    let n = corners.len();
    let turn = |i: usize| turn_deg(corners[i] - corners[(i + n - 1) % n], corners[(i + 1) % n] - corners[i]);
    let sharpest = (0..n).map(|i| 180.0 - turn(i)).fold(180.0, f64::min);
    // The middle of a rounding of radius r is r / sin(a/2) from its corner, and its arc r nearer.
    let off = 1.0 / (sharpest / 2.0).to_radians().sin() - 1.0;
    (numbers.left * spacing / off.max(1e-9)).max(LEAST_RADIUS_MM).min(numbers.corner * deep)
}

/// The frame, and the line: in to part `end` of the way out, or with two arms in and out again.
fn wind(mut ring: Vec<Point>, centre: Point, pace: Pace, end: f64) -> [BezPath; 2] {
    let from = begin(&ring, centre, pace.arms > 1.0);
    let mut line = arm(&mut ring, centre, pace, from, end);
    if pace.arms > 1.0 {
        let mut back = arm(&mut ring, centre, pace, from + PI, 0.0);
        back.reverse();
        line.push(centre);
        line.append(&mut back);
    }
    let last = line.len().saturating_sub(1);
    let mut kept: Vec<Point> = Vec::new();
    for (i, p) in line.into_iter().enumerate() {
        if kept.last().is_none_or(|q| q.distance(p) > POINT_MM / 3.0) {
            kept.push(p);
        } else if i == last && kept.len() > 1 {
            kept.pop();
            kept.push(p);
        }
    }
    [path_smooth(&ring, true), path_smooth(&kept, false)]
}

/// The direction in which an arm leaves the frame: where the frame is straightest, for both if there are two.
fn begin(ring: &[Point], centre: Point, double: bool) -> f64 {
    let n = ring.len();
    let bend = |i: usize| turn_deg(ring[i] - ring[(i + n - 1) % n], ring[(i + 1) % n] - ring[i]).abs();
    let bent: Vec<f64> = (0..n).map(bend).collect();
    // Bends count less the further off they are.
    let near = |way: Vec2| -> f64 {
        let off = |i: usize| 1.0 - unit(ring[i] - centre).dot(way);
        (0..n).map(|i| bent[i] / (0.02 + off(i))).sum()
    };
    let cost = |from: f64| {
        let way = Vec2::from_angle(from);
        (near(way) + if double { near(-way) } else { 0.0 }).round()
    };
    let ways = (0..WAYS).map(|k| TAU * f64::from(k) / f64::from(WAYS) - FRAC_PI_2);
    ways.min_by(|a, b| cost(*a).total_cmp(&cost(*b))).unwrap_or(-FRAC_PI_2)
}

/// One arm from the outline inwards, beginning in direction `from`, at a point that is put into the outline.
fn arm(ring: &mut Vec<Point>, centre: Point, pace: Pace, from: f64, end: f64) -> Vec<Point> {
    let angle = |p: &Point| ((*p - centre).atan2() - from).rem_euclid(TAU) / TAU;
    let first = (0..ring.len()).min_by(|i, j| angle(&ring[*i]).total_cmp(&angle(&ring[*j]))).unwrap_or(0);
    ring.rotate_left(first);
    // The outline in direction `from` itself lies between the last and the first point.
    let (a, b) = (ring[ring.len() - 1] - centre, ring[0] - centre);
    let way = Vec2::from_angle(from);
    let start = centre + a.lerp(b, a.cross(way) / (a.cross(way) - b.cross(way)));
    let mut line = vec![start];
    let mut turn = 0.0;
    'round: loop {
        for p in ring.iter() {
            let part = pace.part(turn + angle(p));
            if part <= end.max(1e-6) {
                break 'round;
            }
            line.push(centre + (*p - centre) * part);
        }
        turn += 1.0;
    }
    for i in [0, ring.len() - 1] {
        if ring[i].distance(start) < POINT_MM / 3.0 {
            ring[i] = start;
            return line;
        }
    }
    ring.insert(0, start);
    line
}

/// Says how uneven the spacing is, if the furthest side is more than `uneven` times as far off as the nearest.
fn tell_uneven(ring: &[Point], centre: Point, part: f64, uneven: f64, notes: &mut Vec<String>) {
    let off = chain::sides(ring).map(|(a, b)| (a - centre).cross(b - centre).abs() / a.distance(b).max(1e-9));
    let (least, most) = off.fold((f64::INFINITY, 0.0_f64), |(l, m), d| (l.min(d), m.max(d)));
    if most > uneven * least {
        notes.push(format!(
            "The turns of the spiral are {} apart towards the nearest side and {} towards the furthest.",
            show_length(least * part, Units::Inches),
            show_length(most * part, Units::Inches)
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;
    use crate::block::outline;
    use crate::block::shape::Shape;
    use crate::drawing::construction::Construction;
    use crate::drawing::{library, settings};

    fn drawn(shape: &Shape, asked: &[&str]) -> Result<Drawing, DrawError> {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, "spiral").unwrap();
        let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
        let settings = settings::resolve("spiral", &motif.settings, &asked).unwrap();
        let Construction::Spiral(numbers) = &motif.construction else { panic!("another construction") };
        draw(numbers, &settings, &outline(shape, 6.35).unwrap())
    }

    /// Where the line crosses the way from the centre to the right, as distances from the centre.
    fn radii(path: &BezPath) -> Vec<f64> {
        let points = &flatten(path, 0.001)[0].points;
        let crossing = |w: &[Point]| (w[0].y > 0.0) != (w[1].y > 0.0) && w[0].x > 0.0;
        let at = |w: &[Point]| w[0].x + (w[1].x - w[0].x) * w[0].y / (w[0].y - w[1].y);
        let mut radii: Vec<f64> = points.windows(2).filter(|w| crossing(w)).map(at).collect();
        radii.sort_by(f64::total_cmp);
        radii
    }

    #[test]
    fn turns_are_evenly_apart_in_a_circle() {
        let circle = Shape::Circle { diameter: 213.0 };
        for form in ["single", "double"] {
            let drawing = drawn(&circle, &["spacing=10mm", &format!("form={form}")]).unwrap();
            assert_eq!(drawing.lines.len(), 2);
            let mut radii = radii(&drawing.lines[1]);
            // The outermost turn begins between the frame and the next.
            radii.pop();
            assert!(radii.len() >= 8, "{form}: {radii:?}");
            for w in radii.windows(2).skip(1) {
                assert!((w[1] - w[0] - 10.0).abs() < 0.25, "{form}: {radii:?}");
            }
            let end = flatten(&drawing.lines[1], 0.001)[0].points[0];
            let on = drawing.lines[0].elements().iter().filter_map(kurbo::PathEl::end_point);
            assert!(
                on.map(|p| p.distance(end)).fold(f64::INFINITY, f64::min) < 1e-9,
                "{form} leaves no frame"
            );
        }
    }

    #[test]
    fn a_spiral_does_not_cross_itself_and_a_double_one_ends_at_the_edge() {
        for shape in [
            Shape::Square { side: 203.2 },
            Shape::HalfSquare { leg: 203.2 },
            Shape::Hexagon { side: 101.6 },
            Shape::Rectangle { width: 150.0, height: 220.0 },
        ] {
            let block = outline(&shape, 6.35).unwrap();
            for form in ["single", "double"] {
                let drawing = drawn(&shape, &[&format!("form={form}")]).unwrap();
                let frame = &flatten(&drawing.lines[0], 0.01)[0];
                assert!(frame.closed && frame.points.iter().all(|p| block.inside[0].depth(*p) > -0.01));
                let points = &flatten(&drawing.lines[1], 0.01)[0].points;
                assert!(
                    crate::drawing::constructions::meander::simple::is_simple(points, false),
                    "{form} in {shape:?}"
                );
                let depth = |p: &Point| block.inside[0].depth(*p);
                assert!(depth(&points[0]).abs() < 0.05);
                assert_eq!(depth(&points[points.len() - 1]) < 0.05, form == "double");
                let outside = points.iter().map(|p| -depth(p)).fold(f64::MIN, f64::max);
                assert!(outside < 0.01, "{form} in {shape:?} is {outside} mm outside");
            }
        }
    }

    #[test]
    fn no_room_is_told_with_what_fits() {
        let small = drawn(&Shape::Square { side: 50.8 }, &["spacing=2in"]).unwrap_err().to_string();
        assert!(small.ends_with("ask for a spacing of 7/16 in (11.1 mm) or less"), "{small}");
        let corners = [
            (0.0, 0.0),
            (200.0, 0.0),
            (200.0, 150.0),
            (150.0, 150.0),
            (150.0, 50.0),
            (50.0, 50.0),
            (50.0, 150.0),
            (0.0, 150.0),
        ]
        .map(Point::from)
        .to_vec();
        let bent = drawn(&Shape::Corners { corners }, &[]).unwrap_err().to_string();
        assert!(bent.contains("cannot be seen whole"), "{bent}");
    }
}
