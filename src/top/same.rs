//! Designs that come out alike → one design with all their places; those in which no line falls are left out, and said so.
//!
//! On the quilt's ground a lattice often looks the same in pieces that lie differently on it. Whether it does is seen on the
//! drawn lines themselves.

use kurbo::{BezPath, ParamCurve};

use super::layout::{Design, Layout};
use super::names;
use crate::drawing;

/// Points are compared on a grid of this, mm: far finer than the machine's step.
const GRAIN_MM: f64 = 0.01;

/// Merges designs of one fill, shape and pose whose lines are the same.
pub fn merge(layout: &mut Layout) {
    let mut kept: Vec<(Design, Option<Vec<[i64; 6]>>)> = Vec::new();
    let mut empty: Vec<String> = Vec::new();
    for design in std::mem::take(&mut layout.designs) {
        let Some(seen) = fingerprint(&design) else {
            kept.push((design, None));
            continue;
        };
        if seen.is_empty() && design.chosen.background.is_none() {
            empty.push(design.place.to_string());
            continue;
        }
        let like = |(d, f): &&mut (Design, Option<Vec<[i64; 6]>>)| {
            let same = d.fill == design.fill && d.pose == design.pose && d.block.shape == design.block.shape;
            same && f.as_ref() == Some(&seen)
        };
        match kept.iter_mut().find(like) {
            Some((d, _)) => d.at.extend(design.at),
            None => kept.push((design, Some(seen))),
        }
    }
    empty.sort();
    empty.dedup();
    if !empty.is_empty() {
        let told = format!(
            "No line falls inside some {}: they are smaller than the spacing, and nothing is sewn there.",
            names::few(empty.iter().map(String::as_str))
        );
        layout.notes.push(told.into());
    }
    layout.designs = kept.into_iter().map(|(design, _)| design).collect();
}

/// Where the lines of a design on the quilt's ground begin, end and pass half-way; `None` for other designs.
fn fingerprint(design: &Design) -> Option<Vec<[i64; 6]>> {
    design.block.lie.as_ref()?;
    let (chosen, block) = (&design.chosen, &design.block);
    let drawn =
        |motif: &drawing::motif::Motif, settings| Some(drawing::draw(motif, settings, block).ok()?.lines);
    let motif = if chosen.runs_through() { drawn(&chosen.motif, &chosen.settings)? } else { Vec::new() };
    let behind = chosen.background.as_ref().filter(|b| b.runs_through());
    let behind = match behind {
        Some(b) => drawn(&b.motif, &b.settings)?,
        None => Vec::new(),
    };
    let mut points: Vec<[i64; 6]> =
        motif.iter().chain(&behind).flat_map(BezPath::segments).map(|s| marks(&s)).collect();
    points.sort_unstable();
    Some(points)
}

fn marks(segment: &kurbo::PathSeg) -> [i64; 6] {
    #[expect(clippy::cast_possible_truncation, reason = "a few million")]
    let mark = |mm: f64| (mm / GRAIN_MM).round() as i64;
    let (mut p, m, mut q) = (segment.start(), segment.eval(0.5), segment.end());
    let key = |p: &kurbo::Point| (mark(p.x), mark(p.y));
    if key(&q) < key(&p) {
        std::mem::swap(&mut p, &mut q);
    }
    [mark(p.x), mark(p.y), mark(m.x), mark(m.y), mark(q.x), mark(q.y)]
}
