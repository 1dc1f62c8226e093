//! The numbers of a motif of strands, as its file gives them.

use kurbo::Shape;
use serde::Deserialize;

use crate::base::units::read_length;
use crate::drawing::constructions::part::Part;
use crate::drawing::settings::Settings;

/// A strand of a motif file reaches at most this many repeats over its own.
const MOST_OVERHANG: i64 = 12;

/// The numbers of a motif of strands.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// What sets the length of a repeat.
    pub(super) repeat: Repeat,
    /// True if repeats come in pairs, because the motif alternates sides: every second one is turned upside down.
    #[serde(default)]
    pub(super) alternate: bool,
    /// True if repeats that alternate are odd in number, so that both ends of a border are alike.
    #[serde(default)]
    pub(super) odd: bool,
    /// True if the rows of a block wind on as one line: repeats that alternate are odd in number there, so that a row ends
    /// where the next one begins.
    #[serde(default)]
    pub(super) winds: bool,
    /// The lines of a repeat, as path data; those of neighbouring repeats join.
    pub(super) strands: Vec<Part>,
    /// The lines of a repeat instead of `strands` where the border does not run on at its ends.
    #[serde(default)]
    closed: Vec<Part>,
    /// Further lines, where there is room for them or they are asked for.
    #[serde(default)]
    more: Vec<More>,
    /// How the strands close where the border ends; without it they end in whole repeats.
    pub(super) end: Option<End>,
    /// How they go round a border's corner; without it they do not.
    pub(super) corner: Option<Corner>,
    /// True if a line along the edge goes round a block or border that does not run on at its ends.
    #[serde(default)]
    pub(super) framed: bool,
    /// The setting (a length) that says how wide a row may be: wider blocks get several rows; without it there is
    /// one row.
    pub(super) row: Option<String>,
    /// The fewest repeats that look like the motif: a block too short for them gets more rows.
    #[serde(default = "one")]
    pub(super) fewest: u32,
    /// True if the motif has a foot: all rows stand upright, where else every second one is turned upside down, and so
    /// they do in a block that is not much higher than wide.
    #[serde(default)]
    pub(super) upright: bool,
    /// How far rows stand apart, in heights of a row: 0.1 is a tenth.
    #[serde(default)]
    apart: Apart,
    /// True if every strand is a band of `lines` lines, `gap` widths of the border apart.
    #[serde(default)]
    pub(super) bands: bool,
    /// The setting (a choice) that makes bands pass over each other, if it is `over`: a strand over all those after it in
    /// the list.
    pub(super) crossing: Option<String>,
}

/// Lines that are not always there.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct More {
    /// Only in rows at least so wide.
    from: Option<Length>,
    /// Only in rows less wide.
    under: Option<Length>,
    /// Only where this setting (a choice) has this word.
    choice: Option<(String, String)>,
    /// Where in a border they lie.
    #[serde(default)]
    at: Place,
    /// True if they lie under all bands, over the whole height of a row, and only what is between these is seen; without
    /// bands they are left out.
    #[serde(default)]
    tucked: bool,
    /// The lines of a repeat; never bands.
    strands: Vec<Part>,
}

/// Where further lines lie.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Place {
    /// In every repeat.
    #[default]
    Repeat,
    /// Between two repeats, with x from the joint.
    Joint,
    /// At every joint and at both ends, with x from there.
    Joints,
}

/// The lines that close the strands at the left end of a border; the right end is their mirror image.
///
/// The first repeat begins at x = 0; x counts in heights of a row, but slopes at x = 0 are those of repeats; y goes across
/// as in a repeat.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct End {
    /// Where in a repeat they begin, 0 to 1.
    #[serde(default)]
    pub(super) phase: f64,
    /// True if the right end is upside down as well.
    #[serde(default)]
    pub(super) turned: bool,
    /// How much of the border an end takes, in widths of a row.
    #[serde(default)]
    pub(super) widths: f64,
    /// How much of the border an end takes beside that, in repeats; below 0, repeats reach so far beyond it and are cut off.
    #[serde(default)]
    pub(super) repeats: f64,
    /// The lines, which are bands if strands are.
    #[serde(default)]
    pub(super) strands: Vec<Part>,
    /// Further lines.
    #[serde(default)]
    more: Vec<More>,
}

/// The lines of a border's corner, from 0,0 in its outer corner on the left to 1,1 in that at the top: they come in on the left
/// and go on at the top. Left of 0 and above 1 the runs begin, whose x counts in repeats from there.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Corner {
    /// Where in a repeat the runs begin and end, 0 to 1.
    #[serde(default)]
    pub(super) phase: f64,
    /// The length of a repeat that the lines are drawn for, in widths of the border.
    pub(super) repeat: f64,
    /// How far the unit may reach into its runs, in repeats: there lines are as in a run, and it can be cut from it without a
    /// crossing being cut.
    #[serde(default)]
    reach: f64,
    /// True if a run that turns has an odd number of repeats, where others may have any.
    #[serde(default)]
    odd: bool,
    /// Lines across the whole unit, a strand over all those after it in the list; together they are their own mirror image.
    #[serde(default)]
    pub(super) strands: Vec<Part>,
    /// Lines on this side of the diagonal; their mirror images go on from them, and lie on each other the other way round.
    #[serde(default)]
    pub(super) mirrored: Vec<Part>,
    /// Further lines, drawn on both sides of the diagonal.
    #[serde(default)]
    more: Vec<More>,
}

