//! A made [`Piece`] → the [`Picture`] that views draw.

use kurbo::BezPath;

use super::picture::{Fact, Picture};
use crate::base::units::show_length;
use crate::top::piece::Piece;

/// What views need to know of a piece.
#[must_use]
pub fn picture(piece: &Piece) -> Picture {
    let order = &piece.order;
    let block = &order.block;
    let rings = |region: &crate::block::region::Region| -> Vec<BezPath> {
        region.rings().map(|r| r.path().clone()).collect()
    };
    Picture {
        title: order.name.clone(),
        motif: piece.title().to_owned(),
        size: block.shape.describe(order.units),
        outline: rings(&block.outline),
        inside: block.inside.iter().flat_map(rings).collect(),
        runs: piece.stitches.pieces.iter().map(|run| run.points.clone()).collect(),
        centre: piece.stitches.centre,
        field: order.sandwich.hoop.map(|h| (h.width_mm, h.height_mm)),
        facts: facts(piece),
        warnings: piece.report().warnings,
        units: order.units,
    }
}

fn facts(piece: &Piece) -> Vec<Fact> {
    let survey = &piece.survey;
    let mut facts = vec![
        Fact::new("stitches", &thousands(survey.steps.penetrations)),
        Fact::new("minutes", &format!("{:.1}", survey.estimate.minutes)),
        Fact::new("jumps", &survey.jumps().to_string()),
        Fact::new("stitch length", &format!("{:.1} mm", survey.steps.median_mm)),
    ];
    if let Some(gap) = survey.gap {
        facts.push(Fact::new("widest gap", &show_length(gap.widest_mm, piece.order.units)));
    }
    facts
}

/// A count with commas between thousands.
fn thousands(count: usize) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::thousands;

    #[test]
    fn counts_get_commas() {
        assert_eq!(["0", "999", "1,000", "12,345,678"], [0, 999, 1000, 12_345_678].map(thousands)[..]);
    }
}
