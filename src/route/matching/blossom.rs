//! The matching as it stands: mates, duals and the nest of blossoms. Growing is in `search`.
//!
//! A half-link `p` ends at vertex `ends[p]`; `p ^ 1` is the other half of the same link. Blossoms `0..count` are the
//! vertices themselves.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::{Link, Matched, NONE, OddSet};

/// Where a blossom stands in the tree that is being grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Label {
    /// Not in the tree.
    Out,
    /// An even number of links from the root: its duals rise.
    Rising,
    /// An odd number of links from the root: its duals fall.
    Falling,
}

/// The whole state.
#[derive(Debug)]
pub(super) struct Blossoms {
    pub count: usize,
    pub ends: Vec<usize>,
    pub weight: Vec<i64>,
    first: Vec<usize>,
    around: Vec<usize>,
    /// The dual of each vertex and of all blossoms around it, summed, less what its cell is lifted.
    reach: Vec<i64>,
    /// The cell of each vertex. All vertices of an outermost blossom share a cell: that of its largest petal, so that
    /// binding and unbinding move only the smaller ones, and a change of duals touches no vertex at all.
    cell_of: Vec<usize>,
    /// How far a cell is lifted, as of `since` of its outermost blossom.
    lift: Vec<i64>,
    /// The outermost blossom in each cell.
    top_of: Vec<usize>,
    /// The cell of each blossom while it is an outermost one: the number of one of its vertices.
    cell: Vec<usize>,
    /// How many vertices a blossom has.
    size: Vec<usize>,
    /// The half-link to each vertex's partner.
    pub mate: Vec<usize>,
    pub parent: Vec<usize>,
    /// The vertex by which a blossom is matched to the outside.
    pub base: Vec<usize>,
    /// An odd ring of blossoms, that with the base first.
    pub petals: Vec<Vec<usize>>,
    /// `stems[b][i]` joins petal `i` (where it ends) to petal `i + 1`.
    pub stems: Vec<Vec<usize>>,
    /// Duals of blossoms, as of `since`.
    pub dual: Vec<i64>,
    spare: Vec<usize>,
    pub label: Vec<Label>,
    /// The half-link by which an outermost blossom joined the tree; it ends in the blossom nearer to the root.
    pub entry: Vec<usize>,
    /// When the blossom got its label.
    pub since: Vec<i64>,
    pub now: i64,
    /// When a free vertex is reached at the latest, as far as is known.
    pub end: i64,
    /// Times at which a link (or, from `weight.len()` on, a falling blossom) may have run out.
    pub events: BinaryHeap<Reverse<(i64, usize)>>,
    pub touched: Vec<usize>,
    pub stamp: Vec<usize>,
    pub stamps: usize,
}

impl Blossoms {
    /// Nothing is matched yet.
    pub fn new(links: &[Link], start: &[i64]) -> Self {
        let count = start.len();
        let ends: Vec<usize> = links.iter().flat_map(|l| [l.a, l.b]).collect();
        let (first, around) = incidence(&ends, count);
        Self {
            count,
            first,
            around,
            weight: links.iter().map(|l| l.weight).collect(),
            ends,
            reach: start.to_vec(),
            cell_of: (0..count).collect(),
            lift: vec![0; count],
            top_of: (0..count).collect(),
            cell: (0..count).collect(),
            size: vec![1; count],
            mate: vec![NONE; count],
            parent: vec![NONE; count],
            base: (0..count).collect(),
            petals: vec![Vec::new(); count],
            stems: vec![Vec::new(); count],
            dual: vec![0; count],
            spare: Vec::new(),
            label: vec![Label::Out; count],
            entry: vec![NONE; count],
            since: vec![0; count],
            now: 0,
            end: i64::MAX,
            events: BinaryHeap::new(),
            touched: Vec::new(),
            stamp: vec![0; count],
            stamps: 0,
        }
    }

    /// The half-links that lead away from a vertex.
    pub fn away(&self, vertex: usize) -> std::ops::Range<usize> {
        self.first[vertex]..self.first[vertex + 1]
    }

    /// The half-link at a place of [`Self::away`].
    pub fn half(&self, place: usize) -> usize {
        self.around[place]
    }

