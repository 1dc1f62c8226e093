//! Feather vine: an undulating spine along a strip, plumes on both sides, alike at both ends.
//!
//! The spine begins and ends at mid-height, level, so that strips join end to end, or is closed by a crown; it is the same read from either end, as
//! borders are marked from their middles [124]. Plumes reach to the long edges, longer in the hollows of the spine and
//! shorter over its crests, and the feather grows from the middle to both ends.

use kurbo::{Affine, BezPath, ParamCurve, PathEl, Point, Rect, Vec2};
use serde::Deserialize;
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use super::bank::{self, Sizes};
use super::feet::Head;
use super::guide::{Guide, STEP_MM};
use super::open::{self, Arm};
use super::plume::Hand;
use super::settle::settle;
use super::{HAIR_MM, Look, NARROWEST_MM, no_room};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

const VINE: &str = "a feather vine";

/// The settings that a vine reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("waves", "count"), ("ends", "choice")];

/// The numbers of a vine.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// By how much a middling stem turns from its foot to its head, degrees.
    curl: f64,
    /// How far the spine swings from the middle, as a share of half the strip's width.
    swing: f64,
    /// The size of the crowns at both ends as a share of the other plumes.
    crown: f64,
    /// From the spine's end to the middle of the crown's head, in radii of that head.
    crown_height: f64,
    /// The size of the smallest plumes, likewise.
    smallest: f64,
    /// By how much plumes are wider where there is much room for them, as a share.
    swell: f64,
    /// The least distance between a head's middle and the spine, in head radii.
    lowest: f64,
    /// How far the line of the heads is evened out in the strip's corners, in plume widths.
    turning: f64,
    /// From one crest to the next hollow, in strip widths, where the number of waves is left open.
    bow: f64,
    /// The widest plume, as a share of half the strip's width.
    stoutest: f64,
    /// The narrowest plume, likewise.
    slimmest: f64,
}

/// Draws a vine along every region inside the block: along its bounding box.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew or too wide for the strip.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let look = Look::new(settings, numbers.curl);
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let waves = settings.whole("waves");
        let closed = settings.word("ends") == "closed";
        let before = drawing.lines.len();
        settle(&look, region, &mut drawing, |look, drawing| {
            along(numbers, look, (waves, closed), region, drawing)
        })?;
        keep_off(region.bounds(), &mut drawing.lines[before..]);
    }
    Ok(drawing)
}

/// Draws lines in by a hair from every edge; where one ends on a short edge, at which copies join, it still does.
fn keep_off(bounds: Rect, lines: &mut [BezPath]) {
    let share = |length: f64| 1.0 - 2.0 * HAIR_MM / length;
    let centre = bounds.center().to_vec2();
    let smaller = Affine::translate(centre)
        * Affine::scale_non_uniform(share(bounds.width()), share(bounds.height()))
        * Affine::translate(-centre);
    let on_edge =
        |p: Point| (p.x - bounds.x0).abs() < HAIR_MM / 10.0 || (p.x - bounds.x1).abs() < HAIR_MM / 10.0;
    let level = |p: Point| on_edge(p) && (p.y - bounds.center().y).abs() < HAIR_MM;
    for line in lines {
        let ends = [line.segments().next().map(|s| s.start()), line.segments().last().map(|s| s.end())];
        line.apply_affine(smaller);
        if let Some(end) = ends[1].filter(|p| level(*p)) {
            line.line_to(end);
        }
        if let Some(start) = ends[0].filter(|p| level(*p)) {
            let mut longer = BezPath::new();
            longer.move_to(start);
            longer.extend(line.elements().iter().map(|el| match *el {
                PathEl::MoveTo(p) => PathEl::LineTo(p),
                other => other,
            }));
            *line = longer;
        }
    }
}

