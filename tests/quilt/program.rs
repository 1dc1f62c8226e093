//! `thrice quilt` as she meets it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn thrice(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder).output().unwrap()
}

fn told(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

const SMALL: &str = "title = \"Two by Two\"\n[machine]\nhoops = [\"200 x 200 mm\"]\nformats = [\"dst\", \"exp\"]\n[top]\n\
    setting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"6in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n";

#[test]
fn a_quilt_gets_a_folder_for_each_piece_and_its_sheets() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("quilt.toml"), SMALL).unwrap();
    let output = thrice(dir.path(), &["quilt", "quilt.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(told(&output), "", "nothing is shown in a pipe");
    let home = dir.path().join("output/two-by-two");
    for name in [
        "machine/TWOB001.dst",
        "machine/TWOB001.exp",
        "pieces/blocks/blocks.svg",
        "pieces/blocks/blocks.json",
    ] {
        assert!(home.join(name).is_file(), "{name}");
    }
    for name in ["map.svg", "map.png", "map.pdf", "sewing-sheet.pdf", "templates.pdf", "plan.json"] {
        assert!(fs::metadata(home.join(name)).unwrap().len() > 500, "{name}");
    }
    let mut plan: serde_json::Value =
        serde_json::from_slice(&fs::read(home.join("plan.json")).unwrap()).unwrap();
    assert_eq!(plan["totals"]["hoopings"], 4);
    assert_eq!(plan["files"][0]["times"], 4);
    let written = plan.as_object_mut().unwrap().remove("written").unwrap();
    assert!(written.as_array().unwrap().iter().any(|name| name == "machine/TWOB001.dst"), "{written}");
    fs::write(home.join("machine/mine.dst"), "hers").unwrap();
    // Once more over the same files, and the plan alone on the standard output.
    let again = thrice(dir.path(), &["quilt", "quilt.toml", "--json", "--formats", "exp", "--also", "page"]);
    let kept: serde_json::Value = serde_json::from_slice(&fs::read(home.join("plan.json")).unwrap()).unwrap();
    assert!(kept["written"].as_array().unwrap().iter().any(|name| name == "page.html"), "{kept}");
    assert!(home.join("page.html").is_file());
    let printed: serde_json::Value = serde_json::from_slice(&again.stdout).unwrap();
    assert_eq!(printed, plan);
    // The machine file that is not of the second run is gone, and said to be; what the program did not write stays.
    assert!(
        told(&again).contains("removed, as this quilt no longer has them: machine/TWOB001.dst\n"),
        "{}",
        told(&again)
    );
    assert!(!home.join("machine/TWOB001.dst").exists() && home.join("machine/TWOB001.exp").is_file());
    assert_eq!(fs::read_to_string(home.join("machine/mine.dst")).unwrap(), "hers");
}

#[test]
fn what_is_left_is_said_and_mapped_large() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("quilt.toml"), SMALL).unwrap();
    let output = thrice(dir.path(), &["quilt", "quilt.toml", "--sewn", "4", "--also", "large-map"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("\n  3 hoopings left of 4 from 1 file,"), "{said}{}", told(&output));
    assert!(!said.contains("fewest") && !said.contains("needed"), "{said}");
    // 12 by 12 in at a quarter of true size fit one page.
    let map = fs::read(dir.path().join("output/two-by-two/map-large.pdf")).unwrap();
    let pages = map.windows(12).filter(|w| w.starts_with(b"/Type /Page") && w[11] != b's').count();
    assert_eq!(pages, 1);
}

#[test]
fn the_starter_is_a_quilt_file_that_works_and_is_never_written_over_another() {
    let dir = tempfile::tempdir().unwrap();
    assert_eq!(thrice(dir.path(), &["quilt", "--starter"]).status.code(), Some(0));
    let text = fs::read_to_string(dir.path().join("quilt.toml")).unwrap();
    let quilt = super::read(&text).unwrap();
    assert_eq!((quilt.top.rows.len(), quilt.borders.len()), (4, 1));
    // Its examples behind a # work as well.
    let odd: String = text
        .lines()
        .map(|l| l.strip_prefix("# ").filter(|l| l.starts_with("[[") || l.contains(" = ")).unwrap_or(l))
        .filter(|l| !l.starts_with("outer-sashing"))
        .map(|l| format!("{l}\n"))
        .collect();
    assert_eq!(super::read(&odd).unwrap().odds.len(), 1);
    let again = thrice(dir.path(), &["quilt", "--starter"]);
    assert_eq!(again.status.code(), Some(1));
    assert!(told(&again).contains("is there already and is not overwritten"), "{}", told(&again));
    assert_eq!(fs::read_to_string(dir.path().join("quilt.toml")).unwrap(), text);
}

#[test]
fn a_quilt_file_with_mistakes_writes_nothing() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("quilt.toml"), SMALL.replace("6in", "6").replace("rows", "row")).unwrap();
    let output = thrice(dir.path(), &["quilt", "quilt.toml"]);
    assert_eq!(output.status.code(), Some(2));
    let told = told(&output);
    assert!(told.contains("line 5: `rows` is missing in [top]"), "{told}");
    assert!(told.contains("line 9: block: `6` has no unit"), "{told}");
    assert!(!dir.path().join("output").exists());
    assert_eq!(thrice(dir.path(), &["quilt"]).status.code(), Some(2));
}

#[test]
fn a_piece_that_no_hoop_takes_is_refused_by_name() {
    let dir = tempfile::tempdir().unwrap();
    let text = SMALL.replace("200 x 200 mm", "20 x 20 mm");
    fs::write(dir.path().join("quilt.toml"), text).unwrap();
    let output = thrice(dir.path(), &["quilt", "quilt.toml"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(told(&output).contains("blocks fits no hoop"), "{}", told(&output));
    assert!(!dir.path().join("output").exists());
}
