//! The stem of a plume: a spiral that leaves the spine almost straight and winds up onto the circle of the plume's head.
//!
//! Its curvature grows steadily from nothing at the foot to that of the head's circle, as a power of the length, so that
//! stem and head are one line without a joint the eye could find; slender plumes wind further than stout ones. (Curves of monotone curvature as a measure of beauty:
//! K. T. Miura, A general equation of aesthetic curves and its self-affinity, Computer-Aided Design and Applications 3,
//! 2006 [227].) One number, the length in head radii, fits it between any foot
//! and any head.

use kurbo::{CubicBez, Point, Vec2};

/// Lengths in the table from foot to head, in head radii; longer plumes are drawn with the last shape, stretched.
const LONGEST: f64 = 60.0;

/// The length, in head radii, at which a stem turns by just the motif's curl.
const MIDDLING: f64 = 3.0;

/// How the turn grows with the length: as this power of it.
const GROWTH: f64 = 0.4;

/// The furthest that a stem turns, radians: more would wind back to the spine.
const FURTHEST: f64 = 2.9;

/// Entries of the table.
const ENTRIES: usize = 160;

/// Nodes and weights of the five-point Gauss–Legendre rule on (0, 1).
const GAUSS: [(f64, f64); 5] = [
    (0.046_910_077_030_668, 0.118_463_442_528_095),
    (0.230_765_344_947_158, 0.239_314_335_249_683),
    (0.5, 0.284_444_444_444_444),
    (0.769_234_655_052_841, 0.239_314_335_249_683),
    (0.953_089_922_969_332, 0.118_463_442_528_095),
];

/// A family of stems.
#[derive(Debug, Clone)]
pub struct Spiral {
    // Invariant: how far the stem of a middling plume turns, radians.
    curl: f64,
    // Invariant: (length, distance of the circle's centre from the foot, its bearing off the first direction), rising.
    table: Vec<(f64, f64, f64)>,
}

impl Spiral {
    /// Stems of which a middling one turns by `curl_deg` from the foot to the head.
    pub fn new(curl_deg: f64) -> Self {
        let curl = curl_deg.to_radians();
        // The length that equals its turn: a stem that is all arc.
        let least = (curl / MIDDLING.powf(GROWTH)).powf(1.0 / (1.0 - GROWTH));
        let table = (0..ENTRIES).map(|i| {
            let length = least * (LONGEST / least).powf(i as f64 / (ENTRIES - 1) as f64);
            let centre = centre(turn(curl, length), length);
            (length, centre.hypot(), centre.atan2())
        });
        Self { curl, table: table.collect() }
    }

    /// The length of the stem and the bearing of the head's centre off the stem's first direction, for a centre
    /// `distance` head radii from the foot.
    fn fit(&self, distance: f64) -> (f64, f64) {
        let i = self.table.partition_point(|e| e.1 < distance).clamp(1, self.table.len() - 1);
        let (a, b) = (self.table[i - 1], self.table[i]);
        let t = ((distance - a.1) / (b.1 - a.1)).clamp(0.0, 1.0);
        (a.0 + (b.0 - a.0) * t, a.2 + (b.2 - a.2) * t)
    }

    /// The direction, as an angle, in which the stem from `foot` to a head leaves, turning by `side` (1 left, −1 right).
    pub fn departure(&self, foot: Point, centre: Point, radius: f64, side: f64) -> f64 {
        let reach = centre - foot;
        reach.atan2() - side * self.fit(reach.hypot() / radius).1
    }

    /// The point `gone` mm along the stem from `foot` to a head, near its foot; `None` if the stem is shorter.
    pub fn along(&self, foot: Point, (centre, radius): (Point, f64), side: f64, gone: f64) -> Option<Point> {
        let (length, bearing) = self.fit(centre.distance(foot) / radius);
        let share = gone / (length * radius);
        let way = run(turn(self.curl, length), length, 0.0, share) * radius;
        let leaves = Vec2::from_angle((centre - foot).atan2() - side * bearing);
        let way =
            Vec2::new(leaves.x * way.x - leaves.y * way.y * side, leaves.y * way.x + leaves.x * way.y * side);
        (share < 1.0).then_some(foot + way)
    }

    /// The stem from `foot` onto the circle of a head, as curves.
    ///
    /// The foot has to lie outside the circle. The last point lies on the circle, and the direction there is along it.
    pub fn stem(&self, foot: Point, centre: Point, radius: f64, side: f64) -> Vec<CubicBez> {
        let reach = centre - foot;
        let distance = reach.hypot() / radius;
        let length = self.polished(distance);
        let turn = turn(self.curl, length);
        let local = self::centre(turn, length);
        let scale = reach.hypot() / local.hypot();
        let turned = Vec2::from_angle(reach.atan2() - side * local.atan2());
        let place = |v: Vec2| {
            let v = Vec2::new(v.x, v.y * side) * scale;
            Vec2::new(v.x * turned.x - v.y * turned.y, v.x * turned.y + v.y * turned.x)
        };
        let pieces = (length / 0.35).ceil().clamp(4.0, 24.0) as usize;
        let mut curves = Vec::with_capacity(pieces);
        let mut from = Vec2::ZERO;
        for k in 0..pieces {
            let (a, b) = (k as f64 / pieces as f64, (k + 1) as f64 / pieces as f64);
            let to = from + run(turn, length, a, b);
            let handle = length * (b - a) / 3.0;
            let (v, u) = (way(turn, length, a) * handle, way(turn, length, b) * handle);
            let [p, q, r, s] = [from, from + v, to - u, to].map(|v| foot + place(v));
            curves.push(CubicBez::new(p, q, r, s));
            from = to;
        }
        curves
    }

