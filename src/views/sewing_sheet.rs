//! [`Picture`] → the sewing sheet of a block: one printed page with its picture, its figures, the steps in order with
//! boxes to tick, and the cautions.

use kurbo::{Affine, Point, Rect};

use crate::survey::warnings::NOT_CHECKED;
use crate::views::bars::Bars;
use crate::views::cloth;
use crate::views::column::{Column, words};
use crate::views::look::{self, Style};
use crate::views::paper::{BOUND_EDGE_MM, Paper};
use crate::views::picture::{Fact, Picture};
use crate::views::sheet::{Anchor, Group, Item, Sheet};

const GUTTER_MM: f64 = 9.0;
/// The picture's share of the sheet's width.
const PICTURE_SHARE: f64 = 0.46;
/// From one line for her own notes to the next, mm.
const NOTE_LINE_MM: f64 = 8.0;
/// In a picture much reduced, thread is drawn at most this much wider than it is.
const MOST_ENLARGED: f64 = 6.0;
/// A block this many times wider than high gets the whole width of the sheet.
const WIDE: f64 = 2.2;
/// Letters are made smaller by this much at a time until the sheet is one page.
const SHRINK: f64 = 0.96;
/// Below this letters would not be read; the rest is then left to run off the page, which no real sheet does.
const SMALLEST: f64 = 0.5;

/// What a sewing sheet says beside the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Words<'a> {
    /// Thread, bobbins and minutes, needle and speed: what to have at hand.
    pub needs: &'a [Fact],
    /// Groups of steps in order, each with its name.
    pub steps: &'a [(&'a str, &'a [&'a str])],
    /// Groups of cautions, each with its name.
    pub cautions: &'a [(&'a str, &'a [&'a str])],
}

/// The steps of one block, from layers to the last thread end.
pub const STEPS: &[(&str, &[&str])] = &[
    (
        "Layering",
        &[
            "Press the top; square and measure the block.",
            "Baste the layers with spray on the batting or fusible tape in strips 4 to 5 in (10 to 13 cm) apart.",
            "Stitch in the ditch round the block.",
            "Near the quilt’s edge, add a strip of the same batting for the hoop to hold; take it off later.",
        ],
    ),
    (
        "Hooping",
        &[
            "Hoop the three layers themselves, without stabiliser: flat and firm, not stretched.",
            "Same polyester thread in needle and bobbin; full bobbin; fresh needle.",
        ],
    ),
    (
        "Placing",
        &[
            "Print the template at actual size and check its bars.",
            "Cut it out, lay it on the block, and lengthen the cross on the fabric with a washable pen.",
            "Bring the needle over the cross and turn the design if the hooping came out crooked.",
            "Take the template off.",
        ],
    ),
    (
        "Tracing and sewing",
        &[
            "Trace the box with the needle up: it lies where the template shows it, clear of the hoop on all sides.",
            "Prop the quilt so that its weight does not drag on the hoop.",
            "Draw the bobbin thread up at the first hole; hold both ends, fingers outside the hoop, for the first stitches.",
            "Sew, staying at the machine.",
            "Trim the tails, unhoop, bury the ends; wash the marks out before you iron.",
        ],
    ),
];

/// Draws the sewing sheet.
#[must_use]
pub fn draw(picture: &Picture, paper: Paper, said: &Words) -> Sheet {
    let (width, height) = paper.size();
    let mut scale = 1.0;
    let mut page = set(picture, (width, height), said, scale);
    while page.y < BOUND_EDGE_MM && scale > SMALLEST {
        scale *= SHRINK;
        page = set(picture, (width, height), said, scale);
    }
    Sheet {
        title: format!("{}: sewing sheet", picture.title),
        description: picture.subtitle(),
        width,
        height,
        items: page.items,
    }
}

/// The whole sheet at one size of letters; the column's `y` is where it ends.
fn set(picture: &Picture, (width, height): (f64, f64), said: &Words, scale: f64) -> Column {
    let mut page = Column::new(BOUND_EDGE_MM, height - BOUND_EDGE_MM, width - 2.0 * BOUND_EDGE_MM);
    head(&mut page, picture);
    page.gap(4.0 * scale);
    let bounds = picture.extent();
    if bounds.width() > WIDE * bounds.height() {
        wide_top(&mut page, picture, said, scale, height);
    } else {
        square_top(&mut page, picture, said, scale, height);
    }
    page.gap(3.0 * scale);
    page.rule();
    page.gap(3.0 * scale);
    in_columns(&mut page, said.steps, 2, scale, true);
    page.gap(1.0 * scale);
    page.rule();
    page.gap(3.0 * scale);
    in_columns(&mut page, said.cautions, said.cautions.len().clamp(1, 3), scale, false);
    notes(&mut page);
    page
}