    /// Raises each vertex's dual as far as its links let it, and matches it where that leads to a free one.
    pub fn match_greedily(&mut self) {
        for v in 0..self.count {
            let room = self.away(v).map(|i| self.slack(self.half(i) / 2)).min();
            self.reach[v] += room.unwrap_or(0);
            if self.mate[v] != NONE {
                continue;
            }
            let free = self.away(v).map(|i| self.half(i));
            let tight = |p: &usize| self.mate[self.ends[*p]] == NONE && self.slack(p / 2) == 0;
            if let Some(p) = free.into_iter().find(tight) {
                self.mate[v] = p;
                self.mate[self.ends[p]] = p ^ 1;
            }
        }
    }

    /// What is left of a link between two outermost blossoms, as of now.
    pub fn slack(&self, link: usize) -> i64 {
        self.weight[link] - self.reach_now(self.ends[2 * link]) - self.reach_now(self.ends[2 * link + 1])
    }

    /// The outermost blossom around a vertex.
    pub fn top(&self, vertex: usize) -> usize {
        self.top_of[self.cell_of[vertex]]
    }

    fn reach_now(&self, vertex: usize) -> i64 {
        let cell = self.cell_of[vertex];
        self.reach[vertex] + self.lift[cell] + self.passed(self.top_of[cell])
    }

    /// By how much the duals in an outermost blossom have changed since it got its label.
    fn passed(&self, blossom: usize) -> i64 {
        match self.label[blossom] {
            Label::Out => 0,
            Label::Rising => self.now - self.since[blossom],
            Label::Falling => self.since[blossom] - self.now,
        }
    }

    /// Writes down the duals of an outermost blossom as of now.
    pub fn settle(&mut self, blossom: usize) {
        let passed = self.passed(blossom);
        self.since[blossom] = self.now;
        self.lift[self.cell[blossom]] += passed;
        if blossom >= self.count {
            self.dual[blossom] += passed;
        }
    }

    /// The vertices of a blossom.
    pub fn vertices(&self, blossom: usize) -> Vec<usize> {
        let mut found = Vec::new();
        let mut open = vec![blossom];
        while let Some(b) = open.pop() {
            if b < self.count {
                found.push(b);
            } else {
                open.extend(self.petals[b].iter().rev());
            }
        }
        found
    }

    /// A fresh blossom with these petals, all of them settled; without label.
    pub fn bind(&mut self, petals: Vec<usize>, stems: Vec<usize>) -> usize {
        let b = self.spare.pop().unwrap_or_else(|| self.grow_arrays());
        let largest = petals.iter().fold(petals[0], |l, p| if self.size[*p] > self.size[l] { *p } else { l });
        self.cell[b] = self.cell[largest];
        self.size[b] = petals.iter().map(|p| self.size[*p]).sum();
        self.base[b] = self.base[petals[0]];
        self.dual[b] = 0;
        self.top_of[self.cell[b]] = b;
        for &petal in &petals {
            self.parent[petal] = b;
            if petal != largest {
                self.move_to(petal, self.cell[b]);
            }
        }
        self.petals[b] = petals;
        self.stems[b] = stems;
        b
    }

    /// Moves the vertices of a settled blossom from their cell to another.
    fn move_to(&mut self, blossom: usize, cell: usize) {
        for v in self.vertices(blossom) {
            self.reach[v] += self.lift[self.cell_of[v]] - self.lift[cell];
            self.cell_of[v] = cell;
        }
    }

    fn grow_arrays(&mut self) -> usize {
        self.cell.push(NONE);
        self.size.push(0);
        self.parent.push(NONE);
        self.base.push(NONE);
        self.petals.push(Vec::new());
        self.stems.push(Vec::new());
        self.dual.push(0);
        self.label.push(Label::Out);
        self.entry.push(NONE);
        self.since.push(0);
        self.stamp.push(0);
        self.parent.len() - 1
    }

