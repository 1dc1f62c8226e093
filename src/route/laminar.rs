//! A laminar family of odd sets (any two nested or disjoint) → the dual around a vertex, and around two vertices at once.
//!
//! Method: the sets are a forest; two vertices share the sets from their lowest common ancestor on, found by a
//! heavy path decomposition (D. D. Sleator and R. E. Tarjan, "A data structure for dynamic trees", J. Comput. Syst. Sci. 26, 1983)
//! [217], so that sets thousands deep stay quick.

use super::matching::OddSet;

/// Odd sets, ready to be asked.
#[derive(Debug)]
pub struct LaminarSets {
    /// The innermost set around each vertex.
    innermost: Vec<Option<usize>>,
    within: Vec<Option<usize>>,
    /// The duals of a set and of all around it.
    total: Vec<i128>,
    depth: Vec<usize>,
    /// The outermost set of the heavy path a set is on.
    head: Vec<usize>,
}

impl LaminarSets {
    /// The sets of `count` vertices; otherwise the first set that is not odd, not above 0 or not nested as it should be.
    pub fn new(count: usize, sets: &[OddSet]) -> Result<Self, usize> {
        let mut innermost = vec![None; count];
        let mut sizes = vec![0; sets.len()];
        for (i, set) in sets.iter().enumerate() {
            if set.dual <= 0 || set.within.is_some_and(|w| w >= i) {
                return Err(i);
            }
            for &m in &set.members {
                if innermost.get(m) != Some(&None) {
                    return Err(i);
                }
                innermost[m] = Some(i);
            }
            sizes[i] = set.members.len();
        }
        for (i, set) in sets.iter().enumerate().rev() {
            if sizes[i].is_multiple_of(2) {
                return Err(i);
            }
            if let Some(w) = set.within {
                sizes[w] += sizes[i];
            }
        }
        let within: Vec<Option<usize>> = sets.iter().map(|s| s.within).collect();
        let heads = heavy_paths(&within);
        let mut found = Self { innermost, within, total: Vec::new(), depth: Vec::new(), head: heads };
        for set in sets {
            let around = |list: &[i128]| set.within.map_or(0, |w| list[w]);
            found.total.push(around(&found.total) + i128::from(set.dual));
            found.depth.push(set.within.map_or(0, |w| found.depth[w] + 1));
        }
        Ok(found)
    }

    /// The duals of all sets around a vertex.
    pub fn around(&self, vertex: usize) -> i128 {
        self.innermost[vertex].map_or(0, |s| self.total[s])
    }

    /// The duals of all sets that hold both vertices.
    pub fn around_both(&self, a: usize, b: usize) -> i128 {
        let (mut a, mut b) = (self.innermost[a], self.innermost[b]);
        while let (Some(x), Some(y)) = (a, b) {
            let (hx, hy) = (self.head[x], self.head[y]);
            if hx == hy {
                return self.total[if self.depth[x] < self.depth[y] { x } else { y }];
            }
            if self.depth[hx] >= self.depth[hy] {
                a = self.within[hx];
            } else {
                b = self.within[hy];
            }
        }
        0
    }
}

/// For each set the outermost one of its path, when every set goes on into the set within it that holds most others.
fn heavy_paths(within: &[Option<usize>]) -> Vec<usize> {
    let mut held = vec![1; within.len()];
    let mut heavy = vec![None; within.len()];
    for (i, w) in within.iter().enumerate().rev() {
        if let Some(w) = *w {
            held[w] += held[i];
            if heavy[w].is_none_or(|h: usize| held[h] < held[i]) {
                heavy[w] = Some(i);
            }
        }
    }
    let mut heads: Vec<usize> = (0..within.len()).collect();
    for (i, w) in within.iter().enumerate() {
        if let Some(w) = w.filter(|w| heavy[*w] == Some(i)) {
            heads[i] = heads[w];
        }
    }
    heads
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(members: &[usize], within: Option<usize>, dual: i64) -> OddSet {
        OddSet { members: members.to_vec(), within, dual }
    }

    #[test]
    fn shared_duals_are_those_of_common_sets() {
        // Vertices 0 and 1 with {2, 3, 4} within {5, 6, {7}}.
        let sets = [
            set(&[0, 1], None, 1),
            set(&[2, 3, 4], Some(0), 10),
            set(&[5, 6], Some(0), 100),
            set(&[7], Some(2), 1000),
        ];
        let found = LaminarSets::new(9, &sets).unwrap_err();
        assert_eq!(found, 0, "eight members are not odd");
        let mut sets = sets.to_vec();
        sets[0].members.push(8);
        let found = LaminarSets::new(9, &sets).unwrap();
        assert_eq!((found.around(7), found.around(3), found.around(0)), (1101, 11, 1));
        assert_eq!((found.around_both(7, 5), found.around_both(7, 2), found.around_both(3, 4)), (101, 1, 11));
    }

    #[test]
    fn sets_that_overlap_or_come_before_their_own_are_refused() {
        assert_eq!(LaminarSets::new(3, &[set(&[0], None, 1), set(&[0], None, 1)]).unwrap_err(), 1);
        assert_eq!(LaminarSets::new(3, &[set(&[0], Some(1), 1), set(&[1], None, 1)]).unwrap_err(), 0);
        assert_eq!(LaminarSets::new(3, &[set(&[0], None, 0)]).unwrap_err(), 0);
        assert_eq!(LaminarSets::new(3, &[set(&[3], None, 1)]).unwrap_err(), 0);
    }
}
