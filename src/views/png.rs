//! A [`Sheet`] → PNG, by way of the SVG, so that both show the same.

use resvg::tiny_skia::{Pixmap, Transform};

use crate::views::sheet::Sheet;
use crate::views::svg;

/// The widest picture that is made, pixels: about 400 MB while it is drawn.
pub const WIDEST_PX: u32 = 10_000;

/// Why a picture cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PngError {
    /// Asked for no pixels, or for more than fit in memory.
    #[error("a picture {width_px} pixels wide cannot be made; ask for 1 to {WIDEST_PX}")]
    Width {
        /** What was asked for, pixels. */
        width_px: u32,
    },
    /// A relief of more pixels than fit in memory.
    #[error(
        "a relief {width_px} pixels wide cannot be made of this; ask for at most {most_px} with --png-width"
    )]
    Relief {
        /** What was asked for, pixels. */
        width_px: u32,
        /** The widest that can be made, pixels. */
        most_px: u32,
    },
    /// The page cannot be drawn; the words say why.
    #[error("the page cannot be drawn as a picture: {reason}")]
    Drawing {
        /** What went wrong. */
        reason: String,
    },
}

/// Draws a page `width_px` pixels wide, as high as its shape asks.
///
/// # Errors
/// [`PngError::Width`] if the width or the height that follows is outside 1 to [`WIDEST_PX`];
/// [`PngError::Drawing`] if the page has no size or its words cannot be drawn.
pub fn write(sheet: &Sheet, width_px: u32) -> Result<Vec<u8>, PngError> {
    let scale = f64::from(width_px) / sheet.width;
    let height = (sheet.height * scale).round();
    if !(1..=WIDEST_PX).contains(&width_px) || !(1.0..=f64::from(WIDEST_PX)).contains(&height) {
        return Err(PngError::Width { width_px });
    }
    let tree = usvg::Tree::from_str(&svg::write(sheet), &usvg::Options::default())
        .map_err(|e| PngError::Drawing { reason: e.to_string() })?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked just above")]
    let height_px = height as u32;
    let mut pixels = Pixmap::new(width_px, height_px).ok_or(PngError::Width { width_px })?;
    #[expect(clippy::cast_precision_loss, reason = "at most ten thousand")]
    let (sx, sy) = (width_px as f32 / tree.size().width(), height_px as f32 / tree.size().height());
    resvg::render(&tree, Transform::from_scale(sx, sy), &mut pixels.as_mut());
    pixels.encode_png().map_err(|e| PngError::Drawing { reason: e.to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::sheet::{self, Ink};
    use kurbo::Rect;

    fn half_red() -> Sheet {
        let red = sheet::fill(sheet::rectangle(Rect::new(0.0, 0.0, 10.0, 10.0)), Ink::new(0xff_00_00));
        Sheet { title: "t".into(), description: "d".into(), width: 20.0, height: 10.0, items: vec![red] }
    }

    #[test]
    fn the_picture_is_as_wide_as_asked_and_shows_the_sheet() {
        let bytes = write(&half_red(), 200).unwrap();
        let back = Pixmap::decode_png(&bytes).unwrap();
        assert_eq!((back.width(), back.height()), (200, 100));
        let at = |x, y| back.pixel(x, y).unwrap();
        assert_eq!((at(50, 50).red(), at(50, 50).alpha()), (255, 255));
        assert_eq!(at(150, 50).alpha(), 0);
    }

    #[test]
    fn no_pixels_and_too_many_are_refused() {
        assert_eq!(write(&half_red(), 0), Err(PngError::Width { width_px: 0 }));
        assert_eq!(write(&half_red(), 1_000_000), Err(PngError::Width { width_px: 1_000_000 }));
    }
}
