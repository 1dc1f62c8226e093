//! [`Quilt`] → [`Layout`]: its spots filled, the same block in the same way only once, then its borders.

use kurbo::{Affine, Point, Rect, Vec2};

use super::TopError;
use super::borders;
use super::drawn::seams;
use super::file::pieces::stands_for;
use super::file::top::Set;
use super::file::{Fill, Mirror, Quilt, Turn};
use super::layout::{Design, Layout, Patch, free_name};
use super::names;
use super::place::Place;
use super::setting::{self, Ground, Spot};
use crate::block::lie::Lie;
use crate::block::pose::Pose;
use crate::block::shape::Shape;
use crate::block::{self, Block};
use crate::drawing::construction::Construction;
use crate::survey::remedy::Warning;

/// Lays the quilt out.
///
/// # Errors
/// [`TopError::Block`] for a block that is too small for the margin.
pub fn lay(quilt: &Quilt) -> Result<Layout, TopError> {
    let setting = setting::set(&quilt.top, &quilt.odds);
    let mut layout = Layout {
        size: setting.size,
        centre: setting.size,
        frame: Rect::from_center_size(Point::ZERO, setting.size),
        patches: Vec::new(),
        designs: Vec::new(),
        rings: Vec::new(),
        bare: Vec::new(),
        notes: Vec::new(),
    };
    if let Set::Drawn(patches) = &quilt.top.set {
        layout.notes.extend(seams::gaps(patches, quilt.units).into_iter().map(Warning::from));
    }
    let mut bare: Vec<String> = Vec::new();
    for (number, spot) in setting.spots.iter().enumerate() {
        match fill(quilt, spot) {
            Some(fill) => add(&mut layout, quilt, (spot, number), fill, &setting.ground)?,
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
    centred(&mut layout);
    bare.sort();
    bare.dedup();
    if !bare.is_empty() {
        let names = names::few(bare.iter().map(String::as_str));
        layout.notes.push(format!("Not quilted, as no motif is named for them: {names}.").into());
    }
    layout.bare = bare;
    Ok(layout)
}

/// Moves everything so that the quilt's middle is 0,0, where borders are not equally wide on both sides.
fn centred(layout: &mut Layout) {
    let off = -layout.frame.center().to_vec2();
    layout.size = (layout.frame.width(), layout.frame.height());
    if off == Vec2::ZERO {
        return;
    }
    let by = Affine::translate(off);
    layout.patches.iter_mut().flat_map(|p| &mut p.outline).for_each(|p| *p += off);
    layout.designs.iter_mut().flat_map(|d| &mut d.at).for_each(|at| *at = by * *at);
    layout.rings.iter_mut().for_each(|ring| ring.inner = ring.inner + off);
    layout.frame = layout.frame + off;
}

/// What fills a spot: what is named for its row and column, else for its place, else for what it stands for, else for blocks.
fn fill<'q>(quilt: &'q Quilt, spot: &Spot) -> Option<(usize, &'q Fill)> {
    let fills = || quilt.fills.iter().enumerate();
    let here = |f: &Fill| f.at.as_ref().is_some_and(|at| at.contains(&spot.grid));
    let by_place = |place: &Place| fills().find(|(_, f)| f.place == *place && f.at.is_none());
    let exact = fills().find(|(_, f)| f.place == spot.place && here(f));
    let named = exact.or_else(|| fills().find(|(_, f)| here(f) && stands_for(&f.place, spot)));
    let blocks = || if spot.usual.is_block() { by_place(&Place::Blocks) } else { None };
    named.or_else(|| by_place(&spot.place)).or_else(|| by_place(&spot.usual)).or_else(blocks)
}

/// Adds a spot to the design that it is one more of, or as a new one.
fn add(
    layout: &mut Layout,
    quilt: &Quilt,
    (spot, number): (&Spot, usize),
    (index, fill): (usize, &Fill),
    ground: &Ground,
) -> Result<(), TopError> {
    let pose = pose(fill, spot);
    let mut chosen = fill.chosen.clone();
    if fill.each_seed {
        chosen.settings = chosen.settings.seeded(&chosen.motif.settings, number);
    }
    let block = made(spot, quilt, fill, (ground, pose))?;
    let like = |d: &Design| {
        d.fill == Some(index)
            && d.pose == pose
            && d.block.shape == spot.shape
            && same_lie(d.block.lie.as_ref(), block.lie.as_ref())
    };
    let known = layout.designs.iter().position(|d| !fill.each_seed && like(d));
    let known = known.unwrap_or_else(|| {
        let place = if fill.place == Place::Blocks { &fill.place } else { &spot.usual };
        let place = if matches!(spot.place, Place::Odd(_)) { &spot.place } else { place };
        let on_ground = block.lie.is_some();
        layout.designs.push(Design {
            name: free_name(&layout.designs, &place.to_string()),
            place: place.clone(),
            block,
            chosen,
            pose,
            fill: Some(index),
            drawn: None,
            // In the ditch travel does not show, and lines that end on the seam hang on it.
            travel: quilt.travel || on_ground,
            at: Vec::new(),
        });
        layout.designs.len() - 1
    });
    let design = &mut layout.designs[known];
    design.at.push(spot.at);
    let outline = design.block.outline.outer.points().iter().map(|p| spot.at * *p).collect();
    layout.patches.push(Patch { place: spot.place.clone(), outline });
    Ok(())
}

fn same_lie(a: Option<&Lie>, b: Option<&Lie>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => a.is_like(b),
        (None, None) => true,
        _ => false,
    }
}

