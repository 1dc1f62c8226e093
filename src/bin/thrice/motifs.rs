//! `thrice motifs`: the motifs there are, and the settings of one.

use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use anyhow::Context;
use thrice::base::form::Problem;
use thrice::block::suit::Suit;
use thrice::drawing::corner;
use thrice::drawing::library;
use thrice::drawing::motif::{self, Motif};
use thrice::views::paper::Paper;
use thrice::views::{pdf, png, sampler, svg};

use super::output::write_one;
use super::reading;
use super::words::{say, typed, unreadable, warn};

/// List the motifs with what they suit; with NAME, its settings, ranges and defaults
#[derive(clap::Args)]
pub struct Args {
    /// A motif, to see its settings
    name: Option<String>,
    /// A folder with motif files of your own, read as well
    #[arg(long, value_name = "DIR")]
    motifs: Option<PathBuf>,
    /// Draw every motif on those of six blocks that it suits, a row a motif: FILE.svg or FILE.png to look at, FILE.pdf to print
    #[arg(long, value_name = "FILE.svg", conflicts_with = "name")]
    sampler: Option<PathBuf>,
}

/// Width of the sampler as PNG, pixels: its letters can be read.
const SAMPLER_PX: u32 = 4800;

/// Reads the library and prints what was asked for.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let wanted: Vec<&str> = args.name.as_deref().into_iter().collect();
    let motifs = read(args.motifs.as_deref(), &wanted)?;
    if let Some(file) = &args.sampler {
        let ending = file.extension().map(|e| e.to_string_lossy().to_lowercase());
        if !matches!(ending.as_deref(), Some("svg" | "png" | "pdf")) {
            return Err(typed(format!(
                "`{}` is no picture file; end its name with .svg, .png or .pdf",
                file.display()
            )));
        }
        let bytes = match ending.as_deref() {
            Some("png") => png::write(&sampler::draw(&motifs)?, SAMPLER_PX)?,
            Some("pdf") => pdf::write("Motif sampler", &sampler::pages(&motifs, Paper::Letter)?),
            _ => svg::write(&sampler::draw(&motifs)?).into_bytes(),
        };
        return say(&format!("wrote {}\n", write_one(file, bytes)?.display()));
    }
    match &args.name {
        Some(name) => say(&one(library::find(&motifs, name).map_err(typed)?)),
        None => say(&all(&motifs)),
    }
}

/// The built-in library and the motif files (`*.toml`) of a folder; a broken one is told and left out.
///
/// `wanted` are the motifs asked for: if one of them is in a broken file, nothing goes on without it.
pub fn read(folder: Option<&Path>, wanted: &[&str]) -> anyhow::Result<Vec<Motif>> {
    let Some(folder) = folder else { return built_in() };
    let mut more = Vec::new();
    let entries = std::fs::read_dir(folder).with_context(|| unreadable(folder))?;
    let mut paths: Vec<PathBuf> = entries.filter_map(|e| Some(e.ok()?.path())).collect();
    paths.retain(|p| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("toml")));
    paths.sort();
    for path in paths {
        let usable = reading::text(&path, reading::MOST_TEXT).and_then(|text| {
            motif::read(&text).map_err(|problems| {
                let lines: Vec<String> = problems.iter().map(Problem::to_string).collect();
                typed(format!(
                    "{} cannot be used:\n  {}",
                    path.display(),
                    lines.join("\n  ").replace("; ", ": ")
                ))
            })
        });
        match usable {
            Ok(motif) => more.push(motif),
            Err(error) if path.file_stem().is_some_and(|stem| wanted.iter().any(|w| *w == stem)) => {
                return Err(error);
            }
            Err(error) => warn(&format!("note: left out: {error}\n")),
        }
    }
    Ok(library::with(more)?)
}

/// The built-in library, read once: a page asks for it with every drawing.
fn built_in() -> anyhow::Result<Vec<Motif>> {
    static READ: OnceLock<Vec<Motif>> = OnceLock::new();
    if let Some(known) = READ.get() {
        return Ok(known.clone());
    }
    let read = library::with(Vec::new())?;
    Ok(READ.get_or_init(|| read).clone())
}

fn all(motifs: &[Motif]) -> String {
    let width = motifs.iter().map(|m| m.name.len()).max().unwrap_or(0);
    let mut text = String::new();
    for m in motifs {
        let _ = writeln!(text, "{:width$}  {}", m.name, m.about);
        let _ = writeln!(text, "{:width$}  suits {}{}", "", suits(m), corners(m));
    }
    text.push_str("\nfamilies: motifs that belong together (family = \"NAME\" in a quilt file)\n");
    for family in thrice::drawing::family::all() {
        let _ = writeln!(text, "{:width$}  {}", family.name, family.about);
    }
    text.push_str(
        "\nthrice motifs NAME shows the settings of one; thrice block NAME --square 8in makes it.\n",
    );
    text
}

fn one(motif: &Motif) -> String {
    let mut text = format!("{}: {}\nsuits {}{}\n", motif.title, motif.about, suits(motif), corners(motif));
    if let Some(family) = &motif.family {
        let _ = writeln!(text, "family {family}");
    }
    let width = motif.settings.iter().map(|s| s.name.len()).max().unwrap_or(0);
    text.push_str("\nsettings (--setting NAME=VALUE)\n");
    for s in &motif.settings {
        let default = s.show_value(&s.default);
        let range = match &s.kind {
            thrice::drawing::settings::Kind::Choice(words) => words.join(" | "),
            thrice::drawing::settings::Kind::Seed => "any whole number".to_owned(),
            _ => format!("{} to {}", s.show(s.range.0), s.show(s.range.1)),
        };
        let _ = writeln!(text, "  {:width$}  {}", s.name, s.help);
        let _ = writeln!(text, "  {:width$}  {range}; default {default}", "");
    }
    if let Some(why) = &motif.doubling {
        let _ = writeln!(text, "\nbacktracking: {why}");
    }
    text
}

fn suits(motif: &Motif) -> String {
    let kinds: Vec<&str> = motif.suits.iter().filter(|s| **s != Suit::Corner).map(|s| s.word()).collect();
    if kinds.len() == Suit::any().count() { "any shape".to_owned() } else { kinds.join(", ") }
}

/// How it goes round the corner of a border, for a list.
fn corners(motif: &Motif) -> String {
    let ways: Vec<&str> = corner::ways(motif).iter().map(|way| way.word()).collect();
    if ways.is_empty() { String::new() } else { format!("; as a border: {}", ways.join(", ")) }
}
