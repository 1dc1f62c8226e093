//! Feather vine: an undulating feather along a border.
//!
//! A strip that stands alone is read the same from either end, as borders are marked from their middles [124]: it grows from two
//! teardrops in its middle to a crown at each end. Where a border turns, the feather grows from two teardrops on the diagonal
//! of each corner, and the crowns of two corners touch in the middle of the side. What is drawn near a corner does not depend on
//! the length of the sides, so that corner and runs, drawn apart, are one drawing.

use kurbo::{Affine, BezPath, Point, Rect};
use serde::Deserialize;
use std::f64::consts::FRAC_PI_2;

use super::arm::{Arm, Border, Start};
use super::guide::Guide;
use super::weave::{Line, row};
use super::{Look, no_room};
use crate::block::Block;
use crate::block::region::Region;
use crate::block::side::Side;
use crate::drawing::constructions::clip::cut;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

const VINE: &str = "a feather vine";

/// How far inside the margins heads touch, mm, so that rounding takes none outside.
const HAIR_MM: f64 = 0.06;

/// How far from a corner the drawing does not depend on the side's length, in border widths.
const FIXED: f64 = 0.5;
/// How far a corner unit may reach into its runs, in border widths: less than what the drawing does not change in.
pub const REACH: f64 = 0.24;
/// How long an arm is at least, and how long it is where only its corner is drawn, in border widths.
const ARM: [f64; 2] = [1.1, 3.0];

/// The settings that a vine reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("curl", "angle"), ("swing", "ratio")];

/// The numbers of a vine.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The narrowest and the widest plume, as shares of the width inside the margins.
    plumes: [f64; 2],
    /// The narrowest plume where a border turns, likewise: narrower ones would crowd at the corner's teardrop.
    turning: f64,
}

/// Draws a vine along every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew, or the strip is too short.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    draw_within(numbers, settings, block, &block.inside)
}

/// As [`draw`], but where the vine runs on it is cut at `within`.
///
/// # Errors
/// As [`draw`].
pub fn draw_within(
    numbers: &Numbers,
    settings: &Settings,
    block: &Block,
    within: &[Region],
) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let bounds = region.bounds();
        let place = Place::new(block, bounds);
        let inner = place.border(settings).width - 2.0 * block.margin_mm;
        let [least, most] = numbers.plumes;
        let least = if block.open.is_empty() { least } else { numbers.turning };
        let range = [least, most].map(|share| share * inner);
        let look = Look::fitted(settings, range, VINE, &mut drawing)?;
        let border = place.border(settings);
        let (lines, stretch) = place.lines(&look, &border)?;
        drawing.stretch = drawing.stretch.max(stretch);
        if block.open.is_empty() {
            drawing.lines.extend(lines);
        } else {
            // Every bit of a plume goes on in the next piece.
            let edges = within.iter().flat_map(|r| r.rings()).flat_map(|ring| ring.path().segments());
            let inside = |p: Point| within.iter().any(|region| region.depth(p) > 0.0);
            drawing.lines.extend(cut(&lines, edges, &inside, 0.0));
        }
    }
    Ok(drawing)
}

/// Where a vine lies.
struct Place {
    bounds: Rect,
    margin: f64,
    /// The sides across which it runs on.
    open: Vec<Side>,
}

impl Place {
    fn new(block: &Block, bounds: Rect) -> Self {
        Self { bounds, margin: block.margin_mm, open: block.open.clone() }
    }

    fn upright(&self) -> bool {
        self.open.is_empty() && self.bounds.height() > self.bounds.width()
    }

    fn border(&self, settings: &Settings) -> Border {
        let across = if self.upright() { self.bounds.width() } else { self.bounds.height() };
        let margin = self.margin + HAIR_MM;
        Border { width: across + 2.0 * self.margin, margin, swing: settings.number("swing") }
    }

