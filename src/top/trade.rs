//! The trade's arithmetic of borders: strips to cut and whole repeats. All lengths in one unit, in and out.
//!
//! A courtesy for the sewing sheet and a check of the sums; no line is drawn from it.

/// Added to a mitred strip beyond two border widths, inches: 6 in, published [115].
pub const MITRE_SPARE_IN: f64 = 6.0;
/// The leaner spare, inches: 1 in, published [116].
pub const MITRE_SPARE_LEAN_IN: f64 = 1.0;

/// The strip to cut for one side of mitred borders: the side, twice their widths, and a spare.
#[must_use]
pub fn mitred_strip(side: f64, widths: &[f64], spare: f64) -> f64 {
    side + 2.0 * widths.iter().sum::<f64>() + spare
}

/// A pieced border for a side of length `a` from blocks of size `b`: how many blocks, and the finished width of the
/// coping strip that makes the top large enough on each side.
#[must_use]
pub fn pieced_border(a: f64, b: f64) -> (f64, f64) {
    let count = crate::base::tolerance::ceil_guarded(a / b);
    (count, (count * b - a) / 2.0)
}

/// Whole repeats of a motif along a length, rounded down, and what each then measures.
#[must_use]
pub fn repeats_down(length: f64, motif: f64) -> (f64, f64) {
    let count = (length / motif + crate::base::tolerance::CEIL_GUARD).floor().max(1.0);
    (count, length / count)
}

/// The length along a border from the middle of one corner to that of the next, of its outer length and its width.
#[must_use]
pub fn between_corners(outer: f64, width: f64) -> f64 {
    outer - width
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn border_sums_agree_with_published_ones() {
        // Side 40, width 5, 6 in spare: 56 [115]. 50 × 60 with 1 + 2½ + 3½ and 1 in spare: 65 and 75 [117].
        assert_eq!(mitred_strip(40.0, &[5.0], MITRE_SPARE_IN), 56.0);
        let widths = [1.0, 2.5, 3.5];
        assert_eq!([50.0, 60.0].map(|side| mitred_strip(side, &widths, MITRE_SPARE_LEAN_IN)), [65.0, 75.0]);
    }

    #[test]
    fn a_pieced_border_gets_its_coping_strip() {
        // 46 by 5: 10 blocks and a strip of 2, cut 2½ [118];
        // 58 by 5: 12 and 1, derived from it.
        assert_eq!(pieced_border(46.0, 5.0), (10.0, 2.0));
        assert_eq!(pieced_border(58.0, 5.0), (12.0, 1.0));
        assert_eq!(crate::block::cutting::square(2.0 * 25.4), 2.5 * 25.4);
    }

    #[test]
    fn repeats_are_whole_as_published() {
        // Motif 3 on 75 and 39: 25 and 13; motif 6 on 75: 12 of 6¼, on 39: 6 of 6½ [119].
        assert_eq!(repeats_down(75.0, 3.0), (25.0, 3.0));
        assert_eq!(repeats_down(39.0, 3.0), (13.0, 3.0));
        assert_eq!(repeats_down(75.0, 6.0), (12.0, 6.25));
        assert_eq!(repeats_down(39.0, 6.0), (6.0, 6.5));
        // 86 × 6: ten repeats of 8 or eight of 10 [121].
        assert_eq!(repeats_down(between_corners(86.0, 6.0), 8.0), (10.0, 8.0));
        assert_eq!(repeats_down(between_corners(86.0, 6.0), 10.0), (8.0, 10.0));
        // Equal units: 40 by 4 gives 10, 40 by 16 units gives 2½ each [122].
        assert_eq!(repeats_down(40.0, 4.0), (10.0, 4.0));
        assert_eq!(repeats_down(40.0, 2.5), (16.0, 2.5));
    }
}
