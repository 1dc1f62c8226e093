//! Fans: concentric arcs swung from points of a square grid, each fan lying in front of its neighbour on the right and of
//! the row above.
//!
//! A fan of radius R (the spacing of the grid) shows what is outside the fans on its left, below and below right. For the arc
//! of radius r = ρR that is, by the law of cosines with neighbours at R, R and √2 R: the angles from
//! max(acos(ρ/2) − 90°, acos((1 + ρ²)/(2√2 ρ)) − 45°) to 180° − acos(ρ/2), counted from the x axis. All arcs end on
//! another arc or on the edge of the board, and arcs are split where others end on them. What the edge would leave of an
//! arc as a tick is left out; framed, a line runs along the edge.

use kurbo::{Arc, BezPath, ParamCurve, ParamCurveNearest, Point, Vec2};
use serde::Deserialize;

use super::board::{Board, Ground};
use super::clip::clip;
use super::counts::{Counts, Fit, counts};
use super::frame::frame;
use super::part::carry;
use crate::base::curve::path_length;
use crate::base::tolerance::WELD_MM;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The settings that fans read.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("arcs", "count"), ("edge", "choice")];

/// The numbers of a motif of fans.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// What the edge leaves of an inner arc is left out if it is shorter than this, in pitches: it would be a tick.
    tick: f64,
}

/// Arcs are carried to the block in pieces of at most this angle, so that they follow an odd block closely.
const PIECE: f64 = std::f64::consts::FRAC_PI_8;
/// On a block whose sides lean more than this fans are not sheared but cut, degrees.
const LEAN_DEG: f64 = 15.0;
/// Angles closer than this are one.
const SAME: f64 = 1e-9;
/// The fewest arcs that look like a fan, if more are asked for.
const FEWEST_ARCS: u32 = 2;
/// Arcs closer than this cannot be sewn apart, mm.
const LEAST_SPACING_MM: f64 = 2.0;

/// Draws the fans in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the arcs would come too close to each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (board, arcs, fit) = lay(settings, region);
        let spacing = radius(&board) / f64::from(arcs);
        if spacing < LEAST_SPACING_MM {
            let spacing = show_length(spacing, Units::Inches);
            let why = format!(
                "{arcs} arcs in this block come {spacing} apart; ask for fewer arcs, or a larger block"
            );
            return Err(DrawError::NoRoom { motif: "a fan".into(), why });
        }
        drawing.fitted(fit);
        drawing.notes.extend(fit.told("spacing", settings.number("spacing")));
        // Fans whose middles stand on the upper edge would show as ticks hanging from it.
        let mut lines = Vec::new();
        for row in 0..board.rows {
            for column in 0..=board.columns {
                fan(column, row, arcs, &board, &mut lines);
            }
        }
        let whole = !board.ground.overhangs() && region.holes.is_empty();
        let (mut kept, mut short) = (Vec::new(), Vec::new());
        for (i, path) in lines {
            let left = if whole {
                vec![path]
            } else {
                clip(std::slice::from_ref(&path), std::slice::from_ref(region))
            };
            let (long, ticks): (Vec<_>, Vec<_>) =
                left.into_iter().partition(|l| path_length(l) > numbers.tick * spacing);
            kept.extend(long);
            short.extend(ticks.into_iter().filter(|_| i == arcs));
        }
        // Others may end on what is left of an outermost arc.
        short.retain(|tick| kept.iter().any(|l| ends_on(l, tick)));
        drawing.lines.append(&mut kept);
        drawing.lines.append(&mut short);
        if settings.word("edge") == "framed" {
            drawing.lines.extend(frame(block, region));
        }
    }
    Ok(drawing)
}

/// True if an end of `line` lies on `arc`, between its ends.
fn ends_on(line: &BezPath, arc: &BezPath) -> bool {
    let points = |path: &BezPath| {
        let (first, last) = (path.segments().next(), path.segments().last());
        [first.map(|s| s.start()), last.map(|s| s.end())].into_iter().flatten()
    };
    let on = |p: Point| arc.segments().any(|s| s.nearest(p, WELD_MM / 10.0).distance_sq < WELD_MM * WELD_MM);
    let apart = |p: Point| points(arc).all(|q| q.distance(p) > WELD_MM);
    points(line).any(|p| on(p) && apart(p))
}

/// Whole fans over the ground; on three sides, or four that lean, over its bounding box. And how many arcs each has: so many
/// that they are as far apart as asked, however large a fan comes out.
fn lay(settings: &Settings, region: &Region) -> (Board, u32, Fit) {
    let ground = match Ground::upright(region, LEAN_DEG) {
        Ground::Three(_) => Ground::around(region),
        ground => ground,
    };
    let (asked, spacing) = (settings.whole("arcs").max(1), settings.number("spacing"));
    let wanted = spacing * f64::from(asked);
    let Counts { columns, rows, fit } = counts(ground.size(), (wanted, wanted), 1);
    let board = Board { ground, columns, rows };
    let spread = radius(&board);
    let fewest = asked.min(FEWEST_ARCS);
    let off = |arcs: u32| (spread / f64::from(arcs) / spacing).ln().abs();
    // A fan is at most twice as large as asked for.
    let arcs = (fewest..=2 * asked).min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(asked);
    (board, arcs, Fit { grown: spread / f64::from(arcs) / spacing - 1.0, ..fit })
}

/// The mean radius of the fans on a board, mm.
fn radius(board: &Board) -> f64 {
    let (width, height) = board.ground.size();
    (width / f64::from(board.columns) * height / f64::from(board.rows)).sqrt()
}

