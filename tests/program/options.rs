//! Every option of `block` that changes what is sewn or printed, told by what comes out.

use std::fs;
use std::path::Path;

use super::machine::{read_dst, runs};
use super::{refused, thrice, told};

/// The report of a block made in a fresh folder, and the needle points of its first run, 0.1 mm from the design's centre.
fn made(words: &[&str]) -> (serde_json::Value, Vec<(i32, i32)>) {
    let dir = tempfile::tempdir().unwrap();
    made_in(dir.path(), words)
}

fn made_in(folder: &Path, words: &[&str]) -> (serde_json::Value, Vec<(i32, i32)>) {
    let output = thrice(folder, &[&["block", "--json", "--name", "it"], words].concat());
    assert_eq!(output.status.code(), Some(0), "{words:?}: {}", told(&output));
    let bytes = fs::read(folder.join("output/it.dst")).unwrap();
    (serde_json::from_slice(&output.stdout).unwrap(), runs(&read_dst(&bytes)).remove(0))
}

fn number(report: &serde_json::Value, part: &str, key: &str) -> f64 {
    report[part][key].as_f64().unwrap_or_else(|| panic!("{part}.{key} is {}", report[part][key]))
}

#[test]
fn a_drawing_of_hers_is_scaled_into_the_block_and_sewn() {
    let dir = tempfile::tempdir().unwrap();
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
        <path d="M10,10 L90,90 M10,90 L90,10" fill="none" stroke="black"/></svg>"#;
    fs::write(dir.path().join("kettle.svg"), svg).unwrap();
    let (report, _) = made_in(dir.path(), &["--drawing", "kettle.svg", "--square", "8in"]);
    assert_eq!(report["motif"]["name"], "kettle");
    // Two diagonals of the 7 1/2 in inside the margin; of four arms, two are walked twice.
    let diagonal = 7.5 * 25.4 * 2_f64.sqrt();
    assert!((number(&report, "route", "drawn") - 2.0 * diagonal).abs() < 0.1, "{report}");
    assert!(
        (number(&report, "route", "doubled") + number(&report, "route", "travelled") - diagonal).abs() < 0.1
    );
    refused(&["block", "--drawing", "none.svg", "--square", "8in"], 1, "none.svg", "check its name");
}

#[test]
fn a_walk_begins_at_the_corner_she_names() {
    for (corner, right, up) in [("top-right", 1, 1), ("bottom-left", -1, -1), ("top-left", -1, 1)] {
        let (report, run) = made(&["cross-hatch", "--square", "6in", "--start", corner, "--no-ties"]);
        let bounds = &report["stitches"]["bounds"];
        let half = |a: &str, b: &str| 5.0 * (bounds[b].as_f64().unwrap() - bounds[a].as_f64().unwrap());
        let (half_x, half_y) = (half("left", "right"), half("bottom", "top"));
        let off = (f64::from(run[0].0 * right) - half_x).hypot(f64::from(run[0].1 * up) - half_y);
        // The lines' spacing is an inch, so a line ends within half an inch of every corner.
        assert!(off <= 130.0, "{corner}: the first hole is {:.1} mm off", off / 10.0);
    }
    refused(&["block", "cross-hatch", "--square", "6in", "--start", "middle"], 2, "middle", "bottom-left");
}

#[test]
fn without_travel_the_line_keeps_to_the_drawing() {
    let extra = |travel: &str| {
        let (report, _) = made(&["grid", "--square", "8in", "--margin", "0in", "--travel", travel]);
        (number(&report, "route", "travelled"), number(&report, "route", "doubled"))
    };
    let ((none, doubled), (along, rest)) = (extra("none"), extra("edge"));
    assert!(none == 0.0 && doubled > 0.0, "{none} {doubled}");
    assert!(along + rest <= doubled, "{along} + {rest} for {doubled}");
}

#[test]
fn inside_a_margin_nothing_is_travelled_and_all_is_one_line() {
    let (report, _) = made(&["wave", "--square", "8in"]);
    assert_eq!(number(&report, "route", "travelled"), 0.0);
    assert_eq!(number(&report, "route", "jumps"), 0.0);
    let (apart, _) = made(&["wave", "--square", "8in", "--travel", "none"]);
    assert!(number(&apart, "route", "jumps") > 0.0, "its rows hang together only along the edge");
}

