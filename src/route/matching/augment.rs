//! One alternating tree, grown from an exposed (unmatched) vertex until it reaches another: an augmenting path.

use std::cmp::Reverse;

use super::NONE;
use super::blossom::{Blossoms, Label};

impl Blossoms {
    /// Matches `root` and one other exposed vertex: grows a tree until there is an augmenting path, and augments along it.
    ///
    /// # Errors
    /// The vertices whose duals could rise without end, if no exposed vertex can be reached.
    pub fn augment(&mut self, root: usize) -> Result<(), Vec<usize>> {
        self.delta = 0;
        self.augmenting_at = i64::MAX;
        self.events.clear();
        self.labelled.clear();
        self.label_outer(self.outermost(root), NONE);
        while let Some(Reverse((due, event))) = self.events.pop() {
            self.delta = due;
            if event >= self.weight.len() {
                self.expand_if_zero(event - self.weight.len());
            } else if self.use_if_tight(event) {
                self.end_search();
                return Ok(());
            }
        }
        Err(self.outer_vertices())
    }

    /// Uses a link if it is tight: grows the tree, shrinks a blossom or augments; true if it augmented.
    fn use_if_tight(&mut self, link: usize) -> bool {
        // `p` ends at the outer side.
        let [a, b] = [self.ends[2 * link], self.ends[2 * link + 1]].map(|v| self.outermost(v));
        let p = if self.label[a] == Label::Outer { 2 * link } else { 2 * link + 1 };
        let other = self.outermost(self.ends[p ^ 1]);
        if a == b || self.label[self.outermost(self.ends[p])] != Label::Outer || self.slack(link) != 0 {
            return false;
        }
        match self.label[other] {
            Label::Inner => false,
            Label::Outer => {
                self.shrink_cycle(p);
                false
            }
            Label::Free if self.mate[self.base[other]] == NONE => {
                self.augment_along(p);
                true
            }
            Label::Free => {
                self.label_inner(other, p);
                self.label_mate_outer(other);
                false
            }
        }
    }

    /// Labels a blossom outer and scans its links.
    fn label_outer(&mut self, blossom: usize, tree_link: usize) {
        self.set_label(blossom, Label::Outer, tree_link);
        for v in self.vertices(blossom) {
            self.scan(v);
        }
    }

    fn label_inner(&mut self, blossom: usize, tree_link: usize) {
        self.set_label(blossom, Label::Inner, tree_link);
        if blossom >= self.count {
            self.events.push(Reverse((self.delta + self.dual[blossom], self.weight.len() + blossom)));
        }
    }

    /// Labels the blossom that an inner one is matched to outer.
    fn label_mate_outer(&mut self, inner: usize) {
        let mate = self.mate[self.base[inner]];
        self.label_outer(self.outermost(self.ends[mate]), mate ^ 1);
    }

    fn set_label(&mut self, blossom: usize, label: Label, tree_link: usize) {
        self.label[blossom] = label;
        self.tree_link[blossom] = tree_link;
        self.labelled_at[blossom] = self.delta;
        self.labelled.push(blossom);
    }

    /// Schedules the links of an outer vertex for when they become tight.
    fn scan(&mut self, vertex: usize) {
        for i in self.incident(vertex) {
            let p = self.half_link(i);
            let other = self.outermost(self.ends[p]);
            if other == self.outermost(vertex) {
                continue;
            }
            match self.label[other] {
                Label::Free => self.schedule(p / 2, self.slack(p / 2), other),
                Label::Outer => self.schedule(p / 2, self.slack(p / 2) / 2, other),
                Label::Inner => {}
            }
        }
    }

    /// Schedules a link to `other`, tight once Δ has grown by `wait`, unless there is an augmenting path before that.
    fn schedule(&mut self, link: usize, wait: i64, other: usize) {
        let due = self.delta + wait;
        if due > self.augmenting_at {
            return;
        }
        if self.label[other] == Label::Free && self.mate[self.base[other]] == NONE {
            // A link from an outer to an exposed vertex becomes tight in any case, unless the tree augments before.
            self.augmenting_at = due;
        }
        self.events.push(Reverse((due, link)));
    }

    /// Schedules the links from outer vertices to a vertex that left the tree.
    fn scan_freed(&mut self, vertex: usize) {
        for i in self.incident(vertex) {
            let p = self.half_link(i);
            if self.label[self.outermost(self.ends[p])] == Label::Outer {
                self.schedule(p / 2, self.slack(p / 2), self.outermost(vertex));
            }
        }
    }