/// Picture on the left, figures on the right.
fn square_top(page: &mut Column, picture: &Picture, said: &Words, scale: f64, height: f64) {
    let picture_width = page.width * PICTURE_SHARE;
    let mut left = Column::new(page.x, page.y, picture_width);
    small_picture(&mut left, picture, (picture_width * scale).min(height * 0.36));
    let across = picture_width + GUTTER_MM;
    let mut right = Column::new(page.x + across, page.y, page.width - across);
    figures(&mut right, "The design", &picture.facts, scale);
    figures(&mut right, "To have at hand", said.needs, scale);
    words_of_care(&mut right, picture, scale);
    side_by_side(page, [left, right]);
}

/// A border's picture over the whole width, figures below it.
fn wide_top(page: &mut Column, picture: &Picture, said: &Words, scale: f64, height: f64) {
    small_picture(page, picture, height * 0.2);
    page.gap(3.0 * scale);
    let half = (page.width - GUTTER_MM) / 2.0;
    let mut left = Column::new(page.x, page.y, half);
    let mut right = Column::new(page.x + half + GUTTER_MM, page.y, half);
    figures(&mut left, "The design", &picture.facts, scale);
    figures(&mut right, "To have at hand", said.needs, scale);
    side_by_side(page, [left, right]);
    words_of_care(page, picture, scale);
}

/// Takes over two columns; the page goes on below the longer one.
fn side_by_side(page: &mut Column, columns: [Column; 2]) {
    for mut column in columns {
        page.y = page.y.min(column.y);
        page.items.append(&mut column.items);
    }
}

/// How the block lies in the hoop; what care it needs.
fn words_of_care(column: &mut Column, picture: &Picture, scale: f64) {
    column.text("In the hoop", look::HEADING.times(scale), 1);
    column.gap(0.6 * scale);
    column.text(&picture.in_hoop(), look::BODY.times(scale), 6);
    column.gap(2.2 * scale);
    for warning in picture.warnings.iter().filter(|w| *w != NOT_CHECKED) {
        column.point(warning, Style { ink: look::END, ..look::BODY.times(scale) }, false);
        column.gap(0.6 * scale);
    }
}

/// Ruled lines to write on, where the page has room for some.
fn notes(page: &mut Column) {
    let lines = ((page.y - BOUND_EDGE_MM - 14.0) / NOTE_LINE_MM).floor();
    if lines < 2.0 {
        return;
    }
    page.rule();
    page.gap(3.0);
    page.text("Notes: tension, speed, what to do differently", look::LABEL, 1);
    page.gap(1.0);
    while page.y - NOTE_LINE_MM > BOUND_EDGE_MM {
        page.gap(NOTE_LINE_MM);
        page.rule();
    }
}

fn head(page: &mut Column, picture: &Picture) {
    let style = look::LABEL;
    let right = "sewing sheet";
    let at = Point::new(page.x + page.width, page.y - look::TITLE.size * 0.94);
    page.items.push(words(right, at, style, Anchor::End));
    let full = page.width;
    page.width -= crate::views::letters::width(right, style.size) + 6.0;
    page.text(&picture.title, look::TITLE, 2);
    page.width = full;
    page.gap(0.6);
    page.text(&picture.subtitle(), look::SUBTITLE, 2);
}

