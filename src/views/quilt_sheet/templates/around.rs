//! What lies round hoopings that share a page: the lines of their neighbours, the seams, and the quilt's edges.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{BezPath, Line, Point, Rect};

use super::one::One;
use super::seams::{clip, outlines};
use crate::base::chain;
use crate::top::Work;
use crate::views::look;
use crate::views::sheet::{self, Item, Pen};
use crate::views::thread;

/// What lies this near to the same place looks the same on paper, mm.
const ALIKE_MM: f64 = 0.05;

/// The lines of every machine file once, with their boxes, in its own coordinates.
pub struct Lines(Vec<(BezPath, Rect)>);

impl Lines {
    /// Of a whole quilt.
    pub fn of(work: &Work) -> Self {
        let path = |sewn: &crate::top::sewing::Sewn| {
            let stitches = sewn.piece.for_machine();
            let runs: Vec<Vec<Point>> = stitches.pieces.iter().map(|r| r.body().to_vec()).collect();
            (thread::lines(&runs), stitches.bounds())
        };
        Self(work.sewn.iter().map(path).collect())
    }

    /// Each other hooping of which something is shown, and how it lies in the file.
    fn neighbours<'w>(&'w self, work: &'w Work, one: &'w One) -> impl Iterator<Item = Neighbour> + 'w {
        let shown = one.whole();
        let others = work.all().filter(|other| other.number != one.hooping.number);
        others.filter_map(move |other| {
            let (path, bounds) = &self.0[other.sewn];
            let laid = one.to_file * other.at;
            let near = laid.transform_rect_bbox(*bounds).overlaps(shown);
            let seen = near.then(|| thread::near(&(laid * path.clone()), shown))?;
            let key = (other.sewn, laid.as_coeffs().map(cell));
            (!seen.elements().is_empty()).then_some(Neighbour { key, seen })
        })
    }
}

/// A hooping beside another.
struct Neighbour {
    /// Its file and where it lies.
    key: (usize, [i64; 6]),
    /// Its lines, as far as they are shown.
    seen: BezPath,
}

/// What lies round hoopings that share their pages, in the coordinates of their file: round all of them.
pub struct Around {
    grey: Vec<BezPath>,
    /// The seams, as far as they are shown.
    pub seams: Vec<Line>,
    /// The quilt's own edges, as far as they are shown: each with its name.
    pub edges: Vec<(&'static str, Line)>,
}

impl Around {
    /// Of hoopings from one file that lie alike.
    pub fn of(work: &Work, group: &[One], lines: &Lines) -> Self {
        let first = &group[0];
        let mut seams = shown_seams(work, first);
        let mut edges = shown_edges(work, first);
        let mut grey: BTreeMap<_, BezPath> = lines.neighbours(work, first).map(|n| (n.key, n.seen)).collect();
        for one in &group[1..] {
            let (own, own_edges) = (shown_seams(work, one), shown_edges(work, one));
            let neighbours: BTreeSet<_> = lines.neighbours(work, one).map(|n| n.key).collect();
            seams.retain(|key, _| own.contains_key(key));
            edges.retain(|key, _| own_edges.contains_key(key));
            grey.retain(|key, _| neighbours.contains(key));
        }
        let edges = edges.into_iter().map(|((name, _), line)| (name, line)).collect();
        Self { grey: grey.into_values().collect(), seams: seams.into_values().collect(), edges }
    }

    /// The lines of other hoopings in grey, and the seams.
    pub fn draw(&self, shown: Rect) -> Vec<Item> {
        let grey: BezPath = self.grey.iter().flat_map(|path| thread::near(path, shown)).collect();
        let mut seams = BezPath::new();
        for seam in self.seams.iter().filter_map(|seam| clip(*seam, shown)) {
            seams.move_to(seam.p0);
            seams.line_to(seam.p1);
        }
        vec![
            sheet::line(grey, Pen::new(0.28, look::SEAM)),
            sheet::line(seams, Pen::flat(0.7, look::INK.thin(0.8))),
        ]
    }
}

/// The ends of a line in whole cells, the same whichever end is the first.
fn ends(line: &Line) -> [[i64; 2]; 2] {
    let ends = [line.p0, line.p1].map(|p| [cell(p.x), cell(p.y)]);
    if ends[0] <= ends[1] { ends } else { [ends[1], ends[0]] }
}

fn shown_seams(work: &Work, one: &One) -> BTreeMap<[[i64; 2]; 2], Line> {
    let whole = one.whole();
    let sides =
        |outline: Vec<Point>| chain::sides(&outline).map(|(a, b)| Line::new(a, b)).collect::<Vec<_>>();
    let shown = outlines(work, one.to_file).flat_map(sides).filter_map(|side| clip(side, whole));
    shown.map(|line| (ends(&line), line)).collect()
}

fn shown_edges(work: &Work, one: &One) -> BTreeMap<(&'static str, [[i64; 2]; 2]), Line> {
    let (w, h) = (work.layout.size.0 / 2.0, work.layout.size.1 / 2.0);
    let sides = [
        ("top", (-w, h), (w, h)),
        ("bottom", (-w, -h), (w, -h)),
        ("left", (-w, -h), (-w, h)),
        ("right", (w, -h), (w, h)),
    ];
    let shown = sides.into_iter().filter_map(|(name, a, b)| {
        let line = clip(Line::new(one.to_file * Point::from(a), one.to_file * Point::from(b)), one.whole())?;
        Some(((name, ends(&line)), line))
    });
    shown.collect()
}

/// A length in steps of [`ALIKE_MM`], counted from where no length in sixteenths or tenths stands on the edge between two.
fn cell(mm: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred thousand")]
    let cell = ((mm + 0.0137) / ALIKE_MM).floor() as i64;
    cell
}
