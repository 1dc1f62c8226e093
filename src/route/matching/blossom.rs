//! The matching as it stands: mates, duals and nested blossoms. The alternating tree is in `augment`.
//!
//! A half-link `p` ends at vertex `ends[p]`; `p ^ 1` is the other half of the same link. Blossoms `0..count` are the
//! vertices themselves. Of vertices, a free one is in no tree, an exposed one has no partner.
//!
//! Outermost blossoms are disjoint sets, kept by quick-find: a union relabels the smaller sets, and an offset for each set
//! changes the duals of all its vertices at once.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::{Link, Matched, NONE, OddSet};

/// Where a blossom stands in the tree that is being grown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Label {
    /// Not in the tree: its duals stay.
    Free,
    /// An even number of links from the root (S in some texts): its duals rise.
    Outer,
    /// An odd number of links from the root (T): its duals fall.
    Inner,
}

/// The whole state. Δ is by how much the dual of the root has risen since the tree was begun.
#[derive(Debug)]
pub(super) struct Blossoms {
    pub count: usize,
    pub ends: Vec<usize>,
    pub weight: Vec<i64>,
    /// The adjacency list of vertex `v` is `adjacent[first[v]..first[v + 1]]`: the half-links that lead away from it.
    first: Vec<usize>,
    adjacent: Vec<usize>,
    /// The dual of each vertex and of all blossoms around it, summed, less the offset of its set.
    stored_sum: Vec<i64>,
    /// The set of each vertex. All vertices of an outermost blossom share a set: that of its largest child, so that
    /// shrinking and expanding relabel only the smaller ones.
    set_of: Vec<usize>,
    /// What is to be added to the sums of a set, as of `labelled_at` of its outermost blossom.
    offset: Vec<i64>,
    /// The outermost blossom in each set.
    blossom_of_set: Vec<usize>,
    /// The set of each blossom while it is an outermost one: the number of one of its vertices.
    set_of_blossom: Vec<usize>,
    /// How many vertices a blossom has.
    size: Vec<usize>,
    /// The half-link to each vertex's partner.
    pub mate: Vec<usize>,
    pub parent: Vec<usize>,
    /// The vertex by which a blossom is matched to the outside.
    pub base: Vec<usize>,
    /// An odd cycle of blossoms, that with the base first.
    pub children: Vec<Vec<usize>>,
    /// `child_links[b][i]` joins child `i` (where it ends) to child `i + 1`.
    pub child_links: Vec<Vec<usize>>,
    /// Duals of blossoms, as of `labelled_at`.
    pub dual: Vec<i64>,
    /// Numbers of blossoms that were expanded.
    unused: Vec<usize>,
    pub label: Vec<Label>,
    /// The half-link by which an outermost blossom joined the tree; it ends in the blossom nearer to the root.
    pub tree_link: Vec<usize>,
    /// What Δ was when the blossom got its label.
    pub labelled_at: Vec<i64>,
    pub delta: i64,
    /// The least Δ known at which the tree reaches an exposed vertex.
    pub augmenting_at: i64,
    /// Values of Δ at which a link may be tight (or, numbered from `weight.len()` on, the dual of an inner blossom 0).
    pub events: BinaryHeap<Reverse<(i64, usize)>>,
    /// Blossoms that were labelled since the tree was begun.
    pub labelled: Vec<usize>,
    /// The last walk for a common ancestor that came by each blossom.
    pub visited_in: Vec<usize>,
    pub visit: usize,
}

impl Blossoms {
    /// Nothing is matched yet.
    pub fn new(links: &[Link], start: &[i64]) -> Self {
        let count = start.len();
        let ends: Vec<usize> = links.iter().flat_map(|l| [l.a, l.b]).collect();
        let (first, adjacent) = adjacency(&ends, count);
        Self {
            count,
            first,
            adjacent,
            weight: links.iter().map(|l| l.weight).collect(),
            ends,
            stored_sum: start.to_vec(),
            set_of: (0..count).collect(),
            offset: vec![0; count],
            blossom_of_set: (0..count).collect(),
            set_of_blossom: (0..count).collect(),
            size: vec![1; count],
            mate: vec![NONE; count],
            parent: vec![NONE; count],
            base: (0..count).collect(),
            children: vec![Vec::new(); count],
            child_links: vec![Vec::new(); count],
            dual: vec![0; count],
            unused: Vec::new(),
            label: vec![Label::Free; count],
            tree_link: vec![NONE; count],
            labelled_at: vec![0; count],
            delta: 0,
            augmenting_at: i64::MAX,
            events: BinaryHeap::new(),
            labelled: Vec::new(),
            visited_in: vec![0; count],
            visit: 0,
        }
    }

