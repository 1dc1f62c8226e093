//! Blocks turned by 45 degrees: those of the rows and those between them, with triangles along the sides and in the corners.
//!
//! With sashing, the setting is one of cells as wide as block and sash: the triangles stay those of the bare block, and
//! posts on the quilt's edge are halves. Rectangles on point are laid like bricks of one wall that is turned, and cut at
//! the quilt's edge: what is left there counts as side triangles, in the corners as corner triangles.

use std::f64::consts::SQRT_2;

use geo::{Area, BooleanOps, Coord, LineString, Polygon};
use kurbo::{Affine, Point, Vec2};

use super::file::top::Top;
use super::place::Place;
use super::setting::{Grid, Ground, Setting, Spot, spot, turned};
use crate::base::chain;
use crate::block::LEAST_MM;
use crate::block::shape::Shape;

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

/// Row and column of a point at cells across and down: the middle of the first block is 1, 1.
fn grid(across: f64, down: f64) -> Grid {
    (down + 0.5, across + 0.5)
}

/// Sets the blocks on point.
pub fn set(top: &Top) -> Setting {
    let (width, height) = (top.columns[0], top.rows[0]);
    if width != height {
        return rectangles(top, (width, height));
    }
    let (columns, rows) = (top.columns.len() as f64, top.rows.len() as f64);
    let diagonal = SQRT_2 * (width + top.sashing.upright);
    let cells = Cells { diagonal, half: Vec2::new(columns, rows) * (diagonal / 2.0) };
    let mut spots = Vec::new();
    let square = Shape::Square { side: width };
    let mut block = |place: Place, across: f64, down: f64| {
        spots.push(spot(place, square.clone(), cells.at(across, down), 45.0, grid(across, down)));
    };
    for row in 0..top.rows.len() {
        for column in 0..top.columns.len() {
            block(Place::Blocks, column as f64 + 0.5, row as f64 + 0.5);
        }
    }
    for row in 1..top.rows.len() {
        for column in 1..top.columns.len() {
            block(Place::AlternateBlocks, column as f64, row as f64);
        }
    }
    triangles(top, &cells, &mut spots);
    let mut half_posts = Vec::new();
    if top.sashing.upright > 0.0 {
        sashes(top, &cells, &mut spots);
        posts(top, &cells, &mut spots, &mut half_posts);
    }
    let side = width + top.sashing.upright;
    let ground = ground(&cells, (side, side));
    Setting { size: (2.0 * cells.half.x, 2.0 * cells.half.y), spots, half_posts, ground }
}

/// From the upper corner of the cell of the first block.
fn ground(cells: &Cells, module: (f64, f64)) -> Ground {
    let corner = cells.at(0.5, 0.0);
    Ground { to_quilt: Affine::translate(corner) * Affine::rotate(45f64.to_radians()), module }
}

fn triangles(top: &Top, cells: &Cells, spots: &mut Vec<Spot>) {
    let block = top.columns[0];
    let (columns, rows) = (top.columns.len() as f64, top.rows.len() as f64);
    let side = Shape::SideTriangle { block };
    let rise = block * SQRT_2 / 4.0;
    let mut add = |across: f64, down: f64, turn_deg: f64| {
        let centre = cells.at(across, down) + turned(Vec2::new(0.0, rise), turn_deg);
        spots.push(spot(Place::SideTriangles, side.clone(), centre, turn_deg, grid(across, down)));
    };
    for column in 1..top.columns.len() {
        add(column as f64, rows, 0.0);
        add(column as f64, 0.0, 180.0);
    }
    for row in 1..top.rows.len() {
        add(columns, row as f64, 90.0);
        add(0.0, row as f64, 270.0);
    }
    let corner = Shape::CornerTriangle { block };
    let inward = block / SQRT_2 / 2.0;
    for (across, down, turn_deg) in
        [(0.0, rows, 0.0), (columns, rows, 90.0), (columns, 0.0, 180.0), (0.0, 0.0, 270.0)]
    {
        let centre = cells.at(across, down) + turned(Vec2::new(inward, inward), turn_deg);
        spots.push(spot(Place::CornerTriangles, corner.clone(), centre, turn_deg, grid(across, down)));
    }
}

/// Every sash lies on one side of exactly one block of the rows.
fn sashes(top: &Top, cells: &Cells, spots: &mut Vec<Spot>) {
    let shape = Shape::Strip { width: top.sashing.upright, length: top.columns[0] };
    for row in 0..top.rows.len() {
        for column in 0..top.columns.len() {
            for (dx, dy, turn_deg) in
                [(-0.25, -0.25, 45.0), (0.25, -0.25, 135.0), (-0.25, 0.25, 135.0), (0.25, 0.25, 45.0)]
            {
                let (across, down) = (column as f64 + 0.5 + dx, row as f64 + 0.5 + dy);
                let centre = cells.at(across, down);
                spots.push(spot(Place::Sashes, shape.clone(), centre, turn_deg, grid(across, down)));
            }
        }
    }
}

