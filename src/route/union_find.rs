//! Disjoint sets, united pair by pair → which set each number is in.
//!
//! Method: union–find with path halving (R. E. Tarjan and J. van Leeuwen, "Worst-case analysis of set union algorithms",
//! J. ACM 31, 1984, from memory); sets are united by index, so that the lowest member represents its set.

/// Disjoint sets of `0..n`.
#[derive(Debug, Clone)]
pub struct UnionFind {
    // Invariant: following `parent` from any member ends at one that points to itself.
    parent: Vec<usize>,
}

impl UnionFind {
    /// Every one of `0..n` alone.
    pub fn new(n: usize) -> Self {
        Self { parent: (0..n).collect() }
    }

    /// The representative of the set of `x`: its lowest member.
    pub fn find(&mut self, mut x: usize) -> usize {
        while self.parent[x] != x {
            self.parent[x] = self.parent[self.parent[x]];
            x = self.parent[x];
        }
        x
    }

    /// Unites two sets; false if they were one already.
    pub fn union(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.find(a), self.find(b));
        self.parent[a.max(b)] = a.min(b);
        a != b
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lowest_member_represents_its_set() {
        let mut sets = UnionFind::new(5);
        assert!(sets.union(4, 2) && sets.union(2, 3) && !sets.union(3, 4));
        assert_eq!((0..5).map(|x| sets.find(x)).collect::<Vec<_>>(), vec![0, 1, 2, 2, 2]);
    }
}
