//! `thrice licences`: the program's own licence, the whole texts of the fonts', and the kinds of the crates'.

use thrice::views::fonts::FONTS;

use super::words::say;

const OWN: &str = include_str!("../../../LICENSE");
/// One crate a line with its kind of licence; `tests/licences.rs` writes it.
const CRATES: &str = include_str!("licences.txt");
/// What the licence named IJG asks to be said.
const SAID: &str = "This software is based in part on the work of the Independent JPEG Group.";

/// Prints them all.
pub fn run() -> anyhow::Result<()> {
    let mut text = format!("{}\n\n{OWN}\n", heading("thrice"));
    for font in FONTS {
        text += &format!(
            "{}\n\n{}\n\n",
            heading(&format!("The font {}, built in", font.name)),
            font.licence.trim_end()
        );
    }
    text += &format!("{}\n\n{CRATES}\n{SAID}\n", heading("The crates built in, and their kinds of licence"));
    say(&text)
}

fn heading(words: &str) -> String {
    format!("{words}\n{}", "=".repeat(words.chars().count()))
}
