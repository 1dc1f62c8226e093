//! Random blocks: measured quadrilaterals give back their corners, and margins keep clear what they say.
//!
//! The insets are also written to the build's temporary folder for an outside judge: `python tests/outside/block_inset.py`.

use std::f64::consts::TAU;
use std::fs;
use std::path::Path;

use kurbo::{Affine, BezPath, Point, Vec2};
use oorandom::Rand64;
use serde_json::{Value, json};
use thrice::base::chain;
use thrice::block::region::{Region, Ring};
use thrice::block::shape::Shape;
use thrice::block::{Block, BlockError, corners, outline, tape};

fn between(random: &mut Rand64, low: f64, high: f64) -> f64 {
    low + (high - low) * random.rand_float()
}

/// A convex quadrilateral, bottom left at 0,0 and the bottom along x.
fn quadrilateral(random: &mut Rand64) -> [Point; 4] {
    loop {
        let mut near =
            |x: f64, y: f64| Point::new(x + between(random, -60.0, 60.0), y + between(random, -60.0, 60.0));
        let quad = [Point::ZERO, Point::new(near(200.0, 0.0).x, 0.0), near(200.0, 200.0), near(0.0, 200.0)];
        if corners::is_convex(&quad) {
            return quad;
        }
    }
}

fn measures(q: &[Point; 4]) -> ([f64; 4], f64, f64) {
    let d = |i: usize, j: usize| q[i].distance(q[j]);
    ([d(0, 1), d(1, 2), d(2, 3), d(3, 0)], d(0, 2), d(1, 3))
}

#[test]
fn a_measured_quadrilateral_gives_back_its_corners() {
    let mut random = Rand64::new(11);
    for _ in 0..1000 {
        let quad = quadrilateral(&mut random);
        let (sides, diagonal, other) = measures(&quad);
        let one = tape::leaning(sides, diagonal).unwrap();
        let both = tape::spread(sides, diagonal, other).unwrap().corners;
        for i in 0..4 {
            assert!(one[i].distance(quad[i]) < 1e-6, "{quad:?} became {one:?}");
            assert!(both[i].distance(quad[i]) < 1e-6, "{quad:?} became {both:?}");
        }
    }
}

#[test]
fn the_error_of_a_tape_is_spread_and_grows_no_larger() {
    let mut random = Rand64::new(12);
    for _ in 0..1000 {
        let quad = quadrilateral(&mut random);
        let (sides, diagonal, other) = measures(&quad);
        let mut off = |mm: f64| mm + between(&mut random, -0.8, 0.8);
        let (sides, diagonal, other) = (sides.map(&mut off), off(diagonal), off(other));
        let spread = tape::spread(sides, diagonal, other).unwrap();
        let square =
            |of: &[f64; 6]| of.iter().zip(&spread.measured).map(|(f, m)| (f - m).powi(2)).sum::<f64>();
        let (s, d, o) = measures(&quad);
        // The true block is one candidate, so the best has no larger error; and it is a real block.
        assert!(square(&spread.fitted) <= square(&[s[0], s[1], s[2], s[3], d, o]) + 1e-12);
        let (s, d, o) = measures(&spread.corners);
        assert!(spread.fitted.iter().zip([s[0], s[1], s[2], s[3], d, o]).all(|(a, b)| (a - b).abs() < 1e-9));
    }
}

/// A polygon that may point inwards anywhere: random points, untangled by turning crossing pairs of sides.
fn concave(random: &mut Rand64) -> Vec<Point> {
    loop {
        let count = 5 + usize::try_from(random.rand_u64() % 12).unwrap();
        let mut ring: Vec<Point> = (0..count)
            .map(|_| Point::new(between(random, 0.0, 250.0), between(random, 0.0, 250.0)))
            .collect();
        for _ in 0..200 {
            let Some((a, b, _)) = corners::crossing(&ring) else { break };
            ring[a + 1..=b].reverse();
        }
        if let Ok(ring) = corners::checked(&ring) {
            return ring;
        }
    }
}

fn made(corners: &[Point], margin: f64) -> Result<Block, BlockError> {
    outline(&Shape::Corners { corners: corners.to_vec() }, margin)
}

fn xy(points: &[Point]) -> Value {
    points.iter().map(|p| json!([p.x, p.y])).collect()
}

fn rings(region: &Region) -> Value {
    region.rings().map(|r| xy(r.points())).collect()
}

fn write(name: &str, cases: &[Value]) {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::write(file, serde_json::to_vec(&cases).unwrap()).unwrap();
}

