//! `thrice quilt`: everything for a whole quilt.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Component, Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::bail;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use kurbo::BezPath;
use thrice::Besides;
use thrice::base::units::{Units, show_length};
use thrice::drawing::family::{self, Family};
use thrice::survey::remedy::Warning;
use thrice::tailor::refit;
use thrice::top::file::{self, Quilt, Sources, path_safe};
use thrice::top::plan::{Plan, plan};
use thrice::top::scale;
use thrice::top::{Work, work};
use thrice::wire::Format;

use super::block::{bobbins, format, once};
use super::look_args::PaperSize;
use super::machine_file;
use super::motifs;
use super::output::{File, write_new, write_set};
use super::reading::{self, Files};
use super::words::{NotHandedIn, Unusable, say, tell_first, typed, warn};

/// The built-in demo.
pub const DEMO: &str = include_str!("../../top/demo.toml");
/// What a new quilt file begins as.
const STARTER: &str = include_str!("../../top/starter.toml");
/// The name of a new quilt file.
const STARTER_NAME: &str = "quilt.toml";
/// The longest plan of an earlier run that is read, bytes.
const MOST_PLAN: u64 = 100_000_000;
/// Work that takes longer shows how far it is.
const QUIET: Duration = Duration::from_millis(500);
/// More hoopings than any quilt has.
const MOST_HOOPINGS: usize = 100_000;

/// Make everything for a quilt: every piece with its files, the map, the sewing sheet and the plan
#[derive(clap::Args)]
pub struct Args {
    /// The quilt file; --starter writes one to begin from
    #[arg(required_unless_present_any = ["demo", "starter"], conflicts_with_all = ["demo", "starter"])]
    file: Option<PathBuf>,
    /// Write a commented quilt file to begin from, and nothing else
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = STARTER_NAME)]
    starter: Option<PathBuf>,
    /// A family of motifs that fills the new quilt file; `thrice motifs` lists them
    #[arg(long, value_name = "NAME", requires = "starter")]
    family: Option<String>,
    /// Make the built-in demo quilt
    #[arg(long, conflicts_with = "starter")]
    demo: bool,
    /// A folder with motif files of your own, read as well
    #[arg(long, value_name = "DIR")]
    motifs: Option<PathBuf>,
    /// Machine files to write, separated by commas: dst, exp; instead of those that the quilt file names
    #[arg(long, value_name = "LIST", value_delimiter = ',', value_parser = format)]
    formats: Vec<Format>,
    /// Paper of templates and sewing sheet
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
    /// What to make besides, separated by commas
    #[arg(long, value_name = "LIST", value_enum, value_delimiter = ',')]
    also: Vec<Also>,
    /// Hoopings that are sewn already, such as 1-14 or 1-14,17: sheets and totals are of what is left, numbers and template pages stay
    #[arg(long, value_name = "LIST", value_parser = numbers)]
    sewn: Option<Numbers>,
    /// Folder to write to; the quilt gets a folder of its own in it
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Print the plan, and nothing else, as JSON
    #[arg(long)]
    json: bool,
}

/// What can be made of a quilt besides its files.
#[derive(Clone, Copy, PartialEq, clap::ValueEnum)]
enum Also {
    /// One page with everything to look at, to send
    Page,
    /// The map at a quarter of true size, on pages to join
    LargeMap,
}

/// Reads the quilt file, works it out, writes its files and says what there is to sew.
pub fn run(args: &Args) -> anyhow::Result<()> {
    if let Some(path) = &args.starter {
        write_new(path, starter(args.family.as_deref())?.as_bytes())?;
        let path = path.display();
        return say(&format!("wrote {path}; change it to your quilt, then run: thrice quilt {path}\n"));
    }
    let quilt = read(args, Files::World)?;
    let bar = bar();
    let work = worked(args, &quilt, &|done, of| {
        bar.set_length(of as u64 + 1);
        bar.set_position(done as u64);
    })?;
    let files = made(args, &work)?;
    bar.finish_and_clear();
    let plan = plan(&work);
    let inputs: Vec<PathBuf> = args.file.iter().cloned().collect();
    let folder = args.out.join(path_safe(&quilt.title));
    let files: Vec<File> = files.into_iter().map(|(name, bytes)| File { name, bytes }).collect();
    let old = no_longer(&folder, &files);
    let written = write_set(&folder, &files, &|| old.clone(), &inputs)?;
    remove_empty_folders(&folder, &old);
    let left = removed(&old) + &left_over(&folder, &files);
    if args.json {
        warn(&left);
        return say(&format!("{}\n", serde_json::to_string_pretty(&plan)?));
    }
    say(&(summary(&work, &plan, &folder, written.len()) + &left))
}

