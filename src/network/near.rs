//! Lines → lines joined where one touches another or runs along it.
//!
//! A knot that lies close to another line becomes a knot of that line too. Two flattenings of one curve then visit the
//! same knots in the same order and are one line. Lines that only touch, or leave a common point along one tangent, stay
//! two: a knot is not joined if, seen from it, the lines meet on one side and part on the other.

use crate::base::chain::nearest_on_segment;
use crate::base::tolerance::{GRAIN_MM, JOIN_MM, TWIN_MM, WELD_MM};
use crate::network::cross::along;
use crate::network::grid::Grid;
use crate::network::lines::Lines;
use crate::network::spots::{NONE, Spot, Spots};

/// How far two lines are followed to see whether they part, mm: arcs of 300 mm that touch are 0.025 mm apart there.
const FOLLOW_MM: f64 = 4.0;
/// How closely lines are compared while they are followed, mm.
const LOOK_MM: f64 = 0.4;
/// A line does not touch itself within this length of itself, mm.
const SELF_MM: f64 = 0.1;
/// How many pieces are tried on either side when a line is followed.
const WINDOW: usize = 4;

/// A knot close to a piece of another line, or of its own further on.
struct Hit {
    away: f64,
    knot: u32,
    piece: u32,
}

/// What is met when two lines are followed side by side.
#[derive(Clone, Copy, PartialEq)]
enum Met {
    /// A spot of both, and they run on together.
    Run,
    /// A spot of both, behind which they part or end.
    Touch,
    /// They part.
    Parting,
    /// The end of one, or nothing in [`FOLLOW_MM`].
    Nothing,
}

/// Joins fresh knots and pieces to what is close to them, the closest first; says whether anything changed.
pub(super) fn join(lines: &mut Lines, spots: &mut Spots, grid: &Grid) -> bool {
    let mut hits = hits(lines, spots, grid);
    hits.sort_by(|a, b| a.away.total_cmp(&b.away).then((a.knot, a.piece).cmp(&(b.knot, b.piece))));
    let mut changed = false;
    for hit in hits {
        if lines.spot[hit.knot as usize] == NONE || !lines.is_piece(hit.piece) {
            continue;
        }
        let at = lines.at(spots, hit.knot);
        let piece = follow(lines, spots, hit.piece, at);
        if wants_join(lines, spots, hit.knot, piece) {
            changed |= tie(lines, spots, hit.knot, piece);
        }
    }
    changed
}

/// Knots within [`TWIN_MM`] of pieces that they are not an end of; one of the two is fresh.
fn hits(lines: &Lines, spots: &Spots, grid: &Grid) -> Vec<Hit> {
    let mut found = Vec::new();
    let reach = TWIN_MM / GRAIN_MM;
    for knot in
        (0..lines.len()).filter(|k| lines.spot[*k as usize] != NONE && grid.is_watched(lines.at(spots, *k)))
    {
        let (at, fresh) = (lines.at(spots, knot), lines.is_fresh(knot));
        for piece in grid.in_cell(grid.cell_at(at)).iter().copied() {
            if !(fresh || lines.is_fresh(piece)) {
                continue;
            }
            if is_end(lines, piece, lines.spot[knot as usize]) {
                continue;
            }
            let away = distance(lines, spots, piece, at);
            if away <= reach {
                found.push(Hit { away, knot, piece });
            }
        }
    }
    found
}

fn is_end(lines: &Lines, piece: u32, spot: u32) -> bool {
    lines.spot[piece as usize] == spot || lines.spot[lines.next[piece as usize] as usize] == spot
}

fn distance(lines: &Lines, spots: &Spots, piece: u32, at: Spot) -> f64 {
    let (a, b) = lines.piece(spots, piece);
    at.point().distance(nearest_on_segment(at.point(), a.point(), b.point()))
}

/// The piece nearest to `at`, from `piece` along its line as long as that brings it nearer.
fn follow(lines: &Lines, spots: &Spots, piece: u32, at: Spot) -> u32 {
    let (mut best, mut away) = (piece, distance(lines, spots, piece, at));
    loop {
        let from = best;
        for forward in [true, false] {
            let mut here = from;
            for _ in 0..WINDOW {
                let Some(next) = lines.step(here, forward).filter(|k| lines.is_piece(*k)) else { break };
                here = next;
                let d = distance(lines, spots, here, at);
                if d < away {
                    (best, away) = (here, d);
                }
            }
        }
        if best == from {
            return best;
        }
    }
}

