//! Holes along a stretch → the same where they sew well, others where they do not.
//!
//! A stitch sews well if it is [`SHORTEST_MM`] to [`LONGEST_MM`] long from hole to hole, stays within [`CHORD_MM`] of its line
//! and is not one that another line has already. Where one does not, the holes about it are chosen anew: of all choices of
//! grid points along that bit of line the one with the steps nearest to those wanted, by dynamic programming (R. Bellman, "On a
//! routing problem", Quarterly of Applied Mathematics 16, 1958), with the hard conditions kept and the others paid for.
//! Limits: a bit that allows no step of [`SHORTEST_MM`] keeps the holes it had.

use kurbo::{Point, Vec2};
use rustc_hash::{FxHashMap, FxHashSet};

use super::grid::{cells, snap};
use super::steps::{LONGEST_MM, SHORTEST_MM, Stretch};
use crate::base::tolerance::{CHORD_MM, GRID_MM};

/// Steps on either side of a bad one that are chosen anew with it, at first and when that does not do.
const WINDOWS: [usize; 3] = [3, 6, 14];
/// How far beside the line, in steps of the machine, grid points are tried, at first and when that does not do.
const BESIDE: [&[f64]; 3] = [&[0.0], &[0.0, 0.6, -0.6], &[0.0, 0.6, -0.6]];
/// How finely places along the line are tried, mm.
const SAMPLE_MM: f64 = GRID_MM;
/// The longest bit of line that one stitch is tried on, as a share of the step wanted there.
const REACH: f64 = 1.9;
/// What it costs to leave the line by [`CHORD_MM`] too much, or at all; a step half or twice as long as wanted costs a half.
const COST_OFF: f64 = 20.0;
const COST_OFF_AT_ALL: f64 = 2.0;
/// What it costs to sew where another line is sewn.
const COST_TAKEN: f64 = 100.0;
/// Rounding of lengths: tenths of a millimetre are no binary fractions.
const DUST_MM: f64 = 1e-9;

/// Two holes, the lower one first, in steps of the machine.
type Pair = ((i64, i64), (i64, i64));

/// The stitches that are taken already. Only asked, never gone through.
#[derive(Debug, Default)]
pub struct Taken(FxHashSet<Pair>);

impl Taken {
    fn holds(&self, a: Point, b: Point) -> bool {
        self.0.contains(&pair(a, b))
    }

    /// Takes every stitch from hole to hole; false if one of them was taken.
    pub fn take(&mut self, holes: &[Point]) -> bool {
        holes.windows(2).filter(|w| !self.0.insert(pair(w[0], w[1]))).count() == 0
    }
}

fn pair(a: Point, b: Point) -> Pair {
    let (a, b) = ((cells(a.x), cells(a.y)), (cells(b.x), cells(b.y)));
    (a.min(b), a.max(b))
}

/// Holes with their places along the stretch, mm.
pub type Holes = Vec<(f64, Point)>;

/// Chooses holes anew wherever a stitch does not sew well; the first and the last hole stay.
pub fn mend(stretch: &Stretch, holes: &mut Holes, taken: &Taken) {
    for (window, beside) in WINDOWS.into_iter().zip(BESIDE) {
        let bad = bad_steps(stretch, holes, taken);
        if bad.is_empty() {
            return;
        }
        let mut own = Own(bad.iter().any(|(_, returns)| *returns).then(FxHashMap::default));
        own.count(holes, 1);
        // From the end, so that places before it stay where they are.
        for (from, to) in windows(&bad, window, holes.len() - 1).into_iter().rev() {
            let bit = &holes[from..=to];
            let stretch = &stretch.part(bit[0].0 - SHORTEST_MM, bit[to - from].0 + SHORTEST_MM);
            // What is sewn on the rest of the line is taken as well.
            own.count(bit, -1);
            let better = chosen(stretch, bit, &|a, b| taken.holds(a, b) || own.holds(a, b), beside);
            own.count(better.as_ref().map_or(bit, Vec::as_slice), 1);
            if let Some(better) = better {
                holes.splice(from..=to, better);
            }
        }
    }
}

/// How often the line itself is sewn from hole to hole; nothing if it never comes back to where it was.
struct Own(Option<FxHashMap<Pair, i32>>);

impl Own {
    fn count(&mut self, holes: &[(f64, Point)], by: i32) {
        let Some(times) = &mut self.0 else { return };
        holes.windows(2).for_each(|w| *times.entry(pair(w[0].1, w[1].1)).or_default() += by);
    }

    fn holds(&self, a: Point, b: Point) -> bool {
        self.0.as_ref().and_then(|times| times.get(&pair(a, b))).is_some_and(|times| *times > 0)
    }
}

