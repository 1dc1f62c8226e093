//! Runs of needle points → holes and the steps between them, each once: all passes of a line merged.
//!
//! Holes that are one place rounded two ways are one, unless lines part there or each has all passes of a line. A step that passes over a crowded junction goes through its hole, and
//! so does a step that a line ends on. Where passes come down in holes of their own ([`Passes::OwnHoles`]), a step also goes
//! through the holes of other passes that it passes over.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::Point;

use crate::base::chain::nearest_on_segment;
use crate::stitches::Stitches;
use crate::stitches::grid::{cells, millimetres};

/// Whether the passes of a line share their holes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Passes {
    /// They do: lines whose holes lie a little apart are two.
    SharedHoles,
    /// They do not.
    OwnHoles,
}

/// Holes nearer than this are one place rounded two ways, mm: a step of the machine across and one up.
pub const SAME_HOLE_MM: f64 = 0.15;
/// Where passes have holes of their own, holes nearer than this are one, mm.
const OWN_HOLE_MM: f64 = 0.25;
/// A hole this near to a step of its own line is on it, mm: the most that a stitch leaves its curve, and as much for the
/// rounding of both.
pub const SAME_LINE_MM: f64 = 0.2;
/// A line that ends this near to a step ends on it, mm.
const ENDS_ON_MM: f64 = 0.3;
/// Steps whose directions differ by less run the same way: the sine of 20°.
const SAME_WAY: f64 = 0.342;
/// Side of the squares in which holes are looked for, mm.
const SQUARE_MM: f64 = 2.0;

/// A step between two holes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// Its holes, in the direction in which it was first sewn.
    pub ends: [usize; 2],
    /// How often it is sewn.
    pub passes: usize,
}

/// Holes and the steps between them, each once.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Seam {
    /// Where the holes are, mm.
    pub places: Vec<Point>,
    /// The steps, in the order in which they were first sewn.
    pub steps: Vec<Step>,
    // Invariant: for every hole, the steps that end there.
    /// For every hole, the steps that end there.
    pub at: Vec<Vec<usize>>,
}

impl Seam {
    /// Merges the passes of `stitches`; steps that `is_line` says no to, by their ends and passes, are left out.
    #[must_use]
    pub fn of(stitches: &Stitches, passes: Passes, is_line: &dyn Fn(Point, Point, usize) -> bool) -> Self {
        let holes = Holes::of(stitches, passes);
        let mut plain = Builder::default();
        for run in &stitches.pieces {
            let ids: Vec<usize> = run.body().iter().filter_map(|p| holes.id(*p)).collect();
            ids.windows(2).for_each(|w| plain.add([w[0], w[1]], 1));
        }
        let at = steps_at(&plain.steps, holes.places.len());
        let mut through = Builder::default();
        for step in &plain.steps {
            let on_it = holes.on(step, &plain.steps, &at);
            let way = [&[step.ends[0]], on_it.as_slice(), &[step.ends[1]]].concat();
            way.windows(2).for_each(|w| through.add([w[0], w[1]], step.passes));
        }
        through.steps.retain(|s| is_line(holes.places[s.ends[0]], holes.places[s.ends[1]], s.passes));
        let at = steps_at(&through.steps, holes.places.len());
        Seam { places: holes.places, steps: through.steps, at }
    }

    /// The hole at the other end of a step.
    #[must_use]
    pub fn other(&self, step: usize, hole: usize) -> usize {
        let [a, b] = self.steps[step].ends;
        if a == hole { b } else { a }
    }

    /// Which end of a step is at a hole: 0 or 1.
    #[must_use]
    pub fn side(&self, step: usize, hole: usize) -> usize {
        usize::from(self.steps[step].ends[0] != hole)
    }
}

/// Steps, each once, in the order in which they come.
#[derive(Default)]
struct Builder {
    steps: Vec<Step>,
    ids: BTreeMap<(usize, usize), usize>,
}

