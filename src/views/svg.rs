//! A [`Sheet`] → SVG at true size: `width` and `height` in mm, one user unit a millimetre.
//!
//! y is flipped once, on the outermost group. Words are outlines, so nothing depends on the reader's fonts; what
//! they say is kept in `aria-label`. Numbers have at most three decimals (1 µm).

use kurbo::{Affine, BezPath, PathEl, Point};
use svg::Node;
use svg::node::Text;
use svg::node::element::Element;

use crate::base::fnv::fnv_1a;
use crate::base::plain::escaped;
use crate::views::base64::jpeg_address;
use crate::views::letters;
use crate::views::sheet::{Anchor, Group, Image, Ink, Item, Pen, Shape, Sheet, Words};

/// Decimals of a length in mm.
const MM_DECIMALS: i32 = 3;
/// Decimals of a transform's scale and of a turn.
const MATRIX_DECIMALS: i32 = 6;

/// Writes a page as the text of an SVG file.
#[must_use]
pub fn write(sheet: &Sheet) -> String {
    let (w, h) = (number(sheet.width, MM_DECIMALS), number(sheet.height, MM_DECIMALS));
    let mut root =
        element("svg", &[("xmlns", "http://www.w3.org/2000/svg"), ("role", "graphics-document document")]);
    root.assign("width", format!("{w}mm"));
    root.assign("height", format!("{h}mm"));
    root.assign("viewBox", format!("0 0 {w} {h}"));
    // Names made from the words they name, as several pictures may stand on one web page.
    let (title, description) = (id('t', &sheet.title), id('d', &sheet.description));
    root.assign("aria-labelledby", format!("{title} {description}"));
    root.append(named("title", &title, &sheet.title));
    root.append(named("desc", &description, &sheet.description));
    root.append(fitting());
    let mut page = element("g", &[("stroke-linecap", "round"), ("stroke-linejoin", "round")]);
    page.assign("transform", format!("matrix(1 0 0 -1 0 {h})"));
    page.assign("fill", "none");
    add_all(&mut page, &sheet.items);
    root.append(page);
    format!("{root}\n")
}

/// Opened by itself on a screen the page fits the window; printed, and for other programs, it has its true size.
fn fitting() -> Element {
    let mut style = Element::new("style");
    style.append(Text::new("@media screen{svg:root{width:100%;height:100%}}"));
    style
}

fn named(name: &str, id: &str, words: &str) -> Element {
    let mut node = element(name, &[("id", id)]);
    node.append(Text::new(escaped(words)));
    node
}

fn element(name: &str, attributes: &[(&str, &str)]) -> Element {
    let mut node = Element::new(name);
    for (key, value) in attributes {
        node.assign(*key, *value);
    }
    node
}

fn add_all(parent: &mut Element, items: &[Item]) {
    for item in items {
        match item {
            Item::Shape(shape) => add_shape(parent, shape),
            Item::Words(words) => parent.append(words_path(words)),
            Item::Group(group) => add_group(parent, group),
            Item::Image(image) => parent.append(picture(image)),
        }
    }
}

/// A picture of pixels, its rows downwards again.
fn picture(image: &Image) -> Element {
    let mut node = element("image", &[("preserveAspectRatio", "none"), ("href", &jpeg_address(&image.jpeg))]);
    node.assign("width", number(image.at.width(), MM_DECIMALS));
    node.assign("height", number(image.at.height(), MM_DECIMALS));
    node.assign("transform", matrix(Affine::new([1.0, 0.0, 0.0, -1.0, image.at.x0, image.at.y1])));
    node
}

fn add_shape(parent: &mut Element, shape: &Shape) {
    let d = data(&shape.path, MM_DECIMALS);
    if d.is_empty() {
        return;
    }
    if shape.pens.len() < 2 {
        let mut node = element("path", &[("d", &d)]);
        if let Some(ink) = shape.fill {
            paint(&mut node, "fill", ink);
            node.assign("fill-rule", "evenodd");
        }
        if let Some(pen) = shape.pens.first() {
            draw_with(&mut node, pen);
        }
        parent.append(node);
        return;
    }
    // Several pens: the path is written once and used by each. Its name is made from its data, so that
    // two pictures on one web page cannot mix up their paths.
    let id = id('p', &d);
    let mut shelf = Element::new("defs");
    shelf.append(element("path", &[("d", &d), ("id", &id)]));
    parent.append(shelf);
    let href = format!("#{id}");
    if let Some(ink) = shape.fill {
        let mut node = element("use", &[("href", &href), ("fill-rule", "evenodd")]);
        paint(&mut node, "fill", ink);
        parent.append(node);
    }
    for pen in &shape.pens {
        let mut node = element("use", &[("href", &href)]);
        draw_with(&mut node, pen);
        parent.append(node);
    }
}

