//! The places of a quilt that a motif can be named for, with the words of a quilt file.

use std::fmt;

use crate::block::suit::Suit;

/// Where in the quilt a piece lies.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// The blocks of the setting.
    Blocks,
    /// Every second block: the odd squares of a checkerboard, or the blocks between the rows of a setting on point.
    AlternateBlocks,
    /// The setting triangles along the sides.
    SideTriangles,
    /// The setting triangles in the corners.
    CornerTriangles,
    /// The strips between blocks.
    Sashes,
    /// The squares where sashes meet.
    Posts,
    /// A block with measures of its own, by its name.
    Odd(String),
    /// A patch of a drawn top, by its name.
    Patch(String),
    /// A side of a border, counted from 1, the innermost first.
    Border(usize),
    /// A corner of a border.
    BorderCorner(usize),
}

impl Place {
    /// The places that every quilt file can name.
    pub const NAMED: [Self; 6] = [
        Self::Blocks,
        Self::AlternateBlocks,
        Self::SideTriangles,
        Self::CornerTriangles,
        Self::Sashes,
        Self::Posts,
    ];

    /// The kind of block that lies there, if it is always the same.
    #[must_use]
    pub fn suit(&self) -> Option<Suit> {
        match self {
            Self::SideTriangles | Self::CornerTriangles => Some(Suit::Triangle),
            Self::Sashes | Self::Border(_) => Some(Suit::Strip),
            Self::Posts | Self::BorderCorner(_) => Some(Suit::Square),
            Self::Blocks | Self::AlternateBlocks | Self::Odd(_) | Self::Patch(_) => None,
        }
    }

    /// True for what a motif named for blocks is for.
    #[must_use]
    pub fn is_block(&self) -> bool {
        matches!(self, Self::Blocks | Self::AlternateBlocks | Self::Odd(_) | Self::Patch(_))
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Blocks => f.write_str("blocks"),
            Self::AlternateBlocks => f.write_str("alternate blocks"),
            Self::SideTriangles => f.write_str("side triangles"),
            Self::CornerTriangles => f.write_str("corner triangles"),
            Self::Sashes => f.write_str("sashes"),
            Self::Posts => f.write_str("posts"),
            Self::Odd(name) | Self::Patch(name) => f.write_str(name),
            Self::Border(n) => write!(f, "border {n}"),
            Self::BorderCorner(n) => write!(f, "border {n} corners"),
        }
    }
}
