//! What the program says, kept as text, so that a review shows every change of wording: help, messages, a block's report on
//! screen, a quilt's plan and sewing sheet, the starter.
//!
//! A change that is meant: `INSTA_UPDATE=always cargo test --test said`, and read the difference before it is committed.

#[path = "views/words.rs"]
#[expect(dead_code, reason = "shared with the tests of views")]
mod words;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use thrice::drawing::library;
use thrice::top::file;
use thrice::top::plan::plan;
use thrice::views::paper::Paper;
use thrice::views::quilt_sheet;

/// Two by two blocks with a border: every part of a sheet, and soon made.
const SMALL: &str = "title = \"Two by two\"\n[machine]\nhoops = [\"200 x 200 mm\"]\nformats = [\"dst\"]\n[sandwich]\n\
    batting = \"cotton with scrim\"\n[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"6in\"\n[[piece]]\n\
    where = \"blocks\"\nmotif = \"orange-peel\"\n[[border]]\nwidth = \"3in\"\nmotif = \"cable\"\n";

fn thrice(folder: &Path, words: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_thrice"));
    // Help is broken into lines as wide as the terminal; here as wide as it is where there is none.
    program.env_remove("COLUMNS").env("NO_COLOR", "1").args(words).current_dir(folder).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// Commands whose words are still being found: not kept here.
const UNSETTLED: [&str; 4] = ["check", "refit", "align", "page"];

/// The first help, without the lines of commands that are not kept.
fn first_help() -> String {
    let help = text(&thrice(Path::new("."), &["--help"]).stdout);
    let mut kept = true;
    let mut settled = |line: &&str| {
        // A line that is indented further goes on with the command above.
        if !line.starts_with("    ") {
            kept = !UNSETTLED.iter().any(|name| line.starts_with(&format!("  {name} ")));
        }
        kept
    };
    help.lines().filter(|line| settled(line)).map(|line| format!("{}\n", line.trim_end())).collect()
}

/// The names of all commands, as the help lists them.
fn commands() -> Vec<String> {
    let help = first_help();
    let list = help.split_once("Commands:\n").unwrap().1.split("\n\n").next().unwrap();
    let names = list.lines().filter(|l| l.starts_with("  ") && !l.starts_with("   "));
    names.map(|l| l.split_whitespace().next().unwrap().to_owned()).collect()
}

#[test]
fn help_of_every_command() {
    insta::assert_snapshot!("help", first_help());
    let commands = commands();
    assert!(commands.len() >= 8 && commands.contains(&"block".to_owned()), "{commands:?}");
    for command in commands.iter().filter(|c| *c != "help") {
        let output = thrice(Path::new("."), &[command, "--help"]);
        assert!(output.status.success(), "{command}");
        insta::assert_snapshot!(format!("help {command}"), text(&output.stdout));
    }
}

#[test]
fn what_it_says_when_something_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("bad.toml"), "title = 3\n[top]\nrows = 0\nblok = \"8in\"\n").unwrap();
    fs::write(folder.path().join("no.dst"), "not a machine file").unwrap();
    fs::write(folder.path().join("open.svg"), "<svg xmlns='http://www.w3.org/2000/svg'/>").unwrap();
    let tries: &[&[&str]] = &[
        &["blok"],
        &["block"],
        &["check"],
        &["align"],
        &["try"],
        &["block", "grid"],
        &["block", "grid", "--square", "8"],
        &["block", "grid", "--square", "8,5in"],
        &["block", "grid", "--square", "-8in"],
        &["block", "grid", "--square", "8in", "--circle", "8in"],
        &["block", "grid", "--sides", "8in,8in,8in,8in"],
        &["block", "grid", "--sides", "8in,1in,1in,1in", "--diagonal", "8in"],
        &["block", "gird", "--square", "8in"],
        &["block", "grid", "--square", "8in", "--setting", "petal=1in"],
        &["block", "grid", "--square", "8in", "--setting", "spacing=9in"],
        &["block", "grid", "--square", "1in", "--margin", "1in"],
        &["block", "grid", "--square", "8in", "--hoop", "100x100mm"],
        &["block", "grid", "--square", "8in", "--stitch", "9mm"],
        &["block", "grid", "--square", "8in", "--batting", "wol"],
        &["block", "grid", "--square", "8in", "--cloth", "blurple"],
        &["block", "grid", "--square", "8in", "--name", "a/b"],
        &["block", "grid", "--outline", "open.svg"],
        &["block", "grid", "--outline", "none.svg"],
        &["block", "cable", "--circle", "4in"],
        &["block", "grid", "--square", "8in", "--also", "relief", "--png-width", "9000"],
        &["try", "--circle", "4in", "cable"],
        &["try", "--square", "8in", "--vary", "spacing=1in,2in"],
        &["try", "grid", "--square", "8in", "--vary", "petal=1in,2in"],
        &["quilt"],
        &["quilt", "bad.toml"],
        &["quilt", "none.toml"],
        &["quilt", "--starter", "new.toml", "--family", "fethers"],
        &["draw", "no.dst"],
        &["draw", "none.dst"],
        &["motifs", "gird"],
    ];
    let mut said = String::new();
    for words in tries {
        let output = thrice(folder.path(), words);
        said += &format!("$ thrice {}\n", words.join(" "));
        said += &text(&output.stderr);
        said += &format!("(ends with {})\n\n", output.status.code().unwrap());
    }
    insta::assert_snapshot!(said);
}

#[test]
fn the_report_of_a_block_on_the_screen() {
    let folder = tempfile::tempdir().unwrap();
    let words =
        ["block", "orange-peel", "--square", "8in", "--batting", "cotton with scrim", "--hoop", "220x220mm"];
    let output = thrice(folder.path(), &words);
    assert!(output.status.success());
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn the_choice_of_motifs_on_the_screen() {
    let folder = tempfile::tempdir().unwrap();
    let words = ["try", "grid", "clamshell", "cable", "--circle", "6in", "--sort", "minutes", "--as", "svg"];
    let output = thrice(folder.path(), &words);
    assert!(output.status.success());
    insta::assert_snapshot!(text(&output.stdout));
}

#[test]
fn the_plan_and_the_sewing_sheet_of_a_quilt() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("two.toml"), SMALL).unwrap();
    let output = thrice(folder.path(), &["quilt", "two.toml"]);
    assert!(output.status.success());
    insta::assert_snapshot!("plan of a quilt", text(&output.stdout));
    let motifs = library::read_all(&[]).unwrap();
    let work = thrice::top::work(&file::read(SMALL, &motifs, &["dst"]).unwrap(), &|_, _| {}).unwrap();
    let plan = plan(&work);
    let book = quilt_sheet::templates::draw(&work, Paper::Letter);
    let pages = quilt_sheet::draw(&work, &plan, &book, Paper::Letter);
    let pages: Vec<String> = pages.iter().map(words::text).collect();
    insta::assert_snapshot!("sewing sheet of a quilt", pages.join("\n\n=== next page ===\n\n"));
}

#[test]
fn the_starter_of_a_quilt_file() {
    let folder = tempfile::tempdir().unwrap();
    let output = thrice(folder.path(), &["quilt", "--starter", "new.toml", "--family", "feathers"]);
    assert!(output.status.success());
    let new = fs::read_to_string(folder.path().join("new.toml")).unwrap();
    insta::assert_snapshot!("starter", format!("{}\n{new}", text(&output.stdout)));
}
