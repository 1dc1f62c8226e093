//! The kind of block that a shape is, for motifs that suit only some kinds.

use std::fmt;
use std::str::FromStr;

use kurbo::Point;

use super::shape::Shape;
use super::{BlockError, corners};

/// The kinds of block a motif can suit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Suit {
    /// A square.
    Square,
    /// A rectangle with unequal sides.
    Rectangle,
    /// A border or sash.
    Strip,
    /// The corner of a border.
    Corner,
    /// Any triangle.
    Triangle,
    /// Four equal sides, leaning.
    Diamond,
    /// Four sides as measured, no corner pointing inwards.
    Quadrilateral,
    /// Six equal sides.
    Hexagon,
    /// Eight equal sides.
    Octagon,
    /// A circle.
    Circle,
    /// Any other polygon.
    Polygon,
    /// A drawn outline.
    Outline,
}

impl Suit {
    /// Every kind.
    pub const ALL: [Self; 12] = [
        Self::Square,
        Self::Rectangle,
        Self::Strip,
        Self::Corner,
        Self::Triangle,
        Self::Diamond,
        Self::Quadrilateral,
        Self::Hexagon,
        Self::Octagon,
        Self::Circle,
        Self::Polygon,
        Self::Outline,
    ];

    /// Every kind of outline: all but the corner of a border, which only motifs that turn suit.
    pub fn any() -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(|suit| *suit != Self::Corner)
    }

    /// The word for it, as in motif files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Square => "square",
            Self::Rectangle => "rectangle",
            Self::Strip => "strip",
            Self::Corner => "corner",
            Self::Triangle => "triangle",
            Self::Diamond => "diamond",
            Self::Quadrilateral => "quadrilateral",
            Self::Hexagon => "hexagon",
            Self::Octagon => "octagon",
            Self::Circle => "circle",
            Self::Polygon => "polygon",
            Self::Outline => "outline",
        }
    }
}

impl fmt::Display for Suit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl FromStr for Suit {
    type Err = BlockError;

    fn from_str(word: &str) -> Result<Self, BlockError> {
        let known = Self::ALL.into_iter().find(|s| s.word() == word.trim());
        known.ok_or_else(|| BlockError::UnknownSuit { word: word.trim().into() })
    }
}

impl Shape {
    /// The kind of block that this is: a rectangle with equal sides is a square, three corners are a triangle.
    #[must_use]
    pub fn suit(&self) -> Suit {
        match self {
            Self::Rectangle { width, height } if width != height => Suit::Rectangle,
            Self::Square { .. } | Self::Rectangle { .. } => Suit::Square,
            Self::Strip { .. } => Suit::Strip,
            Self::Corner { .. } => Suit::Corner,
            Self::HalfSquare { .. }
            | Self::QuarterSquare { .. }
            | Self::SideTriangle { .. }
            | Self::CornerTriangle { .. }
            | Self::Equilateral { .. } => Suit::Triangle,
            Self::Diamond { angle_deg, .. } if *angle_deg == 90.0 => Suit::Square,
            Self::Diamond { .. } => Suit::Diamond,
            Self::Hexagon { .. } => Suit::Hexagon,
            Self::Octagon { .. } => Suit::Octagon,
            Self::Circle { .. } => Suit::Circle,
            Self::Sides { sides, .. } if sides.len() == 3 => Suit::Triangle,
            Self::Sides { .. } => Suit::Quadrilateral,
            Self::Corners { corners } => {
                corners::checked(corners).map_or(Suit::Polygon, |ring| polygon(&ring))
            }
            Self::Outline { .. } => Suit::Outline,
        }
    }
}

fn polygon(ring: &[Point]) -> Suit {
    match ring.len() {
        3 => Suit::Triangle,
        4 if corners::is_convex(ring) => Suit::Quadrilateral,
        _ => Suit::Polygon,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back() {
        for suit in Suit::ALL {
            assert_eq!(suit.to_string().parse(), Ok(suit));
        }
        let words = "oval".parse::<Suit>().unwrap_err().to_string();
        assert!(
            words.starts_with("`oval` is no kind of block; the kinds are square, rectangle, strip, corner"),
            "{words}"
        );
    }

    #[test]
    fn the_kind_follows_the_figures() {
        for (key, value, suit) in [
            ("square", "8in", Suit::Square),
            ("rectangle", "6in,9in", Suit::Rectangle),
            ("rectangle", "6in,6in", Suit::Square),
            ("strip", "5in,40in", Suit::Strip),
            ("corner", "5in", Suit::Corner),
            ("side-triangle", "8in", Suit::Triangle),
            ("diamond", "6in,60", Suit::Diamond),
            ("diamond", "6in,90", Suit::Square),
            ("corners", "0in,0in; 8in,0in; 0in,8in", Suit::Triangle),
            ("corners", "0in,0in; 8in,0in; 8in,8in; 0in,7 7/8in", Suit::Quadrilateral),
            ("corners", "0in,0in; 4in,0in; 8in,0in; 0in,8in", Suit::Triangle),
            ("corners", "0in,0in; 8in,0in; 2in,2in; 0in,8in", Suit::Polygon),
            ("corners", "0in,0in; 8in,0in; 9in,5in; 8in,8in; 0in,8in", Suit::Polygon),
        ] {
            assert_eq!(Shape::from_words(key, value).unwrap().suit(), suit, "{key} {value}");
        }
    }
}
