//! One arm of a feather along a border: from where it begins to the crown at its tip.
//!
//! Local axes: the border's middle line is the x axis, the arm runs along +x, its outer edge lies below. An arm begins with a pair
//! of teardrops: upright at x = 0 in the middle of a strip, or on the diagonal of a corner, round which the spine runs in a
//! quarter circle about the inner corner (0, W/2). The run is a wave y = −A cos φ, whose amplitude makes the circle's curvature
//! the wave's own at φ = 0, with no change of curvature there: (2π/λ)² A (W/2 + A) = 1 for a wave λ long. The wave ends in half a
//! cosine that comes down level on the axis, with the wave's curvature where it begins.

use kurbo::{Affine, Point, Vec2};
use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_2, FRAC_PI_4, PI, SQRT_2};

use super::Look;
use super::feet::Hung;
use super::guide::Guide;
use super::heads::{Head, Stretch};
use super::weave::Plume;

/// How far the spine swings to either side, as a share of the width inside the margins: 0.172 makes waves as long as two widths in
/// a border of 5 in.
const SWING: f64 = 0.172;
/// How far the silhouette draws in where the spine lies far from it, in border widths.
const DRAWN_IN: f64 = 0.055;
/// The length of the cap at the tip, in border widths.
const CAP: f64 = 0.62;
/// How often feet find their places while those on either side meet.
const ROUNDS: usize = 3;
/// In how many pieces the cap is laid out, and how many more past its tip.
const CAP_PIECES: usize = 400;
const PAST_TIP: usize = 40;
/// By how much teardrops are larger than the other heads: outer, inner.
const DROPS: [f64; 2] = [0.44, 0.3];
/// By how much the crown is.
const CROWN: f64 = 0.36;
/// How far from the corner heads are larger, in border widths, and how far from the tip.
const GROWN: [f64; 2] = [1.4, 0.24];
/// From the crown's foot to its middle, in its radii.
const CROWN_HEIGHT: f64 = 1.7;
/// The least way from the crown's foot to the middles of its neighbours' heads, in their radii.
const CLEAR: f64 = 1.5;

/// Where an arm begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// On the diagonal of a corner.
    Corner,
    /// At x = 0, upright.
    Middle,
}

/// The border an arm runs along.
#[derive(Debug, Clone, Copy)]
pub struct Border {
    /// Its finished width, mm.
    pub width: f64,
    /// Kept clear along both edges, mm.
    pub margin: f64,
    /// How far the spine swings, as a share of the usual.
    pub swing: f64,
}

/// An arm, laid out.
#[derive(Debug, Clone)]
pub struct Arm {
    /// The spine from the start to the foot of the crown.
    pub spine: Guide,
    /// How far along the spine the feet stand that need a knot, mm.
    pub knots: Vec<f64>,
    /// The teardrops at the start: head and foot; outer, inner.
    pub drops: [Plume; 2],
    /// The plumes on either side, from the start to the tip: outer (right), inner (left).
    pub rows: [Vec<Plume>; 2],
    /// The crown.
    pub crown: Plume,
    /// How far along the spine the feet stand on either side, mm.
    pub feet: [Vec<f64>; 2],
    /// By how much plumes were stretched to fit, as a share.
    pub stretch: f64,
}

/// Heads and feet of either side's first plumes, where they are known.
#[derive(Debug, Clone, Default)]
pub struct Known {
    heads: [Vec<Head>; 2],
    feet: [Vec<f64>; 2],
}

impl Arm {
    /// The plumes whose heads stand before `x`.
    pub fn before(&self, x: f64) -> Known {
        let near = |row: &Vec<Plume>| row.iter().take_while(|p| p.head.centre.x < x).count();
        Known {
            heads: [0, 1].map(|k| self.rows[k][..near(&self.rows[k])].iter().map(|p| p.head).collect()),
            feet: [0, 1].map(|k| self.feet[k][..near(&self.rows[k])].to_vec()),
        }
    }
}

impl Border {
    /// The spine's amplitude, mm.
    fn amplitude(&self) -> f64 {
        SWING * self.swing * (self.width - 2.0 * self.margin)
    }

