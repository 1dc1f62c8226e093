//! Cells: an inner outline → points spread evenly over it, without a grid showing.
//!
//! Points are thrown so that none lands near another, then each is moved to the middle of what lies nearest to it, some
//! rounds over (Lloyd, Least squares quantization in PCM, 1982) [223], on a raster of the outline.
//! Limits: nearest is as the crow flies, so beside a slit narrower than a cell a point may tend both of its sides.

use kurbo::Point;
use oorandom::Rand64;

use super::fence::{Bins, whole};
use super::near::Near;
use crate::base::chain::{self, sides};
use crate::block::region::Region;

/// Raster points along the side of a cell.
const RASTER: f64 = 4.0;

/// Thrown as densely as they will go, no two nearer than `r`, points have 1.436 r² each
/// (jamming density 0.547: Feder, Random sequential adsorption, 1980) [224].
const THROWN_AREA: f64 = 1.436;

/// Rounds of moving to the middle; more makes the points a honeycomb, fewer leaves them uneven.
const ROUNDS: usize = 7;

/// Points spread over `region`, about one for every `area` mm²; those of `rim` come first and stay where they are.
#[must_use]
pub fn spread(region: &Region, area: f64, rim: &[Point], random: &mut Rand64) -> Vec<Point> {
    let raster = rasterise(region, area.sqrt() / RASTER);
    let mut points = throw(&raster, (area / THROWN_AREA).sqrt(), rim, random);
    for _ in 0..ROUNDS {
        settle(&mut points, &raster, area.sqrt());
        points[..rim.len()].copy_from_slice(rim);
    }
    points
}

/// The middles of all raster squares of side `pitch` inside the region, row by row.
#[must_use]
pub fn rasterise(region: &Region, pitch: f64) -> Vec<Point> {
    let bounds = region.bounds();
    let mut points = Vec::new();
    let mut y = bounds.y0 + pitch / 2.0;
    while y < bounds.y1 {
        let mut cuts: Vec<f64> = region
            .rings()
            .flat_map(|r| sides(r.points()))
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
            .collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let mut x = bounds.x0 + (((pair[0] - bounds.x0) / pitch - 0.5).ceil() + 0.5) * pitch;
            while x < pair[1] {
                points.push(Point::new(x, y));
                x += pitch;
            }
        }
        y += pitch;
    }
    points
}

/// The points of `rim`, then raster points in random order, each kept if none kept before is nearer than `apart`.
fn throw(raster: &[Point], apart: f64, rim: &[Point], random: &mut Rand64) -> Vec<Point> {
    let mut order: Vec<Point> = raster.to_vec();
    for i in (1..order.len()).rev() {
        order.swap(i, pick(random, i + 1));
    }
    let mut kept = Bins::new(chain::bounds(raster), apart);
    rim.iter().for_each(|p| kept.add(*p));
    for p in order {
        if kept.nearest(p).is_none_or(|(_, away)| away >= apart) {
            kept.add(p);
        }
    }
    kept.into_points()
}

/// A random whole number below `below`.
pub fn pick(random: &mut Rand64, below: usize) -> usize {
    whole(random.rand_float() * below as f64).min(below.saturating_sub(1))
}

/// Moves every point to the middle of the raster points nearest to it.
fn settle(points: &mut [Point], raster: &[Point], side: f64) {
    let near = Near::new(points, side);
    let mut sums = vec![(0.0, 0.0, 0.0); points.len()];
    let owners: Vec<Option<usize>> = raster.iter().map(|p| near.nearest(*p).map(|(i, _)| i)).collect();
    for (p, owner) in raster.iter().zip(&owners) {
        if let Some(i) = owner {
            let sum = &mut sums[*i];
            *sum = (sum.0 + p.x, sum.1 + p.y, sum.2 + 1.0);
        }
    }
    let middles: Vec<Point> = sums
        .iter()
        .zip(points.iter())
        .map(|(s, p)| if s.2 > 0.0 { Point::new(s.0 / s.2, s.1 / s.2) } else { *p })
        .collect();
    // The middle of a bent cell may lie outside it: its raster point nearest to the middle never does.
    let mut best = vec![f64::INFINITY; points.len()];
    for (p, owner) in raster.iter().zip(&owners) {
        if let Some(i) = owner {
            let away = p.distance(middles[*i]);
            if away < best[*i] {
                best[*i] = away;
                points[*i] = *p;
            }
        }
    }
    let pitch = side / RASTER;
    for ((p, middle), away) in points.iter_mut().zip(&middles).zip(&best) {
        if *away < pitch {
            *p = *middle;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    #[test]
    fn cells_are_as_many_as_asked_and_keep_apart() {
        let square = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)].map(Point::from);
        let region = Region { outer: Ring::from_points(&square).unwrap(), holes: Vec::new() };
        for seed in 1..20 {
            let points = spread(&region, 100.0, &[], &mut Rand64::new(seed));
            assert!((165..=235).contains(&points.len()), "{} cells", points.len());
            for (i, p) in points.iter().enumerate() {
                assert!(region.depth(*p) > 2.5);
                assert!(points[..i].iter().all(|q| p.distance(*q) > 6.0));
            }
        }
    }
}
