//! [`Block`] + [`Stitches`] → [`Picture`]: the one place where views meet the stages before them.

use kurbo::BezPath;

use crate::base::units::Units;
use crate::block::Block;
use crate::stitches::Stitches;
use crate::views::picture::Picture;

/// The words that go with a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Names<'a> {
    /// The name that she gave it.
    pub title: &'a str,
    /// The motif in words; empty if unknown.
    pub motif: &'a str,
    /// Shape and size in words.
    pub size: &'a str,
    /// Which unit is printed first.
    pub units: Units,
}

/// A picture of stitches in their block; figures, warnings and the hoop's field are added by whoever knows them.
#[must_use]
pub fn picture(block: Option<&Block>, stitches: &Stitches, names: Names) -> Picture {
    let rings = |regions: &[crate::block::region::Region]| -> Vec<BezPath> {
        regions.iter().flat_map(|region| region.rings().map(|ring| ring.path().clone())).collect()
    };
    Picture {
        title: names.title.into(),
        motif: names.motif.into(),
        size: names.size.into(),
        outline: block.map_or_else(Vec::new, |b| rings(std::slice::from_ref(&b.outline))),
        inside: block.map_or_else(Vec::new, |b| rings(&b.inside)),
        runs: stitches.pieces.iter().map(|run| run.points.clone()).collect(),
        joins: Vec::new(),
        marks: Vec::new(),
        centre: stitches.centre,
        turned: false,
        lie: String::new(),
        field: None,
        facts: Vec::new(),
        warnings: Vec::new(),
        units: names.units,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stitches::Run;
    use kurbo::Point;

    #[test]
    fn stitches_without_a_block_are_framed_by_themselves() {
        let points = vec![Point::new(-1.0, 0.0), Point::new(3.0, 2.0)];
        let stitches = Stitches::new(vec![Run { points, tie_in: 0, tie_off: 0 }]);
        let names = Names { title: "rose", motif: "", size: "", units: Units::Inches };
        let picture = picture(None, &stitches, names);
        assert_eq!(picture.bounds(), picture.trace());
        assert_eq!(picture.ends(), Some((Point::new(-1.0, 0.0), Point::new(3.0, 2.0))));
    }
}
