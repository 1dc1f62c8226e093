//! Strands → strands without slivers: what lies between lines that all but coincide, or between features that are too near.
//!
//! Strands shorter than [`FEATURE_MM`] are drawn together into a node, and lines that led to a node that gives way are bent to
//! the other over [`BEND_MM`]; a spur of that length vanishes. Two strands between the same nodes that run along each other
//! become one.

use kurbo::Point;

use crate::base::chain::{distance_to_chain, pulled};
use crate::base::tolerance::{BEND_MM, FEATURE_MM, FLATTEN_MM, GRAIN_MM, LOST_MM, TWIN_MM};
use crate::network::lines::Lines;
use crate::network::spots::{Spot, Spots};
use crate::network::trace::Strand;

/// Two strands between the same nodes within this of each other are one, mm: where circles touch from inside, one
/// flattening bows away from the other beyond the places where they were joined.
const SLIVER_MM: f64 = TWIN_MM + FLATTEN_MM;

/// The strands as lines again, without slivers; `None` if there were none.
pub(super) fn tidy(strands: &[Strand], spots: &mut Spots) -> Option<Lines> {
    let mut gone = twins(strands, spots);
    let moved = short(strands, spots, &mut gone);
    if gone.is_empty() {
        return None;
    }
    let to = |s: u32| moved.binary_search_by_key(&s, |m| m.0).map_or(s, |m| moved[m].1);
    for (from, to) in &moved {
        spots.corner[*to as usize] |= spots.corner[*from as usize];
    }
    spots.leaving.iter_mut().for_each(|l| l.0 = to(l.0));
    spots.leaving.sort_by_key(|l| l.0);
    let mut lines = Lines::new();
    for (i, strand) in strands.iter().enumerate() {
        if gone.binary_search(&i).is_err() {
            if to(strand.first()) == strand.first() && to(strand.last()) == strand.last() {
                lines.add_settled(&strand.spots, strand.kind);
            } else {
                lines.add(&led_to(strand, [to(strand.first()), to(strand.last())], spots), strand.kind);
            }
        }
    }
    spots.leaving.sort_by_key(|l| l.0);
    Some(lines)
}

/// The spots of a strand that leads to other ends.
fn led_to(strand: &Strand, ends: [u32; 2], spots: &mut Spots) -> Vec<u32> {
    let at = |s: u32| spots.at[s as usize].point();
    let moved = [(strand.first(), ends[0]), (strand.last(), ends[1])].map(|(a, b)| at(a).distance(at(b)));
    if moved[0].max(moved[1]) <= LOST_MM / GRAIN_MM {
        let mut all = strand.spots.clone();
        let last = all.len() - 1;
        (all[0], all[last]) = (ends[0], ends[1]);
        return all;
    }
    let chain: Vec<Point> = strand.spots.iter().map(|s| at(*s)).collect();
    let inner: Vec<usize> = (1..chain.len() - 1).collect();
    let (bent, places) = pulled(&chain, &inner, ends.map(at), BEND_MM / GRAIN_MM);
    let place = |p: &Point| Spot { x: p.x.round() as i32, y: p.y.round() as i32 };
    let mut all: Vec<u32> = bent.iter().map(|p| spots.place(place(p), 0)).collect();
    let last = all.len() - 1;
    (all[0], all[last]) = (ends[0], ends[1]);
    for (i, place) in inner.into_iter().zip(places) {
        spots.pass_on(strand.spots[i], all[place]);
    }
    all
}

/// The strands that run along another one between the same nodes, the travelled or longer one of each pair.
fn twins(strands: &[Strand], spots: &Spots) -> Vec<usize> {
    let ends = |i: &usize| {
        let (a, b) = (strands[*i].first(), strands[*i].last());
        (a.min(b), a.max(b))
    };
    let mut order: Vec<usize> = (0..strands.len()).collect();
    order.sort_by_key(|i| (ends(i), *i));
    let mut gone = Vec::new();
    for group in order.chunk_by(|a, b| ends(a) == ends(b)).filter(|g| g.len() > 1) {
        let mut best: Vec<usize> = group.to_vec();
        best.sort_by(|a, b| {
            let rank = |i: &usize| (strands[*i].kind, strands[*i].length(spots));
            let (a, b) = (rank(a), rank(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        let mut kept: Vec<usize> = Vec::new();
        for i in best {
            let (a, b) = ends(&i);
            if a != b && kept.iter().any(|k| run_along(&strands[i], &strands[*k], spots)) {
                gone.push(i);
            } else {
                kept.push(i);
            }
        }
    }
    gone.sort_unstable();
    gone
}

/// True if every spot of either strand lies within [`SLIVER_MM`] of the other.
fn run_along(a: &Strand, b: &Strand, spots: &Spots) -> bool {
    let points = |s: &Strand| s.spots.iter().map(|s| spots.at[*s as usize].point()).collect::<Vec<_>>();
    let (a, b) = (points(a), points(b));
    let near = |p: &[kurbo::Point], q: &[kurbo::Point]| {
        p.iter().all(|p| distance_to_chain(*p, q) <= SLIVER_MM / GRAIN_MM)
    };
    near(&a, &b) && near(&b, &a)
}

/// The spots to be drawn together, as (from, to); adds the strands that vanish to `gone`.
fn short(strands: &[Strand], spots: &Spots, gone: &mut Vec<usize>) -> Vec<(u32, u32)> {
    let mut ends: Vec<u32> = strands.iter().flat_map(|s| [s.first(), s.last()]).collect();
    ends.sort_unstable();
    let degree = |s: u32| ends.partition_point(|e| *e <= s) - ends.partition_point(|e| *e < s);
    let near = FEATURE_MM / GRAIN_MM;
    let mut order: Vec<(f64, usize)> = strands
        .iter()
        .enumerate()
        .map(|(i, s)| (s.length(spots), i))
        .filter(|(l, _)| *l < 2.0 * near)
        .collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (mut gives, mut takes) = (vec![false; spots.at.len()], vec![false; spots.at.len()]);
    // Where a twin goes, the count of strands at its ends is no longer right: these wait for the next round.
    for s in gone.iter().flat_map(|i| [strands[*i].first(), strands[*i].last()]) {
        gives[s as usize] = true;
    }
    let mut moved = Vec::new();
    for (length, i) in order {
        let (a, b) = (strands[i].first(), strands[i].last());
        if gives[a as usize] || gives[b as usize] {
            continue;
        }
        if a == b && degree(a) > 2 {
            gone.push(i);
        } else if a != b && length < near && degree(a).max(degree(b)) > 1 {
            let rank = |s: u32| (degree(s), spots.feature[s as usize], std::cmp::Reverse(s));
            let (from, to) = if rank(a) < rank(b) { (a, b) } else { (b, a) };
            // A node gives way or takes in others, never both: so nothing is dragged along in steps.
            if takes[from as usize] {
                continue;
            }
            (gives[from as usize], takes[to as usize]) = (true, true);
            moved.push((from, to));
            gone.push(i);
        }
    }
    moved.sort_unstable();
    gone.sort_unstable();
    moved
}