fn add_group(parent: &mut Element, group: &Group) {
    let mut node = Element::new("g");
    if group.placed != Affine::IDENTITY {
        node.assign("transform", matrix(group.placed));
    }
    if !group.label.is_empty() {
        node.assign("aria-label", escaped(&group.label).into_owned());
        node.assign("role", "group");
    }
    if let Some(clip) = group.clip {
        let d = data(&crate::views::sheet::rectangle(clip), MM_DECIMALS);
        let id = id('c', &d);
        let mut shelf = element("clipPath", &[("id", &id)]);
        shelf.append(element("path", &[("d", &d)]));
        node.append(shelf);
        let mut inner = element("g", &[("clip-path", &format!("url(#{id})"))]);
        add_all(&mut inner, &group.items);
        node.append(inner);
    } else {
        add_all(&mut node, &group.items);
    }
    parent.append(node);
}

fn words_path(words: &Words) -> Element {
    let line = letters::set(&words.text);
    let mut path = BezPath::new();
    for (letter, start) in &line.letters {
        path.extend(Affine::translate((f64::from(*start), 0.0)) * letters::outline(*letter));
    }
    let scale = words.size / letters::UNITS;
    let shift = f64::from(line.width) * scale * anchor_part(words.anchor);
    let mut node = element("path", &[("d", &data(&path, 0)), ("role", "img")]);
    node.assign("aria-label", escaped(&words.text).into_owned());
    node.assign("transform", matrix(Affine::new([scale, 0.0, 0.0, scale, words.at.x - shift, words.at.y])));
    paint(&mut node, "fill", words.ink);
    let boldness = letters::boldness(words.weight);
    if boldness > 0.0 {
        draw_with(&mut node, &Pen::new(boldness, words.ink));
    }
    node
}

/// The part of a line's width that lies left of its point.
#[must_use]
pub fn anchor_part(anchor: Anchor) -> f64 {
    match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => 0.5,
        Anchor::End => 1.0,
    }
}

fn paint(node: &mut Element, what: &str, ink: Ink) {
    let [r, g, b] = ink.rgb;
    node.assign(what, format!("#{r:02x}{g:02x}{b:02x}"));
    if ink.opacity < 1.0 {
        node.assign(format!("{what}-opacity"), number(ink.opacity, MM_DECIMALS));
    }
}

fn draw_with(node: &mut Element, pen: &Pen) {
    paint(node, "stroke", pen.ink);
    node.assign("stroke-width", number(pen.width, MM_DECIMALS));
    if !pen.dash.is_empty() {
        let lengths: Vec<String> = pen.dash.iter().map(|d| number(*d, MM_DECIMALS)).collect();
        node.assign("stroke-dasharray", lengths.join(" "));
    }
    if pen.shift != kurbo::Vec2::ZERO {
        let [x, y] = [pen.shift.x, pen.shift.y].map(|n| number(n, MM_DECIMALS));
        node.assign("transform", format!("translate({x} {y})"));
    }
    if !pen.round {
        node.assign("stroke-linecap", "butt");
        node.assign("stroke-linejoin", "miter");
    }
}

fn matrix(placed: Affine) -> String {
    let [a, b, c, d, e, f] = placed.as_coeffs();
    let scale: Vec<String> = [a, b, c, d].iter().map(|n| number(*n, MATRIX_DECIMALS)).collect();
    format!("matrix({} {} {})", scale.join(" "), number(e, MM_DECIMALS), number(f, MM_DECIMALS))
}

/// A number as short as it goes: no trailing zeros, no leading zero.
fn number(value: f64, decimals: i32) -> String {
    let steps = 10_f64.powi(decimals);
    let rounded = (value * steps).round() / steps;
    let text = format!("{}", if rounded == 0.0 { 0.0 } else { rounded });
    match text.strip_prefix("0.") {
        Some(rest) => format!(".{rest}"),
        None => text.strip_prefix("-0.").map_or(text.clone(), |rest| format!("-.{rest}")),
    }
}

/// Path data in relative commands. Positions are rounded, then subtracted as whole numbers, so no error adds up.
#[must_use]
pub fn data(path: &BezPath, decimals: i32) -> String {
    let mut d = PathData { text: String::new(), at: [0, 0], start: [0, 0], last: ' ', decimals };
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                d.command('m', &[p]);
                d.start = d.at;
            }
            PathEl::LineTo(p) => d.command('l', &[p]),
            PathEl::QuadTo(p, q) => d.command('q', &[p, q]),
            PathEl::CurveTo(p, q, r) => d.command('c', &[p, q, r]),
            PathEl::ClosePath => {
                d.text.push('z');
                d.last = 'z';
                d.at = d.start;
            }
        }
    }
    d.text
}

struct PathData {
    text: String,
    at: [i64; 2],
    start: [i64; 2],
    last: char,
    decimals: i32,
}

