//! A quilt's [`Work`] → its map: every patch in its colour, every line of quilting in place, and the hoopings numbered in
//! the order of sewing.
//!
//! The quilt is drawn as large as the page's room allows, never larger than life; bars beside it are reduced with it.

pub mod colours;
pub mod hatch;
pub mod large;

use kurbo::{Affine, BezPath, Point, Rect};

use crate::base::curve::path_through;
use crate::base::units::show_length;
use crate::top::Work;
use crate::top::file::hooping::Order;
use crate::top::file::top::Set;
use crate::top::hoopings::{self, Hooping};
use crate::top::place::Place;
use crate::top::sewing::Sewn;
use crate::top::share;
use crate::views::bars::Bars;
use crate::views::cloth::together;
use crate::views::column::{Column, words};
use crate::views::look::{self, Style};
use crate::views::sheet::{self, Anchor, Group, Ink, Item, Pen, Shape, Sheet, Weight};
use crate::views::thin::thin;
use crate::views::{letters, thread};

/// Room for the quilt's longer side on a map that stands alone, mm.
const ROOM_MM: f64 = 460.0;
/// Clear paper round the map, mm.
const MARGIN_MM: f64 = 26.0;
/// Letters of the map against those of other sheets.
const LETTERS: f64 = 1.55;
/// How wide a line of quilting shows on the map, mm on paper: a little more than to scale, so that it can be seen.
const LINE_MM: f64 = 0.3;
/// How wide a swatch of the legend is, as a multiple of its height.
const WIDE: f64 = 2.2;
/// A line on the map may leave the sewn one by this much, mm on paper.
const THIN_MM: f64 = 0.05;

/// Draws the map as a page of its own.
#[must_use]
pub fn draw(work: &Work) -> Sheet {
    let (w, h) = work.layout.size;
    let scale = (ROOM_MM / w.max(h)).min(1.0);
    let width = (w * scale + 2.0 * MARGIN_MM).max(300.0);
    let inner = width - 2.0 * MARGIN_MM;
    let mut head = Column::new(MARGIN_MM, 0.0, inner);
    title(&mut head, work);
    let mut key = Column::new(MARGIN_MM, 0.0, inner);
    legend(&mut key, work, scale);
    let height = MARGIN_MM * 1.7 - head.y + h * scale - key.y + MARGIN_MM * 1.0;
    let page = sheet::fill(sheet::rectangle(Rect::new(0.0, 0.0, width, height)), look::PAGE);
    let below = height - MARGIN_MM * 0.8 + head.y;
    let middle = Point::new(width / 2.0, below - MARGIN_MM * 0.4 - h * scale / 2.0);
    let placed = Affine::translate(middle.to_vec2()) * Affine::scale(scale);
    let foot = middle.y - h * scale / 2.0 - MARGIN_MM * 0.5;
    let items = vec![
        page,
        group("title", Affine::translate((0.0, below - head.y)), head.items),
        group("quilt", placed, quilt(work, scale, true)),
        group("key", Affine::translate((0.0, foot)), key.items),
    ];
    let description = subtitle(work);
    Sheet { title: format!("{}: map", work.quilt.title), description, width, height, items }
}

fn group(label: &str, placed: Affine, items: Vec<Item>) -> Item {
    Item::Group(Group::new(label, placed, items))
}

/// The quilt in its own coordinates, to be drawn at `scale`; with the numbers of its hoopings if asked for.
#[must_use]
pub fn quilt(work: &Work, scale: f64, numbers: bool) -> Vec<Item> {
    let mut items = cloth(work, scale);
    items.extend(veils(work));
    items.push(group("quilting", Affine::IDENTITY, lines(work, scale)));
    if numbers {
        items.push(group("hoopings", Affine::IDENTITY, badges(work, scale)));
    }
    items
}

