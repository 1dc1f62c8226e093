//! What a template says in the drawing itself: how far the seams are, which edge of the quilt is where, where the field ends.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Point, Rect, Size, Vec2};

use super::one::One;
use super::seams::clip;
use crate::base::units::{Units, show_length};
use crate::views::column::words;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Weight};

const DISTANCE: Style = Style { size: 2.5, weight: Weight::Bold, ink: look::CROSS, leading: 1.0 };
const QUILT: Style = Style { size: 2.6, weight: Weight::Bold, ink: look::INK, leading: 1.0 };
const FIELD: Style = Style { size: 2.2, weight: Weight::Regular, ink: look::QUIET, leading: 1.0 };
/// A distance to a seam that is nearer than this stands beyond the seam, where the cross leaves it room, mm.
const NEAR_MM: f64 = 36.0;
/// Half the length of the arrow to the quilt's top edge, mm.
const ARROW_MM: f64 = 5.0;
/// The arrow keeps so far from the cross's level line, mm.
const CLEAR_MM: f64 = 17.0;
/// Right of the cross's upright line stand distances so long, mm.
const DISTANCE_MM: f64 = 30.0;
/// An edge of the quilt of which less is shown has no name, mm.
const NAMED_MM: f64 = 40.0;

/// Words about a middle, turned so that they are read from below or from the right, on a white ground.
fn label(text: &str, middle: Point, angle: f64, style: Style) -> Item {
    const BEYOND: f64 = FRAC_PI_2 + 1e-6;
    let upright = match angle {
        _ if angle > FRAC_PI_2 - 1e-6 => angle - 2.0 * FRAC_PI_2,
        _ if angle < -BEYOND => angle + 2.0 * FRAC_PI_2,
        _ => angle,
    };
    let wide = letters::width(text, style.size);
    let low = -style.size * letters::CAPITAL / 2.0;
    let ground = Rect::new(-wide / 2.0 - 0.5, low - 0.6, wide / 2.0 + 0.5, -low + 0.6);
    let items = vec![
        sheet::fill(sheet::rounded(ground, 0.5), look::CLEAR.thin(0.85)),
        words(text, Point::new(0.0, low), style, Anchor::Middle),
    ];
    Item::Group(Group::new("", Affine::translate(middle.to_vec2()) * Affine::rotate(upright), items))
}

/// From the cross to the nearest of the seams on all four sides: the distance, beside the cross's line.
pub fn to_seams(units: Units, picture: &Picture, seams: &[Line], shown: Rect) -> Vec<Item> {
    let mut items = Vec::new();
    let mut taken = words_of_marks(picture);
    for way in [Vec2::new(-1.0, 0.0), Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0), Vec2::new(0.0, 1.0)] {
        let Some(away) = nearest_seam(seams, picture.centre, way) else { continue };
        let at = picture.centre + way * away;
        if !shown.contains(at) {
            continue;
        }
        let text = show_length(away, units);
        let size = Size::new(letters::width(&text, DISTANCE.size), DISTANCE.size);
        let area = beside(at, way, away < NEAR_MM, size, |area| taken.iter().all(|t| !t.overlaps(area)));
        taken.push(area);
        items.push(sheet::fill(sheet::circle(at, 0.8), look::CROSS));
        items.push(label(&text, area.center(), 0.0, DISTANCE));
    }
    items
}

/// Where the words of the marks stand: about the first hole, and by the cross's arrow.
fn words_of_marks(picture: &Picture) -> Vec<Rect> {
    let arrow = Rect::new(1.5, 0.0, 24.0, 17.0) + picture.centre.to_vec2();
    let start = picture.ends().map(|(first, _)| Rect::from_center_size(first, (24.0, 10.0)));
    [Some(arrow), start].into_iter().flatten().collect()
}

/// Where words of that size stand by a seam that the cross's line meets: before it, or beyond it where that is near; on the usual
/// side of the line or on the other, whichever is free first.
fn beside(at: Point, way: Vec2, is_near: bool, size: Size, is_free: impl Fn(Rect) -> bool) -> Rect {
    let along = [is_near, !is_near].map(|beyond| if beyond { 1.0 } else { -1.0 });
    let ways = along.into_iter().flat_map(|along| [(along, 1.0), (along, -1.0)]);
    let area = |(along, aside): (f64, f64)| {
        let off = match way.y == 0.0 {
            true => Vec2::new(way.x * along * (size.width / 2.0 + 1.8), aside * 2.2),
            false => Vec2::new(aside * (size.width / 2.0 + 1.4), way.y * along * 3.0),
        };
        Rect::from_center_size(at + off, size)
    };
    let usual = area((along[0], 1.0));
    ways.map(area).find(|area| is_free(*area)).unwrap_or(usual)
}

/// How far the nearest seam is from a place in one direction, if there is one.
fn nearest_seam(seams: &[Line], from: Point, way: Vec2) -> Option<f64> {
    const FAR_MM: f64 = 2000.0;
    let ray = Line::new(from + way * 0.5, from + way * FAR_MM);
    let hits = seams.iter().flat_map(|seam| PathSeg::Line(*seam).intersect_line(ray));
    hits.map(|hit| from.distance(ray.eval(hit.line_t))).reduce(f64::min)
}

