//! The commands for designs from elsewhere as she meets them.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use thrice::wire::Format;

use super::made::{stitches, wave};

pub fn thrice(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder).output().unwrap()
}

pub fn told(output: &Output) -> String {
    let both = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    String::from_utf8(both).unwrap()
}

pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A folder with a single wave in it, as `wave.dst`.
pub fn with_wave() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let bytes = Format::Dst.write(&stitches(&[wave(0.0)]), "wave").unwrap();
    fs::write(dir.path().join("wave.dst"), bytes).unwrap();
    dir
}

#[test]
fn check_says_what_a_file_is_and_draws_it_only_when_asked() {
    let dir = with_wave();
    let output = thrice(dir.path(), &["check", "wave.dst", "--square", "8in", "--hoop", "200x200mm"]);
    let text = told(&output);
    assert_eq!(output.status.code(), Some(0), "{text}");
    for wanted in [
        "wave.dst, named wave inside: about 4 3/4 in (120 mm) by",
        "0 jumps, 0 trims, 0 colour stops",
        "Single: 100 % of the line is sewn once; refit it to make it triple.",
        "fits a field of 200 x 200 mm with",
        "with care; mind what is said above",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert_eq!(names(dir.path()), ["wave.dst"]);
    let output = thrice(dir.path(), &["check", "wave.dst", "--also", "svg,png", "--out", "."]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(names(dir.path()), ["wave-checked.png", "wave-checked.svg", "wave.dst"]);
}

#[test]
fn check_gives_everything_as_json() {
    let dir = with_wave();
    let output = thrice(dir.path(), &["check", "wave.dst", "--json"]);
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["verdict"], "with care");
    assert_eq!(report["sewing"]["line"], "single");
    assert_eq!(report["sewing"]["passes"], serde_json::json!({ "1": 1.0 }));
    assert_eq!(report["moves"], serde_json::json!({ "jumps": 0, "trims": 0, "colour_stops": 0 }));
    assert_eq!(report["stitches"]["holes"], 49);
    assert_eq!((&report["block"], &report["hoop"]), (&serde_json::Value::Null, &serde_json::Value::Null));
}

#[test]
fn check_compares_a_file_with_its_report() {
    let dir = with_wave();
    let words = ["block", "grid", "--square", "4in", "--out", ".", "--name", "grid"];
    assert_eq!(thrice(dir.path(), &words).status.code(), Some(0));
    let output = thrice(dir.path(), &["check", "grid.dst", "--against", "grid.json"]);
    assert!(
        output.status.code() == Some(0) && told(&output).contains("the same stitches as in grid.json"),
        "{}",
        told(&output)
    );
    let output = thrice(dir.path(), &["check", "wave.dst", "--against", "grid.json"]);
    assert!(
        output.status.code() == Some(1) && told(&output).contains("the stitches are not those of grid.json"),
        "{}",
        told(&output)
    );
    assert_eq!(thrice(dir.path(), &["check", "grid.dst", "--against", "wave.dst"]).status.code(), Some(2));
}

#[test]
fn refit_makes_a_single_line_triple_at_the_size_asked_for() {
    let dir = with_wave();
    let words = ["refit", "wave.dst", "--scale", "150%", "--out", ".", "--json"];
    let output = thrice(dir.path(), &words);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["name"], "wave-refit-150-percent");
    let passes = report["stitches"]["passes"].as_object().unwrap();
    assert!(passes.keys().eq(["3"]), "{passes:?}");
    let bounds = &report["stitches"]["bounds"];
    let wide = bounds["right"].as_f64().unwrap() - bounds["left"].as_f64().unwrap();
    assert!((wide - 180.0).abs() < 0.25, "{wide}");
    let median = report["stitches"]["median"].as_f64().unwrap();
    assert!((2.2..2.8).contains(&median), "{median}");
}

