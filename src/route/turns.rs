//! The line ends that meet at a node → which end a walk that comes in by one goes out by.
//!
//! Method: straightest first, then exchanges between two pairs while that makes turns less sharp, or uncrosses the walk
//! at almost no turn. Limits: exchanges may stop short of the best pairing at nodes where many lines meet.

use kurbo::{Point, Vec2};

use crate::base::angle::turn_deg;
use crate::network::Edge;

/// No end: the walk begins or stops here.
pub const LOOSE: usize = usize::MAX;
/// How far along a line its direction at a node is taken, mm: past the dust of welding, within the bend of a curve.
const LOOK_MM: f64 = 0.5;
/// What a turn of `t` degrees costs is `t²` times this: one sharp turn is worse than two half as sharp.
const COST_OF_SQUARED_DEG: f64 = 10.0;
/// What a crossing of the walk with itself costs: as much as a turn of 10°.
const COST_OF_CROSSING: i64 = 1000;
/// Above this many ends at one node, opposite ones are paired without trying anything else.
pub const MANY_ENDS: usize = 64;

/// Two ends a walk goes through, one after the other; [`LOOSE`] stands second.
pub type Pair = (usize, usize);

/// The directions in which lines leave a node, by end number.
#[derive(Debug, Clone, Default)]
pub struct Headings {
    // Invariant: end `2 * a` is the start of arc `a`, `2 * a + 1` its end; the heading leads away from the node.
    away: Vec<Vec2>,
}

impl Headings {
    /// The headings at both ends of the arcs, in order.
    pub fn of<'a>(arcs: impl Iterator<Item = &'a Edge>) -> Self {
        let both = |e: &'a Edge| [look_along(e.chain.iter()), look_along(e.chain.iter().rev())];
        Self { away: arcs.flat_map(both).collect() }
    }

    /// What it costs to come in by end `a` and go out by end `b`; nothing at a loose end.
    #[expect(clippy::cast_possible_truncation, reason = "at most 180² × 10")]
    pub fn cost(&self, pair: Pair) -> i64 {
        if pair.0 == LOOSE || pair.1 == LOOSE {
            return 0;
        }
        let turn = turn_deg(-self.away[pair.0], self.away[pair.1]);
        (turn * turn * COST_OF_SQUARED_DEG).round() as i64
    }

    /// Ends in counter-clockwise order; those of lines side by side in the order that keeps them side by side.
    fn order_round(&self, ends: &mut [usize]) {
        let side = |e: usize| if e.is_multiple_of(2) { (e / 2) as i64 } else { -((e / 2) as i64) };
        ends.sort_by(|a, b| {
            let angle = |e: usize| self.away[e].atan2();
            angle(*a).total_cmp(&angle(*b)).then(side(*a).cmp(&side(*b)))
        });
    }
}

/// The way from the start of a chain to the point [`LOOK_MM`] along it.
fn look_along<'a>(mut points: impl Iterator<Item = &'a Point>) -> Vec2 {
    let Some(&start) = points.next() else { return Vec2::ZERO };
    let (mut last, mut along) = (start, 0.0);
    for &p in points {
        let step = last.distance(p);
        if along + step >= LOOK_MM {
            return last.lerp(p, (LOOK_MM - along) / step) - start;
        }
        along += step;
        last = p;
    }
    last - start
}

/// The ends at one node, in order round it, and how they are paired.
#[derive(Debug, Clone, Default)]
pub struct Junction {
    /// The pairs.
    pub pairs: Vec<Pair>,
    // Invariant: sorted by end; the second is the place in counter-clockwise order.
    places: Vec<(usize, usize)>,
}

impl Junction {
    /// Pairs the ends at a node; one end of an odd number stays loose.
    pub fn new(mut ends: Vec<usize>, headings: &Headings) -> Self {
        headings.order_round(&mut ends);
        let mut places: Vec<(usize, usize)> = ends.iter().enumerate().map(|(i, e)| (*e, i)).collect();
        places.sort_unstable();
        let mut junction = Self { pairs: Vec::new(), places };
        if ends.len() > MANY_ENDS {
            let half = ends.len() / 2;
            junction.pairs = (0..half).map(|i| (ends[i], ends[i + half])).collect();
            junction.pairs.extend(ends.get(2 * half).map(|e| (*e, LOOSE)));
        } else {
            junction.pairs = straightest_first(&ends, headings);
            junction.exchange(headings);
        }
        junction
    }

    /// What it costs to replace two pairs by two others, counting only the crossing between the two.
    pub fn change(&self, old: [Pair; 2], new: [Pair; 2], headings: &Headings) -> i64 {
        self.cost_of_two(new, headings) - self.cost_of_two(old, headings)
    }

    fn cost_of_two(&self, two: [Pair; 2], headings: &Headings) -> i64 {
        headings.cost(two[0])
            + headings.cost(two[1])
            + COST_OF_CROSSING * i64::from(self.cross(two[0], two[1]))
    }

    fn place(&self, end: usize) -> usize {
        self.places.binary_search_by_key(&end, |p| p.0).map_or(0, |i| self.places[i].1)
    }