/// The patches, and the shade that the quilt throws on the page.
fn cloth(work: &Work, scale: f64) -> Vec<Item> {
    let (w, h) = work.layout.size;
    let whole = Rect::from_center_size(Point::ZERO, (w, h));
    let mut items = Vec::new();
    for (reach, opacity) in [(2.6, 0.04), (1.7, 0.05), (0.9, 0.06)] {
        let shade = whole.inflate(reach / scale, reach / scale) + kurbo::Vec2::new(0.6, -0.9) / scale;
        items.push(sheet::fill(sheet::rounded(shade, reach / scale), look::INK.thin(opacity)));
    }
    for patch in &work.layout.patches {
        let path = path_through(&patch.outline, true);
        let fill = Some(colours::of(&patch.place, &work.quilt));
        let pens = vec![Pen::new(0.16 / scale, look::SHADE.thin(0.5))];
        items.push(Item::Shape(Shape { path, fill, pens }));
        items.extend(hatch::draw(&patch.outline, hatch::of(&patch.place, &work.quilt), scale));
    }
    // Pieces with a cloth of their own among others of their place.
    for design in work.layout.designs.iter().filter(|d| d.chosen.dress.cloth.is_some()) {
        let path = together(&design.block.outline.rings().map(|r| r.path().clone()).collect::<Vec<_>>());
        let pens = vec![Pen::new(0.16 / scale, look::SHADE.thin(0.5))];
        let fill = Some(colours::of_design(design, &work.quilt));
        let shape = Item::Shape(Shape { path, fill, pens });
        items.extend(design.at.iter().map(|at| group("", *at, vec![shape.clone()])));
    }
    let binding = whole.inflate(0.35 / scale, 0.35 / scale);
    items.push(sheet::line(sheet::rectangle(binding), Pen::flat(0.9 / scale, colours::BINDING)));
    items
}

/// A veil over every piece that is sewn already, all its parts.
fn veils(work: &Work) -> Vec<Item> {
    let mut items = Vec::new();
    for (number, (design, made)) in work.layout.designs.iter().zip(&work.made).enumerate() {
        let path = together(&design.block.outline.rings().map(|r| r.path().clone()).collect::<Vec<_>>());
        for at in &design.at {
            let part = |part| share::items::Item { design: number, part, at: *at, alone: false };
            if (0..made.sewn.len()).all(|n| work.is_sewn(&part(n))) {
                items.push(sheet::fill(*at * path.clone(), look::PAGE.thin(0.72)));
            }
        }
    }
    items
}

/// Every line of quilting, each once, wherever its piece is sewn; those that are sewn already pale.
fn lines(work: &Work, scale: f64) -> Vec<Item> {
    let (w, h) = work.layout.size;
    // A small map has finer lines, but not so fine that they vanish.
    let line = LINE_MM * (w.max(h) * scale / ROOM_MM).clamp(0.4, 1.0);
    let mut items = Vec::new();
    for (number, (design, made)) in work.layout.designs.iter().zip(&work.made).enumerate() {
        let thinned = |sewn: &Sewn| {
            let runs = sewn.piece.stitches.pieces.iter().map(|r| r.body().to_vec());
            thin(&thread::lines(&runs.collect::<Vec<_>>()), THIN_MM / scale)
        };
        let parts: Vec<BezPath> = made.sewn.iter().map(thinned).collect();
        let pens = vec![
            Pen::new(line * 3.4 / scale, look::SHADE.thin(0.10)),
            Pen::new(line * 1.9 / scale, look::SHADE.thin(0.16)),
            Pen::new(line / scale, colours::thread(design, &work.quilt)),
        ];
        let pale = vec![Pen::new(line / scale, look::SEAM)];
        for at in &design.at {
            let is_sewn = |part: &usize| {
                work.is_sewn(&share::items::Item { design: number, part: *part, at: *at, alone: false })
            };
            let (done, left): (Vec<usize>, Vec<usize>) = (0..parts.len()).partition(is_sewn);
            let all = |those: &[usize]| those.iter().flat_map(|n| &parts[*n]).collect::<BezPath>();
            let shapes = [(done, &pale), (left, &pens)].into_iter().filter(|(those, _)| !those.is_empty());
            let shapes =
                shapes.map(|(those, pens)| Shape { path: all(&those), fill: None, pens: pens.clone() });
            items.push(group("", *at, shapes.map(Item::Shape).collect()));
        }
    }
    items
}

