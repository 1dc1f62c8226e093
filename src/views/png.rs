//! A [`Sheet`] → PNG, by way of the SVG, so that both show the same.

use kurbo::Affine;
use resvg::tiny_skia::{FilterQuality, Pixmap, PixmapPaint, Transform};

use crate::views::pixels::Pixels;
use crate::views::sheet::{Image, Item, Sheet};
use crate::views::svg;

/// The widest and the highest picture that is made, pixels: about 400 MB while it is drawn.
pub const WIDEST_PX: u32 = 10_000;

/// Why a picture cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PngError {
    /// Asked for no pixels, or for more than fit in memory.
    #[error("a picture {width_px} pixels wide cannot be made; ask for 1 to {WIDEST_PX} with --png-width")]
    Width {
        /** What was asked for, pixels. */
        width_px: u32,
    },
    /// The height that follows is more than fits in memory.
    #[error(
        "a picture {width_px} pixels wide would be {height_px} pixels high, and at most {WIDEST_PX} are made; ask for at most \
         {most_px} with --png-width"
    )]
    Height {
        /** What was asked for, pixels. */
        width_px: u32,
        /** What follows, pixels. */
        height_px: f64,
        /** The widest that can be made of this page, pixels. */
        most_px: u32,
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
/// [`PngError::Width`] if the width is outside 1 to [`WIDEST_PX`], [`PngError::Height`] if the height that follows is more;
/// [`PngError::Drawing`] if the page has no size or its words cannot be drawn.
pub fn write(sheet: &Sheet, width_px: u32) -> Result<Vec<u8>, PngError> {
    let scale = f64::from(width_px) / sheet.width;
    let height = (sheet.height * scale).round().max(1.0);
    if !(1..=WIDEST_PX).contains(&width_px) {
        return Err(PngError::Width { width_px });
    }
    if height > f64::from(WIDEST_PX) {
        return Err(PngError::Height { width_px, height_px: height, most_px: widest(sheet) });
    }
    let (items, images) = apart(&sheet.items);
    let bare = Sheet { items, ..sheet.clone() };
    let tree = usvg::Tree::from_str(&svg::write(&bare), &usvg::Options::default())
        .map_err(|e| PngError::Drawing { reason: e.to_string() })?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked just above")]
    let height_px = height as u32;
    let mut pixels = Pixmap::new(width_px, height_px).ok_or(PngError::Width { width_px })?;
    #[expect(clippy::cast_precision_loss, reason = "at most ten thousand")]
    let (sx, sy) = (width_px as f32 / tree.size().width(), height_px as f32 / tree.size().height());
    resvg::render(&tree, Transform::from_scale(sx, sy), &mut pixels.as_mut());
    let to_pixels = Affine::new([scale, 0.0, 0.0, -scale, 0.0, sheet.height * scale]);
    for (placed, image) in &images {
        lay(&mut pixels, to_pixels * *placed, image);
    }
    match images.is_empty() {
        true => pixels.encode_png().map_err(|e| PngError::Drawing { reason: e.to_string() }),
        // Cloth packs badly however long one tries.
        false => flat(&pixels).png(),
    }
}

/// The widest picture that can be made of a page, pixels; at least 1.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between 1 and ten thousand"
)]
pub fn widest(sheet: &Sheet) -> u32 {
    let most = f64::from(WIDEST_PX);
    (most * sheet.width / sheet.height).floor().clamp(1.0, most) as u32
}

/// Everything but the pictures of pixels, and those with where they stand.
fn apart(items: &[Item]) -> (Vec<Item>, Vec<(Affine, &Image)>) {
    let (mut kept, mut images) = (Vec::new(), Vec::new());
    for item in items {
        match item {
            Item::Image(image) => images.push((Affine::IDENTITY, image)),
            Item::Group(group) => {
                let (items, inside) = apart(&group.items);
                images.extend(inside.into_iter().map(|(at, image)| (group.placed * at, image)));
                kept.push(Item::Group(crate::views::sheet::Group { items, ..group.clone() }));
            }
            other => kept.push(other.clone()),
        }
    }
    (kept, images)
}

