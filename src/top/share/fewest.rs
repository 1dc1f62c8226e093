//! Items and the sets that hold them → the fewest sets that hold every item, with a bound from below.
//!
//! Method: what is dominated goes first (a set inside another, an item that is held wherever another is, a set that alone
//! holds an item); what falls apart is solved part by part. Each part is bounded by a price on every item: the prices'
//! sum, less what any set's items cost beyond 1, is a bound for all covers. Prices are raised by the subgradient method of
//! Held and Karp, and covers are built greedily by reduced cost (Caprara, Fischetti and Toth, A heuristic method for the
//! set covering problem, Operations Research 47, 1999, from memory). Where bound and cover differ, branches on the item that
//! the fewest sets hold are followed. Limits: at most `MOST_WORK` looks at an item in a set; a cover that is not proven by
//! then is told by its bound.

use super::prices::{Part, bound_of};

/// How often an item in a set is looked at, at most, for each part: some seconds.
const MOST_WORK: u64 = 150_000_000;

/// A cover.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fewest {
    /// The sets, rising.
    pub chosen: Vec<usize>,
    /// No cover has fewer sets than this.
    pub bound: usize,
}

impl Fewest {
    /// True if no cover has fewer sets.
    #[must_use]
    pub fn is_proven(&self) -> bool {
        self.chosen.len() == self.bound
    }
}

/// Covers items `0..count` with the fewest of `sets`; of covers alike in number one of low `costs`, which lie in 0 to 1.
///
/// `None` if there is an item that no set holds.
#[must_use]
pub fn fewest(count: usize, sets: &[Vec<usize>], costs: &[f64]) -> Option<Fewest> {
    let mut left = Left::new(count, sets, costs);
    left.reduce()?;
    let mut found = Fewest { chosen: left.taken.clone(), bound: left.taken.len() };
    for part in left.parts() {
        let solved = solve(&part);
        found.chosen.extend(solved.chosen.iter().map(|s| part.names[*s]));
        found.bound += solved.bound;
    }
    found.chosen.sort_unstable();
    Some(found)
}

/// What is left after reductions.
struct Left<'s> {
    sets: Vec<Vec<usize>>,
    costs: &'s [f64],
    /// By item, the sets that hold it, rising.
    holders: Vec<Vec<usize>>,
    taken: Vec<usize>,
}

impl<'s> Left<'s> {
    fn new(count: usize, sets: &[Vec<usize>], costs: &'s [f64]) -> Self {
        let mut holders = vec![Vec::new(); count];
        let mut sorted = sets.to_vec();
        for (s, items) in sorted.iter_mut().enumerate() {
            items.sort_unstable();
            items.dedup();
            items.iter().for_each(|i| holders[*i].push(s));
        }
        Self { sets: sorted, costs, holders, taken: Vec::new() }
    }

    /// Until nothing changes: takes sets that are needed, drops items and sets that are dominated.
    fn reduce(&mut self) -> Option<()> {
        if self.holders.iter().any(Vec::is_empty) {
            return None;
        }
        loop {
            let before = (self.taken.len(), self.size());
            self.take_needed();
            self.drop_items();
            self.drop_sets();
            if before == (self.taken.len(), self.size()) {
                return Some(());
            }
        }
    }

    fn size(&self) -> usize {
        self.sets.iter().map(Vec::len).sum()
    }

    fn take_needed(&mut self) {
        for item in 0..self.holders.len() {
            if let [set] = self.holders[item][..] {
                self.taken.push(set);
                for held in std::mem::take(&mut self.sets[set]) {
                    self.drop_item(held);
                }
            }
        }
    }

    fn drop_item(&mut self, item: usize) {
        for set in std::mem::take(&mut self.holders[item]) {
            self.sets[set].retain(|i| *i != item);
        }
    }

    /// Drops every item that lies in all sets that hold some other item: it is held with that.
    fn drop_items(&mut self) {
        for item in 0..self.holders.len() {
            let Some(first) = self.holders[item].first() else { continue };
            let held = |other: &usize| {
                let all = self.holders[item].iter().all(|s| self.sets[*s].binary_search(other).is_ok());
                // Of two that are held alike the first stays.
                let alike = self.holders[*other].len() == self.holders[item].len();
                *other != item && all && (!alike || *other > item)
            };
            let held: Vec<usize> = self.sets[*first].iter().copied().filter(held).collect();
            held.into_iter().for_each(|other| self.drop_item(other));
        }
    }

