//! `thrice block`: one motif made to measure for one block.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use thrice::base::plain::{self, LONGEST_NAME};
use thrice::base::units::{Units, show_length};
use thrice::block::pose::Pose;
use thrice::block::side::Side;
use thrice::block::{BlockError, drawn};
use thrice::drawing::DrawError;
use thrice::drawing::background::Background;
use thrice::drawing::construction::Construction;
use thrice::drawing::library;
use thrice::drawing::motif::Motif;
use thrice::drawing::repeated::Repeated;
use thrice::drawing::settings::{Kind, Settings, resolve};
use thrice::route::start::Start;
use thrice::stitches::STEP_MM;
use thrice::survey::SurveyError;
use thrice::survey::lie;
use thrice::survey::remedy::Warning;
use thrice::tailor::{Design, Order, Piece, PieceError};
use thrice::top::file::MARGIN_MM;
use thrice::views::sewn::Looks;
use thrice::wire::Format;

use super::default_name::{default_name, mark};
use super::look_args::LookArgs;
use super::motifs;
use super::output::{File, write_set};
use super::reading::{self, Files};
use super::sewn_args::SewnArgs;
use super::shape_args::ShapeArgs;
use super::words::{length, say, tell_first, typed};

/// Make one motif for one block: machine file, preview, template and report
#[derive(clap::Args)]
pub struct Args {
    /// The motif; `thrice motifs` lists them
    #[arg(required_unless_present = "drawing", conflicts_with = "drawing")]
    motif: Option<String>,
    #[command(flatten)]
    pub shape: ShapeArgs,
    /// A line drawing of your own instead of a motif, scaled into the block; fills are left out
    #[arg(long, value_name = "FILE.svg")]
    drawing: Option<PathBuf>,
    /// Repeat the drawing in whole copies: along a border as high as it is wide, elsewhere in cells of this width
    #[arg(long, value_name = "WIDTH", num_args = 0..=1, requires = "drawing", value_parser = length)]
    repeat: Option<Option<f64>>,
    /// Mirror the copies right of the middle
    #[arg(long, requires = "drawing")]
    mirrored: bool,
    /// One of the motif's own settings, such as petal=2in; repeatable
    #[arg(long = "setting", value_name = "NAME=VALUE")]
    settings: Vec<String>,
    /// A motif that fills what the first one leaves open, such as cross-hatch, echo or stipple
    #[arg(long, value_name = "MOTIF")]
    background: Option<String>,
    /// One of the background's own settings, such as spacing=1/2in; repeatable
    #[arg(long = "background-setting", value_name = "NAME=VALUE", requires = "background")]
    background_settings: Vec<String>,
    /// A folder with motif files of your own, read as well
    #[arg(long, value_name = "DIR")]
    motifs: Option<PathBuf>,
    #[command(flatten)]
    sewing: Sewing,
    /// Machine files to write, separated by commas: dst, exp
    #[arg(long, value_name = "LIST", value_delimiter = ',', default_value = "dst", value_parser = format)]
    formats: Vec<Format>,
    #[command(flatten)]
    looks: LookArgs,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Name of the files; the motif and the size if not given
    #[arg(long)]
    name: Option<String>,
    /// Print the report, and nothing else, as JSON
    #[arg(long)]
    json: bool,
}

/// How it is sewn, and what it is held against.
#[derive(clap::Args)]
pub struct Sewing {
    #[command(flatten)]
    pub sewn: SewnArgs,
    /// Let the line follow the seam as a shortcut
    #[arg(long, value_enum, default_value = "edge")]
    travel: Travel,
    /// Start point; default: shortest route
    #[arg(long, value_enum)]
    start: Option<Begin>,
    /// Picks another drawing of a motif that has a seed
    #[arg(long, value_name = "N")]
    seed: Option<u32>,
}

impl Sewing {
    /// The seed that was asked for.
    pub fn seed(&self) -> Option<u32> {
        self.seed
    }