/// The block made small enough for `room` mm each way, with bars made small with it.
fn small_picture(column: &mut Column, picture: &Picture, room: f64) {
    let block = picture.extent();
    let bounds = picture.field_rect().map_or(block, |field| field.union(block));
    let scale = (column.width / bounds.width()).min(room / bounds.height()).min(1.0);
    if !scale.is_finite() {
        return;
    }
    let (wide, high) = (bounds.width() * scale, bounds.height() * scale);
    if picture.field.is_some() {
        column.gap(cloth::TOP_MM);
    }
    let corner = Point::new(column.x, column.y - high);
    let to_sheet = Affine::translate(corner.to_vec2())
        * Affine::scale(scale)
        * Affine::translate(-Rect::from_origin_size(bounds.origin(), bounds.size()).origin().to_vec2());
    // Thread and marks keep a width that can be seen.
    let enlarged = (0.4 / scale).clamp(1.0, MOST_ENLARGED);
    let mut block = cloth::draw(picture, &cloth::Options { enlarged, ..cloth::Options::default() }, 1.0);
    block.append(&mut cloth::top_of_screen(picture, 1.0 / scale));
    column.items.push(Item::Group(Group::new("block", to_sheet, block)));
    column.gap(high + 2.5);
    let bars = Bars::within(bounds.width().min(wide / scale * 0.6).max(26.0));
    let letters = 0.9 / scale;
    let small = Affine::translate((column.x, column.y)) * Affine::scale(scale);
    let drawn = bars.draw(Point::ZERO, letters);
    column.items.push(Item::Group(Group::new("scale", small, drawn)));
    column.gap(Bars::height(letters) * scale);
    let note = if scale < 1.0 { "Not true size; nor are the bars" } else { "True size" };
    column.text(note, look::LABEL.times(0.92), 1);
}

fn figures(column: &mut Column, name: &str, facts: &[Fact], scale: f64) {
    if facts.is_empty() {
        return;
    }
    column.text(name, look::HEADING.times(scale), 1);
    column.gap(1.0 * scale);
    let facts: Vec<(&str, &str)> = facts.iter().map(|f| (f.label.as_str(), f.value.as_str())).collect();
    column.figures(&facts, 38.0, scale);
    column.gap(2.2 * scale);
}

/// Named lists spread over `count` columns, in reading order, so that the columns end about level.
fn in_columns(page: &mut Column, groups: &[(&str, &[&str])], count: usize, scale: f64, tick: bool) {
    #[expect(clippy::cast_precision_loss, reason = "two or three")]
    let each = (page.width - GUTTER_MM * (count - 1) as f64) / count as f64;
    let lists: Vec<Column> = groups
        .iter()
        .map(|(name, points)| {
            let mut list = Column::new(0.0, 0.0, each);
            list.text(name, look::HEADING.times(scale), 1);
            list.gap(0.7 * scale);
            for point in *points {
                list.point(point, look::BODY.times(scale), tick);
                list.gap(0.75 * scale);
            }
            list.gap(2.2 * scale);
            list
        })
        .collect();
    let top = page.y;
    let most = shortest_fit(&lists, count);
    let (mut x, mut y, mut lowest) = (page.x, top, top);
    for list in lists {
        if y < top && top - y - list.y > most + 1e-6 {
            x += each + GUTTER_MM;
            y = top;
        }
        page.items.push(Item::Group(Group::new("", Affine::translate((x, y)), list.items)));
        y += list.y;
        lowest = lowest.min(y);
    }
    page.y = lowest;
}

/// The least height at which the lists, kept in order, go into `count` columns.
fn shortest_fit(lists: &[Column], count: usize) -> f64 {
    let heights: Vec<f64> = lists.iter().map(|l| -l.y).collect();
    let mut tries: Vec<f64> = Vec::new();
    for from in 0..heights.len() {
        for to in from..heights.len() {
            tries.push(heights[from..=to].iter().sum());
        }
    }
    tries.sort_by(f64::total_cmp);
    tries.into_iter().find(|most| columns_needed(&heights, *most) <= count).unwrap_or(0.0)
}

fn columns_needed(heights: &[f64], most: f64) -> usize {
    if heights.iter().any(|h| *h > most + 1e-6) {
        return usize::MAX;
    }
    let (mut columns, mut filled) = (1, 0.0);
    for height in heights {
        if filled + height > most + 1e-6 {
            columns += 1;
            filled = 0.0;
        }
        filled += height;
    }
    columns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_spread_so_that_columns_end_level() {
        let heights = [30.0, 20.0, 25.0, 40.0];
        assert_eq!(columns_needed(&heights, 75.0), 2);
        assert_eq!(columns_needed(&heights, 60.0), 3);
        let lists: Vec<Column> =
            heights.iter().map(|h| Column { y: -h, ..Column::new(0.0, 0.0, 10.0) }).collect();
        assert!((shortest_fit(&lists, 2) - 65.0).abs() < 1e-9);
    }
}
