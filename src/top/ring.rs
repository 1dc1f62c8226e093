//! A border as a ring round the quilt: its sides as straight runs, and the corners between them.
//!
//! A run lies along x in its own coordinates, the quilt's centre above it; the sides are the run turned by quarters: bottom,
//! right, top, left. Where the lines go round the corner in a unit of its own, a run reaches from unit to unit and meets it
//! without a margin; otherwise it is a strip that keeps the margin at its ends as well.

use kurbo::{Affine, Point, Rect};

use super::file::{Chosen, Corner};
use crate::base::tolerance::GRAIN_MM;
use crate::block::region::{Region, Ring as Edge};
use crate::block::shape::Shape;
use crate::block::side::Side;
use crate::block::{self, Block, BlockError};

/// A quilted border whose sides are straight runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Which border, from 1, the innermost first.
    pub number: usize,
    /// Finished widths, mm: bottom, right, top, left; 0 where there is none.
    pub widths: [f64; 4],
    /// Kept clear along its seams, mm.
    pub margin: f64,
    /// What it goes round.
    pub inner: Rect,
    /// How it goes round the corner.
    pub corner: Corner,
    /// True if that was asked for; otherwise its sides butt where its lines find no room to turn.
    pub asked: bool,
    /// Its motif.
    pub chosen: Chosen,
    /// True if lines may travel along the edges where they do not run on.
    pub travel: bool,
    /// The corner unit, where the lines turn or meet at the mitre.
    pub corner_block: Option<Block>,
}

/// Sides of a ring that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Lane {
    /// Finished width, mm.
    pub width: f64,
    /// The length of its strip, mm; where the lines turn, from corner unit to corner unit.
    pub length: f64,
    /// From the strip's middle to the ring's sides, each as its number and the way along the run.
    pub sides: Vec<(usize, f64)>,
}

impl Ring {
    /// How long the side along what it goes round is, mm.
    #[must_use]
    pub fn inner_length(&self, side: usize) -> f64 {
        if side.is_multiple_of(2) { self.inner.width() } else { self.inner.height() }
    }

    /// How far a side's strip reaches beyond what it goes round, at its left and its right end, mm.
    #[must_use]
    pub fn reach(&self, side: usize) -> (f64, f64) {
        if self.corner_block.is_some() { (self.margin, self.margin) } else { self.pieced_reach(side) }
    }

    /// How far a side's strip of cloth reaches beyond what it goes round, along its outer edge, mm; where the lines turn, top
    /// and bottom run out to the edge.
    #[must_use]
    pub fn pieced_reach(&self, side: usize) -> (f64, f64) {
        let (left, right) = (self.widths[(side + 3) % 4], self.widths[(side + 1) % 4]);
        match self.corner {
            Corner::Turn | Corner::Butt if side.is_multiple_of(2) => (left, right),
            Corner::Turn | Corner::Butt | Corner::Square => (0.0, 0.0),
            Corner::Mitre => (left, right),
        }
    }

    /// The sides that there are, those that are alike together.
    #[must_use]
    pub fn lanes(&self) -> Vec<Lane> {
        let mut lanes: Vec<Lane> = Vec::new();
        for side in (0..4).filter(|side| self.widths[*side] > 0.0) {
            let (left, right) = self.reach(side);
            let (width, length) = (self.widths[side], self.inner_length(side) + left + right);
            let one = (side, (right - left) / 2.0);
            let alike = |l: &&mut Lane| l.width == width && (l.length - length).abs() < GRAIN_MM;
            match lanes.iter_mut().find(alike) {
                Some(lane) => lane.sides.push(one),
                None => lanes.push(Lane { width, length, sides: vec![one] }),
            }
        }
        lanes
    }

    /// The block of a whole lane.
    ///
    /// # Errors
    /// [`BlockError::Vanishes`] if the margins leave nothing.
    pub fn block(&self, lane: &Lane) -> Result<Block, BlockError> {
        if self.corner_block.is_some() {
            return self.stretch(lane.width, lane.length);
        }
        block::outline(&Shape::Strip { width: lane.width, length: lane.length }, self.margin)
    }

    /// The block of a stretch of `length` mm along the border, open at both ends.
    ///
    /// # Errors
    /// [`BlockError::Vanishes`] if the margins leave nothing.
    pub fn stretch(&self, width: f64, length: f64) -> Result<Block, BlockError> {
        let height = width - 2.0 * self.margin;
        let ring = |up: f64| Edge::from_points(&rectangle(length, up)).ok_or(BlockError::NoArea);
        if height <= 0.0 {
            let largest_mm = (width * 5.0).floor() / 10.0;
            return Err(BlockError::Vanishes { margin_mm: self.margin, largest_mm });
        }
        Ok(Block {
            shape: Shape::Strip { width, length },
            outline: Region { outer: ring(width)?, holes: Vec::new() },
            inside: vec![Region { outer: ring(height)?, holes: Vec::new() }],
            margin_mm: self.margin,
            open: vec![Side::Left, Side::Right],
            lie: None,
            within: None,
            notes: Vec::new(),
        })
    }

    /// From run coordinates of a side to the quilt; the middle of the run lies below the middle of what the ring goes round.
    #[must_use]
    pub fn side(&self, side: usize) -> Affine {
        let across = self.inner_length(side + 1);
        let turn = f64::from(u8::try_from(side % 4).unwrap_or(0)) * std::f64::consts::FRAC_PI_2;
        Affine::translate(self.inner.center().to_vec2())
            * Affine::rotate(turn)
            * Affine::translate((0.0, -(across + self.widths[side]) / 2.0))
    }

    /// The placings of a lane's strip, moved along by `along` mm.
    #[must_use]
    pub fn places(&self, lane: &Lane, along: f64) -> Vec<Affine> {
        lane.sides
            .iter()
            .map(|(side, off)| self.side(*side) * Affine::translate((off + along, 0.0)))
            .collect()
    }

    /// The corners that there are: width along the run before and height of each, and its placing; bottom right first.
    #[must_use]
    pub fn corners(&self) -> Vec<((f64, f64), Affine)> {
        let mut corners = Vec::new();
        for side in 0..4 {
            let size = (self.widths[(side + 1) % 4], self.widths[side]);
            if size.0 > 0.0 && size.1 > 0.0 {
                let x = (self.inner_length(side) + size.0) / 2.0;
                corners.push((size, self.side(side) * Affine::translate((x, 0.0))));
            }
        }
        corners
    }

    /// What the border goes round, and the border.
    #[must_use]
    pub fn outer(&self) -> Rect {
        let [bottom, right, top, left] = self.widths;
        let r = self.inner;
        Rect::new(r.x0 - left, r.y0 - bottom, r.x1 + right, r.y1 + top)
    }
}

/// The corners of a rectangle about 0,0.
#[must_use]
pub fn rectangle(across: f64, up: f64) -> [Point; 4] {
    let (x, y) = (across / 2.0, up / 2.0);
    [(-x, -y), (x, -y), (x, y), (-x, y)].map(Point::from)
}
