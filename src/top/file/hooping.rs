//! `[hooping]` of a quilt file: what goes into one hooping, in which order they are sewn, and how the quilt lies.

use crate::base::form::{Form, Problems};

/// Without a word from her, minutes for hooping once: six to ten with three layers, common practice, no source.
pub const HOOPING_MINUTES: f64 = 6.0;
/// The longest hooping that is taken at its word, minutes.
const MOST_MINUTES: f64 = 120.0;

/// In which order the hoopings are sewn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// In rings round the quilt's middle, then border by border.
    CentreOutwards,
    /// From the top left, to and fro.
    RowByRow,
}

/// What is turned where pieces lie differently on the quilt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turned {
    /// The machine file; the quilt lies one way where it can.
    File,
    /// The quilt, so that there are fewer files.
    Quilt,
}

/// What is wished of the hoopings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wishes {
    /// Several pieces in one hooping where they fit together.
    pub share: bool,
    /// The order.
    pub order: Order,
    /// For hooping once, minutes.
    pub minutes: f64,
    /// What is turned.
    pub turn: Turned,
}

impl Default for Wishes {
    fn default() -> Self {
        Self { share: true, order: Order::CentreOutwards, minutes: HOOPING_MINUTES, turn: Turned::File }
    }
}

/// Reads it.
pub fn read(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Wishes {
    let mut said = Wishes::default();
    let Some(mut table) = form.form("hooping", problems) else { return said };
    said.share = table.flag("share", problems).unwrap_or(said.share);
    let orders = [("centre outwards", Order::CentreOutwards), ("row by row", Order::RowByRow)];
    said.order = one_of(&mut table, "order", &orders, problems).unwrap_or(said.order);
    said.minutes = table.number("minutes", 0.0..=MOST_MINUTES, problems).unwrap_or(said.minutes);
    let turns = [("file", Turned::File), ("quilt", Turned::Quilt)];
    said.turn = one_of(&mut table, "turn", &turns, problems).unwrap_or(said.turn);
    table.finish(&["share", "order", "minutes", "turn"], problems);
    said
}

/// Takes one of two words.
fn one_of<T: Copy>(
    table: &mut Form<'_>,
    key: &str,
    words: &[(&str, T); 2],
    problems: &mut Problems<'_>,
) -> Option<T> {
    let (word, at) = table.text_at(key, problems)?;
    let found = words.iter().find(|(known, _)| *known == word).map(|(_, value)| *value);
    if found.is_none() {
        let [(a, _), (b, _)] = words;
        problems.add(at, format!("{key} is `{word}`; it is \"{a}\" or \"{b}\""));
    }
    found
}
