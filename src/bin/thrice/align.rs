//! `thrice align`: a design turned and shifted to meet its marks as hooped.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use anyhow::bail;
use kurbo::{Affine, Point, Vec2};
use serde::{Deserialize, Serialize};
use thrice::base::chain;
use thrice::base::units::{Units, most_used, show_length, show_mm};
use thrice::block::Block;
use thrice::block::shape::Shape;
use thrice::stitches::Stitches;
use thrice::stitches::align::{self, Alignment, MARK_ERROR_MM, Mark, expected_error_mm};
use thrice::stitches::turn;
use thrice::survey::crooked::past_hoop;
use thrice::survey::hoop::{CLEARANCE_MM, Hoop};
use thrice::survey::{Sandwich, loft, survey};
use thrice::tailor::marks::{NAMES, named};
use thrice::views::sewn::{self, Sewn};
use thrice::wire::Format;

use super::lie_args::LieArgs;
use super::look_args::LookArgs;
use super::machine_file::{self, place};
use super::output::{File, write_set};
use super::reading::{self, Files};
use super::words::{length, say, tell_first, typed};

/// Turn and shift a design so that it meets its marks as hooped: machine file and turned template
///
/// Measure each mark in the hoop, across and up from the middle of its sewing field. The block, and where the design lies in
/// it, are taken from the report beside the machine file (FILE.json) unless a shape is given.
#[derive(clap::Args)]
pub struct Args {
    /// The machine file, .dst or .exp
    file: PathBuf,
    /// A mark: where it is in the design, a name or across and up from its centre, and where it was measured in the hoop, such
    /// as "centre=2.1mm,-1.4mm" or "60mm,0mm=61.9mm,1.1mm"; 1 to 4 of them. Names: centre; the block's corners bottom-left,
    /// bottom-right, top-right, top-left; where the cross's lines meet the box round the block: left, right, bottom, top
    #[arg(long = "mark", value_name = "WHERE=MEASURED", required = true, allow_hyphen_values = true)]
    marks: Vec<String>,
    /// Change the size as well, so that the marks are met as closely as they can be; stitches get longer or shorter
    #[arg(long)]
    scale: bool,
    /// How exactly each mark was measured, for the error that is to be expected
    #[arg(long, value_name = "LENGTH", default_value = "0.5mm", value_parser = length)]
    measured_to: f64,
    #[command(flatten)]
    lie: LieArgs,
    /// Sewing field of the hoop, such as 200x200mm; a design that does not fit it any more is refused
    #[arg(long, value_name = "FIELD")]
    hoop: Option<String>,
    #[command(flatten)]
    looks: LookArgs,
    /// Name of the files; the machine file's with `-aligned` if not given
    #[arg(long)]
    name: Option<String>,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Print the turn, the shift and the misfits, and nothing else, as JSON
    #[arg(long)]
    json: bool,
}

/// What is printed as JSON; lengths in mm.
#[derive(Serialize)]
pub struct Report {
    turn: f64,
    scale: f64,
    shift: [f64; 2],
    misfits: Vec<f64>,
    /// At the far corner; null for one mark.
    expected_error: Option<f64>,
    /// The middle of the turned design, from the middle of the hoop.
    middle: [f64; 2],
    file: String,
}

/// A design aligned.
pub struct Aligned {
    /// What is printed as JSON.
    pub report: Report,
    /// The same in her words.
    pub text: String,
    /// Its stitches about the middle of the hoop.
    pub stitches: Stitches,
    /// Its files, with nothing written yet.
    pub files: Vec<File>,
    /// The file that it has not, as its template would be too large.
    left_out: Option<String>,
}

/// What is known of the block, as its report tells.
#[derive(Deserialize)]
struct Known {
    block: KnownBlock,
    centre: [f64; 2],
    turned: f64,
    hoop: Option<KnownHoop>,
}

#[derive(Deserialize)]
struct KnownBlock {
    outline: Vec<[f64; 2]>,
}

#[derive(Deserialize)]
struct KnownHoop {
    field: [f64; 2],
}

/// Reads the file and the marks, places the design, writes it.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let Aligned { report, mut text, files, left_out, .. } = aligned(args, Files::World)?;
    // The template of another design of this name does not stay beside this machine file.
    let old = || left_out.iter().cloned().collect();
    let written = write_set(&args.out, &files, &old, std::slice::from_ref(&args.file))?;
    if args.json {
        return say(&format!("{}\n", serde_json::to_string_pretty(&report)?));
    }
    text.extend(written.iter().map(|path| format!("wrote {}\n", path.display())));
    say(&text)
}