    /// Drops every set that lies within another; of equal ones the dearer or later one.
    fn drop_sets(&mut self) {
        for set in 0..self.sets.len() {
            let rarest = self.sets[set].iter().min_by_key(|i| self.holders[**i].len());
            let Some(rarest) = rarest else { continue };
            let within = |other: &usize| {
                let (a, b) = (&self.sets[set], &self.sets[*other]);
                let dearer = self.costs[set].total_cmp(&self.costs[*other]).then(set.cmp(other)).is_gt();
                *other != set && a.iter().all(|i| b.binary_search(i).is_ok()) && (a.len() < b.len() || dearer)
            };
            if self.holders[*rarest].iter().any(within) {
                for item in std::mem::take(&mut self.sets[set]) {
                    self.holders[item].retain(|s| *s != set);
                }
            }
        }
    }

    /// The parts that share no set, each numbered anew.
    fn parts(&self) -> Vec<Part> {
        let mut part_of = vec![usize::MAX; self.holders.len()];
        let mut parts = Vec::new();
        for first in 0..self.holders.len() {
            if part_of[first] != usize::MAX || self.holders[first].is_empty() {
                continue;
            }
            let (mut items, mut sets) = (vec![first], Vec::new());
            part_of[first] = parts.len();
            let mut next = 0;
            while let Some(item) = items.get(next).copied() {
                next += 1;
                for set in &self.holders[item] {
                    sets.push(*set);
                    for other in &self.sets[*set] {
                        if part_of[*other] == usize::MAX {
                            part_of[*other] = parts.len();
                            items.push(*other);
                        }
                    }
                }
            }
            items.sort_unstable();
            sets.sort_unstable();
            sets.dedup();
            let number = |item: &usize| items.binary_search(item).unwrap_or(0);
            let numbered = sets.iter().map(|s| self.sets[*s].iter().map(number).collect()).collect();
            let costs = sets.iter().map(|s| self.costs[*s]).collect();
            parts.push(Part::new(items.len(), numbered, costs, sets));
        }
        parts
    }
}

/// The fewest sets of one part.
fn solve(part: &Part) -> Fewest {
    let all = vec![true; part.holders.len()];
    let shut = vec![false; part.sets.len()];
    let mut search = Search { part, best: part.greedy(&all, &shut, &part.even()), work: MOST_WORK };
    let (prices, bound) = search.raise(&all, &shut, part.even(), 400, 0);
    if bound < search.best.len() {
        let done = search.branch(&all, &shut, &prices, &mut Vec::new());
        if done {
            let count = search.best.len();
            return Fewest { chosen: search.best, bound: count };
        }
    }
    Fewest { bound: bound.min(search.best.len()), chosen: search.best }
}

struct Search<'p> {
    part: &'p Part,
    best: Vec<usize>,
    work: u64,
}

