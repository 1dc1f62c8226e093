//! One alternating tree, grown from a free vertex until it meets another free vertex.

use std::cmp::Reverse;

use super::NONE;
use super::blossom::{Blossoms, Label};

impl Blossoms {
    /// Matches `root` and one other free vertex, changing partners along the way between them.
    ///
    /// # Errors
    /// The vertices whose duals could rise without end, if no free vertex can be reached.
    pub fn search(&mut self, root: usize) -> Result<(), Vec<usize>> {
        self.now = 0;
        self.end = i64::MAX;
        self.events.clear();
        self.touched.clear();
        self.raise(self.top(root), NONE);
        while let Some(Reverse((time, event))) = self.events.pop() {
            self.now = time;
            if event >= self.weight.len() {
                self.open_if_spent(event - self.weight.len());
            } else if self.use_link(event) {
                self.end_search();
                return Ok(());
            }
        }
        Err(self.rising_vertices())
    }

    /// Uses a link if it has run out; true if that led to a free vertex.
    fn use_link(&mut self, link: usize) -> bool {
        // `p` ends at the rising side.
        let [a, b] = [self.ends[2 * link], self.ends[2 * link + 1]].map(|v| self.top(v));
        let p = if self.label[a] == Label::Rising { 2 * link } else { 2 * link + 1 };
        let other = self.top(self.ends[p ^ 1]);
        if a == b || self.label[self.top(self.ends[p])] != Label::Rising || self.slack(link) != 0 {
            return false;
        }
        match self.label[other] {
            Label::Falling => false,
            Label::Rising => {
                self.close_ring(p);
                false
            }
            Label::Out if self.mate[self.base[other]] == NONE => {
                self.swap_partners(p);
                true
            }
            Label::Out => {
                self.lower(other, p);
                self.raise_mate(other);
                false
            }
        }
    }

    /// Labels a blossom rising and looks along its links.
    fn raise(&mut self, blossom: usize, entry: usize) {
        self.set_label(blossom, Label::Rising, entry);
        for v in self.vertices(blossom) {
            self.look_around(v);
        }
    }

    fn lower(&mut self, blossom: usize, entry: usize) {
        self.set_label(blossom, Label::Falling, entry);
        if blossom >= self.count {
            self.events.push(Reverse((self.now + self.dual[blossom], self.weight.len() + blossom)));
        }
    }

    /// Raises the blossom that a falling one is matched to.
    fn raise_mate(&mut self, falling: usize) {
        let mate = self.mate[self.base[falling]];
        self.raise(self.top(self.ends[mate]), mate ^ 1);
    }

    fn set_label(&mut self, blossom: usize, label: Label, entry: usize) {
        self.label[blossom] = label;
        self.entry[blossom] = entry;
        self.since[blossom] = self.now;
        self.touched.push(blossom);
    }

    /// Notes when the links of a rising vertex will have run out.
    fn look_around(&mut self, vertex: usize) {
        for i in self.away(vertex) {
            let p = self.half(i);
            let other = self.top(self.ends[p]);
            if other == self.top(vertex) {
                continue;
            }
            match self.label[other] {
                Label::Out => self.note(p / 2, self.slack(p / 2), other),
                Label::Rising => self.note(p / 2, self.slack(p / 2) / 2, other),
                Label::Falling => {}
            }
        }
    }

    /// Notes that a link to `other` runs out `wait` from now, unless the search has come to its end by then.
    fn note(&mut self, link: usize, wait: i64, other: usize) {
        let time = self.now + wait;
        if time > self.end {
            return;
        }
        if self.label[other] == Label::Out && self.mate[self.base[other]] == NONE {
            // Nothing but the end of the search can come between a rising vertex and a free one.
            self.end = time;
        }
        self.events.push(Reverse((time, link)));
    }

    /// Notes when the links from rising vertices to one that left the tree will have run out.
    fn look_back(&mut self, vertex: usize) {
        for i in self.away(vertex) {
            let p = self.half(i);
            if self.label[self.top(self.ends[p])] == Label::Rising {
                self.note(p / 2, self.slack(p / 2), self.top(vertex));
            }
        }
    }

