//! A smooth stretch of line → where along it the needle goes down.
//!
//! Method: for every bit of the stretch, the longest step that keeps within [`SAG_MM`] of the line is found by
//! measuring the line itself, not its curvature, so that flattening noise and bends below a corner are seen as they
//! are. (On a circle of radius R it is 2√(2Re − e²) for a chord error e.) Steps are then equal in the measure
//! ∫ ds / longest: equal where the line is gentle, shortening smoothly where it is tight. Their number is the one
//! nearest to the asked length in ratio, raised until every step keeps to the line.

use kurbo::Point;

use crate::base::chain::nearest_on_segment;
use crate::base::tolerance::{CEIL_GUARD, CHORD_MM, ceil_guarded};

/// How far a step may leave the line before its ends are rounded, mm: what is left of [`CHORD_MM`] when rounding to
/// the grid takes its usual share.
pub const SAG_MM: f64 = 0.06;
/// The same for steps already as short as [`SHORTEST_MM`], mm: shortening them further costs more than it gains.
pub const TIGHT_SAG_MM: f64 = 0.09;
const _: () = assert!(SAG_MM < TIGHT_SAG_MM && TIGHT_SAG_MM < CHORD_MM);
/// The shortest step where the line allows it, mm: shorter ones are hard on thread and cloth (published [S10]
/// [S11] [S12], recommended minimum of running stitches).
///
/// [S10]: http://read.uberflip.com/i/631221-february-16/65 "Printwear, February 2016, p. 61"
/// [S11]: http://read.uberflip.com/i/753675-december-16/34 "Printwear, December 2016, p. 30"
/// [S12]: https://www.yumpu.com/en/document/view/56185124/compiled-embroidery-skill-articles/52 "Compiled Embroidery Skill Articles, p. 52"
pub const SHORTEST_MM: f64 = 1.0;
/// The longest step, mm: longer ones snag (published [S10], recommended maximum of running stitches).
///
/// [S10]: http://read.uberflip.com/i/631221-february-16/65 "Printwear, February 2016, p. 61"
pub const LONGEST_MM: f64 = 5.0;
/// No curve asks for shorter steps than this, mm; a bend too tight for it is a corner in all but name.
pub const TIGHTEST_MM: f64 = 0.5;

/// How finely the longest step is measured along the line, mm: a fraction of the shortest step.
const SAMPLE_MM: f64 = 0.25;
/// Halvings in the search for the longest step: 2.5 mm / 2¹⁰ is far below the grid.
const HALVINGS: usize = 10;

/// A smooth stretch of a chain, with the length run up to each of its points.
pub struct Stretch<'a> {
    points: &'a [Point],
    // Invariant: as many as `points`, rising from 0.
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

    /// The length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.along[self.along.len() - 1]
    }

    /// The point `s` mm along.
    #[must_use]
    pub fn at(&self, s: f64) -> Point {
        let after = self.along.partition_point(|a| *a < s);
        if after == 0 {
            return self.points[0];
        }
        if after == self.along.len() {
            return self.points[after - 1];
        }
        let (from, to) = (self.along[after - 1], self.along[after]);
        self.points[after - 1].lerp(self.points[after], (s - from) / (to - from))
    }

    /// How far the line between `from` and `to` mm leaves the straight stitch between them, mm.
    #[must_use]
    pub fn sag(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (self.at(from), self.at(to));
        let first = self.along.partition_point(|s| *s <= from);
        let last = self.along.partition_point(|s| *s < to);
        let between = self.points.get(first..last).unwrap_or(&[]);
        between.iter().map(|p| p.distance(nearest_on_segment(*p, a, b))).fold(0.0, f64::max)
    }

    fn fits(&self, from: f64, to: f64) -> bool {
        let step = to - from;
        if step <= TIGHTEST_MM {
            return true;
        }
        let sag = self.sag(from, to);
        sag <= SAG_MM || step <= SHORTEST_MM && sag <= TIGHT_SAG_MM
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
#[must_use]
pub fn needle_points(stretch: &Stretch, step_mm: f64) -> Vec<f64> {
    let length = stretch.length();
    let measure = measure(stretch, step_mm);
    let total = measure[measure.len() - 1];
    let fewest = ceil_guarded(length / LONGEST_MM).max(1.0) as usize;
    let most = ceil_guarded(length / TIGHTEST_MM).max(1.0) as usize;
    let roomy = ((length / SHORTEST_MM + CEIL_GUARD).floor() as usize).max(1);
    let start = nearest_count(total).min(roomy).max(fewest);
    let mut stops = spread(&measure, start, length);
    for count in start + 1..=most {
        if stops.windows(2).all(|w| stretch.fits(w[0], w[1])) {
            break;
        }
        stops = spread(&measure, count, length);
    }
    stops
}

/// The whole number n ≥ 1 nearest to `quotient` in ratio: it minimises |ln(quotient / n)|.
#[must_use]
pub fn nearest_count(quotient: f64) -> usize {
    let below = (quotient + CEIL_GUARD).floor().max(1.0);
    let above = below + 1.0;
    let count = if quotient * quotient > below * above + CEIL_GUARD { above } else { below };
    count as usize
}

/// Steps of the asked length run up to each sample, from 0 to the end.
fn measure(stretch: &Stretch, step_mm: f64) -> Vec<f64> {
    let length = stretch.length();
    let samples = ceil_guarded(length / SAMPLE_MM).max(1.0) as usize;
    let ds = length / samples as f64;
    let mut run = vec![0.0];
    for i in 0..samples {
        let longest = stretch.longest_about((i as f64 + 0.5) * ds, step_mm);
        run.push(run[i] + ds / longest);
    }
    run
}

/// `count` steps, equal in `measure`, as lengths along the stretch.
fn spread(measure: &[f64], count: usize, length: f64) -> Vec<f64> {
    let samples = measure.len() - 1;
    let (total, ds) = (measure[samples], length / samples as f64);
    let mut stops = vec![0.0];
    for k in 1..count {
        let wanted = total * k as f64 / count as f64;
        let cell = measure.partition_point(|m| *m <= wanted).clamp(1, samples) - 1;
        let share = (wanted - measure[cell]) / (measure[cell + 1] - measure[cell]);
        stops.push((cell as f64 + share) * ds);
    }
    stops.push(length);
    stops
}
