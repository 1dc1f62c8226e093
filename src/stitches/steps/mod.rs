//! A smooth stretch of line → where along it the needle goes down.
//!
//! Method: for every bit of the stretch, the longest step that keeps within [`SAG_MM`] of the line is found by
//! measuring the line itself, not its curvature, so that flattening noise and bends below a corner are seen as they
//! are. (On a circle of radius R it is 2√(2Re − e²) for a chord error e.) Steps are then equal in the measure
//! ∫ ds / longest, smoothed: equal where the line is gentle, shortening gradually where it is tight. Their number is the one
//! nearest to the asked length in ratio, raised until every step keeps to the line.

#[cfg(test)]
mod tests;

use kurbo::Point;

use crate::base::chain::nearest_on_segment;
use crate::base::tolerance::{CEIL_GUARD, CHORD_MM, GRID_MM, ceil_guarded};

/// How far a step may leave the line before its ends are rounded, mm: what is left of [`CHORD_MM`] when rounding to
/// the grid takes its usual share.
pub const SAG_MM: f64 = 0.06;
/// The same for steps already as short as `TIGHT_STEP_MM`, mm: shortening them further costs more than it gains.
pub const TIGHT_SAG_MM: f64 = 0.09;
/// Steps that are nearly as short as they may be, mm.
const TIGHT_STEP_MM: f64 = 1.2;
const _: () = assert!(SAG_MM < TIGHT_SAG_MM && TIGHT_SAG_MM < CHORD_MM);
/// The shortest step where the line allows it, mm: shorter ones are hard on thread and cloth (published [10]
/// [11] [12], recommended minimum of running stitches).
pub const SHORTEST_MM: f64 = 1.0;
/// The longest step, mm: longer ones snag (published [10], recommended maximum of running stitches).
pub const LONGEST_MM: f64 = 5.0;
/// No curve asks for shorter steps than this, mm: [`SHORTEST_MM`] and half a step of the machine, which rounding may take.
pub const TIGHTEST_MM: f64 = SHORTEST_MM + GRID_MM / 2.0;

/// How finely the longest step is measured along the line, mm: a fraction of the shortest step.
const SAMPLE_MM: f64 = 0.25;
/// How much longer a step may be for every mm further from a tight bend: steps there grow by about a third from one
/// to the next, so that the eye sees no jump.
const GROWTH: f64 = 0.3;
/// By how much the number of steps may be raised to keep to the line; what does not then is mended place by place.
const MORE_STEPS: f64 = 0.1;
/// How many samples are measured on one part of a stretch.
const SAMPLES_AT_ONCE: usize = 32;
/// Halvings in the search for the longest step: 2.5 mm / 2¹⁰ is far below the grid.
const HALVINGS: usize = 10;

/// A smooth stretch of a chain, with the length run up to each of its points.
pub struct Stretch<'a> {
    points: &'a [Point],
    // Invariant: as many as `points`, rising; from 0 unless this is a part.
    along: Vec<f64>,
}

impl<'a> Stretch<'a> {
    /// Measures a chain of at least one point.
    #[must_use]
    pub fn new(points: &'a [Point]) -> Self {
        let mut along = vec![0.0];
        for w in points.windows(2) {
            along.push(along[along.len() - 1] + w[0].distance(w[1]));
        }
        Stretch { points, along }
    }

    /// The part of the stretch from `from` to `to` mm or a little more, its places counted as before: quick to look things up in.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Stretch<'a> {
        let first = self.along.partition_point(|s| *s <= from).saturating_sub(1);
        let last = (self.along.partition_point(|s| *s < to) + 1).min(self.along.len());
        Stretch { points: &self.points[first..last], along: self.along[first..last].to_vec() }
    }

    /// The length, mm; of a part, where it ends.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.along[self.along.len() - 1]
    }

    /// The point `s` mm along.
    #[must_use]
    pub fn at(&self, s: f64) -> Point {
        self.on(self.along.partition_point(|a| *a < s), s)
    }

    /// The point `s` mm along, where it lies before the `after`th point and past the one before that.
    fn on(&self, after: usize, s: f64) -> Point {
        if after == 0 {
            return self.points[0];
        }
        if after == self.along.len() {
            return self.points[after - 1];
        }
        let (from, to) = (self.along[after - 1], self.along[after]);
        if s >= to {
            // Not by a share of one, which may miss it by a hair: lines that meet there round it to one hole.
            return self.points[after];
        }
        self.points[after - 1].lerp(self.points[after], (s - from) / (to - from))
    }

    /// How far the line between `from` and `to` mm leaves the straight stitch between them, mm.
    #[must_use]
    pub fn sag(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (self.at(from), self.at(to));
        self.between(from, to).map(|p| p.distance(nearest_on_segment(p, a, b))).fold(0.0, f64::max)
    }

    /// The points of the chain strictly between two places.
    fn between(&self, from: f64, to: f64) -> impl Iterator<Item = Point> + '_ {
        let (first, last) = self.range(from, to);
        self.points.get(first..last).unwrap_or(&[]).iter().copied()
    }

    /// The first point of the chain past `from` mm, and the first that is not before `to` mm.
    fn range(&self, from: f64, to: f64) -> (usize, usize) {
        (self.along.partition_point(|s| *s <= from), self.along.partition_point(|s| *s < to))
    }

    /// How far a stitch from hole to hole and the line between `from` and `to` mm leave each other, mm.
    #[must_use]
    pub fn leaves(&self, (a, b): (Point, Point), (from, to): (f64, f64)) -> f64 {
        let line = self.between(from, to).chain([self.at(from), self.at(to)]);
        line.map(|p| p.distance(nearest_on_segment(p, a, b))).fold(0.0, f64::max)
    }

    fn fits(&self, from: f64, to: f64) -> bool {
        let step = to - from;
        step <= TIGHTEST_MM || self.keeps(from, to, if step <= TIGHT_STEP_MM { TIGHT_SAG_MM } else { SAG_MM })
    }

    /// True if [`sag`](Self::sag) is no more than `most`, mm: where it is, that is mostly seen at the first point looked at.
    fn keeps(&self, from: f64, to: f64, most: f64) -> bool {
        let (first, last) = self.range(from, to);
        let (a, b) = (self.on(first, from), self.on(last, to));
        let way = b - a;
        let squared = way.hypot2();
        let near = |p: &Point| {
            let off = *p - a;
            let along = if squared > 0.0 { (off.dot(way) / squared).clamp(0.0, 1.0) } else { 0.0 };
            (off - way * along).hypot2() <= most * most
        };
        let points = self.points.get(first..last).unwrap_or(&[]);
        points.get(points.len() / 2).is_none_or(near) && points.iter().all(near)
    }

    /// The longest step up to `asked` about the point `s` mm along that keeps to the line, mm.
    fn longest_about(&self, s: f64, asked: f64) -> f64 {
        let length = self.length();
        let fits = |step: f64| {
            let from = (s - step / 2.0).clamp(0.0, (length - step).max(0.0));
            self.fits(from, (from + step).min(length))
        };
        if fits(asked) {
            return asked;
        }
        let (mut short, mut long) = (TIGHTEST_MM, asked);
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(short, long);
            if fits(middle) {
                short = middle;
            } else {
                long = middle;
            }
        }
        short
    }
}

