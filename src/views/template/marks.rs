//! What stands on the template itself, in block coordinates: outlines, lines, the cross, and names that stay with
//! the piece when it is cut out.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, BezPath, PathSeg, Point, Rect, Shape as _, Vec2};

use crate::views::cloth::together;
use crate::views::column::words;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Shape, Weight};

/// A block whose centre is this near the design's centre needs no mark of its own, mm.
pub const SAME_CENTRE_MM: f64 = 0.05;
/// How far the cross's long lines go beyond the block, where there is paper, mm.
const BEYOND_MM: f64 = 14.0;
/// The radius of the rings round needle holes that hoopings share, mm.
const JOIN_MM: f64 = 1.8;
/// Half the length of the cross's heavy arms, mm.
const ARM_MM: f64 = 9.0;
/// Half the length of the cross at a place that was measured, mm.
const MARK_MM: f64 = 3.0;
const SMALL: Style = Style { size: 2.3, weight: Weight::Bold, ink: look::INK, leading: 1.3 };

/// The pen of the block's edge, which is also where the template is cut out.
#[must_use]
pub fn edge_pen() -> Pen {
    Pen::flat(0.45, look::INK)
}
/// The pen of the edge of what is quilted.
#[must_use]
pub fn inside_pen() -> Pen {
    Pen::dashed(0.2, look::QUIET, &[1.8, 1.2])
}
/// The pen of the design.
#[must_use]
pub fn design_pen() -> Pen {
    Pen::new(0.32, look::INK.thin(0.82))
}
/// The pen of the box that the machine traces.
#[must_use]
pub fn trace_pen() -> Pen {
    Pen::dashed(0.28, look::END, &[5.0, 1.0, 0.9, 1.0])
}
/// The pen of the hoop's sewing field.
#[must_use]
pub fn field_pen() -> Pen {
    Pen::dashed(0.28, look::QUIET, &[0.9, 1.1])
}
/// The pen of the cross's long lines.
#[must_use]
pub fn cross_pen() -> Pen {
    Pen::flat(0.2, look::CROSS)
}

/// The pen of the rings round needle holes that hoopings share.
#[must_use]
pub fn join_pen() -> Pen {
    Pen::new(0.4, look::END)
}

/// Everything on the template, with those lines of the design that are to be shown.
#[must_use]
pub fn draw(picture: &Picture, design: BezPath) -> Vec<Item> {
    let mut items = Vec::new();
    if let Some(field) = picture.field_rect() {
        items.push(sheet::line(sheet::rectangle(field), field_pen()));
    }
    if !picture.inside.is_empty() {
        items.push(sheet::line(together(&picture.inside), inside_pen()));
    }
    items.push(sheet::line(sheet::rectangle(picture.trace()), trace_pen()));
    items.append(&mut long_cross(picture));
    items.push(Item::Group(Group::new("design", Affine::IDENTITY, vec![sheet::line(design, design_pen())])));
    if !picture.outline.is_empty() {
        items.push(sheet::line(together(&picture.outline), edge_pen()));
    }
    items.extend(picture.joins.iter().map(|p| sheet::line(sheet::circle(*p, JOIN_MM), join_pen())));
    items.extend(picture.marks.iter().flat_map(|(at, name)| measured(*at, name)));
    items.extend(name_along_edge(picture));
    items.extend(block_top(picture));
    items.append(&mut start(picture));
    items.append(&mut block_centre(picture));
    let smaller = picture.bounds().width().min(picture.bounds().height());
    items.append(&mut cross(picture.centre, (smaller / 8.0).clamp(3.0, ARM_MM)));
    items
}

/// A place that was measured in the hoop: a ring with a cross in it, and its name.
fn measured(at: Point, name: &str) -> Vec<Item> {
    let (across, up) = (Vec2::new(MARK_MM, 0.0), Vec2::new(0.0, MARK_MM));
    let mut items = vec![
        sheet::line(sheet::circle(at, MARK_MM * 0.7), mark_pen()),
        sheet::straight(at - across, at + across, mark_pen()),
        sheet::straight(at - up, at + up, mark_pen()),
    ];
    let style = Style { ink: look::START, ..SMALL };
    items.append(&mut on_clear_ground(name, at + Vec2::new(MARK_MM, -MARK_MM - style.size), style));
    items
}

