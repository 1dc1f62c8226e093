//! A quilt → the patches to cut, by the trade's rules: a courtesy for the sewing sheet.

use std::f64::consts::SQRT_2;

use super::file::{Corner, Quilt};
use super::trade;
use crate::base::tolerance::ceil_guarded;
use crate::base::units::{MM_PER_INCH, Units, ruler_step, show_length};
use crate::block::cutting;

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

/// The list of patches to cut, seams of a quarter inch included.
#[must_use]
pub fn list(quilt: &Quilt) -> Vec<Cut> {
    let mut cuts = Vec::new();
    let top = &quilt.top;
    let (rows, columns) = (u64::from(top.rows), u64::from(top.columns));
    let show = |mm: f64| show_length(on_ruler(mm, quilt.units), quilt.units);
    let blocks = if top.on_point { rows * columns + (rows - 1) * (columns - 1) } else { rows * columns };
    let (w, h) = top.block;
    let size = if w == h { show(cutting::square(w)) } else { format!("{} by {}", show(w), show(h)) };
    push(&mut cuts, "blocks, unfinished", blocks, blocks, &size, w, cutting::square(w));
    if top.on_point {
        let sides = 2 * (rows + columns - 2);
        let side = cutting::side_triangle(w);
        let how = format!(
            "{} squares, each cut diagonally, corner to corner, both ways into four triangles",
            show(side)
        );
        push(&mut cuts, "side triangles", sides, sides.div_ceil(4), &how, w, side);
        let corner = cutting::corner_triangle(w);
        let how = format!(
            "{} squares, each cut once diagonally, corner to corner, into two triangles",
            show(corner)
        );
        push(&mut cuts, "corner triangles", 4, 2, &how, w, corner);
    }
    sashing(quilt, &mut cuts);
    borders(quilt, &mut cuts);
    cuts
}

/// A size to cut: the next mark up on a ruler, so that there is something to trim.
fn on_ruler(mm: f64, units: Units) -> f64 {
    let step = ruler_step(units);
    ceil_guarded(mm / step) * step
}

fn push(cuts: &mut Vec<Cut>, what: &str, patches: u64, cut: u64, how: &str, finished_mm: f64, cut_mm: f64) {
    if patches > 0 {
        cuts.push(Cut { what: what.into(), patches, cut, how: how.into(), finished_mm, cut_mm });
    }
}

fn sashing(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let top = &quilt.top;
    let s = top.sashing;
    if s == 0.0 {
        return;
    }
    let show = |mm: f64| show_length(on_ruler(mm, quilt.units), quilt.units);
    let (rows, columns) = (u64::from(top.rows), u64::from(top.columns));
    let strip = |long: f64| format!("{} by {}", show(cutting::square(s)), show(cutting::square(long)));
    if top.on_point {
        let sashes = 4 * rows * columns;
        push(cuts, "sashes", sashes, sashes, &strip(top.block.0), s, cutting::square(s));
        let posts = 2 * rows * columns - rows - columns;
        let square = show(cutting::square(s));
        push(cuts, "posts", posts, posts, &square, s, cutting::square(s));
        let halves = 2 * (rows + columns);
        let side = cutting::quarter_square(s * SQRT_2);
        let how = format!(
            "{} squares, each cut diagonally, corner to corner, both ways into four triangles",
            show(side)
        );
        push(cuts, "half posts on the edge", halves, halves.div_ceil(4), &how, s, side);
        return;
    }
    let frame = u64::from(top.outer_sashing);
    let (upright, level) = (columns - 1 + 2 * frame, rows - 1 + 2 * frame);
    let (w, h) = top.block;
    push(cuts, "upright sashes", upright * rows, upright * rows, &strip(h), s, cutting::square(s));
    push(cuts, "level sashes", level * columns, level * columns, &strip(w), s, cutting::square(s));
    let square = show(cutting::square(s));
    push(cuts, "posts", upright * level, upright * level, &square, s, cutting::square(s));
}

fn borders(quilt: &Quilt, cuts: &mut Vec<Cut>) {
    let (mut w, mut h) = super::setting::set(&quilt.top, &[]).size;
    for (i, border) in quilt.borders.iter().enumerate() {
        let b = border.width;
        let (level, upright) = match border.corner {
            Corner::Square => (cutting::square(w), cutting::square(h)),
            Corner::Turn | Corner::Butt => (cutting::square(w + 2.0 * b), cutting::square(h)),
            Corner::Mitre => {
                let spare = trade::MITRE_SPARE_IN * MM_PER_INCH;
                (trade::mitred_strip(w, &[b], spare), trade::mitred_strip(h, &[b], spare))
            }
        };
        let wide = cutting::square(b);
        let show = |mm: f64| show_length(on_ruler(mm, quilt.units), quilt.units);
        for (what, long) in [("top and bottom", level), ("sides", upright)] {
            let how = format!("{} by {}", show(wide), show(long));
            push(cuts, &format!("border {}, {what}", i + 1), 2, 2, &how, b, wide);
        }
        if border.corner == Corner::Square {
            push(cuts, &format!("border {}, corners", i + 1), 4, 4, &show(wide), b, wide);
        }
        (w, h) = (w + 2.0 * b, h + 2.0 * b);
    }
}
