//! Strands: lines that run along a border or sash in whole repeats, as wide as it is.
//!
//! A strand is drawn in a repeat from 0,0 to 1,1: x along the border, y across it. Both ends of a border are the ends of a
//! repeat, so that the strands meet them at the same heights and with the same slopes, and borders continue. A strand may
//! be sewn as a band of parallel lines. Limits: a border whose sides are not parallel is followed by the map of a [`Board`].

use kurbo::offset::offset_cubic;
use kurbo::{Affine, BezPath, ParamCurve, ParamCurveCurvature, PathSeg, Shape};
use serde::Deserialize;

use super::board::{Board, Ground, even_repeats, repeats};
use super::clip::clip;
use super::part::{Part, carry};
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::base::angle::{left_of, unit};
use crate::base::curve::subpaths;
use crate::block::Block;
use crate::block::region::Region;

/// A parallel line keeps at least this share of the radius of the bend it lies in, so that it stays round.
const KEPT_RADIUS: f64 = 0.25;
/// Lines of a band closer than this cannot be sewn apart, mm.
const LEAST_GAP_MM: f64 = 1.5;
/// A strand of a motif file reaches at most this many repeats over its own.
const MOST_OVERHANG: i64 = 12;
/// How closely a parallel line keeps its distance, mm.
const PARALLEL_MM: f64 = 1e-3;
/// Pieces of a parallel line whose ends are this close are one line, mm.
const JOINT_MM: f64 = 0.01;

/// The numbers of a motif of strands.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// What sets the length of a repeat.
    repeat: Repeat,
    /// True if repeats come in pairs, because the motif alternates sides: every second one is turned upside down.
    #[serde(default)]
    alternate: bool,
    /// The lines of a repeat, as path data; those of neighbouring repeats join.
    strands: Vec<Part>,
    /// The setting (a length) that says how wide a row may be: wider blocks get several rows, every second one turned
    /// upside down; without it there is one row.
    row: Option<String>,
    /// True if every strand is a band of `lines` lines, `gap` widths of the border apart.
    #[serde(default)]
    bands: bool,
}

/// What sets the length of a repeat.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Repeat {
    /// A setting of kind length.
    Length(String),
    /// A setting of kind ratio: so many times the width of the border.
    Widths(String),
}

impl Numbers {
    /// How many repeats more, at each end, have lines that reach into the first or the last one.
    fn overhang(&self) -> i64 {
        let boxes = self.strands.iter().map(|part| part.path().bounding_box());
        let most = boxes.fold(0.0, |most: f64, r| most.max(-r.x0).max(r.x1 - 1.0));
        #[expect(clippy::cast_possible_truncation, reason = "saturates")]
        let repeats = most.ceil() as i64;
        repeats.min(MOST_OVERHANG)
    }

    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        let mut needs = match &self.repeat {
            Repeat::Length(name) => vec![(name.clone(), "length")],
            Repeat::Widths(name) => vec![(name.clone(), "ratio")],
        };
        needs.extend(self.row.clone().map(|name| (name, "length")));
        if self.bands {
            needs.extend([("lines".to_owned(), "count"), ("gap".to_owned(), "ratio")]);
        }
        needs
    }
}

/// Draws the strands in every region inside the block, along its longer side.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band leave no room for each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (board, stretch) = lay(numbers, settings, region);
        drawing.stretch = drawing.stretch.max(stretch);
        let across = board.ground.size().1 / f64::from(board.rows);
        let offsets = offsets(numbers, settings, across)?;
        let half = offsets.last().copied().unwrap_or(0.0);
        let plain =
            half == 0.0 && numbers.overhang() == 0 && !board.ground.overhangs() && region.holes.is_empty();
        let mut lines = Vec::new();
        for path in place(numbers, &board, half, plain) {
            if half == 0.0 {
                lines.push(path);
                continue;
            }
            for offset in &offsets {
                lines.push(parallel(&path, *offset).ok_or_else(|| tight(settings))?);
            }
        }
        drawing.lines.extend(if plain { lines } else { clip(&lines, std::slice::from_ref(region)) });
    }
    Ok(drawing)
}

/// The board along the longer side, one row or several.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region) -> (Board, f64) {
    let mut ground = Ground::of(region);
    let (along, across) = ground.size();
    if across > along {
        ground = ground.turned();
    }
    let (along, across) = ground.size();
    let rows = numbers.row.as_ref().map_or(1, |name| repeats(across, settings.number(name)).0);
    let across = across / f64::from(rows);
    let target = match &numbers.repeat {
        Repeat::Length(name) => settings.number(name),
        Repeat::Widths(name) => settings.number(name) * across,
    };
    let (columns, stretch) =
        if numbers.alternate { even_repeats(along, target) } else { repeats(along, target) };
    (Board { ground, columns, rows }, stretch)
}

