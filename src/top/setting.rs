//! How the blocks are set: [`Top`] and odd blocks → the spots of the quilt's centre, each with its shape and its placing.
//!
//! Straight: columns and rows, with sashes between and posts where they meet. On point: blocks turned by 45 degrees,
//! those of the rows and those between them, with triangles along the sides and in the corners. With sashing, a setting
//! on point is one of cells as wide as block and sash: the triangles stay those of the bare block, and posts on the
//! quilt's edge are halves.
//! Quilt coordinates: mm, 0,0 in the centre, x right, y up.

use std::f64::consts::SQRT_2;

use kurbo::{Affine, Point, Vec2};

use super::file::{Odd, Top};
use super::place::Place;
use crate::block::shape::Shape;

/// One patch of the quilt's centre.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// What it is.
    pub place: Place,
    /// What it would be if it were not odd.
    pub usual: Place,
    /// Its shape.
    pub shape: Shape,
    /// From block coordinates to the quilt.
    pub at: Affine,
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
}

/// Sets the blocks.
#[must_use]
pub fn set(top: &Top, odds: &[Odd]) -> Setting {
    let mut setting = if top.on_point { on_point(top) } else { straight(top) };
    for odd in odds {
        replace(&mut setting, odd, top);
    }
    setting
}

/// A spot under construction.
fn spot(place: Place, shape: Shape, centre: Vec2, turn_deg: f64) -> Spot {
    let at = Affine::translate(centre) * Affine::rotate(turn_deg.to_radians());
    Spot { usual: place.clone(), place, shape, at }
}

fn straight(top: &Top) -> Setting {
    let (w, h) = top.block;
    let (s, frame) = (top.sashing, if top.outer_sashing { top.sashing } else { 0.0 });
    let (columns, rows) = (f64::from(top.columns), f64::from(top.rows));
    let size = (columns * w + (columns - 1.0) * s + 2.0 * frame, rows * h + (rows - 1.0) * s + 2.0 * frame);
    let x = |column: f64| -size.0 / 2.0 + frame + w / 2.0 + column * (w + s);
    let y = |row: f64| size.1 / 2.0 - frame - h / 2.0 - row * (h + s);
    let mut spots = Vec::new();
    for row in 0..top.rows {
        for column in 0..top.columns {
            let place = if (row + column) % 2 == 1 { Place::AlternateBlocks } else { Place::Blocks };
            let centre = Vec2::new(x(column.into()), y(row.into()));
            spots.push(spot(place, block_shape(w, h), centre, 0.0));
        }
    }
    if s > 0.0 {
        let lines = |count: u32| -> Vec<f64> {
            let ends = if top.outer_sashing { (0, count + 1) } else { (1, count) };
            (ends.0..ends.1).map(|i| f64::from(i) - 0.5).collect()
        };
        let (upright, level) = (lines(top.columns), lines(top.rows));
        for row in 0..top.rows {
            for column in &upright {
                let shape = Shape::Strip { width: s, length: h };
                spots.push(spot(Place::Sashes, shape, Vec2::new(x(*column), y(row.into())), 90.0));
            }
        }
        for row in &level {
            for column in 0..top.columns {
                let shape = Shape::Strip { width: s, length: w };
                spots.push(spot(Place::Sashes, shape, Vec2::new(x(column.into()), y(*row)), 0.0));
            }
            for column in &upright {
                let centre = Vec2::new(x(*column), y(*row));
                spots.push(spot(Place::Posts, Shape::Square { side: s }, centre, 0.0));
            }
        }
    }
    Setting { size, spots, half_posts: Vec::new() }
}

fn block_shape(width: f64, height: f64) -> Shape {
    if width == height { Shape::Square { side: width } } else { Shape::Rectangle { width, height } }
}

/// The frame of a setting on point: cells of side `cell`, their diagonal, and the quilt's half width and height.
struct Cells {
    diagonal: f64,
    half: Vec2,
}

impl Cells {
    /// A point at whole or half cells across and down from the top left corner.
    fn at(&self, across: f64, down: f64) -> Vec2 {
        Vec2::new(across * self.diagonal - self.half.x, self.half.y - down * self.diagonal)
    }
}

fn on_point(top: &Top) -> Setting {
    let (block, _) = top.block;
    let (columns, rows) = (f64::from(top.columns), f64::from(top.rows));
    let diagonal = SQRT_2 * (block + top.sashing);
    let cells = Cells { diagonal, half: Vec2::new(columns, rows) * (diagonal / 2.0) };
    let mut spots = Vec::new();
    let square = Shape::Square { side: block };
    for row in 0..top.rows {
        for column in 0..top.columns {
            let centre = cells.at(f64::from(column) + 0.5, f64::from(row) + 0.5);
            spots.push(spot(Place::Blocks, square.clone(), centre, 45.0));
        }
    }
    for row in 1..top.rows {
        for column in 1..top.columns {
            let centre = cells.at(column.into(), row.into());
            spots.push(spot(Place::AlternateBlocks, square.clone(), centre, 45.0));
        }
    }
    triangles(top, &cells, &mut spots);
    let mut half_posts = Vec::new();
    if top.sashing > 0.0 {
        sashes_on_point(top, &cells, &mut spots);
        posts_on_point(top, &cells, &mut spots, &mut half_posts);
    }
    Setting { size: (2.0 * cells.half.x, 2.0 * cells.half.y), spots, half_posts }
}

