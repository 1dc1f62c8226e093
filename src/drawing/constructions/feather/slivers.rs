//! How narrow a feather's plumes become away from where their lines meet.
//!
//! Two lines that end on each other make a wedge, which is as narrow as one likes at its point; what counts is that it opens
//! soon. So a sliver is a place where two lines run nearer to each other than [`SLIVER_MM`] inside one plume, no third line
//! between them, and at least one of them is more than [`WEDGE_MM`] from where they meet, along it; or where one line comes as
//! near to itself. Lines that do not meet at all may nowhere come so near.
//!
//! Limits: lines are looked at every [`STRIDE_MM`], so a sliver can be narrower than is told: a hundredth of a millimetre at
//! 1.5 mm, more the narrower it is.

use kurbo::{BezPath, ParamCurve, ParamCurveArclen, Point, Rect};

use crate::base::units::LONGEST_MM;

/// Narrower than this, mm, a plume looks like a mistake and three passes fill it.
pub const SLIVER_MM: f64 = 1.5;

/// How far a wedge between two lines may stay narrower, mm along them: one of 15° is open by then.
const WEDGE_MM: f64 = 6.0;

/// How far apart the lines are looked at, mm.
const STRIDE_MM: f64 = 0.25;

/// How exactly curves are measured to be cut into strides, mm.
const MEASURED_MM: f64 = 1e-2;

/// Points that are one knot, mm.
const ONE_MM: f64 = 2e-3;

/// A point of a line, and how far along it.
#[derive(Debug, Clone, Copy)]
struct Place {
    at: Point,
    line: usize,
    along: f64,
}

/// The lines of a drawing as places, in order, and where their curves begin and end.
struct Map {
    places: Vec<Place>,
    knots: Vec<Vec<Place>>,
}

/// Which places lie in which square of a grid: those of square `i` are `order[begins[i]..begins[i + 1]]`.
struct Squares {
    corner: Point,
    /// The side of a square, mm; at least [`SLIVER_MM`].
    side: f64,
    columns: usize,
    begins: Vec<usize>,
    order: Vec<usize>,
}

impl Squares {
    fn new(places: &[Place]) -> Self {
        let Some(first) = places.first() else {
            return Self {
                corner: Point::ZERO,
                side: SLIVER_MM,
                columns: 1,
                begins: vec![0; 2],
                order: Vec::new(),
            };
        };
        let bounds = places.iter().fold(Rect::from_points(first.at, first.at), |r, p| r.union_pt(p.at));
        // No more than a few squares to a place, however far apart they lie.
        let side = SLIVER_MM.max((bounds.area() / (4.0 * places.len() as f64)).sqrt());
        // More than a square on every side, so that every place has neighbours all round.
        let bounds = bounds.inflate(1.5 * side, 1.5 * side);
        let [columns, rows] = [bounds.width(), bounds.height()].map(|l| (l / side) as usize + 2);
        let mut squares = Self {
            corner: bounds.origin(),
            side,
            columns,
            begins: vec![0; columns * rows + 1],
            order: vec![0; places.len()],
        };
        for p in places {
            let i = squares.square(p.at);
            squares.begins[i + 1] += 1;
        }
        for i in 0..columns * rows {
            squares.begins[i + 1] += squares.begins[i];
        }
        let mut next = squares.begins.clone();
        for (k, p) in places.iter().enumerate() {
            let i = squares.square(p.at);
            squares.order[next[i]] = k;
            next[i] += 1;
        }
        squares
    }

    fn square(&self, p: Point) -> usize {
        let [x, y] = [p.x - self.corner.x, p.y - self.corner.y].map(|l| (l / self.side) as usize);
        y * self.columns + x
    }

    /// The numbers of the places that may lie within `SLIVER_MM` of a place.
    fn near(&self, p: Point) -> impl Iterator<Item = usize> + '_ {
        let middle = self.square(p);
        // Three squares of a row lie next to each other.
        [middle - self.columns, middle, middle + self.columns]
            .into_iter()
            .flat_map(|i| &self.order[self.begins[i - 1]..self.begins[i + 2]])
            .copied()
    }
}