    /// The places of the half-links that lead away from a vertex, for [`Self::half_link`].
    pub fn incident(&self, vertex: usize) -> std::ops::Range<usize> {
        self.first[vertex]..self.first[vertex + 1]
    }

    /// The half-link at a place of [`Self::incident`].
    pub fn half_link(&self, place: usize) -> usize {
        self.adjacent[place]
    }

    /// Raises each vertex's dual as far as its links let it, and matches it where that makes a link to an exposed one tight.
    pub fn match_greedily(&mut self) {
        for v in 0..self.count {
            let room = self.incident(v).map(|i| self.slack(self.half_link(i) / 2)).min();
            self.stored_sum[v] += room.unwrap_or(0);
            if self.mate[v] != NONE {
                continue;
            }
            let incident = self.incident(v).map(|i| self.half_link(i));
            let tight = |p: &usize| self.mate[self.ends[*p]] == NONE && self.slack(p / 2) == 0;
            if let Some(p) = incident.into_iter().find(tight) {
                self.mate[v] = p;
                self.mate[self.ends[p]] = p ^ 1;
            }
        }
    }

    /// The slack of a link between two outermost blossoms at the present Δ; 0 is tight.
    pub fn slack(&self, link: usize) -> i64 {
        self.weight[link] - self.dual_sum(self.ends[2 * link]) - self.dual_sum(self.ends[2 * link + 1])
    }

    /// The outermost blossom around a vertex.
    pub fn outermost(&self, vertex: usize) -> usize {
        self.blossom_of_set[self.set_of[vertex]]
    }

    fn dual_sum(&self, vertex: usize) -> i64 {
        let set = self.set_of[vertex];
        self.stored_sum[vertex] + self.offset[set] + self.dual_change(self.blossom_of_set[set])
    }

    /// By how much the duals in an outermost blossom have changed since it got its label.
    fn dual_change(&self, blossom: usize) -> i64 {
        match self.label[blossom] {
            Label::Free => 0,
            Label::Outer => self.delta - self.labelled_at[blossom],
            Label::Inner => self.labelled_at[blossom] - self.delta,
        }
    }