#[test]
fn without_ties_the_line_begins_and_ends_with_its_own_stitches() {
    let words = ["orange-peel", "--square", "4in"];
    let (tied, with) = made(&words);
    let (plain, without) = made(&[&words[..], &["--no-ties"]].concat());
    let holes = |report: &serde_json::Value| number(report, "stitches", "penetrations");
    assert_eq!(holes(&tied) - holes(&plain), 8.0, "a tie is four stitches at either end");
    assert_eq!(without, with[4..with.len() - 4]);
    assert!(with[0] == with[4] && with[1] == with[3] && without[1] == without[3] && without[0] != without[4]);
}

#[test]
fn a_seed_picks_another_drawing_and_the_same_one_again() {
    let run = |seed: &str| made(&["pebbles", "--square", "4in", "--seed", seed]).1;
    assert!(run("2") != run("3"));
    assert!(run("2") == run("2"));
    refused(
        &["block", "orange-peel", "--square", "4in", "--seed", "2"],
        2,
        "orange-peel has no seed",
        "leave --seed out",
    );
}

#[test]
fn paper_is_what_was_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    for (paper, width, height) in [("letter", 612.0, 792.0), ("a4", 595.276, 841.89)] {
        made_in(dir.path(), &["orange-peel", "--square", "4in", "--paper", paper]);
        let pdf = String::from_utf8_lossy(&fs::read(dir.path().join("output/it.pdf")).unwrap()).into_owned();
        let boxes: Vec<&str> = pdf.split("/MediaBox").skip(1).map(|b| b.split(']').next().unwrap()).collect();
        assert!(!boxes.is_empty());
        for numbers in boxes {
            let found: Vec<f64> = numbers
                .trim_start_matches([' ', '['])
                .split_whitespace()
                .map(|n| n.parse().unwrap())
                .collect();
            let off = (found[2] - width).abs() + (found[3] - height).abs();
            assert!(off < 0.1 && found[..2] == [0.0, 0.0], "{paper}: {found:?}");
        }
    }
}

#[test]
fn a_second_diagonal_spreads_the_error_of_the_tape_and_says_so() {
    let sides = ["cross-hatch", "--sides", "8in, 8in, 8in, 8in", "--diagonal", "11 3/8in"];
    let told = |more: &[&str]| {
        let (report, _) = made(&[&sides[..], more].concat());
        let corners: Vec<Vec<f64>> = serde_json::from_value(report["block"]["outline"].clone()).unwrap();
        let across =
            |a: usize, b: usize| (corners[a][0] - corners[b][0]).hypot(corners[a][1] - corners[b][1]);
        (across(0, 2), across(1, 3), report["warnings"].to_string())
    };
    let (one, other, said) = told(&["--other-diagonal", "11 1/2in"]);
    assert!(said.contains("The six measures disagree"), "{said}");
    // 11 3/8 and 11 1/2 in cannot both be with sides of 8 in: 2 × 8² × 2 = 256 in² are 261.6. Both give way.
    assert!(one < 11.375 * 25.4 && other < 11.5 * 25.4 && other > one, "{one} {other}");
    let (one, _, said) = told(&[]);
    assert!((one - 11.375 * 25.4).abs() < 1e-3 && !said.contains("measures disagree"), "{one} {said}");
    let alone = ["block", "cross-hatch", "--square", "8in", "--other-diagonal", "11in"];
    refused(&alone, 2, "--other-diagonal", "");
}

#[test]
fn a_small_bobbin_is_filled_more_often() {
    let (report, _) = made(&["cross-hatch", "--square", "8in", "--bobbin", "9m"]);
    let (thread, bobbins) =
        (number(&report, "estimate", "bobbin_thread_m"), number(&report, "estimate", "bobbins"));
    // A tenth of each is kept in reserve.
    assert_eq!(bobbins, (thread / 8.1).ceil());
    assert!(bobbins > 1.0);
    refused(&["block", "cross-hatch", "--square", "8in", "--bobbin", "0m"], 2, "0 m of thread", "");
}

