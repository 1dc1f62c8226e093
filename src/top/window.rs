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

/// A field narrower than this has no room for a line of its own, spacings.
const LEAST_WINDOW: f64 = 8.0;

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
    let fits = fields.into_iter().filter(|f| f.min_side() > LEAST_WINDOW * spacing);
    fits.min_by_key(|f| meander::windows_over(bounds, *f, spacing))
}