impl Search<'_> {
    /// Better prices for what is left, and the bound that they prove; looks for better covers by the way.
    fn raise(
        &mut self,
        left: &[bool],
        shut: &[bool],
        mut prices: Vec<f64>,
        rounds: usize,
        taken: usize,
    ) -> (Vec<f64>, usize) {
        let (mut step, mut since) = (1.0, 0);
        let mut best = (prices.clone(), f64::NEG_INFINITY);
        for round in 0..rounds {
            let (value, slope) = self.part.value(left, shut, &prices);
            self.work = self.work.saturating_sub(self.part.size);
            if value > best.1 + 1e-4 {
                best = (prices.clone(), value);
                since = 0;
            } else {
                since += 1;
                if since > 12 {
                    (step, since) = (step / 2.0, 0);
                }
            }
            let most = self.best.len() - taken;
            if bound_of(best.1) >= most || step < 0.004 || self.work == 0 {
                break;
            }
            if taken == 0 && round % 8 == 0 {
                let cover = self.part.greedy(left, shut, &prices);
                self.work = self.work.saturating_sub(4 * self.part.size);
                self.offer(cover);
            }
            let steep: f64 = slope.iter().map(|s| s * s).sum();
            if steep == 0.0 {
                break;
            }
            #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
            let by = step * (most as f64 + 0.02 - value).max(0.05) / steep;
            for (price, slope) in prices.iter_mut().zip(&slope) {
                *price = (*price + by * slope).max(0.0);
            }
        }
        let bound = bound_of(best.1);
        (best.0, bound)
    }

    /// Keeps a cover if it is better.
    fn offer(&mut self, cover: Vec<usize>) {
        if self.part.measure(&cover) < self.part.measure(&self.best) {
            self.best = cover;
        }
    }

    /// Looks through every cover that could be smaller than the best; false if it ran out of work.
    fn branch(&mut self, left: &[bool], shut: &[bool], prices: &[f64], taken: &mut Vec<usize>) -> bool {
        let open = |item: &usize| self.part.holders[*item].iter().filter(|s| !shut[**s]).count();
        let Some(item) = (0..left.len()).filter(|i| left[*i]).min_by_key(|i| (open(i), *i)) else {
            if taken.len() < self.best.len() {
                self.best.clone_from(taken);
            }
            return true;
        };
        let mut shut = shut.to_vec();
        let mut ways: Vec<usize> = self.part.holders[item].iter().copied().filter(|s| !shut[*s]).collect();
        let reduced = |set: usize| -> f64 {
            1.0 - self.part.sets[set].iter().filter(|i| left[**i]).map(|i| prices[*i]).sum::<f64>()
        };
        ways.sort_by(|a, b| reduced(*a).total_cmp(&reduced(*b)).then(a.cmp(b)));
        for set in ways {
            if self.work == 0 {
                return false;
            }
            let mut rest = left.to_vec();
            self.part.sets[set].iter().for_each(|i| rest[*i] = false);
            taken.push(set);
            let (better, bound) = self.raise(&rest, &shut, prices.to_vec(), 60, taken.len());
            let done = taken.len() + bound >= self.best.len() || self.branch(&rest, &shut, &better, taken);
            taken.pop();
            if !done {
                return false;
            }
            shut[set] = true;
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row of `items`, windows of `long` in a row: how many, and whether proven.
    fn row(items: usize, long: usize) -> (usize, bool) {
        let sets: Vec<Vec<usize>> =
            (0..items).map(|from| (from..(from + long).min(items)).collect()).collect();
        let got = fewest(items, &sets, &vec![0.0; sets.len()]).unwrap();
        (got.chosen.len(), got.is_proven())
    }

    #[test]
    fn a_row_takes_as_many_as_its_length_asks() {
        assert_eq!([row(13, 3), row(12, 3), row(1, 3)], [(5, true), (4, true), (1, true)]);
    }

    #[test]
    fn a_ring_needs_more_than_its_bound_says_at_first() {
        // Five items in a ring, every set two neighbours: prices prove 2.5, so 3; the same in a ring of nine with three each.
        for (items, long, least) in [(5, 2, 3), (7, 3, 3), (11, 3, 4)] {
            let sets: Vec<Vec<usize>> =
                (0..items).map(|from| (from..from + long).map(|i| i % items).collect()).collect();
            let got = fewest(items, &sets, &vec![0.0; items]).unwrap();
            assert_eq!((got.chosen.len(), got.bound), (least, least), "{items} by {long}");
        }
    }

    #[test]
    fn a_gap_between_prices_and_covers_is_closed_by_branching() {
        // The twelve lines of the affine plane of order 3 and the lines through each of its nine points: prices prove 3; the
        // least is 5 (a blocking set of the plane has 2q - 1 points).
        let through = |x: usize, y: usize| vec![x, 3 + y, 6 + (x + y) % 3, 9 + (x + 2 * y) % 3];
        let points: Vec<Vec<usize>> = (0..9).map(|p| through(p % 3, p / 3)).collect();
        let got = fewest(12, &points, &[0.0; 9]).unwrap();
        assert_eq!((got.chosen.len(), got.bound), (5, 5));
    }

    #[test]
    fn of_covers_alike_the_cheaper_is_taken() {
        let sets = vec![vec![0, 1], vec![2, 3], vec![0, 2], vec![1, 3]];
        let got = |costs: [f64; 4]| fewest(4, &sets, &costs).unwrap().chosen;
        assert_eq!(got([0.0, 0.0, 1.0, 1.0]), [0, 1]);
        assert_eq!(got([1.0, 1.0, 0.0, 0.0]), [2, 3]);
    }

    #[test]
    fn an_item_that_no_set_holds_cannot_be_covered() {
        assert_eq!(fewest(2, &[vec![0]], &[0.0]), None);
        assert_eq!(fewest(0, &[], &[]), Some(Fewest { chosen: vec![], bound: 0 }));
    }
}
