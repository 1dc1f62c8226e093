//! How the blocks are set: [`Top`] and odd blocks → the spots of the quilt's centre, each with its shape and its placing.
//!
//! Straight: columns and rows, with sashes between and posts where they meet. On point: see [`super::on_point`]. A whole
//! cloth is one spot; a drawn top has a spot for each of its patches. Quilt coordinates: mm, 0,0 in the centre, x right,
//! y up.

use kurbo::{Affine, Point, Vec2};

use super::file::Odd;
use super::file::top::{Set, Top};
use super::on_point;
use super::place::Place;
use crate::block::shape::Shape;

/// Row and column of a spot, counted from 1 from the top left; what lies between blocks has halves or quarters.
pub type Grid = (f64, f64);

/// One patch of the quilt's centre.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// What it is.
    pub place: Place,
    /// What it would be if it were not odd.
    pub usual: Place,
    /// Its shape.
    pub shape: Shape,
    /// The shape that it would have if it were not odd.
    pub planned: Shape,
    /// From block coordinates to the quilt.
    pub at: Affine,
    /// Where it lies among the blocks.
    pub grid: Grid,
}

/// The centre of a quilt, without its borders.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Finished width and height, mm.
    pub size: (f64, f64),
    /// Every patch that is a block of its own.
    pub spots: Vec<Spot>,
    /// Half posts on the edge of a setting on point, which are not quilted: their corners.
    pub half_posts: Vec<Vec<Point>>,
    /// The ground that all patches share.
    pub ground: Ground,
}

/// The ground on which lattices run from patch to patch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// From the ground to the quilt.
    pub to_quilt: Affine,
    /// After how much across and up it repeats, mm: block and sash together, or the whole centre if blocks differ.
    pub module: (f64, f64),
}

/// Sets the blocks.
#[must_use]
pub fn set(top: &Top, odds: &[Odd]) -> Setting {
    let mut setting = match &top.set {
        Set::Straight | Set::WholeCloth => straight(top),
        Set::OnPoint => on_point::set(top),
        Set::Drawn(patches) => drawn(patches),
    };
    for odd in odds {
        if let Some(spot) = setting.spots.iter_mut().find(|s| s.grid == odd.at && s.place.is_block()) {
            spot.place = Place::Odd(odd.name.clone());
            spot.shape = odd.shape.clone();
        }
    }
    setting
}

/// A spot under construction.
pub fn spot(place: Place, shape: Shape, centre: Vec2, turn_deg: f64, grid: Grid) -> Spot {
    let at = Affine::translate(centre) * Affine::rotate(turn_deg.to_radians());
    Spot { usual: place.clone(), place, planned: shape.clone(), shape, at, grid }
}

/// Where columns or rows lie along a line: the middle of each, and the middles of the sashes between and around them.
struct Along {
    middles: Vec<f64>,
    sizes: Vec<f64>,
    /// From half a block before the first, as rows and columns are counted.
    sashes: Vec<(f64, f64)>,
    length: f64,
}

fn along(sizes: &[f64], sash: f64, outer: bool) -> Along {
    let frame = if outer { sash } else { 0.0 };
    let count = sizes.len();
    let length = sizes.iter().sum::<f64>() + sash * (count as f64 - 1.0) + 2.0 * frame;
    let (mut middles, mut sashes) = (Vec::new(), Vec::new());
    let mut at = -length / 2.0 + frame;
    if outer && sash > 0.0 {
        sashes.push((0.5, at - sash / 2.0));
    }
    for (i, size) in sizes.iter().enumerate() {
        middles.push(at + size / 2.0);
        at += size + sash;
        if sash > 0.0 && (i + 1 < count || outer) {
            sashes.push((i as f64 + 1.5, at - sash / 2.0));
        }
    }
    Along { middles, sizes: sizes.to_vec(), sashes, length }
}