/// The names of the quilt's own edges, along those of which enough is shown.
pub fn edges(one: &One, edges: &[(&'static str, Line)], shown: Rect) -> Vec<Item> {
    let name = |(edge, line): &(&str, Line)| {
        let line = clip(*line, shown)?;
        let way = line.p1 - line.p0;
        if way.hypot() < NAMED_MM {
            return None;
        }
        let text = format!("{edge} edge of the quilt");
        let out = (line.p0.midpoint(line.p1) - one.to_file * Point::ZERO).normalize();
        let normal = Vec2::new(-way.y, way.x).normalize();
        let outwards = if normal.dot(out) > 0.0 { normal } else { -normal };
        // A part of the way along, clear of the cross; on bare paper outside the quilt, or inside where there is none.
        let at = line.p0 + way * 0.3;
        let outside = at + outwards * 3.0;
        let middle = if shown.inset(-2.0).contains(outside) { outside } else { at - outwards * 3.0 };
        Some(label(&text, middle, way.atan2(), QUILT))
    };
    edges.iter().filter_map(name).collect()
}

/// Where the field reaches past the paper, how far, so that its line is not missed.
pub fn field_beyond(one: &One, units: Units, shown: Rect) -> Vec<Item> {
    let (Some(field), whole) = (one.picture.field_rect(), one.whole()) else { return Vec::new() };
    let middle = shown.center();
    let sides = [
        (whole.x0 - field.x0, shown.x0 <= whole.x0 + 1e-6, Point::new(shown.x0 + 2.0, middle.y), FRAC_PI_2),
        (field.x1 - whole.x1, shown.x1 >= whole.x1 - 1e-6, Point::new(shown.x1 - 2.0, middle.y), FRAC_PI_2),
        (whole.y0 - field.y0, shown.y0 <= whole.y0 + 1e-6, Point::new(middle.x, shown.y0 + 2.0), 0.0),
        (field.y1 - whole.y1, shown.y1 >= whole.y1 - 1e-6, Point::new(middle.x, shown.y1 - 2.0), 0.0),
    ];
    let told = |(past, is_outer, at, angle): (f64, bool, Point, f64)| {
        let text = format!("the field ends {} beyond", show_length(past, units));
        // Beside the middle, where the cross's line may run.
        let half = letters::width(&text, FIELD.size) / 2.0;
        let at =
            if angle == 0.0 { at - Vec2::new(half + 14.0, 0.0) } else { at - Vec2::new(0.0, half + 14.0) };
        let at = match angle == 0.0 {
            true => Point::new(at.x.max(shown.x0 + half + 1.0), at.y),
            false => Point::new(at.x, at.y.max(shown.y0 + half + 1.0)),
        };
        (past > 0.05 && is_outer).then(|| label(&text, at, angle, FIELD))
    };
    sides.into_iter().filter_map(told).collect()
}

/// A place for the arrow, words `half` as wide as it, that is clear of the cross's lines and of the words along them: above or
/// below the level line, left or right of the upright one, where there is more room.
fn clear_of(at: Point, half: f64, cross: Point, shown: Rect) -> Point {
    let mut at = at;
    if (shown.y0..=shown.y1).contains(&cross.y) && (at.y - cross.y).abs() < CLEAR_MM {
        let up = shown.y1 - cross.y > cross.y - shown.y0;
        at.y = cross.y + if up { CLEAR_MM } else { -CLEAR_MM };
    }
    let taken = cross.x - half - 3.0..cross.x + half + DISTANCE_MM;
    if (shown.x0..=shown.x1).contains(&cross.x) && taken.contains(&at.x) {
        let left = cross.x - shown.x0 > shown.x1 - cross.x;
        at.x = if left { taken.start } else { taken.end };
    }
    at
}

/// An arrow to the quilt's top edge, with what it is: the quilt may lie turned in the hoop.
pub fn quilt_top(one: &One, shown: Rect) -> Vec<Item> {
    let [a, b, c, d, ..] = one.to_file.as_coeffs();
    let way = (Affine::new([a, b, c, d, 0.0, 0.0]) * Point::new(0.0, 1.0)).to_vec2().normalize();
    let text = "to the quilt’s top edge";
    let half = letters::width(text, QUILT.size) / 2.0;
    // At the side of the page that it points to, aside of the cross's lines; the words behind it.
    let room = Vec2::new(shown.width() / 2.0 - half - 3.0, shown.height() / 2.0 - ARROW_MM - 8.0);
    let share = |part: f64| if part.abs() < 0.1 { 0.62 } else { part.signum() };
    let at = shown.center() + Vec2::new(share(way.x) * room.x.max(0.0), share(way.y) * room.y.max(0.0));
    let at = clear_of(at, half, one.picture.centre, shown);
    let across = Vec2::new(-way.y, way.x);
    let mut arrow = BezPath::new();
    let corners = [
        (ARROW_MM, 0.0),
        (ARROW_MM - 4.0, 2.4),
        (ARROW_MM - 4.0, 0.7),
        (-ARROW_MM, 0.7),
        (-ARROW_MM, -0.7),
        (ARROW_MM - 4.0, -0.7),
        (ARROW_MM - 4.0, -2.4),
    ];
    for (i, (along, aside)) in corners.into_iter().enumerate() {
        let p = at + way * along + across * aside;
        if i == 0 { arrow.move_to(p) } else { arrow.line_to(p) }
    }
    arrow.close_path();
    let below = at - Vec2::new(0.0, ARROW_MM * way.y.abs().max(0.48) + 2.2);
    let ground = sheet::fill(sheet::circle(at, ARROW_MM + 0.6), look::CLEAR.thin(0.85));
    vec![ground, sheet::fill(arrow, look::INK), label(text, below, 0.0, QUILT)]
}