    /// True if the walk crosses itself in these two pairs.
    fn cross(&self, one: Pair, two: Pair) -> bool {
        if one.1 == LOOSE || two.1 == LOOSE {
            return false;
        }
        let (a, b) = (self.place(one.0), self.place(one.1));
        let between = |p: usize| p > a.min(b) && p < a.max(b);
        between(self.place(two.0)) != between(self.place(two.1))
    }

    /// Exchanges ends between pairs while that costs less.
    fn exchange(&mut self, headings: &Headings) {
        // Each exchange costs less than before, so this ends; the cap is for safety alone.
        for _ in 0..self.places.len() {
            let mut better = false;
            for i in 0..self.pairs.len() {
                for j in 0..i {
                    better |= self.exchange_two(i, j, headings);
                }
            }
            if !better {
                return;
            }
        }
    }

    fn exchange_two(&mut self, i: usize, j: usize, headings: &Headings) -> bool {
        let old = [self.pairs[i], self.pairs[j]];
        let mut best = (0, old);
        for new in regrouped(old) {
            let others = || self.pairs.iter().enumerate().filter(|(k, _)| *k != i && *k != j);
            let crossed = |two: [Pair; 2]| -> i64 {
                others()
                    .map(|(_, p)| i64::from(self.cross(*p, two[0])) + i64::from(self.cross(*p, two[1])))
                    .sum()
            };
            let change = self.change(old, new, headings) + COST_OF_CROSSING * (crossed(new) - crossed(old));
            if change < best.0 {
                best = (change, new);
            }
        }
        [self.pairs[i], self.pairs[j]] = best.1;
        best.0 < 0
    }
}

/// The two other ways to pair four ends.
pub fn regrouped([one, two]: [Pair; 2]) -> [[Pair; 2]; 2] {
    let pair = |a: usize, b: usize| (a.min(b), a.max(b));
    [[pair(one.0, two.0), pair(one.1, two.1)], [pair(one.0, two.1), pair(one.1, two.0)]]
}

fn straightest_first(ends: &[usize], headings: &Headings) -> Vec<Pair> {
    let mut all = Vec::new();
    for (i, &a) in ends.iter().enumerate() {
        for &b in &ends[..i] {
            all.push((headings.cost((a, b)), a.min(b), a.max(b)));
        }
    }
    all.sort_unstable();
    let mut left: Vec<usize> = ends.to_vec();
    let mut pairs = Vec::new();
    for (_, a, b) in all {
        if left.contains(&a) && left.contains(&b) {
            left.retain(|e| *e != a && *e != b);
            pairs.push((a, b));
        }
    }
    pairs.extend(left.iter().map(|e| (*e, LOOSE)));
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::network::EdgeKind;

    /// Straight lines out of 0,0 at these angles; end `2 * i` is at 0,0.
    fn star(degrees: &[f64]) -> Headings {
        let edges: Vec<Edge> = degrees.iter().map(|d| ray(*d)).collect();
        Headings::of(edges.iter())
    }

    fn ray(degrees: f64) -> Edge {
        let to = Point::ORIGIN + 10.0 * Vec2::from_angle(degrees.to_radians());
        Edge {
            from: 0,
            to: 1,
            chain: vec![Point::ORIGIN, to],
            corners: vec![],
            length_mm: 10.0,
            kind: EdgeKind::Drawn,
        }
    }

    fn paired(degrees: &[f64]) -> Vec<Pair> {
        let ends = (0..degrees.len()).map(|i| 2 * i).collect();
        let mut pairs = Junction::new(ends, &star(degrees)).pairs;
        pairs.sort_unstable();
        pairs
    }

    #[test]
    fn crossing_lines_are_walked_straight_on() {
        assert_eq!(paired(&[0.0, 90.0, 180.0, 270.0]), vec![(0, 4), (2, 6)]);
        assert_eq!(paired(&[0.0, 60.0, 120.0, 180.0, 240.0, 300.0]), vec![(0, 6), (2, 8), (4, 10)]);
    }

    #[test]
    fn the_odd_end_is_the_one_that_fits_worst() {
        assert_eq!(paired(&[0.0, 180.0, 90.0]), vec![(0, 2), (4, LOOSE)]);
    }

    #[test]
    fn lines_that_touch_are_not_crossed() {
        // Two curves that kiss: their ends leave in nearly the same direction, and either pairing is nearly straight.
        assert_eq!(paired(&[2.0, -2.0, 178.0, 182.0]), vec![(0, 4), (2, 6)]);
    }

    #[test]
    fn turning_back_is_the_last_choice() {
        assert_eq!(
            paired(&[0.0, 0.0, 90.0, 90.0]).iter().map(|p| star(&[0.0, 0.0, 90.0, 90.0]).cost(*p)).max(),
            Some(81_000)
        );
    }

    #[test]
    fn a_heading_looks_past_dust() {
        let p = |x, y| Point::new(x, y);
        let heading = look_along([p(0.0, 0.0), p(0.0, 0.0), p(0.0, 0.001), p(3.0, 0.001)].iter());
        assert!(heading.atan2().abs() < 0.01, "{heading:?}");
        assert_eq!(look_along([p(1.0, 1.0), p(1.0, 1.2)].iter()), p(1.0, 1.2) - p(1.0, 1.0));
    }
}
