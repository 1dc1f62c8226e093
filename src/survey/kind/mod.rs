//! Runs of needle points → [`Kind`]: what sort of stitching they are, told from their geometry alone.
//!
//! A design from elsewhere does not say what it is. Satin is told by rows of zig-zags, a fill by rows of line close together,
//! and of the running line that is left it is told how often it is sewn, by how many stitches lie on top of each other,
//! whether or not the passes share their holes. The work grows in step with the stitches. Limits: thresholds are common
//! practice, so a very close stipple may be taken for a fill.

pub mod areas;
mod cover;
mod rows;

use std::collections::BTreeMap;

use kurbo::{Point, Vec2};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use super::needle::{Hole, Run, hole, place, sort_by_stitch};
use crate::base::chain;
use areas::{Area, Cover};

/// Stitches this near to each other that run the same way are passes of one line, mm: rows of a fill lie further apart.
pub const SAME_LINE_MM: f64 = 0.2;
/// Stitches whose directions differ by less run the same way, degrees.
pub const SAME_WAY_DEG: f64 = 30.0;
/// A step that turns back by at least this is a zig or a zag, degrees.
pub const ZIGZAG_DEG: f64 = 135.0;
/// A zig-zag comes down this far from the hole before last, mm; nearer it is a line sewn back in its own holes, further
/// it is a sharp corner.
pub const ZIGZAG_SPACING_MM: std::ops::RangeInclusive<f64> = 0.25..=1.5;
/// So many zig-zags in a row are satin: a triple line whose passes miss their holes has two, then goes on.
pub const SATIN_ROW: usize = 5;
/// Line that runs the same way from which a stitch lies in rows, mm in a mm²: three rows 0.8 mm apart, where fills are
/// sewn at about 0.4 mm, and quilting lines hardly ever closer than 2 mm.
pub const ROWS_MM_PER_MM2: f64 = 1.15;
/// Fewer stitches in rows are no fill but lines that meet.
pub const FILL_STITCHES: usize = 24;

/// Running line away from every area that comes to less than this part of what fills them is left over from them as well.
pub const LEFT_OVER: f64 = 0.01;

/// What the stitching is.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Kind {
    /// The part of all stitches that are satin, 0 to 1.
    pub satin: f64,
    /// The part of the line that lies in filled areas, 0 to 1.
    pub filled: f64,
    /// From a number of passes to the part of the running line that is sewn so often, 0 to 1. What lies at the
    /// rim of an area or under it belongs to that, and is left out.
    pub passes: BTreeMap<usize, f64>,
    /// Where satin and fill lie.
    pub areas: Vec<Area>,
}

/// How often a running line is sewn, in a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sewn {
    /// Once.
    Single,
    /// Twice.
    Double,
    /// Three times, four where it is walked again.
    Triple,
    /// Some of it more often than the rest.
    Mixed,
}

/// A line is sewn so often if at least this part of it is.
pub const SEWN_PART: f64 = 0.80;

impl Kind {
    /// The part of the running line that is sewn at least `least` and at most `most` times.
    #[must_use]
    pub fn sewn(&self, least: usize, most: usize) -> f64 {
        self.passes.range(least..=most).fold(0.0, |all, (_, part)| all + part)
    }

    /// How often the running line is sewn; `None` if there is none.
    #[must_use]
    pub fn word(&self) -> Option<Sewn> {
        let words = [(1, 1, Sewn::Single), (2, 2, Sewn::Double), (3, 4, Sewn::Triple)];
        let word = words.into_iter().find(|(least, most, _)| self.sewn(*least, *most) >= SEWN_PART);
        (!self.passes.is_empty()).then(|| word.map_or(Sewn::Mixed, |(_, _, word)| word))
    }
}

