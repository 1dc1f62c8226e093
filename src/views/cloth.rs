//! [`Picture`] → the block as it lies there: cloth, thread and marks, in block coordinates.
//!
//! Every line of thread is drawn once, however often it is sewn, its stitches as short strands in a valley lit from the
//! upper left. The first and the last hole are marked beside the line. Extra layers show the order of sewing, the needle
//! holes, the widest gap, or a heat map of any figure.

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use crate::views::beside;
use crate::views::column::words;
use crate::views::faults::{self, Fault};
use crate::views::layers::{self, Heat};
use crate::views::look::{self, Cotton};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Shape};
use crate::views::thin::thin;
use crate::views::thread;

/// How far a mark stands from its hole, mm.
const MARK_AWAY_MM: f64 = 3.4;
/// Cloth shown round stitches whose block is not known, mm.
const CLOTH_MM: f64 = 6.0;

/// In a picture much reduced a line may leave the sewn one by this much, mm.
const THIN_MM: f64 = 0.08;

/// What to show beside the thread.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Show the needle holes. Default: no.
    pub holes: bool,
    /// Colour the thread by the order of sewing. Default: no.
    pub order: bool,
    /// Mark the first and the last needle point, moves without sewing, and what else is not on the cloth. Default: yes.
    pub marks: bool,
    /// The colours of cloth and thread. Default: unbleached cotton.
    pub cotton: Cotton,
    /// The widest gap: the middle and the width of the largest empty circle, mm. Default: not shown.
    pub gap: Option<(Point, f64)>,
    /// A figure shown as colour under the thread. Default: none.
    pub heat: Option<Heat>,
    /// Faults with their numbers. Default: none.
    pub faults: Vec<Fault>,
    /// Thread and marks are drawn this many times as wide as they are, for pictures much reduced. Default: 1.
    pub enlarged: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            holes: false,
            order: false,
            marks: true,
            cotton: Cotton::default(),
            gap: None,
            heat: None,
            faults: Vec::new(),
            enlarged: 1.0,
        }
    }
}

/// Draws the block with its thread; marks are `mark_scale` times their ordinary size.
#[must_use]
pub fn draw(picture: &Picture, options: &Options, mark_scale: f64) -> Vec<Item> {
    let mut items = ground(picture, options);
    items.append(&mut sewn(picture, options));
    let ring = |p: &Point| sheet::line(sheet::circle(*p, 1.8 * mark_scale), Pen::new(0.45, look::END));
    if options.marks {
        items.extend(picture.joins.iter().map(ring));
    }
    if let Some((at, wide)) = options.gap {
        items.push(sheet::line(sheet::circle(at, wide / 2.0), gap_pen(mark_scale)));
    }
    if options.marks {
        items.append(&mut marks(picture, mark_scale * options.enlarged));
    }
    items.append(&mut faults::draw(&options.faults, mark_scale * options.enlarged));
    items
}

/// What lies under the thread: cloth, heat map, margin, the hoop's field.
fn ground(picture: &Picture, options: &Options) -> Vec<Item> {
    let mut items = Vec::new();
    let wide = options.enlarged;
    if picture.outline.is_empty() {
        let cloth = sheet::rounded(picture.bounds().inflate(CLOTH_MM, CLOTH_MM), 2.0);
        items.push(sheet::fill(cloth, options.cotton.cloth));
    } else {
        let pens = vec![Pen::flat(0.35 * wide, look::SEAM)];
        let path = together(&picture.outline);
        items.push(Item::Shape(Shape { path, fill: Some(options.cotton.cloth), pens }));
    }
    if let Some(heat) = &options.heat {
        let clip = Some(picture.bounds());
        items.push(Item::Group(Group { clip, ..Group::new("heat map", Affine::IDENTITY, heat.draw()) }));
    }
    if !options.marks {
        return items;
    }
    if !picture.inside.is_empty() {
        let quiet = Pen::dashed(0.2 * wide, look::SEAM, &[1.6 * wide, 1.4 * wide]);
        items.push(sheet::line(together(&picture.inside), quiet));
    }
    if let Some(field) = picture.field_rect() {
        let pen = Pen::dashed(0.25, look::QUIET.thin(0.75), &[5.0, 1.2, 0.6, 1.2]);
        items.push(sheet::line(sheet::rounded(field, 3.0), pen));
    }
    items
}

/// Where the top of the machine's screen is, above the hoop's field as it is mounted: an arrow and words in letters
/// `letters` times their ordinary size; nothing without a hoop.
#[must_use]
pub fn top_of_screen(picture: &Picture, letters: f64) -> Vec<Item> {
    let Some(field) = picture.field_rect() else { return Vec::new() };
    arrow_to_top(Point::new(field.center().x, field.y1 + TOP_MM * letters), letters)
}

