//! Stitches that are satin or fill → the areas that they cover, each in one piece.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Rect};
use rustc_hash::FxHashSet;

use crate::base::chain;
use crate::base::units::{Units, show_length, show_mm};
use crate::survey::needle::{Hole, sort_by_hole};

/// Stitches in squares of this side that touch belong to one area, mm.
const SQUARE_MM: f64 = 2.5;

/// From this part of the line about a stitch that runs as it does, stitches lie in rows: two rows across each other have
/// half, and line that runs every way alike has a third.
const SAME_WAY_PART: f64 = 0.45;

/// What an area is covered with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Cover {
    /// Stitches that go to and fro across a column.
    Satin,
    /// Rows of stitches close together.
    Fill,
}

/// One area.
#[derive(Debug, Clone, PartialEq)]
pub struct Area {
    /// What it is covered with.
    pub cover: Cover,
    /// The box round its holes, mm.
    pub bounds: Rect,
    /// How many different stitches it has.
    pub stitches: usize,
    /// Their median length, mm.
    pub step_mm: f64,
    /// From one row, or one stitch, to the next, mm: the median.
    pub spacing_mm: f64,
    /// True if its stitches lie in rows, false if they run every way over one another.
    pub in_rows: bool,
}

/// A stitch as it goes into an area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// How far its neighbour is, mm.
    pub spacing_mm: f64,
    /// The part of the line about it that runs as it does, 0 to 1.
    pub same_way: f64,
}

impl Area {
    /// How it was recognised, with its figures: the end of a sentence.
    #[must_use]
    pub fn how(&self, units: Units) -> String {
        let size = format!(
            "{} by {}",
            show_length(self.bounds.width(), units),
            show_length(self.bounds.height(), units)
        );
        let (count, step, spacing) = (self.stitches, show_mm(self.step_mm), show_mm(self.spacing_mm));
        match self.cover {
            Cover::Satin => {
                format!("{count} stitches of {step} that go to and fro, {spacing} apart, on {size}")
            }
            Cover::Fill if self.in_rows => format!("{count} stitches in rows {spacing} apart, on {size}"),
            Cover::Fill => {
                format!(
                    "{count} stitches that run every way over one another, about {spacing} apart, on {size}"
                )
            }
        }
    }
}

/// The areas that `parts` cover, from left to right, and whether each part belongs to one: fewer than `least` stitches are
/// no area.
pub fn areas(cover: Cover, parts: &[Part], least: usize) -> (Vec<Area>, Vec<bool>) {
    let squared = |(i, part): (usize, &Part)| (square(part.from.midpoint(part.to)), i);
    let mut by_square: Vec<(Hole, usize)> = parts.iter().enumerate().map(squared).collect();
    sort_by_hole(&mut by_square, |(square, _)| *square);
    let squares: BTreeMap<Hole, &[(Hole, usize)]> =
        by_square.chunk_by(|a, b| a.0 == b.0).map(|same| (same[0].0, same)).collect();
    let mut left: BTreeSet<Hole> = squares.keys().copied().collect();
    let (mut all, mut belongs) = (Vec::new(), vec![false; parts.len()]);
    while let Some(first) = left.pop_first() {
        let (mut members, mut next) = (Vec::new(), vec![first]);
        while let Some((column, row)) = next.pop() {
            members.extend(squares.get(&(column, row)).into_iter().copied().flatten().map(|(_, i)| *i));
            let around = (-1..=1).flat_map(|i| (-1..=1).map(move |j| (column + i, row + j)));
            next.extend(around.filter(|square| left.remove(square)));
        }
        if members.len() >= least {
            members.iter().for_each(|i| belongs[*i] = true);
            let members: Vec<Part> = members.iter().map(|i| parts[*i]).collect();
            all.push(area(cover, &members));
        }
    }
    (all, belongs)
}

/// The squares that areas lie on.
pub struct Ground(FxHashSet<Hole>);

impl Ground {
    /// The squares under these parts of areas.
    pub fn under<'a>(parts: impl Iterator<Item = &'a Part>) -> Self {
        Self(parts.map(|part| square(part.from.midpoint(part.to))).collect())
    }

    /// True if a place lies on them or in a square beside one.
    pub fn reaches(&self, at: Point) -> bool {
        let (column, row) = square(at);
        (-1..=1).any(|i| (-1..=1).any(|j| self.0.contains(&(column + i, row + j))))
    }
}

fn area(cover: Cover, parts: &[Part]) -> Area {
    let ends: Vec<Point> = parts.iter().flat_map(|part| [part.from, part.to]).collect();
    Area {
        cover,
        bounds: chain::bounds(&ends),
        stitches: parts.len(),
        step_mm: median(parts.iter().map(|part| part.from.distance(part.to)).collect()),
        spacing_mm: median(parts.iter().map(|part| part.spacing_mm).collect()),
        in_rows: median(parts.iter().map(|part| part.same_way).collect()) >= SAME_WAY_PART,
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    let middle = values.len() / 2;
    if values.is_empty() {
        return 0.0;
    }
    *values.select_nth_unstable_by(middle, f64::total_cmp).1
}

#[expect(clippy::cast_possible_truncation, reason = "needle points are checked to lie within 20 m")]
fn square(p: Point) -> Hole {
    ((p.x / SQUARE_MM).floor() as i32, (p.y / SQUARE_MM).floor() as i32)
}
