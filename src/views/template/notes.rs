//! What is said about a template beside it: what its lines mean, where the trace box lies, what to mind.

use kurbo::{Point, Rect, Vec2};

use crate::base::curve::flatten;
use crate::base::tolerance::{FLATTEN_MM, GRID_MM};
use crate::base::units::{Units, show_at_most, show_length};
use crate::survey::crooked::{self, Leeway};
use crate::survey::hoop::Hoop;
use crate::views::column::{Column, words};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Item, Pen, Weight};
use crate::views::template::marks;

const NOTE: Style = Style { size: 2.35, weight: Weight::Regular, ink: look::INK, leading: 1.28 };
const HEADING: Style = Style { size: 2.6, weight: Weight::Bold, ink: look::INK, leading: 1.55 };
const GUTTER_MM: f64 = 6.0;
/// The sketch of the trace box is so high, mm.
const SKETCH_MM: f64 = 13.0;
/// No hooping is off by more.
const ANY_TURN_DEG: f64 = 45.0;

/// The notes in three columns, from y = 0 downwards; the column's `y` tells how far. `scale` makes letters smaller.
#[must_use]
pub fn draw(picture: &Picture, cautions: &[&str], width: f64, scale: f64) -> Column {
    let each = (width - 2.0 * GUTTER_MM) / 3.0;
    let mut first = Column::new(0.0, 0.0, each);
    key(&mut first, picture, scale);
    let mut second = Column::new(each + GUTTER_MM, 0.0, each);
    trace(&mut second, picture, scale);
    crooked(&mut second, picture, scale);
    let mut third = Column::new(2.0 * (each + GUTTER_MM), 0.0, each);
    third.text("Before you sew", HEADING.times(scale), 1);
    for caution in cautions {
        third.point(caution, NOTE.times(scale), false);
        third.gap(0.3 * scale);
    }
    let mut all = Column::new(0.0, 0.0, width);
    all.y = first.y.min(second.y).min(third.y);
    for mut column in [first, second, third] {
        all.items.append(&mut column.items);
    }
    all
}

/// What each line means, with a piece of it.
fn key(column: &mut Column, picture: &Picture, scale: f64) {
    let note = NOTE.times(scale);
    column.text("What the lines mean", HEADING.times(scale), 1);
    let (left, sample) = (column.x, 9.0);
    let mut rows: Vec<(Option<Pen>, &str)> = Vec::new();
    rows.push((Some(marks::cross_pen()), "cross at the design’s centre, where the machine starts from: lengthen its lines on the fabric, then take the template off; its arrow points to the top of the machine’s screen"));
    if !picture.outline.is_empty() {
        rows.push((Some(marks::edge_pen()), "edge of the finished block: cut out here"));
    }
    let design = picture.passes().map_or("the design".to_owned(), |passes| format!("the design, {passes}"));
    rows.push((Some(marks::design_pen()), &design));
    if !picture.inside.is_empty() {
        rows.push((Some(marks::inside_pen()), "margin: nothing is sewn outside it"));
    }
    rows.push((Some(marks::trace_pen()), "box that the machine traces"));
    if picture.field.is_some() {
        rows.push((Some(marks::field_pen()), "sewing field of the hoop"));
    }
    if !picture.joins.is_empty() {
        rows.push((Some(marks::join_pen()), "rings: needle holes shared with the hoopings beside this one"));
    }
    if !picture.marks.is_empty() {
        rows.push((Some(marks::mark_pen()), "your marks, where they were measured in the hoop"));
    }
    rows.push((None, "first hole"));
    for (pen, meaning) in rows {
        let top = column.y;
        let middle = top - note.size * note.leading / 2.0;
        match pen {
            Some(pen) => {
                let (from, to) = (Point::new(left, middle), Point::new(left + sample - 2.2, middle));
                column.items.push(sheet::straight(from, to, pen));
            }
            None => column.items.push(marks::start_sign(Point::new(left + 3.2, middle))),
        }
        let mut text = Column::new(left + sample, top, column.width - sample);
        text.text(meaning, note, 6);
        column.items.append(&mut text.items);
        column.y = text.y;
    }
}

