//! The four sides of a bounding box.

use kurbo::{Point, Rect};

/// A side of a bounding box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Least x.
    Left,
    /// Greatest x.
    Right,
    /// Least y.
    Bottom,
    /// Greatest y.
    Top,
}

impl Side {
    /// Where the side lies when its box is turned a quarter to the left.
    #[must_use]
    pub fn turned_left(self) -> Self {
        match self {
            Self::Left => Self::Bottom,
            Self::Bottom => Self::Right,
            Self::Right => Self::Top,
            Self::Top => Self::Left,
        }
    }

    /// How far `p` stands beyond this side of `bounds`, mm; negative before it.
    #[must_use]
    pub fn beyond(self, p: Point, bounds: Rect) -> f64 {
        match self {
            Self::Left => bounds.x0 - p.x,
            Self::Right => p.x - bounds.x1,
            Self::Bottom => bounds.y0 - p.y,
            Self::Top => p.y - bounds.y1,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_is_beyond_one_side_and_before_the_others() {
        let bounds = Rect::new(-10.0, -5.0, 10.0, 5.0);
        let beyond = |side: Side| side.beyond(Point::new(12.0, 4.0), bounds);
        let all = [Side::Left, Side::Right, Side::Bottom, Side::Top].map(beyond);
        assert_eq!(all, [-22.0, 2.0, -9.0, -1.0]);
    }
}
