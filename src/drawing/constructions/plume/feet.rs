//! Heads → feet on the spine, by least squares over the angle at every foot and the evenness of the gaps between feet.
//!
//! Asked: backs set out at one angle, neighbouring gaps are in one ratio, and ratios change slowly. Each wish is a
//! residual in units of what still looks right; their squares are summed and the least sum found by Levenberg and Marquardt's
//! method (D. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, 1963, from memory). A residual knows at most four
//! neighbouring feet, so the normal equations are a band, solved in time linear in the feet; on a ring the feet are numbered
//! from both ends inwards, which keeps the band.

use std::f64::consts::PI;

use super::back::Family;
use super::guide::Guide;
use super::heads::Head;

/// An angle that is off by this much, radians, weighs as much as …
const ANGLE: f64 = 8.0 * PI / 180.0;
/// … gaps that differ by this share.
const GAP: f64 = 0.12 / 0.8;
/// How exactly a pinned foot stays, mm.
const PINNED_MM: f64 = 0.005;
/// The least gap to begin with, in mean gaps.
const LEAST: f64 = 0.4;
/// How often the feet are bettered at most.
const STEPS: usize = 40;

/// A head with the side of the spine it stands on: left 1, right −1.
pub type Hung = (Head, f64);

/// What is asked of the feet along a spine that grows along its direction.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// The spine; closed if feet go round it.
    pub spine: &'a Guide,
    /// The backs.
    pub family: &'a Family,
    /// Between back and spine, radians.
    pub angle: f64,
}

/// One wish: how far off it is, and how that changes with each foot it knows.
struct Residual {
    off: f64,
    slopes: Vec<(usize, f64)>,
}

impl Ask<'_> {
    /// The angle at which the natural back to a head sets out from a foot `s` mm along, radians.
    pub fn angle_at(&self, s: f64, (head, side): Hung) -> f64 {
        let (foot, way) = self.spine.at(s);
        let to = head.centre - foot;
        side * way.cross(to).atan2(way.dot(to)) - self.family.lead(to.hypot() / head.radius)
    }

    /// Where a foot stands whose back sets out as asked, near `near` mm along.
    pub fn alone(&self, hung: Hung, near: f64) -> f64 {
        let reach = 6.0 * hung.0.radius + hung.0.centre.distance(self.spine.at(near).0);
        let (mut low, mut high) = (near - reach, near + 0.5 * reach);
        for _ in 0..48 {
            let middle = f64::midpoint(low, high);
            if self.angle_at(middle, hung) > self.angle { high = middle } else { low = middle }
        }
        f64::midpoint(low, high)
    }

    /// The feet of the heads, mm along the spine, rising; each foot carries one head, or one on either side. Pinned feet stay.
    pub fn feet(&self, heads: &[Vec<Hung>], pinned: &[(usize, f64)], round: bool) -> Vec<f64> {
        let mut feet = self.start(heads, pinned, round);
        let n = feet.len();
        if n < 3 {
            pinned.iter().filter(|p| p.0 < n).for_each(|p| feet[p.0] = p.1);
            return feet;
        }
        let mut damping = 1e-3;
        let mut all = self.residuals(&feet, heads, pinned, round);
        let mut cost = sum(&all);
        for _ in 0..STEPS {
            let step = solve(&all, n, round, damping);
            let tried: Vec<f64> = feet.iter().zip(&step).map(|(s, d)| s + d).collect();
            let next = self.residuals(&tried, heads, pinned, round);
            let better = sum(&next);
            let rising = gaps(&tried, self.ring(round)).iter().all(|g| *g > 0.0);
            if rising && better < cost {
                let done = cost - better < 1e-9 * cost;
                (feet, all, cost) = (tried, next, better);
                damping = (damping / 4.0).max(1e-9);
                if done {
                    break;
                }
            } else {
                damping *= 8.0;
                if damping > 1e9 {
                    break;
                }
            }
        }
        feet
    }

    fn ring(&self, round: bool) -> Option<f64> {
        round.then(|| self.spine.length())
    }

    /// Feet to begin with: each where it would stand alone, moved apart so that they rise.
    fn start(&self, heads: &[Vec<Hung>], pinned: &[(usize, f64)], round: bool) -> Vec<f64> {
        let mut feet: Vec<f64> = Vec::with_capacity(heads.len());
        for (i, hung) in heads.iter().enumerate() {
            let pin = pinned.iter().find(|p| p.0 == i);
            let alone = |h: &Hung| {
                let near = self.spine.nearest(h.0.centre);
                let near = match feet.last() {
                    Some(before) if round => self.spine.beside(near, before + h.0.radius),
                    _ => near,
                };
                self.alone(*h, near)
            };
            let mean = hung.iter().map(alone).sum::<f64>() / hung.len().max(1) as f64;
            feet.push(pin.map_or(mean, |p| p.1));
        }
        // The nearest rising feet, by pooling those that do not rise (M. Ayer and others, 1955, from memory), a little apart.
        let least = LEAST * self.spine.length() / heads.len().max(1) as f64;
        let mut pools: Vec<(f64, usize)> = Vec::new();
        for (i, s) in feet.iter().enumerate() {
            pools.push((s - least * i as f64, 1));
            while let [.., a, b] = pools[..] {
                if a.0 < b.0 {
                    break;
                }
                pools.truncate(pools.len() - 2);
                pools.push(((a.0 * a.1 as f64 + b.0 * b.1 as f64) / (a.1 + b.1) as f64, a.1 + b.1));
            }
        }
        let rising = pools.iter().flat_map(|(s, many)| std::iter::repeat_n(*s, *many));
        rising.enumerate().map(|(i, s)| s + least * i as f64).collect()
    }

    fn residuals(
        &self,
        feet: &[f64],
        heads: &[Vec<Hung>],
        pinned: &[(usize, f64)],
        round: bool,
    ) -> Vec<Residual> {
        const SMALL_MM: f64 = 0.01;
        let n = feet.len();
        let mut all = Vec::with_capacity(4 * n);
        for (i, (s, hung)) in feet.iter().zip(heads).enumerate() {
            for h in hung {
                let at = |s: f64| self.angle_at(s, *h);
                let slope = (at(s + SMALL_MM) - at(s - SMALL_MM)) / (2.0 * SMALL_MM);
                all.push(Residual { off: (at(*s) - self.angle) / ANGLE, slopes: vec![(i, slope / ANGLE)] });
            }
        }
        let gaps = gaps(feet, self.ring(round));
        let m = gaps.len();
        // A difference of the logarithms of gaps: each gap counts with a weight.
        let mut wish = |weights: &[(usize, f64)]| {
            let mut residual = Residual { off: 0.0, slopes: Vec::new() };
            for (k, weight) in weights {
                let (k, gap) = (k % m, gaps[k % m].max(1e-6));
                residual.off += weight * gap.ln() / GAP;
                residual.slopes.push(((k + 1) % n, weight / gap / GAP));
                residual.slopes.push((k, -weight / gap / GAP));
            }
            all.push(residual);
        };
        let last = if round { m } else { m.saturating_sub(1) };
        (0..last).for_each(|k| wish(&[(k, -1.0), (k + 1, 1.0)]));
        let last = if round { m } else { m.saturating_sub(2) };
        (0..last).for_each(|k| wish(&[(k, 1.0), (k + 1, -2.0), (k + 2, 1.0)]));
        for (i, s) in pinned.iter().filter(|p| p.0 < n) {
            all.push(Residual { off: (feet[*i] - s) / PINNED_MM, slopes: vec![(*i, 1.0 / PINNED_MM)] });
        }
        all
    }
}

