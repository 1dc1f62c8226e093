//! [`Sheet`]s → one PDF, a page each, at true size: a millimetre is 72/25.4 points.
//!
//! Words are set in fonts whose letters are the outlines of [`letters`] ("Type 3"), so they can be found and
//! copied, and no font has to be on the machine. All but letters is packed; there is no date and no random name, so
//! the same sheets give the same bytes. Structure as in ISO 32000-1:2008 [209].

use flate2::{Compress, Compression, FlushCompress, Status};
use kurbo::{Affine, BezPath, PathEl, Point, Shape as _};
use pdf_writer::types::{LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

use crate::base::plain::escaped;
use crate::base::units::MM_PER_INCH;
use crate::views::letters::{self, Letter};
use crate::views::sheet::{Group, Image, Ink, Item, Pen, Shape, Sheet, Weight, Words};
use crate::views::svg::anchor_part;

/// Points in an inch, exactly.
const POINTS_PER_INCH: f64 = 72.0;
/// Letters in one font: their numbers are single bytes.
const LETTERS_IN_A_FONT: usize = 256;
/// Positions are rounded to this part of a millimetre.
const STEPS_PER_MM: f64 = 1000.0;

/// Writes pages as one PDF file, named `title`.
#[must_use]
pub fn write(title: &str, pages: &[Sheet]) -> Vec<u8> {
    let mut shelf = Shelf { letters: Vec::new(), opacities: Vec::new(), images: Vec::new() };
    let contents: Vec<Vec<u8>> = pages.iter().map(|page| page_content(page, &mut shelf)).collect();
    let mut refs = References { last: 0 };
    let (catalog, tree, info, resources) = (refs.next(), refs.next(), refs.next(), refs.next());
    let page_refs: Vec<(Ref, Ref)> = pages.iter().map(|_| (refs.next(), refs.next())).collect();
    let mut packer = Packer::new();
    let mut pdf = Pdf::new();
    let mut root = pdf.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    root.viewer_preferences().display_doc_title(true).pair(Name(b"PrintScaling"), Name(b"None"));
    root.finish();
    pdf.document_info(info).title(TextStr(&escaped(title))).creator(TextStr("thrice"));
    pdf.pages(tree).kids(page_refs.iter().map(|r| r.0)).count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    for ((sheet, content), (page_ref, content_ref)) in pages.iter().zip(&contents).zip(&page_refs) {
        let mut page = pdf.page(*page_ref);
        page.parent(tree).media_box(Rect::new(0.0, 0.0, points(sheet.width), points(sheet.height)));
        page.contents(*content_ref).pair(Name(b"Resources"), resources);
        page.finish();
        pdf.stream(*content_ref, &packer.packed(content)).filter(Filter::FlateDecode);
    }
    write_resources(&mut pdf, resources, &shelf, &mut refs, &mut packer);
    pdf.finish()
}

/// Makes streams small as the format allows (zlib, RFC 1950), the same bytes every time. One for a file: its tables take long to
/// lay out.
struct Packer {
    tables: Compress,
}

impl Packer {
    fn new() -> Self {
        Packer { tables: Compress::new(Compression::default(), true) }
    }

    fn packed(&mut self, bytes: &[u8]) -> Vec<u8> {
        self.tables.reset();
        let mut packed = Vec::with_capacity(bytes.len() / 2 + 64);
        let mut rest = bytes;
        loop {
            let before = self.tables.total_in();
            // Packing into memory does not fail; were it to, the reader would refuse the page rather than show a part of it.
            let Ok(status) = self.tables.compress_vec(rest, &mut packed, FlushCompress::Finish) else {
                return Vec::new();
            };
            if status == Status::StreamEnd {
                return packed;
            }
            let taken = usize::try_from(self.tables.total_in() - before).unwrap_or(rest.len());
            rest = &rest[taken..];
            packed.reserve(packed.len().max(64));
        }
    }
}

struct References {
    last: i32,
}

impl References {
    fn next(&mut self) -> Ref {
        self.last += 1;
        Ref::new(self.last)
    }
}

/// What the pages use and the file has to define: letters in order of first use, and opacities.
struct Shelf {
    letters: Vec<(Letter, Weight)>,
    opacities: Vec<u32>,
    images: Vec<Image>,
}

impl Shelf {
    fn letter(&mut self, letter: Letter, weight: Weight) -> (usize, u8) {
        let index = self.letters.iter().position(|l| *l == (letter, weight)).unwrap_or_else(|| {
            self.letters.push((letter, weight));
            self.letters.len() - 1
        });
        let code = u8::try_from(index % LETTERS_IN_A_FONT).unwrap_or(u8::MAX);
        (index / LETTERS_IN_A_FONT, code)
    }

    /// The name of an opacity, in thousandths.
    fn opacity(&mut self, opacity: f64) -> String {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000")]
        let thousandths = (opacity.clamp(0.0, 1.0) * 1000.0).round() as u32;
        if !self.opacities.contains(&thousandths) {
            self.opacities.push(thousandths);
        }
        format!("O{thousandths}")
    }
}

fn page_content(sheet: &Sheet, shelf: &mut Shelf) -> Vec<u8> {
    let mut content = Content::new();
    let scale = single(POINTS_PER_INCH / MM_PER_INCH);
    content.transform([scale, 0.0, 0.0, scale, 0.0, 0.0]);
    draw_all(&mut content, &sheet.items, shelf);
    content.finish().into_vec()
}

fn draw_all(content: &mut Content, items: &[Item], shelf: &mut Shelf) {
    for item in items {
        match item {
            Item::Shape(shape) => draw_shape(content, shape, shelf),
            Item::Words(words) => draw_words(content, words, shelf),
            Item::Group(group) => draw_group(content, group, shelf),
            Item::Image(image) => draw_image(content, image, shelf),
        }
    }
}

fn draw_group(content: &mut Content, group: &Group, shelf: &mut Shelf) {
    content.save_state();
    if group.placed != Affine::IDENTITY {
        content.transform(group.placed.as_coeffs().map(single));
    }
    if let Some(clip) = group.clip {
        content.rect(mm(clip.x0), mm(clip.y0), mm(clip.width()), mm(clip.height()));
        content.clip_nonzero().end_path();
    }
    draw_all(content, &group.items, shelf);
    content.restore_state();
}

fn draw_image(content: &mut Content, image: &Image, shelf: &mut Shelf) {
    let name = image_name(shelf.images.len());
    shelf.images.push(image.clone());
    content.save_state();
    content.transform([
        mm(image.at.width()),
        0.0,
        0.0,
        mm(image.at.height()),
        mm(image.at.x0),
        mm(image.at.y0),
    ]);
    content.x_object(Name(name.as_bytes()));
    content.restore_state();
}

fn image_name(index: usize) -> String {
    format!("I{index}")
}

fn draw_shape(content: &mut Content, shape: &Shape, shelf: &mut Shelf) {
    if let Some(ink) = shape.fill {
        set_fill(content, ink, shelf);
        trace(content, &shape.path);
        content.fill_even_odd();
    }
    for pen in &shape.pens {
        set_pen(content, pen, shelf);
        match pen.shift == kurbo::Vec2::ZERO {
            true => trace(content, &shape.path),
            false => trace(content, &(Affine::translate(pen.shift) * shape.path.clone())),
        }
        content.stroke();
    }
}

fn set_fill(content: &mut Content, ink: Ink, shelf: &mut Shelf) {
    content.set_parameters(Name(shelf.opacity(ink.opacity).as_bytes()));
    let [r, g, b] = parts(ink);
    content.set_fill_rgb(r, g, b);
}

fn set_pen(content: &mut Content, pen: &Pen, shelf: &mut Shelf) {
    content.set_parameters(Name(shelf.opacity(pen.ink.opacity).as_bytes()));
    let [r, g, b] = parts(pen.ink);
    content.set_stroke_rgb(r, g, b).set_line_width(mm(pen.width));
    content.set_dash_pattern(pen.dash.iter().map(|d| mm(*d)), 0.0);
    if pen.round {
        content.set_line_cap(LineCapStyle::RoundCap).set_line_join(LineJoinStyle::RoundJoin);
    } else {
        content.set_line_cap(LineCapStyle::ButtCap).set_line_join(LineJoinStyle::MiterJoin);
    }
}

fn trace(content: &mut Content, path: &BezPath) {
    let mut at = Point::ZERO;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                content.move_to(mm(p.x), mm(p.y));
            }
            PathEl::LineTo(p) => {
                content.line_to(mm(p.x), mm(p.y));
            }
            PathEl::QuadTo(p, q) => {
                let (b, c) = (at.lerp(p, 2.0 / 3.0), q.lerp(p, 2.0 / 3.0));
                content.cubic_to(mm(b.x), mm(b.y), mm(c.x), mm(c.y), mm(q.x), mm(q.y));
            }
            PathEl::CurveTo(p, q, r) => {
                content.cubic_to(mm(p.x), mm(p.y), mm(q.x), mm(q.y), mm(r.x), mm(r.y));
            }
            PathEl::ClosePath => {
                content.close_path();
            }
        }
        at = element.end_point().unwrap_or(at);
    }
}

