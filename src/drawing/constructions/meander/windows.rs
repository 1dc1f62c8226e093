//! Windows: a mesh larger than one hooping → its points in clusters that each lie in a window, with borders that interlock.
//!
//! Windows of one size overlap in rows and columns over the mesh. Every point begins in the nearest window and may go over
//! to a neighbour's that holds it too, as long as its cluster hangs together; the labels are annealed for as many edges
//! between clusters as there can be, and for clusters of one size (Kirkpatrick, Gelatt and Vecchi, Optimization by
//! simulated annealing, Science 220, 1983, from memory). A straight seam would show; such a one does not.

use kurbo::{Point, Rect, Size};
use oorandom::Rand64;

use super::cells::pick;
use super::fence::whole;
use super::mesh::{Mesh, root, unite};
use crate::base::chain;

/// Moves tried for every point, and the heat at the first and the last.
const TRIALS: usize = 60;
/// See [`TRIALS`].
const HEAT: (f64, f64) = (1.5, 0.1);
/// What a cut edge is worth, and what the square of a cluster's miss of the mean size costs.
const CUT: f64 = 1.0;
/// See [`CUT`].
const UNEVEN: f64 = 0.04;
/// The fewest points of a cluster that gives one away.
const FEWEST: usize = 4;

/// The points of a mesh in clusters.
#[derive(Debug, Clone)]
pub struct Windows {
    /// For each point the number of its cluster.
    pub of: Vec<usize>,
    /// For each cluster the window that it lies in.
    pub window: Vec<Rect>,
}

/// Clusters that each hang together and lie in a window of `size` mm; neighbouring windows overlap by `overlap` mm or more.
#[must_use]
pub fn label(mesh: &Mesh, size: Size, overlap: f64, random: &mut Rand64) -> Windows {
    let windows = windows(chain::bounds(&mesh.points), size, overlap);
    let nearest = |p: &Point| {
        let held = (0..windows.len()).filter(|w| windows[*w].inflate(1e-6, 1e-6).contains(*p));
        let away = |w: &usize| windows[*w].center().distance_squared(*p);
        held.min_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(0)
    };
    let of: Vec<usize> = mesh.points.iter().map(nearest).collect();
    let mut clusters = Clusters::new(mesh, &of, &windows);
    clusters.anneal(random);
    Windows { of: clusters.of, window: clusters.window }
}

/// Windows in rows and columns over `bounds`, the fewest that overlap by `overlap` where there is more than one.
fn windows(bounds: Rect, size: Size, overlap: f64) -> Vec<Rect> {
    let starts = |from: f64, long: f64, window: f64| -> Vec<f64> {
        let over = (long - window).max(0.0);
        let steps = (over / (window - overlap).max(window / 2.0)).ceil();
        let step = if steps > 0.0 { over / steps } else { 0.0 };
        (0..=whole(steps)).map(|k| from + k as f64 * step).collect()
    };
    let xs = starts(bounds.x0, bounds.width(), size.width);
    let ys = starts(bounds.y0, bounds.height(), size.height);
    ys.iter().flat_map(|y| xs.iter().map(move |x| Rect::from_origin_size((*x, *y), size))).collect()
}

/// How many windows of a size lie over a box.
#[must_use]
pub fn count(bounds: Rect, size: Size, overlap: f64) -> usize {
    windows(bounds, size, overlap).len()
}

/// Points with their clusters.
struct Clusters<'m> {
    mesh: &'m Mesh,
    of: Vec<usize>,
    size: Vec<usize>,
    window: Vec<Rect>,
    mean: f64,
}

impl<'m> Clusters<'m> {
    /// Points of one window that do not hang together are clusters of their own.
    fn new(mesh: &'m Mesh, windows: &[usize], rects: &[Rect]) -> Self {
        let mut roots: Vec<usize> = (0..mesh.points.len()).collect();
        for edge in mesh.edges.iter().filter(|e| windows[e.ends[0]] == windows[e.ends[1]]) {
            unite(&mut roots, edge.ends[0], edge.ends[1]);
        }
        let mut number = vec![None; mesh.points.len()];
        let (mut of, mut size, mut window) = (Vec::new(), Vec::new(), Vec::new());
        for (p, in_window) in windows.iter().enumerate() {
            let cluster = *number[root(&mut roots, p)].get_or_insert_with(|| {
                size.push(0);
                window.push(rects[*in_window]);
                size.len() - 1
            });
            size[cluster] += 1;
            of.push(cluster);
        }
        let mean = mesh.points.len() as f64 / size.len().max(1) as f64;
        Self { mesh, of, size, window, mean }
    }

    fn neighbours(&self, p: usize) -> impl Iterator<Item = usize> + '_ {
        self.mesh.around[p].iter().map(move |(e, _)| self.mesh.other(*e, p))
    }

    /// Moves points from cluster to cluster for ever smaller rises of the cost.
    fn anneal(&mut self, random: &mut Rand64) {
        let trials = TRIALS * self.of.len();
        for t in 0..trials {
            let p = pick(random, self.of.len());
            let others: Vec<usize> =
                self.neighbours(p).map(|q| self.of[q]).filter(|c| *c != self.of[p]).collect();
            if others.is_empty() {
                continue;
            }
            let to = others[pick(random, others.len())];
            let heat = HEAT.0 * (HEAT.1 / HEAT.0).powf(t as f64 / trials as f64);
            let rise = self.rise(p, to);
            let is_wanted = rise <= 0.0 || random.rand_float() < (-rise / heat).exp();
            let small = self.size[self.of[p]] < FEWEST;
            if (is_wanted || small) && self.window[to].contains(self.mesh.points[p]) && self.may_leave(p) {
                self.size[self.of[p]] -= 1;
                self.size[to] += 1;
                self.of[p] = to;
            }
        }
    }

    fn rise(&self, p: usize, to: usize) -> f64 {
        let from = self.of[p];
        let same = |c: usize| self.neighbours(p).filter(|q| self.of[*q] == c).count() as f64;
        let (a, b) = (self.size[from] as f64 - self.mean, self.size[to] as f64 - self.mean);
        // (a − 1)² + (b + 1)² − a² − b²
        CUT * (same(to) - same(from)) + UNEVEN * 2.0 * (b - a + 1.0)
    }

    /// True if what is left of a point's cluster hangs together, or nothing is left.
    fn may_leave(&self, p: usize) -> bool {
        let own: Vec<usize> = self.neighbours(p).filter(|q| self.of[*q] == self.of[p]).collect();
        let Some(first) = own.first() else { return true };
        let mut left: Vec<usize> = own[1..].to_vec();
        let mut seen = vec![p, *first];
        let mut next = 1;
        while next < seen.len() && !left.is_empty() {
            let q = seen[next];
            next += 1;
            for r in self.neighbours(q).filter(|r| self.of[*r] == self.of[p]) {
                if !seen.contains(&r) {
                    seen.push(r);
                    left.retain(|l| *l != r);
                }
            }
        }
        left.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_overlap_and_reach_from_edge_to_edge() {
        let got = windows(Rect::new(0.0, 0.0, 600.0, 150.0), Size::new(168.0, 168.0), 20.0);
        let xs: Vec<f64> = got.iter().map(|r| r.x0).collect();
        assert_eq!(xs, [0.0, 144.0, 288.0, 432.0]);
        assert_eq!(count(Rect::new(0.0, 0.0, 168.0, 168.0), Size::new(168.0, 168.0), 20.0), 1);
    }
}
