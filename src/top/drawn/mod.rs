//! A drawn top: SVG text → its patches, each with its name, its shape and where it lies; overlaps and gaps are told.
//!
//! Every closed path is a patch, its id its name. A path along the sides of a square, a rectangle or a hexagon becomes that
//! shape, turned if need be, so that every motif for it can be had; other straight outlines become polygons, curved ones
//! stay as drawn.

pub mod seams;

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

use super::setting::block_shape;
use crate::base::angle::turn_deg;
use crate::base::units::{LONGEST_MM, Units, show_length};
use crate::block::drawn::{is_closed, svg_named};
use crate::block::region::Ring;
use crate::block::shape::Shape;
use crate::block::{LEAST_MM, outline};

/// The most patches of one top: more than any quilt for a bed has that is hooped patch by patch.
pub const MOST_PATCHES: usize = 2000;
/// Corners that lie closer than this to where they would be in a square, rectangle or hexagon make one, mm.
const TRUE_MM: f64 = 0.05;
/// Places of corners are rounded to this, mm, so that patches that were copied are one design.
const ROUND_MM: f64 = 1e-3;

/// One patch of a drawn top.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its id in the drawing.
    pub name: String,
    /// Its shape.
    pub shape: Shape,
    /// The box round it, mm, y up.
    pub bounds: Rect,
    /// Where its shape's middle lies, mm.
    pub centre: Point,
    /// How far its shape is turned to the left, degrees.
    pub turn_deg: f64,
    /// Its outline as drawn.
    pub ring: Vec<Point>,
}

/// The patches of a drawing; what is wrong with it, one sentence each, if anything.
///
/// # Errors
/// Sentences: no patch, too many, patches that overlap, cross themselves or are too small.
pub fn read(svg_text: &str, units: Units) -> Result<Vec<Patch>, Vec<String>> {
    let paths = svg_named(svg_text).map_err(|error| vec![error.to_string()])?;
    let mut wrong = Vec::new();
    let open = paths.iter().filter(|(_, path)| !is_closed(path)).count();
    let closed: Vec<_> = paths.into_iter().filter(|(_, path)| is_closed(path)).collect();
    if closed.is_empty() {
        wrong.push(format!(
            "the drawing has no closed path, and {open} open ones; close the outline of every patch"
        ));
    }
    if closed.len() > MOST_PATCHES {
        wrong.push(format!("the drawing has {} patches; a top may have {MOST_PATCHES}", closed.len()));
        return Err(wrong);
    }
    let mut patches: Vec<Patch> = Vec::new();
    for (i, (id, path)) in closed.into_iter().enumerate() {
        let id = if id.is_empty() { format!("patch {}", i + 1) } else { id };
        let name = if patches.iter().any(|p| p.name == id) { format!("{id} {}", i + 1) } else { id };
        match patch(&name, &path) {
            Ok(patch) => patches.push(patch),
            Err(why) => wrong.push(format!("patch `{name}`: {why}")),
        }
    }
    wrong.extend(seams::overlaps(&patches, units));
    let size = patches.iter().map(|p| p.bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
    let longest = size.width().max(size.height());
    if longest > LONGEST_MM {
        let shown = show_length(longest, units);
        wrong.push(format!("the drawing is {shown} long; it may be {} m", LONGEST_MM / 1000.0));
    }
    if wrong.is_empty() { Ok(patches) } else { Err(wrong) }
}

fn patch(name: &str, path: &BezPath) -> Result<Patch, String> {
    let bounds = path.bounding_box();
    if bounds.width().min(bounds.height()) < LEAST_MM {
        return Err(format!(
            "it is {:.1} mm across; the least that can be quilted is {LEAST_MM} mm",
            bounds.width().min(bounds.height())
        ));
    }
    let ring = Ring::from_path(path).ok_or("it encloses nothing")?;
    let round =
        |p: Point| Point::new((p.x / ROUND_MM).round() * ROUND_MM, (p.y / ROUND_MM).round() * ROUND_MM);
    let middle = round(bounds.center());
    let known = ring.is_polygon().then(|| known(&ring.corners())).flatten();
    let (shape, centre, turn_deg) = known.unwrap_or_else(|| {
        let shape = if ring.is_straight() {
            Shape::Corners { corners: ring.points().iter().map(|p| round(*p - middle.to_vec2())).collect() }
        } else {
            Shape::Outline { paths: vec![Affine::translate(-middle.to_vec2()) * path.clone()] }
        };
        (shape, middle, 0.0)
    });
    outline(&shape, 0.0).map_err(|error| error.to_string())?;
    Ok(Patch { name: name.to_owned(), shape, bounds, centre, turn_deg, ring: ring.points().to_vec() })
}

/// A square, rectangle or hexagon, its middle and its turn, if the corners are those of one.
fn known(corners: &[Point]) -> Option<(Shape, Point, f64)> {
    let n = corners.len();
    let middle = corners.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2() / n as f64).to_point();
    let side = |i: usize| corners[(i + 1) % n] - corners[i];
    let lengths: Vec<f64> = (0..n).map(|i| side(i).hypot()).collect();
    let turns = (0..n).map(|i| turn_deg(side(i), side((i + 1) % n)));
    let even = |wanted: f64| turns.clone().all(|t| (t - wanted).abs().to_radians() * lengths[0] < TRUE_MM);
    let near = |a: f64, b: f64| (a - b).abs() < TRUE_MM;
    let round = |mm: f64| (mm / ROUND_MM).round() * ROUND_MM;
    let equal = lengths.iter().all(|l| near(*l, lengths[0]));
    let mut turn = side(0).atan2().to_degrees();
    match n {
        4 if even(90.0) && near(lengths[0], lengths[2]) && near(lengths[1], lengths[3]) => {
            // Of its four turns the one that lies most upright.
            let quarters = (turn / 90.0).round();
            turn -= quarters * 90.0;
            let (mut width, mut height) = (round(lengths[0]), round(lengths[1]));
            if quarters.rem_euclid(2.0) == 1.0 {
                std::mem::swap(&mut width, &mut height);
            }
            let shape = if equal { Shape::Square { side: width } } else { block_shape(width, height) };
            Some((shape, middle, level(turn)))
        }
        6 if even(60.0) && equal => {
            turn -= (turn / 60.0).round() * 60.0;
            Some((Shape::Hexagon { side: round(lengths[0]) }, middle, level(turn)))
        }
        _ => None,
    }
}

