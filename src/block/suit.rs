//! What kind of shape a block is, in the words with which a motif says what it suits.

/// Kinds of shapes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Suit {
    /// Four equal sides at right angles.
    Square,
    /// Right angles.
    Rectangle,
    /// A border or sash.
    Strip,
    /// Three sides.
    Triangle,
    /// Four equal sides.
    Diamond,
    /// Any four sides, convex.
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

/// Every kind with its word.
pub const SUITS: [(Suit, &str); 11] = [
    (Suit::Square, "square"),
    (Suit::Rectangle, "rectangle"),
    (Suit::Strip, "strip"),
    (Suit::Triangle, "triangle"),
    (Suit::Diamond, "diamond"),
    (Suit::Quadrilateral, "quadrilateral"),
    (Suit::Hexagon, "hexagon"),
    (Suit::Octagon, "octagon"),
    (Suit::Circle, "circle"),
    (Suit::Polygon, "polygon"),
    (Suit::Outline, "outline"),
];

impl Suit {
    /// The kind that a word names.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        SUITS.iter().find(|(_, w)| *w == word).map(|(suit, _)| *suit)
    }

    /// The word of this kind.
    #[must_use]
    pub fn word(self) -> &'static str {
        SUITS.iter().find(|(suit, _)| *suit == self).map_or("", |(_, word)| word)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_names_its_kind() {
        for (suit, word) in SUITS {
            assert_eq!((Suit::from_word(word), suit.word()), (Some(suit), word));
        }
        assert_eq!(Suit::from_word("blob"), None);
    }
}
