//! Cells on the ground of a quilt → what lies in one block, cut at its seams, where the neighbours go on.

use kurbo::{Affine, BezPath, Vec2};

use super::{Numbers, On, lay_cell};
use crate::block::Block;
use crate::block::lie::Lie;
use crate::drawing::Drawing;
use crate::drawing::constructions::board::{Board, Ground, even_repeats, repeats};
use crate::drawing::constructions::counts::Fit;
use crate::drawing::constructions::run::run_together;
use crate::drawing::constructions::through::within;
use crate::drawing::settings::Settings;

/// Draws all cells that reach into the block.
pub fn draw(numbers: &Numbers, settings: &Settings, (block, lie): (&Block, &Lie)) -> Drawing {
    let size = settings.number(&numbers.size);
    let count = if numbers.other_row.is_some() { even_repeats } else { repeats };
    let (wide, high) = (lie.module.0 / (size * numbers.width), lie.module.1 / (size * numbers.height));
    let (columns, rows) = (repeats(wide, 1.0).0, count(high, 1.0).0);
    let board = Board { ground: Ground::Quilt(*lie), columns, rows };
    let mut parts = Vec::new();
    let on = On { numbers, settings, region: &block.outline, open: &[] };
    cells(on, &board, lie, block, &mut parts);
    let fit = Fit::of(wide / f64::from(columns), high / f64::from(rows));
    let mut drawing = Drawing { lines: within(&run_together(&parts), &block.inside), ..Drawing::default() };
    drawing.fitted(fit);
    drawing
}

fn cells(on: On, board: &Board, lie: &Lie, block: &Block, out: &mut Vec<BezPath>) {
    let (w, h) = (lie.module.0 / f64::from(board.columns), lie.module.1 / f64::from(board.rows));
    let reach = lie.reach(block.outline.outer.points());
    // A cell's parts may stand out of it by half a cell.
    let (left, right) = ((reach.x0 / w).floor() - 1.0, (reach.x1 / w).ceil() + 1.0);
    let (low, high) =
        ((reach.y0 / h).floor() - 1.0 - f64::from(on.numbers.below), (reach.y1 / h).ceil() + 1.0);
    let mut row = low;
    while row < high {
        let shifted = row.rem_euclid(2.0) == 1.0;
        let other = on.numbers.over_row.as_ref().or(on.numbers.other_row.as_ref()).filter(|_| shifted);
        let cell = other.unwrap_or(&on.numbers.cell);
        let mut column = left;
        while column < right {
            lay_cell(cell, Affine::translate(Vec2::new(column, row)), board, on, out);
            column += 1.0;
        }
        row += 1.0;
    }
}
