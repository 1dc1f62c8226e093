//! A machine file dropped on the page → what `check`, `refit` and `align` make of it.

use std::path::PathBuf;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde::Deserialize;
use serde_json::json;
use thrice::base::chain;
use thrice::base::plain::unfit_file_name;
use thrice::survey::verdict::{Mark as Fault, Weight};
use thrice::tailor::marks::{NAMES, named};
use thrice::views::svg;

use super::answer::{Answer, Refusal};
use super::design::{Design, Given};
use super::draw::{self, Shown};
use super::files::zipped;
use super::picture;
use super::typed::{command, in_a_shell, typed_words};
use crate::reading::Files;
use crate::{Command, align, block, check, machine_file, refit};

/// So many marks are taken by `align`; more are refused before they are read.
const MOST_MARKS: usize = 20;

/// A machine file, and what is wanted of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// The file's name, whose ending says what it is.
    name: Option<String>,
    /// Its bytes in base64.
    bytes: Option<String>,
    /// The report that belongs to it.
    report: Option<String>,
    /// The block and the hoop; for `align` without a file, the design itself.
    #[serde(default)]
    design: Option<Design>,
    /// Where the design's centre lies in the block.
    at: Option<String>,
    scale: Option<String>,
    sizes: Option<String>,
    passes: Option<String>,
    #[serde(default)]
    marks: Vec<Mark>,
    /// `align`: the size may change as well.
    #[serde(default)]
    resize: bool,
    measured_to: Option<String>,
    #[serde(default)]
    formats: Vec<String>,
    #[serde(default)]
    also: Vec<String>,
    paper: Option<String>,
    #[serde(default)]
    shown: Shown,
}

/// A mark: where it is in the design, and where it was found in the hoop.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mark {
    at: String,
    found: String,
}

/// The words of a command, the file they name, and all files that are handed in.
struct Typed {
    words: Vec<String>,
    name: String,
    given: Given,
}

impl Typed {
    fn files(&self) -> Files<'_> {
        Files::Given(&self.given)
    }

    fn command(&self) -> Result<Command, Refusal> {
        let end = ["--".to_owned(), self.name.clone()];
        command(&self.words.iter().cloned().chain(end).collect::<Vec<_>>())
    }

    fn in_a_shell(&self) -> String {
        in_a_shell(&typed_words(&self.words, Some(&self.name)))
    }
}

impl Asked {
    /// The words of a command on the machine file that was dropped.
    fn typed(&self, name: &str) -> Result<Typed, Refusal> {
        let (file, bytes) = self.file()?;
        let (more, mut given) = self.design.clone().unwrap_or_default().words(name)?;
        given.push((PathBuf::from(&file), bytes));
        if let Some(report) = &self.report {
            given.push((PathBuf::from(&file).with_extension("json"), report.clone().into_bytes()));
        }
        let mut words = vec!["thrice".to_owned(), name.to_owned()];
        words.extend(more);
        Ok(Typed { words, name: file, given })
    }

    fn file(&self) -> Result<(String, Vec<u8>), Refusal> {
        let (Some(name), Some(bytes)) = (&self.name, &self.bytes) else {
            return Err(
                Refusal::new(400, "no machine file is handed in; drop a .dst or .exp file").at("name")
            );
        };
        if let Some(why) = unfit_file_name(name) {
            return Err(
                Refusal::new(400, &format!("`{name}` is no name of a file, as {why}; rename it")).at("name")
            );
        }
        let unread = |_| Refusal::new(400, "the file did not come whole; drop it again").at("bytes");
        Ok((name.clone(), BASE64_STANDARD.decode(bytes).map_err(unread)?))
    }

    /// Words of the files that are asked for.
    fn outputs(&self) -> impl Iterator<Item = String> {
        let list = |name: &str, words: &[String]| {
            (!words.is_empty()).then(|| format!("--{name}={}", words.join(",")))
        };
        let paper = self.paper.as_ref().map(|paper| format!("--paper={paper}"));
        [list("formats", &self.formats), list("also", &self.also), paper].into_iter().flatten()
    }
}

/// Whether a machine file suits three layers.
pub fn check(asked: &Asked) -> Result<Answer, Refusal> {
    let mut typed = asked.typed("check")?;
    typed.words.extend(asked.at.iter().map(|at| format!("--at={at}")));
    let Command::Check(args) = typed.command()? else { return Err(no_command()) };
    let found = check::found(&args, typed.files())?;
    let her = |text: &str| crate::words::in_her_units(text.trim());
    let reasons =
        found.report.findings.iter().map(|f| json!({ "weight": f.weight, "text": her(&f.sentence) }));
    let odd = found.report.odd.iter().map(|odd| json!({ "weight": "note", "text": her(odd) }));
    let faults: Vec<_> = found.verdict.findings.iter().filter(|f| f.weight > Weight::Good).collect();
    let faults: Vec<&Fault> = faults.iter().filter_map(|finding| finding.mark.as_ref()).collect();
    let (svg, frame) = picture::sewn(&found.stitches, &faults);
    let hull = chain::hull(&found.stitches.points().collect::<Vec<_>>());
    let places = NAMES
        .iter()
        .filter_map(|name| Some(((*name).to_owned(), json!(picture::point(named(name, &hull)?)))));
    Answer::json(&json!({
        "verdict": found.verdict.sentence().split(';').next().unwrap_or_default().trim_end_matches('.').to_owned() + ".",
        "weight": found.report.verdict,
        "reasons": reasons.chain(odd).collect::<Vec<_>>(),
        "figures": found.report,
        "words": found.text.lines().take_while(|line| !is_finding(line)).map(her).collect::<Vec<_>>(),
        "svg": svg,
        "box": picture::boxed(frame),
        "places": places.collect::<serde_json::Map<_, _>>(),
        "preview": svg::write(&found.sheet()),
        "command": typed.in_a_shell(),
    }))
}