#[test]
fn refit_sews_a_line_as_often_as_asked() {
    let dir = with_wave();
    for (passes, line) in [("1", "single"), ("2", "double"), ("3", "triple")] {
        let words =
            ["refit", "wave.dst", "--scale", "100%", "--out", ".", "--name", "again", "--passes", passes];
        let output = thrice(dir.path(), &words);
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
        let output = thrice(dir.path(), &["check", "again.dst", "--json"]);
        let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(report["sewing"]["line"], line, "{}", told(&output));
        assert_eq!(report["sewing"]["passes"], serde_json::json!({ passes: 1.0 }));
        assert_eq!(report["moves"]["jumps"], 0);
    }
}

#[test]
fn four_sizes_come_at_once() {
    let dir = with_wave();
    let output = thrice(dir.path(), &["refit", "wave.dst", "--sizes", "4in,5in,6in,8in", "--out", "."]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let machine: Vec<String> = names(dir.path()).into_iter().filter(|name| name.ends_with(".dst")).collect();
    let size = |n: u32| format!("wave-refit-square-{n}in.dst");
    assert_eq!(machine, [size(4), size(5), size(6), size(8), "wave.dst".into()]);
}

#[test]
fn refit_needs_one_size_and_a_running_line() {
    let dir = with_wave();
    let code = |words: &[&str]| thrice(dir.path(), words).status.code();
    assert_eq!(code(&["refit", "wave.dst"]), Some(2));
    assert_eq!(code(&["refit", "wave.dst", "--scale", "50%", "--square", "8in"]), Some(2));
    assert_eq!(code(&["refit", "wave.dst", "--scale", "5000%"]), Some(2));
    let output = thrice(dir.path(), &["refit", "wave.dst", "--square", "8in", "--passes", "4"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("`4` is no count of passes; give 3, 2 or 1"), "{}", told(&output));
    let column = (0..200).map(|i| (4.0 * f64::from(i % 2), 0.2 * f64::from(i))).collect();
    let bytes = Format::Dst.write(&stitches(&[column]), "satin").unwrap();
    fs::write(dir.path().join("satin.dst"), bytes).unwrap();
    let output = thrice(dir.path(), &["refit", "satin.dst", "--square", "8in"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        told(&output).contains("the design has satin (199 stitches of 4 mm that go to and fro"),
        "{}",
        told(&output)
    );
}

#[test]
fn a_quilt_takes_a_design_of_her_own_and_names_what_it_cannot_take() {
    let dir = with_wave();
    let quilt = |design: &str| {
        let text = format!(
            "title = \"Own\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\n\
             block = \"6in\"\n[[piece]]\nwhere = \"blocks\"\ndesign = \"{design}\"\n"
        );
        fs::write(dir.path().join("own.toml"), text).unwrap();
        thrice(dir.path(), &["quilt", "own.toml"])
    };
    let output = quilt("wave.dst");
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert!(told(&output).contains("1 × ") && told(&output).contains("wave"), "{}", told(&output));
    let output = quilt("none.dst");
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("design: ") && told(&output).contains("none.dst"), "{}", told(&output));
}

#[test]
fn lines_of_a_design_come_back_as_a_drawing() {
    let dir = tempfile::tempdir().unwrap();
    let words = ["block", "orange-peel", "--square", "6in", "--out", ".", "--name", "peel"];
    assert_eq!(thrice(dir.path(), &[&words[..], &["--also", "lines"]].concat()).status.code(), Some(0));
    let drawn = ["block", "--drawing", "peel-lines.svg", "--square", "6in", "--out", ".", "--name", "again"];
    let output = thrice(dir.path(), &drawn);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let report = |name: &str| -> serde_json::Value {
        serde_json::from_slice(&fs::read(dir.path().join(name)).unwrap()).unwrap()
    };
    let long = |name: &str| report(name)["route"]["drawn"].as_f64().unwrap();
    assert!((long("peel.json") / long("again.json") - 1.0).abs() < 0.002);
    // A machine file's own lines as well.
    let words = ["draw", "peel.dst", "--also", "lines", "--out", "."];
    assert_eq!(thrice(dir.path(), &words).status.code(), Some(0));
    assert!(names(dir.path()).contains(&"peel-drawn-lines.svg".to_owned()));
}
