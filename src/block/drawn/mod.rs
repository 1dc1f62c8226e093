//! SVG text → a drawn [`Shape`], or the lines of a drawing, in mm and y up.
//!
//! Read with `usvg`, so transforms, uses, styles and basic shapes are resolved. Physical sizes (`width="8in"`) are honoured; a
//! drawing without them counts 96 units to the inch, as SVG does (Scalable Vector Graphics 2, W3C, section 8). Letters and
//! pictures are ignored; so is anything that would not be seen: no fill and no stroke, or hidden.

#[cfg(test)]
mod tests;

use kurbo::{Affine, BezPath, ParamCurve, Point, Rect, Shape as _};
use usvg::tiny_skia_path::PathSegment;
use usvg::{Group, ImageHrefResolver, Node, Options, Tree};

use super::shape::Shape;
use super::{BlockError, LEAST_MM, MOST_CORNERS, svg_bounds};
use crate::base::curve;
use crate::base::tolerance::LOST_MM;
use crate::base::units::{LONGEST_MM, MM_PER_INCH};

/// SVG units in an inch (Cascading Style Sheets 2.1, W3C, section 4.3.2).
const UNITS_PER_INCH: f64 = 96.0;

/// The most paths an outline and its holes may have: far more than a block has places to keep clear, few enough to be
/// worked out at once.
pub const MOST_PATHS: usize = 200;

/// The most segments of all lines: far more than fifty metres of line can be drawn with.
pub const MOST_SEGMENTS: usize = 200_000;

/// Bits shorter than this are dust of single-precision numbers, mm.
const DUST_MM: f64 = 1e-3;

/// The outline in an SVG: the first closed path, with all further paths behind it.
///
/// [`super::outline`] makes holes of the closed ones inside it and notes what it leaves out.
///
/// # Errors
/// [`BlockError::Drawing`] for text that is no SVG, [`BlockError::NoClosedPath`], and [`BlockError::Size`] for an outline too
/// small or too large to quilt.
pub fn svg_outline(svg_text: &str) -> Result<Shape, BlockError> {
    let mut paths = svg_lines(svg_text)?;
    if paths.len() > MOST_PATHS {
        let reason =
            format!("it has {} paths, and an outline with its holes has at most {MOST_PATHS}", paths.len());
        return Err(BlockError::Drawing { reason });
    }
    let first = paths.iter().position(is_closed).ok_or(BlockError::NoClosedPath)?;
    paths[..=first].rotate_right(1);
    let count = paths.iter().map(|path| path.segments().count()).sum();
    if count > MOST_CORNERS {
        return Err(BlockError::TooManyCorners { count });
    }
    let size = paths[0].bounding_box();
    for (what, mm) in [("drawn width", size.width()), ("drawn height", size.height())] {
        if !(LEAST_MM..=LONGEST_MM).contains(&mm) {
            return Err(BlockError::Size { what, mm });
        }
    }
    Ok(Shape::Outline { paths })
}

/// Every line in an SVG, one subpath each, in the order drawn, with (0, 0) at the bottom left of the page.
///
/// Of filled areas the edge is taken; [`svg_fills`] counts them.
///
/// # Errors
/// [`BlockError::Drawing`] for text that is no SVG.
pub fn svg_lines(svg_text: &str) -> Result<Vec<BezPath>, BlockError> {
    let tree = read(svg_text)?;
    let mut lines = Vec::new();
    visit(&tree, |path| {
        for segments in curve::subpaths(&placed(path, &tree)) {
            lines.extend(tidy(&BezPath::from_path_segments(segments.into_iter())));
        }
    });
    Ok(lines)
}

/// Every line in an SVG as [`svg_lines`] has it, each with the id of its path, empty if it has none.
///
/// # Errors
/// [`BlockError::Drawing`] for text that is no SVG.
pub fn svg_named(svg_text: &str) -> Result<Vec<(String, BezPath)>, BlockError> {
    let tree = read(svg_text)?;
    let mut lines = Vec::new();
    visit(&tree, |path| {
        for segments in curve::subpaths(&placed(path, &tree)) {
            let line = tidy(&BezPath::from_path_segments(segments.into_iter()));
            lines.extend(line.map(|line| (path.id().to_owned(), line)));
        }
    });
    Ok(lines)
}

/// How many drawn paths are filled areas without a stroke: their fill is ignored and only their edge is a line.
///
/// # Errors
/// [`BlockError::Drawing`] for text that is no SVG.
pub fn svg_fills(svg_text: &str) -> Result<usize, BlockError> {
    let mut fills = 0;
    visit(&read(svg_text)?, |path| fills += usize::from(path.fill().is_some() && path.stroke().is_none()));
    Ok(fills)
}

