//! Echoes of a motif: its lines → rings round them, out to the edge of the block.

use geo::{Buffer, Coord, LineString, MultiLineString, Simplify};
use kurbo::{BezPath, Point};

use super::rings::round;
use crate::base::curve::{flatten, path_through};
use crate::base::tolerance::FLATTEN_MM;
use crate::block::region::Region;
use crate::drawing::constructions::clip::clip;

/// How round an echo goes past a notch of the motif, in spacings: a cusp would be a pile of stitches.
const NOTCH: f64 = 1.0;

/// Rings round `lines` at whole multiples of `spacing` mm, cut off at the region's edge; open places inside the motif stay open.
///
/// Past a notch narrower than a circle of a spacing's radius an echo goes round, and is farther from the motif there.
/// Ends when the last ring lies wholly outside. Rings are not joined: those cut off end on the edge.
#[must_use]
pub fn echo_around(lines: &[BezPath], region: &Region, spacing: f64) -> Vec<BezPath> {
    let flat = lines.iter().flat_map(|l| flatten(l, FLATTEN_MM / 2.0));
    let motif: MultiLineString =
        flat.map(|f| f.points.iter().map(|p| Coord { x: p.x, y: p.y }).collect::<LineString>()).collect();
    let mut echoes = Vec::new();
    let mut distance = spacing;
    loop {
        let notch = NOTCH * spacing;
        let grown = motif.buffer_with_style(round(distance + notch)).buffer_with_style(round(-notch));
        let grown = grown.simplify(FLATTEN_MM);
        let rings: Vec<BezPath> = grown
            .iter()
            .map(|polygon| {
                let points: Vec<Point> = polygon.exterior().coords().map(|c| Point::new(c.x, c.y)).collect();
                path_through(&points[..points.len().saturating_sub(1)], true)
            })
            .collect();
        let kept = clip(&rings, std::slice::from_ref(region));
        if kept.is_empty() {
            return echoes;
        }
        echoes.extend(kept);
        distance += spacing;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    #[test]
    fn echoes_of_a_line_are_at_whole_spacings_and_end_on_the_edge() {
        let corners = [(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)].map(Point::from);
        let region = Region { outer: Ring::from_points(&corners).unwrap(), holes: Vec::new() };
        let line = BezPath::from_svg("M-10,0 L10,0").unwrap();
        let echoes = echo_around(&[line], &region, 10.0);
        let end = [Point::new(-10.0, 0.0), Point::new(10.0, 0.0)];
        for echo in &echoes {
            for flat in flatten(echo, 0.01) {
                for p in &flat.points {
                    let away = crate::base::chain::distance_to_chain(*p, &end);
                    let off = (away / 10.0).round() * 10.0 - away;
                    assert!(off.abs() < 0.03, "{away} mm away");
                }
                let on_edge = |p: &Point| region.depth(*p).abs() < 0.01;
                assert!(
                    flat.closed || on_edge(&flat.points[0]) && on_edge(&flat.points[flat.points.len() - 1])
                );
            }
        }
        // The corner is 64.03 mm from the line: rings at 10 to 60 mm.
        let farthest = echoes.iter().flat_map(|e| flatten(e, 0.01)).flat_map(|f| f.points);
        let farthest = farthest.map(|p| crate::base::chain::distance_to_chain(p, &end)).fold(0.0, f64::max);
        assert!((farthest - 60.0).abs() < 0.03, "{farthest}");
    }
}
