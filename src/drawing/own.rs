//! Her own line drawing: lines → the same lines, all to one scale, as large as the inner outline allows.
//!
//! The drawing is neither stretched nor turned. It is laid in the middle, then moved where it can be larger.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

use super::repeated::gaps;
use super::{DrawError, Drawing};
use crate::base::chain::{self, hull};
use crate::base::curve::{flatten, path_length};
use crate::base::tolerance::FLATTEN_MM;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;

/// How closely the largest scale is found, parts of it.
const SCALE: f64 = 1e-9;

/// A drawing is moved from the middle only if it gets larger by more than this, parts of its scale.
const WORTH_MOVING: f64 = 0.01;

/// The most line that is sewn in one block, mm: 50 m take a hundred minutes at an ordinary speed.
const LONGEST_MM: f64 = 50_000.0;

/// Open ends no further apart may have been meant to meet, mm.
const MEANT_MM: f64 = 6.0;
/// How many such gaps are named.
const TOLD: usize = 4;

/// How finely lines are looked at, in parts of the drawing's larger side: between two such points no edge is looked for.
const LOOK: f64 = 1.0 / 200.0;

/// The lines of `paths`, scaled and moved into the largest region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if there are no lines, or if a hole to keep clear leaves no room for them.
pub fn draw(paths: &[BezPath], block: &Block) -> Result<Drawing, DrawError> {
    let no_room = |why: &str| DrawError::NoRoom { motif: "your drawing".into(), why: why.into() };
    let lines: Vec<&BezPath> = paths.iter().filter(|p| p.segments().next().is_some()).collect();
    let bounds = lines.iter().map(|p| p.bounding_box()).reduce(|a: Rect, b| a.union(b));
    let size = bounds.map_or(0.0, |b| b.width().max(b.height()));
    let (Some(bounds), true) = (bounds, (1e-9..1e9).contains(&size)) else {
        return Err(no_room("it has no lines; draw at least one that is longer than a dot"));
    };
    let Some(region) = block.inside.iter().max_by(|a, b| a.area().total_cmp(&b.area())) else {
        return Err(no_room("the block has no room inside its margin; ask for a smaller margin"));
    };
    // To a drawing of size 1 round 0,0.
    let unit = Affine::scale(1.0 / size) * Affine::translate(-bounds.center().to_vec2());
    let points = points(&lines, unit);
    let (at, scale) = place(&points, region);
    if scale * size < FLATTEN_MM && scale < FLATTEN_MM {
        return Err(no_room(
            "the hole to keep clear lies where it should go; draw it round the hole, or leave the hole out",
        ));
    }
    let fit = Affine::translate(at.to_vec2()) * Affine::scale(scale) * unit;
    let placed: Vec<BezPath> = lines.iter().map(|p| fit * (*p).clone()).collect();
    refuse_too_long("your drawing", &placed)?;
    let mut drawing = Drawing { lines: placed, ..Drawing::default() };
    drawing.notes.extend(open_ends(&drawing.lines));
    if block.inside.len() > 1 {
        drawing.notes.push("Your drawing fills only the largest part of this block.".into());
    }
    Ok(drawing)
}

/// Ends of lines that lie so near to each other that they may have been meant to meet, in words, the nearest first.
fn open_ends(lines: &[BezPath]) -> Option<String> {
    let found = gaps(lines, MEANT_MM);
    let told = found.iter().take(TOLD).map(|(a, b)| {
        let at = a.midpoint(*b);
        let (side, up) =
            (if at.x < 0.0 { "left" } else { "right" }, if at.y < 0.0 { "below" } else { "above" });
        let long = |mm: f64| show_length(mm, Units::Millimetres);
        format!(
            "{} {side} of and {} {up} the middle ({} apart)",
            long(at.x.abs()),
            long(at.y.abs()),
            long(a.distance(*b))
        )
    });
    let told: Vec<String> = told.collect();
    let more = found.len().saturating_sub(TOLD);
    let more = if more > 0 { format!(", and {more} more") } else { String::new() };
    (!told.is_empty()).then(|| {
        format!(
            "Lines of your drawing end near each other without meeting: {}{more}; draw them together if they should meet.",
            told.join("; ")
        )
    })
}

/// Refuses lines that are longer together than is sewn in one block.
///
/// # Errors
/// [`DrawError::NoRoom`] with the length.
pub fn refuse_too_long(what: &str, lines: &[BezPath]) -> Result<(), DrawError> {
    let length: f64 = lines.iter().map(path_length).sum();
    if length <= LONGEST_MM {
        return Ok(());
    }
    let (metres, most) = (length / 1000.0, LONGEST_MM / 1000.0);
    let why = format!(
        "it comes to {metres:.0} m of line in this block, more than the {most:.0} m that can be sewn; draw fewer lines"
    );
    Err(DrawError::NoRoom { motif: what.into(), why })
}

/// Points along the lines, close together.
fn points(lines: &[&BezPath], unit: Affine) -> Vec<Point> {
    let mut points = Vec::new();
    for flat in lines.iter().flat_map(|l| flatten(&(unit * (*l).clone()), LOOK / 100.0)) {
        for w in flat.points.windows(2) {
            let count = (w[0].distance(w[1]) / LOOK).ceil().max(1.0);
            let mut k = 0.0;
            while k < count {
                points.push(w[0].lerp(w[1], k / count));
                k += 1.0;
            }
        }
        points.extend(flat.points.last());
    }
    points
}

