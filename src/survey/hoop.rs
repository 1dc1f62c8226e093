//! A hoop's sewing field → whether a design fits it, and if not, what would.
//!
//! The field is what the machine can reach, not the hoop's name: "hoop size" is a rounded name, and a 4 in design is
//! refused by a "4 × 4" field of 100 mm, published [92]. The design is taken as centred in the field.

use std::fmt;
use std::str::FromStr;

use kurbo::{Rect, Size};

use super::SurveyError;
use crate::base::tolerance::{CEIL_GUARD, ceil_guarded};
use crate::base::units::{self, LengthError, Units, read_length};

/// Kept free inside the field on every side, mm: a needle on the hoop breaks, and a field's centre need not be the
/// hoop's. Common practice is at least 1 mm; that a buffer is needed is published [86].
pub const CLEARANCE_MM: f64 = 1.0;
/// Sides that a sewing field can have, mm: from a small badge hoop to more than the largest border hoop.
pub const FIELD_MIN_MM: f64 = 20.0;
/// See [`FIELD_MIN_MM`].
pub const FIELD_MAX_MM: f64 = 1500.0;

/// Common sewing fields, mm, smallest area first; the short side first.
/// Published [85] [86] [87] [88] [89] but for 120 × 120, 130 × 130, 130 × 300, 250 × 250 and the last two, which
/// are from memory.
pub const FIELDS_MM: [(f64, f64); 19] = [
    (100.0, 100.0),
    (110.0, 110.0),
    (120.0, 120.0),
    (130.0, 130.0),
    (150.0, 150.0),
    (130.0, 180.0),
    (150.0, 240.0),
    (130.0, 300.0),
    (200.0, 200.0),
    (160.0, 260.0),
    (200.0, 260.0),
    (230.0, 230.0),
    (200.0, 300.0),
    (250.0, 250.0),
    (230.0, 300.0),
    (200.0, 360.0),
    (272.0, 272.0),
    (230.0, 360.0),
    (272.0, 408.0),
];

/// A hoop's sewing field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hoop {
    /// Across, mm.
    pub width_mm: f64,
    /// Up, mm.
    pub height_mm: f64,
    /// True if it was given in inches, and so may be the hoop's name rather than its field.
    pub in_inches: bool,
}

/// How a design lies in a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The field.
    pub hoop: Hoop,
    /// True if the design fits as it will be sewn, [`CLEARANCE_MM`] kept free all round.
    pub fits: bool,
    /// True if it fits only when turned a quarter; if `fits` as well, it is sewn turned a quarter to the left.
    pub turned: bool,
    /// What is left of the field across and up, clearance taken off, mm, with the design turned if `turned`;
    /// negative where the design is too large.
    pub spare_mm: [f64; 2],
}

/// A design that does not fit, neither as it lies nor turned a quarter, and what would help.
#[derive(Debug, Clone, PartialEq)]
pub struct Misfit {
    /// The design, mm.
    pub size: Size,
    /// The field.
    pub hoop: Hoop,
    /// The smallest common field that takes it, mm, as it lies or turned by 90 degrees.
    pub larger_mm: Option<(f64, f64)>,
    /// Rough count of hoopings across and up; joins need a little more.
    pub hoopings: (u32, u32),
    /// A margin with which it was found to fit, as the option takes it.
    pub margin: Option<String>,
    /// A smaller block that was found to fit, as an option.
    pub smaller: Option<String>,
    /// In how many hoopings it was found to be sewn.
    pub counted: Option<usize>,
    /// Which unit is printed first.
    pub units: Units,
}

impl FromStr for Hoop {
    type Err = SurveyError;

    /// Reads `200x200mm`, `200 x 300 mm`, `20 x 30 cm`, `8x8in` or `8" x 11 3/4"`: across, then up.
    fn from_str(text: &str) -> Result<Self, SurveyError> {
        let not_read = || SurveyError::HoopNotRead { text: text.trim().into() };
        let (across, up) = text.split_once(['x', 'X', '×']).ok_or_else(not_read)?;
        let (across, up) = (across.trim(), up.trim());
        let unit = up.trim_start_matches(|c: char| c.is_ascii_digit() || " ./-".contains(c));
        let across = if across.ends_with(|c: char| c.is_ascii_digit() || c == '.') {
            format!("{across}{unit}")
        } else {
            across.to_string()
        };
        let side = |text: &str| match read_length(text) {
            Ok(mm) if (FIELD_MIN_MM..=FIELD_MAX_MM).contains(&mm) => Ok(mm),
            Ok(_) | Err(LengthError::OutOfRange { .. }) => {
                Err(SurveyError::HoopOutOfRange { text: text.into() })
            }
            Err(_) => Err(not_read()),
        };
        let in_inches = !unit.to_lowercase().ends_with('m');
        Ok(Hoop { width_mm: side(&across)?, height_mm: side(up)?, in_inches })
    }
}