/// Where the lines of a band lie beside its middle, mm, from right to left.
fn offsets(numbers: &Numbers, settings: &Settings, across: f64) -> Result<Vec<f64>, DrawError> {
    let count = if numbers.bands { settings.whole("lines").max(1) } else { 1 };
    let gap = settings.number("gap") * across;
    let band = gap * f64::from(count - 1);
    let no_room = |why: String| Err(DrawError::NoRoom { motif: "the band".into(), why });
    if count > 1 && gap < LEAST_GAP_MM {
        return no_room(format!(
            "its lines would come {gap:.1} mm apart and need {LEAST_GAP_MM} mm; ask for a larger gap or fewer lines"
        ));
    }
    if band * 2.0 > across {
        return no_room(format!(
            "{count} lines {gap:.1} mm apart take {band:.1} mm of the {across:.1} mm that the border is wide; ask for \
             fewer lines or a smaller gap"
        ));
    }
    Ok((0..count).map(|i| f64::from(i) * gap - band / 2.0).collect())
}

fn tight(settings: &Settings) -> DrawError {
    let why = format!(
        "its bends are too tight for {} lines; ask for longer repeats, fewer lines or a smaller gap",
        settings.whole("lines")
    );
    DrawError::NoRoom { motif: "the band".into(), why }
}

/// The strands of all repeats, `half` mm clear of both sides of their row; unless `plain`, some repeats more at each end, to be cut off.
fn place(numbers: &Numbers, board: &Board, half: f64, plain: bool) -> Vec<BezPath> {
    let clear = half * f64::from(board.rows) / board.ground.size().1;
    let ends = if plain { 0 } else { numbers.overhang().max(1) };
    let mut placed = Vec::new();
    for row in 0..board.rows {
        for column in -ends..i64::from(board.columns) + ends {
            let turned = (numbers.alternate && column.rem_euclid(2) == 1) != (row % 2 == 1);
            #[expect(clippy::cast_precision_loss, reason = "at most 100,000 columns")]
            let moved = Affine::translate((column as f64, 0.0)) * upright(turned);
            let up = |y: f64| f64::from(row) + clear + y * (1.0 - 2.0 * clear);
            let put = |part: &Part| carry(&(moved * part.path().clone()), |p| board.at(p.x, up(p.y)));
            placed.extend(numbers.strands.iter().map(put));
        }
    }
    placed
}

/// A repeat as it is, or upside down.
fn upright(turned: bool) -> Affine {
    if turned { Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]) } else { Affine::IDENTITY }
}

/// The line `offset` mm to the left of a smooth line; `None` where a bend is too tight for it.
fn parallel(path: &BezPath, offset: f64) -> Option<BezPath> {
    const SAMPLES: u32 = 32;
    let mut moved = BezPath::new();
    for segment in subpaths(path).iter().flatten() {
        let cubic = segment.to_cubic();
        let room = |t: f64| 1.0 - cubic.curvature(t) * offset;
        if (0..=SAMPLES).any(|i| room(f64::from(i) / f64::from(SAMPLES)) < KEPT_RADIUS) {
            return None;
        }
        let mut piece = BezPath::new();
        match segment {
            _ if offset == 0.0 => piece = BezPath::from_path_segments(std::iter::once(*segment)),
            PathSeg::Line(line) => {
                let aside = left_of(unit(line.p1 - line.p0)) * offset;
                piece = BezPath::from_path_segments(std::iter::once(Affine::translate(aside) * *segment));
            }
            _ => offset_cubic(cubic, offset, PARALLEL_MM, &mut piece),
        }
        join(&mut moved, &piece);
    }
    Some(moved)
}

/// Runs a line on by a piece that begins where it ends, or begins a new one.
fn join(line: &mut BezPath, piece: &BezPath) {
    let end = line.segments().last().map(|s| s.end());
    let start = piece.segments().next().map(|s| s.start());
    let joins = end.zip(start).is_some_and(|(end, start)| end.distance(start) < JOINT_MM);
    line.extend(piece.elements().iter().skip(usize::from(joins)).copied());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;
    use kurbo::Point;

    #[test]
    fn a_parallel_line_keeps_its_distance_and_its_joints() {
        let wave = BezPath::from_svg("M0,20 C18,20 32,0 50,0 C68,0 82,20 100,20").unwrap();
        let beside = parallel(&wave, 3.0).unwrap();
        let (line, middle) = (flatten(&beside, 1e-3), flatten(&wave, 1e-3));
        assert_eq!(line.len(), 1);
        let off = |p: &Point| (crate::base::chain::distance_to_chain(*p, &middle[0].points) - 3.0).abs();
        let worst = line[0].points.iter().map(off).fold(0.0, f64::max);
        assert!(worst < 5e-3, "{worst}");
        assert_eq!((line[0].points[0].x, line[0].points[0].y), (0.0, 23.0));
    }

    #[test]
    fn a_bend_too_tight_for_its_band_is_told() {
        let tight = BezPath::from_svg("M0,20 C1,20 2,0 3,0 C4,0 5,20 6,20").unwrap();
        assert_eq!(parallel(&tight, 3.0), None);
    }
}