fn posts(top: &Top, cells: &Cells, spots: &mut Vec<Spot>, halves: &mut Vec<Vec<Point>>) {
    let (columns, rows) = (top.columns.len(), top.rows.len());
    let mut corners = Vec::new();
    for i in 0..=columns {
        corners.extend((0..rows).map(|j| (i as f64, j as f64 + 0.5, i == 0 || i == columns)));
    }
    for j in 0..=rows {
        corners.extend((0..columns).map(|i| (i as f64 + 0.5, j as f64, j == 0 || j == rows)));
    }
    let sash = top.sashing.upright;
    let reach = sash / SQRT_2;
    for (across, down, on_edge) in corners {
        let centre = cells.at(across, down);
        if !on_edge {
            let square = Shape::Square { side: sash };
            spots.push(spot(Place::Posts, square, centre, 45.0, grid(across, down)));
            continue;
        }
        let tips = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        let inside = |p: &Vec2| p.x.abs() <= cells.half.x + 1e-9 && p.y.abs() <= cells.half.y + 1e-9;
        let tips = tips.map(|(x, y)| centre + Vec2::new(x, y) * reach);
        halves.push(tips.iter().filter(|p| inside(p)).map(|p| p.to_point()).collect());
    }
}

/// A wall of rectangles turned by 45 degrees, cut at the edge of columns and rows of their mean diagonal.
fn rectangles(top: &Top, (width, height): (f64, f64)) -> Setting {
    let diagonal = (width + height) / SQRT_2;
    let (columns, rows) = (top.columns.len() as f64, top.rows.len() as f64);
    let cells = Cells { diagonal, half: Vec2::new(columns, rows) * (diagonal / 2.0) };
    let turn = Affine::rotate(45f64.to_radians());
    let most = ((columns + rows) * diagonal / width.min(height)).ceil() + 1.0;
    let mut spots = Vec::new();
    let mut i = -most;
    while i <= most {
        let mut j = -most;
        while j <= most {
            let centre = turn * Point::new(i * width, j * height);
            spots.extend(brick(&cells, (width, height), centre.to_vec2(), (i + j).rem_euclid(2.0) == 1.0));
            j += 1.0;
        }
        i += 1.0;
    }
    let ground =
        Ground { to_quilt: turn * Affine::translate((-width / 2.0, -height / 2.0)), module: (width, height) };
    Setting { size: (2.0 * cells.half.x, 2.0 * cells.half.y), spots, half_posts: Vec::new(), ground }
}

/// What one rectangle of the wall leaves inside the quilt.
fn brick(cells: &Cells, (width, height): (f64, f64), centre: Vec2, other: bool) -> Option<Spot> {
    let half = cells.half;
    let at = grid((centre.x + half.x) / cells.diagonal, (half.y - centre.y) / cells.diagonal);
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| centre + turned(Vec2::new(x * width / 2.0, y * height / 2.0), 45.0));
    if corners.iter().all(|p| p.x.abs() <= half.x + 1e-6 && p.y.abs() <= half.y + 1e-6) {
        let place = if other { Place::AlternateBlocks } else { Place::Blocks };
        return Some(spot(place, Shape::Rectangle { width, height }, centre, 45.0, at));
    }
    let line = |points: &[Vec2]| points.iter().map(|p| Coord { x: p.x, y: p.y }).collect::<LineString>();
    let quilt =
        [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(x, y)| Vec2::new(x * half.x, y * half.y));
    let left = Polygon::new(line(&corners), Vec::new()).intersection(&Polygon::new(line(&quilt), Vec::new()));
    let left = left.0.into_iter().next().filter(|p| p.unsigned_area() > LEAST_MM * LEAST_MM)?;
    let mut points: Vec<Point> = left.exterior().0.iter().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    if chain::signed_area(&points) < 0.0 {
        points.reverse();
    }
    let middle = chain::bounds(&points).center();
    let corner = quilt.iter().any(|c| points.iter().any(|p| p.distance(c.to_point()) < 1e-6));
    let place = if corner { Place::CornerTriangles } else { Place::SideTriangles };
    let corners = points.into_iter().map(|p| p - middle.to_vec2()).collect();
    Some(spot(place, Shape::Corners { corners }, middle.to_vec2(), 0.0, at))
}