impl fmt::Display for Hoop {
    /// `200 x 300 mm`: fields are named by millimetres alone.
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&show_field(self.width_mm, self.height_mm))
    }
}

/// How a design with these bounds lies in the field of `hoop`.
#[must_use]
pub fn fit(hoop: Hoop, bounds: Rect) -> Fit {
    let as_it_lies = spare(hoop.width_mm, hoop.height_mm, bounds.size());
    let on_its_side = spare(hoop.width_mm, hoop.height_mm, turned(bounds.size()));
    let fits = is_room(as_it_lies);
    let turned = !fits && is_room(on_its_side);
    Fit { hoop, fits, turned, spare_mm: if turned { on_its_side } else { as_it_lies } }
}

/// Says how a design is sewn in `hoop`: as it lies, or turned a quarter to the left where only that fits.
///
/// # Errors
/// [`SurveyError::TooLarge`] for a design that fits neither way, with the larger field or the number of hoopings that
/// would help.
pub fn admit(hoop: Hoop, bounds: Rect, units: Units) -> Result<Fit, SurveyError> {
    let fit = fit(hoop, bounds);
    if fit.fits || fit.turned {
        return Ok(Fit { fits: true, ..fit });
    }
    let size = bounds.size();
    Err(SurveyError::TooLarge(Box::new(Misfit {
        size,
        hoop,
        larger_mm: larger(size),
        hoopings: hoopings(hoop, size),
        margin: None,
        smaller: None,
        counted: None,
        units,
    })))
}

impl fmt::Display for Misfit {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let [width, height] =
            [self.size.width, self.size.height].map(|mm| units::show_length(mm, self.units));
        let (across, up) = (usable(self.hoop.width_mm), usable(self.hoop.height_mm));
        write!(
            f,
            "the stitches are {width} wide and {height} high, but a field of {} takes {} with {CLEARANCE_MM} mm \
             kept free all round",
            self.hoop,
            show_field(across, up)
        )
    }
}

impl Misfit {
    /// What to do about it, in one line.
    #[must_use]
    pub fn hint(&self) -> String {
        let mut ways = Vec::new();
        ways.extend(self.margin.iter().map(|m| format!("keep more clear inside the seam: --margin {m}")));
        ways.extend(self.smaller.iter().map(|option| format!("make a smaller block: {option}")));
        ways.extend(self.larger_mm.map(|(w, h)| format!("take a larger hoop: --hoop {w}x{h}mm")));
        let (across, up) = self.hoopings;
        ways.push(match self.counted {
            Some(count) => format!("let `thrice quilt` sew it in {count} hoopings"),
            None => format!("let `thrice quilt` split it over about {} hoopings", across * up),
        });
        ways.join(", or ")
    }
}

fn show_field(width: f64, height: f64) -> String {
    format!("{} x {}", units::show_mm(width).trim_end_matches(" mm"), units::show_mm(height))
}

fn usable(side_mm: f64) -> f64 {
    side_mm - 2.0 * CLEARANCE_MM
}

fn turned(size: Size) -> Size {
    Size::new(size.height, size.width)
}

fn spare(width_mm: f64, height_mm: f64, size: Size) -> [f64; 2] {
    [usable(width_mm) - size.width, usable(height_mm) - size.height]
}

fn is_room(spare_mm: [f64; 2]) -> bool {
    spare_mm.iter().all(|mm| *mm >= -CEIL_GUARD)
}

/// The largest part of its size at which a design fits, as it lies or turned a quarter; at most 1.
#[must_use]
pub fn largest_part(hoop: Hoop, size: Size) -> f64 {
    let lying = |s: Size| (usable(hoop.width_mm) / s.width).min(usable(hoop.height_mm) / s.height);
    lying(size).max(lying(turned(size))).min(1.0)
}

