//! Hatchings that tell places apart where colours do not: on a grey print, and for those who see colours otherwise.

use kurbo::{BezPath, Point, Vec2};

use super::colours;
use crate::top::file::Quilt;
use crate::top::place::Place;
use crate::views::look;
use crate::views::sheet::{self, Item, Pen};

/// From line to line, mm on paper.
const SPACING_MM: f64 = 2.3;
/// How wide the lines are, mm on paper.
const LINE_MM: f64 = 0.13;

/// In which directions a place is hatched, degrees; it is left clear where there are none.
#[must_use]
pub fn of(place: &Place, quilt: &Quilt) -> &'static [f64] {
    match place {
        Place::Blocks => &[],
        Place::AlternateBlocks if colours::are_apart(quilt) => &[45.0],
        Place::AlternateBlocks => &[],
        Place::SideTriangles | Place::CornerTriangles => &[135.0],
        Place::Sashes => &[0.0],
        Place::Posts => &[45.0, 135.0],
        Place::Odd(_) => &[0.0, 90.0],
        Place::Patch(name) => [&[][..], &[45.0], &[135.0]][name.bytes().map(usize::from).sum::<usize>() % 3],
        Place::Border(n) | Place::BorderCorner(n) => {
            if (quilt.borders.len() - n.min(&quilt.borders.len())).is_multiple_of(2) {
                &[90.0]
            } else {
                &[22.5]
            }
        }
    }
}

/// The hatching of an area, to be drawn at `scale`; on one ground for all areas.
#[must_use]
pub fn draw(outline: &[Point], directions: &[f64], scale: f64) -> Option<Item> {
    let mut path = BezPath::new();
    for deg in directions {
        for (a, b) in across(outline, *deg, SPACING_MM / scale) {
            path.move_to(a);
            path.line_to(b);
        }
    }
    let pen = Pen::flat(LINE_MM / scale, look::SHADE.thin(0.5));
    (!path.elements().is_empty()).then(|| sheet::line(path, pen))
}

/// The parts of level lines, turned to the left by so much, that lie in an area (even-odd).
fn across(outline: &[Point], deg: f64, spacing: f64) -> Vec<(Point, Point)> {
    let along = Vec2::from_angle(deg.to_radians());
    let up = Vec2::new(-along.y, along.x);
    let at = |p: &Point| (p.to_vec2().dot(along), p.to_vec2().dot(up));
    let corners: Vec<(f64, f64)> = outline.iter().map(at).collect();
    let low = corners.iter().map(|c| c.1).fold(f64::INFINITY, f64::min);
    let high = corners.iter().map(|c| c.1).fold(f64::NEG_INFINITY, f64::max);
    let mut parts = Vec::new();
    // Between the corners of patches in whole measures, so that no line runs along a seam.
    let mut level = ((low / spacing).floor() + 0.37) * spacing;
    while level < high {
        let sides = corners.iter().zip(corners.iter().cycle().skip(1));
        let crossed = sides.filter(|(a, b)| (a.1 > level) != (b.1 > level));
        let mut xs: Vec<f64> =
            crossed.map(|(a, b)| a.0 + (b.0 - a.0) * (level - a.1) / (b.1 - a.1)).collect();
        xs.sort_by(f64::total_cmp);
        let point = |x: f64| (along * x + up * level).to_point();
        parts.extend(xs.chunks_exact(2).map(|pair| (point(pair[0]), point(pair[1]))));
        level += spacing;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_is_hatched_from_side_to_side_and_no_further() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)].map(Point::from);
        let level = across(&square, 0.0, 2.0);
        assert_eq!(level.len(), 5);
        assert!(level.iter().all(|(a, b)| (a.x, b.x) == (0.0, 10.0)), "{level:?}");
        let within = |p: &Point| (-1e-9..=10.0 + 1e-9).contains(&p.x) && (-1e-9..=10.0 + 1e-9).contains(&p.y);
        let slanting = across(&square, 45.0, 2.0);
        assert!(slanting.len() >= 6 && slanting.iter().all(|(a, b)| within(a) && within(b)), "{slanting:?}");
    }
}