    /// Shrinks the odd cycle that a tight link between two outer blossoms closes.
    fn shrink_cycle(&mut self, p: usize) {
        let (left, right) = (self.outermost(self.ends[p]), self.outermost(self.ends[p ^ 1]));
        let root = self.common_ancestor(left, right);
        let (mut children, mut child_links) = (Vec::new(), Vec::new());
        let mut at = left;
        while at != root {
            children.push(at);
            child_links.push(self.tree_link[at]);
            at = self.outermost(self.ends[self.tree_link[at]]);
        }
        children.push(root);
        children.reverse();
        child_links.reverse();
        child_links.push(p);
        at = right;
        while at != root {
            children.push(at);
            child_links.push(self.tree_link[at] ^ 1);
            at = self.outermost(self.ends[self.tree_link[at]]);
        }
        let mut newly_outer = Vec::new();
        for &child in &children {
            self.write_duals(child);
            if self.label[child] == Label::Inner {
                newly_outer.extend(self.vertices(child));
            }
            self.label[child] = Label::Free;
        }
        let tree_link = self.tree_link[root];
        let blossom = self.shrink(children, child_links);
        self.set_label(blossom, Label::Outer, tree_link);
        for v in newly_outer {
            self.scan(v);
        }
    }

    /// The lowest common ancestor of two outer blossoms in the tree; walks up from both at once.
    fn common_ancestor(&mut self, left: usize, right: usize) -> usize {
        self.visit += 1;
        let (mut one, mut other) = (left, right);
        loop {
            if one != NONE {
                if self.visited_in[one] == self.visit {
                    return one;
                }
                self.visited_in[one] = self.visit;
                one = self.grandparent(one);
            }
            std::mem::swap(&mut one, &mut other);
            if one == NONE && other == NONE {
                return left;
            }
        }
    }

    /// From an outer blossom to the next outer one towards the root.
    fn grandparent(&self, outer: usize) -> usize {
        if self.tree_link[outer] == NONE {
            return NONE;
        }
        let inner = self.outermost(self.ends[self.tree_link[outer]]);
        self.outermost(self.ends[self.tree_link[inner]])
    }

    /// Expands an inner blossom if its dual has come down to 0.
    fn expand_if_zero(&mut self, blossom: usize) {
        let inner = self.label[blossom] == Label::Inner && self.parent[blossom] == NONE;
        if !inner || self.dual[blossom] != self.delta - self.labelled_at[blossom] {
            return;
        }
        self.write_duals(blossom);
        let mut p = self.tree_link[blossom];
        let (children, child_links) = self.expand(blossom);
        let entered = self.outermost(self.ends[p ^ 1]);
        let count = children.len();
        let Some(mut at) = children.iter().position(|b| *b == entered) else {
            debug_assert!(false, "the tree enters a blossom by one of its children");
            return;
        };
        let onward = at % 2 == 1;
        // The even path from the child that the tree enters by to the base stays in the tree.
        while at != 0 {
            self.label_inner(children[at], p);
            self.label_mate_outer(children[at]);
            let link_at = if onward { (at + 1) % count } else { at - 2 };
            p = if onward { child_links[link_at] } else { child_links[link_at] ^ 1 };
            at = if onward { (at + 2) % count } else { at - 2 };
        }
        self.label_inner(children[0], p);
        for &child in &children {
            if self.label[child] == Label::Free {
                for v in self.vertices(child) {
                    self.scan_freed(v);
                }
            }
        }
    }

    /// Exchanges matched and unmatched links along the path from the root, over half-link `p` (ending in the tree), to the
    /// exposed vertex beyond it.
    fn augment_along(&mut self, p: usize) {
        let exposed = self.ends[p ^ 1];
        self.rebase(self.outermost(exposed), exposed);
        self.mate[exposed] = p;
        let mut half = p ^ 1;
        loop {
            let vertex = self.ends[half ^ 1];
            let outer = self.outermost(vertex);
            self.rebase(outer, vertex);
            self.mate[vertex] = half;
            if self.tree_link[outer] == NONE {
                return;
            }
            let inner = self.outermost(self.ends[self.tree_link[outer]]);
            let up = self.tree_link[inner];
            let vertex = self.ends[up ^ 1];
            self.rebase(inner, vertex);
            self.mate[vertex] = up;
            half = up ^ 1;
        }
    }

    /// Writes down all duals, removes all labels and expands the outermost blossoms whose dual is 0.
    fn end_search(&mut self) {
        let mut empty = Vec::new();
        for b in std::mem::take(&mut self.labelled) {
            if self.parent[b] != NONE || self.label[b] == Label::Free {
                continue;
            }
            self.write_duals(b);
            self.label[b] = Label::Free;
            self.tree_link[b] = NONE;
            empty.push(b);
        }
        while let Some(b) = empty.pop() {
            if b >= self.count && self.dual[b] == 0 {
                empty.extend(self.expand(b).0);
            }
        }
    }

    fn outer_vertices(&self) -> Vec<usize> {
        let mut found: Vec<usize> =
            (0..self.count).filter(|v| self.label[self.outermost(*v)] == Label::Outer).collect();
        found.sort_unstable();
        found
    }
}