/// The words of an SVG that are letters, not lines: they are left out.
///
/// # Errors
/// [`BlockError::Drawing`] for text that is no SVG.
pub fn svg_words(svg_text: &str) -> Result<Vec<String>, BlockError> {
    let document = svg_bounds::parse(svg_text).map_err(|reason| BlockError::Drawing { reason })?;
    let texts = document.descendants().filter(|node| node.is_element() && node.tag_name().name() == "text");
    let words = texts.map(|node| {
        let letters: String =
            node.descendants().filter_map(|n| n.is_text().then(|| n.text()).flatten()).collect();
        letters.split_whitespace().collect::<Vec<_>>().join(" ")
    });
    Ok(words.filter(|words| !words.is_empty()).collect())
}

/// True if the path ends where it starts.
#[must_use]
pub fn is_closed(path: &BezPath) -> bool {
    let ends = path.segments().next().zip(path.segments().last());
    ends.is_some_and(|(first, last)| first.start().distance(last.end()) < DUST_MM)
}

fn read(svg_text: &str) -> Result<Tree, BlockError> {
    let unusable = |reason: String| BlockError::Drawing { reason };
    let document = svg_bounds::parse(svg_text).map_err(unusable)?;
    // The default would open the files that pictures name.
    let image_href_resolver =
        ImageHrefResolver { resolve_data: Box::new(|_, _, _| None), resolve_string: Box::new(|_, _| None) };
    let options = Options { image_href_resolver, ..Options::default() };
    let tree = Tree::from_xmltree(&document, &options).map_err(|e| unusable(e.to_string()))?;
    let mut segments = 0;
    visit(&tree, |path| segments += path.data().len());
    if segments > MOST_SEGMENTS {
        return Err(unusable(format!(
            "it has {segments} segments of lines; at most {MOST_SEGMENTS} are read"
        )));
    }
    Ok(tree)
}

/// Hands every path that can be seen to `take`, in the order drawn.
fn visit(tree: &Tree, mut take: impl FnMut(&usvg::Path)) {
    let mut groups: Vec<std::slice::Iter<Node>> = vec![tree.root().children().iter()];
    while let Some(nodes) = groups.last_mut() {
        match nodes.next() {
            None => _ = groups.pop(),
            Some(Node::Group(group)) => groups.push(Group::children(group).iter()),
            Some(Node::Path(path)) if path.is_visible() => take(path),
            Some(_) => {}
        }
    }
}

/// A path with its transforms applied, in mm, y up.
fn placed(path: &usvg::Path, tree: &Tree) -> BezPath {
    let mut out = BezPath::new();
    let p = |p: usvg::tiny_skia_path::Point| Point::new(f64::from(p.x), f64::from(p.y));
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(a) => out.move_to(p(a)),
            PathSegment::LineTo(a) => out.line_to(p(a)),
            PathSegment::QuadTo(a, b) => out.quad_to(p(a), p(b)),
            PathSegment::CubicTo(a, b, c) => out.curve_to(p(a), p(b), p(c)),
            PathSegment::Close => out.close_path(),
        }
    }
    let t = path.abs_transform();
    let on_page = Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from));
    let mm = MM_PER_INCH / UNITS_PER_INCH;
    let up = Affine::new([mm, 0.0, 0.0, -mm, 0.0, mm * f64::from(tree.size().height())]);
    up * on_page * out
}

/// One subpath without dust; nearly closed ends are joined. `None` if nothing is left or a number is not finite.
fn tidy(path: &BezPath) -> Option<BezPath> {
    if !path.is_finite() {
        return None;
    }
    let mut segments: Vec<kurbo::CubicBez> = Vec::new();
    let mut lines: Vec<bool> = Vec::new();
    for segment in path.segments() {
        let mut cubic = segment.to_cubic();
        if let Some(last) = segments.last() {
            cubic.p0 = last.p3;
        }
        let box_ = [cubic.p1, cubic.p2, cubic.p3]
            .iter()
            .fold(Rect::from_points(cubic.p0, cubic.p0), |b, p| b.union_pt(*p));
        if box_.width().max(box_.height()) > DUST_MM {
            segments.push(cubic);
            lines.push(matches!(segment, kurbo::PathSeg::Line(_)));
        }
    }
    let start = segments.first()?.p0;
    let closed = segments.len() > 1 || !lines[0];
    if let Some(last) = segments.last_mut()
        && closed
        && last.p3.distance(start) < LOST_MM
    {
        last.p3 = start;
    }
    let mut out = BezPath::new();
    out.move_to(start);
    for (cubic, line) in segments.iter().zip(lines) {
        if line { out.line_to(cubic.p3) } else { out.curve_to(cubic.p1, cubic.p2, cubic.p3) }
    }
    if is_closed(&out) {
        out.close_path();
    }
    Some(out)
}