/// A turn without the dust of a drawing's numbers.
fn level(turn_deg: f64) -> f64 {
    let whole = (turn_deg * 2.0).round() / 2.0;
    if (turn_deg - whole).abs() < 0.01 { whole } else { turn_deg }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn svg(body: &str) -> String {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300" fill="none" stroke="black">{body}</svg>"#
        )
    }

    fn told(body: &str) -> Vec<String> {
        match read(&svg(body), Units::Millimetres) {
            Ok(patches) => seams::gaps(&patches, Units::Millimetres),
            Err(wrong) => wrong,
        }
    }

    #[test]
    fn shapes_are_known_whichever_way_they_lie() {
        let hexagon = |turn: f64| {
            let corner = |i: i32| (f64::from(i) * 60.0 + turn).to_radians().sin_cos();
            let points =
                (0..6).map(corner).map(|(s, c)| format!("{:.6},{:.6}", 200.0 + 60.0 * c, 150.0 + 60.0 * s));
            format!(r#"<polygon id="a" points="{}"/>"#, points.collect::<Vec<_>>().join(" "))
        };
        for (body, shape, turn) in [
            (
                r#"<rect id="a" x="10" y="10" width="80" height="50"/>"#.to_owned(),
                Shape::Rectangle { width: 80.0, height: 50.0 },
                0.0,
            ),
            (
                r#"<rect id="a" width="80" height="80" transform="translate(200 20) rotate(45)"/>"#
                    .to_owned(),
                Shape::Square { side: 80.0 },
                45.0,
            ),
            (hexagon(0.0), Shape::Hexagon { side: 60.0 }, 0.0),
            (hexagon(30.0), Shape::Hexagon { side: 60.0 }, 30.0),
        ] {
            let patches = read(&svg(&body), Units::Millimetres).unwrap();
            assert_eq!(patches[0].shape, shape, "{body}");
            assert!((patches[0].turn_deg.abs() - turn).abs() < 1e-9, "{body}: {}", patches[0].turn_deg);
        }
    }

    #[test]
    fn overlaps_are_refused_and_gaps_are_told() {
        let left = r#"<rect id="left" x="0" y="0" width="100" height="100"/>"#;
        let right = |x: f64| format!(r#"<rect id="right" x="{x}" y="0" width="100" height="100"/>"#);
        assert!(told(&format!("{left}{}", right(100.0))).is_empty());
        let over = told(&format!("{left}{}", right(97.0)));
        assert_eq!(over, ["patches `left` and `right` overlap by 3 mm (1/8 in); move them apart"]);
        let apart = told(&format!("{left}{}", right(101.0)));
        assert_eq!(apart.len(), 1, "{apart:?}");
        assert!(apart[0].starts_with("Patches `left` and `right` lie 1 mm ("), "{apart:?}");
        let ring = r#"<path id="a" d="M0,0 H200 V20 H20 V180 H200 V200 H0 Z"/><path id="b" d="M200,0 H220 V200 H200 Z"/>"#;
        let hole = told(ring);
        assert_eq!(hole.len(), 1, "{hole:?}");
        assert!(hole[0].contains("no patch") && hole[0].contains("160 mm"), "{hole:?}");
    }

    #[test]
    fn a_drawing_without_patches_is_refused() {
        assert!(
            told(r#"<path d="M0,0 L50,50"/>"#)[0].contains("no closed path, and 1 open"),
            "{:?}",
            told("")
        );
    }
}