/// The visible arcs of one fan, each with its number from the middle.
fn fan(column: u32, row: u32, arcs: u32, board: &Board, lines: &mut Vec<(u32, BezPath)>) {
    let centre = Vec2::new(f64::from(column), f64::from(row));
    for i in 1..=arcs {
        let radius = f64::from(i) / f64::from(arcs);
        let (mut from, mut to) = shown(radius);
        let quarter = std::f64::consts::FRAC_PI_2;
        if column == 0 {
            to = to.min(quarter);
        }
        if column == board.columns {
            from = from.max(quarter);
        }
        if row == 0 {
            from = from.max(0.0);
        }
        if to - from < SAME {
            continue;
        }
        let mut cuts = vec![from, to];
        if i == arcs {
            cuts.extend(landings(arcs));
        }
        lines.push((i, arc(centre, radius, &pieces(cuts, from, to), board)));
    }
}

/// The angles between which the arc of this radius shows, radians.
fn shown(radius: f64) -> (f64, f64) {
    let beside = (radius / 2.0).acos();
    let quarter = std::f64::consts::FRAC_PI_2;
    let across = (1.0 + radius * radius) / (2.0 * std::f64::consts::SQRT_2 * radius);
    let under = if across < 1.0 { across.acos() - quarter / 2.0 } else { -quarter };
    ((beside - quarter).max(under), std::f64::consts::PI - beside)
}

/// The angles of the outermost arc at which arcs of other fans end on it.
fn landings(arcs: u32) -> Vec<f64> {
    let mut angles = Vec::new();
    for i in 1..=arcs {
        let radius = f64::from(i) / f64::from(arcs);
        let (from, to) = shown(radius);
        let on = |from: Vec2, angle: f64| from + Vec2::from_angle(angle) * radius;
        // Those of the right neighbour end here on their left; those above and above left on their right.
        for p in [on(Vec2::new(1.0, 0.0), to), on(Vec2::new(0.0, 1.0), from), on(Vec2::new(-1.0, 1.0), from)]
        {
            if (p.hypot() - 1.0).abs() < SAME {
                angles.push(p.atan2());
            }
        }
    }
    angles
}

/// Cuts in order, with more between them so that no piece is longer than [`PIECE`].
fn pieces(mut cuts: Vec<f64>, from: f64, to: f64) -> Vec<f64> {
    cuts.retain(|a| (from..=to).contains(a));
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|a, b| (*a - *b).abs() < SAME);
    let mut all = vec![from];
    for pair in cuts.windows(2) {
        let mut more = 1.0;
        while (pair[1] - pair[0]) / more > PIECE {
            more += 1.0;
        }
        let mut i = 1.0;
        while i <= more {
            all.push(pair[0] + (pair[1] - pair[0]) * i / more);
            i += 1.0;
        }
    }
    all
}

fn arc(centre: Vec2, radius: f64, angles: &[f64], board: &Board) -> BezPath {
    let at = |angle: f64| (centre + Vec2::from_angle(angle) * radius).to_point();
    let mut path = BezPath::new();
    path.move_to(at(angles[0]));
    for pair in angles.windows(2) {
        let piece = Arc::new(centre.to_point(), (radius, radius), pair[0], pair[1] - pair[0], 0.0);
        // Coarse on purpose: an eighth of a half circle is one cubic.
        piece.to_cubic_beziers(1e-3, |c1, c2, _| path.curve_to(c1, c2, at(pair[1])));
    }
    carry(&path, |p: Point| board.at(p.x, p.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_outermost_arc_spans_a_third_of_a_circle_and_the_innermost_nearly_a_quarter() {
        let (from, to) = shown(1.0);
        assert!(from.abs() < 1e-12 && (to.to_degrees() - 120.0).abs() < 1e-9);
        let (from, to) = shown(0.1);
        assert!((from.to_degrees() + 2.866).abs() < 1e-3 && (to.to_degrees() - 92.866).abs() < 1e-3);
    }

    #[test]
    fn every_arc_keeps_its_radius_and_its_spacing() {
        let corners = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(Point::from);
        let board = Board { ground: Ground::Four(corners), columns: 2, rows: 2 };
        let mut lines = Vec::new();
        fan(1, 1, 5, &board, &mut lines);
        assert_eq!(lines.len(), 5);
        for (i, line) in &lines {
            let wanted = 10.0 * f64::from(*i);
            let chain = crate::base::curve::flatten(line, 1e-4).remove(0).points;
            let off = chain.iter().map(|p| (p.distance((50.0, 50.0).into()) - wanted).abs());
            let off = off.fold(0.0, f64::max);
            assert!(off < 1e-3, "arc {i} is off by {off} mm");
        }
    }

    #[test]
    fn every_arc_inside_ends_on_a_neighbour() {
        for i in 1..=4 {
            let radius = f64::from(i) / 4.0;
            let (from, to) = shown(radius);
            let end = Vec2::from_angle(to) * radius - Vec2::new(-1.0, 0.0);
            let start = Vec2::from_angle(from) * radius;
            let nearest = [Vec2::new(0.0, -1.0), Vec2::new(1.0, -1.0)]
                .map(|n| ((start - n).hypot() - 1.0).abs())
                .into_iter()
                .fold(f64::INFINITY, f64::min);
            assert!((end.hypot() - 1.0).abs() < 1e-12 && nearest < 1e-12);
        }
    }
}