/// Where 0,0 of a drawing of these points goes, and its scale there, so that it is as large as the region allows.
pub fn place(points: &[Point], region: &Region) -> (Point, f64) {
    let hull = if region.holes.is_empty() && is_convex(region) { hull(points) } else { points.to_vec() };
    let bounds = region.bounds();
    let mut at = bounds.center();
    let mut scale = largest(&hull, at, region);
    let mut step = bounds.width().max(bounds.height()) / 4.0;
    while step > bounds.width() / 1000.0 {
        let ways = (0..8).map(|k| at + Vec2::from_angle(f64::from(k) * std::f64::consts::FRAC_PI_4) * step);
        let better = ways.map(|p| (largest(&hull, p, region), p)).max_by(|a, b| a.0.total_cmp(&b.0));
        match better {
            Some((s, p)) if s > scale * (1.0 + WORTH_MOVING) => (scale, at) = (s, p),
            _ => step /= 2.0,
        }
    }
    (at, scale)
}

fn is_convex(region: &Region) -> bool {
    let p = region.outer.points();
    let n = p.len();
    (0..n).all(|i| (p[(i + 1) % n] - p[i]).cross(p[(i + 2) % n] - p[(i + 1) % n]) >= -1e-9)
}

/// The largest scale at which all points lie inside with their middle at `at`; 0 if none.
fn largest(points: &[Point], at: Point, region: &Region) -> f64 {
    let bounds = region.bounds();
    let fits = |scale: f64| points.iter().all(|p| region.depth(at + p.to_vec2() * scale) >= 0.0);
    let (mut good, mut bad) = (0.0, bounds.width().hypot(bounds.height()));
    if !region.contains(at) && chain::distance_to_ring(at, region.outer.points()) > FLATTEN_MM {
        return 0.0;
    }
    while bad - good > SCALE * bad {
        let middle = f64::midpoint(good, bad);
        if fits(middle) { good = middle } else { bad = middle }
    }
    good
}
#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scribble_is_refused_before_it_is_untangled() {
        let block = crate::block::outline(&crate::block::shape::Shape::Square { side: 203.2 }, 6.35).unwrap();
        // 1,200 lines across a square of 100: 190.5 mm each in the block.
        let turns: String = (0..1200).map(|i| format!(" L{} {}", i % 2 * 100, f64::from(i) / 12.0)).collect();
        let told =
            draw(&[BezPath::from_svg(&format!("M0 0{turns}")).unwrap()], &block).unwrap_err().to_string();
        assert!(told.contains("it comes to 228 m of line in this block, more than the 50 m"), "{told}");
    }

    use crate::block::outline;
    use crate::block::shape;

    #[test]
    fn a_drawing_is_as_large_as_the_inner_outline_and_keeps_its_proportions() {
        let block = outline(&shape::Shape::Square { side: 100.0 }, 10.0).unwrap();
        let lines = [BezPath::from_svg("M3,3 L5,3 L5,4").unwrap()];
        let drawn = draw(&lines, &block).unwrap();
        let bounds = drawn.lines[0].bounding_box();
        assert!((bounds.width() - 80.0).abs() < 1e-6 && (bounds.height() - 40.0).abs() < 1e-6, "{bounds:?}");
    }

    #[test]
    fn ends_that_nearly_meet_are_told_with_their_place() {
        let block = outline(&shape::Shape::Square { side: 100.0 }, 10.0).unwrap();
        let lines = ["M0,0 L40,0 L40,40", "M40,41 L40,80 L0,80"].map(|d| BezPath::from_svg(d).unwrap());
        let drawn = draw(&lines, &block).unwrap();
        assert_eq!(drawn.notes.len(), 1);
        let told = &drawn.notes[0];
        assert!(told.contains(": 20 mm ") && told.contains("right of") && told.contains("(1 mm "), "{told}");
    }

    #[test]
    fn a_drawing_goes_where_it_is_largest() {
        let triangle = outline(&shape::Shape::HalfSquare { leg: 100.0 }, 5.0).unwrap();
        let square = [BezPath::from_svg("M0,0 L1,0 L1,1 L0,1 Z").unwrap()];
        let drawn = draw(&square, &triangle).unwrap();
        let region = &triangle.inside[0];
        // The largest upright square in a right triangle has half its leg.
        let leg = region.bounds().width();
        let bounds = drawn.lines[0].bounding_box();
        assert!((bounds.width() - leg / 2.0).abs() < 0.02 * leg, "{bounds:?} in a leg of {leg}");
        let corners = [(bounds.x0, bounds.y0), (bounds.x1, bounds.y1)].map(Point::from);
        assert!(corners.iter().all(|p| region.depth(*p) > -1e-6));
    }

    #[test]
    fn a_drawing_keeps_out_of_an_inward_corner() {
        let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 40.0), (40.0, 40.0), (40.0, 100.0), (0.0, 100.0)];
        let ell = shape::Shape::Corners { corners: corners.map(Point::from).to_vec() };
        let block = outline(&ell, 5.0).unwrap();
        let line = [BezPath::from_svg("M0,0 L10,10").unwrap()];
        let drawn = draw(&line, &block).unwrap();
        let points = &flatten(&drawn.lines[0], 0.01)[0].points;
        let (a, b) = (points[0], points[points.len() - 1]);
        let least = (0..=100).map(|k| block.inside[0].depth(a.lerp(b, f64::from(k) / 100.0)));
        let least = least.fold(f64::INFINITY, f64::min);
        assert!(least > -0.01 && a.distance(b) > 40.0, "{least} mm deep, {} mm long", a.distance(b));
    }

    #[test]
    fn a_drawing_without_lines_is_refused() {
        let block = outline(&shape::Shape::Square { side: 100.0 }, 10.0).unwrap();
        assert!(draw(&[], &block).is_err());
        assert!(draw(&[BezPath::from_svg("M3,3 L3,3").unwrap()], &block).is_err());
    }
}