    /// True if the line may travel along the inner outline.
    pub fn travels(&self) -> bool {
        matches!(self.travel, Travel::Edge)
    }
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Travel {
    /// Along the inner outline
    Edge,
    /// Only along the drawing
    None,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Begin {
    BottomLeft,
    BottomRight,
    TopRight,
    TopLeft,
    Bottom,
    Right,
    Top,
    Left,
}

/// Reads the words, makes the piece, writes its files and says what it is.
pub fn run(args: &Args) -> anyhow::Result<()> {
    tell_first(args.shape.units());
    let (piece, made) = made(args, Files::World)?;
    let inputs: Vec<PathBuf> = args.shape.outline.iter().chain(&args.drawing).cloned().collect();
    let files = written(&args.out, &piece.order.name, made, &inputs)?;
    if args.json {
        return say(&format!("{}\n", serde_json::to_string_pretty(&piece.report())?));
    }
    say(&(summary(&piece) + &files.words()))
}

/// The piece that was asked for, and its files with nothing written yet.
pub fn made(args: &Args, files: Files<'_>) -> anyhow::Result<(Piece, Vec<thrice::Made>)> {
    thrice::make(order(args, files)?, &once(&args.formats), &args.looks()).map_err(told)
}

impl Args {
    /// How to look at it.
    pub fn looks(&self) -> Looks {
        self.looks.looks(self.sewing.sewn.held.loft_mm())
    }

    /// How it is sewn.
    pub fn sewing(&self) -> &Sewing {
        &self.sewing
    }
}

/// The files of a design that were written.
pub struct Written {
    paths: Vec<PathBuf>,
    /// The design's name, if another one of that name is replaced.
    replaced: Option<String>,
}

impl Written {
    /// What is told of them.
    pub fn words(&self) -> String {
        let mut text = self.replaced.as_ref().map_or_else(String::new, |name| {
            format!("  note: another design called {name} was there, and is replaced\n")
        });
        text.extend(self.paths.iter().map(|path| format!("wrote {}\n", path.display())));
        text
    }
}

/// Writes all files of a design into a folder.
pub fn written(
    folder: &Path,
    name: &str,
    made: Vec<thrice::Made>,
    inputs: &[PathBuf],
) -> anyhow::Result<Written> {
    let files: Vec<File> =
        made.into_iter().map(|f| File { name: format!("{name}{}", f.ending), bytes: f.bytes }).collect();
    let replaced = files.iter().any(|file| holds_another(&folder.join(&file.name), &file.bytes));
    let paths = write_set(folder, &files, &|| before(folder, name), inputs)?;
    Ok(Written { paths, replaced: replaced.then(|| name.to_owned()) })
}

/// True if a machine file is there already and holds other stitches.
fn holds_another(path: &Path, bytes: &[u8]) -> bool {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    Format::from_extension(&ending).is_some()
        && reading::bytes(path, reading::MOST_MACHINE).is_ok_and(|old| old != bytes)
}

/// A shorter length is told as none, mm.
const SHOWN_MM: f64 = 0.05;

/// How the names of a design's files may end.
const ENDINGS: [&str; 12] = [
    ".dst",
    ".exp",
    ".svg",
    ".pdf",
    ".json",
    ".png",
    "-relief.png",
    ".html",
    "-work-sheet.pdf",
    "-sewing-sheet.pdf",
    "-page.html",
    "-lines.svg",
];

/// The files of an earlier design of that name, so that none of them stays beside this one's: only where its report shows
/// that this program wrote them.
fn before(folder: &Path, name: &str) -> Vec<String> {
    let report = reading::text(&folder.join(format!("{name}.json")), reading::MOST_TEXT).unwrap_or_default();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap_or_default();
    let ours = report["stitches"]["penetrations"].is_number();
    ENDINGS.iter().filter(|_| ours).map(|ending| format!("{name}{ending}")).collect()
}

/// What was typed out of range is typed wrong; anything else could not be done.
pub fn told(error: thrice::Error) -> anyhow::Error {
    match &error {
        thrice::Error::Piece(PieceError::Survey(
            SurveyError::SpeedOutOfRange { .. }
            | SurveyError::ThicknessOutOfRange { .. }
            | SurveyError::BobbinOutOfRange { .. }
            | SurveyError::GapLimitOutOfRange { .. },
        )) => typed(error),
        thrice::Error::Piece(PieceError::Draw(
            DrawError::Unsuited { .. } | DrawError::NoBackground { .. },
        )) => typed(error),
        _ => error.into(),
    }
}

/// What is asked for.
pub fn order(args: &Args, files: Files<'_>) -> anyhow::Result<Order> {
    let block = args.shape.block(args.sewing.sewn.margin, files)?;
    let mut notes = Vec::new();
    let design = match (&args.motif, &args.drawing) {
        (Some(name), _) => motif(args, name)?,
        (None, Some(path)) => {
            let (text, letters) = files.drawing(path)?;
            let unusable = |e: BlockError| typed(format!("cannot use {}: {e}", path.display()));
            let stem = path.file_stem().map_or("drawing".into(), |s| s.to_string_lossy().into_owned());
            match drawn::svg_fills(&text).map_err(unusable)? {
                0 => {}
                1 => notes.push("1 filled area of the drawing is sewn as an outline only.".to_owned().into()),
                fills => notes
                    .push(format!("{fills} filled areas of the drawing are sewn as outlines only.").into()),
            }
            notes.extend(letters.map(Warning::from));
            let lines = drawn::svg_lines(&text).map_err(unusable)?;
            if args.repeat.is_some() || args.mirrored {
                let repeated = Repeated { lines, width_mm: args.repeat.flatten(), mirrored: args.mirrored };
                Design::Motif(Box::new(Motif::of_repeats(&stem, repeated)), Settings::default())
            } else {
                Design::Own(stem, lines)
            }
        }
        (None, None) => return Err(typed("no motif is named; `thrice motifs` lists them all")),
    };
    let background = args.background.as_ref().map(|name| background(args, name)).transpose()?;
    let what = match &design {
        Design::Motif(motif, _) => motif.name.clone(),
        Design::Own(name, _) => name.clone(),
    };
    let what = match &background {
        Some(background) => format!("{what}-on-{}", background.motif.name),
        None => what,
    };
    let name = match &args.name {
        Some(name) => plain_name(name)?,
        None => plain_name(&default_name(&what, &changed(args, &design), &block.shape))?,
    };
    let sewing = &args.sewing;
    Ok(Order {
        name,
        block,
        design,
        pose: Pose::default(),
        drawn: None,
        background,
        travel: matches!(sewing.travel, Travel::Edge),
        start: sewing.start.map(start),
        sew: sewing.sewn.sew()?,
        sandwich: sewing.sewn.held.sandwich()?,
        units: tell_first(args.shape.units()),
        notes,
    })
}

/// What of a design is not as it is without a word, for its name.
fn changed(args: &Args, design: &Design) -> Vec<String> {
    let sewing = &args.sewing;
    let mut changed = args.settings.clone();
    match design {
        Design::Own(_, lines) => changed.push(mark(&format!("{lines:?}"))),
        Design::Motif(motif, _) if matches!(motif.construction, Construction::OwnRepeated(_)) => {
            changed.push(mark(&format!("{:?}", motif.construction)));
        }
        Design::Motif(..) => {}
    }
    changed.extend(args.background_settings.iter().map(|setting| format!("background-{setting}")));
    changed.extend(sewing.seed.map(|seed| format!("seed={seed}")));
    let lengths = [("margin", sewing.sewn.margin, MARGIN_MM), ("stitch", sewing.sewn.stitch, STEP_MM)];
    let lengths = lengths.into_iter().filter(|(_, mm, default)| mm != default);
    changed.extend(lengths.map(|(name, mm, _)| format!("{name}={}mm", (mm * 1e3).round() / 1e3)));
    if matches!(sewing.travel, Travel::None) {
        changed.push("no-travel".into());
    }
    let start =
        sewing.start.and_then(|start| Some(format!("from-{}", start.to_possible_value()?.get_name())));
    changed.extend(start);
    if sewing.sewn.no_ties {
        changed.push("no-ties".into());
    }
    changed
}

fn motif(args: &Args, name: &str) -> anyhow::Result<Design> {
    let all = motifs::read(args.motifs.as_deref(), &[name])?;
    let motif = library::find(&all, name).map_err(typed)?;
    let mut asked = args.settings.clone();
    if let Some(seed) = args.sewing.seed {
        let Some(setting) = motif.settings.iter().find(|s| s.kind == Kind::Seed) else {
            return Err(typed(format!("{name} has no seed; leave --seed out")));
        };
        asked.push(format!("{}={seed}", setting.name));
    }
    let settings = resolve(&motif.name, &motif.settings, &asked).map_err(typed)?;
    Ok(Design::Motif(Box::new(motif.clone()), settings))
}

fn background(args: &Args, name: &str) -> anyhow::Result<Background> {
    let all = motifs::read(args.motifs.as_deref(), &[name])?;
    let motif = library::find(&all, name).map_err(typed)?;
    let settings = resolve(&motif.name, &motif.settings, &args.background_settings).map_err(typed)?;
    Background::new(motif, settings).map_err(typed)
}

fn start(begin: Begin) -> Start {
    match begin {
        Begin::BottomLeft => Start::Corner { right: false, top: false },
        Begin::BottomRight => Start::Corner { right: true, top: false },
        Begin::TopRight => Start::Corner { right: true, top: true },
        Begin::TopLeft => Start::Corner { right: false, top: true },
        Begin::Bottom => Start::Side(Side::Bottom),
        Begin::Right => Start::Side(Side::Right),
        Begin::Top => Start::Side(Side::Top),
        Begin::Left => Start::Side(Side::Left),
    }
}

/// Each format once, in the order asked for.
pub fn once(formats: &[Format]) -> Vec<Format> {
    let mut once: Vec<Format> = Vec::new();
    for format in formats {
        if !once.contains(format) {
            once.push(*format);
        }
    }
    once
}

/// A machine format by its ending.
pub fn format(text: &str) -> Result<Format, String> {
    Format::from_extension(text.trim()).ok_or_else(|| {
        let known: Vec<&str> = Format::ALL.iter().map(|f| f.extension()).collect();
        format!("`{text}` is no machine format here; there are {}", known.join(", "))
    })
}

/// A name that is one file name on any system, whatever ending is put behind it.
pub fn plain_name(name: &str) -> anyhow::Result<String> {
    let name = name.trim();
    let unfit = match plain::unfit_file_name(name) {
        None if name.chars().count() > LONGEST_NAME => {
            Some(format!("it is longer than {LONGEST_NAME} letters"))
        }
        unfit => unfit,
    };
    match unfit {
        None => Ok(name.to_owned()),
        Some(why) => Err(typed(format!(
            "`{name}` cannot name a file, as {why}; use up to {LONGEST_NAME} letters, digits, spaces and dashes"
        ))),
    }
}

/// A number of bobbins, in words, and what is not counted on of them.
pub fn bobbins(count: u32) -> String {
    match count {
        1 => "1 bobbin, a tenth of it in reserve".to_owned(),
        _ => format!("{count} bobbins, a tenth of each in reserve"),
    }
}

/// A number of jumps, in words.
pub fn jumps(count: usize) -> String {
    match count {
        0 => "no jumps".to_owned(),
        1 => "1 jump".to_owned(),
        n => format!("{n} jumps"),
    }
}

/// How much of the line is walked again, in words.
pub fn backtracking(mm: f64, units: Units) -> String {
    if mm < SHOWN_MM {
        "no backtracking".to_owned()
    } else {
        format!("{} of backtracking", show_length(mm, units))
    }
}

fn along_the_edge(mm: f64, units: Units) -> String {
    if mm < SHOWN_MM { String::new() } else { format!(", {} along the edge", show_length(mm, units)) }
}

/// What a piece is, in her words.
pub fn summary(piece: &Piece) -> String {
    use std::fmt::Write;
    let (s, route) = (&piece.survey, &piece.route);
    let units = piece.order.units;
    let long = |mm: f64| show_length(mm, units);
    let mut text = format!("{}, {}\n", piece.title(), piece.order.block.shape.describe(units));
    let _ = writeln!(
        text,
        "  {} stitches of {:.1} mm, {:.1} minutes at {} a minute",
        s.steps.penetrations,
        s.steps.median_mm,
        s.estimate.minutes,
        piece.order.sandwich.pace.speed_per_minute
    );
    let _ = writeln!(
        text,
        "  {:.2} m of line, {}{}; {}",
        route.drawn_mm / 1000.0,
        backtracking(route.doubled_mm, units),
        along_the_edge(route.travelled_mm, units),
        jumps(s.jumps())
    );
    if let Some(gap) = s.gap {
        let _ = writeln!(text, "  widest gap {}, allowed {}", gap.words(units), long(s.gap_limit_mm));
    }
    let e = s.estimate;
    let _ = writeln!(
        text,
        "  thread {:.0} m in the needle, {:.0} m in the bobbin ({})",
        e.needle_thread_m,
        e.bobbin_thread_m,
        bobbins(e.bobbins)
    );
    let _ = writeln!(text, "  fingerprint {}", piece.fingerprint());
    if s.is_turned() {
        let _ = writeln!(text, "  {}", lie::words(&piece.order.block.shape, true));
    }
    for warning in piece.report().warnings {
        let _ = writeln!(text, "  note: {warning}");
    }
    text
}
