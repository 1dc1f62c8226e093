//! Lengths as people type and read them ⇄ millimetres. Inches exist only here.

#[cfg(test)]
mod tests;

/// Millimetres in an inch, exactly (international inch, 1959).
pub const MM_PER_INCH: f64 = 25.4;
/// The longest length that is taken at its word, mm: 20 m is far more than any quilt.
pub const LONGEST_MM: f64 = 20_000.0;
/// A printed fraction that is further from the length than this has "about" before it, mm: a tape's mark is no finer.
pub const ABOUT_MM: f64 = 0.3;
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
    #[error("`{text}` has no unit; write `{text}in` or `{text}mm`")]
    NoUnit {
        /** What was typed. */
        text: String,
    },
    /// Not a number with a unit.
    #[error("`{text}` is not a length; write it like `8in`, `8 1/2in`, `3/8in`, `216mm` or `21.6cm`")]
    NotALength {
        /** What was typed. */
        text: String,
    },
    /// A number and a unit, but not a size that can be sewn.
    #[error("`{text}` is out of range; lengths go from 0 mm to {LONGEST_MM} mm")]
    OutOfRange {
        /** What was typed. */
        text: String,
    },
}

/// Reads a length such as `8in`, `8"`, `8 1/2in`, `8-1/2 in`, `3/8in`, `216mm` or `21.6cm`, as millimetres.
///
/// # Errors
/// [`LengthError::NoUnit`] for a bare number; [`LengthError::OutOfRange`] below 0 or above
/// [`LONGEST_MM`]; [`LengthError::NotALength`] for anything else.
pub fn read_length(text: &str) -> Result<f64, LengthError> {
    let trimmed = text.trim();
    let (number, mm_per_unit) = split_unit(trimmed);
    let value = read_number(number.trim()).ok_or_else(|| LengthError::NotALength { text: trimmed.into() })?;
    let mm_per_unit = mm_per_unit.ok_or_else(|| LengthError::NoUnit { text: trimmed.into() })?;
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

/// Prints the longest length of whole sixteenths of an inch that is no longer than `mm`: for "ask for … or less".
#[must_use]
pub fn show_at_most(mm: f64, units: Units) -> String {
    // A limit that is a micrometre short of a whole sixteenth is that sixteenth.
    const GUARD: f64 = 1e-3;
    let whole = (mm / MM_PER_INCH * SIXTEENTHS + GUARD).floor();
    show_length(if whole >= 1.0 { whole / SIXTEENTHS * MM_PER_INCH } else { mm }, units)
}

/// Prints inches as a tape has them, to the nearest sixteenth, with "about" where that is off by more than [`ABOUT_MM`].
///
/// Less than half a sixteenth is `under 1/16 in`.
#[must_use]
pub fn show_inches(mm: f64) -> String {
    let sixteenths = (mm / MM_PER_INCH * SIXTEENTHS).round();
    if sixteenths.abs() > 1e9 || !mm.is_finite() {
        return format!("{:.0} in", mm / MM_PER_INCH);
    }
    let off = (sixteenths / SIXTEENTHS * MM_PER_INCH - mm).abs();
    #[expect(clippy::cast_possible_truncation, reason = "bounded just above")]
    let n = sixteenths.abs() as i64;
    if n == 0 && off > ABOUT_MM {
        return "under 1/16 in".to_owned();
    }
    let about = if off > ABOUT_MM { "about " } else { "" };
    let sign = if sixteenths < 0.0 { "-" } else { "" };
    let (whole, part) = (n / 16, n % 16);
    let shift = part.trailing_zeros().min(4);
    let fraction = format!("{}/{}", part >> shift, 16 >> shift);
    match (whole, part) {
        (_, 0) => format!("{about}{sign}{whole} in"),
        (0, _) => format!("{about}{sign}{fraction} in"),
        _ => format!("{about}{sign}{whole} {fraction} in"),
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

/// A text with every length in it shown in these units: messages are written inches first, as [`show_length`] writes
/// them, by stages that do not know what she reads.
#[must_use]
pub fn in_units(text: &str, units: Units) -> String {
    if units == Units::Inches {
        return text.to_owned();
    }
    let (mut told, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(BETWEEN) {
        let after = &rest[at + BETWEEN.len()..];
        let mm = after.split_once(" mm)").filter(|(mm, _)| mm.parse::<f64>().is_ok());
        let (before, inches) = rest[..at].split_at(inches_before(&rest[..at]));
        rest = match mm {
            Some((mm, after)) if !inches.is_empty() => {
                told += &format!("{before}{mm} mm ({inches} in)");
                after
            }
            _ => {
                told += &rest[..at + BETWEEN.len()];
                after
            }
        };
    }
    told + rest
}

/// What stands between the inches and the millimetres of [`show_length`].
const BETWEEN: &str = " in (";

/// Where the inches begin that a text ends with: `8 1/2`, `about 3/8`, `under 1/16`; its end if there are none.
fn inches_before(text: &str) -> usize {
    let number = |text: &str| {
        let digits = text.trim_end_matches(|c: char| c.is_ascii_digit() || c == '/' || c == '-');
        digits.len()
    };
    let mut begin = number(text);
    // A fraction may follow a whole number.
    if text[begin..].contains('/') && text[..begin].ends_with(' ') {
        let whole = number(&text[..begin - 1]);
        if whole < begin - 1 && !text[whole..begin].contains('/') {
            begin = whole;
        }
    }
    if begin == text.len() {
        return begin;
    }
    let word = ["about ", "under "].into_iter().find(|word| text[..begin].ends_with(word));
    begin - word.map_or(0, str::len)
}

/// The units that most lengths in the texts are written in; inches where there are as many of them.
#[must_use]
pub fn most_used<'t>(texts: impl IntoIterator<Item = &'t str>) -> Units {
    let (mut inches, mut metric) = (0, 0);
    for text in texts {
        for word in text.to_lowercase().split([',', ';', ' ', '[', ']', '\n']) {
            let mark = word.ends_with(['"', '″', '”']) && word.starts_with(|c: char| c.is_ascii_digit());
            let unit = word.trim_matches('"');
            if unit.ends_with("mm") || unit.ends_with("cm") {
                metric += 1;
            } else if unit.ends_with("in") || unit.ends_with("inches") || mark {
                inches += 1;
            }
        }
    }
    if metric > inches { Units::Millimetres } else { Units::Inches }
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
