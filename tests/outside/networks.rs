//! Networks made by hand for tests and benchmarks of routes: grids, peel lattices, echoes and random plane graphs.

use std::collections::BTreeMap;

use kurbo::{Point, Vec2};
use oorandom::Rand64;
use thrice::network::{Edge, EdgeKind, Network};

/// A network in the making, in which points a nanometre apart are one node.
#[derive(Default)]
pub struct Maker {
    network: Network,
    known: BTreeMap<(i64, i64), usize>,
}

impl Maker {
    fn node(&mut self, p: Point) -> usize {
        let key = ((p.x * 1e6).round() as i64, (p.y * 1e6).round() as i64);
        *self.known.entry(key).or_insert_with(|| {
            self.network.nodes.push(p);
            self.network.nodes.len() - 1
        })
    }

    fn add(&mut self, chain: Vec<Point>, kind: EdgeKind) {
        let (from, to) = (self.node(chain[0]), self.node(chain[chain.len() - 1]));
        let length_mm = chain.windows(2).map(|w| w[0].distance(w[1])).sum();
        self.network.edges.push(Edge { from, to, chain, corners: vec![], length_mm, kind });
    }

    /// Straight lines, split where they cross.
    fn add_lines(&mut self, lines: &[(Point, Point)]) {
        for (i, a) in lines.iter().enumerate() {
            let mut cuts = vec![0.0, 1.0];
            cuts.extend(
                lines.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, b)| crossing(*a, *b)),
            );
            cuts.sort_by(f64::total_cmp);
            cuts.dedup_by(|x, y| (*x - *y).abs() < 1e-9);
            for w in cuts.windows(2) {
                self.add(vec![a.0.lerp(a.1, w[0]), a.0.lerp(a.1, w[1])], EdgeKind::Drawn);
            }
        }
    }

    /// Travel along a convex outline between the nodes that lie on it.
    fn add_travel(&mut self, outline: &[Point]) {
        for (i, &a) in outline.iter().enumerate() {
            let b = outline[(i + 1) % outline.len()];
            let along = (b - a) / (b - a).hypot();
            let on = |p: &&Point| (**p - a).cross(along).abs() < 1e-6;
            let mut stops: Vec<Point> = self.network.nodes.iter().filter(on).copied().collect();
            stops.extend([a, b]);
            stops.retain(|p| (-1e-6..=(b - a).hypot() + 1e-6).contains(&(*p - a).dot(along)));
            stops.sort_by(|p, q| (*p - a).dot(along).total_cmp(&(*q - a).dot(along)));
            stops.dedup_by(|p, q| p.distance(*q) < 1e-6);
            stops.windows(2).for_each(|w| self.add(w.to_vec(), EdgeKind::Travel));
        }
    }
}

/// Where along `a`, from 0 to 1, it meets `b`.
fn crossing(a: (Point, Point), b: (Point, Point)) -> Option<f64> {
    let (u, v) = (a.1 - a.0, b.1 - b.0);
    let det = u.cross(v);
    let (s, t) = ((b.0 - a.0).cross(v) / det, (b.0 - a.0).cross(u) / det);
    let within = -1e-9..=1.0 + 1e-9;
    (det.abs() > 1e-9 && within.contains(&s) && within.contains(&t)).then(|| s.clamp(0.0, 1.0))
}

/// A square of side `side` around 0,0.
pub fn square(side: f64) -> Vec<Point> {
    let h = side / 2.0;
    vec![Point::new(-h, -h), Point::new(h, -h), Point::new(h, h), Point::new(-h, h)]
}

/// A triangle with its right angle bottom left.
pub fn triangle(leg: f64) -> Vec<Point> {
    vec![Point::new(0.0, 0.0), Point::new(leg, 0.0), Point::new(0.0, leg)]
}

