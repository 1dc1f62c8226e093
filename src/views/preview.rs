//! [`Picture`] → a [`Sheet`] to look at: the block at true size as it will look when it is sewn, with its figures.
//!
//! The block itself is drawn by [`cloth`]; here it gets its page, its name, its figures, bars and a key.

use kurbo::{Affine, Point, Rect};

use crate::survey::warnings::NOT_CHECKED;
use crate::views::bars::Bars;
use crate::views::cloth;
use crate::views::column::{Column, words};
use crate::views::layers;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Sheet};

/// A sheet is at least this wide, so that words have room under a small block, mm.
const NARROWEST_MM: f64 = 118.0;
/// Blocks up to this size get letters of ordinary size; larger ones get larger letters, mm.
const ORDINARY_MM: f64 = 240.0;
/// Letters grow at most this many times.
const LARGEST_LETTERS: f64 = 4.0;
/// Room for the edge's line round a block without a page, mm.
const BARE_MM: f64 = 0.5;
/// Clear paper round the block, mm.
const MARGIN_MM: f64 = 11.0;

/// Draws the preview of a block.
#[must_use]
pub fn draw(picture: &Picture, options: &cloth::Options) -> Sheet {
    let field = picture.field_rect().filter(|_| options.marks);
    let shown = field.map_or(picture.extent(), |field| picture.extent().union(field));
    let scale = (shown.width().max(shown.height()) / ORDINARY_MM).clamp(1.0, LARGEST_LETTERS);
    let margin = MARGIN_MM * scale;
    let width = (shown.width() + 2.0 * margin).max(NARROWEST_MM * scale);
    let mut caption = caption(picture, options, width - 2.0 * margin, scale);
    let caption_height = -caption.y;
    let height = shown.height() + caption_height + margin * 2.6;
    let middle = Point::new(width / 2.0, height - margin - shown.height() / 2.0);
    let to_sheet = Affine::translate(middle - shown.center());
    let mut block = cloth::draw(picture, options, scale.sqrt());
    block.append(&mut cloth::top_of_screen(picture, scale));
    let top = height - margin * 1.6 - shown.height();
    let mut items = vec![sheet::fill(sheet::rectangle(Rect::new(0.0, 0.0, width, height)), look::PAGE)];
    items.push(Item::Group(Group::new("block", to_sheet, block)));
    let place = Affine::translate((margin, top));
    items.push(Item::Group(Group::new("caption", place, std::mem::take(&mut caption.items))));
    let description = description(picture);
    Sheet { title: picture.heading(), description, width, height, items }
}

/// Draws the cloth alone, without words, for pages that have their own.
#[must_use]
pub fn bare(picture: &Picture, options: &cloth::Options) -> Sheet {
    let shown = picture.extent().inflate(BARE_MM, BARE_MM);
    let placed = Affine::translate(-Point::new(shown.x0, shown.y0).to_vec2());
    let marks = (shown.width().max(shown.height()) / ORDINARY_MM).clamp(1.0, LARGEST_LETTERS).sqrt();
    let items = vec![Item::Group(Group::new("block", placed, cloth::draw(picture, options, marks)))];
    Sheet {
        title: picture.heading(),
        description: description(picture),
        width: shown.width(),
        height: shown.height(),
        items,
    }
}

/// The words under a block, from y = 0 downwards.
fn caption(picture: &Picture, options: &cloth::Options, width: f64, scale: f64) -> Column {
    let mut column = Column::new(0.0, 0.0, width);
    column.text(&picture.heading(), look::TITLE.times(scale), 2);
    column.gap(0.9 * scale);
    column.text(picture.under_heading(), look::SUBTITLE.times(scale), 2);
    column.gap(2.6 * scale);
    if !picture.facts.is_empty() {
        column.rule();
        column.gap(2.2 * scale);
        let facts: Vec<(&str, &str)> =
            picture.facts.iter().map(|f| (f.label.as_str(), f.value.as_str())).collect();
        column.figures(&facts, 31.0 * scale, scale);
        column.gap(0.4 * scale);
    }
    column.text(&picture.in_hoop(), look::BODY.times(scale), 3);
    column.gap(1.6 * scale);
    for warning in picture.warnings.iter().filter(|w| *w != NOT_CHECKED) {
        column.point(warning, Style { ink: look::END, ..look::BODY.times(scale) }, false);
        column.gap(0.5 * scale);
    }
    if !picture.warnings.is_empty() {
        column.gap(1.8 * scale);
    }
    column.rule();
    column.gap(2.8 * scale);
    foot(&mut column, picture, options, scale);
    column
}

