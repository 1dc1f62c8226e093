//! A border's motif, width and settings → its corner unit, and how the runs of the border meet it.
//!
//! **The unit.** A block of [`Shape::Corner`](crate::block::shape::Shape::Corner): as wide as the border, its two open
//! sides left and top, the quilt's own corner bottom right. It is alike on both sides of the diagonal from the inner to
//! the outer corner. Lines come in across the left side of its *inner* outline and go on across the top of it, so a run
//! reaches as far as that: past the seam of the corner square, by the margin.
//!
//! **The runs.** A run is a strip with its left and right sides open, the quilt above it. [`draw`](super::draw) fills it
//! with whole repeats that begin and end in the phase in which the unit's lines stand, so that both ends fit.
//! How long a repeat came out is told by [`repeat_mm`]; given to [`draw`], the unit's lines take on the slopes of both
//! runs and meet them at the same height, without a bend.
//!
//! **Ways.** A motif [`Way::Turn`]s (it has a unit of its own), is cut along the mitre ([`Way::Mitre`]: its lines end on
//! the diagonal, where those of both sides meet), or only butts ([`Way::Butt`]).

use kurbo::{Affine, Line, Point, Rect, Shape as _};

use super::construction::Construction;
use super::constructions::clip::clip;
use super::constructions::plume::vine;
use super::constructions::run::run_together;
use super::constructions::strand;
use super::motif::{Mitre, Motif};
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::base::tolerance::ceil_guarded;
use crate::block::Block;
use crate::block::region::{Region, Ring};
use crate::block::side::Side;
use crate::block::suit::Suit;

/// How a border of a motif goes round the corner, at best.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// A corner unit of its own.
    Turn,
    /// Lines that stand upright on both sides and end on the mitre.
    Mitre,
    /// Two sides run through, the others end at them.
    Butt,
}

impl Way {
    /// The word for it, as in a quilt file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Turn => "turn",
            Self::Mitre => "mitre",
            Self::Butt => "butt",
        }
    }
}

/// All ways in which a border of this motif can go round a corner, the best first; none if it makes no border.
#[must_use]
pub fn ways(motif: &Motif) -> Vec<Way> {
    let mut ways = Vec::new();
    if motif.suits(Suit::Corner) {
        ways.push(if motif.mitred.is_some() { Way::Mitre } else { Way::Turn });
    }
    if motif.suits(Suit::Strip) {
        ways.push(Way::Butt);
        // What fills any outline fills a side up to its mitre.
        if motif.suits(Suit::Polygon) && !ways.contains(&Way::Mitre) {
            ways.push(Way::Mitre);
        }
    }
    ways
}

/// The names of the motifs that can go round a corner in this way.
#[must_use]
pub fn that_can(motifs: &[Motif], way: Way) -> Vec<&str> {
    motifs.iter().filter(|m| ways(m).contains(&way)).map(|m| m.name.as_str()).collect()
}

/// How long a repeat is in `run`, mm; `None` where the lines at its ends are the same whatever it is.
#[must_use]
pub fn repeat_mm(motif: &Motif, settings: &Settings, run: &Block) -> Option<f64> {
    match &motif.construction {
        Construction::Strand(numbers) => super::constructions::strand::repeat_mm(numbers, settings, run),
        Construction::Lattice(numbers) if motif.mitred.is_some() => {
            super::constructions::lattice::repeat_mm(numbers, settings, run)
        }
        _ => None,
    }
}

/// How far a repeat is stretched in `run`, as a share; `None` where it has no shape of its own to keep.
#[must_use]
pub fn stretch(motif: &Motif, settings: &Settings, run: &Block) -> Option<f64> {
    match &motif.construction {
        Construction::Strand(numbers) => super::constructions::strand::stretch(numbers, settings, run),
        _ => None,
    }
}

/// How far a corner unit `width` mm wide may reach into runs of such repeats, mm: so far it can be cut from them without
/// being changed.
#[must_use]
pub fn reach_mm(motif: &Motif, width: f64, repeats_mm: Option<[f64; 2]>) -> [f64; 2] {
    match &motif.construction {
        Construction::Strand(numbers) => {
            repeats_mm.map_or([0.0; 2], |repeats| repeats.map(|mm| mm * numbers.reach()))
        }
        Construction::FeatherVine(_) => [vine::REACH * width; 2],
        _ => [0.0; 2],
    }
}

/// The block of a corner unit that reaches `by` mm into the run on its left and the one at its top.
#[must_use]
pub fn reaching(block: &Block, by: [f64; 2]) -> Block {
    let ell = |region: &Region, clear: f64| {
        let r = region.bounds();
        let (x0, y1) = (r.x0 + clear, r.y1 - clear);
        // The runs begin where the inner outline ends.
        let (left, top) = (x0 - by[0], y1 + by[1]);
        let corners = [(left, r.y0), (r.x1, r.y0), (r.x1, top), (r.x0, top), (r.x0, r.y1), (left, r.y1)];
        let ring = Ring::from_points(&corners.map(Point::from));
        ring.map_or_else(|| region.clone(), |outer| Region { outer, holes: Vec::new() })
    };
    if by == [0.0; 2] {
        return block.clone();
    }
    Block {
        outline: ell(&block.outline, block.margin_mm),
        inside: block.inside.iter().map(|region| ell(region, 0.0)).collect(),
        ..block.clone()
    }
}

