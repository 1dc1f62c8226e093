//! `thrice check`: what a machine file of any origin is, and whether it suits three layers.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use anyhow::bail;
use thrice::base::units::{Units, show_length, show_mm};
use thrice::block::Block;
use thrice::stitches::Stitches;
use thrice::stitches::fingerprint::{self, Fingerprint};
use thrice::survey::check::{CheckReport, Checked, report};
use thrice::survey::hoop::CLEARANCE_MM;
use thrice::survey::verdict::{self, Verdict, Weight, judge};
use thrice::survey::{Sandwich, Survey};
use thrice::views::png::WIDEST_PX;
use thrice::views::sewn::{Sewn, WIDTH_PX, checked};
use thrice::views::sheet::Sheet;
use thrice::views::{png, svg};

use super::block::bobbins;
use super::lie_args::LieArgs;
use super::machine_file::{self, moved};
use super::output::{File, write_set};
use super::reading::{self, Files};
use super::sandwich_args::SandwichArgs;
use super::words::{say, tell_first, typed};

/// Check a machine file: what it is, and whether it suits three layers
#[derive(clap::Args)]
pub struct Args {
    /// The machine file, .dst or .exp
    file: PathBuf,
    #[command(flatten)]
    lie: LieArgs,
    #[command(flatten)]
    held: SandwichArgs,
    /// Pictures to write with the faults marked, with commas
    #[arg(long, value_name = "LIST", value_enum, value_delimiter = ',')]
    also: Vec<Picture>,
    /// Width of the PNG, pixels
    #[arg(long, value_name = "PIXELS", default_value_t = WIDTH_PX, value_parser = clap::value_parser!(u32).range(100..=i64::from(WIDEST_PX)))]
    png_width: u32,
    /// Name of the pictures; the machine file's with `-checked` if not given
    #[arg(long)]
    name: Option<String>,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// A report, FILE.json, to compare the file with: whether its stitches are the ones that were reported
    #[arg(long, value_name = "FILE.json")]
    against: Option<PathBuf>,
    /// Print what was found, and nothing else, as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Picture {
    /// A drawing that can be enlarged
    Svg,
    /// A picture to send
    Png,
}

/// What was found in a machine file.
pub struct Found {
    /// Everything, with keys that stay the same.
    pub report: CheckReport,
    /// The same in her words.
    pub text: String,
    /// What is thought of it.
    pub verdict: Verdict,
    /// Its stitches as they lie in the block.
    pub stitches: Stitches,
    /// The block that it lies in, if one was named.
    block: Option<Block>,
    survey: Survey,
    sandwich: Sandwich,
    units: Units,
    /// The name of its pictures.
    stem: String,
}

impl Found {
    /// The design with its faults marked.
    pub fn sheet(&self) -> Sheet {
        let sewn = Sewn {
            block: self.block.as_ref().map(Cow::Borrowed),
            ..machine_file::sewn(&self.stem, &self.stitches, &self.survey, &self.sandwich, self.units)
        };
        checked(&sewn, &self.verdict)
    }
}

/// Reads the file, says what it is, draws it if asked.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let found = found(args, Files::World)?;
    let against =
        args.against.as_deref().map(|report| compared(report, found.report.fingerprint)).transpose()?;
    let written = pictures(args, &found)?;
    if args.json {
        return say(&format!("{}\n", serde_json::to_string_pretty(&found.report)?));
    }
    let mut text = found.text;
    text += &against.unwrap_or_default();
    text.extend(written.iter().map(|path| format!("wrote {}\n", path.display())));
    say(&text)
}

/// What a machine file is; nothing is written.
pub fn found(args: &Args, files: Files<'_>) -> anyhow::Result<Found> {
    let units = tell_first(args.lie.units());
    let block = args.lie.block(files)?;
    let sandwich = args.held.sandwich()?;
    let (_, mut reading) = machine_file::read(&args.file, files)?;
    reading.findings.extend(block.iter().flat_map(|block| block.notes.clone()));
    let stitches = moved(&reading.stitches, args.lie.at());
    let moves = machine_file::moves(&reading);
    let (survey, verdict) = judge(&stitches, block.as_ref(), &sandwich, moves, units)?;
    let file = args.file.file_name().unwrap_or_default().to_string_lossy();
    let found = Checked {
        file: &file,
        name: reading.name.as_deref(),
        fingerprint: fingerprint::of(&stitches),
        odd: &reading.findings,
        block: block.as_ref(),
        survey: &survey,
        verdict: &verdict,
        moves,
        units,
    };
    let stem = machine_file::name_of(args.name.as_deref(), &args.file, "checked")?;
    let (report, text) = (report(&found), words(&found, &sandwich));
    Ok(Found { report, text, verdict, stitches, block, survey, sandwich, units, stem })
}

