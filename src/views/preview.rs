//! [`Picture`] → a [`Sheet`] to look at: the block at true size as it will look when it is sewn, with its figures.
//!
//! Every line of thread is drawn once, however often it is sewn. Extra layers show the order of sewing, the needle
//! holes, or a heat map of any figure.

use kurbo::{Affine, BezPath, Point, Rect};

use crate::views::bars::Bars;
use crate::views::column::{Column, words};
use crate::views::layers::{self, Heat};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Shape, Sheet};
use crate::views::thread;

/// A sheet is at least this wide, so that words have room under a small block, mm.
const NARROWEST_MM: f64 = 118.0;
/// Blocks up to this size get letters of ordinary size; larger ones get larger letters, mm.
const ORDINARY_MM: f64 = 240.0;
/// Letters grow at most this many times.
const LARGEST_LETTERS: f64 = 4.0;
/// Clear paper round the block, mm.
const MARGIN_MM: f64 = 11.0;

/// Cloth shown round stitches whose block is not known, mm.
const CLOTH_MM: f64 = 6.0;

/// What to show beside the thread.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Show the needle holes. Default: no.
    pub holes: bool,
    /// Colour the thread by the order of sewing. Default: no.
    pub order: bool,
    /// Mark the first and the last needle point, and moves without sewing. Default: yes.
    pub marks: bool,
    /// A figure shown as colour under the thread. Default: none.
    pub heat: Option<Heat>,
}

impl Default for Options {
    fn default() -> Self {
        Self { holes: false, order: false, marks: true, heat: None }
    }
}

/// Draws the preview of a block.
#[must_use]
pub fn draw(picture: &Picture, options: &Options) -> Sheet {
    let shown = picture.field_rect().map_or(picture.bounds(), |field| picture.bounds().union(field));
    let scale = (shown.width().max(shown.height()) / ORDINARY_MM).clamp(1.0, LARGEST_LETTERS);
    let margin = MARGIN_MM * scale;
    let width = (shown.width() + 2.0 * margin).max(NARROWEST_MM * scale);
    let mut caption = caption(picture, options, width - 2.0 * margin, scale);
    let caption_height = -caption.y;
    let height = shown.height() + caption_height + margin * 2.6;
    let middle = Point::new(width / 2.0, height - margin - shown.height() / 2.0);
    let to_sheet = Affine::translate(middle - shown.center());
    let top = height - margin * 1.6 - shown.height();
    let mut items = vec![sheet::fill(sheet::rectangle(Rect::new(0.0, 0.0, width, height)), look::PAGE)];
    items.push(Item::Group(Group::new("block", to_sheet, block(picture, options))));
    let place = Affine::translate((margin, top));
    items.push(Item::Group(Group::new("caption", place, std::mem::take(&mut caption.items))));
    let description = description(picture);
    Sheet { title: picture.title.clone(), description, width, height, items }
}

/// The block with its thread, in block coordinates.
#[must_use]
pub fn block(picture: &Picture, options: &Options) -> Vec<Item> {
    let mut items = Vec::new();
    if picture.outline.is_empty() {
        let cloth = sheet::rounded(picture.bounds().inflate(CLOTH_MM, CLOTH_MM), 2.0);
        items.push(sheet::fill(cloth, look::FABRIC));
    } else {
        let pens = vec![Pen::flat(0.35, look::SEAM)];
        let path = together(&picture.outline);
        items.push(Item::Shape(Shape { path, fill: Some(look::FABRIC), pens }));
    }
    if let Some(heat) = &options.heat {
        let clip = Some(picture.bounds());
        items.push(Item::Group(Group { clip, ..Group::new("heat map", Affine::IDENTITY, heat.draw()) }));
    }
    if !picture.inside.is_empty() {
        let quiet = Pen::dashed(0.2, look::SEAM, &[1.6, 1.4]);
        items.push(sheet::line(together(&picture.inside), quiet));
    }
    if let Some(field) = picture.field_rect() {
        let pen = Pen::dashed(0.25, look::QUIET.thin(0.75), &[5.0, 1.2, 0.6, 1.2]);
        items.push(sheet::line(sheet::rounded(field, 3.0), pen));
    }
    let path = thread::lines(&picture.runs);
    if options.order {
        items.append(&mut layers::order(&picture.runs));
    } else if options.heat.is_some() {
        items.push(sheet::line(path, Pen::new(look::THREAD_MM, look::INK.thin(0.75))));
    } else {
        items.push(Item::Shape(Shape { path, fill: None, pens: look::thread() }));
    }
    if options.holes {
        let holes = thread::dots(&thread::holes(&picture.runs));
        items.push(sheet::line(holes, Pen::new(0.62, look::INK)));
    }
    if options.marks {
        items.append(&mut marks(picture));
    }
    items
}