    /// The length of a wave whose curvature is a corner's, mm.
    pub fn wave_mm(&self) -> f64 {
        let a = self.amplitude();
        2.0 * PI * (a * (self.width / 2.0 + a)).sqrt()
    }

    /// The arm that begins so and ends `run` mm beyond x = 0.
    ///
    /// What lies before `fixed` mm beyond x = 0 does not depend on how long it is.
    pub fn arm(&self, look: &Look, start: Start, run: f64, fixed: f64, known: Option<&Known>) -> Option<Arm> {
        let w = self.width;
        let wave = Wave::new(run, self.wave_mm(), fixed);
        let spine = self.spine(start, run, &wave)?;
        let size = |x: f64, grown: f64, to_tip: f64| {
            1.0 + grown * (-(x.max(0.0) / (GROWN[0] * w)).powi(2)).exp()
                + CROWN * (-(to_tip / (GROWN[1] * w)).powi(2)).exp()
        };
        let full = look.width / 2.0 / look.closeness;
        let mut stretch = 0.0_f64;
        let mut rows: [Vec<Head>; 2] = [Vec::new(), Vec::new()];
        for (k, outer) in [true, false].into_iter().enumerate() {
            let grown = if start == Start::Corner { DROPS[k] } else { 0.6 * DROPS[k] };
            let drop = full * (1.0 + grown);
            let touch = self.silhouette(start, run, &wave, outer, drop)?;
            let length = touch.nearest(Point::new(run, 0.0));
            let inward = if outer { 1.0 } else { -1.0 };
            let line = Stretch { touch: &touch, inward, from: 0.0, to: length };
            // Radii far from the start give way a little, so that whole heads fit.
            let radius = |give: f64| {
                let touch = &touch;
                move |s: f64| {
                    let x = s - length + run;
                    let ramp = smooth((touch.at(s).0.x - fixed) / (0.5 * w).max(0.3 * (run - fixed)));
                    full * size(x.min(touch.at(s).0.x.max(x)), grown, length - s) * (1.0 + give * ramp)
                }
            };
            let count = line.steps(&radius(0.0), look.closeness).round().max(3.0);
            let steps = |give: f64| line.even(&radius(give), count as usize).1 / look.closeness * count;
            // Nearly a straight line: the secant rule.
            let (mut before, mut give) = ((0.0, steps(0.0) - count), 0.02);
            for _ in 0..6 {
                let off = steps(give) - count;
                if off.abs() < 1e-5 || (off - before.1).abs() < 1e-12 {
                    break;
                }
                let next = give - off * (give - before.0) / (off - before.1);
                before = (give, off);
                give = next.clamp(-0.5, 1.0);
            }
            stretch = stretch.max(give.abs());
            rows[k] = line.even(&radius(give), count as usize).0;
            // On the axis to the last digit, where the crowns of two arms touch.
            if let Some(crown) = rows[k].last_mut() {
                crown.centre = Point::new(run - crown.radius, 0.0);
            }
        }
        let none = Known::default();
        let known = known.unwrap_or(&none);
        for (row, heads) in rows.iter_mut().zip(&known.heads) {
            row.iter_mut().skip(1).zip(heads).for_each(|(head, known)| *head = *known);
        }
        self.hang(look, spine, rows, &known.feet, stretch)
    }

