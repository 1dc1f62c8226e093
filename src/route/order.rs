//! Trails → the order, direction and start of each that keeps the moves between them short.
//!
//! Method: nearest neighbour, then exchanges that turn a run of trails round (G. A. Croes, "A method for solving
//! traveling-salesman problems", Operations Research 6, 1958) [216], then each closed
//! trail is entered where that is shortest. Limits: short, not always the shortest.

use kurbo::Point;

/// Rounds of improvement; each costs the square of the number of trails, and few need more than five.
const ROUNDS: usize = 20;
/// How many trails an exchange may turn round at once, so that thousands of trails stay quick.
const LONGEST_RUN: usize = 200;
/// Up to this many trails each is tried as the first.
const TRY_EACH_FIRST: usize = 24;

/// What a trail offers: where it can be entered, and where it is then left.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// An open trail: in at one end, out at the other.
    Open(Point, Point),
    /// A closed trail: in and out at any of these; the first is the one to take if nothing else matters.
    Closed(Vec<Point>),
}

/// One trail in the order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turn {
    /// Which trail.
    pub trail: usize,
    /// Open trails: from end to start. Closed ones are never turned round.
    pub reversed: bool,
    /// Closed trails: the place at which it is entered.
    pub entry: usize,
}

/// The order of all trails. With `fixed`, trail 0 comes first and is walked as it is.
pub fn order(stops: &[Stop], fixed: bool) -> Vec<Turn> {
    let firsts = if fixed || stops.len() > TRY_EACH_FIRST { 1 } else { stops.len() };
    let mut best: Option<(f64, Vec<Turn>)> = None;
    for first in 0..firsts.min(stops.len()) {
        for reversed in [false, true] {
            let turn = Turn { trail: first, reversed, entry: 0 };
            if reversed && (fixed || matches!(stops[first], Stop::Closed(_))) {
                continue;
            }
            let mut turns = nearest_neighbours(stops, turn);
            improve(stops, &mut turns, usize::from(fixed));
            let moved = moved_mm(stops, &turns);
            // Dust must not decide between orders that are equally good.
            if best.as_ref().is_none_or(|b| moved < b.0 - 1e-6) {
                best = Some((moved, turns));
            }
        }
    }
    best.map(|b| b.1).unwrap_or_default()
}

/// The length of all moves between trails, mm.
pub fn moved_mm(stops: &[Stop], turns: &[Turn]) -> f64 {
    turns.windows(2).map(|w| way_out(stops, w[0]).distance(way_in(stops, w[1]))).fold(0.0, |sum, mm| sum + mm)
}

fn way_in(stops: &[Stop], turn: Turn) -> Point {
    match &stops[turn.trail] {
        Stop::Open(start, end) => {
            if turn.reversed {
                *end
            } else {
                *start
            }
        }
        Stop::Closed(points) => points.get(turn.entry).copied().unwrap_or_default(),
    }
}

fn way_out(stops: &[Stop], turn: Turn) -> Point {
    way_in(stops, Turn { reversed: !turn.reversed, ..turn })
}

fn nearest_neighbours(stops: &[Stop], first: Turn) -> Vec<Turn> {
    let mut left: Vec<usize> = (0..stops.len()).filter(|t| *t != first.trail).collect();
    let mut turns = vec![first];
    let mut at = way_out(stops, first);
    while !left.is_empty() {
        let mut best = (f64::INFINITY, 0, Turn { trail: left[0], reversed: false, entry: 0 });
        for (place, &trail) in left.iter().enumerate() {
            let (away, turn) = nearest_entry(&stops[trail], trail, at);
            if away < best.0 {
                best = (away, place, turn);
            }
        }
        left.remove(best.1);
        turns.push(best.2);
        at = way_out(stops, best.2);
    }
    turns
}

