//! Discs: a mesh and its tree → a disc for every point and every face, between which the line winds.
//!
//! At every corner of a face the disc of the point and that of the face touch, and the line goes between them; on both
//! sides of a branch, and of an edge that is none, a channel is kept open. The discs are moved and grown by projecting
//! these conditions one by one, round after round (position-based dynamics: Müller and others, 2007, from memory).

use kurbo::{Point, Vec2};
use oorandom::Rand64;

use super::fence::Fence;
use super::mesh::Mesh;
use super::near::Near;
use super::rim::Pin;
use super::windows::Windows;
use crate::base::angle::{left_of, unit};

/// Rounds of moving.
const ROUNDS: usize = 500;
/// Rounds between looking for neighbours afresh, and how far they are looked for, spacings.
const AFRESH: usize = 40;
/// See [`AFRESH`].
const REACH: f64 = 2.9;
/// The width of a channel, spacings.
const CHANNEL: f64 = 0.92;
/// How wide a channel is where it opens to the edge, at most, spacings.
const MOUTH: f64 = 1.0;
/// The least and the largest radius, spacings.
const RADIUS: (f64, f64) = (0.54, 0.88);
/// The radius to begin with, and how much more or less it may be, spacings.
const START: (f64, f64) = (0.67, 0.08);
/// A disc in a corner keeps the corner's tip within this of it, spacings, but for its least radius.
const TIP: (f64, f64) = (0.72, 0.36);
/// How far discs at the rim are from the edge, at most, spacings: lobes touch it at varied depth.
const DEPTH: f64 = 0.2;
/// How far discs stay from the edges of their window: the line may swing out that far, spacings.
const WITHIN: f64 = 0.08;
/// How far each corner of a tile stays from the other two's diagonal, spacings, so that none turns inside out.
const APART: f64 = 0.5;
/// How much of a miss is mended in a round: of a touch, of a channel too narrow and too wide, of a mouth too wide, of
/// discs near each other by chance, of one too far from the edge, of one too far from its corner.
const TOUCHING: f64 = 0.7;
/// See [`TOUCHING`].
const WIDE: f64 = 0.3;
/// See [`TOUCHING`].
const OPEN: f64 = 0.8;
/// See [`TOUCHING`].
const STRANGE: f64 = 0.25;
/// See [`TOUCHING`].
const AT_RIM: f64 = 0.3;
/// See [`TOUCHING`].
const AT_CORNER: f64 = 0.4;
/// How much of a touch's miss goes into the radii, and how far moves go beyond their mean (over-relaxation).
const GROWTH: f64 = 0.025;
/// See [`GROWTH`].
const BEYOND: f64 = 1.6;

/// A disc.
#[derive(Debug, Clone, Copy)]
pub struct Disc {
    /// Its middle.
    pub at: Point,
    /// Its radius, mm.
    pub radius: f64,
}

/// The discs of a mesh: those of the points, then those of the faces, then those beyond the rim.
#[derive(Debug, Clone)]
pub struct Discs {
    /// All of them.
    pub all: Vec<Disc>,
    /// For each edge the disc to its left and its right; branches have both, if need be beyond the rim.
    pub sides: Vec<[Option<usize>; 2]>,
}

/// What holds between the discs.
struct Bonds {
    // A point's disc and a face's that touch.
    touches: Vec<(usize, usize)>,
    // Discs with a channel between them.
    channels: Vec<(usize, usize)>,
    // Points' discs between which a channel opens to the edge.
    mouths: Vec<(usize, usize)>,
    // The ends of an edge and the discs to its left and right.
    tiles: Vec<[usize; 4]>,
    // Points on the rim.
    rim: Vec<bool>,
    // Pairs that hold together in some way, sorted.
    joined: Vec<(usize, usize)>,
}