fn straight(top: &Top) -> Setting {
    let s = &top.sashing;
    let (x, y) = (along(&top.columns, s.upright, s.outer), along(&top.rows, s.level, s.outer));
    let mut spots = Vec::new();
    for (row, (down, height)) in y.middles.iter().zip(&y.sizes).enumerate() {
        for (column, (across, width)) in x.middles.iter().zip(&x.sizes).enumerate() {
            let place = if (row + column) % 2 == 1 { Place::AlternateBlocks } else { Place::Blocks };
            let centre = Vec2::new(*across, -down);
            let grid = (row as f64 + 1.0, column as f64 + 1.0);
            spots.push(spot(place, block_shape(*width, *height), centre, 0.0, grid));
        }
    }
    sashes(top, &x, &y, &mut spots);
    Setting {
        size: (x.length, y.length),
        spots,
        half_posts: Vec::new(),
        ground: ground(top, (x.length, y.length)),
    }
}

fn sashes(top: &Top, x: &Along, y: &Along, spots: &mut Vec<Spot>) {
    let s = &top.sashing;
    for (row, (down, height)) in y.middles.iter().zip(&y.sizes).enumerate() {
        for (column, across) in &x.sashes {
            let shape = Shape::Strip { width: s.upright, length: *height };
            let grid = (row as f64 + 1.0, *column);
            spots.push(spot(Place::Sashes, shape, Vec2::new(*across, -down), 90.0, grid));
        }
    }
    for (row, down) in &y.sashes {
        if !s.posts {
            let shape = Shape::Strip { width: s.level, length: x.length };
            let grid = (*row, (top.columns.len() as f64 + 1.0) / 2.0);
            spots.push(spot(Place::Sashes, shape, Vec2::new(0.0, -down), 0.0, grid));
            continue;
        }
        for (column, (across, width)) in x.middles.iter().zip(&x.sizes).enumerate() {
            let shape = Shape::Strip { width: s.level, length: *width };
            let grid = (*row, column as f64 + 1.0);
            spots.push(spot(Place::Sashes, shape, Vec2::new(*across, -down), 0.0, grid));
        }
        for (column, across) in &x.sashes {
            let shape = block_shape(s.upright, s.level);
            spots.push(spot(Place::Posts, shape, Vec2::new(*across, -down), 0.0, (*row, *column)));
        }
    }
}

/// From the middle of the post at the top left, or where it would be; one block and sash after another if all are alike.
fn ground(top: &Top, size: (f64, f64)) -> Ground {
    let s = &top.sashing;
    let module = |sizes: &[f64], sash: f64, whole: f64| {
        let alike = sizes.iter().all(|size| *size == sizes[0]);
        let frame = if s.outer { sash } else { -sash };
        if alike { sizes[0] + sash } else { whole - frame }
    };
    let module = (module(&top.columns, s.upright, size.0), module(&top.rows, s.level, size.1));
    let out = |sash: f64| if s.outer { sash / 2.0 } else { -sash / 2.0 };
    let origin = Vec2::new(-size.0 / 2.0 + out(s.upright), size.1 / 2.0 - out(s.level));
    Ground { to_quilt: Affine::translate(origin), module }
}

/// A rectangle, or a square if its sides are equal.
#[must_use]
pub fn block_shape(width: f64, height: f64) -> Shape {
    if width == height { Shape::Square { side: width } } else { Shape::Rectangle { width, height } }
}

fn drawn(patches: &[super::drawn::Patch]) -> Setting {
    let bounds = patches.iter().map(|p| p.bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
    let middle = bounds.center().to_vec2();
    let spots = patches.iter().enumerate().map(|(i, patch)| {
        let centre = patch.centre.to_vec2() - middle;
        let grid = (1.0, i as f64 + 1.0);
        spot(Place::Patch(patch.name.clone()), patch.shape.clone(), centre, patch.turn_deg, grid)
    });
    let size = (bounds.width(), bounds.height());
    let origin = Affine::translate((-size.0 / 2.0, size.1 / 2.0));
    let ground = Ground { to_quilt: origin, module: size };
    Setting { size, spots: spots.collect(), half_posts: Vec::new(), ground }
}

/// A way turned to the left.
#[must_use]
pub fn turned(v: Vec2, turn_deg: f64) -> Vec2 {
    (Affine::rotate(turn_deg.to_radians()) * v.to_point()).to_vec2()
}
