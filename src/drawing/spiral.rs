//! Spiral: an outline → one line that winds to its centre, or in and back out between its own turns.
//!
//! Archimedes' spiral, whose radius is measured in parts of the way from the centre to the outline: round in a circle, with
//! rounded corners in any other outline that can be seen whole from its centre. The spacing is the same on all sides that
//! are as far from the centre as the nearest one, and wider towards sides further off.

use geo::algorithm::buffer::Buffer;
use geo::{Coord, LineString, Polygon};
use kurbo::{BezPath, Point, Vec2};
use serde::Deserialize;

use super::construction::Need;
use super::echo::rings::{deepest, inside, round};
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::base::chain;
use crate::base::curve::path_smooth;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;

/// The settings that a spiral reads.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("form", "choice")];

/// The numbers of a spiral.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The radius of the rounded corners, in parts of the distance from the centre to the nearest side.
    corner: f64,
    /// How near the centre a single spiral ends, in spacings: nearer in, it would curl up in one spot.
    centre: f64,
    /// How uneven the spacing may be before it is told, widest over narrowest.
    uneven: f64,
}

/// How far apart the points are that the curve is laid through, mm.
const POINT_MM: f64 = 1.5;

/// Turns of a double spiral end this far apart at the centre at the least, in parts of a turn.
const LEAST_TURNS: f64 = 1.0;

/// Draws a spiral in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if not one whole turn fits, or if the outline cannot be seen whole from its centre.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let (spacing, double) = (settings.number("spacing"), settings.word("form") == "double");
    let no_room = |why: String| DrawError::NoRoom { motif: "a spiral".into(), why };
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (centre, _) = deepest(region);
        let ring = rounded(region, numbers.corner * region.depth(centre));
        if !region.holes.is_empty() || !seen_whole(&ring, centre) {
            return Err(no_room(
                "the outline cannot be seen whole from its centre, so turns would leave it; ask for an echo"
                    .into(),
            ));
        }
        let deep = chain::distance_to_ring(centre, &ring);
        let arms = if double { 2.0 } else { 1.0 };
        let turns = (deep / (spacing * arms)).round();
        if turns < LEAST_TURNS {
            return Err(no_room(format!(
                "the centre is {} from the edge, too little for a turn at a spacing of {}; ask for a spacing of {} or less",
                show_length(deep, Units::Inches),
                show_length(spacing, Units::Inches),
                show_length(deep / arms, Units::Inches)
            )));
        }
        let step = deep / (turns * arms);
        drawing.stretch = drawing.stretch.max((step / spacing - 1.0).abs());
        drawing.lines.push(wind(&ring, centre, turns, double, numbers.centre * step / deep));
        tell_uneven(&ring, centre, step / deep, numbers.uneven, &mut drawing.notes);
    }
    Ok(drawing)
}

/// The outline with its corners rounded, as points about [`POINT_MM`] apart.
fn rounded(region: &Region, radius: f64) -> Vec<Point> {
    let inner = inside(region, radius.max(0.0));
    let whole = if radius > 0.0 { inner.buffer_with_style(round(radius)) } else { inner };
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

/// The line: `turns` turns in, and the same out again if it is double; `end` is the part of the way out at which it ends.
fn wind(ring: &[Point], centre: Point, turns: f64, double: bool, end: f64) -> BezPath {
    let inward = arm(ring, centre, turns, -std::f64::consts::FRAC_PI_2, if double { 0.0 } else { end });
    let mut line = inward;
    if double {
        let mut back = arm(ring, centre, turns, std::f64::consts::FRAC_PI_2, 0.0);
        back.reverse();
        line.push(centre);
        line.append(&mut back);
    }
    let mut kept: Vec<Point> = Vec::new();
    for p in line {
        if kept.last().is_none_or(|q| q.distance(p) > POINT_MM / 3.0) {
            kept.push(p);
        }
    }
    path_smooth(&kept, false)
}

/// One arm from the outline inwards, beginning in direction `from`.
fn arm(ring: &[Point], centre: Point, turns: f64, from: f64, end: f64) -> Vec<Point> {
    let angle =
        |p: &Point| ((*p - centre).atan2() - from).rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU;
    let first = (0..ring.len()).min_by(|i, j| angle(&ring[*i]).total_cmp(&angle(&ring[*j]))).unwrap_or(0);
    let last = ring[(first + ring.len() - 1) % ring.len()];
    // The outline in direction `from` itself lies between the last and the first point.
    let (a, b) = (last - centre, ring[first] - centre);
    let way = Vec2::from_angle(from);
    let start = centre + a.lerp(b, a.cross(way) / (a.cross(way) - b.cross(way)));
    let mut line = vec![start];
    let mut turn = 0.0;
    loop {
        for k in 0..ring.len() {
            let p = ring[(first + k) % ring.len()];
            let part = 1.0 - (turn + angle(&p)) / turns;
            if part <= end.max(1e-6) {
                return line;
            }
            line.push(centre + (p - centre) * part);
        }
        turn += 1.0;
    }
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
            let radii = radii(&drawing.lines[0]);
            assert!(radii.len() >= 9, "{form}: {radii:?}");
            for w in radii.windows(2).skip(1) {
                assert!((w[1] - w[0] - 10.0).abs() < 0.25, "{form}: {radii:?}");
            }
            assert!(drawing.stretch < 0.05);
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
                let points = &flatten(&drawing.lines[0], 0.01)[0].points;
                assert!(super::super::meander::simple::is_simple(points, false), "{form} in {shape:?}");
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
        assert!(small.ends_with("ask for a spacing of 3/8 in (9.5 mm) or less"), "{small}");
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