/// Draws the corner unit of `motif` in `block`, between runs whose repeats are as long as told: the one that comes in on
/// the left and the one that goes on at the top, mm. Without them repeats are as long as the settings ask.
///
/// # Errors
/// [`DrawError::NoRoom`] if the inner outline is too small for the settings.
pub fn draw(
    motif: &Motif,
    settings: &Settings,
    block: &Block,
    repeats_mm: Option<[f64; 2]>,
) -> Result<Drawing, DrawError> {
    draw_within(motif, settings, block, repeats_mm, &block.inside)
}

/// As [`draw`], with the lines as far as they lie in `within`: the inside of the block [`reaching`] into its runs.
///
/// # Errors
/// As [`draw`].
pub fn draw_within(
    motif: &Motif,
    settings: &Settings,
    block: &Block,
    repeats_mm: Option<[f64; 2]>,
    within: &[Region],
) -> Result<Drawing, DrawError> {
    match &motif.construction {
        Construction::Strand(numbers) if numbers.turns() => {
            strand::corner::draw(numbers, settings, block, repeats_mm, within)
        }
        Construction::FeatherVine(numbers) => vine::draw_within(numbers, settings, block, within),
        construction => match motif.mitred {
            Some(mitre) => mitred(construction, settings, block, (repeats_mm, mitre == Mitre::Sewn)),
            None => construction.draw(settings, block),
        },
    }
}

/// What is left below the mitre of the run on the left, the same above it of the one at the top, and the mitre itself if it
/// is sewn. Both runs go on in their own repeats.
fn mitred(
    construction: &Construction,
    settings: &Settings,
    block: &Block,
    (repeats_mm, sewn): (Option<[f64; 2]>, bool),
) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    let mut lines = Vec::new();
    for region in &block.inside {
        let r = region.bounds();
        let (outer, inner) = (Point::new(r.x1, r.y0), Point::new(r.x0, r.y1));
        let Some(half) = Ring::from_points(&[Point::new(r.x0, r.y0), outer, inner]) else { continue };
        let half = [Region { outer: half, holes: Vec::new() }];
        // Mirrored at the diagonal, left becomes top.
        let (x, y) = (r.x0 + r.y1, r.y1 + r.x0);
        let mirror = Affine::new([0.0, -1.0, -1.0, 0.0, x, y]);
        for (side, placing) in [Affine::IDENTITY, mirror].into_iter().enumerate() {
            let run = run_on(block, r, repeats_mm.map(|repeats| repeats[side]));
            let drawn = construction.draw(settings, &run)?;
            drawing.stretch = drawing.stretch.max(drawn.stretch);
            let below = clip(&run_together(&drawn.lines), &half);
            lines.extend(below.into_iter().map(|line| placing * line));
        }
        lines.extend(sewn.then(|| Line::new(inner, outer).to_path(0.1)));
    }
    drawing.lines = run_together(&lines);
    Ok(drawing)
}