/// Lays a picture of pixels on the page, smoothed where it is made smaller or larger.
fn lay(page: &mut Pixmap, placed: Affine, image: &Image) {
    let Some(picture) = opaque(&image.pixels) else { return };
    let (w, h) = (f64::from(image.pixels.width), f64::from(image.pixels.height));
    let own = Affine::new([image.at.width() / w, 0.0, 0.0, -image.at.height() / h, image.at.x0, image.at.y1]);
    #[expect(clippy::cast_possible_truncation, reason = "a fraction of a pixel")]
    let [a, b, c, d, e, f] = (placed * own).as_coeffs().map(|n| n as f32);
    let paint = PixmapPaint { quality: FilterQuality::Bilinear, ..PixmapPaint::default() };
    page.draw_pixmap(0, 0, picture.as_ref(), &paint, Transform::from_row(a, b, c, d, e, f), None);
}

/// Pixels as the rasteriser takes them.
fn opaque(pixels: &Pixels) -> Option<Pixmap> {
    let mut picture = Pixmap::new(pixels.width, pixels.height)?;
    for (to, from) in picture.data_mut().chunks_exact_mut(4).zip(pixels.rgb.chunks_exact(3)) {
        to[..3].copy_from_slice(from);
        to[3] = u8::MAX;
    }
    Some(picture)
}

/// A page on white paper as pixels.
fn flat(page: &Pixmap) -> Pixels {
    // What is see-through is held as its colour times its opacity, so white comes through by the rest.
    let on_white = |p: &resvg::tiny_skia::PremultipliedColorU8| {
        let white = u8::MAX - p.alpha();
        [p.red() + white, p.green() + white, p.blue() + white]
    };
    let rgb = page.pixels().iter().flat_map(on_white).collect();
    Pixels { width: page.width(), height: page.height(), rgb }
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
    fn a_picture_of_pixels_stands_where_it_should() {
        let pixels = crate::views::pixels::Pixels { width: 2, height: 1, rgb: vec![0, 255, 0, 0, 0, 255] };
        let image = Image::new(Rect::new(10.0, 0.0, 20.0, 5.0), std::sync::Arc::new(pixels)).unwrap();
        let group = sheet::Group::new("", Affine::translate((0.0, 5.0)), vec![Item::Image(image)]);
        let mut sheet = half_red();
        sheet.items.push(Item::Group(group));
        let back = Pixmap::decode_png(&write(&sheet, 200).unwrap()).unwrap();
        let at = |x, y| back.pixel(x, y).map(|p| [p.red(), p.green(), p.blue(), p.alpha()]).unwrap();
        assert_eq!(at(105, 25), [0, 255, 0, 255]);
        assert_eq!(at(195, 25), [0, 0, 255, 255]);
        assert_eq!((at(150, 75), at(50, 25)), ([255; 4], [255, 0, 0, 255]));
    }

    #[test]
    fn a_picture_that_would_be_too_high_is_refused_by_its_height_and_the_width_that_is_offered_is_made() {
        let long = Sheet { height: 200.0, ..half_red() };
        let refused = write(&long, 1600).unwrap_err();
        assert_eq!(
            refused.to_string(),
            "a picture 1600 pixels wide would be 16000 pixels high, and at most 10000 are made; ask for at most 1000 with \
             --png-width"
        );
        assert_eq!(widest(&long), 1000);
        assert_eq!(widest(&Sheet { height: 2e7, ..half_red() }), 1);
        assert!(write(&Sheet { width: 0.2, height: 2.0, ..half_red() }, 1000).is_ok());
    }

    #[test]
    fn no_pixels_and_too_many_are_refused() {
        assert_eq!(write(&half_red(), 0), Err(PngError::Width { width_px: 0 }));
        assert_eq!(write(&half_red(), 1_000_000), Err(PngError::Width { width_px: 1_000_000 }));
    }
}
