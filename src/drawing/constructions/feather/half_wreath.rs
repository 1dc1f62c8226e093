//! Feather half-wreath: a spine across a triangle, round its widest corner or round the middle of its long side.
//!
//! The spine keeps its distance from the sides that it runs along, turns roundly where they meet, and flares into the sharp
//! corners. The feather grows from an upright pair of plumes in the middle to both ends, smaller and smaller, where crowns
//! fill the corners; the inner plumes leave a round hollow about the centre, so that mirrored triangles round a point join
//! into a wreath.

use kurbo::{Point, Vec2};
use serde::Deserialize;

use super::bank::{self, Sizes};
use super::feet::Head;
use super::open::{self, Arm};
use super::plume::Hand;
use super::settle::settle;
use super::{Look, NARROWEST_MM, no_room, within};
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain;
use crate::block::Block;
use crate::block::region::Region;
use crate::block::shape::Shape;
use crate::drawing::constructions::plume::guide::Guide;
use crate::drawing::constructions::plume::hull;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// How far the outline is rounded in a corner, in radii of the largest head.
const ROUNDER: f64 = 1.15;

/// The fullness up to which plumes may be as stout as they may be at all.
const MIDDLING: f64 = 1.1;

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
    /// Where the open middle ends, as a share of the way from the centre to the sides.
    inner: f64,
    /// Where the spine runs, likewise.
    spine: f64,
    /// How far the spine is rounded in corners, likewise.
    rounding: f64,
    /// The size of the last plumes at an edge as a share of those in the middle.
    taper: f64,
    /// The size of the crowns, likewise.
    crown: f64,
    /// From the spine's end to the middle of the crown's head, in radii of that head.
    crown_height: f64,
    /// The size of the smallest plumes, likewise.
    smallest: f64,
    /// By how much plumes are wider where there is much room for them, as a share.
    swell: f64,
    /// The least distance between a head's middle and the spine, in head radii.
    lowest: f64,
    /// How far the line of the heads is evened out in corners, in widths of the inner plumes.
    turning: f64,
    /// The width of the inner plumes as a share of the outer ones'.
    inner_width: f64,
    /// The widest plume, as a share of its height.
    stoutest: f64,
    /// The narrowest plume, likewise.
    slimmest: f64,
}

/// The wedge in which a half-wreath lies.
#[derive(Debug, Clone)]
struct Wedge {
    /// The point that it goes round.
    centre: Point,
    /// The unit directions of its two edges, the second counter-clockwise from the first.
    edges: [Vec2; 2],
    /// The corners of what lies across from the centre, from the first edge to the second.
    across: Vec<Point>,
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
        let wedge = Wedge::new(region, at_side).ok_or_else(|| {
            no_room(HALF, "what is left inside the margin is no triangle; ask for a smaller margin")
        })?;
        settle(&look, region, &mut drawing, |look, drawing| across(numbers, look, &wedge, region, drawing))?;
    }
    Ok(drawing)
}

/// True if no corner is wide enough for a wreath about it.
fn is_narrow(region: &Region) -> bool {
    const WIDE_DEG: f64 = 75.0;
    Wedge::new(region, false).is_some_and(|w| turn_deg(w.edges[0], w.edges[1]).abs() < WIDE_DEG)
}

impl Wedge {
    /// The wedge about the widest corner, or about the middle of the side across from it.
    fn new(region: &Region, at_side: bool) -> Option<Self> {
        let mut corners = <[Point; 3]>::try_from(region.outer.corners()).ok()?;
        let longest = |i: usize| corners[(i + 1) % 3].distance(corners[(i + 2) % 3]);
        let apex = (0..3).max_by(|i, j| longest(*i).total_cmp(&(longest(*j) + 1e-6)))?;
        corners.rotate_left(apex);
        let [apex, first, last] = corners;
        let (centre, across) =
            if at_side { (first.midpoint(last), vec![last, apex, first]) } else { (apex, vec![first, last]) };
        let edges = [across[0], across[across.len() - 1]].map(|p| unit(p - centre));
        Some(Self { centre, edges, across })
    }

    /// How far it is from the centre to the nearest side across.
    fn reach(&self) -> f64 {
        chain::distance_to_chain(self.centre, &self.across)
    }

    /// The corners of the line `depth` mm inside the sides across, between lines `off` mm inside the edges.
    fn inset(&self, depth: f64, off: f64) -> Option<Vec<Point>> {
        let moved = |w: &[Point]| {
            let way = unit(w[1] - w[0]);
            (w[0] + left_of(way) * depth, way)
        };
        let mut lines = vec![self.edge(0, off)];
        lines.extend(self.across.windows(2).map(moved));
        lines.push(self.edge(1, off));
        lines.windows(2).map(|w| meet(w[0], w[1])).collect()
    }

