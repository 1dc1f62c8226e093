//! How narrow a feather's plumes become away from where their lines meet; for tests.
//!
//! Two lines that end on each other make a wedge, which is as narrow as one likes at its point; what counts is that it opens
//! soon. So a sliver is a place where two lines run nearer to each other than [`SLIVER_MM`] inside one plume, no third line
//! between them, and at least one of them is more than [`WEDGE_MM`] from where they meet, along it; or where one line comes as
//! near to itself. Lines that do not meet at all may nowhere come so near.

use kurbo::{BezPath, ParamCurve, Point};
use std::collections::HashMap;

use super::tests::{block, draw, every_feather};
use crate::block::shape::Shape;
use crate::drawing::library;

/// Narrower than this, mm, a plume looks like a mistake and three passes fill it.
const SLIVER_MM: f64 = 1.5;

/// How far a wedge between two lines may stay narrower, mm along them: one of 15° is open by then.
const WEDGE_MM: f64 = 6.0;

/// How far apart the lines are looked at, mm.
const STRIDE_MM: f64 = 0.25;

/// Points that are one knot, mm.
const ONE_MM: f64 = 2e-3;

/// A point of a line, and how far along it.
#[derive(Debug, Clone, Copy)]
struct Place {
    at: Point,
    line: usize,
    along: f64,
}

/// The lines of a drawing as places, in order, and by the squares of `SLIVER_MM` in which they lie.
struct Map {
    places: Vec<Place>,
    knots: Vec<Vec<Place>>,
    squares: HashMap<(i64, i64), Vec<usize>>,
}

impl Map {
    fn new(lines: &[BezPath]) -> Self {
        let (mut places, mut knots) = (Vec::new(), Vec::new());
        for (line, path) in lines.iter().enumerate() {
            let mut last: Option<Place> = None;
            let mut ends: Vec<Place> = Vec::new();
            for segment in path.segments() {
                let pieces =
                    (kurbo::ParamCurveArclen::arclen(&segment, 1e-2) / STRIDE_MM).ceil().max(1.0) as usize;
                for k in usize::from(last.is_some())..=pieces {
                    let at = segment.eval(k as f64 / pieces as f64);
                    let along = last.map_or(0.0, |l| l.along + l.at.distance(at));
                    last = Some(Place { at, line, along });
                    places.extend(last);
                    if k == 0 || k == pieces {
                        ends.extend(last);
                    }
                }
            }
            knots.push(ends);
        }
        let mut squares: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
        for (i, p) in places.iter().enumerate() {
            squares.entry(square(p.at)).or_default().push(i);
        }
        Self { places, knots, squares }
    }

    /// The numbers of the places that may lie within `SLIVER_MM` of a point.
    fn near(&self, p: Point) -> impl Iterator<Item = usize> + '_ {
        let (x, y) = square(p);
        (-1..=1)
            .flat_map(move |i| (-1..=1).map(move |j| (x + i, y + j)))
            .filter_map(|s| self.squares.get(&s))
            .flatten()
            .copied()
    }

    /// How far apart two places of one line are along it.
    fn gap(&self, a: Place, b: Place) -> f64 {
        let ends = &self.knots[a.line];
        let (first, last) = (ends[0], ends[ends.len() - 1]);
        let gap = (a.along - b.along).abs();
        if first.at.distance(last.at) < ONE_MM { gap.min(last.along - gap) } else { gap }
    }

    /// True if both places are near to where their lines meet.
    fn in_wedge(&self, a: Place, b: Place) -> bool {
        if a.line == b.line {
            return self.gap(a, b) <= WEDGE_MM;
        }
        let close = |p: Place| self.knots[p.line].iter().filter(move |k| self.gap(p, **k) <= WEDGE_MM);
        close(a).any(|k| close(b).any(|m| k.at.distance(m.at) < ONE_MM))
    }

    /// True if a third line runs between two places.
    fn parted(&self, a: Place, b: Place) -> bool {
        self.near(a.at).any(|i| {
            let Some(next) = self.places.get(i + 1) else { return false };
            let (c, d) = (self.places[i], *next);
            let sides = |p: Point, q: Point| (q - p).cross(c.at - p) * (q - p).cross(d.at - p);
            let across = |p: Point, q: Point| (d.at - c.at).cross(p - c.at) * (d.at - c.at).cross(q - c.at);
            c.line == d.line
                && c.line != a.line
                && c.line != b.line
                && sides(a.at, b.at) <= 0.0
                && across(a.at, b.at) <= 0.0
        })
    }
}

