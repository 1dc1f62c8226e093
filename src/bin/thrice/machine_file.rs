//! A machine file of any origin, by its name → what it holds; and places in a design as they are typed.

use std::borrow::Cow;
use std::path::Path;

use anyhow::{Context, bail};
use kurbo::Vec2;
use thrice::base::units::Units;
use thrice::stitches::{Run, Stitches};
use thrice::survey::verdict::Moves;
use thrice::survey::{Sandwich, Survey};
use thrice::views::sewn::Sewn;
use thrice::wire::{Format, Reading};

use super::block::plain_name;
use super::reading::{self, Files};
use super::words::{length, typed};

/// What a machine file holds, by the format that its name ends with.
///
/// # Errors
/// If it is no machine file, cannot be read, or holds no stitches.
pub fn read(path: &Path, files: Files<'_>) -> anyhow::Result<(Format, Reading)> {
    let extension = path.extension().unwrap_or_default().to_string_lossy();
    let format = Format::from_extension(&extension).ok_or_else(|| {
        typed(format!("{} is no machine file known here; name a .dst or .exp file", path.display()))
    })?;
    let bytes = files.bytes(path, reading::MOST_MACHINE)?;
    let reading = format.read(&bytes).with_context(|| format!("cannot use {}", path.display()))?;
    if reading.stitches.points().nth(1).is_none() {
        bail!("{} holds no stitches; check that it is the right file", path.display());
    }
    Ok((format, reading))
}

/// Where the machine does something else than sew.
pub fn moves(reading: &Reading) -> Moves {
    Moves { jumps: reading.jumps(), trims: reading.trims(), colour_stops: reading.colour_changes }
}

/// The name of what is made of a machine file: the one asked for, or the file's with what was done to it.
///
/// # Errors
/// If the name asked for is no plain name.
pub fn name_of(asked: Option<&str>, file: &Path, done: &str) -> anyhow::Result<String> {
    match asked {
        Some(name) => plain_name(name),
        None => Ok(format!("{}-{done}", stem(file))),
    }
}

/// The design of a machine file as it is shown: without a motif, a block, its curves or warnings.
pub fn sewn<'a>(
    title: &'a str,
    stitches: &'a Stitches,
    survey: &'a Survey,
    sandwich: &'a Sandwich,
    units: Units,
) -> Sewn<'a> {
    Sewn {
        title,
        motif: String::new(),
        block: None,
        stitches: Cow::Borrowed(stitches),
        turned: false,
        survey,
        sandwich,
        lines: None,
        warnings: Vec::new(),
        units,
    }
}

/// The file's name without its ending.
pub fn stem(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// The same stitches elsewhere.
pub fn moved(stitches: &Stitches, by: Vec2) -> Stitches {
    let run = |run: &Run| Run { points: run.points.iter().map(|p| *p + by).collect(), ..run.clone() };
    Stitches::new(stitches.pieces.iter().map(run).collect())
}

/// Two lengths with signs, across and up, mm.
pub fn place(text: &str) -> Result<Vec2, String> {
    let signed = |text: &str| {
        let text = text.trim();
        let (sign, plain) = text.strip_prefix('-').map_or((1.0, text), |rest| (-1.0, rest));
        length(plain).map(|mm| sign * mm).map_err(|e| e.to_string())
    };
    let (across, up) = text
        .split_once(',')
        .ok_or_else(|| format!("`{text}` is no place; write across and up, such as 1/2in,0in"))?;
    Ok(Vec2::new(signed(across)?, signed(up)?))
}
