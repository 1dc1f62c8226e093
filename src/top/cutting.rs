//! A quilt → the patches to cut, by the trade's rules: a courtesy for the sewing sheet.

use std::f64::consts::SQRT_2;

use super::file::top::Set;
use super::file::{Corner, Quilt};
use super::place::Place;
use super::trade;
use crate::base::tolerance::ceil_guarded;
use crate::base::units::{MM_PER_INCH, Units, ruler_step, show_length};
use crate::block::cutting;
use crate::block::shape::Shape;

/// What to cut for one kind of patch.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Cut {
    /// What it is for.
    pub what: String,
    /// How many patches the quilt has of it.
    pub patches: u64,
    /// How many to cut; squares for triangles are cut in two or in four afterwards.
    pub cut: u64,
    /// In words: size and how it is cut.
    pub how: String,
    /// The finished size that it is cut for, mm: width, or the block that a triangle belongs to.
    pub finished_mm: f64,
    /// The size to cut, mm.
    pub cut_mm: f64,
}

/// The list of patches to cut, seams of a quarter inch included; nothing for a drawn top, whose patches are cut by it.
#[must_use]
pub fn list(quilt: &Quilt) -> Vec<Cut> {
    let mut cuts = Vec::new();
    match quilt.top.set {
        Set::Straight => blocks(quilt, &mut cuts),
        Set::OnPoint => on_point(quilt, &mut cuts),
        Set::WholeCloth | Set::Drawn(_) => {}
    }
    if quilt.top.sashing.is_some() {
        sashing(quilt, &mut cuts);
    }
    borders(quilt, &mut cuts);
    cuts
}

/// A size to cut: the nearest mark on a ruler.
fn nearest(mm: f64, units: Units) -> f64 {
    let step = ruler_step(units);
    (mm / step).round() * step
}

/// A size to cut for triangles: the next mark up on a ruler, so that there is something to trim.
fn on_ruler(mm: f64, units: Units) -> f64 {
    let step = ruler_step(units);
    ceil_guarded(mm / step) * step
}

/// How many of each size there are, in the order in which they first come.
fn counted(sizes: impl Iterator<Item = (f64, f64)>) -> Vec<((f64, f64), u64)> {
    let mut counted: Vec<((f64, f64), u64)> = Vec::new();
    for size in sizes {
        match counted.iter_mut().find(|(known, _)| *known == size) {
            Some((_, count)) => *count += 1,
            None => counted.push((size, 1)),
        }
    }
    counted
}

fn block(quilt: &Quilt, (w, h): (f64, f64), count: u64, cuts: &mut Vec<Cut>) {
    let show = |mm: f64| show_length(nearest(mm, quilt.units), quilt.units);
    let (across, up) = (show(cutting::square(w)), show(cutting::square(h)));
    let size = if w == h { across } else { format!("{across} by {up}") };
    push(cuts, "blocks, unfinished", count, count, &size, w, cutting::square(w));
}

fn blocks(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let top = &quilt.top;
    let all = top.rows.iter().flat_map(|h| top.columns.iter().map(|w| (*w, *h)));
    for (size, count) in counted(all) {
        block(quilt, size, count, cuts);
    }
}

fn on_point(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let top = &quilt.top;
    let (w, h) = (top.columns[0], top.rows[0]);
    if w != h {
        let spots = super::setting::set(top, &[]).spots;
        let whole = spots.iter().filter(|s| s.place.is_block()).count() as u64;
        block(quilt, (w, h), whole, cuts);
        let how = "cut from the block's own piecing, along the quilt's edge";
        let rest = spots.len() as u64 - whole;
        push(cuts, "parts of blocks along the edge", rest, rest, how, w, cutting::square(w));
        return;
    }
    let show = |mm: f64| show_length(on_ruler(mm, quilt.units), quilt.units);
    let (rows, columns) = (top.rows.len() as u64, top.columns.len() as u64);
    block(quilt, (w, w), rows * columns + (rows - 1) * (columns - 1), cuts);
    let sides = 2 * (rows + columns - 2);
    let side = cutting::side_triangle(w);
    let how = format!(
        "{} squares, each cut diagonally, corner to corner, both ways into four triangles",
        show(side)
    );
    push(cuts, "side triangles", sides, sides.div_ceil(4), &how, w, side);
    let corner = cutting::corner_triangle(w);
    let how =
        format!("{} squares, each cut once diagonally, corner to corner, into two triangles", show(corner));
    push(cuts, "corner triangles", 4, 2, &how, w, corner);
}

