//! Directions and turns.

use kurbo::{Affine, Vec2};

/// A quarter turn to the left about 0,0, exact: no sine or cosine is rounded.
pub const QUARTER_LEFT: Affine = Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]);
/// A quarter turn to the right about 0,0, exact.
pub const QUARTER_RIGHT: Affine = Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]);

/// The turn from direction `a` to direction `b`, degrees in (−180, 180], left turns positive.
///
/// Zero if either has no length.
#[must_use]
pub fn turn_deg(a: Vec2, b: Vec2) -> f64 {
    if a.hypot2() == 0.0 || b.hypot2() == 0.0 {
        return 0.0;
    }
    a.cross(b).atan2(a.dot(b)).to_degrees()
}

/// `v` scaled to length 1; a vector without length stays as it is.
#[must_use]
pub fn unit(v: Vec2) -> Vec2 {
    let length = v.hypot();
    if length == 0.0 { v } else { v / length }
}

/// `v` turned a quarter to the left.
#[must_use]
pub fn left_of(v: Vec2) -> Vec2 {
    Vec2::new(-v.y, v.x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn left_turns_are_positive() {
        assert_eq!(turn_deg(Vec2::new(1.0, 0.0), Vec2::new(0.0, 2.0)), 90.0);
        assert_eq!(turn_deg(Vec2::new(1.0, 0.0), Vec2::new(0.0, -2.0)), -90.0);
        assert_eq!(turn_deg(Vec2::new(1.0, 0.0), Vec2::new(-1.0, 0.0)), 180.0);
    }
}
