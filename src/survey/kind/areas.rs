//! Stitches that are satin or fill → the areas that they cover, each in one piece.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{Point, Rect};

use crate::base::chain;
use crate::base::units::{Units, show_length, show_mm};

/// Stitches in squares of this side that touch belong to one area, mm.
const SQUARE_MM: f64 = 2.5;

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
}

/// A stitch as it goes into an area: its ends and how far its neighbour is, mm.
pub type Part = (Point, Point, f64);

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
            Cover::Fill => format!("{count} stitches in rows {spacing} apart, on {size}"),
        }
    }
}

/// The areas that `parts` cover, from left to right, and whether each part belongs to one: fewer than `least` stitches are
/// no area.
pub fn areas(cover: Cover, parts: &[Part], least: usize) -> (Vec<Area>, Vec<bool>) {
    let mut squares: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
    for (i, (from, to, _)) in parts.iter().enumerate() {
        squares.entry(square(from.midpoint(*to))).or_default().push(i);
    }
    let mut left: BTreeSet<(i64, i64)> = squares.keys().copied().collect();
    let (mut all, mut belongs) = (Vec::new(), vec![false; parts.len()]);
    while let Some(first) = left.pop_first() {
        let (mut members, mut next) = (Vec::new(), vec![first]);
        while let Some((column, row)) = next.pop() {
            members.extend(squares.get(&(column, row)).into_iter().flatten().copied());
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

fn area(cover: Cover, parts: &[Part]) -> Area {
    let ends: Vec<Point> = parts.iter().flat_map(|(from, to, _)| [*from, *to]).collect();
    Area {
        cover,
        bounds: chain::bounds(&ends),
        stitches: parts.len(),
        step_mm: median(parts.iter().map(|(from, to, _)| from.distance(*to)).collect()),
        spacing_mm: median(parts.iter().map(|(_, _, spacing)| *spacing).collect()),
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
fn square(p: Point) -> (i64, i64) {
    ((p.x / SQUARE_MM).floor() as i64, (p.y / SQUARE_MM).floor() as i64)
}
