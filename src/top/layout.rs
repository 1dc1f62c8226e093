//! A quilt laid out: every patch in its place, and each distinct block once with all the places it goes to.

use kurbo::{Affine, Point, Rect};

use super::file::{Chosen, path_safe};
use super::place::Place;
use super::ring::Ring;
use crate::block::Block;
use crate::block::pose::Pose;
use crate::drawing::Drawing;
use crate::survey::remedy::Warning;

/// A quilt laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Finished width and height, borders included, mm.
    pub size: (f64, f64),
    /// Finished width and height of the centre, mm.
    pub centre: (f64, f64),
    /// The quilt without the borders that are not yet laid.
    pub frame: Rect,
    /// Every patch, as it is pieced.
    pub patches: Vec<Patch>,
    /// Every distinct block of the centre that is quilted.
    pub designs: Vec<Design>,
    /// The quilted borders.
    pub rings: Vec<Ring>,
    /// The places that are not quilted, each once, in words.
    pub bare: Vec<String>,
    /// What she should know: whole sentences.
    pub notes: Vec<Warning>,
}

/// One patch of the top.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// What it is.
    pub place: Place,
    /// Its corners in quilt coordinates, mm.
    pub outline: Vec<Point>,
}

/// One block that is drawn once and sewn wherever it occurs.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Its name, also of its folder.
    pub name: String,
    /// What it is.
    pub place: Place,
    /// Its outline and its inner outline.
    pub block: Block,
    /// Its motif.
    pub chosen: Chosen,
    /// How the motif is turned and mirrored in it.
    pub pose: Pose,
    /// Which of the quilt's fills it follows, in the centre.
    pub fill: Option<usize>,
    /// Its lines, if they were drawn with those of other pieces and only cut.
    pub drawn: Option<Drawing>,
    /// True if lines may travel along its inner outline.
    pub travel: bool,
    /// From block coordinates to the quilt, for each time it occurs.
    pub at: Vec<Affine>,
}

/// A name for a folder that no other design has.
pub fn free_name(designs: &[Design], words: &str) -> String {
    let name = path_safe(words);
    let taken = |name: &str| designs.iter().any(|d| d.name == name);
    let more = (2..).map(|n| format!("{name}-{n}"));
    std::iter::once(name.clone()).chain(more).find(|n| !taken(n)).unwrap_or(name)
}