    /// Takes an outermost, settled blossom apart; its petals become outermost, without label.
    pub fn unbind(&mut self, blossom: usize) -> (Vec<usize>, Vec<usize>) {
        let petals = std::mem::take(&mut self.petals[blossom]);
        let stems = std::mem::take(&mut self.stems[blossom]);
        for &petal in &petals {
            self.parent[petal] = NONE;
            self.label[petal] = Label::Out;
            self.entry[petal] = NONE;
            let cell = self.cell[petal];
            self.top_of[cell] = petal;
            if cell != self.cell[blossom] {
                self.lift[cell] = 0;
                self.move_to(petal, cell);
            }
        }
        self.label[blossom] = Label::Out;
        self.entry[blossom] = NONE;
        self.spare.push(blossom);
        (petals, stems)
    }

    /// Turns the matching inside a blossom so that `vertex` is the one matched to the outside.
    pub fn rebase(&mut self, blossom: usize, vertex: usize) {
        let mut open = vec![(blossom, vertex)];
        while let Some((outer, v)) = open.pop() {
            let mut petal = v;
            while petal != outer {
                let b = self.parent[petal];
                self.rebase_ring(b, petal, &mut open);
                self.base[b] = v;
                petal = b;
            }
        }
    }

    /// Makes `petal` the first of its ring; petals that get new partners on the way go to `open`.
    fn rebase_ring(&mut self, b: usize, petal: usize, open: &mut Vec<(usize, usize)>) {
        let place = self.petals[b].iter().position(|p| *p == petal).unwrap_or(0);
        for (i, p) in self.even_side(b, place) {
            // Petal `i` and the next one along are matched by half-link `p`, which ends in petal `i`.
            self.mate[self.ends[p]] = p ^ 1;
            self.mate[self.ends[p ^ 1]] = p;
            let next = (i + 1) % self.petals[b].len();
            open.push((self.petals[b][i], self.ends[p]));
            open.push((self.petals[b][next], self.ends[p ^ 1]));
        }
        self.petals[b].rotate_left(place);
        self.stems[b].rotate_left(place);
    }

    /// The links to be matched between the base petal and the petal at `place`, by the side with an even number of links.
    fn even_side(&self, blossom: usize, place: usize) -> Vec<(usize, usize)> {
        let stems = &self.stems[blossom];
        if place % 2 == 1 {
            (place + 1..stems.len()).step_by(2).map(|i| (i, stems[i])).collect()
        } else {
            (0..place).step_by(2).map(|i| (i, stems[i])).collect()
        }
    }

    /// Partners, duals and the odd sets whose dual is above 0.
    pub fn into_matched(self) -> Matched {
        let mut sets: Vec<OddSet> = Vec::new();
        let mut duals: Vec<i64> = (0..self.count).map(|v| self.reach_now(v)).collect();
        let outermost = (0..self.parent.len()).rev().filter(|b| self.parent[*b] == NONE);
        // A blossom, the set around it and the duals of all sets around it.
        let mut open: Vec<(usize, Option<usize>, i64)> = outermost.map(|b| (b, None, 0)).collect();
        while let Some((b, mut within, mut around)) = open.pop() {
            if b < self.count {
                duals[b] -= around;
                if let Some(set) = within {
                    sets[set].members.push(b);
                }
                continue;
            }
            if self.dual[b] > 0 && !self.petals[b].is_empty() {
                sets.push(OddSet { members: Vec::new(), within, dual: self.dual[b] });
                within = Some(sets.len() - 1);
                around += self.dual[b];
            }
            open.extend(self.petals[b].iter().map(|petal| (*petal, within, around)));
        }
        sets.iter_mut().for_each(|set| set.members.sort_unstable());
        let partner = self.mate.iter().map(|p| self.ends.get(*p).copied().unwrap_or(NONE)).collect();
        Matched { partner, duals, sets }
    }
}

fn incidence(ends: &[usize], count: usize) -> (Vec<usize>, Vec<usize>) {
    let mut first = vec![0; count + 1];
    for v in ends {
        first[v + 1] += 1;
    }
    for v in 0..count {
        first[v + 1] += first[v];
    }
    let mut next = first.clone();
    let mut around = vec![0; ends.len()];
    for (p, v) in ends.iter().enumerate() {
        around[next[*v]] = p ^ 1;
        next[*v] += 1;
    }
    (first, around)
}