/// Several outlines as one path, so that an outline inside another is a hole in it.
#[must_use]
pub fn together(paths: &[BezPath]) -> BezPath {
    paths.iter().flat_map(BezPath::elements).copied().collect()
}

fn marks(picture: &Picture) -> Vec<Item> {
    let mut items = Vec::new();
    for (from, to) in picture.moves() {
        let pen = Pen { dash: vec![0.01, 1.5], ..Pen::new(0.55, look::END) };
        items.push(sheet::straight(from, to, pen));
    }
    if let Some((first, last)) = picture.ends() {
        items.append(&mut end_mark(last, 1.0));
        items.append(&mut start_mark(first, 1.0));
    }
    items
}

fn start_mark(at: Point, scale: f64) -> Vec<Item> {
    let ring = sheet::circle(at, 1.05 * scale);
    vec![Item::Shape(Shape {
        path: ring,
        fill: Some(look::START),
        pens: vec![Pen::new(0.35 * scale, look::CLEAR)],
    })]
}

fn end_mark(at: Point, scale: f64) -> Vec<Item> {
    let square = sheet::rectangle(Rect::from_center_size(at, (3.4 * scale, 3.4 * scale)));
    vec![
        sheet::line(square.clone(), Pen::flat(0.95 * scale, look::CLEAR)),
        sheet::line(square, Pen::flat(0.45 * scale, look::END)),
    ]
}

/// The words under a block, from y = 0 downwards.
fn caption(picture: &Picture, options: &Options, width: f64, scale: f64) -> Column {
    let mut column = Column::new(0.0, 0.0, width);
    column.text(&picture.title, look::TITLE.times(scale), 2);
    column.gap(0.9 * scale);
    column.text(&picture.subtitle(), look::SUBTITLE.times(scale), 2);
    column.gap(2.6 * scale);
    if !picture.facts.is_empty() {
        column.rule();
        column.gap(2.2 * scale);
        let facts: Vec<(&str, &str)> =
            picture.facts.iter().map(|f| (f.label.as_str(), f.value.as_str())).collect();
        column.figures(&facts, 31.0 * scale, scale);
        column.gap(0.4 * scale);
    }
    for warning in &picture.warnings {
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
fn foot(column: &mut Column, picture: &Picture, options: &Options, scale: f64) {
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
    Field,
    Ramp([sheet::Ink; 5]),
}

impl Mark {
    fn draw(&self, at: Point, scale: f64) -> Vec<Item> {
        let half = 1.7 * scale;
        let (left, right) = (Point::new(at.x - half, at.y), Point::new(at.x + half, at.y));
        match self {
            Mark::Start => start_mark(at, scale),
            Mark::End => end_mark(at, scale * 0.75),
            Mark::Move => {
                let pen = Pen { dash: vec![0.01, 1.1 * scale], ..Pen::new(0.55 * scale, look::END) };
                vec![sheet::straight(left, right, pen)]
            }
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

fn key(picture: &Picture, options: &Options) -> Vec<(Mark, String)> {
    let mut key = Vec::new();
    if options.marks && picture.ends().is_some() {
        key.push((Mark::Start, "first needle point".to_owned()));
        key.push((Mark::End, "last needle point".to_owned()));
    }
    if options.marks && picture.runs.len() > 1 {
        key.push((Mark::Move, "move without sewing".to_owned()));
    }
    if let Some((w, h)) = picture.field {
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
