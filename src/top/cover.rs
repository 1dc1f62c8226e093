//! Boxes → the fewest windows of given sizes that hold them all, every box whole in at least one window.
//!
//! Method: some smallest cover has windows pushed right and up until the left and the lower side of each touch a box, so
//! only such windows are tried; of these the fewest are found by branching on the box that the fewest windows hold, with a
//! bound from boxes of which no two fit into one window. Limits: exact up to [`MOST_WINDOWS`] windows, [`MOST_TRIES`]
//! branches and [`MOST_WORK`]; beyond that a good cover, which [`Cover::exact`] owns up to.

use std::collections::BTreeSet;

use kurbo::{Point, Rect, Size};

use crate::base::tolerance::DUST_MM;

/// Windows that are tried at most; with more the positions are thinned out.
pub const MOST_WINDOWS: usize = 20_000;
/// Branches that are followed at most.
pub const MOST_TRIES: usize = 20_000;
/// Boxes that are looked at in all branches together at most: about a second.
pub const MOST_WORK: usize = 3_000_000;

/// The windows found.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// The windows, from the bottom left to the top right.
    pub windows: Vec<Rect>,
    /// True if no cover has fewer.
    pub exact: bool,
}

/// Which boxes a window holds, a bit a box.
type Held = Vec<u64>;

/// Covers `boxes` with windows of the sizes in `fields`.
///
/// `None` if there is a box that no window holds.
#[must_use]
pub fn cover(boxes: &[Rect], fields: &[Size]) -> Option<Cover> {
    let fields = largest(fields);
    if boxes.iter().any(|b| !fields.iter().any(|f| fits(b, f))) {
        return None;
    }
    let (candidates, thinned) = candidates(boxes, &fields);
    let holds: Vec<&Held> = candidates.iter().map(|(held, _)| held).collect();
    let holders = holders(&holds, boxes.len());
    let mut chosen = greedy(&holds, &holders, boxes)?;
    let orders = orders(boxes);
    let all = full(boxes.len());
    let bound = apart(boxes, &all, &fields, &orders);
    let mut search = Search { boxes, fields: &fields, orders, holds: &holds, holders, tries: 0, work: 0 };
    let mut proven = true;
    for count in bound..chosen.len() {
        let mut taken = Vec::new();
        if search.within(&all, count, &mut taken) {
            chosen = taken;
            break;
        }
        if search.is_spent() {
            proven = false;
            break;
        }
    }
    let mut windows: Vec<Rect> = chosen.into_iter().map(|i| candidates[i].1).collect();
    windows.sort_by(|a, b| a.y0.total_cmp(&b.y0).then(a.x0.total_cmp(&b.x0)));
    Some(Cover { exact: (proven && !thinned) || windows.len() == bound, windows })
}

/// How many of `boxes` there are at least of which no two fit into one window: no cover has fewer windows.
#[must_use]
pub fn at_least(boxes: &[Rect], fields: &[Size]) -> usize {
    apart(boxes, &full(boxes.len()), &largest(fields), &orders(boxes))
}

/// The fields that no other field contains.
#[must_use]
pub fn largest(fields: &[Size]) -> Vec<Size> {
    let mut kept: Vec<Size> = Vec::new();
    for (i, f) in fields.iter().enumerate() {
        let inside = |(j, g): (usize, &Size)| {
            let smaller = f.width <= g.width && f.height <= g.height;
            smaller && (f != g || j < i)
        };
        if !fields.iter().enumerate().any(inside) {
            kept.push(*f);
        }
    }
    kept
}

fn fits(b: &Rect, field: &Size) -> bool {
    b.width() <= field.width + DUST_MM && b.height() <= field.height + DUST_MM
}

/// All windows pushed against boxes that are worth trying, each with the boxes it holds; true if positions were left out.
fn candidates(boxes: &[Rect], fields: &[Size]) -> (Vec<(Held, Rect)>, bool) {
    let all = boxes.iter().copied().reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    let mut thinned = false;
    let mut found: Vec<(Held, Rect)> = Vec::new();
    for field in fields {
        let mut xs = places(boxes.iter().map(|b| b.x0));
        let mut ys = places(boxes.iter().map(|b| b.y0));
        // Where one window reaches over everything, the least position does.
        xs.truncate(if all.width() <= field.width + DUST_MM { 1 } else { xs.len() });
        ys.truncate(if all.height() <= field.height + DUST_MM { 1 } else { ys.len() });
        let most = MOST_WINDOWS / fields.len();
        while xs.len() * ys.len() > most {
            thinned = true;
            let longer = if xs.len() > ys.len() { &mut xs } else { &mut ys };
            *longer = thin(longer);
        }
        for x in &xs {
            for y in &ys {
                let window = Rect::from_origin_size(Point::new(*x, *y), *field);
                let held = held(boxes, &window);
                if held.iter().any(|word| *word != 0) {
                    found.push((held, window));
                }
            }
        }
    }
    (without_doubles(found), thinned)
}