    /// The length for a distance, to the last digit that matters.
    fn polished(&self, distance: f64) -> f64 {
        let off = |length: f64| centre(turn(self.curl, length), length).hypot() - distance;
        let (mut a, _) = self.fit(distance);
        let mut b = a * 1.001;
        for _ in 0..6 {
            let (f, g) = (off(a), off(b));
            if f.abs() < 1e-12 || (f - g).abs() < 1e-14 {
                break;
            }
            (a, b) = ((a - f * (a - b) / (f - g)).clamp(self.table[0].0, LONGEST), a);
        }
        a
    }
}

/// How far a stem of this length turns, radians; at most by its length for all lengths in the table, so that its curvature can rise from nothing.
fn turn(curl: f64, length: f64) -> f64 {
    (curl * (length / MIDDLING).powf(GROWTH)).min(FURTHEST)
}

/// The direction at the share `t` of the length.
fn way(turn: f64, length: f64, t: f64) -> Vec2 {
    Vec2::from_angle(heading(turn, length, t))
}

/// The heading at the share `t` of the length: curvature grows as a power of the length and ends at 1.
fn heading(turn: f64, length: f64, t: f64) -> f64 {
    turn * t.powf(length / turn)
}

/// The way gone between two shares of the length.
fn run(turn: f64, length: f64, a: f64, b: f64) -> Vec2 {
    let sum = GAUSS
        .iter()
        .fold(Vec2::ZERO, |sum, (x, w)| sum + Vec2::from_angle(heading(turn, length, a + (b - a) * x)) * *w);
    sum * length * (b - a)
}

/// The centre of the unit circle that a stem of this length winds up on; it starts at 0,0 along x and turns left.
fn centre(turn: f64, length: f64) -> Vec2 {
    let pieces = (length / 0.5).ceil().clamp(6.0, 24.0) as usize;
    let end = (0..pieces).fold(Vec2::ZERO, |sum, k| {
        sum + run(turn, length, k as f64 / pieces as f64, (k + 1) as f64 / pieces as f64)
    });
    end + Vec2::new(-turn.sin(), turn.cos())
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{ParamCurve, ParamCurveCurvature};

    #[test]
    fn a_stem_winds_up_onto_its_head_with_rising_curvature() {
        let spiral = Spiral::new(100.0);
        for (x, y, radius, side) in [(10.0, 30.0, 9.0, 1.0), (-5.0, 20.0, 9.0, -1.0), (30.0, 4.0, 3.0, 1.0)] {
            let centre = Point::new(x, y);
            let stem = spiral.stem(Point::ZERO, centre, radius, side);
            assert_eq!(stem[0].p0, Point::ZERO);
            let end = stem[stem.len() - 1];
            assert!((end.p3.distance(centre) - radius).abs() < 1e-6, "{}", end.p3.distance(centre));
            let bends: Vec<f64> = stem.iter().map(|c| -side * c.curvature(0.5)).collect();
            assert!(bends.windows(2).all(|w| w[1] > w[0] - 1e-4), "{bends:?}");
            assert!((-side * end.curvature(1.0) * radius - 1.0).abs() < 0.15);
        }
    }

    #[test]
    fn a_point_told_to_lie_on_the_stem_lies_on_the_stem_drawn() {
        let spiral = Spiral::new(100.0);
        let (foot, centre) = (Point::new(1.0, 2.0), Point::new(20.0, 25.0));
        for side in [1.0, -1.0] {
            let told = spiral.along(foot, (centre, 8.0), side, 6.0).unwrap();
            let mut stem = kurbo::BezPath::new();
            stem.move_to(foot);
            spiral.stem(foot, centre, 8.0, side).iter().for_each(|c| stem.curve_to(c.p1, c.p2, c.p3));
            let near = |s: kurbo::PathSeg| kurbo::ParamCurveNearest::nearest(&s, told, 1e-6).distance_sq;
            let off = stem.segments().map(near).fold(f64::INFINITY, f64::min).sqrt();
            assert!(off < 0.02 && (told.distance(foot) - 6.0).abs() < 0.1, "{told} is {off} mm off");
        }
    }

    #[test]
    fn the_departure_told_is_the_departure_drawn() {
        let spiral = Spiral::new(100.0);
        let (foot, centre) = (Point::new(1.0, 2.0), Point::new(20.0, 25.0));
        let told = spiral.departure(foot, centre, 8.0, 1.0);
        let stem = spiral.stem(foot, centre, 8.0, 1.0);
        assert!((told - (stem[0].p1 - stem[0].eval(0.0)).atan2()).abs() < 0.01);
    }
}