fn larger(size: Size) -> Option<(f64, f64)> {
    let lying = |w: f64, h: f64| is_room(spare(w, h, size));
    FIELDS_MM.iter().find_map(|&(short, long)| {
        if lying(short, long) {
            Some((short, long))
        } else if lying(long, short) {
            Some((long, short))
        } else {
            None
        }
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a quilt over a field of at least 20 mm"
)]
fn hoopings(hoop: Hoop, size: Size) -> (u32, u32) {
    let count = |size: Size| {
        let across = ceil_guarded(size.width / usable(hoop.width_mm)).max(1.0) as u32;
        let up = ceil_guarded(size.height / usable(hoop.height_mm)).max(1.0) as u32;
        (across, up)
    };
    let (as_it_lies, (up, across)) = (count(size), count(turned(size)));
    if across * up < as_it_lies.0 * as_it_lies.1 { (across, up) } else { as_it_lies }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hoop(text: &str) -> Hoop {
        text.parse().unwrap()
    }

    fn rect(width: f64, height: f64) -> Rect {
        Rect::new(-width / 2.0, -height / 2.0, width / 2.0, height / 2.0)
    }

    /// Message and hint for a rectangle of stitches.
    fn refused(field: &str, width: f64, height: f64) -> (String, String) {
        let refused = admit(hoop(field), rect(width, height), Units::Inches).unwrap_err();
        (refused.to_string(), refused.hint().unwrap())
    }

    #[test]
    fn every_way_of_writing_a_field_is_read() {
        for (text, width, height) in [
            ("200x200mm", 200.0, 200.0),
            ("200 x 300 mm", 200.0, 300.0),
            ("200mm X 300mm", 200.0, 300.0),
            ("20 × 30 cm", 200.0, 300.0),
            ("8x8in", 203.2, 203.2),
            ("8\" x 11 3/4\"", 203.2, 298.45),
            ("8 1/2 x 11in", 215.9, 279.4),
        ] {
            let read = hoop(text);
            assert!(
                (read.width_mm - width).abs() < 1e-9 && (read.height_mm - height).abs() < 1e-9,
                "{text}: {read}"
            );
            assert_eq!(read.in_inches, text.contains("in") || text.contains('"'), "{text}");
        }
    }

    #[test]
    fn a_field_that_is_none_is_refused() {
        for text in
            ["", "x", "200", "200mm", "200x200", "200x", "x200mm", "200 by 200 mm", "NaNxNaNmm", "2x3x4mm"]
        {
            assert!(matches!(text.parse::<Hoop>(), Err(SurveyError::HoopNotRead { .. })), "{text}");
        }
        for text in ["8x8mm", "200x2000mm", "0x200mm", "200x999999mm"] {
            assert!(matches!(text.parse::<Hoop>(), Err(SurveyError::HoopOutOfRange { .. })), "{text}");
        }
    }

    #[test]
    fn a_field_prints_in_millimetres_and_reads_back() {
        assert_eq!(hoop("200x300mm").to_string(), "200 x 300 mm");
        assert_eq!(hoop(&hoop("8x8in").to_string()).to_string(), "203.2 x 203.2 mm");
    }

    #[test]
    fn a_millimetre_is_kept_free_all_round() {
        let field = hoop("200x200mm");
        assert_eq!(fit(field, rect(198.0, 190.0)).spare_mm, [0.0, 8.0]);
        assert!(fit(field, rect(198.0, 198.0)).fits);
        assert!(!fit(field, rect(198.1, 198.0)).fits);
    }

    #[test]
    fn a_four_inch_design_is_refused_by_the_four_inch_hoop() {
        // 4.00 in does not load in a field of 100 mm [92].
        let (message, hint) = refused("100x100mm", 101.6, 101.6);
        assert_eq!(
            message,
            "the stitches are 4 in (101.6 mm) wide and 4 in (101.6 mm) high, but a field of 100 x 100 mm takes \
             98 x 98 mm with 1 mm kept free all round"
        );
        assert_eq!(
            hint,
            "take a larger hoop: --hoop 110x110mm, or let `thrice quilt` split it over about 4 hoopings"
        );
    }

    #[test]
    fn a_design_that_fits_only_turned_is_sewn_turned() {
        let lying = fit(hoop("130x180mm"), rect(170.0, 100.0));
        assert_eq!((lying.fits, lying.turned, lying.spare_mm), (false, true, [28.0, 8.0]));
        let sewn = admit(hoop("130x180mm"), rect(170.0, 100.0), Units::Inches).unwrap();
        assert_eq!(sewn, Fit { fits: true, ..lying });
        let upright = admit(hoop("130x180mm"), rect(100.0, 170.0), Units::Inches).unwrap();
        assert!(upright.fits && !upright.turned);
        assert!((largest_part(hoop("130x180mm"), Size::new(190.0, 100.0)) - 178.0 / 190.0).abs() < 1e-9);
        assert_eq!(largest_part(hoop("130x180mm"), Size::new(100.0, 100.0)), 1.0);
    }

    #[test]
    fn a_design_beyond_every_hoop_is_split() {
        let (_, hint) = refused("200x300mm", 1000.0, 120.0);
        assert_eq!(hint, "let `thrice quilt` split it over about 4 hoopings");
    }

    #[test]
    fn common_fields_stand_in_order_of_area() {
        assert!(FIELDS_MM.windows(2).all(|w| w[0].0 * w[0].1 <= w[1].0 * w[1].1));
        assert!(FIELDS_MM.iter().all(|(short, long)| short <= long));
    }
}