fn push(cuts: &mut Vec<Cut>, what: &str, patches: u64, cut: u64, how: &str, finished_mm: f64, cut_mm: f64) {
    if patches > 0 {
        cuts.push(Cut { what: what.into(), patches, cut, how: how.into(), finished_mm, cut_mm });
    }
}

fn sashing(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let (top, s) = (&quilt.top, &quilt.top.sashing);
    let show = |mm: f64| show_length(nearest(mm, quilt.units), quilt.units);
    let (rows, columns) = (top.rows.len() as u64, top.columns.len() as u64);
    let strip =
        |wide: f64, long: f64| format!("{} by {}", show(cutting::square(wide)), show(cutting::square(long)));
    if top.set == Set::OnPoint {
        let (s, sashes) = (s.upright, 4 * rows * columns);
        push(cuts, "sashes", sashes, sashes, &strip(s, top.columns[0]), s, cutting::square(s));
        let posts = 2 * rows * columns - rows - columns;
        let square = show(cutting::square(s));
        push(cuts, "posts", posts, posts, &square, s, cutting::square(s));
        let halves = 2 * (rows + columns);
        let side = cutting::quarter_square(s * SQRT_2);
        let how = format!(
            "{} squares, each cut diagonally, corner to corner, both ways into four triangles",
            show_length(on_ruler(side, quilt.units), quilt.units)
        );
        push(cuts, "half posts on the edge", halves, halves.div_ceil(4), &how, s, side);
        return;
    }
    let spots = super::setting::set(top, &[]).spots;
    let sashes = |level: bool| {
        let of = spots
            .iter()
            .filter(move |p| p.place == Place::Sashes && (p.at.as_coeffs()[1].abs() < 0.5) == level);
        counted(of.filter_map(|p| match p.shape {
            Shape::Strip { width, length } => Some((width, length)),
            _ => None,
        }))
    };
    for (what, level) in [("upright sashes", false), ("level sashes", true)] {
        for ((wide, long), count) in sashes(level) {
            push(cuts, what, count, count, &strip(wide, long), wide, cutting::square(wide));
        }
    }
    let posts = spots.iter().filter(|p| p.place == Place::Posts).count() as u64;
    let square =
        if s.upright == s.level { show(cutting::square(s.upright)) } else { strip(s.upright, s.level) };
    push(cuts, "posts", posts, posts, &square, s.upright, cutting::square(s.upright));
}

fn borders(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let (mut w, mut h) = super::setting::set(&quilt.top, &[]).size;
    let show = |mm: f64| show_length(nearest(mm, quilt.units), quilt.units);
    for (i, border) in quilt.borders.iter().enumerate() {
        let [top, right, bottom, left] = border.widths;
        let spare = trade::MITRE_SPARE_IN * MM_PER_INCH;
        let (level, upright) = match border.corner {
            Corner::Square => (cutting::square(w), cutting::square(h)),
            Corner::Turn | Corner::Butt => (cutting::square(w + left + right), cutting::square(h)),
            Corner::Mitre => (
                trade::mitred_strip(w, &[f64::midpoint(left, right)], spare),
                trade::mitred_strip(h, &[f64::midpoint(top, bottom)], spare),
            ),
        };
        for (what, wides, long) in
            [("top and bottom", [top, bottom], level), ("sides", [left, right], upright)]
        {
            for ((wide, _), count) in counted(wides.into_iter().filter(|mm| *mm > 0.0).map(|mm| (mm, mm))) {
                let how = format!("{} by {}", show(cutting::square(wide)), show(long));
                push(
                    cuts,
                    &format!("border {}, {what}", i + 1),
                    count,
                    count,
                    &how,
                    wide,
                    cutting::square(wide),
                );
            }
        }
        if border.corner == Corner::Square {
            let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
            for ((wide, high), count) in counted(corners.into_iter().filter(|(w, h)| w * h > 0.0)) {
                let (a, b) = (show(cutting::square(wide)), show(cutting::square(high)));
                let how = if wide == high { a } else { format!("{a} by {b}") };
                push(
                    cuts,
                    &format!("border {}, corners", i + 1),
                    count,
                    count,
                    &how,
                    wide,
                    cutting::square(wide),
                );
            }
        }
        (w, h) = (w + left + right, h + top + bottom);
    }
}
