//! `[top]` of a quilt file: how the blocks are set, with their sizes and sashing, or a drawn top.

use super::{MOST_BLOCKS, Sources};
use crate::base::form::{Form, Problems};
use crate::base::units::{LONGEST_MM, Units, read_length};
use crate::block::LEAST_MM;
use crate::top::drawn::{self, Patch};

const KEYS: [&str; 8] =
    ["setting", "rows", "columns", "block", "sashing", "posts", "outer-sashing", "drawing"];
/// The settings that can be asked for.
const SETTINGS: &str = "\"straight\", \"on point\", \"whole cloth\" or \"drawn\"";

/// How the blocks are set.
#[derive(Debug, Clone, PartialEq)]
pub struct Top {
    /// Which way.
    pub set: Set,
    /// Finished width of every column, mm; empty for a drawn top.
    pub columns: Vec<f64>,
    /// Finished height of every row, from the top, mm; empty for a drawn top.
    pub rows: Vec<f64>,
    /// The strips between blocks.
    pub sashing: Sashing,
}

/// Which way blocks are set.
#[derive(Debug, Clone, PartialEq)]
pub enum Set {
    /// In columns and rows.
    Straight,
    /// Turned by 45 degrees.
    OnPoint,
    /// One cloth without seams.
    WholeCloth,
    /// As drawn.
    Drawn(Vec<Patch>),
}

/// The strips between blocks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sashing {
    /// Finished width of the upright ones, mm; 0 for none.
    pub upright: f64,
    /// Finished width of the level ones, mm; 0 for none.
    pub level: f64,
    /// Squares where they meet; without, the level ones run through.
    pub posts: bool,
    /// Round the outside as well.
    pub outer: bool,
}

impl Set {
    /// The words for it.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::OnPoint => "on point",
            Self::WholeCloth => "whole cloth",
            Self::Drawn(_) => "drawn",
        }
    }
}

impl Sashing {
    /// None.
    pub const NONE: Self = Self { upright: 0.0, level: 0.0, posts: true, outer: false };

    /// True if there is any.
    #[must_use]
    pub fn is_some(&self) -> bool {
        self.upright > 0.0 || self.level > 0.0
    }
}

/// Reads the table.
pub fn read(
    form: &mut Form<'_>,
    sources: &Sources<'_>,
    units: Units,
    problems: &mut Problems<'_>,
) -> Option<Top> {
    let Some(mut table) = form.form("top", problems) else {
        form.missing("[top]", "with setting, rows, columns and block below it", problems);
        return None;
    };
    let word = setting(&mut table, problems);
    let top = match word.as_deref() {
        Some("drawn") => drawn_top(&mut table, sources, units, problems),
        // Without a word for it, to find what else is wrong.
        word => blocks(&mut table, word.unwrap_or("straight"), problems),
    };
    table.finish(&KEYS, problems);
    top
}

