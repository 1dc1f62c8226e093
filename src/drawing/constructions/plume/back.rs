//! The back of a plume: from its foot on the spine, along a curve whose curvature only grows, onto the circle of its head.
//!
//! All lengths are in radii of the head. Along the back the curvature rises from `START` to 1, which is the head's own:
//! κ(u) = START + (1 − START) uᵖ for u from 0 at the foot to 1 on the head, and p follows from the whole turn and the length. A
//! curve of monotone curvature has neither bump nor hollow, and the back runs into the head without a joint. Two numbers, length
//! and turn, are solved from two conditions: where the head's centre lies, and which way the back sets out.
//!
//! Limits: a back turns by at least a little more than its starting curvature alone, and by no more than `MOST_TURN` more or
//! less than the natural turn for its length; where the way it sets out would need that, it sets out as near to it as it can.

use kurbo::{Affine, CubicBez, Point, Vec2};

/// The curvature at the foot, in curvatures of the head: without any, backs are straight lines with hooks.
const START: f64 = 0.125;
/// The most of a back's mean curvature that is there from the start.
const EVENEST: f64 = 0.72;
/// The length at which a back turns by the asked curl, in radii.
const MIDDLING: f64 = 3.0;
/// By how much a back turns more for each radius that it is longer, radians.
const TURN_A_RADIUS: f64 = 9.0 * DEG;
/// The greatest natural turn, radians.
const FULL_TURN: f64 = 115.0 * DEG;
/// By how much a back may turn more or less than is natural for its length so as to set out as asked, radians.
const MOST_TURN: f64 = 42.0 * DEG;
/// By how much the side of a teardrop turns at most, radians: more would make it as wide as a heart.
const DROP_TURN: f64 = 72.0 * DEG;
/// The greatest part of its length that a back may turn by: at 1 it is the head's circle all along.
const ROUNDEST: f64 = 0.97;
/// The shortest and the longest back that is tabulated, in radii.
const LENGTHS: [f64; 2] = [0.6, 24.0];
const TABLED: usize = 120;
const DEG: f64 = std::f64::consts::PI / 180.0;

/// Positions and weights of Gauss and Legendre's rule on five points, on 0…1.
const GAUSS: [(f64, f64); 5] = [
    (0.046_910_077_030_668, 0.118_463_442_528_094_5),
    (0.230_765_344_947_158_4, 0.239_314_335_249_683_2),
    (0.5, 0.284_444_444_444_444_4),
    (0.769_234_655_052_841_6, 0.239_314_335_249_683_2),
    (0.953_089_922_969_332, 0.118_463_442_528_094_5),
];

/// One back: its length in radii of the head and its whole turn in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Back {
    length: f64,
    turn: f64,
}

impl Back {
    fn new(length: f64, turn: f64) -> Self {
        Self { length, turn: turn.clamp(0.05 * length, ROUNDEST * length) }
    }

    /// The curvature at the foot, and the power with which it rises.
    fn rise(&self) -> (f64, f64) {
        let mean = self.turn / self.length;
        let start = START.min(EVENEST * mean);
        (start, (1.0 - start) / (mean - start) - 1.0)
    }

    /// How far it has turned at `u`, radians.
    fn heading(&self, u: f64, (start, p): (f64, f64)) -> f64 {
        self.length * (start * u + (1.0 - start) * u.powf(p + 1.0) / (p + 1.0))
    }

    /// What it covers from `a` to `b`, setting out along x.
    fn reach(&self, a: f64, b: f64, rise: (f64, f64)) -> Vec2 {
        let step = |(x, w): (f64, f64)| Vec2::from_angle(self.heading(a + (b - a) * x, rise)) * w;
        GAUSS.iter().map(|g| step(*g)).sum::<Vec2>() * ((b - a) * self.length)
    }

    /// The centre of its head, from a foot at 0,0 from which it sets out along x and turns left.
    fn centre(&self) -> Vec2 {
        let rise = self.rise();
        let end = self.reach(0.0, 0.5, rise) + self.reach(0.5, 0.8, rise) + self.reach(0.8, 1.0, rise);
        end + Vec2::new(-self.turn.sin(), self.turn.cos())
    }

    /// The back of this turn whose head's centre is `away` radii from its foot, by Newton's method from this length.
    fn reaching(self, away: f64, turn: f64) -> Self {
        const SMALL: f64 = 1e-3;
        let mut back = Self::new(self.length, turn);
        for _ in 0..12 {
            let off = back.centre().hypot() - away;
            if off.abs() < 1e-10 {
                break;
            }
            let more = Self::new(back.length + SMALL, turn);
            let slope = ((more.centre().hypot() - away - off) / SMALL).max(0.2);
            back = Self::new((back.length - off / slope).clamp(LENGTHS[0], LENGTHS[1]), turn);
        }
        back
    }