/// The design placed by its marks; nothing is written.
pub fn aligned(args: &Args, given: Files<'_>) -> anyhow::Result<Aligned> {
    let units = tell_first(most_used(args.marks.iter().map(String::as_str)));
    let (format, reading) = machine_file::read(&args.file, given)?;
    let known = known(&args.file, given);
    let hoop = hoop(args, known.as_ref())?;
    let block = block(args, known.as_ref(), given)?;
    let design = &reading.stitches;
    let edge: Vec<Point> = match &block {
        Some(block) => block.outline.outer.points().to_vec(),
        None => chain::hull(&design.points().collect::<Vec<_>>()),
    };
    let marks: Vec<(Mark, String)> =
        args.marks.iter().map(|text| mark(text, &edge)).collect::<Result<_, _>>().map_err(typed)?;
    let places: Vec<Mark> = marks.iter().map(|(mark, _)| *mark).collect();
    let placing = align::align(&places, args.scale).map_err(typed)?;
    let mut placed = turn::place(design, placing.map());
    let middle = placed.centre;
    // The file's origin stays the middle of the hoop, where it was.
    placed.centre = Point::ORIGIN;
    if let Some(hoop) = hoop {
        refuse_past_hoop(&placed, hoop, &placing, units)?;
    }
    let far = edge.iter().copied().max_by(|a, b| a.to_vec2().hypot2().total_cmp(&b.to_vec2().hypot2()));
    let far = far.unwrap_or_default();
    let far = edge.iter().copied().fold(far, |worst, p| {
        let error = |p: Point| expected_error_mm(&places, p, 1.0, args.scale).unwrap_or(0.0);
        if error(p) > error(worst) { p } else { worst }
    });
    let measured_to = placing.told_error_mm(args.scale).unwrap_or(0.0).max(args.measured_to);
    let expected = expected_error_mm(&places, far, measured_to, args.scale);
    let stem = machine_file::name_of(args.name.as_deref(), &args.file, "aligned")?;
    let block = block.map(|block| block.placed(placing.map()));
    let (files, no_template) =
        files(args, (&stem, format), &placed, (block, hoop), (&placing, &marks), units)?;
    let report = Report {
        turn: placing.turn_deg,
        scale: placing.scale,
        shift: [placing.shift.x, placing.shift.y],
        misfits: placing.misfits_mm.clone(),
        expected_error: expected,
        middle: [middle.x, middle.y],
        file: format!("{stem}.{}", format.extension()),
    };
    let file = args.file.file_name().unwrap_or_default().to_string_lossy();
    let mut text = format!("{file} {}\n", words(&placing, units));
    text += &meets(&placing, &marks, expected.map(|expected| (expected, measured_to)), args);
    text += &format!(
        "  its middle lies {} the hoop’s middle: if the machine shows it in the middle of the field, move it there\n",
        from_middle(middle, units)
    );
    if hoop.is_none() {
        text += "  not checked against a hoop: name its sewing field, such as --hoop 200x200mm\n";
    }
    text.extend(reading.findings.iter().chain(&no_template).map(|odd| format!("  note: {odd}\n")));
    let left_out = no_template.map(|_| format!("{stem}.pdf"));
    Ok(Aligned { report, text, stitches: placed, files, left_out })
}

/// The report beside the machine file, if it is one.
fn known(file: &Path, given: Files<'_>) -> Option<Known> {
    let report = given.text(&file.with_extension("json"), reading::MOST_TEXT).ok()?;
    serde_json::from_str(&report).ok()
}

fn hoop(args: &Args, known: Option<&Known>) -> anyhow::Result<Option<Hoop>> {
    let asked: Option<Hoop> = args.hoop.as_deref().map(str::parse).transpose().map_err(typed)?;
    let reported = known.and_then(|k| k.hoop.as_ref()).map(|hoop| {
        let [width_mm, height_mm] = hoop.field;
        Hoop { width_mm, height_mm, in_inches: false }
    });
    Ok(asked.or(reported))
}

/// The block as it lies about the design's centre.
fn block(args: &Args, known: Option<&Known>, given: Files<'_>) -> anyhow::Result<Option<Block>> {
    let lies = |block: Block, centre: Vec2, turned: f64| {
        block.placed(Affine::rotate(turned.to_radians()) * Affine::translate(-centre))
    };
    if let Some(block) = args.lie.block(given)? {
        return Ok(Some(lies(block, args.lie.at(), 0.0)));
    }
    let Some(known) = known else { return Ok(None) };
    let corners = known.block.outline.iter().map(|&[x, y]| Point::new(x, y)).collect();
    let block = thrice::block::outline(&Shape::Corners { corners }, args.lie.margin).ok();
    Ok(block.map(|block| lies(block, Vec2::new(known.centre[0], known.centre[1]), known.turned)))
}

