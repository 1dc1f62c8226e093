//! How a block lies on the ground of its quilt, so that lattices and hatches run through the seams.
//!
//! The ground is one plane for the whole top, ruled along the blocks' own sides (on point: turned with them), mm, from a
//! corner where four blocks or sashes meet. It repeats after a module: block and sash together. Whoever divides the module
//! into whole repeats gets lines that meet those of the neighbours. A block that did not come out as the others carries
//! the ground of the block it stands for, bent from its four corners to the measured ones (bilinear: along every side the
//! ground is divided evenly, so lines meet the neighbours' at the same share of the seam).

use kurbo::{Affine, Point};

use crate::base::chain;
use crate::base::tolerance::DUST_MM;

/// The ground of the quilt under a block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// From the ground to the block that was planned.
    pub to_block: Affine,
    /// After how much across and up the ground repeats, mm.
    pub module: (f64, f64),
    /// The corners of the planned block, and where they came out; `None` if it came out as planned.
    pub bend: Option<[[Point; 4]; 2]>,
}

impl Lie {
    /// The point of the planned block at a point of the ground.
    #[must_use]
    pub fn planned(&self, ground: Point) -> Point {
        self.to_block * ground
    }

    /// Where a point of the planned block came out. The planned block is a rectangle along its own axes.
    #[must_use]
    pub fn bent(&self, p: Point) -> Point {
        let Some([planned, [a, b, c, d]]) = self.bend else { return p };
        let r = chain::bounds(&planned);
        let (u, v) = ((p.x - r.x0) / r.width(), (p.y - r.y0) / r.height());
        a.lerp(b, u).lerp(d.lerp(c, u), v)
    }

    /// The point of the block at a point of the ground.
    #[must_use]
    pub fn at(&self, ground: Point) -> Point {
        self.bent(self.planned(ground))
    }

    /// The outline to which lines of the planned block are cut before they are bent.
    #[must_use]
    pub fn planned_corners(&self) -> Option<[Point; 4]> {
        self.bend.map(|[planned, _]| planned)
    }

    /// The box on the ground that holds everything of the block between `corners`.
    #[must_use]
    pub fn reach(&self, corners: &[Point]) -> kurbo::Rect {
        let planned = self.planned_corners();
        let corners = planned.as_ref().map_or(corners, |c| &c[..]);
        let back = self.to_block.inverse();
        let ground: Vec<Point> = corners.iter().map(|p| back * *p).collect();
        chain::bounds(&ground)
    }

    /// True if a lattice that divides the module looks the same in both blocks.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        let (m, n) = (self.module, other.module);
        let [a, b] = [self, other].map(|lie| lie.to_block.as_coeffs());
        let turned = a[..4].iter().zip(&b[..4]).any(|(x, y)| (x - y).abs() > 1e-9);
        if turned || (m.0 - n.0).abs().max((m.1 - n.1).abs()) > DUST_MM || self.bend != other.bend {
            return false;
        }
        let off = self.to_block.inverse() * (other.to_block * Point::ZERO);
        let dust = |x: f64, module: f64| (x - (x / module).round() * module).abs() < DUST_MM;
        dust(off.x, m.0) && dust(off.y, m.1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lie(x: f64, y: f64) -> Lie {
        Lie { to_block: Affine::translate((x, y)), module: (80.0, 60.0), bend: None }
    }

    #[test]
    fn whole_modules_away_the_ground_is_the_same() {
        assert!(lie(10.0, 5.0).is_like(&lie(10.0 - 160.0, 5.0 + 60.0)));
        assert!(!lie(10.0, 5.0).is_like(&lie(50.0, 5.0)));
        assert!(!lie(10.0, 5.0).is_like(&lie(10.0, 5.0 + 40.0)));
        let turned = Lie { to_block: Affine::rotate(1.0), ..lie(0.0, 0.0) };
        assert!(!lie(0.0, 0.0).is_like(&turned));
    }

    #[test]
    fn a_bent_block_has_its_sides_divided_evenly() {
        let planned = [(-40.0, -30.0), (40.0, -30.0), (40.0, 30.0), (-40.0, 30.0)].map(Point::from);
        let came_out = [(-41.0, -30.0), (40.0, -31.0), (42.0, 30.0), (-40.0, 33.0)].map(Point::from);
        let bent = Lie { bend: Some([planned, came_out]), ..lie(-40.0, -30.0) };
        for i in 0..4 {
            assert!(bent.bent(planned[i]).distance(came_out[i]) < 1e-9);
        }
        // A quarter of the lower side.
        assert!(bent.at(Point::new(20.0, 0.0)).distance(came_out[0].lerp(came_out[1], 0.25)) < 1e-9);
        assert_eq!(bent.reach(&[]), kurbo::Rect::new(0.0, 0.0, 80.0, 60.0));
    }
}
