//! A batting's name → the widest gap between quilting lines that it can be trusted with.
//!
//! The limits are the safe side of what makers print: the label on the batting overrules them. A maker's distance
//! between lines is read as an unquilted square of that side, published [35].

use super::SurveyError;
use crate::base::units::MM_PER_INCH;

/// One kind of batting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Batting {
    /// Its name in quilt files and options.
    pub name: &'static str,
    /// The widest gap between quilting lines without a word from the maker, mm.
    pub gap_mm: f64,
}

/// Without a figure on the label: assume 1–2 in, published [32].
pub const UNKNOWN: Batting = of("unknown", 2.0);

/// Every batting with its limit, each at most what makers print:
///
/// - cotton with scrim: 10 in [24], 8–12 in [25], 8–10 in [26];
/// - needled cotton, without scrim: 8 in [24];
/// - plain cotton: 1.5–2 in [24], up to 2 in [27], closer by others [26] [28];
/// - 80/20: 2–3 in [30];
/// - polyester: 3 in for bonded high loft [24], 2–3 in [30];
/// - wool: 3 in [24] [30];
/// - bamboo, half cotton: 8 in [24];
/// - silk: 4 in from memory, no source.
pub const BATTINGS: [Batting; 9] = [
    of("cotton with scrim", 8.0),
    of("needled cotton", 6.0),
    of("plain cotton", 2.0),
    of("80/20", 3.0),
    of("polyester", 3.0),
    of("wool", 3.0),
    of("bamboo", 6.0),
    of("silk", 3.0),
    UNKNOWN,
];

const fn of(name: &'static str, gap_in: f64) -> Batting {
    Batting { name, gap_mm: gap_in * MM_PER_INCH }
}

/// The batting called `name`; capitals and spaces round it do not matter.
///
/// # Errors
/// [`SurveyError::NoSuchBatting`] with the nearest name.
pub fn find(name: &str) -> Result<Batting, SurveyError> {
    let asked = name.trim().to_lowercase();
    if let Some(batting) = BATTINGS.iter().find(|b| b.name == asked) {
        return Ok(*batting);
    }
    let apart = |name: &str| strsim::damerau_levenshtein(&asked, name);
    let nearest =
        BATTINGS.iter().min_by_key(|b| b.name.split(' ').map(apart).fold(apart(b.name), usize::min));
    Err(SurveyError::NoSuchBatting { name: name.trim().into(), nearest: nearest.unwrap_or(&UNKNOWN).name })
}

/// All names in one line, for messages and help.
#[must_use]
pub fn names() -> String {
    BATTINGS.map(|b| b.name).join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_the_advised_inches() {
        for (name, inches) in [("cotton with scrim", 8.0), (" Wool ", 3.0), ("UNKNOWN", 2.0), ("80/20", 3.0)]
        {
            let gap_mm = find(name).unwrap().gap_mm;
            assert!((gap_mm - inches * 25.4).abs() < 1e-9, "{name}: {gap_mm}");
        }
    }

    #[test]
    fn no_limit_is_wider_than_makers_print() {
        // Widest published figure of each kind, inches, in the order of the table [24] [30] [32]; silk from memory.
        let published = [10.0, 8.0, 2.0, 3.0, 3.0, 3.0, 8.0, 4.0, 2.0];
        for (batting, inches) in BATTINGS.iter().zip(published) {
            assert!(batting.gap_mm <= inches * 25.4 + 1e-9, "{}", batting.name);
        }
    }

    #[test]
    fn a_mistyped_name_is_answered_with_the_nearest() {
        let words = find("coton with scrim").unwrap_err().to_string();
        assert_eq!(
            words,
            "no batting is called `coton with scrim`, the nearest is `cotton with scrim`; \
             name one of cotton with scrim, needled cotton, plain cotton, 80/20, polyester, wool, bamboo, silk, \
             unknown, or give the label's figure as the gap"
        );
        assert!(find("cotten").unwrap_err().to_string().contains("the nearest is `cotton with scrim`"));
        assert!(find("").is_err());
    }
}