impl Builder {
    fn add(&mut self, ends: [usize; 2], passes: usize) {
        if ends[0] == ends[1] {
            return;
        }
        let key = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        let id = *self.ids.entry(key).or_insert_with(|| {
            self.steps.push(Step { ends, passes: 0 });
            self.steps.len() - 1
        });
        self.steps[id].passes += passes;
    }
}

fn steps_at(steps: &[Step], holes: usize) -> Vec<Vec<usize>> {
    let mut at = vec![Vec::new(); holes];
    for (i, step) in steps.iter().enumerate() {
        step.ends.iter().for_each(|end| at[*end].push(i));
    }
    at
}

/// Holes, those a hair apart as one.
struct Holes {
    passes: Passes,
    places: Vec<Point>,
    ids: BTreeMap<(i64, i64), usize>,
    squares: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Holes {
    /// The hole that is hit most often gives its place to those about it, but for those of lines that part there, and those
    /// that have all passes of a line themselves: lines that run so close have holes of their own.
    fn of(stitches: &Stitches, passes: Passes) -> Self {
        let same_mm = if passes == Passes::OwnHoles { OWN_HOLE_MM } else { SAME_HOLE_MM };
        let beside = Beside::of(stitches);
        let whole = passes_of_most(stitches);
        let mut hits: BTreeMap<(i64, i64), (usize, usize)> = BTreeMap::new();
        let points = stitches.pieces.iter().flat_map(|run| run.body());
        for (i, p) in points.enumerate() {
            hits.entry((cells(p.x), cells(p.y))).or_insert((0, i)).0 += 1;
        }
        let mut sorted: Vec<((i64, i64), (usize, usize))> = hits.into_iter().collect();
        sorted.sort_by_key(|(_, (count, first))| (std::cmp::Reverse(*count), *first));
        let mut holes = Holes { passes, places: Vec::new(), ids: BTreeMap::new(), squares: BTreeMap::new() };
        for (cell, (count, _)) in sorted {
            let p = place(cell);
            // Those before it were hit as often, or more often.
            let is_whole = whole > 1 && count >= whole;
            let same = holes.nearest(p, same_mm).filter(|id| {
                let other = holes.places[*id];
                let apart = is_whole || beside.part(cell, (cells(other.x), cells(other.y)));
                passes == Passes::OwnHoles || !apart
            });
            let id = same.unwrap_or_else(|| {
                let id = holes.places.len();
                holes.places.push(p);
                holes.squares.entry(square(p)).or_default().push(id);
                id
            });
            holes.ids.insert(cell, id);
        }
        holes
    }

    fn id(&self, p: Point) -> Option<usize> {
        self.ids.get(&(cells(p.x), cells(p.y))).copied()
    }

    fn around(&self, from: (i64, i64), to: (i64, i64)) -> impl Iterator<Item = usize> + '_ {
        let columns = from.0.min(to.0) - 1..=from.0.max(to.0) + 1;
        let rows = from.1.min(to.1) - 1..=from.1.max(to.1) + 1;
        columns
            .flat_map(move |column| rows.clone().map(move |row| (column, row)))
            .filter_map(|square| self.squares.get(&square))
            .flatten()
            .copied()
    }

    fn nearest(&self, p: Point, within_mm: f64) -> Option<usize> {
        let away = |id: &usize| self.places[*id].distance(p);
        let near = self.around(square(p), square(p)).filter(|id| away(id) < within_mm);
        near.min_by(|a, b| away(a).total_cmp(&away(b)).then(a.cmp(b)))
    }