/// The gaps between neighbouring feet; on a ring the last leads to the first again.
fn gaps(feet: &[f64], ring: Option<f64>) -> Vec<f64> {
    let mut gaps: Vec<f64> = feet.windows(2).map(|w| w[1] - w[0]).collect();
    if let (Some(length), [first, .., last]) = (ring, feet) {
        gaps.push(first + length - last);
    }
    gaps
}

fn sum(all: &[Residual]) -> f64 {
    all.iter().map(|r| r.off * r.off).sum()
}

/// The step of the feet that betters all wishes, by Cholesky's method on a band.
fn solve(all: &[Residual], n: usize, round: bool, damping: f64) -> Vec<f64> {
    // On a ring: 0, n − 1, 1, n − 2, … so that neighbours are at most twice as far apart as along a line.
    let place = |i: usize| match round {
        true if 2 * i < n => 2 * i,
        true => 2 * (n - 1 - i) + 1,
        false => i,
    };
    let band = if round { 8 } else { 3 };
    let mut matrix = vec![vec![0.0; band + 1]; n];
    let mut right = vec![0.0; n];
    for r in all {
        for (i, a) in &r.slopes {
            let i = place(*i);
            right[i] -= a * r.off;
            for (j, b) in &r.slopes {
                let j = place(*j);
                if j <= i {
                    matrix[i][i - j] += a * b;
                }
            }
        }
    }
    for row in &mut matrix {
        row[0] *= 1.0 + damping;
        row[0] += 1e-12;
    }
    for i in 0..n {
        for j in i.saturating_sub(band)..=i {
            let from = i.saturating_sub(band).max(j.saturating_sub(band));
            let known: f64 = (from..j).map(|k| matrix[i][i - k] * matrix[j][j - k]).sum();
            let rest = matrix[i][i - j] - known;
            matrix[i][i - j] = if i == j { rest.max(1e-12).sqrt() } else { rest / matrix[j][0] };
        }
    }
    for i in 0..n {
        let known: f64 = (i.saturating_sub(band)..i).map(|k| matrix[i][i - k] * right[k]).sum();
        right[i] = (right[i] - known) / matrix[i][0];
    }
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n.min(i + band + 1)).map(|k| matrix[k][k - i] * right[k]).sum();
        right[i] = (right[i] - known) / matrix[i][0];
    }
    (0..n).map(|i| right[place(i)]).collect()
}