/// Scale bars on the left; what the marks mean on the right, or below where there is no room.
fn foot(column: &mut Column, picture: &Picture, options: &cloth::Options, scale: f64) {
    let bars = Bars::within((column.width * 0.55).min(102.0 * scale));
    let top = column.y;
    column.items.append(&mut bars.draw(Point::new(column.x, top), scale));
    let bars_right = column.x + bars.inch_mm() + 12.0 * scale;
    let mut bottom = top - Bars::height(scale);
    let key = key(picture, options);
    let widest =
        key.iter().map(|(_, text)| letters::width(text, look::LABEL.size * scale)).fold(0.0, f64::max)
            + 6.0 * scale;
    let mut x = column.x + column.width - widest;
    let mut y = top;
    if x < bars_right {
        x = column.x;
        y = bottom - 2.0 * scale;
    }
    for (mark, text) in key {
        y -= 4.0 * scale;
        let at = Point::new(x + 1.7 * scale, y + 1.6 * scale);
        column.items.append(&mut mark.draw(at, scale));
        let style = look::LABEL.times(scale);
        let text = letters::shorten(&text, style.size, column.x + column.width - x - 5.5 * scale);
        let base = at.y - style.size * letters::CAPITAL / 2.0;
        column.items.push(words(&text, Point::new(x + 5.5 * scale, base), style, Anchor::Start));
    }
    bottom = bottom.min(y);
    column.y = bottom;
}

/// A mark that the key explains.
enum Mark {
    Start,
    End,
    Move,
    Gap,
    Field,
    Ramp([sheet::Ink; 5]),
}

impl Mark {
    fn draw(&self, at: Point, scale: f64) -> Vec<Item> {
        let half = 1.7 * scale;
        let (left, right) = (Point::new(at.x - half, at.y), Point::new(at.x + half, at.y));
        match self {
            Mark::Start => cloth::start_mark(at, scale),
            Mark::End => cloth::end_mark(at, scale * 0.75),
            Mark::Move => vec![sheet::straight(left, right, cloth::move_pen(scale * 0.75))],
            Mark::Gap => vec![sheet::line(sheet::circle(at, half * 0.8), cloth::gap_pen(scale * 0.6))],
            Mark::Field => {
                let dash = [1.5 * scale, 0.5 * scale, 0.3 * scale, 0.5 * scale];
                vec![sheet::straight(left, right, Pen::dashed(0.3 * scale, look::QUIET, &dash))]
            }
            Mark::Ramp(inks) => {
                let step = 2.0 * half / 5.0;
                let mut x = left.x;
                let mut items = Vec::new();
                for ink in inks {
                    let field = Rect::new(x, at.y - 0.9 * scale, x + step, at.y + 0.9 * scale);
                    items.push(sheet::fill(sheet::rectangle(field), *ink));
                    x += step;
                }
                items
            }
        }
    }
}

fn key(picture: &Picture, options: &cloth::Options) -> Vec<(Mark, String)> {
    let mut key = Vec::new();
    if options.marks && picture.ends().is_some() {
        key.push((Mark::Start, "first hole".to_owned()));
        key.push((Mark::End, "last hole".to_owned()));
    }
    if options.marks && picture.runs.len() > 1 {
        key.push((Mark::Move, "move without sewing".to_owned()));
    }
    if options.gap.is_some() {
        key.push((Mark::Gap, "widest gap".to_owned()));
    }
    if let Some((w, h)) = picture.field.filter(|_| options.marks) {
        key.push((Mark::Field, format!("sewing field {w:.0} × {h:.0} mm")));
    }
    if options.order {
        key.push((Mark::Ramp(layers::order_ramp()), "sewn first to last".to_owned()));
    }
    if let Some(heat) = &options.heat {
        key.push((Mark::Ramp(layers::heat_ramp()), heat.words()));
    }
    key
}

fn description(picture: &Picture) -> String {
    let facts: Vec<String> = picture.facts.iter().map(|f| format!("{}: {}", f.label, f.value)).collect();
    let size = picture.subtitle();
    if facts.is_empty() { size } else { format!("{size}. {}.", facts.join("; ")) }
}
