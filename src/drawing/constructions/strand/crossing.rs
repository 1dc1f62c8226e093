//! Crossings: bands in the order in which they lie on each other → their lines, each ending where it goes under a band.
//!
//! A band covers what lies between its two outer lines, from end to end. Lines that go under it end exactly on those.

use kurbo::{
    BezPath, Line, ParamCurve, ParamCurveArclen, ParamCurveNearest, PathSeg, Point, Rect, Shape, Vec2,
};

use super::band::parallel;
use crate::base::curve::{end_tangent, start_tangent};
use crate::base::tolerance::{ARC_LENGTH_MM, WELD_MM};
use crate::drawing::constructions::clip::crossings;

/// A strand's middle line and how high it lies: a band covers those of a larger number.
#[derive(Debug, Clone)]
pub(super) struct Laid {
    /// The middle line.
    pub(super) middle: BezPath,
    /// How deep it lies; 0 on top.
    pub(super) depth: usize,
}

/// Why bands cannot pass over each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tangle {
    /// A bend is too tight for the band.
    Tight,
    /// A band goes under another and does not come out before that one ends.
    Flat,
}

/// A band with its lines.
struct Band {
    depth: usize,
    middle: Vec<PathSeg>,
    lines: Vec<BezPath>,
    reach: Rect,
}

impl Band {
    /// True if the other one ends on the middle of this one: it is tucked under it.
    fn holds_an_end_of(&self, other: &Self) -> bool {
        let ends = [other.middle.first().map(|s| s.start()), other.middle.last().map(|s| s.end())];
        let near = |p: Point| {
            self.middle.iter().any(|s| s.nearest(p, WELD_MM / 10.0).distance_sq < WELD_MM * WELD_MM)
        };
        ends.into_iter().flatten().any(near)
    }

    /// True if one of the two begins where the other ends: what lies on another there lies on it further on.
    fn runs_on(&self, other: &Self) -> bool {
        let ends = |band: &Self| Some([band.middle.first()?.start(), band.middle.last()?.end()]);
        let Some((mine, theirs)) = ends(self).zip(ends(other)) else { return false };
        mine.iter().any(|p| theirs.iter().any(|q| p.distance(*q) < WELD_MM))
    }

    /// Its two outer lines, and if `capped` its two ends.
    fn edges(&self, capped: bool) -> Vec<PathSeg> {
        let outer = [self.lines.first(), self.lines.last()]
            .map(|line| line.map(|l| l.segments().collect::<Vec<_>>()));
        let [Some(right), Some(left)] = outer else { return Vec::new() };
        let ends = |line: &[PathSeg]| Some([line.first()?.start(), line.last()?.end()]);
        let caps = ends(&right).zip(ends(&left)).filter(|_| capped);
        let caps = caps.map(|(r, l)| [0, 1].map(|i| PathSeg::Line(Line::new(r[i], l[i]))));
        right.into_iter().chain(left).chain(caps.into_iter().flatten()).collect()
    }
}

/// The lines of all bands, `offsets` mm beside their middles; those that go under a band are cut at its outer lines.
///
/// Of the `tucked` lines comes what shows between the bands, after the lines of these.
pub(super) fn pass_over(
    strands: &[Laid],
    offsets: &[f64],
    tucked: &[BezPath],
) -> Result<Vec<BezPath>, Tangle> {
    let bands = strands.iter().map(|laid| {
        let lines: Option<Vec<BezPath>> = offsets.iter().map(|o| parallel(&laid.middle, *o)).collect();
        let lines = lines.ok_or(Tangle::Tight)?;
        let reach = lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let middle = laid.middle.segments().collect();
        Ok(Band { depth: laid.depth, middle, lines, reach: reach.inflate(WELD_MM, WELD_MM) })
    });
    let bands = bands.collect::<Result<Vec<Band>, Tangle>>()?;
    let half = offsets.last().copied().unwrap_or(0.0);
    let mut shown = Vec::new();
    for band in &bands {
        let meets =
            |over: &&Band| over.depth < band.depth && over.reach.overlaps(band.reach) && !over.runs_on(band);
        let above: Vec<&Band> = bands.iter().filter(meets).collect();
        for line in &band.lines {
            let (left, flat) = uncovered(line, &above, half, false);
            if flat && !above.iter().any(|over| over.holds_an_end_of(band)) {
                return Err(Tangle::Flat);
            }
            shown.extend(left);
        }
    }
    for line in tucked {
        let reach = line.bounding_box();
        let above: Vec<&Band> = bands.iter().filter(|over| over.reach.overlaps(reach)).collect();
        shown.extend(uncovered(line, &above, half, true).0);
    }
    Ok(shown)
}

/// What is left of a line outside all bands, and whether it stays under one of them at one end.
///
/// If `capped`, the ends of a band cut as its sides do: for lines that pass under where one band runs on as the next.
fn uncovered(line: &BezPath, above: &[&Band], half: f64, capped: bool) -> (Vec<BezPath>, bool) {
    let mut left = vec![line.segments().collect::<Vec<_>>()];
    let mut flat = false;
    for over in above {
        let edges = over.edges(capped);
        let mut next = Vec::new();
        for run in &left {
            let (shown, stays) = beside(run, &edges, over, half);
            flat |= stays;
            next.extend(shown);
        }
        left = next;
    }
    (left.into_iter().map(|run| BezPath::from_path_segments(run.into_iter())).collect(), flat)
}