/// Every corner of what is left is at least the margin away from the edge, and at least one is no further.
fn assert_clear(block: &Block) {
    let depths =
        block.inside.iter().flat_map(Region::rings).flat_map(Ring::points).map(|p| block.outline.depth(*p));
    let least = depths.fold(f64::INFINITY, f64::min);
    assert!(
        (least - block.margin_mm).abs() < 1e-5,
        "{least} is kept clear, not {}: {block:?}",
        block.margin_mm
    );
}

#[test]
fn concave_blocks_keep_their_margin_clear() {
    let mut random = Rand64::new(13);
    let mut cases = Vec::new();
    for _ in 0..1000 {
        let ring = concave(&mut random);
        let margin = between(&mut random, 1.0, 12.0);
        match made(&ring, margin) {
            Ok(block) => {
                assert_clear(&block);
                let inside: Vec<Value> = block.inside.iter().map(rings).collect();
                cases.push(json!({"outline": rings(&block.outline), "margin": margin, "inside": inside}));
            }
            Err(BlockError::Vanishes { largest_mm, .. }) => assert!(largest_mm < margin),
            Err(other) => panic!("{other}: {ring:?}"),
        }
    }
    assert!(cases.len() > 900);
    write("block_inset_polygons.json", &cases);
}

#[test]
fn turned_blocks_have_turned_insides() {
    let mut random = Rand64::new(14);
    for _ in 0..100 {
        let (ring, turn) = (concave(&mut random), between(&mut random, 0.0, TAU));
        let turned: Vec<Point> = ring.iter().map(|p| Affine::rotate(turn) * *p).collect();
        let (Ok(block), Ok(other)) = (made(&ring, 5.0), made(&turned, 5.0)) else { continue };
        assert_eq!(block.inside.len(), other.inside.len());
        // Both are centred on their boxes, so they are compared from the outline's first corner.
        let start = |b: &Block| b.outline.outer.points()[0];
        for (a, b) in block.inside.iter().zip(&other.inside) {
            assert!((a.area() - b.area()).abs() < 1e-3, "{} and {}", a.area(), b.area());
            for p in a.outer.points() {
                let expected = start(&other) + rotated(*p - start(&block), turn);
                assert!(chain::distance_to_ring(expected, b.outer.points()) < 1e-5, "{ring:?}");
            }
        }
    }
}

fn rotated(v: Vec2, turn: f64) -> Vec2 {
    (Affine::rotate(turn) * v.to_point()).to_vec2()
}

/// A smooth closed path of cubics through points that wander about a circle.
fn blob(random: &mut Rand64, centre: Point, radius: f64) -> BezPath {
    let count = 5 + random.rand_u64() % 5;
    #[expect(clippy::cast_precision_loss, reason = "fewer than ten")]
    let at: Vec<Point> = (0..count)
        .map(|i| {
            centre + radius * between(random, 0.5, 1.0) * Vec2::from_angle(i as f64 / count as f64 * TAU)
        })
        .collect();
    let n = at.len();
    let way = |i: usize| (at[(i + 1) % n] - at[(i + n - 1) % n]) / 6.0;
    let mut path = BezPath::new();
    path.move_to(at[0]);
    for i in 0..n {
        path.curve_to(at[i] + way(i), at[(i + 1) % n] - way((i + 1) % n), at[(i + 1) % n]);
    }
    path.close_path();
    path
}

#[test]
fn drawn_blocks_with_holes_keep_their_margin_clear() {
    let mut random = Rand64::new(15);
    let mut cases = Vec::new();
    for _ in 0..100 {
        let outer = blob(&mut random, Point::ZERO, 120.0);
        let holes = (0..3).map(|_| {
            let centre = Point::new(between(&mut random, -60.0, 60.0), between(&mut random, -60.0, 60.0));
            blob(&mut random, centre, 25.0)
        });
        let paths: Vec<BezPath> = std::iter::once(outer).chain(holes).collect();
        let drawn: Vec<Value> = paths.iter().map(|p| xy(Ring::from_path(p).unwrap().points())).collect();
        let Ok(block) = outline(&Shape::Outline { paths }, 5.0) else { continue };
        let depths = block
            .inside
            .iter()
            .flat_map(Region::rings)
            .flat_map(Ring::points)
            .map(|p| block.outline.depth(*p));
        let least = depths.fold(f64::INFINITY, f64::min);
        assert!((least - 5.0).abs() < 0.02, "{least} is kept clear, not 5");
        let inside: Vec<Value> = block.inside.iter().map(rings).collect();
        cases
            .push(json!({"drawn": drawn, "outline": rings(&block.outline), "margin": 5.0, "inside": inside}));
    }
    assert!(cases.len() > 80, "{}", cases.len());
    write("block_inset_drawn.json", &cases);
}