fn mark(text: &str, edge: &[Point]) -> Result<(Mark, String), String> {
    let (design, hoop) = text.split_once('=').ok_or_else(|| {
        format!("`{text}` is no mark; write where it is and where it was measured, such as centre=2mm,-1mm")
    })?;
    let name = design.trim();
    let design = match named(name, edge) {
        Some(place) => place,
        None if name.contains(',') => place(name)?.to_point(),
        None => {
            return Err(format!(
                "`{name}` is no place of a design; name one of {}, or give across and up",
                NAMES.join(", ")
            ));
        }
    };
    Ok((Mark { design, hoop: place(hoop)?.to_point() }, name.to_owned()))
}

fn refuse_past_hoop(placed: &Stitches, hoop: Hoop, placing: &Alignment, units: Units) -> anyhow::Result<()> {
    let past = past_hoop(placed.points(), hoop);
    if past > 0.0 {
        bail!(
            "{}, the design goes {} past what a field of {hoop} takes with {} kept free; hoop again nearer to the marks, or take \
             a larger hoop with --hoop",
            words(placing, units),
            show_length(past, units),
            show_mm(CLEARANCE_MM)
        );
    }
    Ok(())
}

fn files(
    args: &Args,
    (stem, format): (&str, Format),
    placed: &Stitches,
    (block, hoop): (Option<Block>, Option<Hoop>),
    (placing, marks): (&Alignment, &[(Mark, String)]),
    units: Units,
) -> anyhow::Result<(Vec<File>, Option<String>)> {
    let sandwich = Sandwich { hoop, ..Sandwich::default() };
    let survey = survey(placed, block.as_ref(), &sandwich)?;
    let lie = format!("{}.", capital(&words(placing, units)));
    let sewn = Sewn {
        title: stem,
        motif: String::new(),
        block: block.map(Cow::Owned),
        stitches: Cow::Borrowed(placed),
        turned: false,
        survey: &survey,
        sandwich: &sandwich,
        lines: None,
        warnings: Vec::new(),
        units,
    };
    let at = marks.iter().map(|(mark, name)| (mark.hoop, name.clone())).collect();
    let views = sewn::aligned(&sewn, &lie, at, &args.looks.looks(loft::UNKNOWN_MM));
    let no_template = views.no_template.map(|error| error.to_string());
    let machine = (format!(".{}", format.extension()), format.write(placed, stem)?);
    let views = views.files.into_iter().map(|(ending, bytes)| (ending.to_owned(), bytes));
    let all = std::iter::once(machine).chain(views);
    let files = all.map(|(ending, bytes)| File { name: format!("{stem}{ending}"), bytes }).collect();
    Ok((files, no_template))
}

/// How the design is turned and moved.
fn words(placing: &Alignment, units: Units) -> String {
    let turned = match placing.turn_deg {
        turn if turn.abs() < 0.005 => "not turned".to_owned(),
        turn => format!("turned {:.2}° to the {}", turn.abs(), if turn > 0.0 { "left" } else { "right" }),
    };
    let scaled = if placing.scale == 1.0 {
        String::new()
    } else {
        format!(", scaled to {:.2} %", placing.scale * 100.0)
    };
    format!("{turned}{scaled}, moved {}", aside(placing.shift, units))
}

fn aside(by: Vec2, units: Units) -> String {
    let across = format!("{} {}", show_length(by.x.abs(), units), if by.x < 0.0 { "left" } else { "right" });
    format!("{across} and {} {}", show_length(by.y.abs(), units), if by.y < 0.0 { "down" } else { "up" })
}

fn from_middle(middle: Point, units: Units) -> String {
    let across = if middle.x < 0.0 { "left of" } else { "right of" };
    let up = if middle.y < 0.0 { "below" } else { "above" };
    format!("{} {across} and {} {up}", show_length(middle.x.abs(), units), show_length(middle.y.abs(), units))
}

fn meets(placing: &Alignment, marks: &[(Mark, String)], expected: Option<(f64, f64)>, args: &Args) -> String {
    let Some((expected, measured_to)) = expected else {
        return "  one mark tells nothing of the turn: measure a second one far from it\n".to_owned();
    };
    let each: Vec<String> = marks
        .iter()
        .zip(&placing.misfits_mm)
        .map(|((_, name), mm)| format!("{name} {}", show_mm(*mm)))
        .collect();
    let mut text = format!("  the marks then lie off by: {}\n", each.join(", "));
    let because = if measured_to > args.measured_to {
        format!("as the marks themselves agree to {} only", show_mm(measured_to))
    } else {
        format!("if each mark was measured to {}", show_mm(measured_to))
    };
    text += &format!("  the far corner comes out right to about {}, {because}\n", show_mm(expected));
    if placing.misfit_mm() > MISREAD * args.measured_to.max(MARK_ERROR_MM) {
        text += "  note: the marks do not agree with the design; one of them is misread, or the fabric is pulled: measure again\n";
    }
    text
}

/// A misfit of so many times the error of a mark is no chance.
const MISREAD: f64 = 3.0;

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
