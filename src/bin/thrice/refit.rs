//! `thrice refit`: a running design from elsewhere, sewn anew at another size.

use std::path::PathBuf;

use thrice::Made;
use thrice::block::shape::Shape;
use thrice::block::{Block, outline};
use thrice::stitches::{SewOptions, Times};
use thrice::tailor::refit::{self, Lines, RefitError};
use thrice::tailor::{Order, Piece};
use thrice::wire::Format;

use super::block::{format, once, plain_name, summary, told, written};
use super::default_name::default_name;
use super::look_args::LookArgs;
use super::machine_file;
use super::reading::Files;
use super::sewn_args::SewnArgs;
use super::shape_args::ShapeArgs;
use super::words::{length, say, tell_first, typed};

/// Sew a running design anew at another size: its lines found, three passes, steps of the right length
#[derive(clap::Args)]
pub struct Args {
    /// The machine file, .dst or .exp
    file: PathBuf,
    #[command(flatten)]
    shape: ShapeArgs,
    /// A part of its size instead of a block, such as 75%
    #[arg(long, value_name = "PERCENT", value_parser = percent, conflicts_with_all = ["shape", "sizes"])]
    scale: Option<f64>,
    /// Several square blocks at once: their finished sides with commas, such as "4in,5in,6in,8in"
    #[arg(long, value_name = "SIDES", value_delimiter = ',', value_parser = length, conflicts_with = "shape")]
    sizes: Vec<f64>,
    /// How often each line is sewn, 3, 2 or 1: stitch by stitch, along the whole line and back, or along it
    #[arg(long, value_name = "COUNT", default_value = "3", value_parser = times)]
    passes: Times,
    #[command(flatten)]
    sewn: SewnArgs,
    /// Machine files to write, separated by commas: dst, exp
    #[arg(long, value_name = "LIST", value_delimiter = ',', default_value = "dst", value_parser = format)]
    formats: Vec<Format>,
    #[command(flatten)]
    looks: LookArgs,
    /// Folder to write to; made if missing
    #[arg(long, value_name = "DIR", default_value = "output")]
    out: PathBuf,
    /// Name of the files; the machine file's and the size if not given
    #[arg(long, conflicts_with = "sizes")]
    name: Option<String>,
    /// Print the report, or a list of them for several sizes, and nothing else, as JSON
    #[arg(long)]
    json: bool,
}

/// Reads the file, finds its lines, sews them in every block asked for.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let (orders, odd) = orders(args, Files::World)?;
    let mut all = Vec::new();
    for order in orders {
        let (piece, files) = made(args, order)?;
        let written = written(&args.out, &piece.order.name, files, std::slice::from_ref(&args.file))?;
        all.push((piece, written));
    }
    if args.json {
        let reports: Vec<_> = all.iter().map(|(piece, _)| piece.report()).collect();
        let json = match reports.as_slice() {
            [one] => serde_json::to_string_pretty(one)?,
            all => serde_json::to_string_pretty(all)?,
        };
        return say(&format!("{json}\n"));
    }
    let mut text: String = odd.iter().map(|odd| format!("note: {odd}\n")).collect();
    for (piece, files) in &all {
        text += &summary(piece);
        text += &files.words();
    }
    say(&text)
}

/// What is to be sewn, one order a size; and what was odd about the machine file.
pub fn orders(args: &Args, files: Files<'_>) -> anyhow::Result<(Vec<Order>, Vec<String>)> {
    let units = tell_first(args.shape.units());
    let blocks = sizes(args, files)?;
    args.sewn.sew()?;
    let (_, reading) = machine_file::read(&args.file, files)?;
    let lines = refit::lines(&reading.stitches, units)?;
    let orders = blocks.into_iter().map(|size| order(args, &lines, size)).collect::<anyhow::Result<_>>()?;
    Ok((orders, reading.findings))
}

/// A piece and its files with nothing written yet.
pub fn made(args: &Args, order: Order) -> anyhow::Result<(Piece, Vec<Made>)> {
    thrice::make(order, &once(&args.formats), &args.looks.looks(args.sewn.held.loft_mm())).map_err(told)
}

/// What it is sewn in: the name of its size, and the block.
type Size = (String, Option<Block>);

fn sizes(args: &Args, files: Files<'_>) -> anyhow::Result<Vec<Size>> {
    let stem = machine_file::stem(&args.file);
    let named = |shape: &Shape| default_name(&format!("{stem}-refit"), &[], shape);
    let block = |shape: Shape| -> anyhow::Result<Size> {
        Ok((named(&shape), Some(outline(&shape, args.sewn.margin).map_err(typed)?)))
    };
    if let Some(scale) = args.scale {
        return Ok(vec![(format!("{stem}-refit-{}-percent", (scale * 1000.0).round() / 10.0), None)]);
    }
    if !args.sizes.is_empty() {
        return args.sizes.iter().map(|side| block(Shape::Square { side: *side })).collect();
    }
    match args.shape.block_if_given(args.sewn.margin, files)? {
        Some(block) => Ok(vec![(named(&block.shape), Some(block))]),
        None => Err(typed(
            "no size is given; give a shape such as --square 8in, or --scale 75%, or --sizes 4in,6in",
        )),
    }
}

fn order(args: &Args, lines: &Lines, (size, block): Size) -> anyhow::Result<Order> {
    let block = match block {
        Some(block) => block,
        None => refit::own_box(lines, args.scale.unwrap_or(1.0)).map_err(|error| match error {
            RefitError::Scale { .. } => typed(error),
            other => other.into(),
        })?,
    };
    let name = plain_name(args.name.as_deref().unwrap_or(&size))?;
    Ok(Order {
        sew: SewOptions { times: args.passes, ..args.sewn.sew()? },
        sandwich: args.sewn.held.sandwich()?,
        units: tell_first(args.shape.units()),
        ..refit::order(&name, &machine_file::stem(&args.file), lines, block)
    })
}

/// A count of passes.
fn times(text: &str) -> Result<Times, String> {
    match text.trim() {
        "3" => Ok(Times::Thrice),
        "2" => Ok(Times::Twice),
        "1" => Ok(Times::Once),
        other => Err(format!("`{other}` is no count of passes; give 3, 2 or 1")),
    }
}

/// A part of a size, such as `75%`, or `0.75`.
fn percent(text: &str) -> Result<f64, String> {
    let not_read = || format!("`{text}` is no scale; write it like 75%");
    let number = |text: &str| text.trim().parse::<f64>().map_err(|_| not_read());
    let scale = match text.trim().strip_suffix('%') {
        Some(percent) => number(percent)? / 100.0,
        None => number(text)?,
    };
    if scale.is_finite() { Ok(scale) } else { Err(not_read()) }
}