fn draw_words(content: &mut Content, words: &Words, shelf: &mut Shelf) {
    let line = letters::set(&words.text);
    let shift = f64::from(line.width) / letters::UNITS * words.size * anchor_part(words.anchor);
    set_fill(content, words.ink, shelf);
    let [r, g, b] = parts(words.ink);
    content.set_stroke_rgb(r, g, b);
    content.begin_text();
    content.set_text_matrix([1.0, 0.0, 0.0, 1.0, mm(words.at.x - shift), mm(words.at.y)]);
    let mut coded: Vec<(usize, u8, f32)> = Vec::new();
    let mut due = 0;
    for (letter, start) in &line.letters {
        let (font, code) = shelf.letter(*letter, words.weight);
        coded.push((font, code, single(f64::from(due - start))));
        due = start + letters::advance(*letter);
    }
    for run in coded.chunk_by(|a, b| a.0 == b.0) {
        content.set_font(Name(font_name(run[0].0).as_bytes()), single(words.size));
        let mut shown = content.show_positioned();
        let mut items = shown.items();
        for part in run.chunk_by(|_, b| b.2 == 0.0) {
            if part[0].2 != 0.0 {
                items.adjust(part[0].2);
            }
            let codes: Vec<u8> = part.iter().map(|p| p.1).collect();
            items.show(Str(&codes));
        }
    }
    content.end_text();
}