/// Different positions to try along one axis, rising.
pub fn places(starts: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut starts: Vec<f64> = starts.collect();
    starts.sort_by(f64::total_cmp);
    starts.dedup_by(|a, b| (*a - *b).abs() < DUST_MM);
    starts
}

/// Every second position, the first one kept.
fn thin(places: &[f64]) -> Vec<f64> {
    places.iter().step_by(2).copied().collect()
}

fn held(boxes: &[Rect], window: &Rect) -> Held {
    let mut held = vec![0; boxes.len().div_ceil(64)];
    let room = window.inflate(DUST_MM, DUST_MM);
    for (i, b) in boxes.iter().enumerate() {
        if b.x0 >= room.x0 && b.x1 <= room.x1 && b.y0 >= room.y0 && b.y1 <= room.y1 {
            held[i / 64] |= 1 << (i % 64);
        }
    }
    held
}

/// Each set of boxes once, and none that another contains, as far as that is cheap to tell.
fn without_doubles(found: Vec<(Held, Rect)>) -> Vec<(Held, Rect)> {
    const PAIRS: usize = 3000;
    let mut seen: BTreeSet<Held> = BTreeSet::new();
    let mut kept: Vec<(Held, Rect)> =
        found.into_iter().filter(|(held, _)| seen.insert(held.clone())).collect();
    kept.sort_by_key(|(held, _)| std::cmp::Reverse(size(held)));
    if kept.len() > PAIRS {
        return kept;
    }
    let mut best: Vec<(Held, Rect)> = Vec::new();
    for (held, window) in kept {
        if !best.iter().any(|(more, _)| held.iter().zip(more).all(|(h, m)| h & !m == 0)) {
            best.push((held, window));
        }
    }
    best
}

fn size(held: &Held) -> u32 {
    held.iter().map(|word| word.count_ones()).sum()
}

fn full(count: usize) -> Held {
    let mut held = vec![u64::MAX; count.div_ceil(64)];
    if let Some(last) = held.last_mut().filter(|_| !count.is_multiple_of(64)) {
        *last = (1 << (count % 64)) - 1;
    }
    held
}

fn without(left: &Held, held: &Held) -> Held {
    left.iter().zip(held).map(|(l, h)| l & !h).collect()
}

/// The best of some quick covers: the window that holds most first, and sweeps from the four sides and corners, each
/// time with the window that holds the next box and most others.
fn greedy(holds: &[&Held], holders: &[Vec<usize>], boxes: &[Rect]) -> Option<Vec<usize>> {
    let gain = |i: usize, left: &Held| -> u32 { both(holds[i], left) };
    let most = |ways: &mut dyn Iterator<Item = usize>, left: &Held| {
        ways.max_by_key(|i| (gain(*i, left), std::cmp::Reverse(*i)))
    };
    let mut best: Option<Vec<usize>> = None;
    let sweeps =
        [(0.0, 0.0), (1.0, 0.1), (-1.0, 0.1), (0.1, 1.0), (0.1, -1.0), (1.0, 1.0), (-1.0, 1.0), (1.0, -1.0)];
    for (sx, sy) in sweeps {
        let mut order: Vec<usize> = (0..boxes.len()).collect();
        let key = |i: usize| sx * boxes[i].center().x + sy * boxes[i].center().y;
        order.sort_by(|a, b| key(*a).total_cmp(&key(*b)));
        let mut left = full(boxes.len());
        let mut chosen = Vec::new();
        for first in order {
            if !has(&left, first) {
                continue;
            }
            while has(&left, first) {
                let window = if sx == sy && sx == 0.0 {
                    most(&mut (0..holds.len()), &left)?
                } else {
                    most(&mut holders[first].iter().copied(), &left)?
                };
                if gain(window, &left) == 0 {
                    return best;
                }
                left = without(&left, holds[window]);
                chosen.push(window);
            }
        }
        if best.as_ref().is_none_or(|b| chosen.len() < b.len()) {
            best = Some(chosen);
        }
    }
    best
}

fn has(held: &Held, i: usize) -> bool {
    held[i / 64] >> (i % 64) & 1 == 1
}

fn both(a: &Held, b: &Held) -> u32 {
    a.iter().zip(b).map(|(a, b)| (a & b).count_ones()).sum()
}

/// How many of the boxes left there are of which no two fit into one window: a bound from below.
fn apart(boxes: &[Rect], left: &Held, fields: &[Size], orders: &[Vec<usize>]) -> usize {
    let mut most = 0;
    for order in orders {
        let mut picked: Vec<Rect> = Vec::new();
        for i in order.iter().filter(|i| has(left, **i)) {
            if picked.iter().all(|p| !fields.iter().any(|f| fits(&p.union(boxes[*i]), f))) {
                picked.push(boxes[*i]);
            }
        }
        most = most.max(picked.len());
    }
    most
}