fn square(p: Point) -> (i64, i64) {
    ((p.x / SLIVER_MM).floor() as i64, (p.y / SLIVER_MM).floor() as i64)
}

/// The narrowest sliver: its width, mm, and where it is; `None` if there is none.
fn narrowest(lines: &[BezPath]) -> Option<(f64, Point)> {
    let map = Map::new(lines);
    let mut worst: Option<(f64, Point)> = None;
    for a in &map.places {
        for b in map.near(a.at).map(|i| map.places[i]) {
            let width = a.at.distance(b.at);
            let matters = width < worst.map_or(SLIVER_MM, |w| w.0);
            if matters && !map.in_wedge(*a, b) && !map.parted(*a, b) {
                worst = Some((width, a.at));
            }
        }
    }
    worst
}

/// Lines looked at every quarter of a millimetre tell their distance to a hundredth.
fn assert_wide(name: &str, lines: &[BezPath]) {
    let sliver = narrowest(lines);
    assert!(sliver.is_none_or(|s| s.0 > SLIVER_MM - 0.01), "{name} has a sliver: {sliver:?}");
}

fn path(svg: &str) -> BezPath {
    BezPath::from_svg(svg).unwrap()
}

#[test]
fn a_sliver_is_told_from_a_wedge() {
    let spine = "M0,0 L10,0 L11.2,0 L60,0";
    // 20° from where it meets the spine: 1.5 mm away after 4.4 mm.
    assert_eq!(narrowest(&[path(spine), path("M10,0 L50,14.6")]), None);
    // 8°: still less than 1 mm away after 6 mm.
    let flat = narrowest(&[path(spine), path("M10,0 L50,5.6")]).unwrap();
    assert!((flat.0 - 0.84).abs() < 0.05, "{flat:?}");
    // Two lines 1.2 mm apart, far from where they meet the spine, or near to it.
    let beside = narrowest(&[path(spine), path("M10,0 L10,20"), path("M11.2,0 L11.2,20")]).unwrap();
    assert!((beside.0 - 1.2).abs() < 1e-9, "{beside:?}");
    // On either side of the spine they are in two plumes.
    assert_eq!(narrowest(&[path(spine), path("M10,0 L10,20"), path("M11.2,0 L11.2,-20")]), None);
}

#[test]
fn no_feather_has_a_sliver() {
    for (name, _, drawing) in every_feather() {
        assert_wide(&name, &drawing.lines);
    }
}

#[test]
fn no_feather_in_a_small_or_large_block_has_a_sliver() {
    let blocks = [
        ("square", "3in"),
        ("square", "12in"),
        ("half-square", "5in"),
        ("half-square", "12in"),
        ("quarter-square", "8in"),
        ("equilateral", "5in"),
        ("equilateral", "12in"),
        ("corners", "0in,0in; 8 1/8in,1/4in; 7 1/2in,8in; 0in,7 1/2in"),
        ("strip", "5in,40in"),
        ("strip", "2in,8in"),
    ];
    let motifs = library::read_all(&[]).unwrap();
    for motif in motifs.iter().filter(|m| m.name.starts_with("feather-")) {
        for (key, words) in blocks {
            if motif.suits(Shape::from_words(key, words).unwrap().suit()) {
                let drawing = draw(&motif.name, &[], &block(key, words)).unwrap();
                assert_wide(&format!("{} in {key} {words}", motif.name), &drawing.lines);
            }
        }
    }
}
