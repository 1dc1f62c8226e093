//! Things that are put together, pair by pair → which of them belong together.

/// Disjoint groups of `0..n`.
#[derive(Debug, Clone)]
pub struct Groups {
    // Invariant: following `up` from any member ends at one that points to itself.
    up: Vec<usize>,
}

impl Groups {
    /// Every one of `0..n` alone.
    pub fn new(n: usize) -> Self {
        Self { up: (0..n).collect() }
    }

    /// The one that stands for the whole group of `x`.
    pub fn of(&mut self, mut x: usize) -> usize {
        while self.up[x] != x {
            self.up[x] = self.up[self.up[x]];
            x = self.up[x];
        }
        x
    }

    /// Puts two groups together; false if they were one already. The lowest member stands for the group.
    pub fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.of(a), self.of(b));
        self.up[a.max(b)] = a.min(b);
        a != b
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lowest_member_stands_for_its_group() {
        let mut groups = Groups::new(5);
        assert!(groups.join(4, 2) && groups.join(2, 3) && !groups.join(3, 4));
        assert_eq!((0..5).map(|x| groups.of(x)).collect::<Vec<_>>(), vec![0, 1, 2, 2, 2]);
    }
}