    /// The line `off` mm inside an edge.
    fn edge(&self, which: usize, off: f64) -> (Point, Vec2) {
        let way = self.edges[which];
        let inwards = if which == 0 { left_of(way) } else { -left_of(way) };
        (self.centre + inwards * off, way)
    }

    /// The line at this depth, rounded in its corners, as if it went on beyond the edges as in a mirror; between lines `off`
    /// mm inside the edges.
    fn rounded(&self, depth: f64, rounding: f64, off: f64) -> Option<Guide> {
        const EVENED: f64 = 0.3;
        let mut corners = self.inset(depth, 0.0)?;
        let n = corners.len();
        let (before, after) =
            (mirrored(corners[1], self.edge(0, 0.0)), mirrored(corners[n - 2], self.edge(1, 0.0)));
        corners.insert(0, before);
        corners.push(after);
        let whole = Guide::open(&filleted(&corners, rounding))?.smoothed(rounding * EVENED)?;
        self.cut(&whole, off)
    }

    /// The spine at this depth, which flares at both ends to run into the corners there, to the middles of heads of this
    /// radius.
    fn spine(&self, depth: f64, rounding: f64, radius: f64) -> Option<Guide> {
        const FLARE: f64 = 0.4;
        const EVENED: f64 = 0.6;
        let mut corners = self.inset(depth, 0.0)?;
        if corners.len() == 2 {
            corners.insert(1, corners[0].midpoint(corners[1]));
        }
        let tips = self.inset(radius, radius)?;
        let n = corners.len();
        let line = [
            &[tips[0], corners[1].lerp(corners[0], FLARE)],
            &corners[1..n - 1],
            &[corners[n - 2].lerp(corners[n - 1], FLARE), tips[tips.len() - 1]],
        ];
        Guide::open(&filleted(&line.concat(), rounding))?.smoothed(rounding * EVENED)
    }

    /// The part of a line between lines `off` mm inside the edges.
    fn cut(&self, line: &Guide, off: f64) -> Option<Guide> {
        let depth = |p: Point| {
            let [a, b] = [0, 1].map(|i| self.edge(i, off));
            left_of(a.1).dot(p - a.0).min(-left_of(b.1).dot(p - b.0))
        };
        let mut kept = Vec::new();
        for w in line.points().windows(2) {
            let (a, b) = (depth(w[0]), depth(w[1]));
            if a >= 0.0 {
                kept.push(w[0]);
            }
            if (a < 0.0) != (b < 0.0) {
                kept.push(w[0].lerp(w[1], a / (a - b)));
            }
        }
        Guide::open(&kept)
    }
}

/// Where two lines meet, unless they are parallel.
fn meet(a: (Point, Vec2), b: (Point, Vec2)) -> Option<Point> {
    let cross = a.1.cross(b.1);
    (cross.abs() > 1e-9).then(|| a.0 + a.1 * ((b.0 - a.0).cross(b.1) / cross))
}

/// `p` mirrored in a line.
fn mirrored(p: Point, (on, way): (Point, Vec2)) -> Point {
    on + way * (2.0 * (p - on).dot(way)) - (p - on)
}

/// A chain with arcs of this radius in its corners, or of less where a side is too short for them.
fn filleted(corners: &[Point], radius: f64) -> Vec<Point> {
    const PIECES: usize = 48;
    let mut points = vec![corners[0]];
    for w in corners.windows(3) {
        let (u, v) = (unit(w[1] - w[0]), unit(w[2] - w[1]));
        let tangent = (turn_deg(u, v).to_radians() / 2.0).tan();
        let room = 0.499 * w[0].distance(w[1]).min(w[1].distance(w[2]));
        let radius = radius.min(room / tangent.abs().max(1e-9));
        let from = w[1] - u * radius * tangent.abs();
        let centre = from + left_of(u) * radius * tangent.signum();
        let turn = turn_deg(u, v).to_radians();
        points.extend((0..=PIECES).map(|i| {
            let (sin, cos) = (turn * i as f64 / PIECES as f64).sin_cos();
            let d = from - centre;
            centre + Vec2::new(d.x * cos - d.y * sin, d.x * sin + d.y * cos)
        }));
    }
    points.extend(corners.last());
    points
}

