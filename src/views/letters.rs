//! Words → outlines: measuring, breaking and shortening lines, and the shape of each letter.
//!
//! Every sheet is set in the two faces carried inside the program, so that it is the same on a machine without fonts.
//! Letters are placed by their advance widths and the face's pair kerning. Not promised: ligatures, right-to-left
//! scripts and scripts whose letters join; a letter that neither face has is drawn as the face's empty box.

use std::sync::LazyLock;

use kurbo::{BezPath, Point};
use ttf_parser::gpos::{PairAdjustment, PositioningSubtable};
use ttf_parser::{Face, GlyphId, Tag};

use crate::views::fonts::FONTS;
use crate::views::sheet::Weight;

/// Letters are measured in this many units to their size.
pub const UNITS: f64 = 1000.0;
/// Height of a capital letter, as a part of the letters' size.
pub const CAPITAL: f64 = 0.693;
/// Shown where a line was cut short.
const ELLIPSIS: &str = "…";

/// One letter of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Letter {
    /// Which of the two faces it is from.
    pub face: u8,
    /// Its number in that face.
    pub glyph: u16,
    /// What it stands for.
    pub character: char,
}

/// A line of letters, each with where it starts, in units.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The letters and their starts.
    pub letters: Vec<(Letter, i32)>,
    /// The whole width.
    pub width: i32,
}

/// The reading face first, then the one with more letters.
static FACES: LazyLock<Vec<Known>> = LazyLock::new(|| {
    FONTS.iter().filter_map(|font| Some(Known::new(Face::parse(font.bytes, 0).ok()?))).collect()
});

/// The letters of plain text, looked up once.
static PLAIN: LazyLock<Vec<Option<Letter>>> =
    LazyLock::new(|| (0..128_u8).map(|c| look_up(c.into())).collect());

/// A face with the parts of it that every line of words asks for.
struct Known {
    face: Face<'static>,
    /// The tables of its `kern` feature, in the order in which they are asked.
    pairs: Vec<PairAdjustment<'static>>,
}

impl Known {
    fn new(face: Face<'static>) -> Self {
        let pairs = kerning_tables(&face);
        Known { face, pairs }
    }
}