    /// Binds the ring that a link between two rising blossoms closes.
    fn close_ring(&mut self, p: usize) {
        let (left, right) = (self.top(self.ends[p]), self.top(self.ends[p ^ 1]));
        let root = self.meeting(left, right);
        let (mut petals, mut stems) = (Vec::new(), Vec::new());
        let mut at = left;
        while at != root {
            petals.push(at);
            stems.push(self.entry[at]);
            at = self.top(self.ends[self.entry[at]]);
        }
        petals.push(root);
        petals.reverse();
        stems.reverse();
        stems.push(p);
        at = right;
        while at != root {
            petals.push(at);
            stems.push(self.entry[at] ^ 1);
            at = self.top(self.ends[self.entry[at]]);
        }
        let mut turned = Vec::new();
        for &petal in &petals {
            self.settle(petal);
            if self.label[petal] == Label::Falling {
                turned.extend(self.vertices(petal));
            }
            self.label[petal] = Label::Out;
        }
        let entry = self.entry[root];
        let ring = self.bind(petals, stems);
        self.set_label(ring, Label::Rising, entry);
        for v in turned {
            self.look_around(v);
        }
    }

    /// The first blossom that is on both ways to the root.
    fn meeting(&mut self, left: usize, right: usize) -> usize {
        self.stamps += 1;
        let (mut one, mut other) = (left, right);
        loop {
            if one != NONE {
                if self.stamp[one] == self.stamps {
                    return one;
                }
                self.stamp[one] = self.stamps;
                one = self.two_up(one);
            }
            std::mem::swap(&mut one, &mut other);
            if one == NONE && other == NONE {
                return left;
            }
        }
    }

    /// From a rising blossom to the next rising one towards the root.
    fn two_up(&self, rising: usize) -> usize {
        if self.entry[rising] == NONE {
            return NONE;
        }
        let falling = self.top(self.ends[self.entry[rising]]);
        self.top(self.ends[self.entry[falling]])
    }

    /// Takes a falling blossom apart if its dual has come down to 0.
    fn open_if_spent(&mut self, blossom: usize) {
        let falling = self.label[blossom] == Label::Falling && self.parent[blossom] == NONE;
        if !falling || self.dual[blossom] != self.now - self.since[blossom] {
            return;
        }
        self.settle(blossom);
        let mut p = self.entry[blossom];
        let (petals, stems) = self.unbind(blossom);
        let entered = self.top(self.ends[p ^ 1]);
        let count = petals.len();
        let Some(mut at) = petals.iter().position(|b| *b == entered) else { return };
        let onward = at % 2 == 1;
        // The way from the entered petal to the base, by the even side, stays in the tree.
        while at != 0 {
            self.lower(petals[at], p);
            self.raise_mate(petals[at]);
            let stem = if onward { (at + 1) % count } else { at - 2 };
            p = if onward { stems[stem] } else { stems[stem] ^ 1 };
            at = if onward { (at + 2) % count } else { at - 2 };
        }
        self.lower(petals[0], p);
        for &petal in &petals {
            if self.label[petal] == Label::Out {
                for v in self.vertices(petal) {
                    self.look_back(v);
                }
            }
        }
    }

    /// Matches along the way from the root, over half-link `p` (ending in the tree), to the free vertex beyond it.
    fn swap_partners(&mut self, p: usize) {
        let free = self.ends[p ^ 1];
        self.rebase(self.top(free), free);
        self.mate[free] = p;
        let mut half = p ^ 1;
        loop {
            let vertex = self.ends[half ^ 1];
            let rising = self.top(vertex);
            self.rebase(rising, vertex);
            self.mate[vertex] = half;
            if self.entry[rising] == NONE {
                return;
            }
            let falling = self.top(self.ends[self.entry[rising]]);
            let up = self.entry[falling];
            let inner = self.ends[up ^ 1];
            self.rebase(falling, inner);
            self.mate[inner] = up;
            half = up ^ 1;
        }
    }

    /// Writes down all duals and lets go of labels and of blossoms without dual.
    fn end_search(&mut self) {
        let mut empty = Vec::new();
        for b in std::mem::take(&mut self.touched) {
            if self.parent[b] != NONE || self.label[b] == Label::Out {
                continue;
            }
            self.settle(b);
            self.label[b] = Label::Out;
            self.entry[b] = NONE;
            empty.push(b);
        }
        while let Some(b) = empty.pop() {
            if b >= self.count && self.dual[b] == 0 {
                empty.extend(self.unbind(b).0);
            }
        }
    }

    fn rising_vertices(&self) -> Vec<usize> {
        let mut found: Vec<usize> =
            (0..self.count).filter(|v| self.label[self.top(*v)] == Label::Rising).collect();
        found.sort_unstable();
        found
    }
}
