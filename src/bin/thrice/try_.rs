//! `thrice try`: one picture of several designs in her block, to choose from.

use std::path::PathBuf;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use thrice::base::units::show_length;
use thrice::block::Block;
use thrice::drawing::library;
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::{Kind, resolve};
use thrice::survey::batting;
use thrice::views::trial::make::{self, Trial, Wish};
use thrice::views::trial::{self, Cell, Heading};
use thrice::views::{pdf, png, svg};

use super::block::{Sewing, plain_name};
use super::look_args::{PaperSize, StuffArgs};
use super::motifs;
use super::output::{File, write_set};
use super::reading::Files;
use super::shape_args::ShapeArgs;
use super::vary::{self, Vary};
use super::words::{say, tell_first, typed, warn};

/// Draw every motif that suits a block, or some, in one picture with their figures, to choose from
#[derive(clap::Args)]
pub struct Args {
    /// The motifs to try; every one that suits the block if none is named
    motifs: Vec<String>,
    #[command(flatten)]
    shape: ShapeArgs,
    /// Try one motif with several values of a setting, such as petal=1in,2in or seed=1..12, or of background=none,echo
    #[arg(long, value_name = "NAME=VALUES")]
    vary: Option<String>,
    /// A setting of the motif that is varied, such as petal=2in; repeatable
    #[arg(long = "setting", value_name = "NAME=VALUE", requires = "vary")]
    settings: Vec<String>,
    /// Which come first; default: the order in which they are named, or `motifs` lists them
    #[arg(long, value_enum)]
    sort: Option<Sort>,
    /// A folder with motif files of your own, read as well
    #[arg(long = "motifs", value_name = "DIR")]
    folder: Option<PathBuf>,
    #[command(flatten)]
    sewing: Sewing,
    #[command(flatten)]
    stuff: StuffArgs,
    /// Paper of the pages
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
    /// Kinds of picture to write, separated by commas
    #[arg(
        long = "as",
        value_name = "LIST",
        value_enum,
        value_delimiter = ',',
        default_value = "png,svg,pdf"
    )]
    files: Vec<Picture>,
    /// Width of the PNG, pixels
    #[arg(long, value_name = "PIXELS", default_value_t = WIDTH_PX, value_parser = clap::value_parser!(u32).range(400..=i64::from(png::WIDEST_PX)))]
    png_width: u32,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Name of the files; `try` and the block if not given
    #[arg(long)]
    name: Option<String>,
}

/// Width of the PNG unless another is asked for, pixels: words can be read.
const WIDTH_PX: u32 = 2400;

#[derive(Clone, Copy, clap::ValueEnum)]
enum Sort {
    /// Fewest minutes first
    Minutes,
    /// Least thread first
    Thread,
    /// Narrowest gaps first
    Gap,
    /// By name
    Name,
}

#[derive(Clone, Copy, PartialEq, clap::ValueEnum)]
enum Picture {
    /// For a screen, and to send
    Png,
    /// For a browser or a drawing program
    Svg,
    /// Pages to print
    Pdf,
}

/// Reads the words, has every design made, writes the pictures.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let block = args.shape.block(args.sewing.sewn.margin, Files::World)?;
    block.notes.iter().for_each(|note| warn(&format!("note: {note}\n")));
    let wishes = wishes(args, &block)?;
    let sandwich = args.sewing.sewn.held.sandwich()?;
    let base = Trial {
        block,
        sew: args.sewing.sewn.sew()?,
        sandwich,
        travel: args.sewing.travels(),
        units: tell_first(args.shape.units()),
        stuff: args.stuff.stuff(args.sewing.sewn.held.loft_mm()),
    };
    let mut cells: Vec<Cell> = make::all(&base, &wishes);
    if let Some(sort) = args.sort {
        trial::sort(&mut cells, order(sort));
    }
    let heading = heading(args, &base, &cells);
    let stem = match &args.name {
        Some(name) => plain_name(name)?,
        None => default_name(args, &base.block.shape.name()),
    };
    let files = files(args, &stem, &heading, &cells)?;
    let written =
        write_set(&args.out, &files, &Vec::new, &args.shape.outline.iter().cloned().collect::<Vec<_>>())?;
    let written: String = written.iter().map(|path| format!("wrote {}\n", path.display())).collect();
    say(&(summary(&heading, &cells) + &written))
}

fn files(args: &Args, stem: &str, heading: &Heading, cells: &[Cell]) -> anyhow::Result<Vec<File>> {
    let mut kinds = args.files.clone();
    kinds.dedup();
    let screen = trial::screen(heading, cells);
    let file = |kind: &Picture| {
        let (ending, bytes) = match kind {
            Picture::Png => (".png", png::write(&screen, args.png_width)?),
            Picture::Svg => (".svg", svg::write(&screen).into_bytes()),
            Picture::Pdf => {
                (".pdf", pdf::write(&heading.title, &trial::pages(heading, cells, args.paper.paper())))
            }
        };
        Ok(File { name: format!("{stem}{ending}"), bytes })
    };
    kinds.par_iter().map(file).collect()
}

