//! Feather half-wreath: an arc of a spine across a triangle, about a corner or about the middle of its long side.
//!
//! The arc meets both edges at right angles and the feather grows from its middle to both, so that mirrored triangles
//! round a point join into a wreath.

use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::feet::Head;
use super::guide::Guide;
use super::open::{self, Half, Side};
use super::plume::Hand;
use super::{Look, NARROWEST_MM, no_room, settle, within};
use crate::base::angle::{turn_deg, unit};
use crate::base::chain;
use crate::block::Block;
use crate::block::region::Region;
use crate::block::shape::Shape;
use crate::drawing::construction::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

const HALF: &str = "a feather half-wreath";

/// The settings that a half-wreath reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("centre", "choice")];

/// The numbers of a half-wreath.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// By how much a middling stem turns from its foot to its head, degrees.
    curl: f64,
    /// Where the open middle ends, as a share of the way from the centre to the outer heads.
    inner: f64,
    /// Where the spine runs, likewise.
    spine: f64,
    /// The width of the inner plumes as a share of the outer ones'.
    inner_width: f64,
    /// The widest plume, as a share of its height.
    stoutest: f64,
    /// The narrowest plume, likewise.
    slimmest: f64,
}

/// The wedge in which a half-wreath lies: a point, the angles of its two edges, and how far it reaches.
#[derive(Debug, Clone, Copy)]
struct Wedge {
    centre: Point,
    from: f64,
    turn: f64,
    reach: f64,
}

/// Draws a half-wreath in every triangle inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew, or what is inside the margin is no triangle.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let look = Look::new(settings, numbers.curl);
    let mut drawing = Drawing::default();
    for region in &within(block) {
        let at_side = match settings.word("centre") {
            "corner" => false,
            "side" => true,
            _ => {
                matches!(block.shape, Shape::QuarterSquare { .. } | Shape::SideTriangle { .. })
                    || is_narrow(region)
            }
        };
        let wedge = wedge(region, at_side).ok_or_else(|| {
            no_room(HALF, "what is left inside the margin is no triangle; ask for a smaller margin")
        })?;
        settle(&look, &mut drawing, |look, drawing| across(numbers, look, wedge, region, drawing))?;
    }
    Ok(drawing)
}

/// True if no corner is wide enough for a wreath about it.
fn is_narrow(region: &Region) -> bool {
    const WIDE_DEG: f64 = 75.0;
    wedge(region, false).is_some_and(|w| w.turn.to_degrees() < WIDE_DEG)
}

/// The wedge about the widest corner, or about the middle of the side across from it.
fn wedge(region: &Region, at_side: bool) -> Option<Wedge> {
    let mut corners = <[Point; 3]>::try_from(region.outer.corners()).ok()?;
    let longest = |i: usize| corners[(i + 1) % 3].distance(corners[(i + 2) % 3]);
    let apex = (0..3).max_by(|i, j| longest(*i).total_cmp(&(longest(*j) + 1e-6)))?;
    corners.rotate_left(apex);
    let [apex, right, left] = corners;
    if !at_side {
        let reach = apex.distance(chain::nearest_on_segment(apex, right, left));
        let (u, v) = (right - apex, left - apex);
        let turn = turn_deg(u, v).to_radians();
        return Some(Wedge { centre: apex, from: u.atan2(), turn, reach });
    }
    let middle = right.midpoint(left);
    let reach = [right, left].map(|c| middle.distance(chain::nearest_on_segment(middle, apex, c)));
    let reach = reach[0].min(reach[1]);
    Some(Wedge { centre: middle, from: (left - middle).atan2(), turn: std::f64::consts::PI, reach })
}

fn across(
    n: &Numbers,
    look: &Look,
    w: Wedge,
    region: &Region,
    drawing: &mut Drawing,
) -> Result<(), DrawError> {
    let (outer, inner, middle) = (w.reach, n.inner * w.reach, n.spine * w.reach);
    let most = (n.stoutest * (outer - middle)).min(n.stoutest * (middle - inner) / n.inner_width);
    let width = look.width_within(
        [n.slimmest * (outer - middle), most],
        NARROWEST_MM / n.inner_width,
        HALF,
        drawing,
    )?;
    let spine =
        arc(w.centre, middle, w.from, w.turn).ok_or_else(|| no_room(HALF, "the triangle has no width"))?;
    let hand = Hand::new(look.curl_deg, region.outer.points());
    let bisector = w.from + w.turn / 2.0;
    let edge = Vec2::from_angle(w.from + w.turn);
    let inwards = Vec2::new(edge.y, -edge.x);
    let mut sides = Vec::new();
    for (side, at, width) in [(1.0, inner, width * n.inner_width), (-1.0, outer, width)] {
        let radius_of = |r: f64| at + side * r;
        let half = Half {
            along: &|r| {
                arc(
                    w.centre,
                    radius_of(r),
                    bisector,
                    w.turn / 2.0 - (r / radius_of(r)).clamp(0.0, 1.0).asin(),
                )
            },
            down: &|r| {
                let reach = (radius_of(r).powi(2) - r * r).max(0.0).sqrt();
                (w.centre + edge * reach + inwards * r, w.centre + edge * middle + inwards * r)
            },
        };
        let (ahead, step) = open::heads(&half, width, look.fullness).ok_or_else(|| {
            no_room(HALF, format!("there is no room for plumes {width:.1} mm wide; ask for narrower ones"))
        })?;
        drawing.stretch = drawing.stretch.max((step / width - 1.0).abs());
        let behind = ahead[1..]
            .iter()
            .map(|h| Head { centre: mirrored(h.centre, w.centre, bisector), ..*h })
            .collect();
        sides.push(Side { side, ahead, behind });
    }
    let Ok(sides) = <[Side; 2]>::try_from(sides) else { return Ok(()) };
    let lines = open::draw(&spine, look, &hand, sides).ok_or_else(|| look.apart(width, HALF))?;
    drawing.lines.extend(lines);
    Ok(())
}

/// `p` mirrored in the line through `centre` at this angle.
fn mirrored(p: Point, centre: Point, angle: f64) -> Point {
    let axis = unit(Vec2::from_angle(angle));
    centre + axis * (2.0 * (p - centre).dot(axis)) - (p - centre)
}

fn arc(centre: Point, radius: f64, from: f64, turn: f64) -> Option<Guide> {
    const CHORD_MM: f64 = 0.05;
    let n = (turn.abs() * radius / CHORD_MM).ceil().clamp(16.0, 20_000.0) as usize;
    let points: Vec<Point> =
        (0..=n).map(|i| centre + Vec2::from_angle(from + turn * i as f64 / n as f64) * radius).collect();
    Guide::open(&points)
}
