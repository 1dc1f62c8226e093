//! One part of a cover: its items, its sets, what prices on the items prove, and covers built by them.

/// Sums of prices may be off by this: far below what would change a whole number.
const DUST: f64 = 1e-6;

/// Items and sets that hang together, numbered from 0.
pub struct Part {
    /// By set, the items it holds.
    pub sets: Vec<Vec<usize>>,
    /// By item, the sets that hold it.
    pub holders: Vec<Vec<usize>>,
    /// By set, what it costs besides being one more, 0 to 1.
    pub costs: Vec<f64>,
    /// By set, its number in the whole.
    pub names: Vec<usize>,
    /// How many items all sets hold together.
    pub size: u64,
}

/// The least whole number of sets that a bound allows.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand at most")]
pub fn bound_of(value: f64) -> usize {
    (value - DUST).ceil().max(0.0) as usize
}

impl Part {
    /// A part of `count` items.
    pub fn new(count: usize, sets: Vec<Vec<usize>>, costs: Vec<f64>, names: Vec<usize>) -> Self {
        let mut holders = vec![Vec::new(); count];
        for (s, items) in sets.iter().enumerate() {
            items.iter().for_each(|i| holders[*i].push(s));
        }
        let size = sets.iter().map(Vec::len).sum::<usize>() as u64;
        Self { sets, holders, costs, names, size }
    }

    /// Prices to begin with: an item's share of the largest set that holds it.
    pub fn even(&self) -> Vec<f64> {
        let largest = |holders: &Vec<usize>| holders.iter().map(|s| self.sets[*s].len()).max();
        #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
        let share = |holders| 1.0 / largest(holders).unwrap_or(1) as f64;
        self.holders.iter().map(share).collect()
    }

    /// What the prices prove for the items left, and how the proof changes with each price.
    ///
    /// For any prices, every cover of the items left by sets that are not shut has at least so many sets: the sum of the
    /// prices, less what the items of any set cost beyond 1.
    pub fn value(&self, left: &[bool], shut: &[bool], prices: &[f64]) -> (f64, Vec<f64>) {
        let mut slope: Vec<f64> = left.iter().map(|l| f64::from(u8::from(*l))).collect();
        let mut value: f64 = prices.iter().zip(left).filter(|(_, l)| **l).map(|(p, _)| p).sum();
        for (items, _) in self.sets.iter().zip(shut).filter(|(_, shut)| !**shut) {
            let items = || items.iter().filter(|i| left[**i]);
            let over = items().map(|i| prices[*i]).sum::<f64>() - 1.0;
            if over > 0.0 {
                value -= over;
                items().for_each(|i| slope[*i] -= 1.0);
            }
        }
        (value, slope)
    }

    /// A cover of the items left, the sets of the least reduced cost first; without sets that turned out to be needless.
    pub fn greedy(&self, left: &[bool], shut: &[bool], prices: &[f64]) -> Vec<usize> {
        let mut left = left.to_vec();
        let weight = |s: usize| self.costs[s].mul_add(0.02, 1.0);
        let worth = |items: &[usize], left: &[bool]| -> (f64, usize) {
            let held = items.iter().filter(|i| left[**i]);
            held.fold((0.0, 0), |(sum, count), i| (sum + prices[*i], count + 1))
        };
        let mut worths: Vec<(f64, usize)> = self.sets.iter().map(|s| worth(s, &left)).collect();
        let mut chosen = Vec::new();
        loop {
            let score = |s: usize| {
                let (sum, count) = worths[s];
                let reduced = weight(s) - sum;
                #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
                let count = count as f64;
                if reduced > 0.0 { reduced / count } else { reduced * count }
            };
            let open = (0..self.sets.len()).filter(|s| !shut[*s] && worths[*s].1 > 0);
            let Some(set) = open.min_by(|a, b| score(*a).total_cmp(&score(*b)).then(a.cmp(b))) else { break };
            chosen.push(set);
            for item in &self.sets[set] {
                if std::mem::replace(&mut left[*item], false) {
                    for other in &self.holders[*item] {
                        worths[*other].0 -= prices[*item];
                        worths[*other].1 -= 1;
                    }
                }
            }
        }
        self.without_needless(chosen)
    }

    /// A cover without the sets whose items the others hold as well, the dearest first.
    fn without_needless(&self, mut chosen: Vec<usize>) -> Vec<usize> {
        let mut times = vec![0_usize; self.holders.len()];
        chosen.iter().flat_map(|s| &self.sets[*s]).for_each(|i| times[*i] += 1);
        let mut order = chosen.clone();
        order.sort_by(|a, b| self.costs[*b].total_cmp(&self.costs[*a]).then(b.cmp(a)));
        for set in order {
            if self.sets[set].iter().all(|i| times[*i] > 1) {
                self.sets[set].iter().for_each(|i| times[*i] -= 1);
                chosen.retain(|s| *s != set);
            }
        }
        chosen.sort_unstable();
        chosen
    }

    /// What covers are compared by: the number of sets, then their costs.
    pub fn measure(&self, cover: &[usize]) -> (usize, f64) {
        (cover.len(), cover.iter().map(|s| self.costs[*s]).sum())
    }
}
