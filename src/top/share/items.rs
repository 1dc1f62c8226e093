//! Everything that is sewn, at every place → items, and the box of each as the quilt lies in the hoop.

use std::collections::BTreeMap;

use kurbo::{Affine, Point, Rect};

use crate::base::chain;
use crate::base::tolerance::GRID_MM;
use crate::tailor::Piece;
use crate::top::file::Quilt;
use crate::top::layout::{Design, Layout};
use crate::top::place::Place;
use crate::top::sewing::Made;

/// One piece, or one part of a large piece, at one place on the quilt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Item {
    /// Which of the layout's designs.
    pub design: usize,
    /// Which of its parts; 0 for a piece that is sewn whole.
    pub part: usize,
    /// From block coordinates to the quilt.
    pub at: Affine,
    /// True if it is hooped by itself.
    pub alone: bool,
}

/// Items that look alike in the hoop: design, part, and turn in thousandths of a degree.
pub type Kind = (usize, usize, i64);

impl Item {
    /// How far it is turned to the left on the quilt, degrees in [0, 360), to a thousandth.
    #[must_use]
    pub fn turn_deg(&self) -> f64 {
        let [a, b, ..] = self.at.as_coeffs();
        turned(b.atan2(a).to_degrees())
    }

    /// What it looks like when the quilt lies turned to the left by `lie_deg`.
    #[must_use]
    pub fn kind(&self, lie_deg: f64) -> Kind {
        #[expect(clippy::cast_possible_truncation, reason = "at most 360000")]
        let turn = (turned(self.turn_deg() + lie_deg) * 1e3).round() as i64;
        (self.design, self.part, turn)
    }

    /// Its block's centre on the quilt.
    #[must_use]
    pub fn centre(&self) -> Point {
        self.at * Point::ZERO
    }
}

/// An angle in [0, 360), to a thousandth of a degree.
#[must_use]
pub fn turned(deg: f64) -> f64 {
    (deg.rem_euclid(360.0) * 1e3).round() / 1e3 % 360.0 + 0.0
}

/// All items, design by design.
#[must_use]
pub fn list(made: &[Made], layout: &Layout, quilt: &Quilt) -> Vec<Item> {
    let mut items = Vec::new();
    for (number, (design, made)) in layout.designs.iter().zip(made).enumerate() {
        let alone = !(quilt.hooping.share && may_share(design, quilt));
        for at in &design.at {
            let parts = 0..made.sewn.len();
            items.extend(parts.map(|part| Item { design: number, part, at: *at, alone }));
        }
    }
    items
}

fn may_share(design: &Design, quilt: &Quilt) -> bool {
    match design.place {
        Place::Border(n) | Place::BorderCorner(n) => {
            quilt.borders.get(n.wrapping_sub(1)).is_none_or(|b| b.share)
        }
        _ => design.fill.and_then(|f| quilt.fills.get(f)).is_none_or(|f| f.share),
    }
}

/// The box of each item as the quilt lies turned to the left by `lie_deg`: its lines and its needle holes, and a step of the
/// machine all round, which rounding the holes may take.
#[must_use]
pub fn boxes(items: &[Item], made: &[Made], lie_deg: f64) -> Vec<Rect> {
    let lie = Affine::rotate(lie_deg.to_radians());
    let mut known: BTreeMap<Kind, Rect> = BTreeMap::new();
    let mut boxed = |item: &Item| {
        let to_frame = lie * item.at;
        let middle = to_frame * Point::ZERO;
        let about = *known.entry(item.kind(lie_deg)).or_insert_with(|| {
            let piece = &made[item.design].sewn[item.part].piece;
            let drawn = piece.network.edges.iter().filter(|e| e.is_drawn()).flat_map(|e| &e.chain);
            let points: Vec<Point> = drawn.copied().chain(piece.stitches.points()).collect();
            let points: Vec<Point> = points.into_iter().map(|p| to_frame * p).collect();
            chain::bounds(&points) - middle.to_vec2()
        });
        (about + middle.to_vec2()).inflate(GRID_MM, GRID_MM)
    };
    items.iter().map(&mut boxed).collect()
}

/// The box of a piece's needle holes, turned by whole quarters to the left.
#[must_use]
pub fn alone(piece: &Piece, quarters: u8) -> Rect {
    let bounds = piece.stitches.bounds();
    let quarter = crate::base::angle::QUARTER_LEFT;
    (0..quarters).fold(bounds, |b, _| quarter.transform_rect_bbox(b))
}