#[test]
fn a_setting_given_twice_and_layers_of_no_thickness_are_typed_wrong() {
    let grid = ["block", "grid", "--square", "4in"];
    let refused =
        |words: &[&str], what: &str, remedy: &str| refused(&[&grid, words].concat(), 2, what, remedy);
    refused(
        &["--setting", "spacing=1in", "--setting", "spacing=2in"],
        "spacing is set more than once, 1in and 2in",
        "leave one of them out",
    );
    refused(&["--thickness", "0mm"], "a thickness of 0 mm", "sewn down, three layers are 0.3 to 20 mm thick");
}

#[test]
fn a_template_of_too_many_pages_is_left_out_and_everything_else_is_made() {
    let dir = tempfile::tempdir().unwrap();
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
        <path d="M10,10 L90,90 M10,90 L90,10" fill="none" stroke="black"/></svg>"#;
    fs::write(dir.path().join("kettle.svg"), svg).unwrap();
    made_in(dir.path(), &["--drawing", "kettle.svg", "--square", "8in"]);
    assert!(dir.path().join("output/it.pdf").exists());
    // A sliver takes few stitches and as many pages as the box round it.
    let sliver = "0in,0in; 120in,112in; 120in,120in";
    let words = ["block", "--drawing", "kettle.svg", "--corners", sliver, "--name", "it"];
    let output = thrice(dir.path(), &words);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(super::names(&dir.path().join("output")), ["it.dst", "it.json", "it.svg"]);
    let report = fs::read_to_string(dir.path().join("output/it.json")).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    let note = "No template: at true size it would take 209 pages, more than 100.";
    let warnings = report["warnings"].as_array().unwrap();
    assert!(warnings.iter().any(|w| w["text"].as_str().unwrap().starts_with(note)), "{warnings:?}");
    assert!(String::from_utf8_lossy(&output.stdout).contains(note), "{output:?}");

    // So it is where a machine file is drawn, and an older template goes: a thousand stitches up a long diagonal.
    fs::write(dir.path().join("far.exp"), [28; 2120]).unwrap();
    fs::create_dir(dir.path().join("drawn")).unwrap();
    fs::write(dir.path().join("drawn/far-drawn.pdf"), "of a smaller design").unwrap();
    let output = thrice(dir.path(), &["draw", "far.exp", "--out", "drawn"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert!(String::from_utf8_lossy(&output.stdout).contains("No template: at true size"), "{output:?}");
    assert_eq!(super::names(&dir.path().join("drawn")), ["far-drawn.svg"]);
}

#[test]
fn letters_in_a_drawn_outline_or_a_quilt_s_drawing_are_named_as_left_out() {
    let dir = tempfile::tempdir().unwrap();
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">
        <path d="M5,5 L95,5 L95,95 L5,95 Z" fill="none" stroke="black"/><text x="9" y="50">cut here</text></svg>"#;
    fs::write(dir.path().join("mine.svg"), svg).unwrap();
    let output = thrice(dir.path(), &["block", "grid", "--outline", "mine.svg"]);
    let letters = "Letters are left out: \u{201c}cut here\u{201d};";
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains(&format!("note: {letters}")), "{said}");
    let report = super::names(&dir.path().join("output")).into_iter().find(|name| name.ends_with(".json"));
    let report = fs::read_to_string(dir.path().join("output").join(report.unwrap())).unwrap();
    let report: serde_json::Value = serde_json::from_str(&report).unwrap();
    assert!(report["warnings"][0]["text"].as_str().unwrap().starts_with(letters), "{report}");
    let quilt = "title = \"q\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 2\n\
                 block = \"5in\"\n[[piece]]\nwhere = \"blocks\"\nat = [[1, 1]]\ndrawing = \"mine.svg\"\n\
                 [[piece]]\nwhere = \"blocks\"\ndrawing = \"mine.svg\"\n";
    fs::write(dir.path().join("q.toml"), quilt).unwrap();
    let output = thrice(dir.path(), &["quilt", "q.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let note = format!("note: mine.svg: {letters}");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(said.matches(&note).count(), 1, "{said}");
}
