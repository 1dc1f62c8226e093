//! How crooked a hooping may be before its stitches meet a seam or the edge of the hoop's field.

use kurbo::{Affine, Point};

use super::seams::outlines;
use crate::base::chain;
use crate::base::units::Units;
use crate::survey::crooked::{self, Leeway};
use crate::survey::hoop::Hoop;
use crate::top::Work;
use crate::views::picture::Picture;
use crate::views::template::notes;

/// The largest turn and shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crooked {
    /// As hooped, until a needle hole meets a seam of the patch that it lies in.
    as_hooped: Option<Leeway>,
    /// With the design turned to suit, until one meets the edge of the field.
    in_field: Option<Leeway>,
}

impl Crooked {
    /// Of one hooping.
    pub fn of(work: &Work, picture: &Picture, to_file: Affine) -> Self {
        let points: Vec<Point> = picture.runs.iter().flatten().copied().collect();
        let in_field = picture.field.map(|(width_mm, height_mm)| {
            crooked::in_hoop(&points, picture.centre, Hoop { width_mm, height_mm, in_inches: false })
        });
        Self { as_hooped: in_patches(work, &points, picture.centre, to_file), in_field }
    }

    /// What is no harm to either of two hoopings.
    pub fn least(self, other: Self) -> Self {
        let both = |a: Option<Leeway>, b: Option<Leeway>| a.into_iter().chain(b).reduce(less);
        Self {
            as_hooped: both(self.as_hooped, other.as_hooped),
            in_field: both(self.in_field, other.in_field),
        }
    }

    /// In a sentence.
    pub fn told(self, units: Units) -> Option<String> {
        notes::crooked_words(self.as_hooped, self.in_field, units)
    }
}

/// The least leeway of the holes in any patch; nothing where no hole lies in one.
fn in_patches(work: &Work, points: &[Point], centre: Point, to_file: Affine) -> Option<Leeway> {
    let round = chain::bounds(points);
    let near = outlines(work, to_file).filter(|outline| chain::bounds(outline).overlaps(round));
    let leeways = near.filter_map(|outline| {
        let inside: Vec<Point> = points.iter().copied().filter(|p| chain::contains(&outline, *p)).collect();
        (!inside.is_empty()).then(|| crooked::within(&inside, centre, &outline))
    });
    leeways.reduce(less)
}

fn less(a: Leeway, b: Leeway) -> Leeway {
    Leeway { turn_deg: a.turn_deg.min(b.turn_deg), shift_mm: a.shift_mm.min(b.shift_mm) }
}
