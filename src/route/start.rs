//! A wish where to begin → a node of the drawn lines.

use kurbo::Point;

use crate::base::chain::bounds;
use crate::block::side::Side;
use crate::network::{EdgeKind, Network};

/// Where a walk should begin; the nearest node of the lines is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// At a corner of the drawing's bounding box.
    Corner {
        /// The right-hand corners, not the left-hand ones.
        right: bool,
        /// The top corners, not the bottom ones.
        top: bool,
    },
    /// At the middle of a side of the drawing's bounding box.
    Side(Side),
    /// At a point, mm.
    At(Point),
}

/// The node of the drawn lines nearest to a wish; the lowest index among equals. None if nothing is drawn.
pub(super) fn start_node(network: &Network, wish: Start) -> Option<usize> {
    let drawn = || network.edges.iter().filter(|e| e.kind == EdgeKind::Drawn);
    let points: Vec<Point> = drawn().flat_map(|e| e.chain.iter().copied()).collect();
    let all = bounds(&points);
    let at = match wish {
        Start::At(p) => p,
        Start::Corner { right, top } => {
            Point::new(if right { all.x1 } else { all.x0 }, if top { all.y1 } else { all.y0 })
        }
        Start::Side(Side::Left) => Point::new(all.x0, all.center().y),
        Start::Side(Side::Right) => Point::new(all.x1, all.center().y),
        Start::Side(Side::Bottom) => Point::new(all.center().x, all.y0),
        Start::Side(Side::Top) => Point::new(all.center().x, all.y1),
    };
    nearest_node(network, drawn().flat_map(|e| [e.from, e.to]), at)
}

fn nearest_node(network: &Network, nodes: impl Iterator<Item = usize>, wish: Point) -> Option<usize> {
    let away = |n: usize| network.nodes[n].distance_squared(wish);
    nodes.min_by(|a, b| away(*a).total_cmp(&away(*b)).then(a.cmp(b)))
}
