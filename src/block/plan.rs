//! A shape → its finished outline as a [`Region`] centred on 0,0.

use std::f64::consts::{FRAC_PI_2, SQRT_2, TAU};
use std::ops::RangeInclusive;

use kurbo::{BezPath, Point, Vec2};

use super::region::{Region, Ring};
use super::shape::Shape;
use super::{BlockError, LEAST_MM, corners, holes, inset, tape};
use crate::base::units::LONGEST_MM;

/// Angles that a diamond can have, degrees: beyond them it is a splinter that no margin leaves anything of.
pub const DIAMOND_DEG: RangeInclusive<f64> = 10.0..=170.0;

/// The finished outline of `shape`, its bounding box centred on 0,0; what the quilter should know goes to `notes`.
pub fn region(shape: &Shape, notes: &mut Vec<String>) -> Result<Region, BlockError> {
    if let Shape::Outline { paths } = shape {
        return centred(holes::region(paths, notes)?);
    }
    let outer = match shape {
        Shape::Circle { diameter } => Ring::from_path(&circle(size("diameter", *diameter)? / 2.0)),
        Shape::Corners { corners } => Ring::from_points(&corners::checked(corners)?),
        Shape::Sides { sides, diagonal, other_diagonal } => {
            Ring::from_points(&measured(sides, *diagonal, *other_diagonal, notes)?)
        }
        _ => Ring::from_points(&regular(shape)?),
    };
    centred(Region { outer: outer.ok_or(BlockError::NoArea)?, holes: Vec::new() })
}

/// The region with its box centred on 0,0.
fn centred(region: Region) -> Result<Region, BlockError> {
    let bounds = region.bounds();
    size("width", bounds.width())?;
    size("height", bounds.height())?;
    Ok(region.moved(-bounds.center().to_vec2()))
}

/// The corners of a shape that follows from one or two figures, counter-clockwise.
fn regular(shape: &Shape) -> Result<Vec<Point>, BlockError> {
    let corners = match shape {
        Shape::Square { side } => rectangle(size("side", *side)?, *side),
        Shape::Rectangle { width, height } => rectangle(size("width", *width)?, size("height", *height)?),
        Shape::Strip { width, length } => rectangle(size("length", *length)?, size("width", *width)?),
        Shape::Corner { width } => rectangle(size("width", *width)?, *width),
        Shape::HalfSquare { leg } => right_triangle(size("leg", *leg)?),
        Shape::CornerTriangle { block } => right_triangle(size("block", *block)? / SQRT_2),
        Shape::QuarterSquare { long } => roof(size("long side", *long)?),
        Shape::SideTriangle { block } => roof(size("block", *block)? * SQRT_2),
        Shape::Equilateral { side } => {
            let side = size("side", *side)?;
            vec![Point::ZERO, Point::new(side, 0.0), Point::new(side / 2.0, side * 3f64.sqrt() / 2.0)]
        }
        Shape::Hexagon { side } => hexagon(size("side", *side)?),
        Shape::Octagon { across } => octagon(size("width across the flats", *across)?),
        Shape::Diamond { side, angle_deg } => diamond(size("side", *side)?, *angle_deg)?,
        _ => Vec::new(),
    };
    Ok(corners)
}