/// An arrow with its tip at `tip`, and what it points to.
#[must_use]
pub fn arrow_to_top(tip: Point, letters: f64) -> Vec<Item> {
    let base = Vec2::new(1.5, -3.0) * letters;
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(tip + base);
    head.line_to(tip + Vec2::new(-base.x, base.y));
    head.close_path();
    let style = look::LABEL.times(letters);
    let at = Point::new(tip.x + 2.6 * letters, tip.y - 2.6 * letters);
    vec![sheet::fill(head, look::QUIET), words("top of the machine’s screen", at, style, Anchor::Start)]
}

/// How far the arrow of [`top_of_screen`] reaches above the field, mm in letters of ordinary size.
pub const TOP_MM: f64 = 3.8;

/// The thread and its holes.
fn sewn(picture: &Picture, options: &Options) -> Vec<Item> {
    let mut items = Vec::new();
    let wide = options.enlarged;
    let mut path = thread::lines(&picture.runs);
    if wide > look::MUCH_REDUCED {
        path = thin(&path, THIN_MM);
    }
    if options.order {
        items.append(&mut layers::order(&picture.runs, wide));
    } else if options.heat.is_some() {
        items.push(sheet::line(path, Pen::new(look::THREAD_MM * wide, look::INK.thin(0.75))));
    } else if wide > look::MUCH_REDUCED {
        let mut pens = look::valley(options.cotton, wide);
        pens.push(Pen::new(look::THREAD_MM * wide, options.cotton.thread));
        items.push(Item::Shape(Shape { path, fill: None, pens }));
    } else {
        items.push(Item::Shape(Shape { path, fill: None, pens: look::valley(options.cotton, wide) }));
        let path = thread::strands(&picture.runs, look::STRAND_SHORT_MM * wide);
        items.push(Item::Shape(Shape { path, fill: None, pens: look::strand(options.cotton, wide) }));
    }
    if options.holes {
        let holes = thread::dots(&thread::holes(&picture.runs));
        items.push(sheet::line(holes, Pen::new(0.62 * wide, look::INK)));
    }
    items
}

/// Several outlines as one path, so that an outline inside another is a hole in it.
#[must_use]
pub fn together(paths: &[BezPath]) -> BezPath {
    paths.iter().flat_map(BezPath::elements).copied().collect()
}

fn marks(picture: &Picture, scale: f64) -> Vec<Item> {
    let mut items = Vec::new();
    for (from, to) in picture.moves() {
        items.push(sheet::straight(from, to, move_pen(scale)));
    }
    if let Some((first, last)) = picture.ends() {
        let start = beside::place(picture, first, MARK_AWAY_MM * scale, &[]);
        let end = beside::place(picture, last, MARK_AWAY_MM * scale, &[start]);
        items.push(pointer(end, last, scale, look::END));
        items.push(pointer(start, first, scale, look::START));
        items.append(&mut end_mark(end, scale));
        items.append(&mut start_mark(start, scale));
    }
    items
}

/// From a mark to just before its hole.
fn pointer(mark: Point, hole: Point, scale: f64, ink: sheet::Ink) -> Item {
    let long = mark.distance(hole).max(1e-9);
    let tip = hole.lerp(mark, (0.45 * scale / long).min(0.5));
    sheet::straight(mark, tip, Pen::new(0.3 * scale, ink))
}

/// The mark of the first needle point, beside it: a dot.
#[must_use]
pub fn start_mark(at: Point, scale: f64) -> Vec<Item> {
    let ring = sheet::circle(at, 1.05 * scale);
    vec![Item::Shape(Shape {
        path: ring,
        fill: Some(look::START),
        pens: vec![Pen::new(0.35 * scale, look::CLEAR)],
    })]
}

/// The mark of the last needle point, beside it: a square.
#[must_use]
pub fn end_mark(at: Point, scale: f64) -> Vec<Item> {
    let square = sheet::rectangle(Rect::from_center_size(at, (1.9 * scale, 1.9 * scale)));
    vec![Item::Shape(Shape {
        path: square,
        fill: Some(look::CLEAR),
        pens: vec![Pen::flat(0.95 * scale, look::CLEAR), Pen::flat(0.5 * scale, look::END)],
    })]
}

/// The pen of moves without sewing: dots.
#[must_use]
pub fn move_pen(scale: f64) -> Pen {
    Pen { dash: vec![0.01, 1.5 * scale], ..Pen::new(0.55 * scale, look::END) }
}

/// The pen of the circle that fills the widest gap.
#[must_use]
pub fn gap_pen(scale: f64) -> Pen {
    Pen::dashed(0.35 * scale, look::END, &[2.2 * scale, 1.3 * scale])
}