/// Places and sizes the discs.
#[must_use]
pub fn settle(
    mesh: &Mesh,
    tree: &[bool],
    pins: &[Pin],
    (fence, windows): (&Fence, Option<&Windows>),
    spacing: f64,
    random: &mut Rand64,
) -> Discs {
    let mut discs = begin(mesh, tree, spacing, random);
    let bonds = bonds(mesh, tree, &discs);
    let points = mesh.points.len();
    let depths: Vec<f64> = (0..points).map(|_| spacing * DEPTH * random.rand_float()).collect();
    let mut strangers = Vec::new();
    for round in 0..ROUNDS {
        if round % AFRESH == 0 {
            strangers = strangers_of(&discs.all, points, &bonds, spacing);
        }
        let mut moves = Moves::new(&discs.all);
        moves.between(&bonds, &strangers, spacing);
        moves.of_tiles(&bonds.tiles, APART * spacing);
        moves.off_edges(fence, &bonds.rim, &depths);
        moves.pin_corners(pins, DEPTH / 2.0 * spacing);
        let Moves { by, weight, growth, .. } = moves;
        for (i, disc) in discs.all.iter_mut().enumerate() {
            disc.at += by[i] / weight[i].max(1.0) * BEYOND;
            disc.radius = (disc.radius + growth[i]).clamp(RADIUS.0 * spacing, RADIUS.1 * spacing);
        }
        for pin in pins {
            let most = TIP.0 * spacing / (pin.way.hypot() - 1.0).max(0.3);
            let radius = &mut discs.all[pin.point].radius;
            *radius = radius.min(most.max(TIP.1 * spacing));
        }
        keep_in(&mut discs.all, windows, WITHIN * spacing);
    }
    discs
}

/// Moves points' discs that reach out of their windows back in; `clear` mm is left to the window's edges.
fn keep_in(all: &mut [Disc], windows: Option<&Windows>, clear: f64) {
    let Some(windows) = windows else { return };
    for (disc, of) in all.iter_mut().zip(&windows.of) {
        let window = windows.window[*of];
        let room = window.inset(-(disc.radius + clear).min(window.size().min_side() / 2.0));
        disc.at = Point::new(disc.at.x.clamp(room.x0, room.x1), disc.at.y.clamp(room.y0, room.y1));
    }
}

/// The discs where their points and faces are, and one beyond the rim for every branch along it.
fn begin(mesh: &Mesh, tree: &[bool], spacing: f64, random: &mut Rand64) -> Discs {
    let mut disc = |at: Point| {
        let more = START.1 * (2.0 * random.rand_float() - 1.0);
        Disc { at, radius: spacing * (START.0 + more) }
    };
    let mut all: Vec<Disc> = mesh.points.iter().map(|p| disc(*p)).collect();
    all.extend((0..mesh.faces.len()).map(|f| disc(mesh.middle(f))));
    let mut sides: Vec<[Option<usize>; 2]> = Vec::with_capacity(mesh.edges.len());
    for (edge, is_branch) in mesh.edges.iter().zip(tree) {
        let mut of = edge.sides.map(|f| f.map(|f| mesh.points.len() + f));
        for (side, sign) in [(0, 1.0), (1, -1.0)] {
            if *is_branch && of[side].is_none() {
                let [a, b] = edge.ends.map(|p| mesh.points[p]);
                of[side] = Some(all.len());
                all.push(disc(a.midpoint(b) + left_of(unit(b - a)) * (sign * spacing)));
            }
        }
        sides.push(of);
    }
    Discs { all, sides }
}

fn bonds(mesh: &Mesh, tree: &[bool], discs: &Discs) -> Bonds {
    let (mut touches, mut channels, mut mouths) = (Vec::new(), Vec::new(), Vec::new());
    let (mut tiles, mut joined) = (Vec::new(), Vec::new());
    let mut rim = vec![mesh.points.len() == 1; mesh.points.len()];
    let pair = |a: usize, b: usize| (a.min(b), a.max(b));
    for (e, edge) in mesh.edges.iter().enumerate() {
        let [a, b] = edge.ends;
        touches.extend(discs.sides[e].iter().flatten().flat_map(|d| [(a, *d), (b, *d)]));
        joined.push(pair(a, b));
        if let [Some(left), Some(right)] = discs.sides[e] {
            tiles.push([a, b, left, right]);
            joined.push(pair(left, right));
            channels.extend(tree[e].then_some((left, right)));
        }
        channels.extend((!tree[e]).then_some((a, b)));
        if mesh.is_rim(e) {
            (rim[a], rim[b]) = (true, true);
            mouths.extend((!tree[e]).then_some((a, b)));
        }
    }
    touches.sort_unstable();
    touches.dedup();
    joined.sort_unstable();
    Bonds { touches, channels, mouths, tiles, rim, joined }
}