/// The steps that do not sew well, by the number of their first hole, each with true if the stretch itself has been there
/// before: a hairpin that comes back.
fn bad_steps(stretch: &Stretch, holes: &Holes, taken: &Taken) -> Vec<(usize, bool)> {
    let mut own = FxHashSet::default();
    let steps = holes.windows(2).enumerate();
    let bad = steps.filter_map(|(i, w)| {
        let returns = !own.insert(pair(w[0].1, w[1].1));
        (returns || taken.holds(w[0].1, w[1].1) || !is_sound(stretch, w[0], w[1])).then_some((i, returns))
    });
    bad.collect()
}

fn is_sound(stretch: &Stretch, from: (f64, Point), to: (f64, Point)) -> bool {
    let long = SHORTEST_MM - DUST_MM..=LONGEST_MM + DUST_MM;
    long.contains(&from.1.distance(to.1)) && stretch.leaves((from.1, to.1), (from.0, to.0)) <= CHORD_MM
}

/// Stretches of holes about bad steps, those that meet joined; the way there stays as it is where a hairpin comes back.
fn windows(bad: &[(usize, bool)], window: usize, last: usize) -> Vec<(usize, usize)> {
    let mut all: Vec<(usize, usize)> = Vec::new();
    for (step, returns) in bad {
        let from = if *returns { *step } else { step.saturating_sub(window) };
        let to = (step + 1 + window).min(last);
        match all.last_mut() {
            Some(open) if from < open.1 => open.1 = to,
            _ => all.push((from, to)),
        }
    }
    all
}

/// The best holes from the first to the last of a bit; `None` if no steps lead there.
fn chosen(
    stretch: &Stretch,
    bit: &[(f64, Point)],
    taken: &impl Fn(Point, Point) -> bool,
    beside: &[f64],
) -> Option<Holes> {
    let (first, last) = (bit[0], bit[bit.len() - 1]);
    let places = places(stretch, first, last, beside);
    let mut best: Vec<(f64, usize)> = vec![(f64::INFINITY, 0); places.len()];
    best[0].0 = 0.0;
    for i in 0..places.len() - 1 {
        if best[i].0 == f64::INFINITY {
            continue;
        }
        let wanted = wanted(bit, places[i].0);
        let reach = places[i].0 + (REACH * wanted).min(LONGEST_MM + SHORTEST_MM);
        let near = places.partition_point(|(s, _)| *s <= reach).min(places.len() - 1);
        for j in (i + 1..near).chain([places.len() - 1]) {
            let cost = best[i].0 + cost(stretch, places[i], places[j], wanted, taken);
            if cost < best[j].0 {
                best[j] = (cost, i);
            }
        }
    }
    let mut at = places.len() - 1;
    if best[at].0 == f64::INFINITY {
        return None;
    }
    let mut way = vec![places[at]];
    while at > 0 {
        at = best[at].1;
        way.push(places[at]);
    }
    way.reverse();
    Some(way)
}

/// Grid points along a bit of line that a hole may have, in order; first and last are the bit's own.
fn places(stretch: &Stretch, first: (f64, Point), last: (f64, Point), beside: &[f64]) -> Holes {
    let mut all = vec![first];
    let count = ((last.0 - first.0) / SAMPLE_MM) as usize;
    for i in 1..count {
        let s = first.0 + SAMPLE_MM * i as f64;
        let (before, here, after) = (stretch.at(s - SAMPLE_MM), stretch.at(s), stretch.at(s + SAMPLE_MM));
        let along = after - before;
        let across = Vec2::new(-along.y, along.x) / along.hypot().max(DUST_MM);
        for share in beside {
            let hole = snap(here + across * (share * GRID_MM));
            if !all.iter().rev().take(3 * beside.len()).any(|(_, p)| *p == hole) {
                all.push((s, hole));
            }
        }
    }
    all.push(last);
    all
}

/// The step wanted at a place: as it was, but never too short.
fn wanted(bit: &[(f64, Point)], s: f64) -> f64 {
    let next = bit.partition_point(|(along, _)| *along <= s).clamp(1, bit.len() - 1);
    (bit[next].0 - bit[next - 1].0).clamp(1.1 * SHORTEST_MM, LONGEST_MM)
}

fn cost(
    stretch: &Stretch,
    from: (f64, Point),
    to: (f64, Point),
    wanted: f64,
    taken: &impl Fn(Point, Point) -> bool,
) -> f64 {
    let length = from.1.distance(to.1);
    if !(SHORTEST_MM - DUST_MM..=LONGEST_MM + DUST_MM).contains(&length) {
        return f64::INFINITY;
    }
    let ratio = (to.0 - from.0) / wanted;
    let mut cost = ratio + 1.0 / ratio - 2.0;
    let over = stretch.leaves((from.1, to.1), (from.0, to.0)) - CHORD_MM;
    if over > 0.0 {
        cost += COST_OFF_AT_ALL + COST_OFF * over / CHORD_MM;
    }
    if taken(from.1, to.1) {
        cost += COST_TAKEN;
    }
    cost
}
