//! The trade's arithmetic of borders: strips to cut. All lengths in one unit, in and out.
//!
//! A courtesy for the sewing sheet; no line is drawn from it.

/// Added to a mitred strip beyond two border widths, inches: 6 in, published [115].
pub const MITRE_SPARE_IN: f64 = 6.0;

/// The strip to cut for one side of mitred borders: the side, twice their widths, and a spare.
#[must_use]
pub fn mitred_strip(side: f64, widths: &[f64], spare: f64) -> f64 {
    side + 2.0 * widths.iter().sum::<f64>() + spare
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn border_sums_agree_with_published_ones() {
        // Side 40, width 5, 6 in spare: 56 [115]. 50 × 60 with 1 + 2½ + 3½ and 1 in spare: 65 and 75 [117].
        assert_eq!(mitred_strip(40.0, &[5.0], MITRE_SPARE_IN), 56.0);
        let widths = [1.0, 2.5, 3.5];
        assert_eq!([50.0, 60.0].map(|side| mitred_strip(side, &widths, 1.0)), [65.0, 75.0]);
    }
}
