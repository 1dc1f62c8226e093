//! The odd sets of a certificate → the duals around a vertex and around two at once, for the verifier alone.
//!
//! Two vertices share the sets around the innermost one that holds both, found by jumps of doubling length towards the
//! outside (M. A. Bender and M. Farach-Colton, "The level ancestor problem simplified", Theoretical Computer Science 321,
//! 2004, jump pointers).

use crate::route::matching::OddSet;

/// Sets found to be odd and nested.
pub(super) struct Sets {
    /// The innermost set of each vertex.
    inmost: Vec<Option<usize>>,
    /// `out[k][s]` is the set 2^k steps outside set `s`.
    out: Vec<Vec<Option<usize>>>,
    deep: Vec<usize>,
    /// The duals of a set and of all around it.
    sum: Vec<i128>,
}

impl Sets {
    /// The sets of `count` vertices; or the first one that is not odd, has no dual, or is not nested as it should be.
    pub(super) fn of(count: usize, sets: &[OddSet]) -> Result<Self, usize> {
        let mut inmost = vec![None; count];
        let (mut deep, mut sum) = (Vec::new(), Vec::new());
        for (i, set) in sets.iter().enumerate() {
            if set.dual <= 0 || set.within.is_some_and(|outer| outer >= i) {
                return Err(i);
            }
            deep.push(set.within.map_or(0, |outer| deep[outer] + 1));
            sum.push(set.within.map_or(0, |outer| sum[outer]) + i128::from(set.dual));
            for vertex in &set.members {
                match inmost.get_mut(*vertex) {
                    Some(free @ None) => *free = Some(i),
                    _ => return Err(i),
                }
            }
        }
        let mut size: Vec<usize> = sets.iter().map(|s| s.members.len()).collect();
        for i in (0..sets.len()).rev() {
            if size[i].is_multiple_of(2) {
                return Err(i);
            }
            if let Some(outer) = sets[i].within {
                size[outer] += size[i];
            }
        }
        let mut out = vec![sets.iter().map(|s| s.within).collect::<Vec<_>>()];
        while out[out.len() - 1].iter().any(Option::is_some) {
            let last = &out[out.len() - 1];
            out.push(last.iter().map(|s| s.and_then(|s| last[s])).collect());
        }
        Ok(Self { inmost, out, deep, sum })
    }

    /// The duals of all sets around a vertex.
    pub(super) fn around(&self, vertex: usize) -> i128 {
        self.inmost[vertex].map_or(0, |s| self.sum[s])
    }

    /// The duals of all sets around both vertices.
    pub(super) fn around_both(&self, a: usize, b: usize) -> i128 {
        let (Some(mut a), Some(mut b)) = (self.inmost[a], self.inmost[b]) else { return 0 };
        if self.deep[a] < self.deep[b] {
            (a, b) = (b, a);
        }
        let climb = self.deep[a] - self.deep[b];
        for (k, out) in self.out.iter().enumerate() {
            if climb >> k & 1 == 1
                && let Some(outer) = out[a]
            {
                a = outer;
            }
        }
        if a == b {
            return self.sum[a];
        }
        for out in self.out.iter().rev() {
            if let (Some(x), Some(y)) = (out[a], out[b])
                && x != y
            {
                (a, b) = (x, y);
            }
        }
        match (self.out[0][a], self.out[0][b]) {
            (Some(x), Some(y)) if x == y => self.sum[x],
            _ => 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(members: &[usize], within: Option<usize>, dual: i64) -> OddSet {
        OddSet { members: members.to_vec(), within, dual }
    }

    #[test]
    fn sets_around_two_vertices_are_those_that_hold_both() {
        // {0, 1, 8} around {2, 3, 4} and {5, 6, {7}}.
        let good = [
            set(&[0, 1, 8], None, 1),
            set(&[2, 3, 4], Some(0), 10),
            set(&[5, 6], Some(0), 100),
            set(&[7], Some(2), 1000),
        ];
        let sets = Sets::of(10, &good).unwrap();
        assert_eq!((sets.around(7), sets.around(3), sets.around(0), sets.around(9)), (1101, 11, 1, 0));
        let both = [(7, 5), (5, 7), (7, 2), (3, 4), (0, 7), (9, 7)].map(|(a, b)| sets.around_both(a, b));
        assert_eq!(both, [101, 101, 1, 11, 1, 0]);
        let chain: Vec<OddSet> = (0..99).map(|i| set(&[2 * i, 2 * i + 1], i.checked_sub(1), 1)).collect();
        let mut chain = chain;
        chain[98].members.push(198);
        let sets = Sets::of(199, &chain).unwrap();
        assert!((0..99).all(|i| sets.around_both(2 * i, 198) == i as i128 + 1));
    }

    #[test]
    fn sets_that_are_none_are_named() {
        let wrong = |sets: &[OddSet]| Sets::of(9, sets).err();
        assert_eq!(wrong(&[set(&[0], None, 1), set(&[1, 2], None, 1)]), Some(1), "an even one");
        assert_eq!(wrong(&[set(&[0], None, 0)]), Some(0), "one without a dual");
        assert_eq!(wrong(&[set(&[0], Some(0), 1)]), Some(0), "one within itself");
        assert_eq!(wrong(&[set(&[0], None, 1), set(&[0], None, 1)]), Some(1), "a vertex in two");
        assert_eq!(wrong(&[set(&[9], None, 1)]), Some(0), "a vertex that is none");
    }
}
