//! Lines as linked knots: each knot stands at a spot and leads to the next, so that a line can be split anywhere.

use crate::network::EdgeKind;
use crate::network::spots::{NONE, Spot, Spots};

/// All lines. A knot with a next one is also the name of the straight piece that leads there.
#[derive(Debug)]
pub(super) struct Lines {
    /// The spot of each knot; [`NONE`] for a knot that was taken out.
    pub(super) spot: Vec<u32>,
    pub(super) next: Vec<u32>,
    pub(super) prev: Vec<u32>,
    pub(super) kind: Vec<EdgeKind>,
    // Invariant: the round in which the knot or its piece last changed.
    changed: Vec<u32>,
    round: u32,
}

impl Lines {
    /// No lines, in a round that comes after 0, in which nothing is fresh.
    pub(super) fn new() -> Self {
        let none = Vec::new;
        Self { spot: none(), next: none(), prev: none(), kind: Vec::new(), changed: none(), round: 2 }
    }

    /// Adds a line through `spots`; a closed one repeats its first spot at the end. Lines without length are left out.
    pub(super) fn add(&mut self, spots: &[u32], kind: EdgeKind) {
        let mut run: Vec<u32> = spots.to_vec();
        run.dedup();
        if run.len() < 2 {
            return;
        }
        let closed = run.first() == run.last();
        if closed {
            run.pop();
        }
        let first = self.spot.len() as u32;
        let last = first + run.len() as u32 - 1;
        for (knot, spot) in (first..).zip(run) {
            self.spot.push(spot);
            self.prev.push(if knot > first { knot - 1 } else { NONE });
            self.next.push(if knot < last { knot + 1 } else { NONE });
            self.kind.push(kind);
            self.changed.push(self.round);
        }
        if closed {
            self.next[last as usize] = first;
            self.prev[first as usize] = last;
        }
    }

    /// Adds a line that is settled already: it is not fresh.
    pub(super) fn add_settled(&mut self, spots: &[u32], kind: EdgeKind) {
        let known = self.spot.len();
        self.add(spots, kind);
        self.changed[known..].fill(0);
    }

    /// Begins a new round: what changed before the last one is no longer fresh.
    pub(super) fn begin_round(&mut self) {
        self.round += 1;
    }

    /// True if the knot or its piece changed in this round or the last.
    pub(super) fn is_fresh(&self, knot: u32) -> bool {
        self.changed[knot as usize] + 1 >= self.round
    }

    /// Makes everything fresh.
    pub(super) fn refresh(&mut self) {
        self.changed.fill(self.round);
    }

    /// The number of knots, those taken out included.
    pub(super) fn len(&self) -> u32 {
        self.spot.len() as u32
    }

    /// True if a straight piece begins at this knot.
    pub(super) fn is_piece(&self, knot: u32) -> bool {
        self.next[knot as usize] != NONE
    }

    /// The knot after `knot`, or before it.
    pub(super) fn step(&self, knot: u32, forward: bool) -> Option<u32> {
        let to = if forward { self.next[knot as usize] } else { self.prev[knot as usize] };
        (to != NONE).then_some(to)
    }

    /// Where a knot stands.
    pub(super) fn at(&self, spots: &Spots, knot: u32) -> Spot {
        spots.at[self.spot[knot as usize] as usize]
    }

    /// The two ends of the piece that begins at `knot`, which must be one.
    pub(super) fn piece(&self, spots: &Spots, knot: u32) -> (Spot, Spot) {
        (self.at(spots, knot), self.at(spots, self.next[knot as usize]))
    }

    /// Puts a knot at `spot` into the piece that begins at `knot`; says whether the line changed.
    pub(super) fn insert(&mut self, knot: u32, spot: u32) -> bool {
        let after = self.next[knot as usize];
        if after == NONE || self.spot[knot as usize] == spot || self.spot[after as usize] == spot {
            return false;
        }
        let new = self.len();
        self.spot.push(spot);
        self.prev.push(knot);
        self.next.push(after);
        self.kind.push(self.kind[knot as usize]);
        self.changed.push(self.round);
        self.next[knot as usize] = new;
        self.prev[after as usize] = new;
        self.changed[knot as usize] = self.round;
        true
    }

    /// Puts knots into pieces, each given as piece, place along it and spot; says whether anything changed.
    pub(super) fn insert_all(&mut self, mut wanted: Vec<(u32, f64, u32)>) -> bool {
        wanted.sort_by(|a, b| (a.0, a.2).cmp(&(b.0, b.2)).then(a.1.total_cmp(&b.1)));
        wanted.dedup_by_key(|w| (w.0, w.2));
        wanted.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
        let mut changed = false;
        let mut last = (NONE, NONE);
        for (piece, _, spot) in wanted {
            let knot = if last.0 == piece { last.1 } else { piece };
            let grown = self.insert(knot, spot);
            last = (piece, if grown { self.len() - 1 } else { knot });
            changed |= grown;
        }
        changed
    }

    /// Moves a knot to another spot; a piece that loses its length is taken out.
    pub(super) fn shift(&mut self, knot: u32, spot: u32) {
        self.spot[knot as usize] = spot;
        self.changed[knot as usize] = self.round;
        let (before, after) = (self.prev[knot as usize], self.next[knot as usize]);
        if before != NONE {
            self.changed[before as usize] = self.round;
        }
        if before != NONE && before != knot && self.spot[before as usize] == spot {
            self.take_out(before);
        }
        if after != NONE && after != knot && self.spot[after as usize] == spot {
            self.take_out(after);
        }
    }

    fn take_out(&mut self, knot: u32) {
        let (before, after) = (self.prev[knot as usize], self.next[knot as usize]);
        if before != NONE {
            self.next[before as usize] = after;
            self.changed[before as usize] = self.round;
        }
        if after != NONE {
            self.prev[after as usize] = before;
        }
        if before == after && before != NONE && self.next[before as usize] == before {
            // A loop of two pieces that has collapsed to a point.
            (self.next[before as usize], self.prev[before as usize]) = (NONE, NONE);
        }
        self.spot[knot as usize] = NONE;
        self.next[knot as usize] = NONE;
        self.prev[knot as usize] = NONE;
    }
}
