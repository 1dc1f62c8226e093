//! Lines → an SVG file of nothing but curves at true size, to be changed in a drawing program and read in again.

use kurbo::{Affine, BezPath, Rect, Shape};
use svg::Node;
use svg::node::Text;
use svg::node::element::Element;

use crate::base::plain::escaped;

/// Clear paper round the lines, so that no pen is cut off at their edge, mm.
const ROUND_MM: f64 = 1.0;
/// Width of the pen, mm.
const PEN_MM: f64 = 0.3;
/// Parts of a millimetre that coordinates are written to.
const PARTS: f64 = 10_000.0;

/// The lines, each a path of its own; mm, the page as large as they are.
#[must_use]
pub fn write(title: &str, lines: &[BezPath]) -> String {
    let bounds = lines.iter().map(Shape::bounding_box).reduce(|a: Rect, b| a.union(b)).unwrap_or(Rect::ZERO);
    let page = bounds.inflate(ROUND_MM, ROUND_MM);
    let (width, height) = (round(page.width()), round(page.height()));
    // SVG counts downwards.
    let to_page = Affine::new([1.0, 0.0, 0.0, -1.0, -page.x0, page.y1]);
    let mut root = Element::new("svg");
    root.assign("xmlns", "http://www.w3.org/2000/svg");
    root.assign("width", format!("{width}mm"));
    root.assign("height", format!("{height}mm"));
    root.assign("viewBox", format!("0 0 {width} {height}"));
    let mut named = Element::new("title");
    named.append(Text::new(escaped(title)));
    root.append(named);
    let mut all = Element::new("g");
    let pen =
        [("fill", "none"), ("stroke", "#252a31"), ("stroke-linecap", "round"), ("stroke-linejoin", "round")];
    pen.into_iter().for_each(|(name, value)| all.assign(name, value));
    all.assign("stroke-width", PEN_MM);
    for line in lines.iter().filter(|line| !line.is_empty()) {
        let mut placed = to_page * line.clone();
        placed.elements_mut().iter_mut().for_each(round_element);
        let mut path = Element::new("path");
        path.assign("d", placed.to_svg());
        all.append(path);
    }
    root.append(all);
    format!("{root}\n")
}

fn round_element(element: &mut kurbo::PathEl) {
    use kurbo::PathEl::{ClosePath, CurveTo, LineTo, MoveTo, QuadTo};
    let p = |p: kurbo::Point| kurbo::Point::new(round(p.x), round(p.y));
    *element = match *element {
        MoveTo(a) => MoveTo(p(a)),
        LineTo(a) => LineTo(p(a)),
        QuadTo(a, b) => QuadTo(p(a), p(b)),
        CurveTo(a, b, c) => CurveTo(p(a), p(b), p(c)),
        ClosePath => ClosePath,
    };
}

fn round(mm: f64) -> f64 {
    (mm * PARTS).round() / PARTS + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::drawn::svg_lines;

    #[test]
    fn lines_read_in_again_are_the_same_at_true_size() {
        let lines = [
            BezPath::from_svg("M-20,-10 C-5,30 10,-30 40,12.5").unwrap(),
            BezPath::from_svg("M0,0 L10,0 L10,10 Z").unwrap(),
        ];
        let text = write("a < b", &lines);
        assert!(text.contains("<title>a &lt; b</title>") && text.contains("width=\"62mm\""), "{text}");
        let back = svg_lines(&text).unwrap();
        assert_eq!(back.len(), 2);
        let shift = lines[0].elements()[0].end_point().unwrap() - back[0].elements()[0].end_point().unwrap();
        for (line, back) in lines.iter().zip(&back) {
            for (a, b) in line.segments().zip(back.segments()) {
                let (a, b) = (a.to_cubic(), b.to_cubic());
                for (p, q) in [(a.p0, b.p0), (a.p1, b.p1), (a.p2, b.p2), (a.p3, b.p3)] {
                    assert!(p.distance(q + shift) < 0.001, "{p} {q}");
                }
            }
        }
    }
}
