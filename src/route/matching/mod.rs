//! Links between vertices → a perfect matching of least weight, with the duals that prove it.
//!
//! Method: the primal–dual method of J. Edmonds, "Maximum matching and a polyhedron with 0,1-vertices", J. Res. Nat.
//! Bureau of Standards 69B, 1965 [211]. One alternating tree is grown at a time, as
//! in V. Kolmogorov, "Blossom V", Math. Prog. Comp. 1, 2009 [212]; blossoms are
//! kept as in Z. Galil, "Efficient algorithms for finding maximum matching in graphs", ACM Computing Surveys 18, 1986
//! [213]. Duals change only within the tree, and are computed from Δ when needed, so
//! that a stage costs what its tree costs and not what the whole graph does; and all duals of a blossom change as one.
//!
//! Own code because the crates at hand keep their duals to themselves, and the duals are the proof.
//!
//! Limits: weights must be even (so that duals stay whole) and sums must fit `i64`.

mod augment;
mod blossom;

use blossom::Blossoms;

/// No vertex, link or blossom.
const NONE: usize = usize::MAX;

/// An edge of the graph to be matched: two different vertices and an even weight. Called a link, for the edges of a
/// network are something else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Link {
    /// One vertex.
    pub a: usize,
    /// The other vertex.
    pub b: usize,
    /// An even weight.
    pub weight: i64,
}

/// An odd number of vertices, at least one of which has to be matched to the outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OddSet {
    /// Its vertices that are in no set within it, rising.
    pub members: Vec<usize>,
    /// The set around it, if any: an earlier one. Its vertices belong to that one too.
    pub within: Option<usize>,
    /// Its dual, above 0.
    pub dual: i64,
}

/// A perfect matching and its proof.
///
/// For each link the duals of its two vertices and of the sets that hold exactly one of them sum to at most its weight;
/// for each matched link, to its weight. So the sum of all duals is the weight of the matching and none can weigh less.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matched {
    /// Each vertex's partner.
    pub partner: Vec<usize>,
    /// Each vertex's own dual.
    pub duals: Vec<i64>,
    /// The odd sets with their duals, each after the one around it.
    pub sets: Vec<OddSet>,
}

/// There is no perfect matching: these vertices all seek partners among fewer others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoPerfectMatching {
    /// The vertices that need more links.
    pub vertices: Vec<usize>,
}

/// A perfect matching of least weight on `start.len()` vertices.
///
/// `start` holds duals to begin with: for each link, those of its two vertices must not sum to more than its weight.
/// Links from a vertex to itself, or to one that does not exist, are left out.
///
/// # Errors
/// [`NoPerfectMatching`] if the links allow no perfect matching.
pub fn least_perfect(links: &[Link], start: &[i64]) -> Result<Matched, NoPerfectMatching> {
    let links: Vec<Link> =
        links.iter().filter(|l| l.a != l.b && l.a.max(l.b) < start.len()).copied().collect();
    let mut state = Blossoms::new(&links, start);
    state.match_greedily();
    for root in 0..start.len() {
        if state.mate[root] == NONE {
            state.augment(root).map_err(|vertices| NoPerfectMatching { vertices })?;
        }
    }
    Ok(state.into_matched())
}

#[cfg(test)]
mod tests {
    use super::*;
    use oorandom::Rand64;

    /// All vertices of each set, those of sets within it included.
    fn whole_sets(matched: &Matched) -> Vec<Vec<usize>> {
        let mut all: Vec<Vec<usize>> = matched.sets.iter().map(|s| s.members.clone()).collect();
        for i in (0..all.len()).rev() {
            if let Some(around) = matched.sets[i].within {
                assert!(around < i);
                let inner = all[i].clone();
                all[around].extend(inner);
            }
        }
        all
    }

    fn check(links: &[Link], matched: &Matched) -> i64 {
        let sets = whole_sets(matched);
        let mut weight = 0;
        for link in links {
            let parts = |s: &Vec<usize>| s.contains(&link.a) != s.contains(&link.b);
            let cuts = sets.iter().zip(&matched.sets).filter(|(s, _)| parts(s)).map(|(_, s)| s.dual);
            let sum = matched.duals[link.a] + matched.duals[link.b] + cuts.sum::<i64>();
            assert!(sum <= link.weight, "{link:?} has duals {sum}");
        }
        for (v, &p) in matched.partner.iter().enumerate() {
            assert_eq!(matched.partner[p], v);
            let between = links.iter().filter(|l| (l.a, l.b) == (v, p) || (l.a, l.b) == (p, v));
            weight += between.map(|l| l.weight).min().unwrap();
        }
        assert!(matched.sets.iter().all(|s| s.dual > 0) && sets.iter().all(|s| s.len() % 2 == 1));
        let bound = matched.duals.iter().sum::<i64>() + matched.sets.iter().map(|s| s.dual).sum::<i64>();
        assert_eq!(weight / 2, bound, "the duals do not prove the matching");
        bound
    }

    fn brute(links: &[Link], free: &mut Vec<bool>) -> Option<i64> {
        let Some(v) = free.iter().position(|f| *f) else { return Some(0) };
        free[v] = false;
        let mut best: Option<i64> = None;
        for link in links.iter().filter(|l| l.a == v || l.b == v) {
            let other = link.a + link.b - v;
            if free[other] {
                free[other] = false;
                let all = brute(links, free).map(|rest| rest + link.weight);
                best = [best, all].into_iter().flatten().min();
                free[other] = true;
            }
        }
        free[v] = true;
        best
    }

    fn random(dice: &mut Rand64, vertices: usize, chance: u64, top: u64) -> Vec<Link> {
        let mut links = Vec::new();
        for a in 0..vertices {
            for b in a + 1..vertices {
                if dice.rand_range(0..100) < chance {
                    links.push(Link { a, b, weight: 2 * dice.rand_range(0..top) as i64 });
                }
            }
        }
        links
    }

    #[test]
    fn small_graphs_agree_with_trying_everything() {
        let mut dice = Rand64::new(7);
        let (mut solved, mut stuck) = (0, 0);
        for round in 0..6000 {
            let vertices = 2 * (1 + dice.rand_range(0..5) as usize);
            let top = [2, 5, 30, 1000][round % 4];
            let chance = 25 + dice.rand_range(0..75);
            let links = random(&mut dice, vertices, chance, top);
            let truth = brute(&links, &mut vec![true; vertices]);
            match least_perfect(&links, &vec![0; vertices]) {
                Ok(matched) => {
                    assert_eq!(Some(check(&links, &matched)), truth, "{links:?}");
                    solved += 1;
                }
                Err(_) => {
                    assert_eq!(truth, None, "{links:?}");
                    stuck += 1;
                }
            }
        }
        assert!(solved > 2000 && stuck > 500, "{solved} solved, {stuck} stuck");
    }

    #[test]
    fn larger_graphs_prove_themselves() {
        let mut dice = Rand64::new(11);
        let mut nested = 0;
        for round in 0..300 {
            let vertices = 20 + 2 * dice.rand_range(0..30) as usize;
            let links = random(&mut dice, vertices, 20, [3, 10, 100, 100_000][round % 4]);
            if let Ok(matched) = least_perfect(&links, &vec![0; vertices]) {
                check(&links, &matched);
                nested += matched.sets.iter().filter(|s| s.within.is_some()).count();
            }
        }
        assert!(nested > 50, "only {nested} nested sets were met");
    }
}