/// Draws with this look; gives the width drawn with, mm.
fn along(
    n: &Numbers,
    look: &Look,
    (waves, closed): (u32, bool),
    region: &Region,
    drawing: &mut Drawing,
) -> Result<f64, DrawError> {
    let bounds = region.bounds();
    let upright = bounds.height() > bounds.width();
    let (long, high) =
        if upright { (bounds.height(), bounds.width()) } else { (bounds.width(), bounds.height()) };
    let (end, top) = (long / 2.0, high / 2.0);
    let width = look.width_within([n.slimmest * top, n.stoutest * top], NARROWEST_MM, VINE, drawing)?;
    let bows = if waves > 0 { 2 * waves - 1 } else { odd(long / (n.bow * high) - SQRT_2 + 1.0) };
    let spine = wave(long, n.swing * top, bows).ok_or_else(|| no_room(VINE, "the strip has no length"))?;
    let corners = [(-end, -top), (end, -top), (end, top), (-end, top)].map(Point::from);
    let hand = Hand::new(look.curl_deg, &corners);
    let mut stretch = 0.0_f64;
    let radius = width * look.fullness / 2.0 * n.crown;
    let sizes = Sizes {
        width,
        fullness: look.fullness,
        taper: 1.0,
        swell: n.swell,
        lowest: n.lowest,
        smallest: n.smallest,
    };
    let none = || {
        no_room(
            VINE,
            format!(
                "a strip {long:.1} mm long has no room for plumes {width:.1} mm wide; ask for narrower ones"
            ),
        )
    };
    let height = n.crown_height * radius;
    let room = open::between(&spine, height).ok_or_else(none)?;
    let mut half = |way: f64| {
        let crown = Head { centre: Point::new(way * (end - radius), 0.0), radius };
        let side = |side: f64| {
            let touch =
                [Point::new(0.0, side * top), Point::new(way * end, side * top), Point::new(way * end, 0.0)];
            let touch = Guide::open(&touch)?.smoothed(n.turning * width)?;
            let line = bank::Line { touch: &touch, side: -side * way, outline: &corners, from_start: true };
            let (heads, share) = bank::heads(&line, &room, &sizes, &crown)?;
            Some((Arm { heads, crown, height }, share))
        };
        let (left, a) = side(1.0)?;
        let (right, b) = side(-1.0)?;
        stretch = stretch.max((a - 1.0).abs()).max((b - 1.0).abs());
        Some([left, right])
    };
    let arms = half(1.0).zip(half(-1.0));
    let (ahead, behind) = arms.ok_or_else(none)?;
    drawing.stretch = drawing.stretch.max(stretch);
    let middle = spine.length() / 2.0;
    let lines = open::draw(look, &hand, &spine, middle, &[ahead, behind], closed)
        .ok_or_else(|| look.apart(width, VINE))?;
    let place = Affine::translate(bounds.center().to_vec2())
        * if upright { Affine::rotate(FRAC_PI_2) } else { Affine::IDENTITY };
    drawing.lines.extend(lines.into_iter().map(|l| place * l));
    Ok(width)
}

/// The odd number nearest to `x`, at least 1.
fn odd(x: f64) -> u32 {
    2 * (((x - 1.0) / 2.0).round().clamp(0.0, 500.0) as u32) + 1
}

/// A spine of `bows` crests and hollows, `long` mm long, swinging by `swing` mm: level at mid-height at both ends.
///
/// Half cosines from crest to hollow; the half cosines at the ends, half as high, are √2 shorter, so that the bend does not
/// jump where they join.
fn wave(long: f64, swing: f64, bows: u32) -> Option<Guide> {
    let bow = long / (f64::from(bows - 1) + SQRT_2);
    let first = bow / SQRT_2;
    let height = |x: f64| {
        // From the left end; the right half is the mirror of the left.
        let x = x.min(long - x);
        if x < first {
            return swing / 2.0 * (1.0 - (PI * x / first).cos());
        }
        swing * (PI * (x - first) / bow).cos()
    };
    let steps = (long / (STEP_MM / 4.0)).ceil() as usize;
    let points: Vec<Point> = (0..=steps)
        .map(|i| {
            let x = long * i as f64 / steps as f64;
            Point::new(x, height(x)) - Vec2::new(long / 2.0, 0.0)
        })
        .collect();
    Guide::open(&points)
}
