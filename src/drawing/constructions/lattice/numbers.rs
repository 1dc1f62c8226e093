//! What a motif file says of a lattice: its cells, their parts and what happens at the edge.

use serde::Deserialize;

use crate::drawing::constructions::part::Part;
use crate::drawing::settings::Settings;

/// The numbers of a lattice.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The name of the setting (a length) that sets the size of a cell.
    pub(super) size: String,
    /// The width of a cell as a multiple of that setting.
    pub(super) width: f64,
    /// The height of a cell as a multiple of that setting.
    pub(super) height: f64,
    /// The parts of a cell.
    pub(super) cell: Cell,
    /// The parts of a cell in every other row, from the second.
    pub(super) other_row: Option<Cell>,
    /// The parts of every other row where cells are cut, if others: what two cells share there is one part of the left one,
    /// and there is one cell more.
    pub(super) over_row: Option<Cell>,
    /// The parts of a cell on the long side of a triangle, which runs from 0,1 to 1,0; without them triangles are cut.
    pub(super) half: Option<Cell>,
    /// The parts of a small triangle, with corners at 0,0, 1,0 and 0,1; without them triangles without a right angle are cut.
    pub(super) triangle: Option<Cell>,
    /// The side of a small triangle, were all its sides equal, as a multiple of the setting `size`.
    #[serde(default)]
    pub(super) triangle_side: f64,
    /// True if a hexagon is divided into triangles as well, and a diamond of 60°.
    #[serde(default)]
    pub(super) hexagons: bool,
    /// How high the bows rise.
    pub(super) rise: Option<Rise>,
    /// What happens at an outline that cells run over.
    pub(super) edge: Edge,
    /// True if cells are cut rather than sheared on four sides that lean.
    #[serde(default)]
    pub(super) upright: bool,
    /// What is left of a part that is cut is left out if it is a smaller share of it than this: it would be a tick.
    #[serde(default)]
    pub(super) tick: f64,
    /// True if bows from one point of the outline along it to another are left out.
    #[serde(default)]
    pub(super) inner: bool,
    /// How many rows of cells more stand below, whose parts reach into the block: then all parts are cut at its outline.
    #[serde(default)]
    pub(super) below: u32,
    /// The fewest columns and rows; on three sides one more.
    #[serde(default = "one")]
    pub(super) least: u32,
}

fn one() -> u32 {
    1
}

/// What happens at an outline that cells run over.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Edge {
    /// Parts are cut at it.
    Cut,
    /// Parts are cut at it, and it is drawn as well.
    Framed,
    /// Only whole parts are kept, and of those the largest set that hangs together.
    Whole,
    /// The setting `edge` says which of these.
    Ask,
}

impl Edge {
    pub(super) fn settled(self, settings: &Settings) -> Self {
        match (self, settings.word("edge")) {
            (Self::Ask, "cut") => Self::Cut,
            (Self::Ask, "framed") => Self::Framed,
            (Self::Ask, _) => Self::Whole,
            (known, _) => known,
        }
    }
}

/// The parts of a cell, which goes from 0,0 (bottom left) to 1,1.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cell {
    /// Path data.
    #[serde(default)]
    pub(super) parts: Vec<Part>,
    /// Circular arcs from a point to a point, which rise to the left.
    #[serde(default)]
    pub(super) bows: Vec<[f64; 4]>,
    /// How high these bows rise, as a share of the chord, if not as those of other cells.
    pub(super) rise: Option<f64>,
    /// How far from the corners of small triangles these bows stop inside the block, as a share of the side: arcs round
    /// the corner join them, so that twelve bows do not end in one needle hole.
    #[serde(default)]
    pub(super) eye: f64,
}

/// The setting that says how high bows rise.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Rise {
    /// A length.
    Length(String),
    /// A share of the chord.
    Ratio(String),
}

impl Numbers {
    /// True if its cells run on from piece to piece of a quilt, cut at the seams.
    #[must_use]
    pub fn runs_through(&self, settings: &Settings) -> bool {
        self.edge == Edge::Ask && self.edge.settled(settings) != Edge::Whole
    }

    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        let mut needs = vec![(self.size.clone(), "length")];
        if self.edge == Edge::Ask {
            needs.push(("edge".to_owned(), "choice"));
        }
        match &self.rise {
            Some(Rise::Length(name)) => needs.push((name.clone(), "length")),
            Some(Rise::Ratio(name)) => needs.push((name.clone(), "ratio")),
            None => {}
        }
        needs
    }
}
