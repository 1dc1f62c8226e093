//! Lengths as people type and read them ⇄ millimetres. Inches exist only here.

/// Millimetres in an inch, exactly (international inch, 1959).
pub const MM_PER_INCH: f64 = 25.4;
/// The longest length that is taken at its word, mm: 20 m is far more than any quilt.
pub const LONGEST_MM: f64 = 20_000.0;
/// A printed fraction is used where it is this close to the length, mm.
pub const FRACTION_WITHIN_MM: f64 = 0.05;
const SIXTEENTHS: f64 = 16.0;

/// Which unit is printed first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// Inches first, millimetres in brackets.
    #[default]
    Inches,
    /// Millimetres first, inches in brackets.
    Millimetres,
}

/// Why a length cannot be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LengthError {
    /// A number without a unit.
    #[error("`{text}` has no unit; write `{text}in` ({inches}) or `{text}mm` ({millimetres})")]
    NoUnit {
        /** What was typed. */
        text: String,
        /** Its reading as inches. */
        inches: String,
        /** Its reading as millimetres. */
        millimetres: String,
    },
    /// Not a number with a unit.
    #[error("`{text}` is not a length; write it like `8in`, `8 1/2in`, `3/8in`, `216mm` or `21.6cm`")]
    NotALength {
        /** What was typed. */
        text: String,
    },
    /// A number and a unit, but not a size that can be sewn.
    #[error("`{text}` is out of range; lengths go from 0 to {} m", LONGEST_MM / 1000.0)]
    OutOfRange {
        /** What was typed. */
        text: String,
    },
}

/// Reads a length such as `8in`, `8"`, `8 1/2in`, `8-1/2 in`, `3/8in`, `216mm` or `21.6cm`, as millimetres.
///
/// # Errors
/// [`LengthError::NoUnit`] for a bare number, with both readings; [`LengthError::OutOfRange`] below 0 or above
/// [`LONGEST_MM`]; [`LengthError::NotALength`] for anything else.
pub fn read_length(text: &str) -> Result<f64, LengthError> {
    let trimmed = text.trim();
    let (number, mm_per_unit) = split_unit(trimmed);
    let value = read_number(number.trim()).ok_or_else(|| LengthError::NotALength { text: trimmed.into() })?;
    let Some(mm_per_unit) = mm_per_unit else {
        let inches = show_length(value * MM_PER_INCH, Units::Inches);
        let millimetres = show_length(value, Units::Millimetres);
        return Err(LengthError::NoUnit { text: trimmed.into(), inches, millimetres });
    };
    let mm = value * mm_per_unit;
    if (0.0..=LONGEST_MM).contains(&mm) {
        Ok(mm)
    } else {
        Err(LengthError::OutOfRange { text: trimmed.into() })
    }
}

/// Prints a length with the quilter's unit first and the other in brackets: `8 1/2 in (215.9 mm)`.
#[must_use]
pub fn show_length(mm: f64, units: Units) -> String {
    match units {
        Units::Inches => format!("{} ({})", show_inches(mm), show_mm(mm)),
        Units::Millimetres => format!("{} ({})", show_mm(mm), show_inches(mm)),
    }
}

/// Prints inches: as a fraction to the nearest sixteenth where that is within [`FRACTION_WITHIN_MM`], else as a decimal.
#[must_use]
pub fn show_inches(mm: f64) -> String {
    let sixteenths = (mm / MM_PER_INCH * SIXTEENTHS).round();
    if (sixteenths / SIXTEENTHS * MM_PER_INCH - mm).abs() > FRACTION_WITHIN_MM || sixteenths.abs() > 1e9 {
        return format!("{} in", trim_zeros(&format!("{:.3}", mm / MM_PER_INCH)));
    }
    #[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
    let n = sixteenths.abs() as i64;
    let sign = if sixteenths < 0.0 { "-" } else { "" };
    let (whole, part) = (n / 16, n % 16);
    let shift = part.trailing_zeros().min(4);
    let fraction = format!("{}/{}", part >> shift, 16 >> shift);
    match (whole, part) {
        (_, 0) => format!("{sign}{whole} in"),
        (0, _) => format!("{sign}{fraction} in"),
        _ => format!("{sign}{whole} {fraction} in"),
    }
}

/// The step from mark to mark on a ruler in these units, mm: a sixteenth of an inch, or a millimetre.
#[must_use]
pub fn ruler_step(units: Units) -> f64 {
    match units {
        Units::Inches => MM_PER_INCH / SIXTEENTHS,
        Units::Millimetres => 1.0,
    }
}

/// Prints a length as an option or a setting takes it, in one word: `5/16in`, `8-1/2in`, `8mm`.
#[must_use]
pub fn option(mm: f64, units: Units) -> String {
    let shown = match units {
        Units::Inches => show_inches(mm),
        Units::Millimetres => show_mm(mm),
    };
    let (number, unit) = shown.rsplit_once(' ').unwrap_or((&shown, ""));
    format!("{}{unit}", number.replace(' ', "-"))
}

/// Prints millimetres to a tenth: `215.9 mm`.
#[must_use]
pub fn show_mm(mm: f64) -> String {
    // Rounded by hand: a quarter inch is 6.35 mm, which the machine's number holds as a hair less.
    let tenths = (mm * 10.0 + mm.signum() * 1e-6).round() / 10.0;
    format!("{} mm", trim_zeros(&format!("{tenths:.1}")))
}