/// Discs of one kind that are near each other and hold together in no way.
fn strangers_of(all: &[Disc], points: usize, bonds: &Bonds, spacing: f64) -> Vec<(usize, usize)> {
    let at: Vec<Point> = all.iter().map(|d| d.at).collect();
    let mut found = Vec::new();
    Near::new(&at, REACH * spacing).each_pair(|i, j| {
        let pair = (i.min(j), i.max(j));
        if (i < points) == (j < points) && bonds.joined.binary_search(&pair).is_err() {
            found.push(pair);
        }
    });
    found.sort_unstable();
    found
}

/// The moves of one round: sums of what each condition asks for, and of their weights.
struct Moves<'a> {
    all: &'a [Disc],
    by: Vec<Vec2>,
    weight: Vec<f64>,
    growth: Vec<f64>,
}

impl<'a> Moves<'a> {
    fn new(all: &'a [Disc]) -> Self {
        let n = all.len();
        Self { all, by: vec![Vec2::ZERO; n], weight: vec![0.0; n], growth: vec![0.0; n] }
    }

    fn add(&mut self, i: usize, by: Vec2, weight: f64) {
        self.by[i] += by * weight;
        self.weight[i] += weight;
    }

    /// How much farther apart two discs are than touching with `room` between them, mm.
    fn off(&self, (i, j): (usize, usize), room: f64) -> f64 {
        let (a, b) = (self.all[i], self.all[j]);
        a.at.distance(b.at) - (a.radius + b.radius + room)
    }

    /// Moves two discs together by `off`, apart if it is negative.
    fn draw(&mut self, (i, j): (usize, usize), off: f64, weight: f64) {
        let way = unit(self.all[j].at - self.all[i].at) * (0.5 * off);
        self.add(i, way, weight);
        self.add(j, -way, weight);
    }

    fn grow(&mut self, (i, j): (usize, usize), by: f64) {
        self.growth[i] += by;
        self.growth[j] += by;
    }

    fn between(&mut self, bonds: &Bonds, strangers: &[(usize, usize)], spacing: f64) {
        for pair in &bonds.touches {
            let off = self.off(*pair, 0.0);
            self.draw(*pair, off, TOUCHING);
            self.grow(*pair, GROWTH * off);
        }
        for pair in &bonds.channels {
            let off = self.off(*pair, CHANNEL * spacing);
            self.draw(*pair, off, if off < 0.0 { 1.0 } else { WIDE });
        }
        for pair in &bonds.mouths {
            let off = self.off(*pair, MOUTH * spacing);
            if off > 0.0 {
                self.draw(*pair, off, OPEN);
                self.grow(*pair, 4.0 * GROWTH * off);
            }
        }
        for pair in strangers {
            let off = self.off(*pair, CHANNEL * spacing);
            if off < 0.0 {
                self.draw(*pair, off, STRANGE);
            }
        }
    }

    /// Keeps the corners of tiles off the other two's diagonal.
    fn of_tiles(&mut self, tiles: &[[usize; 4]], apart: f64) {
        for [a, b, left, right] in tiles {
            // Each corner with the diagonal that has it to its left.
            for [from, to, corner] in
                [[*a, *b, *left], [*b, *a, *right], [*left, *right, *b], [*right, *left, *a]]
            {
                let (p, q) = (self.all[from].at, self.all[to].at);
                let across = left_of(unit(q - p));
                let off = (self.all[corner].at - p).dot(across) - apart;
                if off < 0.0 {
                    self.add(corner, across * (-0.5 * off), 1.0);
                    self.add(from, across * (0.5 * off), 0.5);
                    self.add(to, across * (0.5 * off), 0.5);
                }
            }
        }
    }

    /// Keeps points' discs inside the edges, and those of the rim near them.
    fn off_edges(&mut self, fence: &Fence, rim: &[bool], depths: &[f64]) {
        for (i, depth) in depths.iter().enumerate() {
            let Some(q) = fence.nearest(self.all[i].at) else { continue };
            let away = self.all[i].at - q;
            let off = away.hypot() - (self.all[i].radius + depth);
            if off < 0.0 || rim[i] {
                self.add(i, unit(away) * -off, if off < 0.0 { 1.0 } else { AT_RIM });
            }
        }
    }

    fn pin_corners(&mut self, pins: &[Pin], depth: f64) {
        for pin in pins {
            let disc = self.all[pin.point];
            let to = pin.corner + pin.way * (disc.radius + depth);
            self.add(pin.point, to - disc.at, AT_CORNER);
        }
    }
}