/// The pen of places that were measured in the hoop.
#[must_use]
pub fn mark_pen() -> Pen {
    Pen::flat(0.3, look::START)
}

/// The ends of the cross's long lines: left, right, bottom, top.
#[must_use]
pub fn cross_ends(picture: &Picture) -> [Point; 4] {
    let reach = picture.bounds().inflate(BEYOND_MM, BEYOND_MM);
    let c = picture.centre;
    [
        Point::new(reach.x0, c.y),
        Point::new(reach.x1, c.y),
        Point::new(c.x, reach.y0),
        Point::new(c.x, reach.y1),
    ]
}

fn long_cross(picture: &Picture) -> Vec<Item> {
    let [left, right, bottom, top] = cross_ends(picture);
    vec![sheet::straight(left, right, cross_pen()), sheet::straight(bottom, top, cross_pen())]
}

/// The heavy cross at the design's centre, its arrow towards the top of the machine's screen.
fn cross(centre: Point, arm: f64) -> Vec<Item> {
    let heavy = || Pen::flat(0.45, look::CROSS);
    let tip = centre + Vec2::new(0.0, arm + 4.2);
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(tip + Vec2::new(-1.9, -4.2));
    head.line_to(tip + Vec2::new(1.9, -4.2));
    head.close_path();
    let mut items = vec![
        sheet::straight(centre - Vec2::new(arm, 0.0), centre + Vec2::new(arm, 0.0), heavy()),
        sheet::straight(centre - Vec2::new(0.0, arm), centre + Vec2::new(0.0, arm), heavy()),
        sheet::line(sheet::circle(centre, arm / 3.0), Pen::flat(0.3, look::CROSS)),
        sheet::fill(head, look::CROSS),
    ];
    let at = tip + Vec2::new(2.8, -3.4);
    items.append(&mut on_clear_ground("top of screen", at, Style { ink: look::CROSS, size: 2.6, ..SMALL }));
    items
}

fn block_centre(picture: &Picture) -> Vec<Item> {
    let at = picture.bounds().center();
    if picture.outline.is_empty() || at.distance(picture.centre) <= SAME_CENTRE_MM {
        return Vec::new();
    }
    let pen = || Pen::flat(0.25, look::QUIET);
    let (rise, fall) = (Vec2::new(1.6, 1.6), Vec2::new(1.6, -1.6));
    vec![sheet::straight(at - rise, at + rise, pen()), sheet::straight(at - fall, at + fall, pen())]
}

fn start(picture: &Picture) -> Vec<Item> {
    let Some((first, _)) = picture.ends() else { return Vec::new() };
    let mut items = vec![start_sign(first)];
    let style = Style { ink: look::START, ..SMALL };
    let wide = letters::width("start", style.size);
    // The word goes towards the middle of the block, where there is paper, but never onto the cross or its words.
    let from_cross = first - picture.centre;
    let near = from_cross.hypot() < 2.0 * ARM_MM;
    let inwards = if near { Vec2::new(-1.0, from_cross.y) } else { picture.bounds().center() - first };
    let x = if inwards.x >= 0.0 { 2.6 } else { -2.6 - wide };
    let y = if inwards.y >= 0.0 { 2.2 } else { -3.8 };
    items.append(&mut on_clear_ground("start", first + Vec2::new(x, y), style));
    items
}

/// The sign at the first needle point.
#[must_use]
pub fn start_sign(at: Point) -> Item {
    Item::Shape(Shape {
        path: sheet::circle(at, 1.3),
        fill: Some(look::START),
        pens: vec![Pen::new(0.4, look::CLEAR)],
    })
}

/// Words on a white ground that lets a little of the lines show through.
fn on_clear_ground(text: &str, at: Point, style: Style) -> Vec<Item> {
    let wide = letters::width(text, style.size);
    let ground = Rect::new(at.x - 0.6, at.y - 0.6, at.x + wide + 0.6, at.y + style.size * 0.75 + 0.6);
    let clear = sheet::fill(sheet::rounded(ground, 0.6), look::CLEAR.thin(0.85));
    vec![clear, words(text, at, style, Anchor::Start)]
}