fn trim_zeros(text: &str) -> &str {
    let cut = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { text };
    if cut == "-0" { "0" } else { cut }
}

/// Splits the unit off the end; `None` if there is none.
fn split_unit(text: &str) -> (&str, Option<f64>) {
    let units = [
        ("inches", MM_PER_INCH),
        ("inch", MM_PER_INCH),
        ("in", MM_PER_INCH),
        ("\"", MM_PER_INCH),
        ("″", MM_PER_INCH),
        ("”", MM_PER_INCH),
        ("mm", 1.0),
        ("cm", 10.0),
    ];
    for (unit, mm) in units {
        let cut = text.len().saturating_sub(unit.len());
        if text.is_char_boundary(cut) && text[cut..].eq_ignore_ascii_case(unit) && text.len() >= unit.len() {
            return (&text[..cut], Some(mm));
        }
    }
    (text, None)
}

/// The fractions that have a sign of their own.
const SIGNS: [(char, &str); 7] =
    [('½', "1/2"), ('¼', "1/4"), ('¾', "3/4"), ('⅛', "1/8"), ('⅜', "3/8"), ('⅝', "5/8"), ('⅞', "7/8")];

/// Reads `8`, `8.5`, `3/8`, `8 1/2`, `8-1/2` or `8½`.
fn read_number(text: &str) -> Option<f64> {
    if let Some((whole, words)) =
        SIGNS.iter().find_map(|(sign, words)| Some((text.strip_suffix(*sign)?, words)))
    {
        // Two signs in a row, or a sign after a fraction, are no number.
        return if whole.contains('/') { None } else { read_number(format!("{whole} {words}").trim()) };
    }
    let (whole, fraction) = match text.split_once('/') {
        None => return read_decimal(text),
        Some((before, below)) => {
            let cut = before.trim_end().rfind([' ', '-']);
            let (whole, above) = cut.map_or(("0", before), |i| (&before[..i], &before[i + 1..]));
            (whole, read_whole(above.trim())? / read_whole(below.trim()).filter(|n| *n > 0.0)?)
        }
    };
    Some(read_whole(whole.trim())? + fraction)
}

fn read_decimal(text: &str) -> Option<f64> {
    let plain = text.trim_start_matches('-');
    let digits =
        plain.chars().all(|c| c.is_ascii_digit() || c == '.') && plain.chars().any(|c| c.is_ascii_digit());
    if digits { text.parse().ok() } else { None }
}

fn read_whole(text: &str) -> Option<f64> {
    if !text.is_empty() && text.chars().all(|c| c.is_ascii_digit()) { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_of_writing_it_is_read() {
        for (text, mm) in [
            ("8in", 203.2),
            ("8\"", 203.2),
            ("8 1/2in", 215.9),
            ("8-1/2 in", 215.9),
            ("8.5in", 215.9),
            ("3/8in", 9.525),
            ("216mm", 216.0),
            ("21.6cm", 216.0),
            (" 8 IN ", 203.2),
            ("8½in", 215.9),
            ("8 ½ in", 215.9),
            ("¼in", 6.35),
            ("8″", 203.2),
            (".5in", 12.7),
        ] {
            let read = read_length(text).unwrap();
            assert!((read - mm).abs() < 1e-9, "{text} read as {read}");
        }
    }

    #[test]
    fn a_bare_number_is_refused_with_both_readings() {
        let words = read_length("8.5").unwrap_err().to_string();
        assert_eq!(
            words,
            "`8.5` has no unit; write `8.5in` (8 1/2 in (215.9 mm)) or `8.5mm` (8.5 mm (0.335 in))"
        );
    }

    #[test]
    fn nonsense_is_refused() {
        for text in [
            "", "in", "eight in", "8 1/0in", "1e3in", "NaNmm", "8 1 2in", "½½in", "½8in", "1/2½in", "8..5in",
            "infmm", "🧵", "1/2/3in",
        ] {
            assert!(matches!(read_length(text), Err(LengthError::NotALength { .. })), "{text}");
        }
        assert!(matches!(read_length("-8in"), Err(LengthError::OutOfRange { .. })));
        assert!(matches!(read_length("99999in"), Err(LengthError::OutOfRange { .. })));
    }

    #[test]
    fn lengths_print_in_the_quilters_units() {
        assert_eq!(show_length(215.9, Units::Inches), "8 1/2 in (215.9 mm)");
        assert_eq!(show_length(203.2, Units::Millimetres), "203.2 mm (8 in)");
        assert_eq!(show_inches(9.525), "3/8 in");
        assert_eq!(show_inches(10.0), "0.394 in");
        assert_eq!(show_inches(0.0), "0 in");
        assert_eq!(show_inches(-3.175), "-1/8 in");
    }

    #[test]
    fn printed_fractions_read_back() {
        assert_eq!(option(215.9, Units::Inches), "8-1/2in");
        assert_eq!(option(7.9375, Units::Inches), "5/16in");
        assert_eq!(option(8.0, Units::Millimetres), "8mm");
        for n in 1..400 {
            let mm = f64::from(n) / 16.0 * MM_PER_INCH;
            assert!((read_length(&option(mm, Units::Inches)).unwrap() - mm).abs() < 1e-9);
            assert!((read_length(&show_inches(mm)).unwrap() - mm).abs() < 1e-9);
        }
    }
}