impl End {
    pub(super) fn further(&self, settings: &Settings, across: f64, tucked: bool) -> Vec<&Part> {
        chosen(&self.more, settings, across, (tucked, Place::Repeat))
    }
}

impl Corner {
    pub(super) fn further(&self, settings: &Settings, across: f64, tucked: bool) -> Vec<&Part> {
        chosen(&self.more, settings, across, (tucked, Place::Repeat))
    }
}

/// Of further lines those that are there in rows `across` mm wide.
fn chosen<'a>(more: &'a [More], settings: &Settings, across: f64, of: (bool, Place)) -> Vec<&'a Part> {
    let here = |more: &&More| {
        (more.tucked, more.at) == of
            && more.from.is_none_or(|least| across >= least.0)
            && more.under.is_none_or(|most| across < most.0)
            && more.choice.as_ref().is_none_or(|(name, word)| settings.word(name) == word)
    };
    more.iter().filter(here).flat_map(|more| &more.strands).collect()
}

/// A share of a row, from 0 to 1.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(try_from = "f64")]
struct Apart(f64);

impl TryFrom<f64> for Apart {
    type Error = String;

    fn try_from(share: f64) -> Result<Self, String> {
        let fits = (0.0..=1.0).contains(&share);
        if fits { Ok(Self(share)) } else { Err(format!("rows cannot stand {share} apart; give 0 to 1")) }
    }
}

/// A length with its unit, mm.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(try_from = "String")]
struct Length(f64);

impl TryFrom<String> for Length {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        read_length(&text).map(Self).map_err(|e| e.to_string())
    }
}

/// What sets the length of a repeat.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Repeat {
    /// A setting of kind length.
    Length(String),
    /// A setting of kind ratio: so many times the width of the border.
    Widths(String),
}

fn one() -> u32 {
    1
}

impl Numbers {
    /// The strands of a repeat, open or closed at the ends of the border.
    pub(super) fn main(&self, open: bool) -> Vec<&Part> {
        let closed = !open && !self.closed.is_empty();
        if closed { self.closed.iter().collect() } else { self.strands.iter().collect() }
    }

    /// The further lines of a place in rows `across` mm wide: those that lie under all bands, or the others.
    pub(super) fn further(&self, settings: &Settings, across: f64, of: (bool, Place)) -> Vec<&Part> {
        chosen(&self.more, settings, across, of)
    }

    /// True if it has a corner unit.
    #[must_use]
    pub fn turns(&self) -> bool {
        self.corner.is_some()
    }

    /// How far a corner unit may reach into its runs, in repeats.
    #[must_use]
    pub fn reach(&self) -> f64 {
        self.corner.as_ref().map_or(0.0, |corner| corner.reach)
    }

    /// True if repeats that alternate are odd in number in a border that is `open` at its ends, or not.
    pub(super) fn is_odd(&self, open: bool) -> bool {
        self.odd || open && self.corner.as_ref().is_some_and(|corner| corner.odd)
    }

    /// Where in a repeat its runs begin and end, 0 to 1.
    #[must_use]
    pub fn phase(&self) -> f64 {
        self.corner.as_ref().map_or(0.0, |corner| corner.phase)
    }

    /// How far apart `rows` rows begin, and how high each is, in rows without a space between them.
    pub(super) fn pitch(&self, rows: u32) -> (f64, f64) {
        let rows = f64::from(rows);
        let high = rows / (rows + (rows - 1.0) * self.apart.0);
        (high * (1.0 + self.apart.0), high)
    }

    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        let mut needs = match &self.repeat {
            Repeat::Length(name) => vec![(name.clone(), "length")],
            Repeat::Widths(name) => vec![(name.clone(), "ratio")],
        };
        needs.extend(self.row.clone().map(|name| (name, "length")));
        if self.bands {
            needs.extend([("lines".to_owned(), "count"), ("gap".to_owned(), "ratio")]);
        }
        needs.extend(self.crossing.clone().map(|name| (name, "choice")));
        let more = self.more.iter().chain(self.end.iter().flat_map(|end| &end.more));
        let more = more.chain(self.corner.iter().flat_map(|corner| &corner.more));
        needs.extend(more.filter_map(|more| Some((more.choice.clone()?.0, "choice"))));
        needs
    }
}

/// How many repeats more, at each end, have lines that reach into the first or the last one.
pub(super) fn overhang(parts: &[&Part]) -> i64 {
    let boxes = parts.iter().map(|part| part.path().bounding_box());
    let most = boxes.fold(0.0, |most: f64, r| most.max(-r.x0).max(r.x1 - 1.0));
    #[expect(clippy::cast_possible_truncation, reason = "saturates")]
    let repeats = most.ceil() as i64;
    repeats.min(MOST_OVERHANG)
}
