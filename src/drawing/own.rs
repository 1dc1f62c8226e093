//! Her own line drawing, scaled into the inner outline: as large as fits about the outline's centre, never stretched.

use kurbo::{Affine, BezPath, Point, Shape};

use super::{DrawError, Drawing};
use crate::base::curve::flatten;
use crate::base::tolerance::FLATTEN_MM;
use crate::block::Block;
use crate::block::region::Region;

/// How often the scale is halved in on; 2⁻⁴⁰ of a quilt is nothing.
const HALVINGS: usize = 40;

/// Scales `lines` (mm, y up) into the largest region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if there is no line, or no place for one.
pub fn draw(lines: &[BezPath], block: &Block) -> Result<Drawing, DrawError> {
    let no_room = |why: &str| DrawError::NoRoom { motif: "the drawing".into(), why: why.into() };
    let bounds = lines.iter().map(BezPath::bounding_box).reduce(|a, b| a.union(b));
    let bounds = bounds.ok_or_else(|| no_room("it has no lines; draw some as strokes"))?;
    let size = bounds.width().max(bounds.height());
    if !(1e-6..1e6).contains(&size) {
        return Err(no_room("its lines have no length; draw longer ones"));
    }
    let region = &block.inside[0];
    let points: Vec<Point> =
        lines.iter().flat_map(|l| flatten(l, FLATTEN_MM)).flat_map(|f| f.points).collect();
    let centre = region.bounds().center();
    let place = |scale: f64| {
        Affine::translate(centre.to_vec2())
            * Affine::scale(scale)
            * Affine::translate(-bounds.center().to_vec2())
    };
    let reach = region.bounds().width().max(region.bounds().height()) / size;
    let scale = largest(reach, |scale| fits(&points, place(scale), region));
    if scale * size < 1.0 {
        return Err(no_room(
            "the centre of the block is not free for it; ask for another block or a smaller hole",
        ));
    }
    Ok(Drawing { lines: lines.iter().map(|l| place(scale) * l).collect(), ..Drawing::default() })
}

fn fits(points: &[Point], place: Affine, region: &Region) -> bool {
    points.iter().all(|p| region.depth(place * *p) >= -1e-6)
}

/// The largest scale up to `most` that fits, where all smaller ones do too.
fn largest(most: f64, fits: impl Fn(f64) -> bool) -> f64 {
    if fits(most) {
        return most;
    }
    let (mut good, mut bad) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = (good + bad) / 2.0;
        if fits(middle) { good = middle } else { bad = middle }
    }
    good
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape;

    #[test]
    fn a_drawing_is_as_large_as_the_inner_outline_and_keeps_its_proportions() {
        let block = outline(&shape::Shape::Square { side: 100.0 }, 10.0).unwrap();
        let lines = [BezPath::from_svg("M3,3 L5,3 L5,4").unwrap()];
        let drawn = draw(&lines, &block).unwrap();
        let bounds = drawn.lines[0].bounding_box();
        assert!((bounds.width() - 80.0).abs() < 1e-6 && (bounds.height() - 40.0).abs() < 1e-6, "{bounds:?}");
    }

    #[test]
    fn a_drawing_without_lines_is_refused() {
        let block = outline(&shape::Shape::Square { side: 100.0 }, 10.0).unwrap();
        assert!(draw(&[], &block).is_err());
        assert!(draw(&[BezPath::from_svg("M3,3 L3,3").unwrap()], &block).is_err());
    }
}