    /// The holes that `step` passes over and belongs to, in its order.
    fn on(&self, step: &Step, steps: &[Step], at: &[Vec<usize>]) -> Vec<usize> {
        let [a, b] = step.ends.map(|end| self.places[end]);
        let along = b - a;
        let part = |id: usize| (self.places[id] - a).dot(along) / along.hypot2();
        let belongs = |id: usize| {
            let p = self.places[id];
            let (off, s) = (p.distance(nearest_on_segment(p, a, b)), part(id));
            let inside = s * along.hypot() > OWN_HOLE_MM && (1.0 - s) * along.hypot() > OWN_HOLE_MM;
            let same_way = |other: &usize| {
                let [c, d] = steps[*other].ends.map(|end| self.places[end]);
                along.cross(d - c).abs() < SAME_WAY * along.hypot() * (d - c).hypot()
            };
            let leads_to = |end: usize| at[id].iter().any(|other| steps[*other].ends.contains(&end));
            let is_end = at[id].len() == 1 && off <= ENDS_ON_MM;
            let is_over = off <= SAME_LINE_MM
                && match self.passes {
                    Passes::SharedHoles => step.ends.iter().all(|end| leads_to(*end)),
                    Passes::OwnHoles => at[id].iter().any(same_way),
                };
            inside && (is_end || is_over)
        };
        let mut found: Vec<usize> =
            self.around(square(a), square(b)).filter(|id| !step.ends.contains(id) && belongs(*id)).collect();
        found.sort_by(|p, q| part(*p).total_cmp(&part(*q)).then(p.cmp(q)));
        found
    }
}

/// A hole counted in steps of the machine.
type Cell = (i64, i64);

/// How often most steps are sewn, as far as passes share their holes to the tenth.
fn passes_of_most(stitches: &Stitches) -> usize {
    let mut passes: BTreeMap<(Cell, Cell), usize> = BTreeMap::new();
    for w in stitches.pieces.iter().flat_map(|run| run.body().windows(2)) {
        let [a, b] = [w[0], w[1]].map(|p| (cells(p.x), cells(p.y)));
        *passes.entry((a.min(b), a.max(b))).or_insert(0) += 1;
    }
    let mut steps: BTreeMap<usize, usize> = BTreeMap::new();
    passes.into_values().for_each(|n| *steps.entry(n).or_insert(0) += 1);
    steps.into_iter().max_by_key(|(_, steps)| *steps).map_or(0, |(passes, _)| passes)
}

/// For every hole, the holes that stitches lead to from it.
struct Beside(BTreeMap<Cell, BTreeSet<Cell>>);

impl Beside {
    fn of(stitches: &Stitches) -> Self {
        let mut beside: BTreeMap<Cell, BTreeSet<Cell>> = BTreeMap::new();
        for w in stitches.pieces.iter().flat_map(|run| run.body().windows(2)) {
            let [a, b] = [w[0], w[1]].map(|p| (cells(p.x), cells(p.y)));
            beside.entry(a).or_default().insert(b);
            beside.entry(b).or_default().insert(a);
        }
        Self(beside)
    }

    /// True if two lines part between these holes: they come from one hole, and each goes on to one of its own. Two passes
    /// of one line, rounded two ways, would go on together; lines that cross in one place come from different holes.
    fn part(&self, one: Cell, other: Cell) -> bool {
        let none = BTreeSet::new();
        let of = |cell: Cell| {
            self.0.get(&cell).unwrap_or(&none).iter().filter(move |c| **c != one && **c != other)
        };
        let near = |a: &Cell, b: &Cell| place(*a).distance(place(*b)) < SAME_HOLE_MM;
        let shared = |a: &Cell, to: Cell| of(to).any(|b| near(a, b));
        let goes_on_alone = |from: Cell, to: Cell| of(from).any(|a| !shared(a, to));
        of(one).any(|a| shared(a, other)) && goes_on_alone(one, other) && goes_on_alone(other, one)
    }
}

fn place(cell: Cell) -> Point {
    Point::new(millimetres(cell.0), millimetres(cell.1))
}

#[expect(clippy::cast_possible_truncation, reason = "saturates far beyond any quilt")]
fn square(p: Point) -> (i64, i64) {
    ((p.x / SQUARE_MM).floor() as i64, (p.y / SQUARE_MM).floor() as i64)
}
