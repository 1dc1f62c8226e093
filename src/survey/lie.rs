//! A block's shape, and whether it is sewn turned → how it lies in the hoop, in words.
//!
//! A shape is told by what she sees of it at once: a setting triangle by its long side and its right angle, a strip by its
//! ends, anything else by its top.

use crate::block::shape::Shape;

/// One sentence: how the block lies in the hoop as that is mounted, turned a quarter to the left if `turned`.
///
/// ```
/// use thrice::block::shape::Shape;
/// use thrice::survey::lie;
///
/// let triangle = Shape::SideTriangle { block: 203.2 };
/// assert_eq!(
///     lie::words(&triangle, true),
///     "To fit the hoop, the file is turned a quarter turn to the left: hoop the quilt so that the triangle’s long side is on \
///      the right, its right angle on the left."
/// );
/// ```
#[must_use]
pub fn words(shape: &Shape, turned: bool) -> String {
    let lies = lies(shape, turned);
    if turned {
        format!(
            "To fit the hoop, the file is turned a quarter turn to the left: hoop the quilt so that {lies}."
        )
    } else {
        format!("Hoop the quilt so that {lies}.")
    }
}

fn lies(shape: &Shape, turned: bool) -> &'static str {
    match (shape, turned) {
        (Shape::SideTriangle { .. } | Shape::QuarterSquare { .. }, false) => {
            "the triangle’s long side is at the bottom, its right angle at the top"
        }
        (Shape::SideTriangle { .. } | Shape::QuarterSquare { .. }, true) => {
            "the triangle’s long side is on the right, its right angle on the left"
        }
        (Shape::CornerTriangle { .. } | Shape::HalfSquare { .. }, false) => {
            "the triangle’s right angle is at the bottom left"
        }
        (Shape::CornerTriangle { .. } | Shape::HalfSquare { .. }, true) => {
            "the triangle’s right angle is at the bottom right"
        }
        (Shape::Equilateral { .. }, false) => "one side of the triangle is at the bottom, a point at the top",
        (Shape::Equilateral { .. }, true) => {
            "the triangle’s bottom side is on the right, its top point on the left"
        }
        (Shape::Strip { .. }, false) => "the strip lies across, its top edge at the top",
        (Shape::Strip { .. }, true) => "the strip stands upright, its right end at the top",
        (_, false) => "the top of the block is at the top",
        (_, true) => "the top of the block is on the left, its right side at the top",
    }
}

/// What the arrow on every picture of a design in its hoop means.
pub const ARROW: &str = "The arrow points to the top of the machine’s screen.";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use kurbo::Point;

    /// Where the corner lies that `shape` has furthest towards `way`: a word for up or down, one for right or left.
    fn corner_towards(shape: &Shape, turned: bool, right_angle: bool) -> String {
        let block = outline(shape, 0.0).unwrap();
        let block = if turned { block.turned_left() } else { block };
        let corners = block.outline.outer.corners();
        let n = corners.len();
        let bend = |i: usize| {
            let (a, b, c) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
            ((a - b).dot(c - b) / ((a - b).hypot() * (c - b).hypot())).abs()
        };
        let at = (0..n).find(|i| (bend(*i) < 1e-9) == right_angle).map(|i| corners[i]).unwrap();
        let Point { x, y } = at;
        let word = |v: f64, more: &'static str, less: &'static str| match v {
            v if v > 1.0 => more,
            v if v < -1.0 => less,
            _ => "",
        };
        format!("{} {}", word(y, "top", "bottom"), word(x, "right", "left")).trim().to_owned()
    }

    #[test]
    fn right_angles_lie_where_the_words_say() {
        for shape in [Shape::SideTriangle { block: 200.0 }, Shape::CornerTriangle { block: 200.0 }] {
            for turned in [false, true] {
                let (said, is) = (words(&shape, turned), corner_towards(&shape, turned, true));
                let tail = said.split("right angle").nth(1).unwrap();
                assert!(tail.ends_with(&format!("{is}.")), "{said}, but it is {is}");
            }
        }
    }
}
