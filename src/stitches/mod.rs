//! [`Route`](crate::route::Route) → [`Stitches`]: needle points in sewing order.

use kurbo::Point;

/// Needle points in sewing order, mm in block coordinates, every one on the machine's 0.1 mm grid.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stitches {
    /// One unbroken run of needle points a piece; between two pieces the machine moves without sewing.
    pub pieces: Vec<Vec<Point>>,
    /// The centre of the needle points' bounding box, on the 0.1 mm grid: the machine file's origin.
    pub centre: Point,
}
