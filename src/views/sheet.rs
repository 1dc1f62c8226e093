//! A page as plain data: outlines, lines and words at true size, ready for any writer.
//!
//! In: what a view wants drawn. Out: a [`Sheet`] that [`svg`](crate::views::svg), [`pdf`](crate::views::pdf) and
//! [`png`](crate::views::png) write without knowing what it shows. Millimetres, x right, y up, (0,0) bottom left.

use std::sync::Arc;

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

use crate::views::pixels::Pixels;
use crate::views::png::PngError;

/// One page.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What the page is, in a few words; read aloud by a screen reader.
    pub title: String,
    /// What there is to see, in a sentence or two.
    pub description: String,
    /// Width of the page, mm.
    pub width: f64,
    /// Height of the page, mm.
    pub height: f64,
    /// What is drawn, the lowest first.
    pub items: Vec<Item>,
}

/// One thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// An outline, filled or drawn or both.
    Shape(Shape),
    /// A line of words.
    Words(Words),
    /// Things that are moved, clipped or named together.
    Group(Group),
    /// A picture of pixels.
    Image(Image),
}

/// A picture of pixels; in a PNG nothing is drawn over it.
#[derive(Debug, Clone, PartialEq)]
pub struct Image {
    /// Where it stands, mm.
    pub at: Rect,
    /// Its pixels.
    pub pixels: Arc<Pixels>,
    /// The same as a JPEG file, for SVG and PDF.
    pub jpeg: Arc<Vec<u8>>,
}

/// An outline: filled first, then drawn with each of its pens in turn.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The outline, mm.
    pub path: BezPath,
    /// Its filling, by the even–odd rule, so that a ring inside is a hole.
    pub fill: Option<Ink>,
    /// Its pens, the widest first for a soft line.
    pub pens: Vec<Pen>,
}

/// A line of words in the sheets' own letters.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// What is written.
    pub text: String,
    /// Where the baseline begins, or its middle or end; see `anchor`.
    pub at: Point,
    /// The size of the letters, mm from baseline to baseline when set solid (8 pt is 2.8 mm).
    pub size: f64,
    /// How heavy the letters are.
    pub weight: Weight,
    /// Their colour.
    pub ink: Ink,
    /// Which part of the line stands at `at`.
    pub anchor: Anchor,
}

/// Things that are moved, clipped or named together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// A name for a screen reader; empty for none.
    pub label: String,
    /// From the group's coordinates to those around it.
    pub placed: Affine,
    /// Nothing is drawn outside this, in the group's coordinates.
    pub clip: Option<Rect>,
    /// What is in it, the lowest first.
    pub items: Vec<Item>,
}

/// A colour and how much of what lies below shows through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ink {
    /// Red, green and blue, as on a screen.
    pub rgb: [u8; 3],
    /// 1 hides what lies below, 0 is nothing.
    pub opacity: f64,
}

/// How a line is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Pen {
    /// Width of the line, mm.
    pub width: f64,
    /// Its colour.
    pub ink: Ink,
    /// Lengths of dash, gap, dash, gap …, mm; empty for an unbroken line.
    pub dash: Vec<f64>,
    /// Round ends and corners; flat ends and sharp corners if false.
    pub round: bool,
    /// The line is drawn this far beside its path, mm: for shade and light on one side.
    pub shift: Vec2,
}

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// For large letters.
    Light,
    /// For reading.
    Regular,
    /// For what has to be found.
    Bold,
}

/// Which part of a line of words stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The first letter.
    Start,
    /// The middle.
    Middle,
    /// The last letter.
    End,
}

impl Ink {
    /// A colour from its six hexadecimal digits, hiding what lies below.
    #[must_use]
    pub const fn new(hex: u32) -> Self {
        let [_, r, g, b] = hex.to_be_bytes();
        Self { rgb: [r, g, b], opacity: 1.0 }
    }

    /// The same colour, letting what lies below show through.
    #[must_use]
    pub const fn thin(self, opacity: f64) -> Self {
        Self { rgb: self.rgb, opacity }
    }
}

impl Pen {
    /// An unbroken line with round ends.
    #[must_use]
    pub fn new(width: f64, ink: Ink) -> Self {
        Self { width, ink, dash: Vec::new(), round: true, shift: Vec2::ZERO }
    }

    /// An unbroken line with flat ends, for lines that are measured.
    #[must_use]
    pub fn flat(width: f64, ink: Ink) -> Self {
        Self { width, ink, dash: Vec::new(), round: false, shift: Vec2::ZERO }
    }

    /// A broken line with flat ends.
    #[must_use]
    pub fn dashed(width: f64, ink: Ink, dash: &[f64]) -> Self {
        Self { width, ink, dash: dash.to_vec(), round: false, shift: Vec2::ZERO }
    }

    /// The same pen, drawing beside the path.
    #[must_use]
    pub fn shifted(self, x: f64, y: f64) -> Self {
        Self { shift: Vec2::new(x, y), ..self }
    }
}

impl Image {
    /// A picture that fills `at`.
    ///
    /// # Errors
    /// As of [`Pixels::jpeg`].
    pub fn new(at: Rect, pixels: Arc<Pixels>) -> Result<Self, PngError> {
        let jpeg = Arc::new(pixels.jpeg()?);
        Ok(Self { at, pixels, jpeg })
    }
}

impl Group {
    /// Things named and moved together.
    #[must_use]
    pub fn new(label: &str, placed: Affine, items: Vec<Item>) -> Self {
        Self { label: label.into(), placed, clip: None, items }
    }
}

/// A drawn outline.
#[must_use]
pub fn line(path: BezPath, pen: Pen) -> Item {
    Item::Shape(Shape { path, fill: None, pens: vec![pen] })
}

/// A straight line.
#[must_use]
pub fn straight(from: Point, to: Point, pen: Pen) -> Item {
    line(kurbo::Line::new(from, to).to_path(0.0), pen)
}

/// A filled outline.
#[must_use]
pub fn fill(path: BezPath, ink: Ink) -> Item {
    Item::Shape(Shape { path, fill: Some(ink), pens: Vec::new() })
}

/// A rectangle as an outline.
#[must_use]
pub fn rectangle(rect: Rect) -> BezPath {
    rect.to_path(0.0)
}

/// A rectangle with rounded corners as an outline.
#[must_use]
pub fn rounded(rect: Rect, radius: f64) -> BezPath {
    rect.to_rounded_rect(radius).to_path(0.01)
}

/// A circle as an outline.
#[must_use]
pub fn circle(centre: Point, radius: f64) -> BezPath {
    kurbo::Circle::new(centre, radius).to_path(0.001)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_colour_is_read_from_its_digits() {
        assert_eq!(Ink::new(0x12_ab_ff), Ink { rgb: [0x12, 0xab, 0xff], opacity: 1.0 });
    }

    #[test]
    fn a_circle_stays_within_a_hundredth_of_its_radius() {
        let bounds = circle(Point::new(5.0, 5.0), 2.0).bounding_box();
        assert!(
            (bounds.width() - 4.0).abs() < 0.01 && (bounds.center() - Point::new(5.0, 5.0)).hypot() < 0.01
        );
    }
}
