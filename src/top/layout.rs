//! [`Quilt`] → [`Layout`]: every patch in its place, and each distinct block once with all the places it goes to.

use kurbo::{Affine, Point};

use super::TopError;
use super::borders::{self, Ring};
use super::file::{Chosen, Quilt, path_safe};
use super::place::Place;
use super::setting::{self, Spot};
use crate::block::{self, Block};

/// A quilt laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Finished width and height, borders included, mm.
    pub size: (f64, f64),
    /// Finished width and height of the centre, mm.
    pub centre: (f64, f64),
    /// Every patch, as it is pieced.
    pub patches: Vec<Patch>,
    /// Every distinct block of the centre that is quilted.
    pub designs: Vec<Design>,
    /// The quilted borders.
    pub rings: Vec<Ring>,
    /// The places that are not quilted, each once, in words.
    pub bare: Vec<String>,
    /// What she should know: whole sentences.
    pub notes: Vec<String>,
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
    /// True if lines may travel along its inner outline.
    pub travel: bool,
    /// From block coordinates to the quilt, for each time it occurs.
    pub at: Vec<Affine>,
}

/// Lays the quilt out.
///
/// # Errors
/// [`TopError::Block`] for a block that is too small for the margin.
pub fn lay(quilt: &Quilt) -> Result<Layout, TopError> {
    let setting = setting::set(&quilt.top, &quilt.odds);
    let mut layout = Layout {
        size: setting.size,
        centre: setting.size,
        patches: Vec::new(),
        designs: Vec::new(),
        rings: Vec::new(),
        bare: Vec::new(),
        notes: Vec::new(),
    };
    let mut bare: Vec<String> = Vec::new();
    for spot in &setting.spots {
        match chosen(quilt, spot) {
            Some(chosen) => add(&mut layout, quilt, spot, chosen)?,
            None => {
                let outline = plain(spot)?;
                layout.patches.push(Patch { place: spot.place.clone(), outline });
                bare.push(spot.place.to_string());
            }
        }
    }
    if !setting.half_posts.is_empty() {
        bare.push("half posts on the edge".to_owned());
    }
    for outline in setting.half_posts {
        layout.patches.push(Patch { place: Place::Posts, outline });
    }
    borders::lay(quilt, &mut layout, &mut bare)?;
    bare.sort();
    bare.dedup();
    if !bare.is_empty() {
        layout.notes.push(format!("Not quilted, as no motif is named for them: {}.", bare.join(", ")));
    }
    layout.bare = bare;
    Ok(layout)
}

/// The motif for a spot: its own, else that of the place it stands for, else that of the blocks.
fn chosen<'q>(quilt: &'q Quilt, spot: &Spot) -> Option<&'q Chosen> {
    let of = |place: &Place| quilt.fills.iter().find(|f| f.place == *place).map(|f| &f.chosen);
    let stand_in = if spot.usual == Place::AlternateBlocks { of(&Place::Blocks) } else { None };
    of(&spot.place).or_else(|| of(&spot.usual)).or(stand_in)
}

/// Adds a spot to the design that it is one more of, or as a new one.
fn add(layout: &mut Layout, quilt: &Quilt, spot: &Spot, chosen: &Chosen) -> Result<(), TopError> {
    let place = if quilt.fills.iter().any(|f| f.place == spot.place) { &spot.place } else { &spot.usual };
    let place = if matches!(spot.place, Place::Odd(_)) { &spot.place } else { place };
    // Alternate blocks without a motif of their own are blocks like the others.
    let own = quilt.fills.iter().any(|f| f.place == *place);
    let place = if *place == Place::AlternateBlocks && !own { &Place::Blocks } else { place };
    let known = layout.designs.iter().position(|d| d.place == *place && d.block.shape == spot.shape);
    let index = match known {
        Some(index) => index,
        None => {
            let block = made(spot, quilt.margin_mm)?;
            let name = free_name(&layout.designs, &place.to_string());
            let (place, chosen) = (place.clone(), chosen.clone());
            layout.designs.push(Design { name, place, block, chosen, travel: quilt.travel, at: Vec::new() });
            layout.designs.len() - 1
        }
    };
    let design = &mut layout.designs[index];
    design.at.push(spot.at);
    let outline = design.block.outline.outer.points().iter().map(|p| spot.at * *p).collect();
    layout.patches.push(Patch { place: spot.place.clone(), outline });
    Ok(())
}

fn made(spot: &Spot, margin_mm: f64) -> Result<Block, TopError> {
    block::outline(&spot.shape, margin_mm)
        .map_err(|error| TopError::Block { place: spot.place.to_string(), error })
}

/// The outline of a spot that is not quilted.
fn plain(spot: &Spot) -> Result<Vec<Point>, TopError> {
    let block = made(spot, 0.0)?;
    Ok(block.outline.outer.points().iter().map(|p| spot.at * *p).collect())
}

/// A name for a folder that no other design has.
pub fn free_name(designs: &[Design], words: &str) -> String {
    let name = path_safe(words);
    let taken = |name: &str| designs.iter().any(|d| d.name == name);
    let more = (2..).map(|n| format!("{name}-{n}"));
    std::iter::once(name.clone()).chain(more).find(|n| !taken(n)).unwrap_or(name)
}