fn font_name(index: usize) -> String {
    format!("F{index}")
}

fn write_resources(pdf: &mut Pdf, id: Ref, shelf: &Shelf, refs: &mut References, packer: &mut Packer) {
    let fonts: Vec<(Ref, &[(Letter, Weight)])> =
        shelf.letters.chunks(LETTERS_IN_A_FONT).map(|chunk| (refs.next(), chunk)).collect();
    let mut resources = pdf.indirect(id).start::<pdf_writer::writers::Resources>();
    let mut named = resources.fonts();
    for (index, (font, _)) in fonts.iter().enumerate() {
        named.pair(Name(font_name(index).as_bytes()), *font);
    }
    named.finish();
    let mut states = resources.ext_g_states();
    for thousandths in &shelf.opacities {
        #[expect(clippy::cast_precision_loss, reason = "at most a thousand")]
        let part = *thousandths as f32 / 1000.0;
        let mut state = states.insert(Name(format!("O{thousandths}").as_bytes())).dict();
        state.pair(Name(b"CA"), part).pair(Name(b"ca"), part);
    }
    states.finish();
    let pictures: Vec<Ref> = shelf.images.iter().map(|_| refs.next()).collect();
    let mut objects = resources.x_objects();
    for (index, picture) in pictures.iter().enumerate() {
        objects.pair(Name(image_name(index).as_bytes()), *picture);
    }
    objects.finish();
    resources.finish();
    for (image, picture) in shelf.images.iter().zip(pictures) {
        write_image(pdf, picture, image);
    }
    for (font, chunk) in fonts {
        write_font(pdf, font, chunk, refs, packer);
    }
}

