//! The seams of a quilt as they lie in a machine file.

use kurbo::{Affine, Line, Point, Rect};

use crate::top::Work;

/// The patches of the quilt in a file's coordinates.
pub fn outlines(work: &Work, to_file: Affine) -> impl Iterator<Item = Vec<Point>> {
    work.layout.patches.iter().map(move |patch| patch.outline.iter().map(|p| to_file * *p).collect())
}

/// What of a line lies in a box, if more than a point does.
pub fn clip(line: Line, rect: Rect) -> Option<Line> {
    let way = line.p1 - line.p0;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let sides = [
        (-way.x, line.p0.x - rect.x0),
        (way.x, rect.x1 - line.p0.x),
        (-way.y, line.p0.y - rect.y0),
        (way.y, rect.y1 - line.p0.y),
    ];
    for (out, room) in sides {
        if out.abs() < 1e-9 {
            if room < 0.0 {
                return None;
            }
        } else if out > 0.0 {
            to = to.min(room / out);
        } else {
            from = from.max(room / out);
        }
    }
    (to - from > 1e-9).then(|| Line::new(line.p0 + way * from, line.p0 + way * to))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_clipped_where_it_leaves_the_box() {
        let rect = Rect::new(0.0, 0.0, 10.0, 10.0);
        let got = |a: (f64, f64), b: (f64, f64)| clip(Line::new(a, b), rect).map(|l| (l.p0, l.p1));
        assert_eq!(got((-5.0, 5.0), (5.0, 5.0)), Some((Point::new(0.0, 5.0), Point::new(5.0, 5.0))));
        assert_eq!(got((-5.0, -5.0), (20.0, 20.0)), Some((Point::ZERO, Point::new(10.0, 10.0))));
        assert_eq!(got((11.0, 0.0), (11.0, 9.0)), None);
        assert_eq!(got((-6.0, 5.0), (5.0, 16.0)), None);
    }
}