fn measured(
    sides: &[f64],
    diagonal: Option<f64>,
    other: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Vec<Point>, BlockError> {
    for side in sides {
        size("side", *side)?;
    }
    for across in diagonal.iter().chain(&other) {
        size("diagonal", *across)?;
    }
    match (sides, diagonal) {
        ([bottom, right, left], None) if other.is_none() => {
            Ok(tape::triangle(*bottom, *right, *left)?.to_vec())
        }
        ([_, _, _], _) => Err(BlockError::TriangleDiagonal),
        ([_, _, _, _], None) => Err(BlockError::NoDiagonal),
        ([bottom, right, top, left], Some(diagonal)) => {
            let sides = [*bottom, *right, *top, *left];
            let corners = match other {
                None => tape::leaning(sides, diagonal)?,
                Some(other) => {
                    let spread = tape::spread(sides, diagonal, other)?;
                    notes.push(spread.sentence());
                    spread.corners
                }
            };
            notes.extend(tape::skew(&corners));
            Ok(corners.to_vec())
        }
        _ => Err(BlockError::SideCount { count: sides.len() }),
    }
}

/// Hands back `mm` if it is a size that can be quilted.
fn size(what: &'static str, mm: f64) -> Result<f64, BlockError> {
    if (LEAST_MM..=LONGEST_MM).contains(&mm) { Ok(mm) } else { Err(BlockError::Size { what, mm }) }
}

fn rectangle(width: f64, height: f64) -> Vec<Point> {
    vec![Point::ZERO, Point::new(width, 0.0), Point::new(width, height), Point::new(0.0, height)]
}

fn right_triangle(leg: f64) -> Vec<Point> {
    vec![Point::ZERO, Point::new(leg, 0.0), Point::new(0.0, leg)]
}

fn roof(long: f64) -> Vec<Point> {
    vec![Point::ZERO, Point::new(long, 0.0), Point::new(long / 2.0, long / 2.0)]
}

fn hexagon(side: f64) -> Vec<Point> {
    let (half, rise) = (side / 2.0, side * 3f64.sqrt() / 2.0);
    [(-half, -rise), (half, -rise), (side, 0.0), (half, rise), (-half, rise), (-side, 0.0)]
        .map(Point::from)
        .to_vec()
}

fn octagon(across: f64) -> Vec<Point> {
    let (far, near) = (across / 2.0, across / 2.0 / (1.0 + SQRT_2));
    [
        (near, -far),
        (far, -near),
        (far, near),
        (near, far),
        (-near, far),
        (-far, near),
        (-far, -near),
        (-near, -far),
    ]
    .map(Point::from)
    .to_vec()
}

fn diamond(side: f64, angle_deg: f64) -> Result<Vec<Point>, BlockError> {
    if !DIAMOND_DEG.contains(&angle_deg) {
        return Err(BlockError::Angle { angle_deg });
    }
    let (along, up) = (Vec2::new(side, 0.0), side * Vec2::from_angle(angle_deg.to_radians()));
    Ok(vec![Point::ZERO, Point::ZERO + along, Point::ZERO + along + up, Point::ZERO + up])
}

/// The region inside a circle round 0,0; none if no radius is left.
pub fn round(radius: f64) -> Vec<Region> {
    let outer = if radius > 0.0 { Ring::from_path(&circle(radius)) } else { None };
    let region = outer.map(|outer| Region { outer, holes: Vec::new() });
    region.into_iter().filter(|r| r.area() >= inset::LEAST_PIECE_MM2).collect()
}

/// A circle round 0,0 as cubic arcs, its radius right to 1e-3 mm.
///
/// An arc of angle a with handles 4/3·tan(a/4) leaves the circle by about 2/27·(sin⁶(a/4)/cos²(a/4)) of its radius: 4e-6 for
/// an eighth turn, 7e-8 for a sixteenth (Goldapp, Computer Aided Geometric Design 8, 1991) [231].
fn circle(radius: f64) -> BezPath {
    const EIGHTHS_UP_TO_MM: f64 = 200.0;
    let arcs: u32 = if radius <= EIGHTHS_UP_TO_MM { 8 } else { 16 };
    let step = TAU / f64::from(arcs);
    let handle = radius * 4.0 / 3.0 * (step / 4.0).tan();
    let at = |i: u32| radius * Vec2::from_angle(step * f64::from(i % arcs));
    let along = |i: u32| handle * Vec2::from_angle(step * f64::from(i % arcs) + FRAC_PI_2);
    let mut path = BezPath::new();
    path.move_to(at(0).to_point());
    for i in 0..arcs {
        let (from, to) = (at(i), at(i + 1));
        path.curve_to((from + along(i)).to_point(), (to - along(i + 1)).to_point(), to.to_point());
    }
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::chain;
    use kurbo::ParamCurve;

    fn points(shape: &Shape) -> Vec<Point> {
        region(shape, &mut Vec::new()).unwrap().outer.points().to_vec()
    }

    fn sides(shape: &Shape) -> Vec<f64> {
        chain::sides(&points(shape)).map(|(a, b)| a.distance(b)).collect()
    }

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn every_regular_shape_has_its_sides() {
        let cases = [
            (Shape::Square { side: 203.2 }, vec![203.2; 4]),
            (Shape::Rectangle { width: 60.0, height: 90.0 }, vec![60.0, 90.0, 60.0, 90.0]),
            (Shape::Strip { width: 60.0, length: 900.0 }, vec![900.0, 60.0, 900.0, 60.0]),
            (Shape::HalfSquare { leg: 80.0 }, vec![80.0, 80.0 * SQRT_2, 80.0]),
            (Shape::QuarterSquare { long: 80.0 }, vec![80.0, 80.0 / SQRT_2, 80.0 / SQRT_2]),
            (Shape::SideTriangle { block: 80.0 }, vec![80.0 * SQRT_2, 80.0, 80.0]),
            (Shape::CornerTriangle { block: 80.0 }, vec![80.0 / SQRT_2, 80.0, 80.0 / SQRT_2]),
            (Shape::Equilateral { side: 80.0 }, vec![80.0; 3]),
            (Shape::Hexagon { side: 80.0 }, vec![80.0; 6]),
            (Shape::Octagon { across: 80.0 }, vec![80.0 / (1.0 + SQRT_2); 8]),
            (Shape::Diamond { side: 80.0, angle_deg: 45.0 }, vec![80.0; 4]),
        ];
        for (shape, expected) in cases {
            let got = sides(&shape);
            assert_eq!(got.len(), expected.len(), "{shape:?}");
            assert!(got.iter().zip(&expected).all(|(a, b)| close(*a, *b)), "{shape:?}: {got:?}");
            let centre = chain::bounds(&points(&shape)).center();
            assert!(centre.to_vec2().hypot() < 1e-9, "{shape:?} is centred on {centre}");
            assert!(chain::signed_area(&points(&shape)) > 0.0, "{shape:?}");
        }
    }

    #[test]
    fn a_circle_keeps_its_radius_at_every_size() {
        for radius in [5.0, 88.9, 200.0, 201.0, 10_000.0] {
            let worst = circle(radius)
                .segments()
                .flat_map(|s| (0..=20).map(move |i| s.eval(f64::from(i) / 20.0).to_vec2().hypot()))
                .map(|r| (r - radius).abs())
                .fold(0.0, f64::max);
            assert!(worst < 1e-3, "radius {radius} is off by {worst}");
        }
    }

    #[test]
    fn sizes_that_cannot_be_are_refused() {
        for mm in [0.0, -5.0, 9.9, 20_001.0, f64::NAN, f64::INFINITY] {
            let got = region(&Shape::Square { side: mm }, &mut Vec::new());
            assert!(matches!(got, Err(BlockError::Size { .. })), "{mm}");
        }
        for angle_deg in [0.0, 9.0, 180.0, f64::NAN] {
            let got = region(&Shape::Diamond { side: 50.0, angle_deg }, &mut Vec::new());
            assert!(matches!(got, Err(BlockError::Angle { .. })), "{angle_deg}");
        }
    }
}
