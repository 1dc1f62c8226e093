//! What was asked for → the name of its files, so that two different designs never get the same.

use std::fmt::Write;

use thrice::base::fnv::fnv_1a;
use thrice::block::shape::Shape;

/// Names longer than this are cut, and told apart by their mark.
const LONGEST: usize = 80;

/// The motif, what was changed, and the shape with its size: `orange-peel-petal-2in-square-8in`.
///
/// `changed` are words such as `petal=2in` or `margin=1/2in`, in order. What a name cannot say, the corners of a measured
/// or drawn block and whatever is too long, goes into a mark of six letters and digits at its end.
pub fn default_name(what: &str, changed: &[String], shape: &Shape) -> String {
    let mut name = what.to_owned();
    for word in changed {
        let _ = write!(name, "-{}", plain(word));
    }
    let _ = write!(name, "-{}", shape.name());
    let unsaid = match shape {
        Shape::Sides { .. } | Shape::Corners { .. } | Shape::Outline { .. } => format!("{shape:?}"),
        _ => String::new(),
    };
    if name.chars().count() > LONGEST {
        let begin: String = name.chars().take(LONGEST).collect();
        format!("{}-{}", begin.trim_end_matches('-'), mark(&(name + &unsaid)))
    } else if unsaid.is_empty() {
        name
    } else {
        format!("{name}-{}", mark(&unsaid))
    }
}

/// A text in six letters and digits; of texts that differ, one pair in two thousand million has the same.
pub fn mark(text: &str) -> String {
    let hash = fnv_1a(text.bytes());
    let sign = |digit: u64| char::from_digit(u32::try_from(digit % 36).unwrap_or(0), 36).unwrap_or('0');
    (0..6).map(|place| sign(hash / 36_u64.pow(place))).collect()
}

/// A word with the signs that a file's name may have: `petal=1/2in` is `petal-1-2in`, a decimal point stays.
fn plain(word: &str) -> String {
    let mut plain = String::new();
    for c in word.trim().to_lowercase().chars() {
        match c {
            '"' | '″' | '”' => plain.push_str("in"),
            c if c.is_alphanumeric() || c == '.' => plain.push(c),
            _ if plain.ends_with('-') => {}
            _ => plain.push('-'),
        }
    }
    plain.trim_matches(['-', '.']).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(changed: &[&str], key: &str, value: &str) -> String {
        let changed: Vec<String> = changed.iter().map(ToString::to_string).collect();
        default_name("orange-peel", &changed, &Shape::from_words(key, value).unwrap())
    }

    #[test]
    fn a_name_says_motif_changes_and_size() {
        assert_eq!(named(&[], "square", "8in"), "orange-peel-square-8in");
        let changed = ["petal=1 1/2in", "margin=1/2in", "no-ties"];
        assert_eq!(
            named(&changed, "square", "8in"),
            "orange-peel-petal-1-1-2in-margin-1-2in-no-ties-square-8in"
        );
    }

    #[test]
    fn designs_that_differ_have_names_that_differ() {
        let names = [
            named(&["petal=1.5in"], "square", "8in"),
            named(&["petal=1/5in"], "square", "8in"),
            named(&["petal=15in"], "square", "8in"),
            named(&[], "corners", "0in,0in;8in,0in;8in,6in"),
            named(&[], "corners", "0in,0in;8in,0in;0in,6in"),
            named(&[], "sides", "8in,8in,9in"),
            named(&[&"x=1in ".repeat(30)], "square", "8in"),
            named(&[&("x=1in ".repeat(30) + "2")], "square", "8in"),
        ];
        for (i, name) in names.iter().enumerate() {
            assert!(!names[..i].contains(name), "{name} twice");
            assert!(name.len() <= LONGEST + 7 && !name.contains(['/', '=', ' ']), "{name}");
        }
        let with = |diagonal| Shape::from_sides("8in,8in,8in,8in", Some(diagonal), None).unwrap();
        assert_ne!(default_name("a", &[], &with("11 3/8in")), default_name("a", &[], &with("11 1/4in")));
    }
}