impl Map {
    fn new(lines: &[BezPath]) -> Self {
        let (mut places, mut knots) = (Vec::new(), Vec::new());
        for (line, path) in lines.iter().enumerate() {
            let mut last: Option<Place> = None;
            let mut ends: Vec<Place> = Vec::new();
            for segment in path.segments() {
                let pieces = (segment.arclen(MEASURED_MM) / STRIDE_MM).ceil().max(1.0) as usize;
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
        Self { places, knots }
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
        if a.line == b.line && self.gap(a, b) <= WEDGE_MM {
            return true;
        }
        // The two ends of a line that comes back to where it began meet as those of two lines do.
        let close = |p: Place| self.knots[p.line].iter().filter(move |k| self.gap(p, **k) <= WEDGE_MM);
        let one =
            |k: &Place, m: &Place| k.at.distance(m.at) < ONE_MM && (k.line, k.along) != (m.line, m.along);
        close(a).any(|k| close(b).any(|m| one(k, m)))
    }

    /// True if a third line runs between two places.
    fn parted(&self, squares: &Squares, a: Place, b: Place) -> bool {
        squares.near(a.at).any(|i| {
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

/// The narrowest sliver: its width, mm, and where it is; `None` if there is none.
///
/// Lines that lead nowhere, or farther than [`LONGEST_MM`], are slivers of no width.
pub fn narrowest(lines: &[BezPath]) -> Option<(f64, Point)> {
    let map = Map::new(lines);
    let astray = |p: &&Place| !(p.at.x.abs() < LONGEST_MM && p.at.y.abs() < LONGEST_MM);
    if let Some(place) = map.places.iter().find(astray) {
        return Some((0.0, place.at));
    }
    let squares = Squares::new(&map.places);
    let mut worst: Option<(f64, Point)> = None;
    for (k, a) in map.places.iter().enumerate() {
        for b in squares.near(a.at).filter(|i| *i > k).map(|i| map.places[i]) {
            if a.line == b.line && b.along - a.along <= WEDGE_MM {
                continue;
            }
            let (width, least) = (a.at.distance_squared(b.at), worst.map_or(SLIVER_MM, |w| w.0));
            let matters = width < least * least;
            if matters && !map.in_wedge(*a, b) && !map.parted(&squares, *a, b) {
                worst = Some((width.sqrt(), a.at));
            }
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::{SLIVER_MM, narrowest};
    use crate::block::shape::Shape;
    use crate::drawing::constructions::feather::settle::CLEAR_MM;
    use crate::drawing::constructions::feather::tests::{block, draw, every_feather};
    use crate::drawing::{DrawError, Drawing, library};

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
    fn lines_far_apart_and_far_out_are_told_as_well() {
        let near = [path("M9000,0 L9000,40"), path("M9001,0 L9001,40"), path("M-9000,-9000 L-9000,-8000")];
        let (width, at) = narrowest(&near).unwrap();
        assert!((width - 1.0).abs() < 1e-9 && at.x == 9000.0, "{width} at {at:?}");
        assert_eq!(narrowest(&near[1..]), None);
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

    /// Lines that leave a sliver are noted, and what cannot be drawn is refused with a remedy.
    fn assert_clear_or_told(name: &str, drawn: Result<Drawing, DrawError>) {
        match drawn {
            Ok(drawing) => {
                let sliver = narrowest(&drawing.lines).filter(|s| s.0 < CLEAR_MM);
                let told = drawing.notes.iter().any(|n| n.starts_with("Two lines run "));
                assert_eq!(told, sliver.is_some(), "{name}: {sliver:?}, {:?}", drawing.notes);
                assert!(sliver.is_none_or(|s| s.0 > 0.95), "{name} has a sliver: {sliver:?}");
            }
            Err(error) => assert!(error.to_string().contains("; ask for "), "{name}: {error}"),
        }
    }

    #[test]
    fn feathers_with_other_plumes_leave_no_sliver_or_tell() {
        let blocks = [
            ("square", "8in"),
            ("half-square", "8in"),
            ("equilateral", "5in"),
            ("equilateral", "8in"),
            ("quarter-square", "10in"),
            ("corners", "0in,0in; 8 1/8in,1/4in; 7 1/2in,8in; 0in,7 1/2in"),
            ("hexagon", "4in"),
            ("circle", "7in"),
            ("strip", "5in,40in"),
        ];
        let motifs = library::read_all(&[]).unwrap();
        let mut clear = 0;
        for motif in motifs.iter().filter(|m| m.name.starts_with("feather-")) {
            for (key, words) in blocks {
                let block = block(key, words);
                // The least plume of every feather is 3/8in.
                for plume in
                    ["3/8in", "1/2in", "1in", "2in"].iter().filter(|_| motif.suits(block.shape.suit()))
                {
                    let angle = motif.settings.iter().find(|s| s.name == "angle").unwrap();
                    for angle in [angle.range.0, angle.range.1] {
                        let asked = [format!("plume={plume}"), format!("angle={angle}")];
                        let drawn = draw(&motif.name, &asked.each_ref().map(String::as_str), &block);
                        clear += usize::from(drawn.as_ref().is_ok_and(|d| narrowest(&d.lines).is_none()));
                        let name = format!("{} in {key} {words} with {asked:?}", motif.name);
                        assert_clear_or_told(&name, drawn);
                    }
                }
            }
        }
        assert!(clear > 150, "only {clear} are clear");
    }

    #[test]
    fn a_feather_whose_lines_would_crowd_is_refused_with_a_width_that_does_not() {
        let (motif, block) = ("feather-half-wreath", block("equilateral", "5in"));
        let told = draw(motif, &["plume=5/8in", "centre=corner"], &block).unwrap_err().to_string();
        assert!(told.ends_with("mm apart; ask for plumes 3/8 in (9.5 mm) wide"), "{told}");
        let drawn = draw(motif, &["plume=3/8in", "centre=corner"], &block).unwrap();
        assert_eq!(narrowest(&drawn.lines), None);
    }
}
