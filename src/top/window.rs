//! An all-over motif in a block larger than every field → how large a line of it may be so that no hooping cuts it.

use kurbo::Size;

use super::split;
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::construction::Construction;
use crate::drawing::constructions::meander;
use crate::drawing::motif::Motif;
use crate::drawing::settings::Settings;
use crate::survey::hoop::Hoop;

/// The field with which the fewest windows lie over the block; `None` for another motif, or where one field holds it all.
#[must_use]
pub fn of(motif: &Motif, settings: &Settings, block: &Block, hoops: &[Hoop]) -> Option<Size> {
    if !matches!(motif.construction, Construction::Meander(_)) {
        return None;
    }
    let spacing = settings.number("spacing");
    let bounds = block.inside.iter().map(Region::bounds).reduce(|a, b| a.union(b))?;
    let fields = split::fields(hoops);
    if fields.iter().any(|f| bounds.width() <= f.width && bounds.height() <= f.height) {
        return None;
    }
    fields.into_iter().min_by_key(|f| meander::windows_over(bounds, *f, spacing))
}