/// What is left of a run outside one band, and whether it stays under it at one end.
fn beside(run: &[PathSeg], edges: &[PathSeg], over: &Band, half: f64) -> (Vec<Vec<PathSeg>>, bool) {
    let mut runs: Vec<Vec<PathSeg>> = Vec::new();
    let (mut open, mut cuts) = (false, 0);
    for segment in run {
        let mut at: Vec<f64> = edges.iter().flat_map(|edge| crossings(segment, edge)).collect();
        at.sort_by(f64::total_cmp);
        let mut from = 0.0;
        for to in at.into_iter().chain([1.0]) {
            let part = segment.subsegment(from..to);
            if part.arclen(ARC_LENGTH_MM) < WELD_MM {
                continue;
            }
            from = to;
            let shows = !covers(over, part.eval(0.5), half);
            match runs.last_mut() {
                Some(last) if shows && open => last.push(part),
                _ if shows => runs.push(vec![part]),
                _ => {}
            }
            cuts += usize::from(shows != open);
            open = shows;
        }
    }
    // A line that starts and ends outside comes out as often as it goes in, its own start counted.
    let comes_out = cuts % 2 == 1;
    (runs, !comes_out)
}

/// True if a point lies under a band, beside it and not beyond its ends; level with an end it is not beyond it, so that where
/// one band runs on as the next no line shows between them.
fn covers(over: &Band, p: Point, half: f64) -> bool {
    let nearest = over.middle.iter().enumerate().map(|(i, s)| (i, s.nearest(p, ARC_LENGTH_MM)));
    let Some((i, near)) = nearest.min_by(|a, b| a.1.distance_sq.total_cmp(&b.1.distance_sq)) else {
        return false;
    };
    let segment = &over.middle[i];
    let past = |end: Point, way: Vec2| (p - end).dot(way) > WELD_MM * way.hypot();
    let before = i == 0 && near.t <= 0.0 && past(segment.start(), -start_tangent(segment));
    let behind = i + 1 == over.middle.len() && near.t >= 1.0 && past(segment.end(), end_tangent(segment));
    let beyond = before || behind;
    !beyond && near.distance_sq < half * half
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;

    fn laid(path: &str, depth: usize) -> Laid {
        Laid { middle: BezPath::from_svg(path).unwrap(), depth }
    }

    fn ends(lines: &[BezPath]) -> Vec<String> {
        let chains = lines.iter().flat_map(|l| flatten(l, 0.01));
        let show = |p: &Point| format!("{:.1} {:.1}", p.x + 0.0, p.y + 0.0);
        chains.map(|c| format!("{} to {}", show(&c.points[0]), show(&c.points[c.points.len() - 1]))).collect()
    }

    #[test]
    fn the_under_strand_ends_on_the_edges_of_the_over_strand() {
        let cross = [laid("M0,0 L20,0", 0), laid("M10,-10 L10,10", 1)];
        let got = ends(&pass_over(&cross, &[-1.0, 1.0], &[]).unwrap());
        assert_eq!(
            got,
            [
                "0.0 -1.0 to 20.0 -1.0",
                "0.0 1.0 to 20.0 1.0",
                "11.0 -10.0 to 11.0 -1.0",
                "11.0 1.0 to 11.0 10.0",
                "9.0 -10.0 to 9.0 -1.0",
                "9.0 1.0 to 9.0 10.0"
            ]
        );
    }

    #[test]
    fn strands_of_one_depth_cross_through() {
        let cross = [laid("M0,0 L20,0", 0), laid("M10,-10 L10,10", 0)];
        assert_eq!(pass_over(&cross, &[-1.0, 1.0], &[]).unwrap().len(), 4);
    }

    #[test]
    fn a_strand_that_does_not_come_out_is_told() {
        let flat = [laid("M0,0 L20,0", 0), laid("M10,-10 L10,0.5", 1)];
        assert_eq!(pass_over(&flat, &[-1.0, 1.0], &[]).unwrap_err(), Tangle::Flat);
        let tight = [laid("M0,20 C1,20 2,0 3,0 C4,0 5,20 6,20", 0)];
        assert_eq!(pass_over(&tight, &[-3.0, 3.0], &[]).unwrap_err(), Tangle::Tight);
    }

    #[test]
    fn a_tucked_line_shows_only_between_the_bands() {
        let rails = [laid("M0,0 L20,0", 0), laid("M0,10 L20,10", 0)];
        let tucked = BezPath::from_svg("M5,0 L5,10").unwrap();
        let got = ends(&pass_over(&rails, &[-1.0, 1.0], &[tucked]).unwrap());
        assert_eq!(got[4..], ["5.0 1.0 to 5.0 9.0"]);
        // Where one band runs on as the next, too.
        let halves = [laid("M0,0 L5,0", 0), laid("M5,0 L20,0", 0)];
        let tucked = BezPath::from_svg("M5,0 L5,10").unwrap();
        let got = ends(&pass_over(&halves, &[-1.0, 1.0], &[tucked]).unwrap());
        assert_eq!(got[4..], ["5.0 1.0 to 5.0 10.0"]);
    }
}