/// The quilt worked out; `done` is told after each piece how many are made, and of how many.
pub fn worked(args: &Args, quilt: &Quilt, done: &(dyn Fn(usize, usize) + Sync)) -> anyhow::Result<Work> {
    left(work(quilt, done).map_err(thrice::Error::from)?, args.sewn.as_ref())
}

/// Everything that is written of a quilt, by the names within its folder.
pub fn made(args: &Args, work: &Work) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
    let asked = |also: Also| args.also.contains(&also);
    let besides = Besides { page: asked(Also::Page), large_map: asked(Also::LargeMap) };
    Ok(thrice::write_quilt(work, &formats(args, &work.quilt)?, args.paper.paper(), besides)?)
}

/// Numbers of hoopings.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Numbers(BTreeSet<usize>);

/// Reads `1-14,17`.
fn numbers(text: &str) -> Result<Numbers, String> {
    let number = |text: &str| match text.trim().parse::<usize>() {
        Ok(n) if (1..=MOST_HOOPINGS).contains(&n) => Ok(n),
        _ => Err(format!("`{}` is no number of a hooping; give numbers such as 1-14,17", text.trim())),
    };
    let mut all = BTreeSet::new();
    for part in text.split(',') {
        let (from, to) = part.split_once('-').unwrap_or((part, part));
        let (from, to) = (number(from)?, number(to)?);
        if from > to {
            return Err(format!("`{}` runs backwards; give the lower number first", part.trim()));
        }
        all.extend(from..=to);
    }
    Ok(Numbers(all))
}

/// What is left when those hoopings are sewn.
fn left(work: Work, sewn: Option<&Numbers>) -> anyhow::Result<Work> {
    let Some(Numbers(sewn)) = sewn else { return Ok(work) };
    let (count, last) = (work.hoopings.len(), sewn.last().copied().unwrap_or(0));
    if last > count {
        bail!("there is no hooping {last}; this quilt has {count}: give --sewn 1-{count} at most");
    }
    if sewn.len() == count {
        bail!(
            "all {count} hoopings are sewn; nothing is left, so leave --sewn out to have the whole quilt again"
        );
    }
    Ok(work.left(sewn))
}

/// The files that an earlier run of this quilt wrote, by its own plan, and that are not of this run.
fn no_longer(folder: &Path, files: &[File]) -> Vec<String> {
    let plan = reading::text(&folder.join("plan.json"), MOST_PLAN).unwrap_or_default();
    let plan: serde_json::Value = serde_json::from_str(&plan).unwrap_or_default();
    let written = plan["written"].as_array().into_iter().flatten().filter_map(|name| name.as_str());
    let within = |name: &str| Path::new(name).components().all(|part| matches!(part, Component::Normal(_)));
    let old = written.filter(|name| within(name) && !files.iter().any(|f| f.name == **name));
    old.filter(|name| folder.join(name).is_file()).map(str::to_owned).collect()
}

/// Removes the folders that are empty now; one that still holds something stays.
fn remove_empty_folders(folder: &Path, old: &[String]) {
    let homes = old.iter().filter_map(|name| Path::new(name).parent()).filter(|home| *home != Path::new(""));
    homes.for_each(|home| drop(std::fs::remove_dir(folder.join(home))));
}

/// Says which files of an earlier run are gone.
fn removed(old: &[String]) -> String {
    if old.is_empty() {
        return String::new();
    }
    let (machine, other): (Vec<&String>, Vec<&String>) = old.iter().partition(|name| {
        Path::new(name).extension().and_then(|e| Format::from_extension(&e.to_string_lossy())).is_some()
    });
    let names: Vec<&str> = machine.iter().map(|name| name.as_str()).collect();
    let rest = match (names.len(), other.len()) {
        (0, n) => format!("{n} files"),
        (_, 0) => names.join(", "),
        (_, n) => format!("{} and {n} other files", names.join(", ")),
    };
    format!("note: removed, as this quilt no longer has them: {rest}\n")
}