fn order(sort: Sort) -> trial::Order {
    match sort {
        Sort::Minutes => trial::Order::Minutes,
        Sort::Thread => trial::Order::Thread,
        Sort::Gap => trial::Order::Gap,
        Sort::Name => trial::Order::Name,
    }
}

/// Every design that is to be tried.
fn wishes(args: &Args, block: &Block) -> anyhow::Result<Vec<Wish>> {
    let varied = args.vary.as_deref().unwrap_or_default().split(['=', ',']).map(str::trim);
    let wanted: Vec<&str> = args.motifs.iter().map(String::as_str).chain(varied).collect();
    let all = motifs::read(args.folder.as_deref(), &wanted)?;
    if let Some(text) = &args.vary {
        let [name] = &args.motifs[..] else {
            return Err(typed(format!(
                "--vary shows one motif, and {} are named; name one, such as `thrice try orange-peel --vary {text}`",
                args.motifs.len()
            )));
        };
        let motif = library::find(&all, name).map_err(typed)?;
        let vary = Vary::read(text, motif)?;
        return vary::wishes(&vary, motif, &args.settings, &all);
    }
    let chosen: Vec<&Motif> = if args.motifs.is_empty() {
        all.iter().filter(|m| m.suits(block.shape.suit())).collect()
    } else {
        args.motifs.iter().map(|n| library::find(&all, n).map_err(typed)).collect::<Result<_, _>>()?
    };
    vary::bounded(chosen.len())?;
    chosen.into_iter().map(|motif| plain(motif, args.sewing.seed())).collect()
}

/// A motif at its defaults; the seed goes to those that have one.
fn plain(motif: &Motif, seed: Option<u32>) -> anyhow::Result<Wish> {
    let own = motif.settings.iter().find(|s| s.kind == Kind::Seed);
    let asked: Vec<String> =
        own.zip(seed).map(|(s, seed)| format!("{}={seed}", s.name)).into_iter().collect();
    let settings = resolve(&motif.name, &motif.settings, &asked).map_err(typed)?;
    Ok(Wish { title: motif.title.clone(), motif: motif.clone(), settings, background: None })
}

fn heading(args: &Args, base: &Trial, cells: &[Cell]) -> Heading {
    let units = tell_first(args.shape.units());
    let made = cells.iter().filter(|c| c.made.is_ok()).count();
    let limit = base.sandwich.gap_limit_mm;
    let batting = match (args.sewing.sewn.held.batting(), args.sewing.sewn.held.has_gap()) {
        (Some(name), _) => batting::find(name).map_or(name, |b| b.name).to_owned(),
        (None, true) => "your batting".into(),
        (None, false) => "unknown batting".into(),
    };
    let title = match (&args.vary, &args.motifs[..]) {
        (Some(vary), [name]) => format!("{name}: {}", vary.split('=').next().unwrap_or_default().trim()),
        _ => "To choose from".into(),
    };
    let count = if made == 1 { "1 design".into() } else { format!("{made} designs") };
    let size = base.block.shape.describe(units);
    let speed = base.sandwich.pace.speed_per_minute;
    Heading {
        title,
        subtitle: format!(
            "{count} for your block  ·  {size}  ·  each as lines and as quilted cloth  ·  minutes at {speed} stitches a minute  ·  {batting} allows gaps up to {}",
            show_length(limit, units)
        ),
        batting,
        gap_limit_mm: limit,
        units,
        cotton: args.stuff.cotton(),
    }
}

fn default_name(args: &Args, shape: &str) -> String {
    let plain = |text: &str| thrice::top::file::path_safe(text);
    let mut parts = vec!["try".to_owned()];
    parts.extend(args.motifs.iter().take(3).map(|m| plain(m)));
    if args.motifs.len() > 3 {
        parts.push(format!("and-{}-more", args.motifs.len() - 3));
    }
    parts.extend(args.vary.as_deref().map(plain));
    parts.push(shape.to_owned());
    let name = parts.join("-");
    name.chars().take(90).collect()
}

fn summary(heading: &Heading, cells: &[Cell]) -> String {
    let wide = cells.iter().map(|c| c.title.chars().count()).max().unwrap_or(0);
    let mut text = format!("{}\n", heading.subtitle);
    for cell in cells {
        let words = match &cell.made {
            Ok(s) => {
                let gap = s
                    .gap_mm
                    .map_or(String::new(), |g| format!(", widest gap {}", show_length(g, heading.units)));
                let held = if s.held { "" } else { ", too open" };
                format!("{:5.1} minutes, {:3.0} m of thread{gap}{held}", s.minutes, s.thread_m)
            }
            Err(why) => {
                format!("not made: {}", why.strip_prefix(&cell.title).map_or(why.as_str(), str::trim_start))
            }
        };
        text.push_str(&format!("  {:wide$}  {words}\n", cell.title));
    }
    text
}
