//! A block's [`Picture`], or a quilt's [`Work`] → its [`Scene`].

use kurbo::{Affine, Point, Rect};

use super::{Patch, Scene};
use crate::base::colour::Colour;
use crate::base::curve::path_through;
use crate::top::Work;
use crate::views::cloth::together;
use crate::views::picture::Picture;
use crate::views::quilt_map::colours;
use crate::views::relief::yarn::{Strand, strands};
use crate::views::sheet;

/// Cotton, unbleached: cloth without a colour of its own.
pub const CLOTH: Colour = Colour::new(0xea_de_c9);
/// Thread without a colour of its own, a shade lighter than the cloth.
pub const THREAD: Colour = Colour::new(0xf6_ee_dc);
/// The cloth round the block is quieter than the block by this much of the way to grey.
const QUIETER: f64 = 0.3;
const QUIET: Colour = Colour::new(0x8d_8a_84);
/// Cloth shown round the block, as a part of its larger side.
const ROUND: f64 = 0.035;

/// What a relief is made of beside the stitches.
#[derive(Debug, Clone, PartialEq)]
pub struct Stuff {
    /// The cloth's colour.
    pub cloth: Colour,
    /// The thread's colour, or its colours in turn.
    pub thread: Vec<Colour>,
    /// How high the batting lifts cloth that nothing holds, mm above the stitched plane.
    pub loft_mm: f64,
}

impl Default for Stuff {
    fn default() -> Self {
        Stuff { cloth: CLOTH, thread: vec![THREAD], loft_mm: crate::survey::loft::UNKNOWN_MM }
    }
}

/// One block, with a little of the cloth round it.
#[must_use]
pub fn block(picture: &Picture, stuff: &Stuff) -> Scene {
    let extent = picture.extent();
    let round = extent.size().max_side().max(1.0) * ROUND;
    let patches = match picture.outline.is_empty() {
        true => Vec::new(),
        false => vec![Patch { edge: together(&picture.outline), colour: stuff.cloth, seam: true }],
    };
    let ground = if patches.is_empty() { stuff.cloth } else { stuff.cloth.towards(QUIET, QUIETER) };
    Scene {
        shown: extent.inflate(round, round),
        ground,
        patches,
        strands: strands(&picture.runs, &stuff.thread, Affine::IDENTITY),
        loft_mm: stuff.loft_mm,
    }
}

/// What the quilt lies on.
const TABLE: Colour = Colour::new(0xd6_d2_ca);
/// How wide the binding shows, mm: a quarter inch, common practice, no source.
const BINDING_MM: f64 = 6.35;
/// Room round the quilt, as a part of its larger side.
const TABLE_ROUND: f64 = 0.02;

/// A whole quilt, bound: every patch in its cloth, every line in its thread.
#[must_use]
pub fn quilt(work: &Work) -> Scene {
    let (w, h) = work.layout.size;
    let whole = Rect::from_center_size(Point::ZERO, (w, h));
    let bound = whole.inflate(BINDING_MM, BINDING_MM);
    let mut patches = vec![patch(sheet::rectangle(bound), colours::BINDING.rgb)];
    for piece in &work.layout.patches {
        patches.push(patch(path_through(&piece.outline, true), colours::of(&piece.place, &work.quilt).rgb));
    }
    let usual = work.quilt.dress.thread.clone().unwrap_or_else(|| vec![THREAD]);
    let mut laid = Vec::new();
    for (design, made) in work.layout.designs.iter().zip(&work.made) {
        let thread = design.chosen.dress.thread.as_ref().unwrap_or(&usual);
        for sewn in &made.sewn {
            let runs: Vec<Vec<Point>> =
                sewn.piece.stitches.pieces.iter().map(|run| run.points.clone()).collect();
            let once = strands(&runs, thread, Affine::IDENTITY);
            let placed = |at: &Affine| -> Vec<Strand> {
                once.iter().map(|s| Strand { from: *at * s.from, to: *at * s.to, ..*s }).collect()
            };
            sewn.at.iter().for_each(|at| laid.extend(placed(at)));
        }
        // A piece with a cloth of its own among others of its place.
        if let Some(cloth) = design.chosen.dress.cloth {
            let edge = together(&design.block.outline.rings().map(|r| r.path().clone()).collect::<Vec<_>>());
            patches.extend(design.at.iter().map(|at| Patch {
                edge: *at * edge.clone(),
                colour: cloth,
                seam: false,
            }));
        }
    }
    let room = w.max(h) * TABLE_ROUND + BINDING_MM;
    Scene {
        shown: whole.inflate(room, room),
        ground: TABLE,
        patches,
        strands: laid,
        loft_mm: work.quilt.loft_mm,
    }
}

fn patch(edge: kurbo::BezPath, rgb: [u8; 3]) -> Patch {
    Patch { edge, colour: Colour { rgb }, seam: true }
}