/// Draws with this look; gives the width drawn with, mm.
fn across(
    n: &Numbers,
    look: &Look,
    wedge: &Wedge,
    region: &Region,
    drawing: &mut Drawing,
) -> Result<f64, DrawError> {
    let reach = wedge.reach();
    let (tall, low) = ((1.0 - n.spine) * reach, (n.spine - n.inner) * reach);
    // Heads that swell further into each other leave each other less room.
    let most = n.stoutest * tall.min(low / n.inner_width) / (look.fullness / MIDDLING).max(1.0);
    let width = look.width_within([n.slimmest * tall, most], NARROWEST_MM / n.inner_width, HALF, drawing)?;
    let none =
        || no_room(HALF, format!("there is no room for plumes {width:.1} mm wide; ask for narrower ones"));
    let spine =
        wedge.spine(tall, n.rounding * reach, n.crown * width * look.fullness / 2.0).ok_or_else(none)?;
    let (arms, middle, stretch) =
        arms(n, look, wedge, &spine, width, region.outer.points()).ok_or_else(none)?;
    drawing.stretch = drawing.stretch.max(stretch);
    let hand = Hand::new(look.curl_deg, region.outer.points());
    let lines =
        open::draw(look, &hand, &spine, middle, &arms, true).ok_or_else(|| look.apart(width, HALF))?;
    drawing.lines.extend(lines);
    Ok(width)
}

/// The heads of all four arms, where on the spine they meet, and by how much their steps are stretched.
fn arms(
    n: &Numbers,
    look: &Look,
    wedge: &Wedge,
    spine: &Guide,
    width: f64,
    outline: &[Point],
) -> Option<([[Arm; 2]; 2], f64, f64)> {
    let radius = width * look.fullness / 2.0 * n.crown;
    let tips = wedge.inset(radius, radius)?;
    let across = &wedge.across;
    // The middle is the corner across, or the middle of the side.
    let top = if across.len() == 3 { across[1] } else { across[0].midpoint(across[1]) };
    let around = hull::rounded(across, width * look.fullness / 2.0 * (1.0 + n.swell) * ROUNDER)?;
    let topmost = around.nearest(top);
    let middle = spine.nearest(around.at(topmost).0);
    let under = spine.at(middle).0;
    let inner_width = width * n.inner_width;
    let hollow = hollow(n, wedge, inner_width)?;
    let inmost = hollow.nearest(under);
    let height = n.crown_height * radius;
    let room = open::between(spine, height)?;
    let mut stretch = 0.0_f64;
    let [outer, inner] = [width, inner_width].map(|width| sizes(n, look, width));
    let mut half = |second: bool| {
        let tip = tips[if second { tips.len() - 1 } else { 0 }];
        let crown = Head { centre: tip, radius };
        let outside = if second { around.from(topmost)? } else { around.upto(topmost)?.reversed()? };
        let inside = if second { hollow.from(inmost)? } else { hollow.upto(inmost)?.reversed()? };
        let away = if second { 1.0 } else { -1.0 };
        let lines = [(&inside, -away, inner), (&outside, away, outer)];
        let [inside, outside] = lines.map(|(touch, side, sizes)| {
            let line = bank::Line { touch, side, outline, from_start: true };
            bank::heads(&line, &room, &sizes, &crown)
        });
        let ((inside, a), (outside, b)) = (inside?, outside?);
        stretch = stretch.max((a - 1.0).abs()).max((b - 1.0).abs());
        // The centre lies on the left of the spine.
        Some([inside, outside].map(|heads| Arm { heads, crown, height }))
    };
    let arms = [half(true)?, half(false)?];
    Some((arms, middle, stretch))
}

/// How heads this far apart are sized, mm.
fn sizes(n: &Numbers, look: &Look, width: f64) -> Sizes {
    Sizes {
        width,
        fullness: look.fullness,
        taper: n.taper,
        swell: n.swell,
        lowest: n.lowest,
        smallest: n.smallest.max(NARROWEST_MM / width).min(1.0),
    }
}

/// The line on which the inner heads hang, from corner to corner round the hollow.
fn hollow(n: &Numbers, wedge: &Wedge, inner_width: f64) -> Option<Guide> {
    let reach = wedge.reach();
    let depth = (1.0 - n.inner) * reach;
    let rounding = n.rounding * reach - (depth - (1.0 - n.spine) * reach);
    let mut line = wedge.rounded(depth, rounding.max(inner_width), 0.0)?.points().to_vec();
    line.insert(0, wedge.across[0]);
    line.extend(wedge.across.last());
    Guide::open(&line)?.smoothed(n.turning * inner_width)
}