/// What a new quilt file begins as: with a family, that in place of the motifs.
pub fn starter(family: Option<&str>) -> anyhow::Result<String> {
    let Some(name) = family else { return Ok(STARTER.to_owned()) };
    let Some(Family { name, .. }) = family::find(name) else {
        let all: Vec<String> = family::all().into_iter().map(|f| f.name).collect();
        return Err(typed(format!("there is no family `{name}`\n  there are {}", all.join(", "))));
    };
    let named = STARTER.replace("# family = \"feathers\"", &format!("family = \"{name}\""));
    let (before, rest) = named.split_once("\n[[piece]]").unwrap_or((&named, ""));
    let after = rest.split_once("# Borders, the innermost first.").map_or("", |(_, after)| after);
    let borders = format!("# Borders, the innermost first.{after}").replace("motif = \"orange-peel\"\n", "");
    Ok(format!(
        "{before}\n# The family {name} fills all of them; name a motif for one to have another there:\n# [[piece]]\n# where = \"blocks\"\n# motif = \"orange-peel\"\n\n{borders}"
    ))
}

/// Names folders of pieces that an earlier run left and this one did not write, so that no old file is sewn by mistake.
fn left_over(folder: &Path, files: &[File]) -> String {
    let written = |name: &str| files.iter().any(|f| f.name.split('/').next() == Some(name));
    let Ok(entries) = std::fs::read_dir(folder) else { return String::new() };
    let folders = entries.flatten().filter(|e| e.path().is_dir());
    let mut old: Vec<String> =
        folders.map(|e| e.file_name().to_string_lossy().into_owned()).filter(|n| !written(n)).collect();
    old.sort();
    if old.is_empty() {
        return String::new();
    }
    format!("note: not of this run, delete or keep apart so that no old file is sewn: {}\n", old.join(", "))
}

/// The quilt that was asked for, in the units that are told first.
pub fn read(args: &Args, files: Files<'_>) -> anyhow::Result<Quilt> {
    let (name, text) = match &args.file {
        Some(path) => {
            let text = files.text(path, reading::MOST_TEXT)?;
            (path.display().to_string(), text)
        }
        None => ("the demo".to_owned(), DEMO.to_owned()),
    };
    let words: Vec<&str> = text.split(|c: char| !c.is_alphanumeric() && c != '-').collect();
    let motifs = motifs::read(args.motifs.as_deref(), &words)?;
    let known: Vec<&str> = Format::ALL.iter().map(|f| f.extension()).collect();
    let folder = args.file.as_ref().and_then(|f| f.parent()).map_or_else(PathBuf::new, Path::to_path_buf);
    // A drawing named for several pieces is read, and its letters told of, once.
    let known_drawings: RefCell<BTreeMap<PathBuf, (String, Option<String>)>> = RefCell::default();
    let missing: RefCell<Vec<NotHandedIn>> = RefCell::default();
    // What is told of a file that cannot be read; one that was not handed in is told by its name as well.
    let unread = |error: anyhow::Error| {
        missing.borrow_mut().extend(error.downcast_ref::<NotHandedIn>().cloned());
        format!("{error:#}")
    };
    let drawing = |file: &str| {
        let path = folder.join(file);
        if let Some((text, _)) = known_drawings.borrow().get(&path) {
            return Ok(text.clone());
        }
        let read = files.drawing(&path).map_err(unread)?;
        let text = read.0.clone();
        known_drawings.borrow_mut().insert(path, read);
        Ok(text)
    };
    let design = |file: &str| design(&folder.join(file), files).map_err(unread);
    let sources = Sources { motifs: &motifs, formats: &known, drawing: &drawing, design: &design };
    let mut quilt = file::read_with(&text, &sources).map_err(|problems| Unusable {
        name,
        problems,
        missing: missing.take(),
    })?;
    let letters = known_drawings.into_inner().into_iter().filter_map(|(path, (_, letters))| {
        let name = path.strip_prefix(&folder).unwrap_or(&path).display().to_string();
        Some(Warning::of(&[&name], letters?))
    });
    quilt.notes.extend(letters);
    quilt.units = tell_first(quilt.units);
    Ok(quilt)
}

/// The lines of a machine file of her own.
fn design(path: &Path, files: Files<'_>) -> anyhow::Result<Vec<BezPath>> {
    let (_, reading) = machine_file::read(path, files)?;
    Ok(refit::lines(&reading.stitches, Units::Inches)?.paths)
}