    /// Feet for heads, of which the first are teardrops' and the last the crown's.
    fn hang(
        &self,
        look: &Look,
        spine: Guide,
        rows: [Vec<Head>; 2],
        pinned: &[Vec<f64>; 2],
        stretch: f64,
    ) -> Option<Arm> {
        let crown = *rows[0].last()?;
        let mut tip = spine.length() - (CROWN_HEIGHT + 1.0) * crown.radius;
        let near = |tip: f64| {
            let foot = spine.at(tip).0;
            let beside = rows.iter().filter_map(|row| row.get(row.len().checked_sub(2)?));
            beside.into_iter().any(|h| h.centre.distance(foot) < CLEAR * h.radius)
        };
        while tip > 0.0 && near(tip) {
            tip -= 0.1 * crown.radius;
        }
        let ask = look.ask(&spine);
        let fixed = [pinned[0].len(), pinned[1].len()];
        let mut feet = [Vec::new(), Vec::new()];
        // Those that nearly meet are held where they meet, and the others find their places once more.
        let mut held: [Vec<(usize, f64)>; 2] = [Vec::new(), Vec::new()];
        for _ in 0..ROUNDS {
            for (k, side) in [-1.0, 1.0].into_iter().enumerate() {
                let n = rows[k].len();
                // The teardrop's foot counts as one of the row, which is even from there on.
                let mut hung: Vec<Vec<Hung>> = vec![Vec::new()];
                hung.extend(rows[k][1..n - 1].iter().map(|h| vec![(*h, side)]));
                let mut pins = vec![(0, 0.0), (hung.len() - 1, tip)];
                pins.extend(pinned[k].iter().enumerate().map(|(i, s)| (i + 1, *s)));
                pins.extend(held[k].iter().map(|(i, s)| (i + 1, *s)));
                feet[k] = ask.feet(&hung, &pins, false);
                feet[k].remove(0);
            }
            let before = feet.clone();
            meet(&mut feet, fixed);
            for k in 0..2 {
                let last = before[k].len() - 1;
                let moved = (fixed[k]..last).filter(|i| before[k][*i] != feet[k][*i]);
                let moved: Vec<(usize, f64)> = moved.map(|i| (i, feet[k][i])).collect();
                held[k].retain(|(i, _)| !moved.iter().any(|(j, _)| i == j));
                held[k].extend(moved);
            }
        }
        let plume = |head: Head, s: f64, side: f64| {
            let (foot, way) = spine.at(s);
            Plume { head, foot, spine: way, side }
        };
        let row = |k: usize, side: f64| -> Vec<Plume> {
            rows[k][1..].iter().zip(&feet[k]).map(|(h, s)| plume(*h, *s, side)).collect()
        };
        let mut knots = feet.concat();
        knots.push(0.0);
        Some(Arm {
            drops: [plume(rows[0][0], 0.0, -1.0), plume(rows[1][0], 0.0, 1.0)],
            rows: [row(0, -1.0), row(1, 1.0)],
            crown: Plume {
                foot: crown.centre - Vec2::new(CROWN_HEIGHT * crown.radius, 0.0),
                ..plume(crown, tip, 1.0)
            },
            spine: spine.upto(tip)?,
            knots,
            feet,
            stretch,
        })
    }

    fn spine(&self, start: Start, run: f64, wave: &Wave) -> Option<Guide> {
        const STEP_MM: f64 = 0.1;
        let a = self.amplitude();
        let mut points = Vec::new();
        if start == Start::Corner {
            let radius = self.width / 2.0 + a;
            let n = (radius * FRAC_PI_4 / STEP_MM).ceil();
            let at = |i: f64| Vec2::from_angle(-FRAC_PI_2 - FRAC_PI_4 * (1.0 - i / n)) * radius;
            points.extend((0..n as usize).map(|i| Point::new(0.0, self.width / 2.0) + at(i as f64)));
        }
        let n = (run / STEP_MM).ceil();
        points.extend((0..=n as usize).map(|i| {
            let x = run * i as f64 / n;
            Point::new(x, -a * wave.height(x))
        }));
        Guide::open(&points)
    }