    /// Writes down the duals of an outermost blossom at the present Δ.
    pub fn write_duals(&mut self, blossom: usize) {
        let dual_change = self.dual_change(blossom);
        self.labelled_at[blossom] = self.delta;
        self.offset[self.set_of_blossom[blossom]] += dual_change;
        if blossom >= self.count {
            self.dual[blossom] += dual_change;
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
                open.extend(self.children[b].iter().rev());
            }
        }
        found
    }

    /// Shrinks an odd cycle of blossoms, their duals written down, into one; without label.
    pub fn shrink(&mut self, children: Vec<usize>, child_links: Vec<usize>) -> usize {
        let b = self.unused.pop().unwrap_or_else(|| self.new_number());
        let largest =
            children.iter().fold(children[0], |l, p| if self.size[*p] > self.size[l] { *p } else { l });
        self.set_of_blossom[b] = self.set_of_blossom[largest];
        self.size[b] = children.iter().map(|p| self.size[*p]).sum();
        self.base[b] = self.base[children[0]];
        self.dual[b] = 0;
        self.blossom_of_set[self.set_of_blossom[b]] = b;
        for &child in &children {
            self.parent[child] = b;
            if child != largest {
                self.move_to_set(child, self.set_of_blossom[b]);
            }
        }
        self.children[b] = children;
        self.child_links[b] = child_links;
        b
    }

    /// Relabels the vertices of a blossom, its duals written down, with another set.
    fn move_to_set(&mut self, blossom: usize, set: usize) {
        for v in self.vertices(blossom) {
            self.stored_sum[v] += self.offset[self.set_of[v]] - self.offset[set];
            self.set_of[v] = set;
        }
    }

    fn new_number(&mut self) -> usize {
        self.set_of_blossom.push(NONE);
        self.size.push(0);
        self.parent.push(NONE);
        self.base.push(NONE);
        self.children.push(Vec::new());
        self.child_links.push(Vec::new());
        self.dual.push(0);
        self.label.push(Label::Free);
        self.tree_link.push(NONE);
        self.labelled_at.push(0);
        self.visited_in.push(0);
        self.parent.len() - 1
    }

    /// Expands an outermost blossom, its duals written down; its children become outermost, without label.
    pub fn expand(&mut self, blossom: usize) -> (Vec<usize>, Vec<usize>) {
        let children = std::mem::take(&mut self.children[blossom]);
        let child_links = std::mem::take(&mut self.child_links[blossom]);
        for &child in &children {
            self.parent[child] = NONE;
            self.label[child] = Label::Free;
            self.tree_link[child] = NONE;
            let set = self.set_of_blossom[child];
            self.blossom_of_set[set] = child;
            if set != self.set_of_blossom[blossom] {
                self.offset[set] = 0;
                self.move_to_set(child, set);
            }
        }
        self.label[blossom] = Label::Free;
        self.tree_link[blossom] = NONE;
        self.unused.push(blossom);
        (children, child_links)
    }

    /// Exchanges matched links inside a blossom so that `vertex` becomes its base.
    pub fn rebase(&mut self, blossom: usize, vertex: usize) {
        let mut open = vec![(blossom, vertex)];
        while let Some((around, v)) = open.pop() {
            let mut child = v;
            while child != around {
                let b = self.parent[child];
                self.rebase_cycle(b, child, &mut open);
                self.base[b] = v;
                child = b;
            }
        }
    }

    /// Makes `child` the first of its cycle; children that get new partners on the way go to `open`.
    fn rebase_cycle(&mut self, b: usize, child: usize, open: &mut Vec<(usize, usize)>) {
        let place = self.children[b].iter().position(|p| *p == child);
        debug_assert!(place.is_some(), "a child is on the cycle of its parent");
        let place = place.unwrap_or(0);
        for (i, p) in self.even_path(b, place) {
            // Child `i` and the next one along are matched by half-link `p`, which ends in child `i`.
            self.mate[self.ends[p]] = p ^ 1;
            self.mate[self.ends[p ^ 1]] = p;
            let next = (i + 1) % self.children[b].len();
            open.push((self.children[b][i], self.ends[p]));
            open.push((self.children[b][next], self.ends[p ^ 1]));
        }
        self.children[b].rotate_left(place);
        self.child_links[b].rotate_left(place);
    }

    /// The links to be matched on the even path (the way round with an even number of links) between the base child and the
    /// child at `place`.
    fn even_path(&self, blossom: usize, place: usize) -> Vec<(usize, usize)> {
        let child_links = &self.child_links[blossom];
        if place % 2 == 1 {
            (place + 1..child_links.len()).step_by(2).map(|i| (i, child_links[i])).collect()
        } else {
            (0..place).step_by(2).map(|i| (i, child_links[i])).collect()
        }
    }

    /// Partners, duals and the odd sets whose dual is above 0.
    pub fn into_matched(self) -> Matched {
        let mut sets: Vec<OddSet> = Vec::new();
        let mut duals: Vec<i64> = (0..self.count).map(|v| self.dual_sum(v)).collect();
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
            if self.dual[b] > 0 && !self.children[b].is_empty() {
                sets.push(OddSet { members: Vec::new(), within, dual: self.dual[b] });
                within = Some(sets.len() - 1);
                around += self.dual[b];
            }
            open.extend(self.children[b].iter().map(|child| (*child, within, around)));
        }
        sets.iter_mut().for_each(|set| set.members.sort_unstable());
        let partner = self.mate.iter().map(|p| self.ends.get(*p).copied().unwrap_or(NONE)).collect();
        Matched { partner, duals, sets }
    }
}

/// Adjacency lists: where each vertex's list starts, and the lists.
fn adjacency(ends: &[usize], count: usize) -> (Vec<usize>, Vec<usize>) {
    let mut first = vec![0; count + 1];
    for v in ends {
        first[v + 1] += 1;
    }
    for v in 0..count {
        first[v + 1] += first[v];
    }
    let mut next = first.clone();
    let mut adjacent = vec![0; ends.len()];
    for (p, v) in ends.iter().enumerate() {
        adjacent[next[*v]] = p ^ 1;
        next[*v] += 1;
    }
    (first, adjacent)
}