fn formats(args: &Args, quilt: &Quilt) -> anyhow::Result<Vec<Format>> {
    if !args.formats.is_empty() {
        return Ok(once(&args.formats));
    }
    let formats: Vec<Format> = quilt.formats.iter().filter_map(|f| Format::from_extension(f)).collect();
    if formats.is_empty() {
        bail!("no machine format is named; give formats = [\"dst\"] under [machine], or --formats");
    }
    Ok(once(&formats))
}

/// A bar on a terminal that shows itself only when the work takes its time; nothing in a pipe.
fn bar() -> ProgressBar {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos} of {len} pieces") {
        bar.set_style(style);
    }
    let begun = Instant::now();
    let shown = bar.clone();
    shown.set_draw_target(ProgressDrawTarget::hidden());
    std::thread::spawn(move || {
        std::thread::sleep(QUIET.saturating_sub(begun.elapsed()));
        if !shown.is_finished() {
            shown.set_draw_target(ProgressDrawTarget::stderr());
            shown.tick();
        }
    });
    bar
}

/// "4 blocks"; nothing of what there is none of.
fn counted((count, name): (usize, &str)) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {name}")),
        _ if name.ends_with("sh") => Some(format!("{count} {name}es")),
        _ => Some(format!("{count} {name}s")),
    }
}

fn summary(work: &Work, plan: &Plan, folder: &Path, files: usize) -> String {
    use std::fmt::Write;
    let units = work.quilt.units;
    let [w, h] = plan.size.map(|mm| show_length(mm, units));
    let mut text = format!("{}, {w} by {h}\n", plan.title);
    let (t, c) = (&plan.totals, &plan.counts);
    let kinds = [
        (c.blocks, "block"),
        (c.side_triangles, "side triangle"),
        (c.corner_triangles, "corner triangle"),
        (c.sashes, "sash"),
        (c.posts, "post"),
        (c.borders, "border"),
    ];
    let kinds: Vec<String> = kinds.into_iter().filter_map(counted).collect();
    let _ = writeln!(text, "  {}", kinds.join(", "));
    for piece in &plan.pieces {
        let each = if piece.hoopings_each == 1 {
            String::new()
        } else {
            format!(" in {} hoopings each", piece.hoopings_each)
        };
        let _ = writeln!(
            text,
            "  {:>4} × {}: {}, {}{each}",
            piece.times,
            piece.name,
            piece.motif.to_lowercase(),
            piece.size
        );
    }
    let _ = writeln!(
        text,
        "  {} {} from {}, {} stitches",
        counted((t.hoopings, "hooping")).unwrap_or_default(),
        work.least.told(t.hoopings),
        counted((t.files, "file")).unwrap_or_default(),
        t.penetrations
    );
    let _ = writeln!(
        text,
        "  {:.1} hours: {:.1} of sewing, {:.1} of hooping, {:.1} of changing bobbins; {} changes of file, {} of hoop, {} turns of the quilt",
        t.all_minutes / 60.0,
        t.minutes / 60.0,
        t.hooping_minutes / 60.0,
        t.bobbin_minutes / 60.0,
        t.changes.files,
        t.changes.hoops,
        t.changes.turns
    );
    let _ = writeln!(
        text,
        "  thread {:.0} m in the needle, {:.0} m in the bobbin ({})",
        t.needle_thread_m,
        t.bobbin_thread_m,
        bobbins(t.bobbins)
    );
    let _ = writeln!(
        text,
        "  motifs {}, worst stretch {:.1} %",
        scale::told(plan.look.factor),
        plan.look.worst_stretch * 100.0
    );
    for warning in &plan.warnings {
        let _ = writeln!(text, "  note: {warning}");
    }
    let _ = writeln!(text, "wrote {files} files to {}", folder.display());
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_starter_of_every_family_is_a_whole_quilt_file() {
        for family in family::all() {
            let text = starter(Some(&family.name)).unwrap();
            let file: toml::Table = toml::from_str(&text).unwrap();
            assert_eq!(file["look"]["family"].as_str(), Some(family.name.as_str()));
            assert_eq!(file["top"]["columns"].as_integer(), Some(3));
            assert!(!file.contains_key("piece"), "{}", family.name);
            assert_eq!(file["border"].as_array().map(Vec::len), Some(1));
        }
    }
}
