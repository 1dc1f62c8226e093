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
    /// Lines that stand once more at the far end of the last repeat.
    #[serde(default)]
    last: Vec<Part>,
    /// True if every strand is a band of `lines` lines `gap` apart.
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
    /// True if no line of a repeat reaches over its ends.
    fn within(&self) -> bool {
        let boxes = self.strands.iter().map(|part| part.path().bounding_box());
        boxes.fold((0.0, 1.0), |(a, b), r| (r.x0.min(a), r.x1.max(b))) == (0.0, 1.0)
    }

    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        let mut needs = match &self.repeat {
            Repeat::Length(name) => vec![(name.clone(), "length")],
            Repeat::Widths(name) => vec![(name.clone(), "ratio")],
        };
        if self.bands {
            needs.extend([("lines".to_owned(), "count"), ("gap".to_owned(), "length")]);
        }
        needs
    }
}

/// Draws the strands along every region inside the block, on its longer side.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band leave no room for each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (board, stretch) = lay(numbers, settings, region);
        drawing.stretch = drawing.stretch.max(stretch);
        let offsets = offsets(numbers, settings);
        let half = offsets.last().copied().unwrap_or(0.0);
        check_room(half, board.ground.size().1, settings)?;
        let plain = half == 0.0 && numbers.within() && !board.ground.overhangs() && region.holes.is_empty();
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

/// The board of one row along the longer side.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region) -> (Board, f64) {
    let mut ground = Ground::of(region);
    let (along, across) = ground.size();
    if across > along {
        ground = ground.turned();
    }
    let (along, across) = ground.size();
    let target = match &numbers.repeat {
        Repeat::Length(name) => settings.number(name),
        Repeat::Widths(name) => settings.number(name) * across,
    };
    let (columns, stretch) =
        if numbers.alternate { even_repeats(along, target) } else { repeats(along, target) };
    (Board { ground, columns, rows: 1 }, stretch)
}

/// Where the lines of a band lie beside its middle, mm, from right to left.
fn offsets(numbers: &Numbers, settings: &Settings) -> Vec<f64> {
    let count = if numbers.bands { settings.whole("lines").max(1) } else { 1 };
    let middle = f64::from(count - 1) / 2.0;
    (0..count).map(|i| (f64::from(i) - middle) * settings.number("gap")).collect()
}

fn check_room(half: f64, across: f64, settings: &Settings) -> Result<(), DrawError> {
    if half * 4.0 <= across {
        return Ok(());
    }
    let why = format!(
        "{} lines {:.1} mm apart take {:.1} mm of the {across:.1} mm that the border is wide; ask for fewer lines or a \
         smaller gap",
        settings.whole("lines"),
        settings.number("gap"),
        half * 2.0
    );
    Err(DrawError::NoRoom { motif: "the band".into(), why })
}

fn tight(settings: &Settings) -> DrawError {
    let why = format!(
        "its bends are too tight for {} lines {:.1} mm apart; ask for longer repeats, fewer lines or a smaller gap",
        settings.whole("lines"),
        settings.number("gap")
    );
    DrawError::NoRoom { motif: "the band".into(), why }
}

/// The strands of all repeats, `half` mm clear of both long sides; unless `plain`, one repeat more at each end.
fn place(numbers: &Numbers, board: &Board, half: f64, plain: bool) -> Vec<BezPath> {
    let across = board.ground.size().1;
    let clear = half / across;
    let columns = i64::from(board.columns);
    let ends = if plain { 0 } else { 1 };
    let mut placed = Vec::new();
    for column in -ends..columns + ends {
        let turned = numbers.alternate && column.rem_euclid(2) == 1;
        let mut put = |part: &Part, at: i64| {
            #[expect(clippy::cast_precision_loss, reason = "at most 100,000 columns")]
            let moved = Affine::translate((at as f64, 0.0)) * upright(turned) * part.path().clone();
            placed.push(carry(&moved, |p| board.at(p.x, clear + p.y * (1.0 - 2.0 * clear))));
        };
        numbers.strands.iter().for_each(|part| put(part, column));
        if column == columns - 1 {
            numbers.last.iter().for_each(|part| put(part, column));
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