/// Tells what sort of stitching `runs` are.
#[must_use]
pub fn tell(runs: &[Run]) -> Kind {
    let stitches = stitches(runs);
    let cover = cover::Cover::new(&stitches, SAME_LINE_MM);
    let laid: Vec<(usize, f64)> = stitches.par_iter().map(|s| laid(&cover, s)).collect();
    let running = stitches.iter().zip(&laid).filter(|(s, _)| s.zigzag_mm.is_none());
    let running: Vec<(&Stitch, &(usize, f64))> = running.collect();
    let rows = rows::Rows::new(running.iter().map(|(s, (_, own_mm))| (*s, *own_mm)));
    let in_rows: Vec<Option<areas::Part>> = running
        .par_iter()
        .map(|(s, _)| {
            Some(rows.about(s))
                .filter(|(mm, _)| *mm >= ROWS_MM_PER_MM2)
                .map(|(mm, same)| s.part(1.0 / mm, same))
        })
        .collect();
    let parts: Vec<areas::Part> = in_rows.iter().copied().flatten().collect();
    let (fills, belongs) = areas::areas(Cover::Fill, &parts, FILL_STITCHES);
    let satin: Vec<areas::Part> = stitches.iter().filter_map(|s| Some(s.part(s.zigzag_mm?, 1.0))).collect();
    let (columns, is_column) = areas::areas(Cover::Satin, &satin, SATIN_ROW);
    let in_areas = parts.iter().zip(&belongs).chain(satin.iter().zip(&is_column));
    let ground = areas::Ground::under(in_areas.filter(|(_, belongs)| **belongs).map(|(part, _)| part));
    let mut kind = Kind { satin: part_of(count(satin.len()), count(stitches.len())), ..Kind::default() };
    let (mut line, mut filled, mut belongs) = (0.0, 0.0, belongs.into_iter());
    for ((stitch, (passes, own_mm)), part) in running.iter().zip(&in_rows) {
        line += own_mm;
        if part.is_some() && belongs.next() == Some(true) {
            filled += own_mm;
        } else if !ground.reaches(stitch.middle()) {
            *kind.passes.entry(*passes).or_insert(0.0) += own_mm;
        }
    }
    kind.filled = part_of(filled, line);
    kind.areas = columns;
    kind.areas.extend(fills);
    let on_its_own: f64 = kind.passes.values().sum();
    if on_its_own < LEFT_OVER * filled {
        kind.passes.clear();
    }
    kind.passes.values_mut().for_each(|part| *part = part_of(*part, on_its_own));
    kind
}

/// A stitch with how often it is sewn in its own holes.
#[derive(Debug, Clone, Copy)]
struct Stitch {
    from: Point,
    to: Point,
    count: usize,
    /// How far the next but one hole is, if it is satin, mm.
    zigzag_mm: Option<f64>,
}

impl Stitch {
    fn part(&self, spacing_mm: f64, same_way: f64) -> areas::Part {
        areas::Part { from: self.from, to: self.to, spacing_mm, same_way }
    }

    fn way(&self) -> Vec2 {
        self.to - self.from
    }

    fn length(&self) -> f64 {
        self.way().hypot()
    }

    fn middle(&self) -> Point {
        self.from.midpoint(self.to)
    }

    fn distance(&self, p: Point) -> f64 {
        p.distance(chain::nearest_on_segment(p, self.from, self.to))
    }
}

/// How many passes go over the middle of a stitch, and the length of line that is its own, mm: passes that do not share
/// their holes are one line, and each counts for its part of it.
fn laid(cover: &cover::Cover<'_>, stitch: &Stitch) -> (usize, f64) {
    let (at, along) = (stitch.middle(), stitch.way());
    let sine = SAME_WAY_DEG.to_radians().sin();
    // Squares compared, with no root and no division: this is asked of every stitch about every other.
    let least = along.hypot2() * sine * sine;
    let same = cover.over(at).filter(|other| {
        let (theirs, off) = (other.way(), at - other.from);
        let (length2, part) = (theirs.hypot2(), off.dot(theirs));
        // Half-open, so that of two stitches that meet beside the middle only one counts.
        (0.0..length2).contains(&part)
            && off.cross(theirs).powi(2) <= SAME_LINE_MM * SAME_LINE_MM * length2
            && along.cross(theirs).powi(2) < least * length2
    });
    let (passes, stitches) =
        same.fold((0, 0_u32), |(passes, stitches), other| (passes + other.count, stitches + 1));
    (passes.max(stitch.count), stitch.length() / f64::from(stitches.max(1)))
}

/// The different stitches of all runs, ties left out, in a fixed order.
fn stitches(runs: &[Run]) -> Vec<Stitch> {
    let mut steps: Vec<(Hole, Hole, Option<f64>)> = Vec::new();
    for run in runs {
        let line = run.line_steps().map(|(a, b)| (hole(a), hole(b))).filter(|(a, b)| a != b);
        let from = steps.len();
        steps.extend(line.map(|(a, b)| (a, b, None)));
        mark_satin(&mut steps[from..]);
    }
    for step in &mut steps {
        *step = (step.0.min(step.1), step.0.max(step.1), step.2);
    }
    sort_by_stitch(&mut steps, |step| (step.0, step.1));
    let same = steps.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1));
    same.map(|same| Stitch {
        from: place(same[0].0),
        to: place(same[0].1),
        count: same.len(),
        zigzag_mm: same.iter().filter_map(|step| step.2).max_by(f64::total_cmp),
    })
    .collect()
}

