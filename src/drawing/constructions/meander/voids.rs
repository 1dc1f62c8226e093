//! Voids: where a line leaves too much room, and what pulls it there.

use kurbo::{Point, Vec2};

use super::cells::rasterise;
use super::near::Near;
use crate::base::chain::sides;
use crate::block::region::Region;

/// Places of a region at which voids are looked for.
#[derive(Debug, Clone)]
pub struct Raster<'a> {
    region: &'a Region,
    pitch: f64,
    points: Vec<Point>,
}

impl<'a> Raster<'a> {
    /// Places about `pitch` mm apart, inside and along the edges.
    #[must_use]
    pub fn new(region: &'a Region, pitch: f64) -> Self {
        let mut points = rasterise(region, pitch);
        for (a, b) in region.rings().flat_map(|r| sides(r.points())) {
            let steps = (a.distance(b) / pitch).ceil().max(1.0);
            let mut k = 0.0;
            while k < steps {
                points.push(a.lerp(b, k / steps));
                k += 1.0;
            }
        }
        Self { region, pitch, points }
    }

    /// The middles of the voids with more than `wide` mm of room round them, the widest first, none in another.
    #[must_use]
    pub fn voids(&self, near: &Near, wide: f64) -> Vec<(Point, f64)> {
        let room = |p: &Point| near.nearest(*p).map(|(_, away)| (*p, away));
        let wanted = wide - 0.5 * self.pitch;
        let open = self.points.iter().filter(|p| !near.any_within(**p, wanted));
        let mut open: Vec<(Point, f64)> = open.filter_map(room).collect();
        open.sort_by(|p, q| q.1.total_cmp(&p.1));
        let mut voids: Vec<(Point, f64)> = Vec::new();
        for (p, r) in open {
            if voids.iter().all(|(q, _)| q.distance(p) > wide) {
                voids.push(self.widest(near, p, r));
            }
        }
        voids.retain(|(_, r)| *r > wide);
        voids
    }

    /// The widest place round `p`.
    fn widest(&self, near: &Near, p: Point, room: f64) -> (Point, f64) {
        let mut best = (p, room);
        for part in [0.5, 0.25, 0.125] {
            let step = part * self.pitch;
            for (x, y) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
                let q = best.0 + Vec2::new(x, y) * step;
                if let Some((_, away)) = near.nearest(q)
                    && away > best.1
                    && self.region.contains(q)
                {
                    best = (q, away);
                }
            }
        }
        best
    }

    /// The moves by which the points round each void are pulled into it: `strength` times what it is too wide by, less further off.
    #[must_use]
    pub fn pulls(&self, near: &Near, points: &[Point], wide: f64, strength: f64) -> Vec<(usize, Vec2)> {
        let mut pulls = Vec::new();
        for (middle, room) in self.voids(near, wide) {
            let reach = room + 0.5 * wide;
            near.each_within(middle, reach, |i| {
                let p = points[i];
                let away = middle - p;
                let long = away.hypot();
                let fall = 1.0 - ((long - room) / (reach - room)).max(0.0);
                pulls.push((i, away * (strength * (room - wide) * fall / long)));
            });
        }
        pulls
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    #[test]
    fn the_void_in_a_ring_of_points_is_its_middle_and_pulls_them_in() {
        let square = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)].map(Point::from);
        let region = Region { outer: Ring::from_points(&square).unwrap(), holes: Vec::new() };
        // A circle of 7 mm, and a lattice all round it.
        let ring = (0..40)
            .map(|i| Point::ZERO + 7.0 * Vec2::from_angle(f64::from(i) * std::f64::consts::TAU / 40.0));
        let lattice = (0..441).map(|i| Point::new(f64::from(i % 21 * 2 - 20), f64::from(i / 21 * 2 - 20)));
        let points: Vec<Point> = ring.chain(lattice.filter(|p| p.to_vec2().hypot() > 7.0)).collect();
        let near = Near::new(&points, 8.0);
        let raster = Raster::new(&region, 2.1);
        let voids = raster.voids(&near, 5.0);
        assert_eq!(voids.len(), 1);
        assert!(voids[0].0.to_vec2().hypot() < 0.3 && (voids[0].1 - 7.0).abs() < 0.3, "{voids:?}");
        let pulls = raster.pulls(&near, &points, 5.0, 0.5);
        assert!(pulls.len() >= 40);
        assert!(pulls.iter().all(|(i, by)| by.dot(points[*i].to_vec2()) < 0.0 && by.hypot() < 1.2));
    }
}