fn kerning_tables(face: &Face<'static>) -> Vec<PairAdjustment<'static>> {
    let Some(table) = face.tables().gpos else { return Vec::new() };
    let Some(feature) = table.features.find(Tag::from_bytes(b"kern")) else { return Vec::new() };
    let lookups = feature.lookup_indices.into_iter().filter_map(|index| table.lookups.get(index));
    let subtables = lookups.flat_map(|lookup| lookup.subtables.into_iter::<PositioningSubtable>());
    subtables
        .filter_map(|t| if let PositioningSubtable::Pair(pairs) = t { Some(pairs) } else { None })
        .collect()
}

/// How much wider than the face's own a weight draws its letters, in units: the width of a line round their outlines.
#[must_use]
pub fn boldness(weight: Weight) -> f64 {
    match weight {
        Weight::Light => 0.0,
        Weight::Regular => 16.0,
        Weight::Bold => 50.0,
    }
}

/// Places the letters of a line.
#[must_use]
pub fn set(text: &str) -> Line {
    let mut line = Line { letters: Vec::with_capacity(text.len()), width: 0 };
    line.add(text);
    line
}

impl Line {
    /// Places more letters at its end.
    fn add(&mut self, text: &str) {
        for character in text.chars().filter(|c| !c.is_control()) {
            let Some(letter) = find(character) else { continue };
            if let Some((before, _)) = self.letters.last()
                && before.face == letter.face
            {
                self.width += kerning(letter.face, before.glyph, letter.glyph);
            }
            self.letters.push((letter, self.width));
            self.width += advance(letter);
        }
    }

    /// How wide it is, mm.
    fn width_mm(&self, size: f64) -> f64 {
        f64::from(self.width) / UNITS * size
    }
}

/// How wide a line is, mm.
#[must_use]
pub fn width(text: &str, size: f64) -> f64 {
    set(text).width_mm(size)
}

/// How far a letter moves the next one, in units.
#[must_use]
pub fn advance(letter: Letter) -> i32 {
    let Some(Known { face, .. }) = FACES.get(usize::from(letter.face)) else { return 0 };
    let own = face.glyph_hor_advance(GlyphId(letter.glyph)).unwrap_or(0);
    scaled(f64::from(own), face)
}

/// The outline of a letter, in units, rounded to whole ones, y up from the baseline.
#[must_use]
pub fn outline(letter: Letter) -> BezPath {
    let Some(Known { face, .. }) = FACES.get(usize::from(letter.face)) else { return BezPath::new() };
    let mut pencil = Pencil { path: BezPath::new(), scale: UNITS / f64::from(face.units_per_em()) };
    face.outline_glyph(GlyphId(letter.glyph), &mut pencil);
    pencil.path
}

/// Breaks words into lines no wider than `width` mm; a single word wider than that is cut short.
#[must_use]
pub fn wrap(text: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    // The last line as it is set, so that each word is measured once.
    let mut set = self::set("");
    for word in text.split_whitespace() {
        let longer = lines.last_mut().filter(|_| {
            set.add(" ");
            set.add(word);
            set.width_mm(size) <= width
        });
        match longer {
            Some(line) => {
                line.push(' ');
                line.push_str(word);
            }
            None => {
                let line = shorten(word, size, width);
                set = self::set(&line);
                lines.push(line);
            }
        }
    }
    lines
}

/// Breaks words into at most `most` lines, the last cut short if need be.
#[must_use]
pub fn wrap_at_most(text: &str, size: f64, width: f64, most: usize) -> Vec<String> {
    let mut lines = wrap(text, size, width);
    if lines.len() > most {
        let rest = lines.split_off(most);
        if let (Some(last), Some(next)) = (lines.last_mut(), rest.first()) {
            *last = shorten(&format!("{last} {next}{ELLIPSIS}"), size, width);
        }
    }
    lines
}

/// The text, or as much of its beginning as fits in `width` mm with an ellipsis.
#[must_use]
pub fn shorten(text: &str, size: f64, width: f64) -> String {
    if self::width(text, size) <= width {
        return text.into();
    }
    let mut kept: Vec<char> = text.trim_end_matches(ELLIPSIS).chars().collect();
    loop {
        let trial: String = kept.iter().collect::<String>().trim_end().to_owned() + ELLIPSIS;
        if kept.is_empty() || self::width(&trial, size) <= width {
            return trial;
        }
        kept.pop();
    }
}

fn find(character: char) -> Option<Letter> {
    match PLAIN.get(character as usize) {
        Some(letter) => *letter,
        None => look_up(character),
    }
}

fn look_up(character: char) -> Option<Letter> {
    let own = (0_u8..).zip(FACES.iter()).find_map(|(face, f)| Some((face, f.face.glyph_index(character)?)));
    let (face, glyph) = own.or_else(|| FACES.first().map(|_| (0, GlyphId(0))))?;
    Some(Letter { face, glyph: glyph.0, character })
}

#[expect(clippy::cast_possible_truncation, reason = "a letter is a few thousand units wide")]
fn scaled(own: f64, face: &Face) -> i32 {
    (own * UNITS / f64::from(face.units_per_em())).round() as i32
}

/// The pair kerning of two letters, in units, from the face's `kern` feature.
fn kerning(face: u8, left: u16, right: u16) -> i32 {
    let Some(Known { face, pairs }) = FACES.get(usize::from(face)) else { return 0 };
    let own = pairs.iter().find_map(|pairs| pair(pairs, GlyphId(left), GlyphId(right)));
    own.map_or(0, |own| scaled(f64::from(own), face))
}

fn pair(pairs: &PairAdjustment, left: GlyphId, right: GlyphId) -> Option<i16> {
    let covered = pairs.coverage().get(left)?;
    match pairs {
        PairAdjustment::Format1 { sets, .. } => Some(sets.get(covered)?.get(right)?.0.x_advance),
        PairAdjustment::Format2 { classes, matrix, .. } => {
            let own = matrix.get((classes.0.get(left), classes.1.get(right)))?.0.x_advance;
            Some(own)
        }
    }
}

/// Collects a letter's outline.
struct Pencil {
    path: BezPath,
    scale: f64,
}

impl Pencil {
    fn at(&self, x: f32, y: f32) -> Point {
        Point::new((f64::from(x) * self.scale).round(), (f64::from(y) * self.scale).round())
    }
}

impl ttf_parser::OutlineBuilder for Pencil {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(self.at(x1, y1), self.at(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path.curve_to(self.at(x1, y1), self.at(x2, y2), self.at(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_faces_are_readable() {
        assert_eq!(FACES.len(), 2);
    }

    #[test]
    fn a_pair_that_kerns_is_narrower_than_its_letters() {
        let apart = set("A").width + set("V").width;
        assert!(set("AV").width < apart, "AV is {} wide, its letters {apart}", set("AV").width);
    }

    #[test]
    fn every_sign_of_the_sheets_has_a_letter() {
        for character in "ABCxyzäéß0123456789½¼¾⅛×·–—…°′″→↑←↓≤±%()“”‘’•".chars()
        {
            let letter = find(character).unwrap();
            assert_ne!(letter.glyph, 0, "{character} is missing");
        }
    }

    #[test]
    fn lines_are_never_wider_than_asked() {
        let text =
            "Stay at the machine while it sews, with hands and hair clear of Needlesandmorneedlesandneedles";
        for width_mm in [8.0, 20.0, 33.0, 70.0] {
            for line in wrap(text, 3.0, width_mm) {
                assert!(width(&line, 3.0) <= width_mm, "`{line}` is wider than {width_mm} mm");
            }
        }
        assert_eq!(wrap(text, 3.0, 1000.0), [text]);
    }

    #[test]
    fn a_line_that_is_cut_says_so() {
        let cut = wrap_at_most("one two three four five six seven", 3.0, 20.0, 2);
        assert_eq!(cut.len(), 2);
        assert!(cut[1].ends_with('…') && width(&cut[1], 3.0) <= 20.0, "{cut:?}");
        assert_eq!(shorten("short", 3.0, 50.0), "short");
    }
}