/// The boxes from each corner and each side in turn, as what [`apart`] picks depends on where it begins.
fn orders(boxes: &[Rect]) -> Vec<Vec<usize>> {
    let ways = [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (1.0, 0.01), (0.01, 1.0)];
    let sorted = ways.map(|(sx, sy)| {
        let key = |i: &usize| sx * boxes[*i].center().x + sy * boxes[*i].center().y;
        let mut order: Vec<usize> = (0..boxes.len()).collect();
        order.sort_by(|a, b| key(a).total_cmp(&key(b)));
        order
    });
    sorted.to_vec()
}

fn holders(holds: &[&Held], count: usize) -> Vec<Vec<usize>> {
    (0..count).map(|b| (0..holds.len()).filter(|w| has(holds[*w], b)).collect()).collect()
}

/// A search for a cover of a given count.
struct Search<'h> {
    boxes: &'h [Rect],
    fields: &'h [Size],
    orders: Vec<Vec<usize>>,
    holds: &'h [&'h Held],
    /// By box, the windows that hold it.
    holders: Vec<Vec<usize>>,
    tries: usize,
    work: usize,
}

impl Search<'_> {
    fn is_spent(&self) -> bool {
        self.tries >= MOST_TRIES || self.work >= MOST_WORK
    }

    /// Covers what is left with `count` windows, if it can be done.
    fn within(&mut self, left: &Held, count: usize, taken: &mut Vec<usize>) -> bool {
        let rest = size(left);
        if rest == 0 {
            return true;
        }
        if count == 0 || self.is_spent() {
            return false;
        }
        self.tries += 1;
        self.work += rest as usize;
        if apart(self.boxes, left, self.fields, &self.orders) > count {
            return false;
        }
        let Some(hardest) = self.hardest(left) else { return false };
        let gain = |w: usize| both(self.holds[w], left);
        let mut ways: Vec<(u32, usize)> = self.holders[hardest].iter().map(|w| (gain(*w), *w)).collect();
        ways.sort_by_key(|(gain, w)| (std::cmp::Reverse(*gain), *w));
        for (_, window) in ways {
            taken.push(window);
            if self.within(&without(left, self.holds[window]), count - 1, taken) {
                return true;
            }
            taken.pop();
        }
        false
    }

    /// The box that the fewest windows hold, of those left.
    fn hardest(&self, left: &Held) -> Option<usize> {
        (0..self.holders.len()).filter(|i| has(left, *i)).min_by_key(|i| (self.holders[*i].len(), *i))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(across: u32, up: u32, pitch: f64) -> Vec<Rect> {
        let cell = |i: u32, j: u32| {
            Rect::from_origin_size((f64::from(i) * pitch, f64::from(j) * pitch), (pitch, pitch))
        };
        (0..up).flat_map(|j| (0..across).map(move |i| cell(i, j))).collect()
    }

    #[test]
    fn a_square_twice_as_large_as_the_window_takes_four() {
        let got = cover(&grid(4, 4, 10.0), &[Size::new(20.0, 20.0)]).unwrap();
        assert_eq!((got.windows.len(), got.exact), (4, true));
    }

    #[test]
    fn a_strip_takes_as_many_as_its_length_asks() {
        let got = cover(&grid(13, 1, 10.0), &[Size::new(15.0, 40.0), Size::new(40.0, 15.0)]).unwrap();
        assert_eq!((got.windows.len(), got.exact), (4, true));
    }

    #[test]
    fn greed_is_beaten_where_it_errs() {
        // The window that holds most sits in the middle and leaves both ends: three where two are enough.
        let lengths = [(0.0, 1.0), (1.0, 1.5), (1.6, 2.1), (2.2, 2.7), (2.8, 3.3), (3.4, 4.4)];
        let boxes: Vec<Rect> = lengths.iter().map(|(a, b)| Rect::new(*a, 0.0, *b, 1.0)).collect();
        let got = cover(&boxes, &[Size::new(2.2, 1.0)]).unwrap();
        assert_eq!((got.windows.len(), got.exact), (2, true));
    }

    #[test]
    fn every_box_lies_whole_in_a_window() {
        let boxes = grid(7, 5, 10.0);
        let got = cover(&boxes, &[Size::new(25.0, 25.0)]).unwrap();
        let inside =
            |b: &Rect| got.windows.iter().any(|w| w.inflate(1e-6, 1e-6).union(*b).area() <= w.area() + 1e-3);
        assert!(boxes.iter().all(inside));
        assert_eq!(got.windows.len(), 12);
    }

    #[test]
    fn a_box_larger_than_every_window_cannot_be_covered() {
        assert_eq!(cover(&grid(1, 1, 30.0), &[Size::new(20.0, 40.0)]), None);
        assert_eq!(cover(&[], &[Size::new(20.0, 40.0)]).unwrap().windows, []);
    }
}
