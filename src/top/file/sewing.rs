//! The tables of a quilt file that say how it is sewn: machine, sandwich, stitch and look.

use super::{Dress, MARGIN_MM};
use crate::base::colour::{self, ColourError};
use crate::base::form::{Form, Problems};
use crate::base::units::read_length;
use crate::drawing::family::{self, Family};
use crate::stitches::{STEP_MM, STEP_RANGE_MM, SewOptions};
use crate::survey::estimate::{self, SPEED_MAX, SPEED_MIN};
use crate::survey::hoop::Hoop;
use crate::survey::{GAP_LIMIT_MAX_MM, batting, loft};

/// The widest margin that is taken at its word, mm.
const MARGIN_MAX_MM: f64 = 100.0;
/// Scales that are taken at their word, mm; each motif has its own range besides.
const SCALE_MM: std::ops::RangeInclusive<f64> = 1.0..=500.0;

/// Thicknesses that are taken at their word, mm.
const THICKNESS_MM: std::ops::RangeInclusive<f64> = estimate::THICKNESS_MIN_MM..=estimate::THICKNESS_MAX_MM;

/// What `[machine]` says.
pub struct Machine {
    pub hoops: Vec<Hoop>,
    pub speed: f64,
    pub formats: Vec<String>,
}

/// What `[sandwich]` says.
pub struct Sandwich {
    pub gap_limit_mm: f64,
    pub thickness_mm: f64,
    pub bobbin_m: f64,
    pub loft_mm: f64,
}

/// What `[look]` says.
pub struct Look {
    pub scale_mm: Option<f64>,
    pub family: Option<Family>,
    pub dress: Dress,
}

/// What `[stitch]` says.
pub struct Stitch {
    pub sew: SewOptions,
    pub margin_mm: f64,
    pub travel: bool,
}

pub fn machine(form: &mut Form<'_>, formats: &[&str], problems: &mut Problems<'_>) -> Option<Machine> {
    let Some(mut table) = form.form("machine", problems) else {
        form.missing("[machine]", "with hoops = [\"200 x 200 mm\"] below it", problems);
        return None;
    };
    let hoops = hoops(&mut table, problems);
    let speed = table.number("speed", SPEED_MIN..=SPEED_MAX, problems).unwrap_or(estimate::DEFAULT_SPEED);
    let mut wanted = Vec::new();
    for (word, at) in table.texts_at("formats", problems).unwrap_or_else(|| vec![("dst".into(), 0)]) {
        if formats.contains(&word.as_str()) {
            wanted.push(word);
        } else {
            let known = formats.join(", ");
            problems.add(at, format!("`{word}` is no machine format here; there are {known}"));
        }
    }
    wanted.dedup();
    table.finish(&["hoops", "speed", "formats"], problems);
    Some(Machine { hoops: hoops?, speed, formats: wanted })
}