fn setting(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<String> {
    match table.text_at("setting", problems) {
        Some((word, _)) if ["straight", "on point", "whole cloth", "drawn"].contains(&word.as_str()) => {
            Some(word)
        }
        Some((word, at)) => {
            problems.add(at, format!("setting is `{word}`; it is {SETTINGS}"));
            None
        }
        None => {
            table.missing("setting", SETTINGS, problems);
            None
        }
    }
}

fn drawn_top(
    table: &mut Form<'_>,
    sources: &Sources<'_>,
    units: Units,
    problems: &mut Problems<'_>,
) -> Option<Top> {
    let Some((name, at)) = table.text_at("drawing", problems) else {
        table.missing("drawing", "\"my-top.svg\"", problems);
        return None;
    };
    let text = match (sources.drawing)(&name) {
        Ok(text) => text,
        Err(why) => {
            problems.add(at, format!("drawing: {why}"));
            return None;
        }
    };
    match drawn::read(&text, units) {
        Ok(patches) => Some(Top {
            set: Set::Drawn(patches),
            columns: Vec::new(),
            rows: Vec::new(),
            sashing: Sashing::NONE,
        }),
        Err(wrong) => {
            for why in wrong {
                problems.add(at, format!("{name}: {why}"));
            }
            None
        }
    }
}

fn blocks(table: &mut Form<'_>, word: &str, problems: &mut Problems<'_>) -> Option<Top> {
    let whole = word == "whole cloth";
    for key in ["rows", "columns"] {
        if !table.has(key) && !whole {
            table.missing(key, "4", problems);
        }
    }
    let (sized_rows, sized_columns) = (table.is_list("rows"), table.is_list("columns"));
    let block = block(table, !(sized_rows && sized_columns), problems);
    let rows = sizes(table, "rows", block.map(|b| b.1), whole, problems);
    let columns = sizes(table, "columns", block.map(|b| b.0), whole, problems);
    let offset = table.offset();
    if word == "on point" && (sized_rows || sized_columns) {
        problems.add(
            offset,
            "on point all blocks are of one size; give counts for rows and columns, and one block",
        );
        return None;
    }
    let sashing = sashing(table, word, problems);
    let (rows, columns, sashing) = (rows?, columns?, sashing?);
    if word == "on point" && rows[0] != columns[0] && sashing.is_some() {
        problems.add(
            offset,
            "rectangles on point have no sashing here; leave sashing out, or give one size for block",
        );
    }
    let total = |sizes: &[f64], sash: f64| sizes.iter().map(|s| s + sash).sum::<f64>();
    for (what, long) in [("wide", total(&columns, sashing.upright)), ("high", total(&rows, sashing.level))] {
        if long > LONGEST_MM {
            problems.add(
                offset,
                format!("the top would be {long:.0} mm {what}; it may be {} m", LONGEST_MM / 1000.0),
            );
        }
    }
    let set = match word {
        "straight" => Set::Straight,
        "on point" => Set::OnPoint,
        _ => Set::WholeCloth,
    };
    let (rows, columns) =
        if whole { (vec![rows.iter().sum()], vec![columns.iter().sum()]) } else { (rows, columns) };
    Some(Top { set, columns, rows, sashing })
}

/// A count of rows or columns of one size, or a list of sizes.
fn sizes(
    table: &mut Form<'_>,
    key: &str,
    each: Option<f64>,
    whole: bool,
    problems: &mut Problems<'_>,
) -> Option<Vec<f64>> {
    if !table.is_list(key) {
        let count = match table.has(key) {
            true => table.count(key, 1..=MOST_BLOCKS, problems)?,
            false if whole => 1,
            false => return None,
        };
        return each.map(|mm| vec![mm; count as usize]);
    }
    let offset = table.offset();
    let texts = table.texts_at(key, problems)?;
    if texts.is_empty() || texts.len() > MOST_BLOCKS as usize {
        problems.add(offset, format!("{key} lists {} sizes; give 1 to {MOST_BLOCKS}", texts.len()));
        return None;
    }
    let read: Vec<Option<f64>> =
        texts.iter().map(|(text, at)| length(text, *at, key, LEAST_MM..=LONGEST_MM, problems)).collect();
    read.into_iter().collect()
}

fn length(
    text: &str,
    at: usize,
    key: &str,
    range: std::ops::RangeInclusive<f64>,
    problems: &mut Problems<'_>,
) -> Option<f64> {
    match read_length(text) {
        Ok(mm) if range.contains(&mm) => Some(mm),
        Ok(_) => {
            problems.add(
                at,
                format!(
                    "{key}: {text} cannot be quilted; give {} mm to {} m",
                    range.start(),
                    range.end() / 1000.0
                ),
            );
            None
        }
        Err(error) => {
            problems.add(at, format!("{key}: {error}"));
            None
        }
    }
}

fn block(table: &mut Form<'_>, needed: bool, problems: &mut Problems<'_>) -> Option<(f64, f64)> {
    let Some((text, at)) = table.text_at("block", problems) else {
        if needed {
            table.missing("block", "\"8in\"", problems);
        }
        return None;
    };
    pair(&text, at, "block", LEAST_MM..=LONGEST_MM, problems)
}

/// One length for both ways, or two with a comma: across, up.
fn pair(
    text: &str,
    at: usize,
    key: &str,
    range: std::ops::RangeInclusive<f64>,
    problems: &mut Problems<'_>,
) -> Option<(f64, f64)> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    if parts.len() > 2 {
        problems.add(at, format!("{key} has {} lengths; give one, or two with a comma", parts.len()));
        return None;
    }
    let read: Vec<Option<f64>> = parts.iter().map(|p| length(p, at, key, range.clone(), problems)).collect();
    match read[..] {
        [Some(both)] => Some((both, both)),
        [Some(across), Some(up)] => Some((across, up)),
        _ => None,
    }
}

fn sashing(table: &mut Form<'_>, word: &str, problems: &mut Problems<'_>) -> Option<Sashing> {
    let (offset, on_point) = (table.offset(), word == "on point");
    let widths = match table.text_at("sashing", problems) {
        Some((text, at)) => {
            let (upright, level) = pair(&text, at, "sashing", 0.0..=LONGEST_MM, problems)?;
            if [upright, level].iter().any(|mm| *mm != 0.0 && *mm < LEAST_MM) {
                problems.add(at, format!("sashing is {text}; it is 0in, or {LEAST_MM} mm and more"));
                return None;
            }
            (upright, level)
        }
        None => (0.0, 0.0),
    };
    let posts = table.flag("posts", problems).unwrap_or(true);
    let outer = table.flag("outer-sashing", problems).unwrap_or(false);
    let sashing = Sashing { upright: widths.0, level: widths.1, posts, outer };
    let no = match (word, sashing.is_some()) {
        ("whole cloth", true) => Some("a whole cloth has no sashing; leave it out, or give it borders"),
        _ if outer && on_point => Some("outer-sashing is for a straight setting; on point, add a border"),
        _ if on_point && !posts => {
            Some("posts = false is for a straight setting; on point, sashes meet in posts")
        }
        _ if on_point && widths.0 != widths.1 => {
            Some("on point all sashes are of one width; give one, such as \"1in\"")
        }
        _ => None,
    };
    if let Some(no) = no {
        problems.add(offset, no);
    }
    Some(sashing)
}