fn nearest_entry(stop: &Stop, trail: usize, at: Point) -> (f64, Turn) {
    let plain = Turn { trail, reversed: false, entry: 0 };
    match stop {
        Stop::Open(start, end) => {
            let (forth, back) = (at.distance(*start), at.distance(*end));
            if back < forth { (back, Turn { reversed: true, ..plain }) } else { (forth, plain) }
        }
        Stop::Closed(points) => {
            let (entry, away) = nearest_place(points, |p| at.distance(p));
            (away, Turn { entry, ..plain })
        }
    }
}

fn nearest_place(points: &[Point], cost: impl Fn(Point) -> f64) -> (usize, f64) {
    let costs = points.iter().map(|p| cost(*p)).enumerate();
    costs.fold((0, f64::INFINITY), |best, c| if c.1 < best.1 { c } else { best })
}

/// Turns runs of trails round and moves entries while that shortens the moves; the first `fixed` stay.
fn improve(stops: &[Stop], turns: &mut [Turn], fixed: usize) {
    for _ in 0..ROUNDS {
        let mut better = false;
        for i in fixed..turns.len() {
            for j in i..turns.len().min(i + LONGEST_RUN) {
                better |= turn_run_round(stops, turns, i, j);
            }
        }
        for i in fixed..turns.len() {
            better |= move_entry(stops, turns, i);
        }
        if !better {
            return;
        }
    }
}

fn turn_run_round(stops: &[Stop], turns: &mut [Turn], i: usize, j: usize) -> bool {
    let before = i.checked_sub(1).map(|k| way_out(stops, turns[k]));
    let after = turns.get(j + 1).map(|t| way_in(stops, *t));
    let (first, last) = (way_in(stops, turns[i]), way_out(stops, turns[j]));
    let gap = |a: Option<Point>, b: Point| a.map_or(0.0, |p| p.distance(b));
    if gap(before, last) + gap(after, first) >= gap(before, first) + gap(after, last) - 1e-9 {
        return false;
    }
    turns[i..=j].reverse();
    for turn in &mut turns[i..=j] {
        turn.reversed = matches!(stops[turn.trail], Stop::Open(..)) && !turn.reversed;
    }
    true
}

fn move_entry(stops: &[Stop], turns: &mut [Turn], i: usize) -> bool {
    let Stop::Closed(points) = &stops[turns[i].trail] else { return false };
    let before = i.checked_sub(1).map(|k| way_out(stops, turns[k]));
    let after = turns.get(i + 1).map(|t| way_in(stops, *t));
    let cost = |p: Point| before.map_or(0.0, |b| b.distance(p)) + after.map_or(0.0, |a| a.distance(p));
    let (entry, best) = nearest_place(points, cost);
    let better = best < cost(way_in(stops, turns[i])) - 1e-9;
    if better {
        turns[i].entry = entry;
    }
    better
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(a: f64, b: f64) -> Stop {
        Stop::Open(Point::new(a, 0.0), Point::new(b, 0.0))
    }

    #[test]
    fn trails_along_a_line_are_walked_along_it() {
        let stops = [open(20.0, 10.0), open(0.0, 9.0), open(31.0, 22.0)];
        let turns = order(&stops, false);
        assert!((moved_mm(&stops, &turns) - 3.0).abs() < 1e-9, "{turns:?}");
    }

    #[test]
    fn a_fixed_start_stays_first() {
        let stops = [open(20.0, 10.0), open(0.0, 9.0), open(31.0, 22.0)];
        let turns = order(&stops, true);
        assert_eq!(turns[0], Turn { trail: 0, reversed: false, entry: 0 });
        assert!((moved_mm(&stops, &turns) - 23.0).abs() < 1e-9, "{turns:?}");
    }

    #[test]
    fn a_closed_trail_is_entered_on_the_way() {
        let ring = [(5.0, 5.0), (5.0, 1.0), (4.0, 5.0)].map(|p| Point::new(p.0, p.1)).to_vec();
        let stops = [open(0.0, 4.0), Stop::Closed(ring), open(6.0, 9.0)];
        let turns = order(&stops, true);
        assert_eq!(
            turns.iter().map(|t| (t.trail, t.entry)).collect::<Vec<_>>(),
            vec![(0, 0), (1, 1), (2, 0)]
        );
    }
}