/// For each hooping a small disc with its number at the design's centre; where it sews several pieces, the hoop's field and lines
/// from the number to each of them. What is sewn already has its number struck out.
fn badges(work: &Work, scale: f64) -> Vec<Item> {
    let size = badge_size(work, scale);
    let style = Style { size: size / scale, weight: Weight::Regular, ink: look::INK, leading: 1.0 };
    let mut items = Vec::new();
    for hooping in work.hoopings.iter().filter(|h| h.items.len() > 1) {
        items.append(&mut shared(work, hooping, scale));
    }
    for hooping in work.all() {
        let text = hooping.number.to_string();
        let is_sewn = work.done.iter().any(|done| done.number == hooping.number);
        let half = letters::width(&text, style.size) / 2.0;
        let base = hooping.centre - kurbo::Vec2::new(0.0, style.size * letters::CAPITAL / 2.0);
        if is_sewn {
            let reach = kurbo::Vec2::new(half + style.size * 0.2, 0.0);
            let pen = Pen::flat(0.2 / scale, look::QUIET);
            items.push(words(&text, base, Style { ink: look::QUIET, ..style }, Anchor::Middle));
            items.push(sheet::straight(hooping.centre - reach, hooping.centre + reach, pen));
            continue;
        }
        let (x, y) = ((half + style.size * 0.28).max(style.size * 0.62), style.size * 0.62);
        let disc = Rect::from_center_size(hooping.centre, (2.0 * x, 2.0 * y));
        let rim = vec![Pen::new(0.1 / scale, look::SEAM)];
        let path = sheet::rounded(disc, y);
        items.push(Item::Shape(Shape { path, fill: Some(look::PAGE.thin(0.86)), pens: rim }));
        items.push(words(&text, base, style, Anchor::Middle));
    }
    items
}

/// The hoop's field of a hooping of several pieces, and a line to the middle of each.
fn shared(work: &Work, hooping: &Hooping, scale: f64) -> Vec<Item> {
    let ink = look::START.thin(0.75);
    let field = path_through(&hoopings::field(&work.sewn[hooping.sewn], hooping.at), true);
    let mut items = vec![sheet::line(field, Pen::dashed(0.22 / scale, ink, &[1.6 / scale, 0.9 / scale]))];
    for item in &hooping.items {
        let middle = item.at * work.made[item.design].sewn[item.part].piece.stitches.bounds().center();
        items.push(sheet::straight(hooping.centre, middle, Pen::flat(0.3 / scale, ink)));
        items.push(sheet::fill(sheet::circle(middle, 0.6 / scale), ink));
    }
    items
}

/// Letters that fit the smallest piece, mm on paper.
fn badge_size(work: &Work, scale: f64) -> f64 {
    let narrow = work.sewn.iter().map(|s| {
        let b = s.piece.stitches.bounds();
        b.width().min(b.height()) * scale
    });
    (narrow.fold(f64::INFINITY, f64::min) * 0.34).clamp(1.5, 3.1)
}

fn title(column: &mut Column, work: &Work) {
    column.text(&work.quilt.title, look::TITLE.times(LETTERS * 1.2), 2);
    column.gap(1.2);
    column.text(&subtitle(work), look::SUBTITLE.times(LETTERS * 0.94), 2);
}