    /// The lines, some of which may run on beyond the open sides, and by how much plumes were stretched.
    fn lines(&self, look: &Look, border: &Border) -> Result<(Vec<BezPath>, f64), DrawError> {
        let Rect { x0, y0, x1, .. } = self.bounds;
        let open = |side: Side| self.open.contains(&side);
        let middle = self.bounds.center().to_vec2();
        let apart = || {
            no_room(
                VINE,
                format!("plumes {:.1} mm wide do not meet everywhere; ask for another plume", look.width),
            )
        };
        // From the corner square's edge, which lies within the unit by the margin.
        let (w, m) = (border.width, self.margin);
        if open(Side::Left) && open(Side::Top) {
            let arm = corner_arm(look, border, ARM[1] * w)?;
            let left = arm.placed(Affine::translate((x1 + m - w, y0 - m + w / 2.0)) * Affine::FLIP_X);
            // The mirror at the diagonal from the inner corner to the outer one.
            let mirror = Affine::new([0.0, -1.0, -1.0, 0.0, x1 + y0, x1 + y0]);
            let arms = left.and_then(|a| Some([a.placed(mirror)?, a])).ok_or_else(apart)?;
            return Ok((pair(look, &arms).ok_or_else(apart)?, arm.stretch));
        }
        let ends = [open(Side::Left), open(Side::Right)];
        if ends != [false; 2] {
            let both = ends == [true; 2];
            // A single arm reaches to the other end, which is closed.
            let length = (x1 - x0) - m * if both { 2.0 } else { 1.0 };
            let arm = corner_arm(look, border, if both { length / 2.0 } else { length })?;
            let (left, right) =
                (Affine::translate((x0 + m, middle.y)), Affine::translate((x1 - m, middle.y)));
            let places = [(ends[0], left), (ends[1], right * Affine::FLIP_X)];
            let mut lines = Vec::new();
            for (_, place) in places.iter().filter(|(open, _)| *open) {
                let arm = arm.placed(*place).ok_or_else(apart)?;
                lines.extend(single(look, &arm).ok_or_else(apart)?);
            }
            return Ok((lines, arm.stretch));
        }
        let half = self.bounds.width().max(self.bounds.height()) / 2.0 - HAIR_MM;
        let short = || {
            no_room(
                VINE,
                format!("a strip {:.1} mm long is too short for its width; ask for a longer one", 2.0 * half),
            )
        };
        if half < 0.6 * w {
            return Err(short());
        }
        let arm = border.arm(look, Start::Middle, half, 0.0, None).ok_or_else(short)?;
        let turn = if self.upright() { Affine::rotate(FRAC_PI_2) } else { Affine::IDENTITY };
        let place = Affine::translate(middle) * turn;
        let arms = arm.placed(place).zip(arm.placed(place * Affine::FLIP_X)).ok_or_else(apart)?;
        Ok((pair(look, &arms.into()).ok_or_else(apart)?, arm.stretch))
    }
}

/// The arm from a corner, `run` mm beyond its square; near the corner it is the same whatever its length.
fn corner_arm(look: &Look, border: &Border, run: f64) -> Result<Arm, DrawError> {
    let none = || {
        no_room(
            VINE,
            format!(
                "half a side of {run:.1} mm is too short for a border {:.1} mm wide to turn; ask for a narrower border",
                border.width
            ),
        )
    };
    if run < ARM[0] * border.width {
        return Err(none());
    }
    let fixed = FIXED * border.width;
    let usual = border.arm(look, Start::Corner, ARM[1] * border.width, fixed, None).ok_or_else(none)?;
    let known = usual.before(0.6 * fixed);
    border.arm(look, Start::Corner, run, fixed, Some(&known)).ok_or_else(none)
}

/// Weaves two arms that begin at the same teardrops, the second the mirror of the first.
fn pair(look: &Look, arms: &[Arm; 2]) -> Option<Vec<BezPath>> {
    let mut drops = drops(look, &arms[0]);
    let mut lines = Vec::new();
    for arm in arms {
        lines.extend(plumes(look, arm, &mut drops)?);
    }
    lines.extend(drops.iter().map(Line::path));
    let [a, b] = arms;
    let mut points: Vec<Point> = a.spine.points().iter().rev().copied().collect();
    points.extend(&b.spine.points()[1..]);
    let half = a.spine.length();
    let mut knots: Vec<f64> = a.knots.iter().map(|s| half - s).collect();
    knots.extend(b.knots.iter().map(|s| half + s));
    lines.push(Guide::open(&points)?.curve(&knots));
    Some(lines)
}

/// Weaves one arm and its teardrops.
fn single(look: &Look, arm: &Arm) -> Option<Vec<BezPath>> {
    let mut drops = drops(look, arm);
    let mut lines = plumes(look, arm, &mut drops)?;
    lines.extend(drops.iter().map(Line::path));
    lines.push(arm.spine.curve(&arm.knots));
    Some(lines)
}

fn drops(look: &Look, arm: &Arm) -> [Line; 2] {
    [0, 1].map(|k| Line::teardrop(arm.drops[k].head, arm.drops[k].foot, look.family()))
}

/// The plumes of an arm, behind the teardrops, and its crown.
fn plumes(look: &Look, arm: &Arm, drops: &mut [Line; 2]) -> Option<Vec<BezPath>> {
    let mut woven = Vec::new();
    for (plumes, drop) in arm.rows.iter().zip(drops) {
        woven.push(row(plumes.iter().map(|p| p.line(look.family(), look.angle())).collect(), drop)?);
    }
    let [mut right, mut left] = <[Vec<Line>; 2]>::try_from(woven).ok()?;
    if arm.rows[1].first()?.side < 0.0 {
        std::mem::swap(&mut right, &mut left);
    }
    let (head, foot) = (arm.crown.head, arm.crown.foot);
    let crown = Line::crown(head, foot, look.family(), left.last_mut()?, right.last_mut()?)?;
    let mut lines: Vec<BezPath> = left.iter().chain(&right).map(Line::path).collect();
    lines.push(crown.path());
    Some(lines)
}