    /// Its whole turn, radians.
    pub fn turn(&self) -> f64 {
        self.turn
    }

    /// The back to the same head, `away` radii from its foot, of this turn; and how far before the way to the head it sets out.
    pub fn less(self, away: f64, turn: f64) -> (Self, f64) {
        let back = self.reaching(away, turn);
        (back, back.centre().atan2())
    }

    /// Its curves for a head of `radius`, from `foot`, setting out along `way` and turning to `side` (left 1, right −1).
    pub fn curves(&self, foot: Point, way: Vec2, radius: f64, side: f64) -> Vec<CubicBez> {
        const PIECES: usize = 8;
        let rise = self.rise();
        let place =
            Affine::new([way.x, way.y, -way.y * side, way.x * side, foot.x, foot.y]) * Affine::scale(radius);
        let mut from = Point::ZERO;
        let mut curves = Vec::with_capacity(PIECES);
        for i in 0..PIECES {
            // Shorter pieces where it bends more.
            let at = |i: usize| {
                let t = i as f64 / PIECES as f64;
                t * (1.4 - 0.4 * t)
            };
            let (a, b) = (at(i), at(i + 1));
            let to = from + self.reach(a, b, rise);
            let (v, w) = (self.heading(a, rise), self.heading(b, rise));
            let handle = (b - a) * self.length / 3.0 * (1.0 + (w - v).powi(2) / 48.0);
            let curve = CubicBez::new(
                from,
                from + Vec2::from_angle(v) * handle,
                to - Vec2::from_angle(w) * handle,
                to,
            );
            curves.push(place * curve);
            from = to;
        }
        curves
    }
}

/// The backs of one curl.
#[derive(Debug, Clone)]
pub struct Family {
    // Invariant: distance from foot to centre (rising), angle from the way it sets out to the centre, the back.
    table: Vec<(f64, f64, Back)>,
}

impl Family {
    /// The backs that turn by `curl_deg` where they are three radii long.
    pub fn new(curl_deg: f64) -> Self {
        let curl = curl_deg * DEG;
        let mut table: Vec<(f64, f64, Back)> = Vec::with_capacity(TABLED);
        for i in 0..TABLED {
            let length = LENGTHS[0] * (LENGTHS[1] / LENGTHS[0]).powf(i as f64 / (TABLED - 1) as f64);
            let back = Back::new(length, natural(curl, length));
            let centre = back.centre();
            if table.last().is_none_or(|t| centre.hypot() > t.0) {
                table.push((centre.hypot(), centre.atan2(), back));
            }
        }
        Self { table }
    }

    /// The angle from the way the natural back sets out to the centre of a head `away` radii from its foot, radians.
    pub fn lead(&self, away: f64) -> f64 {
        let (i, t) = self.find(away);
        self.table[i].1 * (1.0 - t) + self.table[i + 1].1 * t
    }

    /// The back to a head `away` radii from its foot that sets out `lead` radians before the way to the head's centre, or as
    /// nearly so as its turn allows; and how far before that way it does set out.
    pub fn back(&self, away: f64, lead: f64) -> (Back, f64) {
        let (i, t) = self.find(away);
        let (a, b) = (self.table[i].2, self.table[i + 1].2);
        let natural = Back::new(a.length * (1.0 - t) + b.length * t, a.turn * (1.0 - t) + b.turn * t);
        let mut back = natural.reaching(away, natural.turn);
        let [mut least, mut most] = [-MOST_TURN, MOST_TURN].map(|d| natural.turn + d);
        for _ in 0..30 {
            let off = back.centre().atan2() - lead;
            if off.abs() < 1e-7 || most - least < 1e-6 {
                break;
            }
            if off > 0.0 {
                most = back.turn.min(most)
            } else {
                least = back.turn.max(least)
            }
            // The lead grows by a little more than half the turn.
            let next = (back.turn - off / 0.6).clamp(least, most);
            if (next - back.turn).abs() < 1e-9 {
                break;
            }
            back = back.reaching(away, next);
        }
        (back, back.centre().atan2())
    }

    /// The side of a teardrop whose head is `away` radii from its foot, and how far before the way to the head it sets out.
    pub fn side(&self, away: f64) -> (Back, f64) {
        let (i, _) = self.find(away);
        let back = self.table[i].2;
        back.less(away, back.turn.min(DROP_TURN))
    }

    fn find(&self, away: f64) -> (usize, f64) {
        let i = self.table.partition_point(|t| t.0 <= away).clamp(1, self.table.len() - 1) - 1;
        let t = (away - self.table[i].0) / (self.table[i + 1].0 - self.table[i].0);
        (i, t.clamp(0.0, 1.0))
    }
}

/// The natural turn of a back of this length, radians.
fn natural(curl: f64, length: f64) -> f64 {
    (curl + TURN_A_RADIUS * (length - MIDDLING)).min(FULL_TURN.max(curl))
}
