//! A picture of pixels → PNG, or JPEG where it is part of a larger file.
//!
//! Written with the `png` and `jpeg-encoder` crates: no date in the file, the same pixels give the same bytes.

use jpeg_encoder::SamplingFactor;
use png::{BitDepth, ColorType, Compression, Encoder};

use crate::views::png::PngError;

/// Of a hundred: no block of the relief shows its edges.
const JPEG_QUALITY: u8 = 86;

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

    /// The picture as a JPEG file: a sixth of the PNG's bytes. Colours are kept at full sharpness, as thread is narrow.
    ///
    /// # Errors
    /// [`PngError::Drawing`] if there are not three bytes for every pixel, no pixel, or more than 65,535 across or down.
    pub fn jpeg(&self) -> Result<Vec<u8>, PngError> {
        let side = |n: u32| {
            u16::try_from(n).map_err(|_| PngError::Drawing { reason: format!("{n} pixels are too many") })
        };
        let (width, height) = (side(self.width)?, side(self.height)?);
        let mut bytes = Vec::new();
        let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, JPEG_QUALITY);
        encoder.set_sampling_factor(SamplingFactor::F_1_1);
        encoder
            .encode(&self.rgb, width, height, jpeg_encoder::ColorType::Rgb)
            .map_err(|e| PngError::Drawing { reason: e.to_string() })?;
        Ok(bytes)
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

    #[test]
    fn a_jpeg_has_its_size_and_a_wrong_one_is_refused() {
        let grey = Pixels { width: 20, height: 9, rgb: vec![90; 540] };
        let bytes = grey.jpeg().unwrap();
        // Start of image, and the frame's header: height and width as two bytes each (ITU-T T.81, B.2.2).
        let frame = bytes.windows(2).position(|w| w == [0xff, 0xc0]).unwrap();
        assert_eq!((&bytes[..2], &bytes[frame + 5..frame + 9]), (&[0xff, 0xd8][..], &[0, 9, 0, 20][..]));
        assert!(Pixels { rgb: vec![0], ..grey.clone() }.jpeg().is_err());
        assert!(Pixels { width: 70_000, height: 1, rgb: vec![0; 210_000] }.jpeg().is_err());
    }
}