    /// The line that heads touch, from the teardrop to the crown.
    fn silhouette(&self, start: Start, run: f64, wave: &Wave, outer: bool, drop: f64) -> Option<Guide> {
        const STEP_MM: f64 = 0.1;
        let (half, g) = (self.width / 2.0 - self.margin, DRAWN_IN * self.width);
        let sign = if outer { -1.0 } else { 1.0 };
        let cap = (CAP * self.width).min(0.8 * run);
        let edge = |x: f64| half - g * (1.0 + sign * wave.height(x)) / 2.0;
        let mut points = Vec::new();
        match (start, outer) {
            // From the point where the drop in the corner touches the edge.
            (Start::Corner, true) => {
                let from = -self.width + self.margin + drop;
                let n = (-from / STEP_MM).ceil();
                points.extend((0..n as usize).map(|i| Point::new(from * (1.0 - i as f64 / n), -half)));
            }
            (Start::Corner, false) => {
                let radius = self.margin + g;
                let n = (radius * FRAC_PI_4 / STEP_MM).ceil().max(4.0);
                let at = |i: usize| Vec2::from_angle(-FRAC_PI_2 - FRAC_PI_4 * (1.0 - i as f64 / n)) * radius;
                points.extend((0..n as usize).map(|i| Point::new(0.0, self.width / 2.0) + at(i)));
            }
            (Start::Middle, _) => {}
        }
        let n = ((run - cap) / STEP_MM).ceil();
        points.extend((0..n as usize).map(|i| {
            let x = (run - cap) * i as f64 / n;
            Point::new(x, sign * edge(x))
        }));
        // The cap, on past its tip, so that it stands upright there.
        points.extend((0..=CAP_PIECES + PAST_TIP).map(|i| {
            let (sin, cos) = (FRAC_PI_2 * i as f64 / CAP_PIECES as f64).sin_cos();
            let x = run - cap * (1.0 - sin);
            Point::new(x, sign * edge(x) * cos)
        }));
        Guide::open(&points)
    }
}

/// The phase along a run.
struct Wave {
    rate: f64,
    give: f64,
    fixed: f64,
    ramp: f64,
    halves: f64,
}

impl Wave {
    fn new(run: f64, length: f64, fixed: f64) -> Self {
        let rate = 2.0 * PI / length;
        let halves = (rate * run / PI - FRAC_1_SQRT_2).round().max(0.0);
        let ramp = (run - fixed).max(1.0) / 2.0;
        let mut wave = Self { rate, give: 0.0, fixed, ramp, halves };
        let (plain, asked) = (rate * run, (halves + FRAC_1_SQRT_2) * PI);
        wave.give = 1.0;
        let more = wave.phase(run) - plain;
        wave.give = (asked - plain) / more;
        wave
    }

    /// The phase at `x`: its rate changes smoothly from `fixed` on, over a length of `ramp`.
    fn phase(&self, x: f64) -> f64 {
        let t = ((x - self.fixed) / self.ramp).max(0.0);
        // The integral of a smoothstep: t³ − t⁴/2, then straight on.
        let grown = if t < 1.0 { t.powi(3) - t.powi(4) / 2.0 } else { t - 0.5 };
        self.rate * (x + self.give * self.ramp * grown)
    }

    /// The wave at `x`, from 1 at its start.
    fn height(&self, x: f64) -> f64 {
        let phase = self.phase(x);
        let last = self.halves * PI;
        if phase <= last {
            return phase.cos();
        }
        let q = ((phase - last) * SQRT_2).min(PI);
        last.cos() * (1.0 + q.cos()) / 2.0
    }
}

fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Feet on either side that nearly meet do.
fn meet([right, left]: &mut [Vec<f64>; 2], fixed: [usize; 2]) {
    const NEAR_MM: f64 = 3.0;
    for (i, s) in right.iter_mut().enumerate() {
        for (j, t) in left.iter_mut().enumerate() {
            if (*s - *t).abs() < NEAR_MM {
                match (i < fixed[0], j < fixed[1]) {
                    (true, true) => {}
                    (true, false) => *t = *s,
                    (false, true) => *s = *t,
                    (false, false) => {
                        let mean = f64::midpoint(*s, *t);
                        (*s, *t) = (mean, mean);
                    }
                }
            }
        }
    }
}

impl Arm {
    /// The arm moved, turned or mirrored.
    pub fn placed(&self, map: Affine) -> Option<Self> {
        let points: Vec<Point> = self.spine.points().iter().map(|p| map * *p).collect();
        let place = |p: &Plume| p.placed(map);
        Some(Self {
            spine: Guide::open(&points)?,
            knots: self.knots.clone(),
            drops: [place(&self.drops[0]), place(&self.drops[1])],
            rows: [self.rows[0].iter().map(place).collect(), self.rows[1].iter().map(place).collect()],
            crown: place(&self.crown),
            feet: self.feet.clone(),
            stretch: self.stretch,
        })
    }
}