/// Marks the steps of one run that lie in rows of zig-zags.
fn mark_satin(steps: &mut [(Hole, Hole, Option<f64>)]) {
    let spacing = |w: &[(Hole, Hole, Option<f64>)]| {
        let (a, b, c) = (place(w[0].0), place(w[0].1), place(w[1].1));
        let turn_deg = crate::base::angle::turn_deg(b - a, c - b).abs();
        let spacing = a.distance(c);
        (turn_deg >= ZIGZAG_DEG && ZIGZAG_SPACING_MM.contains(&spacing)).then_some(spacing)
    };
    let spacings: Vec<Option<f64>> = steps.windows(2).map(spacing).collect();
    let mut from = 0;
    for row in spacings.chunk_by(|a, b| a.is_some() == b.is_some()) {
        if row[0].is_some() && row.len() >= SATIN_ROW {
            for (i, spacing) in row.iter().enumerate() {
                steps[from + i].2 = *spacing;
            }
            steps[from + row.len()].2 = row[row.len() - 1];
        }
        from += row.len();
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of stitches are far below 2^52")]
fn count(n: usize) -> f64 {
    n as f64
}

fn part_of(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(points: &[(f64, f64)]) -> Kind {
        let points: Vec<Point> = points.iter().map(|p| Point::from(*p)).collect();
        tell(&[Run { points: &points, tie_in: 0, tie_off: 0 }])
    }

    /// A line along x from 0 to 50 mm with a hole every 2.5 mm, moved by `shift`.
    fn row(shift: f64, y: f64) -> Vec<(f64, f64)> {
        (0..=20).map(|i| (2.5 * f64::from(i) + shift, y)).collect()
    }

    fn there_and_back(rows: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let turned = |i: usize, mut r: Vec<(f64, f64)>| {
            if i % 2 == 1 {
                r.reverse();
            }
            r
        };
        rows.iter().enumerate().flat_map(|(i, (shift, y))| turned(i, row(*shift, *y))).collect()
    }

    #[test]
    fn a_single_line_is_sewn_once() {
        let kind = told(&row(0.0, 0.0));
        assert_eq!((kind.satin, kind.filled), (0.0, 0.0));
        assert_eq!(kind.passes, BTreeMap::from([(1, 1.0)]));
    }

    #[test]
    fn a_triple_line_is_no_zigzag() {
        let points: Vec<(f64, f64)> =
            row(0.0, 0.0).windows(2).flat_map(|w| [w[0], w[1], w[0], w[1]]).collect();
        let kind = told(&points);
        assert_eq!((kind.satin, kind.passes), (0.0, BTreeMap::from([(3, 1.0)])));
    }

    #[test]
    fn passes_in_holes_of_their_own_are_passes_all_the_same() {
        let kind = told(&there_and_back(&[(0.0, 0.0), (0.8, 0.1), (-0.8, 0.0)]));
        assert!(kind.sewn(3, 3) > 0.9, "{kind:?}");
        assert_eq!(kind.filled, 0.0);
    }

    #[test]
    fn satin_is_a_zigzag() {
        // A column 4 mm wide with a stitch every 0.2 mm.
        let points: Vec<(f64, f64)> =
            (0..100).map(|i| (0.2 * f64::from(i), if i % 2 == 0 { 0.0 } else { 4.0 })).collect();
        let kind = told(&points);
        assert!(kind.satin > 0.95, "{kind:?}");
    }

    #[test]
    fn rows_close_together_are_a_fill() {
        let rows: Vec<(f64, f64)> =
            (0..60).map(|i| (if i % 2 == 0 { 0.0 } else { 1.2 }, 0.4 * f64::from(i))).collect();
        let kind = told(&there_and_back(&rows));
        assert!(kind.filled > 0.8 && kind.satin < 0.05, "{kind:?}");
    }

    #[test]
    fn a_close_stipple_is_no_fill() {
        // Triple lines 2 mm apart are closer than quilting lines ever need to be.
        let rows: Vec<(f64, f64)> = (0..20).map(|i| (0.0, 2.0 * f64::from(i))).collect();
        let single = there_and_back(&rows);
        let triple: Vec<(f64, f64)> = single.windows(2).flat_map(|w| [w[0], w[1], w[0], w[1]]).collect();
        let kind = told(&triple);
        assert_eq!((kind.filled, kind.satin), (0.0, 0.0));
        assert!(kind.sewn(3, 3) > 0.99, "{kind:?}");
    }

    #[test]
    fn a_sharp_point_of_a_leaf_is_no_zigzag() {
        let kind = told(&[(0.0, 0.0), (2.5, 0.2), (5.0, 0.9), (2.5, 1.8), (0.0, 2.0)]);
        assert_eq!(kind.satin, 0.0);
    }

    #[test]
    fn nothing_sewn_is_nothing() {
        assert_eq!(tell(&[]), Kind::default());
    }
}