fn subtitle(work: &Work) -> String {
    let (hoopings, planned) = (work.totals.hoopings, work.least.planned);
    let of = if hoopings == planned { String::new() } else { format!(" left of {planned}") };
    let units = work.quilt.units;
    let (w, h) = work.layout.size;
    let top = &work.quilt.top;
    let blocks = match top.set {
        Set::Straight | Set::OnPoint => {
            format!("{} × {} blocks {}", top.columns.len(), top.rows.len(), top.set.words())
        }
        Set::WholeCloth => "whole cloth".to_owned(),
        Set::Drawn(ref patches) => format!("{} patches as drawn", patches.len()),
    };
    format!(
        "{} by {}  ·  {blocks}  ·  {hoopings} hoopings{of} from {} files, {:.0} minutes of sewing",
        show_length(w, units),
        show_length(h, units),
        work.totals.files,
        work.totals.minutes
    )
}

/// What the map's signs mean, as far as it has them.
#[must_use]
pub fn signs(work: &Work) -> Vec<&'static str> {
    let is_shared = work.hoopings.iter().any(|h| h.items.len() > 1);
    let shared =
        "dashed boxes: the hoop’s field where it takes several pieces; lines lead from the number to each";
    let sewn = "pale, number struck out: sewn already";
    [(is_shared, shared), (!work.done.is_empty(), sewn)]
        .into_iter()
        .filter(|(is, _)| *is)
        .map(|(_, words)| words)
        .collect()
}

/// Colours with their places and motifs, what the numbers mean, and bars.
fn legend(column: &mut Column, work: &Work, scale: f64) {
    let style = look::LABEL.times(LETTERS);
    let swatch = style.size * 1.05;
    let mut seen: Vec<(Place, String, Ink)> = Vec::new();
    for (design, made) in work.layout.designs.iter().zip(&work.made) {
        let place = design.place.clone();
        if matches!(place, Place::BorderCorner(_)) {
            continue;
        }
        let text = format!("{place}: {}", made.whole.title().to_lowercase());
        if !seen.iter().any(|(_, known, _)| *known == text) {
            seen.push((place, text, colours::of_design(design, &work.quilt)));
        }
    }
    seen.sort_by(|a, b| (&a.0, &a.1).cmp(&(&b.0, &b.1)));
    let bars = Bars::within((column.width * 0.3 / scale).min(640.0));
    let bars_width = bars.inch_mm() * scale + 24.0;
    let (mut x, mut y) = (column.x, -style.size);
    for (place, text, cloth) in &seen {
        let long = letters::width(text, style.size) + swatch * (WIDE + 1.6);
        if x > column.x && x + long > column.x + column.width - bars_width {
            x = column.x;
            y -= style.size * 1.75;
        }
        let square = Rect::from_origin_size((x, y - swatch * 0.18), (swatch * WIDE, swatch));
        let pens = vec![Pen::new(0.15, look::SHADE)];
        let fill = Some(*cloth);
        column.items.push(Item::Shape(Shape { path: sheet::rectangle(square), fill, pens }));
        let corners =
            [(square.x0, square.y0), (square.x1, square.y0), (square.x1, square.y1), (square.x0, square.y1)];
        column.items.extend(hatch::draw(&corners.map(Point::from), hatch::of(place, &work.quilt), 1.0));
        column.items.push(words(text, Point::new(x + swatch * (WIDE + 0.5), y), style, Anchor::Start));
        x += long;
    }
    y -= style.size * 1.75;
    let order = match work.quilt.hooping.order {
        Order::CentreOutwards => "from the centre outwards",
        Order::RowByRow => "row by row",
    };
    let mut notes = vec![format!("numbers: hoopings in sewing order, {order}")];
    notes.extend(signs(work).into_iter().map(str::to_owned));
    for (n, note) in notes.iter().enumerate() {
        y -= if n == 0 { 0.0 } else { style.size * 1.5 };
        column.items.push(words(note, Point::new(column.x, y), style, Anchor::Start));
    }
    let letters = 0.85 * LETTERS / scale;
    let right = column.x + column.width - bars.inch_mm() * scale - 8.0;
    let placed = Affine::translate((right, 0.0)) * Affine::scale(scale);
    column.items.push(group("scale", placed, bars.draw(Point::ZERO, letters)));
    column.y = (y - style.size * 0.6).min(-Bars::height(letters) * scale);
}