/// Parallel lines `pitch` apart, clipped to a convex outline; those too short to be sure of a crossing are left out.
fn rulings(outline: &[Point], degrees: f64, pitch: f64) -> Vec<(Point, Point)> {
    let along = Vec2::from_angle(degrees.to_radians());
    let across = Vec2::new(-along.y, along.x);
    let mut lines = Vec::new();
    for i in -2000..2000 {
        let offset = (f64::from(i) + 0.37) * pitch;
        let mut hits: Vec<Point> = Vec::new();
        for (j, &a) in outline.iter().enumerate() {
            let b = outline[(j + 1) % outline.len()];
            let (da, db) = (a.to_vec2().dot(across) - offset, b.to_vec2().dot(across) - offset);
            if (da < 0.0) != (db < 0.0) {
                hits.push(a.lerp(b, da / (da - db)));
            }
        }
        hits.sort_by(|p, q| p.to_vec2().dot(along).total_cmp(&q.to_vec2().dot(along)));
        if let [a, b] = hits[..]
            && a.distance(b) > pitch
        {
            lines.push((a, b));
        }
    }
    lines
}

/// Cross-hatching over a convex outline, with or without travel along the outline.
pub fn crosshatch(outline: &[Point], degrees: [f64; 2], pitch: f64, travel: bool) -> Network {
    let mut maker = Maker::default();
    let lines: Vec<_> = degrees.iter().flat_map(|d| rulings(outline, *d, pitch)).collect();
    maker.add_lines(&lines);
    if travel {
        maker.add_travel(outline);
    }
    maker.network
}

/// Concentric copies of an outline, with diagonals from corner to corner and across.
pub fn echo(outline: &[Point], rings: u32, diagonals: bool, travel: bool) -> Network {
    let mut maker = Maker::default();
    let count = outline.len();
    let middle = (outline.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2()) / count as f64).to_point();
    let mut lines = Vec::new();
    for ring in 1..=rings {
        let scaled: Vec<Point> =
            outline.iter().map(|p| middle.lerp(*p, f64::from(ring) / f64::from(rings))).collect();
        lines.extend((0..count).map(|i| (scaled[i], scaled[(i + 1) % count])));
    }
    if diagonals {
        lines.extend(outline.iter().map(|p| (*p, middle)));
        lines.extend((0..count).map(|i| (outline[i].midpoint(outline[(i + 1) % count]), middle)));
    }
    maker.add_lines(&lines);
    if travel && !diagonals {
        // Rungs between the rings on which the walk may change over.
        for ring in 1..rings {
            let at = |r: u32| middle.lerp(outline[0], f64::from(r) / f64::from(rings));
            maker.add(vec![at(ring), at(ring + 1)], EdgeKind::Travel);
        }
    }
    maker.network
}

/// A lattice of petals: each side of a cell is two arcs; sides on the border are one. `bend` bends the whole block.
pub fn peel(cells: u32, pitch: f64, triangular: bool, bend: f64, skip: u64) -> Network {
    let mut maker = Maker::default();
    let mut dice = Rand64::new(u128::from(skip) + u128::from(cells));
    let place = |x: f64, y: f64| {
        let (x, y) = if triangular { (x + y / 2.0, y * 0.75_f64.sqrt()) } else { (x, y) };
        Point::new(pitch * (x + bend * y * y / 40.0), pitch * (y - bend * x * y / 60.0))
    };
    let n = i64::from(cells);
    let inside = |x: i64, y: i64| x >= 0 && y >= 0 && if triangular { x + y <= n } else { x <= n && y <= n };
    let ways: &[(i64, i64)] = if triangular { &[(1, 0), (0, 1), (-1, 1)] } else { &[(1, 0), (0, 1)] };
    for (x, y) in (0..=n).flat_map(|y| (0..=n).map(move |x| (x, y))) {
        for (dx, dy) in ways.iter().filter(|w| inside(x, y) && inside(x + w.0, y + w.1)) {
            let border = if triangular {
                (y == 0 && *dy == 0) || (x == 0 && *dx == 0) || (x + y == n && *dx != 0 && *dy != 0)
            } else {
                ((y == 0 || y == n) && *dy == 0) || ((x == 0 || x == n) && *dx == 0)
            };
            for bow in if border { &[0.0][..] } else { &[-0.2, 0.2][..] } {
                let arc = |i: i32| {
                    let t = f64::from(i) / 8.0;
                    let (fx, fy) = (x as f64 + t * *dx as f64, y as f64 + t * *dy as f64);
                    let off = bow * 4.0 * t * (1.0 - t);
                    place(fx - off * *dy as f64, fy + off * *dx as f64)
                };
                if skip == 0 || dice.rand_range(0..skip) > 0 {
                    maker.add((0..=8).map(arc).collect(), EdgeKind::Drawn);
                }
            }
        }
    }
    maker.network
}

