//! `thrice draw`: preview and true-size template of any machine file.

use std::borrow::Cow;
use std::path::PathBuf;

use thrice::base::units::{Units, show_length, show_mm};
use thrice::stitches::fingerprint;
use thrice::survey::verdict::{Weight, judge};
use thrice::survey::{Sandwich, Survey, loft};
use thrice::views::sewn::{Sewn, files};

use super::lie_args::LieArgs;
use super::look_args::LookArgs;
use super::machine_file::{self, moved};
use super::output::{File, write_set};
use super::reading::Files;
use super::words::{say, tell_first, typed};

/// Draw a machine file: preview, template, and what else is asked for
#[derive(clap::Args)]
pub struct Args {
    /// The machine file, .dst or .exp
    file: PathBuf,
    #[command(flatten)]
    lie: LieArgs,
    /// Sewing field of the hoop, such as 200x200mm
    #[arg(long, value_name = "FIELD")]
    hoop: Option<String>,
    #[command(flatten)]
    looks: LookArgs,
    /// Name of the files; the machine file's with `-drawn` if not given, so that a block's own template stays
    #[arg(long)]
    name: Option<String>,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
}

/// Reads the file, draws it, writes what was drawn.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let units = tell_first(args.lie.units());
    let block = args.lie.block(Files::World)?;
    let hoop = args.hoop.as_deref().map(str::parse).transpose().map_err(typed)?;
    let (_, reading) = machine_file::read(&args.file, Files::World)?;
    let stitches = moved(&reading.stitches, args.lie.at());
    let sandwich = Sandwich { hoop, ..Sandwich::default() };
    let looks = args.looks.looks(loft::UNKNOWN_MM);
    let moves = machine_file::moves(&reading);
    let (survey, verdict) = judge(&stitches, block.as_ref(), &sandwich, moves, units)?;
    let mut warnings = reading.findings.clone();
    warnings.extend(block.iter().flat_map(|block| block.notes.clone()));
    let not_as_it_should = verdict.findings.iter().filter(|f| f.weight > Weight::Good);
    warnings.extend(not_as_it_should.map(|f| f.sentence.clone()));
    let stem = machine_file::name_of(args.name.as_deref(), &args.file, "drawn")?;
    let sewn = Sewn {
        block: block.as_ref().map(Cow::Borrowed),
        warnings: warnings.clone(),
        ..machine_file::sewn(&stem, &stitches, &survey, &sandwich, units)
    };
    let made = files(&sewn, &looks)?;
    warnings.extend(made.no_template.as_ref().map(ToString::to_string));
    let files: Vec<File> = made
        .files
        .into_iter()
        .map(|(ending, bytes)| File { name: format!("{stem}{ending}"), bytes })
        .collect();
    // The template of another design of this name does not stay beside this one's preview.
    let old = || made.no_template.iter().map(|_| format!("{stem}.pdf")).collect();
    let written = write_set(&args.out, &files, &old, std::slice::from_ref(&args.file))?;
    let mut text = measured(&survey);
    text.push_str(&format!("  fingerprint {}\n", fingerprint::of(&stitches)));
    text.extend(warnings.iter().map(|warning| format!("  note: {warning}\n")));
    text.extend(written.iter().map(|path| format!("wrote {}\n", path.display())));
    say(&text)
}

/// What was measured in the file, in two lines.
fn measured(survey: &Survey) -> String {
    let (steps, e) = (&survey.steps, survey.estimate);
    let jumps = match survey.jumps() {
        0 => "no jumps".to_owned(),
        1 => "1 jump".to_owned(),
        n => format!("{n} jumps"),
    };
    let size = steps.bounds.size();
    format!(
        "{} by {}, {} stitches of {}, each line sewn {}, {jumps}\n  {:.1} minutes, thread {:.0} m in the needle, \
         {:.0} m in the bobbin\n",
        show_length(size.width, Units::Inches),
        show_length(size.height, Units::Inches),
        steps.penetrations,
        show_mm(steps.median_mm),
        times(&steps.passes_in_words()),
        e.minutes,
        e.needle_thread_m,
        e.bobbin_thread_m
    )
}

fn times(passes: &str) -> String {
    if passes == "1" { "once".to_owned() } else { format!("{passes} times") }
}