impl PathData {
    fn command(&mut self, letter: char, points: &[Point]) {
        // A pair that follows a move is a line by itself, so the letter can be left out there too.
        let implied = letter != 'm' && (letter == self.last || (letter == 'l' && self.last == 'm'));
        if !implied {
            self.text.push(letter);
        }
        let mut open = implied;
        let mut to = self.at;
        for p in points {
            to = [self.steps(p.x), self.steps(p.y)];
            self.push(to[0] - self.at[0], open);
            self.push(to[1] - self.at[1], true);
            open = true;
        }
        self.at = to;
        self.last = letter;
    }

    #[expect(clippy::cast_possible_truncation, reason = "no page is wider than 9e15 µm")]
    fn steps(&self, value: f64) -> i64 {
        (value * 10_f64.powi(self.decimals)).round() as i64
    }

    /// So many steps, in digits: what [`number`] makes of them.
    fn push(&mut self, steps: i64, open: bool) {
        if steps < 0 {
            self.text.push('-');
        } else if open {
            self.text.push(' ');
        }
        let part = 10_u64.pow(self.decimals.unsigned_abs());
        let (whole, mut rest) = (steps.unsigned_abs() / part, steps.unsigned_abs() % part);
        if whole > 0 || rest == 0 {
            self.digits(whole);
        }
        if rest == 0 {
            return;
        }
        self.text.push('.');
        let mut place = part / 10;
        while rest > 0 {
            self.digits(rest / place);
            rest %= place;
            place /= 10;
        }
    }

    fn digits(&mut self, whole: u64) {
        let mut digits = [0_u8; 20];
        let mut at = digits.len();
        let mut rest = whole;
        loop {
            at -= 1;
            digits[at] = b'0' + (rest % 10) as u8;
            rest /= 10;
            if rest == 0 {
                break;
            }
        }
        self.text.extend(digits[at..].iter().map(|digit| char::from(*digit)));
    }
}

/// A name for what is written in `text`: a letter and its hash.
fn id(letter: char, text: &str) -> String {
    format!("{letter}{:x}", fnv_1a(text.bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::sheet::{self, Weight};
    use kurbo::Rect;

    #[test]
    fn a_small_sheet_reads_as_it_was_meant() {
        let soft = vec![Pen::new(2.0, Ink::new(0x11_22_33).thin(0.25)), Pen::flat(0.5, Ink::new(0))];
        let square = sheet::rectangle(Rect::new(0.0, 0.0, 10.0, 10.0));
        let shape = Item::Shape(Shape { path: square, fill: Some(Ink::new(0xff_ff_ff)), pens: soft });
        let dash = sheet::straight(
            Point::new(0.0, 1.5),
            Point::new(-12.3456, 1.5),
            Pen::dashed(0.2, Ink::new(0xff_00_00), &[1.0, 0.5]),
        );
        let word = Item::Words(Words {
            text: "l & l".into(),
            at: Point::new(5.0, 5.0),
            size: 4.0,
            weight: Weight::Light,
            ink: Ink::new(0),
            anchor: Anchor::Middle,
        });
        let group = Group {
            clip: Some(Rect::new(-20.0, 0.0, 20.0, 20.0)),
            ..Group::new("block", Affine::translate((20.0, 5.0)), vec![shape, dash])
        };
        let sheet = Sheet {
            title: "A <small> sheet".into(),
            description: "One square.".into(),
            width: 40.0,
            height: 25.4,
            items: vec![Item::Group(group), word],
        };
        insta::assert_snapshot!(write(&sheet));
    }

    #[test]
    fn whatever_the_words_the_file_is_well_formed() {
        let nasty = "a\u{1}\u{1b}[31m</title>\"'&]]>\u{202e}\u{fffe}<!--";
        let word = Item::Words(Words {
            text: nasty.into(),
            at: Point::ZERO,
            size: 4.0,
            weight: Weight::Light,
            ink: Ink::new(0),
            anchor: Anchor::Middle,
        });
        let items = vec![Item::Group(Group::new(nasty, Affine::IDENTITY, vec![word]))];
        let sheet = Sheet { title: nasty.into(), description: nasty.into(), width: 9.0, height: 9.0, items };
        let text = write(&sheet);
        let read = usvg::roxmltree::Document::parse(&text).unwrap();
        let title = read.descendants().find(|n| n.has_tag_name("title")).unwrap().text().unwrap();
        assert_eq!(title, "a\\u0001\\u001b[31m</title>\"'&]]>\\u202e\\ufffe<!--");
        let labels = read.descendants().filter_map(|n| n.attribute("aria-label"));
        assert_eq!(labels.collect::<Vec<_>>(), [title, title]);
    }

    #[test]
    fn errors_of_rounding_do_not_add_up() {
        let points: Vec<Point> = (0..=3000).map(|i| Point::new(f64::from(i) * 0.0334, 0.0)).collect();
        let text = data(&crate::base::curve::path_through(&points, false), 1);
        let numbers = text.trim_start_matches('m').replace(['l'], " ");
        let sum: f64 = numbers.split_whitespace().step_by(2).map(|n| n.parse::<f64>().unwrap()).sum();
        assert!((sum - 100.2).abs() < 1e-6, "the line ends at {sum}");
    }
}
