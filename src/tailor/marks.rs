//! Marks by the names that a template gives them → their places in the design.

use kurbo::{Point, Rect};

use crate::base::chain;

/// The names of places that can be marked.
pub const NAMES: [&str; 9] =
    ["centre", "bottom-left", "bottom-right", "top-right", "top-left", "left", "right", "bottom", "top"];

/// Where a named place is in a design whose edge, or whose stitches, are `edge`, mm from the design's centre; `None` for a
/// name that there is not.
///
/// A corner is the place of the edge that is furthest that way. The ends of the cross are where its lines meet the box round
/// the edge.
#[must_use]
pub fn named(name: &str, edge: &[Point]) -> Option<Point> {
    let bounds: Rect = chain::bounds(edge);
    let furthest = |x: f64, y: f64| {
        let far = |p: &Point| p.x * x + p.y * y;
        edge.iter().copied().max_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(Point::ORIGIN)
    };
    Some(match name {
        "centre" | "center" => Point::ORIGIN,
        "bottom-left" => furthest(-1.0, -1.0),
        "bottom-right" => furthest(1.0, -1.0),
        "top-right" => furthest(1.0, 1.0),
        "top-left" => furthest(-1.0, 1.0),
        "left" => Point::new(bounds.x0, 0.0),
        "right" => Point::new(bounds.x1, 0.0),
        "bottom" => Point::new(0.0, bounds.y0),
        "top" => Point::new(0.0, bounds.y1),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn named_places_are_where_the_template_shows_them() {
        let edge = [(-50.0, -40.0), (52.0, -41.0), (50.0, 40.0), (-51.0, 42.0)].map(Point::from);
        let at = |name: &str| named(name, &edge).unwrap();
        assert_eq!(at("centre"), Point::ORIGIN);
        assert_eq!((at("top-right"), at("bottom-left")), (edge[2], edge[0]));
        assert_eq!((at("right"), at("top")), (Point::new(52.0, 0.0), Point::new(0.0, 42.0)));
        assert_eq!(named("somewhere", &edge), None);
        assert!(NAMES.iter().all(|name| named(name, &edge).is_some()));
    }
}
