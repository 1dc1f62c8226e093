//! Strands → [`Network`]: nodes and edges in a fixed order, in millimetres.

use kurbo::Point;

use crate::base::chain;
use crate::network::spots::{Spot, Spots};
use crate::network::trace::{Strand, turns_at};
use crate::network::{Edge, EdgeKind, Network};

/// So many line ends in one spot are a knot: that many passes take all the holes that sew well there.
const KNOT: usize = 8;

/// Nodes from left to right, edges by kind and then by their nodes; travel that nothing drawn reaches is left out.
pub(super) fn finish(strands: Vec<Strand>, spots: &Spots) -> Network {
    let mut strands = reached(strands, spots.at.len());
    open_knots(&mut strands, spots);
    strands.iter_mut().for_each(|s| turn(s, spots));
    let at = |s: u32| spots.at[s as usize];
    strands.sort_by_cached_key(|s| {
        (
            s.kind,
            at(s.first()),
            at(s.last()),
            s.spots.len(),
            s.spots.iter().map(|s| at(*s)).collect::<Vec<_>>(),
        )
    });
    let mut places: Vec<Spot> = strands.iter().flat_map(|s| [at(s.first()), at(s.last())]).collect();
    places.sort_unstable();
    places.dedup();
    let node = |s: u32| places.partition_point(|p| *p < at(s));
    let edges = strands.iter().map(|s| edge(s, spots, node(s.first()), node(s.last()))).collect();
    Network { nodes: places.iter().map(|p| p.mm()).collect(), edges }
}

/// Where many loops hang together in one spot only, one of them gets a node at its lowest corner as well: a walk can begin there
/// then, and not where most holes pile up.
fn open_knots(strands: &mut Vec<Strand>, spots: &Spots) {
    let mut ends = vec![0_usize; spots.at.len()];
    let mut of_loops = ends.clone();
    for s in strands.iter() {
        ends[s.first() as usize] += 1;
        ends[s.last() as usize] += 1;
        of_loops[s.first() as usize] += if s.first() == s.last() { 2 } else { 0 };
    }
    for knot in (0..ends.len()).filter(|k| of_loops[*k] >= KNOT && of_loops[*k] == ends[*k]) {
        let corners =
            strands.iter().enumerate().filter(|(_, s)| s.first() as usize == knot).flat_map(|(i, s)| {
                let corners = s.spots.windows(3).enumerate();
                corners.filter(|(_, w)| turns_at(spots, w[0], w[1], w[2])).map(move |(k, _)| (i, k + 1))
            });
        let lowest = corners.min_by_key(|(i, k)| {
            let Spot { x, y } = spots.at[strands[*i].spots[*k] as usize];
            (y, x)
        });
        if let Some((i, k)) = lowest {
            let rest = Strand { spots: strands[i].spots.split_off(k), kind: strands[i].kind };
            strands[i].spots.push(rest.first());
            strands.push(rest);
        }
    }
}

fn edge(strand: &Strand, spots: &Spots, from: usize, to: usize) -> Edge {
    let chain: Vec<Point> = strand.spots.iter().map(|s| spots.at[*s as usize].mm()).collect();
    let corners = strand.spots.windows(3).enumerate();
    let corners = corners.filter(|(_, w)| turns_at(spots, w[0], w[1], w[2])).map(|(i, _)| i + 1).collect();
    let length_mm = chain::length(&chain);
    Edge { from, to, chain, corners, length_mm, kind: strand.kind }
}

/// Turns a strand to lead from its lower spot to its higher one; a loop goes round to the left.
fn turn(strand: &mut Strand, spots: &Spots) {
    let (first, last) = (spots.at[strand.first() as usize], spots.at[strand.last() as usize]);
    let backward = if strand.first() == strand.last() {
        let ring: Vec<Point> = strand.spots[1..].iter().map(|s| spots.at[*s as usize].point()).collect();
        chain::signed_area(&ring) < 0.0
    } else {
        last < first
    };
    if backward {
        strand.spots.reverse();
    }
}

/// The drawn strands, and the travel strands that a walk from one of them can reach.
fn reached(strands: Vec<Strand>, spots: usize) -> Vec<Strand> {
    let mut touched = vec![false; spots];
    let mut grown = true;
    while grown {
        grown = false;
        for s in &strands {
            let (a, b) = (s.first() as usize, s.last() as usize);
            if (s.kind == EdgeKind::Drawn || touched[a] || touched[b]) && !(touched[a] && touched[b]) {
                (touched[a], touched[b], grown) = (true, true, true);
            }
        }
    }
    strands.into_iter().filter(|s| touched[s.first() as usize]).collect()
}