/// The format takes a JPEG file as it is.
fn write_image(pdf: &mut Pdf, id: Ref, image: &Image) {
    let side = |n: u32| i32::try_from(n).unwrap_or(i32::MAX);
    let mut object = pdf.image_xobject(id, &image.jpeg);
    object.filter(Filter::DctDecode);
    object.width(side(image.pixels.width)).height(side(image.pixels.height)).bits_per_component(8);
    object.color_space().device_rgb();
}

fn write_font(
    pdf: &mut Pdf,
    id: Ref,
    letters: &[(Letter, Weight)],
    refs: &mut References,
    packer: &mut Packer,
) {
    let procs: Vec<Ref> = letters.iter().map(|_| refs.next()).collect();
    let unicode = refs.next();
    let names: Vec<String> = (0..letters.len()).map(|i| format!("g{i}")).collect();
    let last = u8::try_from(letters.len().saturating_sub(1)).unwrap_or(u8::MAX);
    let unit = single(1.0 / letters::UNITS);
    let mut font = pdf.indirect(id).start::<pdf_writer::writers::Type3Font>();
    font.bbox(Rect::new(0.0, 0.0, 0.0, 0.0)).matrix([unit, 0.0, 0.0, unit, 0.0, 0.0]);
    font.first_char(0).last_char(last);
    font.widths(letters.iter().map(|(l, _)| single(f64::from(letters::advance(*l)))));
    font.encoding_custom().differences().consecutive(0, names.iter().map(|n| Name(n.as_bytes())));
    font.to_unicode(unicode).resources();
    let mut glyphs = font.char_procs();
    for (name, glyph) in names.iter().zip(&procs) {
        glyphs.pair(Name(name.as_bytes()), *glyph);
    }
    glyphs.finish();
    font.finish();
    for ((letter, weight), glyph) in letters.iter().zip(&procs) {
        // As it is: to pack a few hundred bytes takes ten times as long as to write them.
        pdf.stream(*glyph, &letter_content(*letter, *weight));
    }
    let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"UCS"), supplement: 0 };
    let mut map = UnicodeCmap::<u8>::new(Name(b"Letters"), system);
    for (code, (letter, _)) in (0..=u8::MAX).zip(letters) {
        map.pair(code, letter.character);
    }
    let map = packer.packed(&map.finish());
    let mut stream = pdf.cmap(unicode, &map);
    stream.filter(Filter::FlateDecode);
    stream.name(Name(b"Letters")).system_info(system);
}

/// Points rounded to the units that letters are drawn in: a few micrometres on paper, and half the bytes.
fn in_whole_units(path: BezPath) -> BezPath {
    let mut at = Point::ZERO;
    let whole = |element: PathEl| {
        let from = at;
        at = element.end_point().unwrap_or(at);
        match element {
            PathEl::MoveTo(a) => PathEl::MoveTo(a.round()),
            PathEl::LineTo(a) => PathEl::LineTo(a.round()),
            // Of the third degree already, as pages have no other curves.
            PathEl::QuadTo(a, b) => {
                let (near, far) = (from.lerp(a, 2.0 / 3.0), b.lerp(a, 2.0 / 3.0));
                PathEl::CurveTo(near.round(), far.round(), b.round())
            }
            PathEl::CurveTo(a, b, c) => PathEl::CurveTo(a.round(), b.round(), c.round()),
            PathEl::ClosePath => PathEl::ClosePath,
        }
    };
    path.into_iter().map(whole).collect()
}