fn hoops(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Vec<Hoop>> {
    if !table.has("hoops") {
        table.missing("hoops", "[\"200 x 200 mm\", \"200 x 300 mm\"]", problems);
        return None;
    }
    let offset = table.offset();
    let mut hoops: Vec<Hoop> = Vec::new();
    let texts = table.texts_at("hoops", problems)?;
    let none = texts.is_empty();
    for (text, at) in texts {
        match text.parse() {
            Ok(hoop) => hoops.push(hoop),
            Err(error) => problems.add(at, error.to_string()),
        }
    }
    if none {
        problems.add(offset, "hoops is empty; name at least one sewing field, such as \"200 x 200 mm\"");
    }
    let area = |h: &Hoop| h.width_mm * h.height_mm;
    hoops.sort_by(|a, b| area(a).total_cmp(&area(b)).then(a.width_mm.total_cmp(&b.width_mm)));
    Some(hoops)
}

pub fn sandwich(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Sandwich {
    let mut said = Sandwich {
        gap_limit_mm: batting::UNKNOWN.gap_mm,
        thickness_mm: estimate::DEFAULT_THICKNESS_MM,
        bobbin_m: estimate::DEFAULT_BOBBIN_M,
        loft_mm: loft::UNKNOWN_MM,
    };
    let mut named = None;
    let Some(mut table) = form.form("sandwich", problems) else { return said };
    if let Some((name, at)) = table.text_at("batting", problems) {
        match batting::find(&name) {
            Ok(batting) => {
                said.gap_limit_mm = batting.gap_mm;
                named = Some(batting.name);
            }
            Err(error) => problems.add(at, error.to_string()),
        }
    }
    if let Some(gap) = length_in(&mut table, "gap", 1.0..=GAP_LIMIT_MAX_MM, problems) {
        said.gap_limit_mm = gap;
    }
    if let Some(mm) = length_in(&mut table, "thickness", THICKNESS_MM, problems) {
        said.thickness_mm = mm;
    }
    if let Some((text, at)) = table.text_at("bobbin", problems) {
        match estimate::read_bobbin(&text) {
            Ok(metres) => said.bobbin_m = metres,
            Err(error) => problems.add(at, error.to_string()),
        }
    }
    table.finish(&["batting", "gap", "thickness", "bobbin"], problems);
    said.loft_mm = loft::loft_mm(named, said.thickness_mm);
    said
}

pub fn stitch(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Stitch {
    let mut said = Stitch { sew: SewOptions::default(), margin_mm: MARGIN_MM, travel: true };
    let Some(mut table) = form.form("stitch", problems) else { return said };
    said.sew.step_mm = length_in(&mut table, "length", STEP_RANGE_MM, problems).unwrap_or(STEP_MM);
    said.margin_mm = length_in(&mut table, "margin", 0.0..=MARGIN_MAX_MM, problems).unwrap_or(MARGIN_MM);
    said.sew.ties = table.flag("ties", problems).unwrap_or(true);
    said.travel = table.flag("travel", problems).unwrap_or(true);
    table.finish(&["length", "margin", "ties", "travel"], problems);
    said
}

pub fn look(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Look {
    let mut said = Look { scale_mm: None, family: None, dress: Dress::default() };
    let Some(mut table) = form.form("look", problems) else { return said };
    said.scale_mm = length_in(&mut table, "scale", SCALE_MM, problems);
    if let Some((name, at)) = table.text_at("family", problems) {
        said.family = family::find(&name);
        if said.family.is_none() {
            let all: Vec<String> = family::all().into_iter().map(|f| f.name).collect();
            problems.add(at, format!("there is no family `{name}`; there are {}", all.join(", ")));
        }
    }
    said.dress = dress(&mut table, problems);
    table.finish(&["family", "scale", "cloth", "thread"], problems);
    said
}

/// Takes the colours of cloth and thread.
pub fn dress(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Dress {
    let told = |problems: &mut Problems<'_>, key: &str, at: usize, error: ColourError| {
        problems.add(at, format!("{key}: {error}"));
    };
    let mut dress = Dress::default();
    if let Some((text, at)) = table.text_at("cloth", problems) {
        match text.parse() {
            Ok(cloth) => dress.cloth = Some(cloth),
            Err(error) => told(problems, "cloth", at, error),
        }
    }
    if let Some((text, at)) = table.text_at("thread", problems) {
        match colour::list(&text) {
            Ok(thread) => dress.thread = Some(thread),
            Err(error) => told(problems, "thread", at, error),
        }
    }
    dress
}

/// Takes a length within a range, mm.
pub fn length_in(
    table: &mut Form<'_>,
    key: &str,
    range: std::ops::RangeInclusive<f64>,
    problems: &mut Problems<'_>,
) -> Option<f64> {
    let (text, at) = table.text_at(key, problems)?;
    match read_length(&text) {
        Ok(mm) if range.contains(&mm) => Some(mm),
        Ok(_) => {
            let (least, most) = (range.start(), range.end());
            problems.add(at, format!("{key} is {text}; it goes from {least} to {most:.0} mm"));
            None
        }
        Err(error) => {
            problems.add(at, format!("{key}: {error}"));
            None
        }
    }
}