/// A stretch of run of whole repeats that begins at the left of `r` and reaches past its right side; as long as `r` if no
/// length of a repeat is told.
fn run_on(block: &Block, r: Rect, repeat_mm: Option<f64>) -> Block {
    // Even, as repeats that alternate come in pairs.
    let length = repeat_mm.map_or(r.width(), |mm| 2.0 * mm * ceil_guarded(r.width() / (2.0 * mm)));
    let corners = [(r.x0, r.y0), (r.x0 + length, r.y0), (r.x0 + length, r.y1), (r.x0, r.y1)];
    let inside = Ring::from_points(&corners.map(Point::from));
    let inside =
        inside.map_or_else(|| block.inside.clone(), |outer| vec![Region { outer, holes: Vec::new() }]);
    Block { inside, open: vec![Side::Left, Side::Right], ..block.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::angle::turn_deg;
    use crate::base::chain::distance_to_chain;
    use crate::base::curve::{end_tangent, flatten, start_tangent, subpaths};
    use crate::block::outline;
    use crate::block::shape::Shape;
    use crate::drawing::{draw as fill, library, settings};
    use kurbo::{BezPath, ParamCurve, Vec2};

    const MARGIN_MM: f64 = 6.35;

    /// Every motif that goes round corners, with its settings, on three widths of border, mm.
    fn cases() -> Vec<(Motif, Settings, f64)> {
        let motifs = library::read_all(&[]).unwrap();
        let turning = motifs.into_iter().filter(|m| m.suits(Suit::Corner));
        let each = turning.flat_map(|m| {
            // Over and under are not alike on both sides; where bands run is.
            let through =
                m.settings.iter().any(|s| s.name == "crossing").then(|| "crossing=through".to_owned());
            let settings = settings::resolve(&m.name, &m.settings, through.as_slice()).unwrap();
            [50.8, 127.0, 254.0].map(|width| (m.clone(), settings.clone(), width))
        });
        each.collect()
    }

    /// A run as long as four corners, and the corner unit between two of its kind.
    fn run_and_unit(motif: &Motif, settings: &Settings, width: f64) -> (Drawing, Drawing, f64) {
        let size = width - 2.0 * MARGIN_MM;
        let ring = |w: f64, h: f64| {
            let corners = [(-w, -h), (w, -h), (w, h), (-w, h)].map(|(x, y)| Point::new(x / 2.0, y / 2.0));
            Region { outer: Ring::from_points(&corners).unwrap(), holes: Vec::new() }
        };
        let strip = outline(&Shape::Strip { width, length: 4.0 * size }, 0.0).unwrap();
        let inside = vec![ring(4.0 * size, size)];
        let run = Block { inside, margin_mm: MARGIN_MM, open: vec![Side::Left, Side::Right], ..strip };
        let block = outline(&Shape::Corner { width }, MARGIN_MM).unwrap();
        let repeats = repeat_mm(motif, settings, &run).map(|mm| [mm; 2]);
        let unit = draw(motif, settings, &block, repeats).unwrap();
        (fill(motif, settings, &run).unwrap(), unit, size)
    }

    /// Where lines end on the upright at `x`, and which way they go there, from left to right.
    fn crossing(lines: &[BezPath], x: f64) -> Vec<(f64, Vec2)> {
        let rightwards = |way: Vec2| if way.x < 0.0 { -way } else { way };
        let mut ends = Vec::new();
        for segments in lines.iter().flat_map(subpaths) {
            let (first, last) = (segments[0], segments[segments.len() - 1]);
            ends.push((first.start(), start_tangent(&first)));
            ends.push((last.end(), end_tangent(&last)));
        }
        ends.retain(|(p, way)| (p.x - x).abs() < 0.01 && way.x.abs() > 0.02 * way.hypot());
        let mut found: Vec<(f64, Vec2)> = ends.into_iter().map(|(p, way)| (p.y, rightwards(way))).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found
    }

    #[test]
    fn a_corner_is_alike_on_both_sides_of_its_diagonal() {
        for (motif, settings, width) in cases() {
            let (_, unit, _) = run_and_unit(&motif, &settings, width);
            let chains: Vec<Vec<Point>> =
                unit.lines.iter().flat_map(|l| flatten(l, 0.01)).map(|f| f.points).collect();
            assert!(!chains.is_empty(), "{} {width}", motif.name);
            for p in chains.iter().flatten() {
                let q = Point::new(-p.y, -p.x);
                let off = chains.iter().map(|c| distance_to_chain(q, c)).fold(f64::INFINITY, f64::min);
                assert!(off < 0.1, "{} {width}: nothing mirrors {p:?} within {off}", motif.name);
            }
        }
    }

    #[test]
    fn lines_of_a_run_go_on_in_the_corner_without_a_step_or_a_bend() {
        let mut wrong = Vec::new();
        let own_unit =
            |m: &Motif| matches!(&m.construction, Construction::Strand(numbers) if numbers.turns());
        for (motif, settings, width) in cases().into_iter().filter(|(motif, ..)| own_unit(motif)) {
            let (run, unit, size) = run_and_unit(&motif, &settings, width);
            let (from, to) = (crossing(&run.lines, 2.0 * size), crossing(&unit.lines, -size / 2.0));
            // The next side begins as this one ends, seen in a mirror.
            let mut start = crossing(&run.lines, -2.0 * size);
            start.iter_mut().for_each(|(_, way)| *way = Vec2::new(way.x, -way.y));
            for (some, others) in [(&from, &to), (&to, &from), (&from, &start)] {
                for (y, way) in some {
                    // On its edge a zigzag is thrown back as from a mirror, and so is the point of a bud close to it.
                    let bend = |other: &Vec2| {
                        let back = Vec2::new(other.x, -other.y);
                        let edge = size / 2.0 - y.abs() < 0.04 * size;
                        let straight = turn_deg(*way, *other).abs();
                        if edge { straight.min(turn_deg(*way, back).abs()) } else { straight }
                    };
                    // A tenth of a millimetre; on wide borders, whose bands are wide, a thousandth of their width.
                    let near = (0.001 * size).max(0.1);
                    let met = others.iter().any(|(other, on)| (y - other).abs() < near && bend(on) < 1.0);
                    if !met {
                        wrong.push(format!("{} {width}: {y:.2} {way:?}", motif.name));
                    }
                }
            }
        }
        assert!(wrong.is_empty(), "{wrong:#?}");
    }
}