/// Whether the stitches are those of a report.
///
/// # Errors
/// If they are not, or if it is no report.
fn compared(report: &Path, fingerprint: Fingerprint) -> anyhow::Result<String> {
    let text = reading::text(report, reading::MOST_TEXT)?;
    let known: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    let Some(known) = known["fingerprint"].as_str() else {
        return Err(typed(format!(
            "{} is no report with a fingerprint; name the .json file of a design",
            report.display()
        )));
    };
    if known != fingerprint.to_string() {
        bail!(
            "the stitches are not those of {}: fingerprint {fingerprint}, reported {known}; take the files of one design",
            report.display()
        );
    }
    Ok(format!("the same stitches as in {}\n", report.display()))
}

fn pictures(args: &Args, found: &Found) -> anyhow::Result<Vec<PathBuf>> {
    if args.also.is_empty() {
        return Ok(Vec::new());
    }
    let (sheet, stem) = (found.sheet(), &found.stem);
    let mut files = Vec::new();
    if args.also.contains(&Picture::Svg) {
        files.push(File { name: format!("{stem}.svg"), bytes: svg::write(&sheet).into_bytes() });
    }
    if args.also.contains(&Picture::Png) {
        files.push(File { name: format!("{stem}.png"), bytes: png::write(&sheet, args.png_width)? });
    }
    write_set(&args.out, &files, &Vec::new, std::slice::from_ref(&args.file))
}

/// What was found, in her words.
fn words(found: &Checked<'_>, sandwich: &Sandwich) -> String {
    let (survey, units) = (found.survey, found.units);
    let name = found.name.map_or_else(String::new, |name| format!(", named {name} inside"));
    let size = verdict::size(survey, units);
    let mut text = format!("{}{name}: {size}, fingerprint {}\n", found.file, found.fingerprint);
    text += &figures(survey, sandwich, found);
    text += &held(survey, found.block, units);
    text.extend(found.odd.iter().map(|odd| format!("  note: {odd}\n")));
    for finding in &found.verdict.findings {
        let sign = match finding.weight {
            Weight::Good => "+",
            Weight::Care => "!",
            Weight::Against => "x",
        };
        text += &format!("  {sign} {}\n", finding.sentence);
    }
    text += &format!("{}\n", found.verdict.sentence());
    text
}

fn figures(survey: &Survey, sandwich: &Sandwich, found: &Checked<'_>) -> String {
    let (steps, e) = (&survey.steps, survey.estimate);
    let count = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    format!(
        "  {} stitches from {} to {}, most about {}; {}, {}, {}\n  {:.1} minutes at {} a minute, thread {:.0} m in the needle, \
         {:.0} m in the bobbin ({})\n",
        steps.penetrations,
        show_mm(steps.shortest_mm),
        show_mm(steps.longest_mm),
        show_mm(steps.median_mm),
        count(found.moves.jumps, "jump"),
        count(found.moves.trims, "trim"),
        count(found.moves.colour_stops, "colour stop"),
        e.minutes,
        sandwich.pace.speed_per_minute,
        e.needle_thread_m,
        e.bobbin_thread_m,
        bobbins(e.bobbins)
    )
}

/// Gap, piles of holes and hoop.
fn held(survey: &Survey, block: Option<&Block>, units: Units) -> String {
    let gap = survey.gap.map_or_else(String::new, |gap| {
        let place = block.map_or("its own box", |_| "the block");
        let (widest, limit) = (gap.words(units), show_length(survey.gap_limit_mm, units));
        format!("  widest gap in {place} {widest}, allowed {limit}\n")
    });
    let hoop = match survey.fit {
        None => "not checked against a hoop".to_owned(),
        Some(fit) if fit.fits => {
            format!("fits a field of {} with {} to spare", fit.hoop, spare(fit.spare_mm, units))
        }
        Some(fit) if fit.turned => format!("fits a field of {} only turned a quarter turn", fit.hoop),
        Some(fit) => format!("does not fit a field of {} less {} all round", fit.hoop, show_mm(CLEARANCE_MM)),
    };
    format!("{gap}  at most {} holes in 1 mm; {hoop}\n", survey.holes.holes)
}

fn spare([across, up]: [f64; 2], units: Units) -> String {
    format!("{} across and {} up", show_length(across, units), show_length(up, units))
}
