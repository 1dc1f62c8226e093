//! The colours of a quilt's patches on its map: quiet cottons, of one family, that let the quilting speak.

use crate::base::colour::Colour;
use crate::top::file::Quilt;
use crate::top::layout::Design;
use crate::top::place::Place;
use crate::views::sheet::Ink;

/// The binding round the edge.
pub const BINDING: Ink = Ink::new(0x5f_74_7a);

const LINEN: Ink = Ink::new(0xf6_f0_e4);
const MIST: Ink = Ink::new(0xc8_d8_e2);
const SAGE: Ink = Ink::new(0xb4_cd_b4);
const SLATE: Ink = Ink::new(0x8e_a9_b6);
const SAND: Ink = Ink::new(0xee_d7_a4);
const ROSE: Ink = Ink::new(0xe2_b9_ab);
/// Thread on pale cotton.
const DARK_THREAD: Ink = Ink::new(0x6f_6a_5e);
/// Thread on the darker cottons.
const DEEP_THREAD: Ink = Ink::new(0x4a_58_5c);
/// Thread on dark cloth.
const PALE_THREAD: Ink = Ink::new(0xf0_ea_dc);

/// The colour of a patch: that of its place, that of the whole quilt, or one of the map's own. Those of borders alternate from the outside in, so that the outermost is always the same.
pub fn of(place: &Place, quilt: &Quilt) -> Ink {
    let own = match place {
        Place::Border(n) | Place::BorderCorner(n) => {
            quilt.borders.get(n.wrapping_sub(1)).and_then(|b| b.chosen.as_ref())
        }
        _ => quilt.fills.iter().find(|f| f.place == *place && f.at.is_none()).map(|f| &f.chosen),
    };
    let asked = own.and_then(|chosen| chosen.dress.cloth).or(quilt.dress.cloth);
    asked.map_or_else(|| usual(place, quilt), |cloth| Ink { rgb: cloth.rgb, opacity: 1.0 })
}

/// Whether alternate blocks are a place of their own: two colours would look like two pieces where all blocks are one.
pub fn are_apart(quilt: &Quilt) -> bool {
    quilt.fills.iter().any(|f| f.place == Place::AlternateBlocks)
}

fn usual(place: &Place, quilt: &Quilt) -> Ink {
    match place {
        Place::Blocks => LINEN,
        Place::AlternateBlocks if are_apart(quilt) => MIST,
        Place::AlternateBlocks => LINEN,
        Place::SideTriangles | Place::CornerTriangles => SAGE,
        Place::Sashes => SAND,
        Place::Posts => SLATE,
        Place::Odd(_) => ROSE,
        Place::Patch(name) => [LINEN, MIST, SAGE][name.bytes().map(usize::from).sum::<usize>() % 3],
        Place::Border(n) | Place::BorderCorner(n) => {
            if (quilt.borders.len() - n.min(&quilt.borders.len())).is_multiple_of(2) { MIST } else { SAND }
        }
    }
}

/// The colour of a design's cloth: its own, or that of its place.
pub fn of_design(design: &Design, quilt: &Quilt) -> Ink {
    let own = design.chosen.dress.cloth.map(|cloth| Ink { rgb: cloth.rgb, opacity: 1.0 });
    own.unwrap_or_else(|| of(&design.place, quilt))
}

/// The colour of a design's lines: thread that can be seen on its cloth.
pub fn thread(design: &Design, quilt: &Quilt) -> Ink {
    if (Colour { rgb: of_design(design, quilt).rgb }).is_dark() {
        return PALE_THREAD;
    }
    match usual(&design.place, quilt) {
        LINEN | SAND | ROSE => DARK_THREAD,
        _ => DEEP_THREAD,
    }
}