fn triangles(top: &Top, cells: &Cells, spots: &mut Vec<Spot>) {
    let (block, _) = top.block;
    let (columns, rows) = (f64::from(top.columns), f64::from(top.rows));
    let side = Shape::SideTriangle { block };
    let rise = block * SQRT_2 / 4.0;
    let mut add = |middle: Vec2, turn_deg: f64| {
        let centre = middle + turned(Vec2::new(0.0, rise), turn_deg);
        spots.push(spot(Place::SideTriangles, side.clone(), centre, turn_deg));
    };
    for column in 1..top.columns {
        add(cells.at(column.into(), rows), 0.0);
        add(cells.at(column.into(), 0.0), 180.0);
    }
    for row in 1..top.rows {
        add(cells.at(columns, row.into()), 90.0);
        add(cells.at(0.0, row.into()), 270.0);
    }
    let corner = Shape::CornerTriangle { block };
    let inward = block / SQRT_2 / 2.0;
    for (across, down, turn_deg) in
        [(0.0, rows, 0.0), (columns, rows, 90.0), (columns, 0.0, 180.0), (0.0, 0.0, 270.0)]
    {
        let centre = cells.at(across, down) + turned(Vec2::new(inward, inward), turn_deg);
        spots.push(spot(Place::CornerTriangles, corner.clone(), centre, turn_deg));
    }
}

/// Every sash lies on one side of exactly one block of the rows.
fn sashes_on_point(top: &Top, cells: &Cells, spots: &mut Vec<Spot>) {
    let shape = Shape::Strip { width: top.sashing, length: top.block.0 };
    for row in 0..top.rows {
        for column in 0..top.columns {
            for (dx, dy, turn_deg) in
                [(-0.25, -0.25, 45.0), (0.25, -0.25, 135.0), (-0.25, 0.25, 135.0), (0.25, 0.25, 45.0)]
            {
                let centre = cells.at(f64::from(column) + 0.5 + dx, f64::from(row) + 0.5 + dy);
                spots.push(spot(Place::Sashes, shape.clone(), centre, turn_deg));
            }
        }
    }
}

fn posts_on_point(top: &Top, cells: &Cells, spots: &mut Vec<Spot>, halves: &mut Vec<Vec<Point>>) {
    let (columns, rows) = (top.columns, top.rows);
    let mut corners = Vec::new();
    for i in 0..=columns {
        corners.extend((0..rows).map(|j| (f64::from(i), f64::from(j) + 0.5, i == 0 || i == columns)));
    }
    for j in 0..=rows {
        corners.extend((0..columns).map(|i| (f64::from(i) + 0.5, f64::from(j), j == 0 || j == rows)));
    }
    let reach = top.sashing / SQRT_2;
    for (across, down, on_edge) in corners {
        let centre = cells.at(across, down);
        if !on_edge {
            spots.push(spot(Place::Posts, Shape::Square { side: top.sashing }, centre, 45.0));
            continue;
        }
        let tips = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let inside = |p: &Vec2| p.x.abs() <= cells.half.x + 1e-9 && p.y.abs() <= cells.half.y + 1e-9;
        let tips = tips.map(|(x, y)| centre + Vec2::new(x, y) * reach);
        halves.push(tips.iter().filter(|p| inside(p)).map(|p| p.to_point()).collect());
    }
}

fn turned(v: Vec2, turn_deg: f64) -> Vec2 {
    (Affine::rotate(turn_deg.to_radians()) * v.to_point()).to_vec2()
}

/// Puts an odd block in the place of a usual one, centre on centre.
fn replace(setting: &mut Setting, odd: &Odd, top: &Top) {
    let index = if top.on_point && odd.at.0.fract() > 0.0 {
        let between = (odd.at.1 - 1.5) * f64::from(top.columns - 1) + odd.at.0 - 1.5;
        f64::from(top.rows * top.columns) + between
    } else {
        (odd.at.1 - 1.0) * f64::from(top.columns) + odd.at.0 - 1.0
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    if let Some(spot) = setting.spots.get_mut(index.round().max(0.0) as usize) {
        spot.place = Place::Odd(odd.name.clone());
        spot.shape = odd.shape.clone();
    }
}
