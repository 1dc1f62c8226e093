//! Poses: how a motif is turned and mirrored in its block.

use kurbo::{Affine, Point};

use super::Block;
use super::region::{Region, Ring};
use super::shape::Shape;
use super::side::Side;

/// How a motif is turned and mirrored in its block: mirrored left to right first, then turned to the left.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Pose {
    /// Quarter turns to the left.
    pub quarters: u8,
    /// Mirrored left to right.
    pub mirrored: bool,
}

impl Pose {
    /// From the motif as it would be drawn upright to the block.
    #[must_use]
    pub fn to_block(self) -> Affine {
        let turn = Affine::rotate(f64::from(self.quarters % 4) * std::f64::consts::FRAC_PI_2);
        let turn = Affine::new(turn.as_coeffs().map(f64::round));
        if self.mirrored { turn * Affine::FLIP_X } else { turn }
    }
}

impl Block {
    /// The block as it lies elsewhere, turned by any angle: its shape and words stay those of the block as it was asked for.
    #[must_use]
    pub fn placed(&self, to: Affine) -> Self {
        let ring = |ring: &Ring| Ring::from_path(&(to * ring.path().clone())).unwrap_or_else(|| ring.clone());
        let region = |r: &Region| Region { outer: ring(&r.outer), holes: r.holes.iter().map(ring).collect() };
        Self {
            outline: region(&self.outline),
            inside: self.inside.iter().map(region).collect(),
            lie: None,
            ..self.clone()
        }
    }

    /// The block as the motif sees it: turned and mirrored so that the motif can be drawn upright.
    #[must_use]
    pub fn posed(&self, pose: Pose) -> Self {
        let to = pose.to_block().inverse();
        let ring = |ring: &Ring| Ring::from_path(&(to * ring.path().clone())).unwrap_or_else(|| ring.clone());
        let region = |r: &Region| Region { outer: ring(&r.outer), holes: r.holes.iter().map(ring).collect() };
        let outline = region(&self.outline);
        Self {
            shape: shape(&self.shape, pose, &outline),
            inside: self.inside.iter().map(region).collect(),
            outline,
            margin_mm: self.margin_mm,
            open: self.open.iter().map(|side| moved(*side, to)).collect(),
            lie: None,
            within: if pose.quarters % 2 == 1 { self.within.map(super::turned) } else { self.within },
            notes: self.notes.clone(),
        }
    }
}

fn shape(shape: &Shape, pose: Pose, outline: &Region) -> Shape {
    let odd = !pose.quarters.is_multiple_of(2);
    match shape {
        Shape::Square { .. } | Shape::Circle { .. } | Shape::Octagon { .. } => shape.clone(),
        Shape::Rectangle { width, height } if odd => Shape::Rectangle { width: *height, height: *width },
        Shape::Rectangle { .. } | Shape::Strip { .. } | Shape::Hexagon { .. } if !odd => shape.clone(),
        _ if outline.outer.is_polygon() && outline.holes.is_empty() => {
            Shape::Corners { corners: outline.outer.corners() }
        }
        _ => Shape::Outline { paths: outline.rings().map(|r| r.path().clone()).collect() },
    }
}

fn moved(side: Side, to: Affine) -> Side {
    let way = match side {
        Side::Left => Point::new(-1.0, 0.0),
        Side::Right => Point::new(1.0, 0.0),
        Side::Bottom => Point::new(0.0, -1.0),
        Side::Top => Point::new(0.0, 1.0),
    };
    let way = to * way;
    if way.x < -0.5 {
        Side::Left
    } else if way.x > 0.5 {
        Side::Right
    } else if way.y < 0.0 {
        Side::Bottom
    } else {
        Side::Top
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;

    #[test]
    fn a_turned_block_is_seen_from_its_other_side() {
        let block = outline(&Shape::Rectangle { width: 60.0, height: 90.0 }, 5.0).unwrap();
        let block = Block { open: vec![Side::Left], ..block };
        let seen = block.posed(Pose { quarters: 1, mirrored: false });
        assert_eq!(seen.shape, Shape::Rectangle { width: 90.0, height: 60.0 });
        // What is at the left of the block is at the top of what the motif sees, before it is turned to the left.
        assert_eq!(seen.open, [Side::Top]);
        assert_eq!(seen.inside[0].bounds().width(), 80.0);
        let corner = Pose { quarters: 1, mirrored: true }.to_block() * Point::new(30.0, 10.0);
        assert_eq!(corner, Point::new(-10.0, -30.0));
    }
}
