//! The program: words and files → library → files and words. No geometry here.
//!
//! Exit code 0 done, 1 could not, 2 typed wrong.

mod align;
mod block;
mod check;
mod default_name;
mod draw;
mod licences;
mod lie_args;
mod look_args;
mod machine_file;
mod motifs;
mod output;
mod page;
mod quilt;
mod reading;
mod refit;
mod sandwich_args;
mod sewn_args;
mod shape_args;
mod try_;
mod vary;
mod words;

use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};
use clap::{CommandFactory, Parser, Subcommand};

/// Quilting designs made to measure, as one continuous triple (bean) stitch line for the hoop
#[derive(Parser)]
#[command(name = "thrice", version, arg_required_else_help = true, after_help = AFTER)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    /// Unit that lengths are shown in first, in or mm; if not given, the one that most of the input is in
    #[arg(long, global = true, value_enum, value_name = "UNIT")]
    show_in: Option<words::Unit>,
}

const AFTER: &str = "Lengths need a unit: 8in, 8 1/2in, 3/8in, 216mm, 21.6cm. Sizes are finished sizes, without seam \
allowance.\nYour machine's manual and the batting's label overrule everything printed by this program.";

#[derive(Subcommand)]
enum Command {
    Motifs(motifs::Args),
    Try(Box<try_::Args>),
    Block(Box<block::Args>),
    Quilt(quilt::Args),
    Check(Box<check::Args>),
    Refit(Box<refit::Args>),
    Align(Box<align::Args>),
    Draw(Box<draw::Args>),
    Page(page::Args),
    /// Print the licences of the program, its fonts and the crates built in
    Licences,
    /// Print the completions for a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual page
    Man,
}

fn main() -> ExitCode {
    let cli = Cli::try_parse().unwrap_or_else(|error| with_a_way_on(error).exit());
    if let Some(unit) = cli.show_in {
        words::show_in(unit);
    }
    // The last catch: what is told below says more than a panic's own words.
    std::panic::set_hook(Box::new(|_| {}));
    let done = std::panic::catch_unwind(|| run(&cli.command));
    match done.unwrap_or_else(|panic| Err(words::broke(panic.as_ref()))) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            words::warn(&words::told(&error));
            ExitCode::from(words::exit_code(&error))
        }
    }
}

/// What was typed lacks something: a whole command to begin from is told besides.
fn with_a_way_on(mut error: clap::Error) -> clap::Error {
    if error.kind() == ErrorKind::MissingRequiredArgument {
        let begun = std::env::args().nth(1).unwrap_or_default();
        let way = match begun.as_str() {
            "align" => "thrice align design.dst --square 8in --mark \"centre=2.1mm,-1.4mm\"",
            "block" => {
                "thrice block feather-wreath --square 8in --hoop 200x200mm; `thrice motifs` lists the motifs"
            }
            "check" => "thrice check design.dst --square 8in",
            "draw" => "thrice draw design.dst",
            "quilt" => "thrice quilt --demo, or thrice quilt --starter my-quilt.toml for a file of your own",
            "refit" => "thrice refit design.dst --square 6in",
            _ => return error,
        };
        let way = vec![format!("for example, {way}").into()];
        error.insert(ContextKind::Suggested, ContextValue::StyledStrs(way));
    }
    error
}

fn run(command: &Command) -> anyhow::Result<()> {
    match command {
        Command::Motifs(args) => motifs::run(args),
        Command::Try(args) => try_::run(args),
        Command::Block(args) => block::run(args),
        Command::Quilt(args) => quilt::run(args),
        Command::Check(args) => check::run(args),
        Command::Refit(args) => refit::run(args),
        Command::Align(args) => align::run(args),
        Command::Draw(args) => draw::run(args),
        Command::Page(args) => page::run(args),
        Command::Licences => licences::run(),
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Cli::command(), "thrice", &mut script);
            words::say(&String::from_utf8_lossy(&script))
        }
        Command::Man => {
            let mut page = Vec::new();
            clap_mangen::Man::new(Cli::command()).render(&mut page)?;
            words::say(&String::from_utf8_lossy(&page))
        }
    }
}