/// The trace box in its block, with the four distances.
fn trace(column: &mut Column, picture: &Picture, scale: f64) {
    let note = NOTE.times(scale);
    column.text("Trace box", HEADING.times(scale), 1);
    let (block, box_) = (picture.bounds(), picture.trace());
    let show = |mm: f64| show_length(mm, picture.units);
    column.text(&format!("{} across, {} up", show(box_.width()), show(box_.height())), note, 2);
    if picture.outline.is_empty() {
        return;
    }
    column.gap(1.2);
    let outer = Rect::new(column.x, column.y - SKETCH_MM, column.x + column.width, column.y);
    let inner = outer.inset((-outer.width() * 0.335, -3.7));
    column.items.push(sheet::line(sheet::rectangle(outer), Pen::flat(0.3, look::INK)));
    column.items.push(sheet::line(sheet::rectangle(inner), marks::trace_pen()));
    let sides = [
        (box_.x0 - block.x0, Point::new(f64::midpoint(outer.x0, inner.x0), inner.center().y)),
        (block.x1 - box_.x1, Point::new(f64::midpoint(inner.x1, outer.x1), inner.center().y)),
        (block.y1 - box_.y1, Point::new(outer.center().x, f64::midpoint(inner.y1, outer.y1))),
        (box_.y0 - block.y0, Point::new(outer.center().x, f64::midpoint(outer.y0, inner.y0))),
    ];
    let widest = outer.width() * 0.335 - 1.0;
    for (distance, at) in sides {
        let text = show(distance);
        let size = note.size.min(note.size * widest / letters::width(&text, note.size).max(1.0));
        let base = at - Vec2::new(0.0, size * letters::CAPITAL / 2.0);
        column.items.push(words(&text, base, Style { size, ..note }, Anchor::Middle));
    }
    column.y = outer.y0 - 1.0;
    column.text("from the block’s outermost edges", Style { ink: look::QUIET, ..note }, 2);
    let away = picture.centre - block.center();
    if away.hypot() > marks::SAME_CENTRE_MM {
        column.gap(0.6);
        let across = side(away.x, "right", "left", &show);
        let up = side(away.y, "above", "below", &show);
        let both = [across, up].into_iter().flatten().collect::<Vec<_>>().join(" and ");
        column.text(&format!("The cross lies {both} the block’s centre (×)."), note, 3);
    }
}

/// How far the hooping may be off: left as it is, and put right by turning the design.
fn crooked(column: &mut Column, picture: &Picture, scale: f64) {
    if let Some(sentence) = too_crooked(picture) {
        column.gap(0.8 * scale);
        column.text(&sentence, NOTE.times(scale), 4);
    }
}

/// How crooked is too crooked, in a sentence: the largest turn and shift that are no harm, each by itself.
#[must_use]
pub fn too_crooked(picture: &Picture) -> Option<String> {
    let points: Vec<Point> = picture.runs.iter().flatten().copied().collect();
    if points.is_empty() {
        return None;
    }
    let flat = picture.outline.first().and_then(|outer| flatten(outer, FLATTEN_MM).into_iter().next());
    let as_hooped =
        flat.map(|flat| crooked::within(&points, picture.centre, &flat.points[..flat.points.len() - 1]));
    let in_field = picture.field.map(|(width_mm, height_mm)| {
        crooked::in_hoop(&points, picture.centre, Hoop { width_mm, height_mm, in_inches: false })
    });
    crooked_words(as_hooped, in_field, picture.units)
}

/// How crooked is too crooked: left as it is hooped, and with the design turned to suit, each if it is known.
#[must_use]
pub fn crooked_words(as_hooped: Option<Leeway>, in_field: Option<Leeway>, units: Units) -> Option<String> {
    let shown = |leeway: Leeway| {
        let turn = (leeway.turn_deg * 10.0).floor() / 10.0;
        let turn = if turn >= ANY_TURN_DEG { String::new() } else { format!("{turn:.1}° or ") };
        format!("beyond {turn}{}", show_at_most(leeway.shift_mm, units))
    };
    let as_hooped = as_hooped.map(|leeway| {
        let none = leeway.shift_mm < GRID_MM;
        format!("as hooped {}", if none { "at once: it reaches the seams".to_owned() } else { shown(leeway) })
    });
    let put_right = in_field.map(|leeway| format!("with the design turned {}", shown(leeway)));
    let both: Vec<String> = [as_hooped, put_right].into_iter().flatten().collect();
    (!both.is_empty()).then(|| format!("Too crooked: {}.", both.join("; ")))
}

fn side(mm: f64, more: &str, less: &str, show: &impl Fn(f64) -> String) -> Option<String> {
    let word = if mm > 0.0 { more } else { less };
    let of = if matches!(word, "right" | "left") { " of" } else { "" };
    (mm.abs() > marks::SAME_CENTRE_MM).then(|| format!("{} {word}{of}", show(mm.abs())))
}

/// The test bars and how to use them, for the foot of every page: from `at` (top left) over `width` mm.
#[must_use]
pub fn foot(at: Point, width: f64) -> Vec<Item> {
    let mut items = crate::views::bars::TEST.draw(at, 1.0);
    let x = at.x + 113.0;
    let mut column = Column::new(x, at.y + 0.2, width - 113.0);
    column.text("Print at actual size (100 %)", HEADING, 1);
    column.text(
        "Not “fit to page”. Then measure: the upper bar is 4 in long, the lower 100 mm. If yours are not, print again.",
        NOTE,
        4,
    );
    items.append(&mut column.items);
    items
}