fn letter_content(letter: Letter, weight: Weight) -> Vec<u8> {
    let path = in_whole_units(letters::outline(letter));
    let boldness = letters::boldness(weight);
    let bounds = path.bounding_box().inflate(boldness, boldness);
    let mut content = Content::new();
    let advance = single(f64::from(letters::advance(letter)));
    content.start_shape_glyph(advance, mm(bounds.x0), mm(bounds.y0), mm(bounds.x1), mm(bounds.y1));
    if path.elements().is_empty() {
        return content.finish().into_vec();
    }
    if boldness > 0.0 {
        content.set_line_width(single(boldness)).set_line_join(LineJoinStyle::RoundJoin);
        content.set_dash_pattern([], 0.0);
        trace(&mut content, &path);
        content.fill_nonzero_and_stroke();
    } else {
        trace(&mut content, &path);
        content.fill_nonzero();
    }
    content.finish().into_vec()
}

fn parts(ink: Ink) -> [f32; 3] {
    ink.rgb.map(|part| (f32::from(part) / 255.0 * 1000.0).round() / 1000.0)
}

/// A length rounded to a micrometre, as the format's writer takes it.
fn mm(value: f64) -> f32 {
    single((value * STEPS_PER_MM).round() / STEPS_PER_MM)
}

fn points(mm: f64) -> f32 {
    single(mm / MM_PER_INCH * POINTS_PER_INCH)
}

#[expect(clippy::cast_possible_truncation, reason = "seven digits hold a micrometre on a ten-metre page")]
fn single(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::sheet;
    use std::io::Read;

    fn page() -> Sheet {
        let pen = Pen::flat(0.5, Ink::new(0));
        let line = sheet::straight(Point::new(10.0, 20.0), Point::new(110.0, 20.0), pen);
        Sheet {
            title: "t".into(),
            description: String::new(),
            width: 215.9,
            height: 279.4,
            items: vec![line],
        }
    }

    #[test]
    fn a_letter_page_is_612_by_792_points_and_a_hundred_millimetres_are_a_hundred() {
        let bytes = write("Page", &[page()]);
        let text = String::from_utf8_lossy(&bytes);
        assert!(text.contains("/MediaBox [0 0 612 792]"), "{text}");
        let text = unpacked(&bytes);
        assert!(text.contains("2.8346457 0 0 2.8346457 0 0 cm"), "{text}");
        assert!(text.contains("10 20 m\n110 20 l\nS"), "{text}");
    }

    /// The first stream of a file.
    fn unpacked(bytes: &[u8]) -> String {
        let begin = b"stream\n";
        let at = bytes.windows(begin.len()).position(|w| w == begin).unwrap() + begin.len();
        let mut text = String::new();
        flate2::read::ZlibDecoder::new(&bytes[at..]).read_to_string(&mut text).unwrap();
        text
    }

    #[test]
    fn a_page_of_lines_is_packed_to_a_third() {
        let pen = Pen::flat(0.5, Ink::new(0));
        let lines: Vec<Item> = (0..2000)
            .map(|i| f64::from(i % 97) * 1.37)
            .map(|x| sheet::straight(Point::new(x, 20.0), Point::new(110.0, x * 0.7), pen.clone()))
            .collect();
        let bytes = write("Page", &[Sheet { items: lines, ..page() }]);
        assert!(bytes.len() * 3 < unpacked(&bytes).len(), "{} bytes", bytes.len());
    }

    #[test]
    fn there_is_no_date_and_the_bytes_repeat() {
        let bytes = write("Page", &[page(), page()]);
        assert_eq!(bytes, write("Page", &[page(), page()]));
        assert!(!String::from_utf8_lossy(&bytes).contains("Date"));
    }
}