/// Where along `stretch` the needle goes down, mm from its start, both ends included; rising.
///
/// At an `open` end the first step is half as long as the others: a stitch may run on from there over the end.
#[must_use]
pub fn needle_points(stretch: &Stretch, step_mm: f64, open: [bool; 2]) -> Vec<f64> {
    let length = stretch.length();
    let measure = measure(stretch, step_mm);
    let halves = 0.5 * open.into_iter().filter(|o| *o).count() as f64;
    let total = measure[measure.len() - 1];
    let fewest = ceil_guarded(length / LONGEST_MM - halves).max(1.0);
    let roomy = (length / SHORTEST_MM - halves + CEIL_GUARD).floor().max(1.0);
    let mut count = nearest_count(total, halves).min(roomy).max(fewest);
    // A few more steps than wanted may do; one bad place is not worth shorter steps all along.
    let most = (count * (1.0 + MORE_STEPS)).ceil().min(roomy).max(fewest);
    loop {
        let stops = spread(&measure, (count, open), length);
        if count >= most || stops.windows(2).all(|w| stretch.fits(w[0], w[1])) {
            return stops;
        }
        count = (count * (1.0 + MORE_STEPS / 4.0)).ceil().min(most);
    }
}

/// The whole number n ≥ 1 for which n + `halves` is nearest to `quotient` in ratio: it minimises |ln(quotient / n)|.
fn nearest_count(quotient: f64, halves: f64) -> f64 {
    let count = (quotient - halves + CEIL_GUARD).floor().max(1.0);
    let (below, above) = (count + halves, count + 1.0 + halves);
    if quotient * quotient > below * above + CEIL_GUARD { count + 1.0 } else { count }
}

/// Steps run up to each sample, from 0 to the end, when every step is as long as it may be.
fn measure(stretch: &Stretch, step_mm: f64) -> Vec<f64> {
    let length = stretch.length();
    let samples = ceil_guarded(length / SAMPLE_MM).max(1.0) as usize;
    let ds = length / samples as f64;
    let mut longest = Vec::with_capacity(samples);
    while longest.len() < samples {
        let some = longest.len()..(longest.len() + SAMPLES_AT_ONCE).min(samples);
        let part = stretch.part(some.start as f64 * ds - step_mm, some.end as f64 * ds + step_mm);
        longest.extend(some.map(|i| part.longest_about((i as f64 + 0.5) * ds, step_mm)));
    }
    for i in 1..samples {
        longest[i] = longest[i].min(longest[i - 1] + GROWTH * ds);
    }
    for i in (1..samples).rev() {
        longest[i - 1] = longest[i - 1].min(longest[i] + GROWTH * ds);
    }
    let mut run = vec![0.0];
    for (i, step) in longest.iter().enumerate() {
        run.push(run[i] + ds / step);
    }
    run
}

/// `count` whole steps, and half a step at every open end, equal in `measure`, as lengths along the stretch.
fn spread(measure: &[f64], (count, open): (f64, [bool; 2]), length: f64) -> Vec<f64> {
    let samples = measure.len() - 1;
    let (total, ds) = (measure[samples], length / samples as f64);
    let [start, end] = open.map(|open| if open { 0.5 } else { 0.0 });
    let mut stops = vec![0.0];
    let mut done = if open[0] { start } else { 1.0 };
    while done < start + count + end - 0.25 {
        let wanted = total * done / (start + count + end);
        let cell = measure.partition_point(|m| *m <= wanted).clamp(1, samples) - 1;
        let share = (wanted - measure[cell]) / (measure[cell + 1] - measure[cell]);
        stops.push((cell as f64 + share) * ds);
        done += 1.0;
    }
    stops.push(length);
    stops
}
