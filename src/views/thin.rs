//! A path of straight lines → one with fewer points that stays within a tolerance.
//!
//! Method: Douglas and Peucker, Cartographica 10, 1973 [220]: of each stretch the point furthest from its chord is kept while it
//! is further than the tolerance.

use kurbo::{BezPath, PathEl, Point};

use crate::base::chain::nearest_on_segment;

/// `path`, of straight lines only, with as few points as stay within `tolerance` mm of it.
#[must_use]
pub fn thin(path: &BezPath, tolerance: f64) -> BezPath {
    let mut thinned = BezPath::new();
    let mut chain: Vec<Point> = Vec::new();
    for element in path.elements() {
        match element {
            PathEl::MoveTo(p) => {
                push(&chain, tolerance, &mut thinned);
                chain = vec![*p];
            }
            _ => chain.extend(element.end_point()),
        }
    }
    push(&chain, tolerance, &mut thinned);
    thinned
}

fn push(chain: &[Point], tolerance: f64, path: &mut BezPath) {
    let (Some(first), true) = (chain.first(), chain.len() > 1) else { return };
    let mut kept = vec![false; chain.len()];
    let mut stretches = vec![(0, chain.len() - 1)];
    while let Some((from, to)) = stretches.pop() {
        kept[to] = true;
        let away = |i: usize| chain[i].distance(nearest_on_segment(chain[i], chain[from], chain[to]));
        let furthest = (from + 1..to).max_by(|a, b| away(*a).total_cmp(&away(*b)));
        if let Some(middle) = furthest.filter(|i| away(*i) > tolerance) {
            stretches.extend([(from, middle), (middle, to)]);
        }
    }
    path.move_to(*first);
    for (p, _) in chain.iter().zip(kept).skip(1).filter(|(_, kept)| *kept) {
        path.line_to(*p);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_on_a_line_go_and_corners_stay() {
        let path = BezPath::from_svg("M0,0 L1,0.01 L2,0 L2,1 L2,2 M5,5 L6,5 L7,5").unwrap();
        assert_eq!(thin(&path, 0.05).to_svg(), "M0,0 L2,0 L2,2 M5,5 L7,5");
        assert_eq!(thin(&path, 0.005).to_svg(), "M0,0 L1,0.01 L2,0 L2,2 M5,5 L7,5");
    }
}