/// A jittered grid with diagonals, of which some edges are drawn, some are for travel and some are missing.
pub fn random_plane(seed: u64, side: u64, drawn_percent: u64, travel_percent: u64) -> Network {
    let mut dice = Rand64::new(u128::from(seed));
    let mut maker = Maker::default();
    let mut points = Vec::new();
    for y in 0..side {
        for x in 0..side {
            let jitter = (dice.rand_float() * 0.6, dice.rand_float() * 0.6);
            points.push(Point::new(5.0 * (x as f64 + jitter.0), 5.0 * (y as f64 + jitter.1)));
        }
    }
    let mut travel = Vec::new();
    for (y, x) in (0..side).flat_map(|y| (0..side).map(move |x| (y, x))) {
        for (dx, dy) in [(1, 0), (0, 1), (1, 1)].iter().filter(|d| x + d.0 < side && y + d.1 < side) {
            let (a, b) = (points[(y * side + x) as usize], points[((y + dy) * side + x + dx) as usize]);
            let roll = dice.rand_range(0..100);
            if roll < drawn_percent {
                maker.add(vec![a, b], EdgeKind::Drawn);
            } else if roll < drawn_percent + travel_percent {
                travel.push(vec![a, b]);
            }
        }
    }
    travel.into_iter().for_each(|chain| maker.add(chain, EdgeKind::Travel));
    maker.network
}

/// Names and networks for the outside judge: all kinds, small enough for a judge that tries every pair of odd nodes.
pub fn for_judges() -> Vec<(String, Network)> {
    let mut all = Vec::new();
    for degrees in [0.0, 30.0, 45.0] {
        for (name, outline) in [("square", square(100.0)), ("triangle", triangle(110.0))] {
            for pitch in [9.0, 14.0, 23.0] {
                for travel in [false, true] {
                    let name = format!("grid {degrees}° on {name}, pitch {pitch}, travel {travel}");
                    all.push((name, crosshatch(&outline, [degrees, degrees + 90.0], pitch, travel)));
                }
            }
        }
    }
    for (triangular, bend) in [(false, 0.0), (true, 0.0), (false, 0.7), (true, 0.5)] {
        for skip in [0, 4, 9] {
            let name = format!("peel, triangular {triangular}, bend {bend}, skip {skip}");
            all.push((name, peel(7, 12.0, triangular, bend, skip)));
        }
    }
    for (name, outline) in [("square", square(120.0)), ("triangle", triangle(120.0))] {
        for rings in [1, 4, 9] {
            for (diagonals, travel) in [(true, false), (false, true), (false, false)] {
                let name = format!("echo on {name}, {rings} rings, diagonals {diagonals}, travel {travel}");
                all.push((name, echo(&outline, rings, diagonals, travel)));
            }
        }
    }
    for seed in 0..12 {
        let (drawn, travel) = [(90, 0), (60, 15), (35, 60), (20, 20)][seed as usize % 4];
        all.push((format!("random plane graph {seed}"), random_plane(seed, 8 + seed / 3, drawn, travel)));
    }
    all
}