fn wants_join(lines: &Lines, spots: &Spots, knot: u32, piece: u32) -> bool {
    let spot = lines.spot[knot as usize];
    let away = distance(lines, spots, piece, lines.at(spots, knot)) * GRAIN_MM;
    if away > TWIN_MM || stands_by(lines, spots, piece, spot) || is_same_stretch(lines, spots, knot, piece) {
        return false;
    }
    if spots.feature[spot as usize] && away <= JOIN_MM {
        return true;
    }
    match [false, true].map(|forward| met(lines, spots, knot, forward, piece)) {
        [Met::Touch, Met::Parting] | [Met::Parting, Met::Touch] => false,
        [Met::Run, Met::Parting] | [Met::Parting, Met::Run] => away <= WELD_MM,
        _ => true,
    }
}

/// Follows the line of `knot` one way, beside the line of `piece`, until they meet or part.
fn met(lines: &Lines, spots: &Spots, knot: u32, forward: bool, mut piece: u32) -> Met {
    let (mut here, mut gone, mut joints) = (knot, 0.0, 0);
    let end = |joints: i32, met: Met| if joints > 0 { Met::Touch } else { met };
    while gone < FOLLOW_MM {
        let Some(there) = lines.step(here, forward) else { return end(joints, Met::Nothing) };
        let (a, b) = (lines.at(spots, here), lines.at(spots, there));
        let length = a.distance(b) * GRAIN_MM;
        let looks = (length / LOOK_MM).ceil().max(1.0);
        for n in 1..=(looks.min(FOLLOW_MM / LOOK_MM) as u32) {
            let p = a.point().lerp(b.point(), f64::from(n) / looks);
            let at = Spot { x: p.x.round() as i32, y: p.y.round() as i32 };
            piece = follow(lines, spots, piece, at);
            if distance(lines, spots, piece, at) > TWIN_MM / GRAIN_MM {
                let beyond = is_beyond(lines, spots, piece, at);
                return end(joints, if beyond { Met::Nothing } else { Met::Parting });
            }
        }
        if stands_by(lines, spots, piece, lines.spot[there as usize]) {
            joints += 1;
            if joints > 1 {
                return Met::Run;
            }
        }
        gone += length;
        here = there;
        if here == knot {
            break;
        }
    }
    if joints > 0 { Met::Run } else { Met::Nothing }
}

/// True if `at` lies past the open end of the line at this piece.
fn is_beyond(lines: &Lines, spots: &Spots, piece: u32, at: Spot) -> bool {
    let along = along(lines.piece(spots, piece), at);
    let first = lines.step(piece, false).is_none();
    let last = lines.step(lines.next[piece as usize], true).is_none();
    (first && along < 0.0) || (last && along > 1.0)
}

/// True if the line has `spot` as a knot at this piece or next to it.
fn stands_by(lines: &Lines, spots: &Spots, piece: u32, spot: u32) -> bool {
    let at = spots.at[spot as usize];
    [true, false].iter().any(|forward| {
        let mut here = piece;
        for _ in 0..WINDOW {
            if lines.spot[here as usize] == spot {
                return true;
            }
            match lines.step(here, *forward) {
                Some(next)
                    if lines.at(spots, here).distance(at) <= 2.0 * SELF_MM / GRAIN_MM || here == piece =>
                {
                    here = next;
                }
                _ => return false,
            }
        }
        lines.spot[here as usize] == spot
    })
}

/// True if the knot's own line leads to the piece within [`SELF_MM`].
fn is_same_stretch(lines: &Lines, spots: &Spots, knot: u32, piece: u32) -> bool {
    [true, false].iter().any(|forward| {
        let (mut here, mut gone) = (knot, 0.0);
        while gone <= SELF_MM / GRAIN_MM {
            if here == piece || lines.next[piece as usize] == here {
                return true;
            }
            let Some(next) = lines.step(here, *forward) else { return false };
            gone += lines.at(spots, here).distance(lines.at(spots, next));
            here = next;
            if here == knot {
                return false;
            }
        }
        false
    })
}

/// Makes the knot's spot a knot of the piece's line, or the other way round where that one is firm.
fn tie(lines: &mut Lines, spots: &mut Spots, knot: u32, piece: u32) -> bool {
    let spot = lines.spot[knot as usize];
    let at = spots.at[spot as usize];
    let (a, b) = lines.piece(spots, piece);
    let end = if at.distance(a) <= at.distance(b) { piece } else { lines.next[piece as usize] };
    let other = lines.spot[end as usize];
    if at.distance(spots.at[other as usize]) <= JOIN_MM / GRAIN_MM {
        if spots.is_free(other) {
            spots.pinned[spot as usize] = true;
            lines.shift(end, spot);
            return true;
        }
        if spots.is_free(spot) {
            lines.shift(knot, other);
            return true;
        }
    }
    spots.pinned[spot as usize] = true;
    lines.insert(piece, spot)
}