/// How the motif is turned and mirrored in a spot.
fn pose(fill: &Fill, spot: &Spot) -> Pose {
    let quarters = match fill.turn {
        Turn::Quarters(n) => n,
        Turn::Outwards => outwards(spot),
    };
    let mirrored = match fill.mirror {
        Mirror::None => false,
        Mirror::All => true,
        Mirror::Alternate => (spot.grid.0 + spot.grid.1).floor().rem_euclid(2.0) == 1.0,
    };
    Pose { quarters, mirrored }
}

/// The turn by which what grows to the upper right in a block grows away from the quilt's middle.
fn outwards(spot: &Spot) -> u8 {
    let [a, b, ..] = spot.at.as_coeffs();
    let middle = spot.at.translation();
    // As seen from the block's own axes.
    let away = Affine::rotate(-b.atan2(a)) * middle.to_point();
    match (away.x >= -1e-6, away.y >= -1e-6) {
        (true, true) => 0,
        (false, true) => 1,
        (false, false) => 2,
        (true, false) => 3,
    }
}

/// The block of a spot: up to the seam, and on the quilt's ground, if its lines run through.
fn made(spot: &Spot, quilt: &Quilt, fill: &Fill, (ground, pose): (&Ground, Pose)) -> Result<Block, TopError> {
    // In a hexagon flowers of six petals are at home, not a lattice of squares.
    let flowers = matches!(fill.chosen.motif.construction, Construction::Lattice(_))
        && matches!(spot.shape, Shape::Hexagon { .. });
    let motif_runs = fill.chosen.runs_through() && pose == Pose::default() && !flowers;
    let behind = fill.chosen.background.as_ref().is_some_and(|b| b.runs_through());
    let margin = fill.margin.unwrap_or(if motif_runs { 0.0 } else { quilt.margin_mm });
    let block = block::outline(&spot.shape, margin);
    let block = block.map_err(|error| TopError::Block { place: spot.place.to_string(), error })?;
    let lie = (motif_runs || behind).then(|| lie(spot, &block, ground));
    Ok(Block { lie, ..block })
}

fn lie(spot: &Spot, block: &Block, ground: &Ground) -> Lie {
    let to_block = spot.at.inverse() * ground.to_quilt;
    let bend = if spot.planned == spot.shape { None } else { bend(&spot.planned, block) };
    Lie { to_block, module: ground.module, bend }
}

/// The corners of the planned rectangle and those of the odd block that takes its place, if it has four.
fn bend(planned: &Shape, block: &Block) -> Option<[[Point; 4]; 2]> {
    let (w, h) = match planned {
        Shape::Square { side } => (*side, *side),
        Shape::Rectangle { width, height } => (*width, *height),
        _ => return None,
    };
    let planned = [(-w, -h), (w, -h), (w, h), (-w, h)].map(|(x, y)| Point::new(x / 2.0, y / 2.0));
    let mut odd: [Point; 4] = block.outline.outer.corners().try_into().ok()?;
    let off = |odd: &[Point; 4]| odd.iter().zip(&planned).map(|(p, q)| p.distance_squared(*q)).sum::<f64>();
    let first = (0..4).min_by(|i, j| {
        let turned = |by: usize| {
            let mut odd = odd;
            odd.rotate_left(by);
            off(&odd)
        };
        turned(*i).total_cmp(&turned(*j))
    });
    odd.rotate_left(first.unwrap_or(0));
    Some([planned, odd])
}

/// The outline of a spot that is not quilted.
fn plain(spot: &Spot) -> Result<Vec<Point>, TopError> {
    let block = block::outline(&spot.shape, 0.0);
    let block = block.map_err(|error| TopError::Block { place: spot.place.to_string(), error })?;
    Ok(block.outline.outer.points().iter().map(|p| spot.at * *p).collect())
}
