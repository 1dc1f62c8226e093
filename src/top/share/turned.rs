//! A piece → the same piece turned by quarters to the left, exactly: every needle hole goes to a hole.

use kurbo::{Affine, Point};

use crate::base::angle::QUARTER_LEFT;
use crate::network::Network;
use crate::stitches::turn::quarter_left;
use crate::survey::hoop::{self, Hoop};
use crate::tailor::Piece;

/// The piece turned about its block's centre, as it is sewn in `hoop` without being turned again.
#[must_use]
pub fn in_hoop(piece: &Piece, quarters: u8, hoop: Hoop) -> Piece {
    let mut piece = piece.clone();
    for _ in 0..quarters % 4 {
        piece = once(piece);
    }
    piece.order.sandwich.hoop = Some(hoop);
    piece.survey.fit = Some(hoop::fit(hoop, piece.stitches.bounds()));
    piece.survey.centre = piece.stitches.centre;
    piece
}

fn once(mut piece: Piece) -> Piece {
    let turn = |p: &mut Point| *p = QUARTER_LEFT * *p;
    piece.order.block = piece.order.block.turned_left();
    piece.drawing.lines.iter_mut().for_each(|line| *line = QUARTER_LEFT * std::mem::take(line));
    piece.network = moved(&piece.network, QUARTER_LEFT);
    piece.stitches = quarter_left(&piece.stitches);
    let survey = &mut piece.survey;
    survey.gap.iter_mut().chain(&mut survey.clear_gap).for_each(|gap| turn(&mut gap.at));
    survey.past.iter_mut().for_each(|(_, at)| turn(at));
    turn(&mut survey.holes.at);
    survey.steps.bounds = QUARTER_LEFT.transform_rect_bbox(survey.steps.bounds);
    piece
}

/// A network moved or turned.
#[must_use]
pub fn moved(network: &Network, by: Affine) -> Network {
    let mut network = network.clone();
    network.nodes.iter_mut().for_each(|p| *p = by * *p);
    network.edges.iter_mut().flat_map(|e| &mut e.chain).for_each(|p| *p = by * *p);
    network
}