/// True for a line of the findings, which follow the figures.
fn is_finding(line: &str) -> bool {
    ["note: ", "+ ", "! ", "x "].iter().any(|sign| line.trim_start().starts_with(sign))
}

fn refitted(asked: &Asked) -> Result<(Typed, Box<refit::Args>), Refusal> {
    let mut typed = asked.typed("refit")?;
    let more = [("scale", &asked.scale), ("sizes", &asked.sizes), ("passes", &asked.passes)];
    typed.words.extend(more.iter().filter_map(|(name, value)| Some(format!("--{name}={}", value.as_ref()?))));
    typed.words.extend(asked.outputs());
    match typed.command()? {
        Command::Refit(args) => Ok((typed, args)),
        _ => Err(no_command()),
    }
}

/// A machine file sewn anew at another size.
pub fn refit(asked: &Asked) -> Result<Answer, Refusal> {
    let (typed, args) = refitted(asked)?;
    let (orders, odd) = refit::orders(&args, typed.files())?;
    let mut all = Vec::new();
    for order in orders {
        all.push(draw::drawn(&draw::held(order)?, asked.shown, &typed.in_a_shell()));
    }
    let mut first = all.first().cloned().unwrap_or_default();
    if all.len() > 1 {
        first["sizes"] = json!(all);
    }
    first["odd"] = json!(odd);
    Answer::json(&first)
}

/// Its files in one zip.
pub fn refit_files(asked: &Asked) -> Result<Answer, Refusal> {
    let (typed, args) = refitted(asked)?;
    let (orders, _) = refit::orders(&args, typed.files())?;
    let mut files = Vec::new();
    for order in orders {
        let (piece, made) = refit::made(&args, order)?;
        files.extend(made.into_iter().map(|m| (format!("{}{}", piece.order.name, m.ending), m.bytes)));
    }
    zipped(&format!("{}-refit", machine_file::stem(&PathBuf::from(typed.name))), &files)
}

/// The design turned and shifted to meet its marks: a machine file, or the design on the page.
fn aligned(asked: &Asked) -> Result<(Typed, align::Aligned), Refusal> {
    if asked.marks.len() > MOST_MARKS {
        return Err(
            Refusal::new(400, &format!("{} marks are too many; give 1 to 4", asked.marks.len())).at("marks")
        );
    }
    let mut typed = match (&asked.name, &asked.design) {
        (None, Some(design)) => of_design(design)?,
        _ => asked.typed("align")?,
    };
    typed.words.extend(asked.marks.iter().map(|mark| format!("--mark={}={}", mark.at, mark.found)));
    typed.words.extend(asked.measured_to.iter().map(|length| format!("--measured-to={length}")));
    typed.words.extend(asked.at.iter().map(|at| format!("--at={at}")));
    typed.words.extend(asked.resize.then(|| "--scale".to_owned()));
    typed.words.extend(asked.paper.iter().map(|paper| format!("--paper={paper}")));
    let Command::Align(args) = typed.command()? else { return Err(no_command()) };
    let aligned = align::aligned(&args, typed.files())?;
    Ok((typed, aligned))
}

/// The machine file of a design, with its report beside it.
fn of_design(design: &Design) -> Result<Typed, Refusal> {
    let ordered = design.read(&["--formats=dst".to_owned()])?;
    let made = block::made(&ordered.args, ordered.files());
    let (piece, made) = made.map_err(|error| ordered.refusal(&error, design))?;
    let name = &piece.order.name;
    let given = made.into_iter().map(|m| (PathBuf::from(format!("{name}{}", m.ending)), m.bytes)).collect();
    let words = ["thrice", "align"].map(str::to_owned).to_vec();
    Ok(Typed { words, name: format!("{name}.dst"), given })
}

/// How a design has to be turned and moved.
pub fn align(asked: &Asked) -> Result<Answer, Refusal> {
    let (typed, aligned) = aligned(asked)?;
    let picture = aligned.files.iter().find(|file| file.name.ends_with(".svg"));
    let mut told = serde_json::to_value(&aligned.report).unwrap_or_default();
    for (name, key) in [
        ("turn_deg", "turn"),
        ("shift_mm", "shift"),
        ("misfit_mm", "misfits"),
        ("expected_mm", "expected_error"),
    ] {
        told[name] = told[key].take();
    }
    told["words"] =
        json!(aligned.text.lines().map(|line| crate::words::in_her_units(line.trim())).collect::<Vec<_>>());
    told["preview"] = json!(picture.map(|file| String::from_utf8_lossy(&file.bytes).into_owned()));
    let (svg, frame) = picture::sewn(&aligned.stitches, &[]);
    told["svg"] = json!(svg);
    told["box"] = json!(picture::boxed(frame));
    told["command"] = json!(typed.in_a_shell());
    Answer::json(&told)
}

/// Its files in one zip.
pub fn align_files(asked: &Asked) -> Result<Answer, Refusal> {
    let (typed, aligned) = aligned(asked)?;
    let files: Vec<(String, Vec<u8>)> =
        aligned.files.into_iter().map(|file| (file.name, file.bytes)).collect();
    zipped(&format!("{}-aligned", machine_file::stem(&PathBuf::from(typed.name))), &files)
}

fn no_command() -> Refusal {
    Refusal::new(400, "the request is no machine file; send a machine file")
}
