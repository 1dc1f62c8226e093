//! A batting's name and the thickness sewn down → how high the cloth stands between the lines, for pictures.
//!
//! Loose cotton batting is about 3 mm thick, wool 13 mm, polyester 10 mm and more [37] [38]. How much of that is left
//! between lines of quilting is from memory, no source: it shapes the picture and nothing else.

use super::estimate::DEFAULT_THICKNESS_MM;

/// Above the stitched plane, mm, for three layers of the usual thickness.
const LOFTS: [(&str, f64); 8] = [
    ("cotton with scrim", 2.0),
    ("needled cotton", 2.2),
    ("plain cotton", 2.2),
    ("80/20", 2.6),
    ("polyester", 3.6),
    ("wool", 4.0),
    ("bamboo", 2.2),
    ("silk", 2.6),
];
/// Of a batting that is not named, mm.
pub const UNKNOWN_MM: f64 = 2.6;
/// Layers thicker than usual have more to lift, thinner ones less, up to these parts.
const PARTS: std::ops::RangeInclusive<f64> = 0.4..=2.0;

/// How high the cloth stands between lines far apart, mm above the stitched plane; `thickness_mm` is that of the three
/// layers sewn down.
#[must_use]
pub fn loft_mm(batting: Option<&str>, thickness_mm: f64) -> f64 {
    let name = batting.map(|b| b.trim().to_lowercase());
    let known = LOFTS.iter().find(|(n, _)| name.as_deref() == Some(n)).map_or(UNKNOWN_MM, |(_, mm)| *mm);
    let part = (thickness_mm / DEFAULT_THICKNESS_MM).clamp(*PARTS.start(), *PARTS.end());
    known * if part.is_nan() { 1.0 } else { part }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::batting::BATTINGS;

    #[test]
    fn every_batting_has_a_loft_and_thicker_layers_stand_higher() {
        for batting in BATTINGS.iter().filter(|b| b.name != "unknown") {
            assert!(LOFTS.iter().any(|(name, _)| *name == batting.name), "{}", batting.name);
        }
        assert_eq!(loft_mm(Some(" Wool "), 1.5), 4.0);
        assert_eq!(loft_mm(Some("wool"), 3.0), 8.0);
        assert_eq!(loft_mm(None, 1.5), UNKNOWN_MM);
        assert_eq!(loft_mm(None, 0.0), UNKNOWN_MM * 0.4);
    }
}
