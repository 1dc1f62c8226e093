//! A picture of pixels → PNG.
//!
//! Written with the `png` crate: no date in the file, the same pixels give the same bytes.

use png::{BitDepth, ColorType, Compression, Encoder};

use crate::views::png::PngError;

/// Red, green and blue of every pixel, the rows from the top.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Three bytes a pixel.
    pub rgb: Vec<u8>,
}

impl Pixels {
    /// The picture as a PNG file.
    ///
    /// # Errors
    /// [`PngError::Drawing`] if there are not three bytes for every pixel, or no pixel.
    pub fn png(&self) -> Result<Vec<u8>, PngError> {
        let wrong = |e: png::EncodingError| PngError::Drawing { reason: e.to_string() };
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, self.width, self.height);
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(BitDepth::Eight);
        encoder.set_compression(Compression::Fast);
        encoder.write_header().and_then(|mut w| w.write_image_data(&self.rgb)).map_err(wrong)?;
        Ok(bytes)
    }

    /// The compressed rows of a PNG file: each row with its filter, deflated, as a PDF takes them too.
    #[must_use]
    pub fn rows_of(png: &[u8]) -> Vec<u8> {
        let mut rows = Vec::new();
        let mut rest = png.get(8..).unwrap_or_default();
        while let [a, b, c, d, kind @ ..] = rest {
            let long = u32::from_be_bytes([*a, *b, *c, *d]) as usize;
            if kind.starts_with(b"IDAT") {
                rows.extend_from_slice(kind.get(4..4 + long).unwrap_or_default());
            }
            rest = kind.get(4 + long + 4..).unwrap_or_default();
        }
        rows
    }

    /// Red, green and blue of one pixel.
    #[must_use]
    pub fn at(&self, x: u32, y: u32) -> [u8; 3] {
        let i = (y as usize * self.width as usize + x as usize) * 3;
        [self.rgb[i], self.rgb[i + 1], self.rgb[i + 2]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use resvg::tiny_skia::Pixmap;

    #[test]
    fn what_is_written_reads_back() {
        let pixels = Pixels { width: 2, height: 1, rgb: vec![255, 0, 0, 0, 10, 200] };
        let back = Pixmap::decode_png(&pixels.png().unwrap()).unwrap();
        let got = back.pixel(1, 0).unwrap();
        assert_eq!(([got.red(), got.green(), got.blue()], pixels.at(1, 0)), ([0, 10, 200], [0, 10, 200]));
        assert!(Pixels { rgb: vec![0], ..pixels }.png().is_err());
    }
}