/// The name, the size and the fingerprint, small, inside the longest straight side: they stay with the piece when it is cut out.
fn name_along_edge(picture: &Picture) -> Option<Item> {
    let style = Style { ink: look::INK, size: 2.3, weight: Weight::Regular, leading: 1.0 };
    let outer = picture.outline.first()?;
    let (from, to) = longest_side(outer)?;
    let (from, to) = if to.x - from.x < -1e-9 { (to, from) } else { (from, to) };
    let along = (to - from).normalize();
    let length = from.distance(to);
    let up = Vec2::new(-along.y, along.x);
    let inside = outer.winding(from.midpoint(to) + up * 0.5) != 0;
    let rise = if inside { 1.7 } else { -1.7 - style.size * letters::CAPITAL };
    // Short of the middle, where the cross's line runs.
    let room = length / 2.0 - 9.0;
    let said = [&picture.title, &picture.size].map(String::as_str);
    let fingerprint = picture.fingerprint();
    // What the room is too short for goes: first the fingerprint, which the head has, then the size.
    let lines = [said.into_iter().chain(fingerprint).collect(), said.to_vec()];
    let lines = lines.map(|parts: Vec<&str>| parts.join("  ·  "));
    let text = lines.into_iter().find(|line| letters::width(line, style.size) <= room);
    let text = text.unwrap_or_else(|| letters::shorten(&picture.title, style.size, room));
    if room < 12.0 {
        return None;
    }
    let placed =
        Affine::translate((from + along * 7.0 + up * rise).to_vec2()) * Affine::rotate(along.atan2());
    Some(Item::Group(Group::new("", placed, on_clear_ground(&text, Point::ZERO, style))))
}

/// Where the top of a block lies that is sewn turned to the left: words along its left side, if that is straight and
/// upright; of other shapes it is said in words how they lie.
fn block_top(picture: &Picture) -> Option<Item> {
    let outer = picture.outline.first().filter(|_| picture.turned)?;
    let left = picture.bounds().x0;
    let on_left = |p: Point| p.x - left < 0.01;
    let sides = outer.segments().filter_map(|s| match s {
        PathSeg::Line(side) if on_left(side.p0) && on_left(side.p1) => Some(side),
        _ => None,
    });
    let side = sides.max_by(|a, b| a.p0.distance(a.p1).total_cmp(&b.p0.distance(b.p1)))?;
    let style = Style { size: 2.6, ..SMALL };
    let text = "the piece’s own top edge";
    let wide = letters::width(text, style.size);
    if side.p0.distance(side.p1) < 2.0 * wide {
        return None;
    }
    // The letters stand with their heads to the top of the block, which is on the left.
    let low = side.p0.y.min(side.p1.y) + side.p0.distance(side.p1) * 0.75 - wide / 2.0;
    let at = Point::new(left + 1.6 + style.size * letters::CAPITAL, low);
    let placed = Affine::translate(at.to_vec2()) * Affine::rotate(FRAC_PI_2);
    Some(Item::Group(Group::new("", placed, on_clear_ground(text, Point::ZERO, style))))
}

/// The longest straight side; of equals the lowest, then the first.
fn longest_side(outline: &BezPath) -> Option<(Point, Point)> {
    let mut best: Option<(Point, Point)> = None;
    for segment in outline.segments() {
        let PathSeg::Line(side) = segment else { continue };
        let better = best.is_none_or(|(a, b)| {
            let longer = side.p0.distance(side.p1) - a.distance(b);
            longer > 0.01 || (longer > -0.01 && side.p0.y + side.p1.y < a.y + b.y - 0.01)
        });
        if better {
            best = Some((side.p0, side.p1));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_equal_sides_the_name_goes_along_the_lowest() {
        let square = sheet::rectangle(Rect::new(0.0, 0.0, 50.0, 50.0));
        let (a, b) = longest_side(&square).unwrap();
        assert_eq!((a.y, b.y), (0.0, 0.0));
    }

    #[test]
    fn a_circle_has_no_straight_side() {
        assert_eq!(longest_side(&sheet::circle(Point::ZERO, 30.0)), None);
    }
}
