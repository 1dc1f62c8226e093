//! Texts that people type → texts that can be stored and shown: names of files, titles, and what is printed of any text.
//!
//! Control characters move a terminal's cursor or end a line of a file's header; characters that turn the direction of
//! writing make a name look like another. Both are refused where a text is stored and escaped wherever one is shown.

/// The most letters of a file's name that people choose, without its ending: any file system takes them.
pub const LONGEST_NAME: usize = 100;

/// The most letters of a word by which motifs and settings are asked for.
pub const LONGEST_WORD: usize = 40;

/// The longest file name with its ending that any file system takes, bytes.
const LONGEST_FILE_NAME: usize = 255;

/// Names that mean a device on some systems, with any ending.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// True for a character that is not shown as itself: control characters, line and paragraph separators, and those that
/// turn the direction of writing (Unicode Standard Annex 9, table 4) or have no width. Joiners stay, as scripts need them.
#[must_use]
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{AD}' | '\u{61C}' | '\u{180E}' | '\u{200B}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}' | '\u{FFFE}' | '\u{FFFF}' | '\u{E0000}'..='\u{E007F}')
}

/// The text with every hidden character but line breaks and tabs written out as `\u0007`, which JSON reads back.
#[must_use]
pub fn escaped(text: &str) -> std::borrow::Cow<'_, str> {
    let hidden = |c: char| is_hidden(c) && !matches!(c, '\n' | '\t');
    if !text.contains(hidden) {
        return text.into();
    }
    let mut units = [0; 2];
    text.chars().map(|c| if hidden(c) { written_out(c, &mut units) } else { c.to_string() }).collect()
}

fn written_out(c: char, units: &mut [u16; 2]) -> String {
    c.encode_utf16(units).iter().map(|unit| format!("\\u{unit:04x}")).collect()
}

/// Why a text cannot be shown on one line, if so.
#[must_use]
pub fn unfit_to_show(text: &str) -> Option<String> {
    let c = text.chars().find(|c| is_hidden(*c))?;
    Some(format!("it holds the hidden character {}", written_out(c, &mut [0; 2])))
}

/// Why this cannot be the name of a file, with its ending, on any system, if so.
///
/// It is one name: no way to another folder.
#[must_use]
pub fn unfit_file_name(name: &str) -> Option<String> {
    let stem = name.split('.').next().unwrap_or_default().trim_end().to_lowercase();
    let device = DEVICES.iter().any(|d| match stem.strip_prefix(d) {
        Some("") => !matches!(*d, "com" | "lpt"),
        Some(rest) => {
            matches!(*d, "com" | "lpt")
                && rest.chars().count() == 1
                && rest.starts_with(|c: char| c.is_ascii_digit())
        }
        None => false,
    });
    if let Some(why) = unfit_to_show(name) {
        return Some(why);
    }
    if let Some(c) = name.chars().find(|c| "/\\:*?\"<>|".contains(*c)) {
        return Some(format!("it holds `{c}`"));
    }
    if name.trim().is_empty() || name.starts_with(['.', ' ']) || name.ends_with(['.', ' ']) {
        return Some("it is empty, or begins or ends with a dot or a space".into());
    }
    if device {
        return Some(format!("`{stem}` is a device on some systems"));
    }
    if name.len() > LONGEST_FILE_NAME {
        return Some(format!(
            "it is {} bytes long, more than the {LONGEST_FILE_NAME} that a file name may have",
            name.len()
        ));
    }
    None
}

/// True for a word by which motifs and settings are asked for: letters a to z, digits and hyphens, up to [`LONGEST_WORD`].
#[must_use]
pub fn is_word(word: &str) -> bool {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    (1..=LONGEST_WORD).contains(&word.len())
        && word.chars().all(fits)
        && !word.starts_with('-')
        && unfit_file_name(word).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_written_out() {
        assert_eq!(escaped("a\u{1b}[31mb\u{202e}c\td\n"), "a\\u001b[31mb\\u202ec\td\n");
        assert!(matches!(escaped("Überwurf „8″"), std::borrow::Cow::Borrowed(_)));
        assert_eq!(unfit_to_show("a\nb").unwrap(), "it holds the hidden character \\u000a");
        assert_eq!(unfit_to_show("My quilt ⛵"), None);
    }

    #[test]
    fn names_that_some_system_cannot_hold_are_unfit() {
        for name in [
            "../x",
            "/etc/x",
            "a\\b",
            "CON",
            "con.svg",
            "nul .dst",
            "LPT1.dst",
            "x.",
            " x",
            ".x",
            "",
            "a\u{7}",
            "a\u{202e}b",
            &"x".repeat(256),
        ] {
            assert!(unfit_file_name(name).is_some(), "{name}");
        }
        for name in [
            "grid-square-8in.dst",
            "Konfetti.svg",
            "con-fetti.svg",
            "com.svg",
            "LPT10.dst",
            "mein Stern 8½.pdf",
            &"x".repeat(255),
        ] {
            assert_eq!(unfit_file_name(name), None, "{name}");
        }
    }

    #[test]
    fn words_are_plain() {
        assert!(is_word("cross-hatch") && is_word("8"));
        for word in ["", "-a", "A", "a b", "ä", "../x", "con", &"a".repeat(41)] {
            assert!(!is_word(word), "{word}");
        }
    }
}
