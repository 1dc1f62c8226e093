//! A colour in words or in six digits → red, green and blue.

use std::str::FromStr;

/// A colour as a screen shows it (sRGB).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Colour {
    /// Red, green, blue.
    pub rgb: [u8; 3],
}

/// Colours that can be named by a word.
pub const NAMED: [(&str, u32); 20] = [
    ("white", 0xfd_fd_fb),
    ("cream", 0xf7_f0_df),
    ("natural", 0xea_e0_cc),
    ("beige", 0xd8_c8_ac),
    ("tan", 0xb8_9b_74),
    ("brown", 0x6e_4f_38),
    ("grey", 0x9a_9a_98),
    ("silver", 0xc9_ca_cb),
    ("charcoal", 0x3c_3e_42),
    ("black", 0x1c_1c_1f),
    ("red", 0xa8_2b_2e),
    ("rose", 0xd9_9a_9c),
    ("orange", 0xd4_7a_35),
    ("gold", 0xd0_a3_3c),
    ("yellow", 0xe9_cd_66),
    ("green", 0x4b_76_4e),
    ("sage", 0xa9_b8_a0),
    ("blue", 0x35_5f_9b),
    ("navy", 0x22_30_52),
    ("purple", 0x67_4a_86),
];

/// Colours whose brightness, of 255, is less are dark.
const DARK: f64 = 120.0;

/// What was typed is no colour.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is no colour; write six digits such as #f2ead8, or one of {}", words())]
pub struct ColourError {
    /// What was typed.
    pub text: String,
}

/// Every word for a colour in one line.
#[must_use]
pub fn words() -> String {
    NAMED.map(|(word, _)| word).join(", ")
}

impl Colour {
    /// A colour from its six hexadecimal digits.
    #[must_use]
    pub const fn new(hex: u32) -> Self {
        let [_, r, g, b] = hex.to_be_bytes();
        Self { rgb: [r, g, b] }
    }

    /// The colour on the way from this one to `other`; 0 is this one, 1 the other.
    #[must_use]
    pub fn towards(self, other: Self, part: f64) -> Self {
        let part = part.clamp(0.0, 1.0);
        let mix = |i: usize| {
            let (a, b) = (f64::from(self.rgb[i]), f64::from(other.rgb[i]));
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
            let mixed = (a + (b - a) * part).round() as u8;
            mixed
        };
        Self { rgb: [mix(0), mix(1), mix(2)] }
    }

    /// True if pale thread shows better on it than dark thread.
    #[must_use]
    pub fn is_dark(self) -> bool {
        let [r, g, b] = self.rgb.map(f64::from);
        0.2126 * r + 0.7152 * g + 0.0722 * b < DARK
    }

    /// The colour as `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        let [r, g, b] = self.rgb;
        format!("#{r:02x}{g:02x}{b:02x}")
    }
}

impl FromStr for Colour {
    type Err = ColourError;

    fn from_str(text: &str) -> Result<Self, ColourError> {
        let word = text.trim().to_lowercase();
        let wrong = || ColourError { text: text.trim().into() };
        let Some(digits) = word.strip_prefix('#') else {
            let plain = word.replace("gray", "grey");
            return NAMED
                .iter()
                .find(|(name, _)| *name == plain)
                .map(|(_, hex)| Self::new(*hex))
                .ok_or_else(wrong);
        };
        let long: String = match digits.len() {
            3 => digits.chars().flat_map(|c| [c, c]).collect(),
            _ => digits.into(),
        };
        if long.len() != 6 || !long.chars().all(|c| c.is_ascii_hexdigit()) {
            return Err(wrong());
        }
        u32::from_str_radix(&long, 16).map(Self::new).map_err(|_| wrong())
    }
}

/// Reads one colour, or several with commas between them.
///
/// # Errors
/// [`ColourError`] of the first that is none.
pub fn list(text: &str) -> Result<Vec<Colour>, ColourError> {
    text.split(',').map(str::parse).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_and_words_are_read() {
        assert_eq!("#F2ead8".parse(), Ok(Colour::new(0xf2_ea_d8)));
        assert_eq!("#fa0".parse(), Ok(Colour::new(0xff_aa_00)));
        assert_eq!(" Gray ".parse(), "grey".parse::<Colour>());
        assert_eq!(list("navy,#ffffff"), Ok(vec![Colour::new(0x22_30_52), Colour::new(0xff_ff_ff)]));
        for wrong in ["", "#12", "#1234567", "#ggg", "#+12345", "blurple", "white,"] {
            assert!(list(wrong).is_err(), "{wrong}");
        }
        let told = "blurple".parse::<Colour>().unwrap_err().to_string();
        assert!(
            told.starts_with("`blurple` is no colour; write six digits such as #f2ead8, or one of white"),
            "{told}"
        );
    }

    #[test]
    fn dark_cloth_is_told_from_pale() {
        let dark = ["navy", "charcoal", "black", "blue", "green", "red", "brown", "purple"];
        for (word, hex) in NAMED {
            assert_eq!(Colour::new(hex).is_dark(), dark.contains(&word), "{word}");
        }
    }

    #[test]
    fn halfway_lies_between() {
        assert_eq!(Colour::new(0x00_00_00).towards(Colour::new(0xff_00_10), 0.5), Colour::new(0x80_00_08));
        assert_eq!(Colour::new(0x01_ab_ff).hex(), "#01abff");
    }
}
