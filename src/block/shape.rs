//! The shapes a block can have, as asked for.

use kurbo::{BezPath, Point};

/// A shape with its finished sizes, mm.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A square.
    Square {
        /** Side, mm. */
        side: f64,
    },
    /// A rectangle.
    Rectangle {
        /** Across, mm. */
        width: f64,
        /** Up, mm. */
        height: f64,
    },
    /// Half a square: right angle bottom left.
    HalfSquare {
        /** The two legs, mm. */
        leg: f64,
    },
    /// A quarter of a square: long side at the bottom, right angle at the top.
    QuarterSquare {
        /** The long side, mm. */
        long: f64,
    },
    /// Side setting triangle for blocks on point: long side (√2 × the block) at the bottom, right angle at the top.
    SideTriangle {
        /** Finished side of the blocks, mm. */
        block: f64,
    },
    /// Corner setting triangle for blocks on point: legs of block/√2, right angle bottom left.
    CornerTriangle {
        /** Finished side of the blocks, mm. */
        block: f64,
    },
    /// Three equal sides, one at the bottom.
    Equilateral {
        /** Side, mm. */
        side: f64,
    },
    /// Six equal sides, two of them level.
    Hexagon {
        /** Side, mm. */
        side: f64,
    },
    /// Eight equal sides.
    Octagon {
        /** Across the flats, mm. */
        across: f64,
    },
    /// Four equal sides, standing on the lower one.
    Diamond {
        /** Side, mm. */
        side: f64,
        /** The angle bottom left, degrees in (0, 180). */
        angle_deg: f64,
    },
    /// A circle.
    Circle {
        /** Diameter, mm. */
        diameter: f64,
    },
    /// A border or sash, lying along x.
    Strip {
        /** Width, mm, along y. */
        width: f64,
        /** Length, mm, along x. */
        length: f64,
    },
    /// The corner of a border: its lines come in on the left and go on at the top, the quilt's own corner bottom right.
    Corner {
        /** Width of the border, mm. */
        width: f64,
    },
    /// Three or four sides measured with a tape.
    Sides {
        /** Bottom, right, top, left (or bottom, right, left for three), mm. */
        sides: Vec<f64>,
        /** From bottom left to top right, mm; for four sides. */
        diagonal: Option<f64>,
        /** From bottom right to top left, mm. */
        other_diagonal: Option<f64>,
    },
    /// Any simple polygon by its corners, in order.
    Corners {
        /** The corners, mm. */
        corners: Vec<Point>,
    },
    /// A drawn outline; the first closed path is the outline, further ones inside it are holes.
    Outline {
        /** One subpath each, mm, y up; open ones are left out with a note. */
        paths: Vec<BezPath>,
    },
}
