//! The program as she meets it: words in, files and words out, exit codes.

#[path = "support/machine.rs"]
#[expect(dead_code, reason = "shared with the tests of machine files")]
mod machine;
#[path = "program/options.rs"]
mod options;

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn thrice(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder).output().unwrap()
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// Runs the words in a fresh folder, and expects a refusal that leaves nothing behind.
fn refused(words: &[&str], code: i32, wrong: &str, remedy: &str) {
    let dir = tempfile::tempdir().unwrap();
    let output = thrice(dir.path(), words);
    let text = told(&output);
    assert_eq!(output.status.code(), Some(code), "{words:?}: {text}");
    assert!(text.contains(wrong), "{words:?}: {text}");
    assert!(text.contains(remedy), "{words:?}: {text}");
    assert!(output.stdout.is_empty(), "{words:?}");
    assert_eq!(names(dir.path()), Vec::<String>::new(), "{words:?} left files behind");
}

#[test]
fn a_block_gets_its_four_files() {
    let dir = tempfile::tempdir().unwrap();
    let output = thrice(dir.path(), &["block", "orange-peel", "--square", "8in"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let stem = "orange-peel-square-8in";
    let expected = ["dst", "json", "pdf", "svg"].map(|e| format!("{stem}.{e}"));
    assert_eq!(names(&dir.path().join("output")), expected);
    let words = String::from_utf8(output.stdout).unwrap();
    assert!(words.contains("no jumps"), "{words}");
}

#[test]
fn a_background_is_named_and_reported() {
    let dir = tempfile::tempdir().unwrap();
    let words = ["block", "orange-peel", "--square", "6in", "--background", "stipple", "--json"];
    let output = thrice(dir.path(), &[words.as_slice(), &["--background-setting", "spacing=1/4in"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["name"], "orange-peel-on-stipple-background-spacing-1-4in-square-6in");
    assert_eq!(report["motif"]["background"]["name"], "stipple");
    assert_eq!(report["motif"]["background"]["settings"]["spacing"], 6.35);
    assert_eq!(report["route"]["jumps"], 0);
    refused(
        &["block", "orange-peel", "--square", "6in", "--background", "cable"],
        2,
        "cable cannot be a background",
        "take a motif that suits any shape",
    );
}

#[test]
fn same_words_same_bytes() {
    let dir = tempfile::tempdir().unwrap();
    for out in ["one", "two"] {
        let words = ["block", "cross-hatch", "--half-square", "6in", "--formats", "dst,exp", "--out", out];
        assert_eq!(thrice(dir.path(), &words).status.code(), Some(0));
    }
    for name in names(&dir.path().join("one")) {
        let read = |out: &str| fs::read(dir.path().join(out).join(&name)).unwrap();
        assert!(read("one") == read("two"), "{name} differs");
    }
    assert_eq!(names(&dir.path().join("one")).len(), 5);
}

#[test]
fn the_report_is_alone_on_stdout_with_json() {
    let dir = tempfile::tempdir().unwrap();
    let output =
        thrice(dir.path(), &["block", "orange-peel", "--square", "8in", "--json", "--hoop", "200x200mm"]);
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(report["route"]["jumps"], 0);
    assert_eq!(report["hoop"]["fits"], true);
    assert_eq!(report["block"]["width"], 203.2);
    let file = fs::read(dir.path().join("output/orange-peel-square-8in.json")).unwrap();
    assert_eq!(serde_json::from_slice::<serde_json::Value>(&file).unwrap(), report);
}

#[test]
fn an_eight_inch_peel_sews_in_two_to_five_minutes_and_a_triangle_in_one_to_two_and_a_half() {
    // Common practice, no source: about three minutes for an 8 in block, about one for its half-square triangle.
    let dir = tempfile::tempdir().unwrap();
    for (shape, range) in [("--square", 2.0..=5.0), ("--half-square", 1.0..=2.5)] {
        let output = thrice(dir.path(), &["block", "orange-peel", shape, "8in", "--json", "--speed", "600"]);
        let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let minutes = report["estimate"]["minutes"].as_f64().unwrap();
        assert!(range.contains(&minutes), "{shape}: {minutes} minutes");
    }
}

#[test]
fn what_is_typed_wrong_is_told_and_leaves_nothing() {
    refused(&["block", "orange-peel", "--square", "8"], 2, "`8` has no unit", "write `8in` or `8mm`");
    refused(
        &["block", "orange-peel", "--square", "8in", "--margin", "x"],
        2,
        "`x` is not a length",
        "8 1/2in",
    );
    refused(&["block", "orangepeel", "--square", "8in"], 2, "no motif `orangepeel`", "orange-peel");
    let words = ["block", "orange-peel", "--square", "8in", "--setting", "petal=90in"];
    refused(&words, 2, "petal is 90 in", "6 in");
    let words = ["block", "orange-peel", "--square", "8in", "--setting", "pedal=1in"];
    refused(&words, 2, "no setting `pedal`", "petal");
    let words = ["block", "orange-peel", "--sides", "8in, 3in, 8in, 8in", "--diagonal", "12in"];
    refused(&words, 2, "cannot reach", "measure");
    let words = ["block", "orange-peel", "--corners", "0in,0in; 8in,8in; 8in,0in; 0in,8in"];
    refused(&words, 2, "cross", "");
    refused(&["block", "orange-peel", "--square", "8in", "--margin", "4in"], 2, "leaves nothing", "largest");
    refused(
        &["block", "orange-peel", "--square", "8in", "--hoop", "big"],
        2,
        "not a sewing field",
        "200x300mm",
    );
    refused(&["block", "orange-peel", "--square", "8in", "--batting", "wol"], 2, "`wol`", "wool");
    refused(&["block", "orange-peel", "--square", "8in", "--formats", "xyz"], 2, "`xyz`", "dst");
    refused(
        &["block", "orange-peel", "--square", "8in", "--name", "a/b"],
        2,
        "cannot name a file",
        "letters",
    );
    refused(&["block", "orange-peel", "--square", "8in", "--stitch", "9mm"], 2, "step of 9 mm", "1 to 5");
    refused(&["block", "orange-peel"], 2, "--square", "");
    refused(&["block", "orange-peel", "--square", "-8in"], 2, "`-8in` is out of range", "20000 mm");
    refused(
        &["block", "orange-peel", "--square", "8in", "--margin", "-1mm"],
        2,
        "`-1mm` is out of range",
        "",
    );
    refused(&["block", "orange-peel", "--square", "8in", "--speed", "0"], 2, "speed", "");
    refused(&["block", "orange-peel", "--square", "8in", "--gap", "0in"], 2, "gap limit", "up to 24 in");
    refused(&["block", "orange-peel", "--square", "8in", "--diagonal", "4in"], 2, "diagonal", "");
    refused(&["block", "orange-peel", "--square", "8in", "--circle", "7in"], 2, "cannot be used with", "");
}

#[test]
fn a_hoop_too_small_refuses_with_what_would_fit() {
    let words = ["block", "orange-peel", "--square", "8in", "--hoop", "130x180mm"];
    refused(&words, 1, "130 x 180 mm", "take a larger hoop: --hoop 200x200mm");
    // A margin that is offered is kept when it is asked for.
    let words = ["block", "orange-peel", "--square", "8 1/2in", "--hoop", "200x200mm"];
    refused(&words, 1, "200 x 200 mm", "--margin 3/8in, or make a smaller block: --square 8-1/4in");
    for more in [["--margin", "3/8in"], ["--square", "8-1/4in"]] {
        let dir = tempfile::tempdir().unwrap();
        let kept = if more[0] == "--square" { vec!["block", "orange-peel"] } else { words[..4].to_vec() };
        let output = thrice(dir.path(), &[kept.as_slice(), &more, &["--hoop", "200x200mm"]].concat());
        assert_eq!(output.status.code(), Some(0), "{more:?}: {}", told(&output));
    }
}

#[test]
fn a_design_that_fits_its_hoop_only_turned_is_turned_and_one_without_a_hoop_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let words = ["block", "cross-hatch", "--side-triangle", "8in", "--hoop", "200x300mm"];
    let output = thrice(dir.path(), &words);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.contains(
        "turned a quarter turn to the left: hoop the quilt so that the triangle’s long side is on the right"
    ));
    let read = |name: &str| fs::read(dir.path().join("output").join(name)).unwrap();
    let report: serde_json::Value =
        serde_json::from_slice(&read("cross-hatch-side-triangle-8in.json")).unwrap();
    assert_eq!((&report["turned"], &report["hoop"]["turned"]), (&90.0.into(), &true.into()));
    // An 8 in side triangle is 287 mm long and half as high: the file stands upright.
    let file = read("cross-hatch-side-triangle-8in.dst");
    let head = String::from_utf8_lossy(&file[..512]).into_owned();
    let figure = |key: &str| -> i32 { head.split(key).nth(1).unwrap()[..5].trim().parse().unwrap() };
    let (wide, high) = (figure("+X:") + figure("-X:"), figure("+Y:") + figure("-Y:"));
    assert!(wide < 1437 && (2400..2874).contains(&high), "{wide} by {high}");
    assert_eq!(report["warnings"], serde_json::json!([]));

    let output =
        thrice(dir.path(), &["block", "cross-hatch", "--side-triangle", "8in", "--json", "--out", "no-hoop"]);
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!((&report["turned"], &report["hoop"]), (&0.0.into(), &serde_json::Value::Null));
    assert!(report["warnings"][0]["text"].as_str().unwrap().starts_with("Not checked against a hoop"));
}

#[test]
fn a_design_has_one_fingerprint_on_screen_in_its_report_and_preview_and_in_both_machine_files() {
    let dir = tempfile::tempdir().unwrap();
    // Turned to fit: the fingerprint is that of the file.
    let words = ["block", "cross-hatch", "--side-triangle", "8in", "--hoop", "200x300mm", "--travel", "none"];
    let output = thrice(dir.path(), &[&words[..], &["--formats", "dst,exp", "--name", "it"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let screen = |output: Output| {
        let said = String::from_utf8(output.stdout).unwrap();
        said.lines().find_map(|line| line.strip_prefix("  fingerprint ").map(str::to_owned)).expect(&said)
    };
    let said = screen(output);
    assert_eq!((said.len(), said.as_bytes()[4]), (9, b'-'), "{said}");
    let read = |name: &str| fs::read_to_string(dir.path().join("output").join(name)).unwrap();
    let report: serde_json::Value = serde_json::from_str(&read("it.json")).unwrap();
    assert_eq!(report["fingerprint"], said.as_str());
    assert!(read("it.svg").contains(&format!("aria-label=\"{said}\"")));
    for file in ["output/it.dst", "output/it.exp"] {
        assert_eq!(screen(thrice(dir.path(), &["draw", file, "--out", "drawn"])), said, "{file}");
    }
    let longer = thrice(dir.path(), &[&words[..], &["--stitch", "2.6mm", "--name", "it"]].concat());
    assert_ne!(screen(longer), said);
}

#[test]
fn what_cannot_be_read_or_written_is_told() {
    refused(&["draw", "none.dst"], 1, "cannot read none.dst", "check its name");
    refused(&["quilt", "none.toml"], 1, "cannot read none.toml", "check its name");
    refused(&["motifs", "--motifs", "none"], 1, "cannot read none", "check its name");
    refused(
        &["motifs", "--sampler", "sheet.jpg"],
        2,
        "`sheet.jpg` is no picture file",
        "end its name with .svg, .png or .pdf",
    );
    refused(&["block", "orange-peel", "--outline", "none.svg"], 1, "none.svg", "");
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("taken"), "a file").unwrap();
    let output = thrice(dir.path(), &["block", "orange-peel", "--square", "8in", "--out", "taken"]);
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    assert!(told(&output).contains("taken"));
    assert_eq!(fs::read(dir.path().join("taken")).unwrap(), b"a file");
    fs::write(dir.path().join("open.svg"), OPEN).unwrap();
    let output = thrice(dir.path(), &["block", "orange-peel", "--outline", "open.svg"]);
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert!(told(&output).contains("closed path"), "{}", told(&output));
}

const OPEN: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><path d="M10,10 L90,10 L90,90" fill="none" stroke="black"/></svg>"#;

#[test]
fn an_outline_of_hers_is_quilted_and_not_overwritten() {
    let dir = tempfile::tempdir().unwrap();
    let drawn = OPEN.replace("L90,90\"", "L90,90 L10,90 Z M40,40 L60,40 L60,60 L40,60 Z\"");
    fs::write(dir.path().join("mine.svg"), &drawn).unwrap();
    let words = ["block", "cross-hatch", "--outline", "mine.svg", "--out", ".", "--name", "mine"];
    let output = thrice(dir.path(), &words);
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    assert_eq!(fs::read_to_string(dir.path().join("mine.svg")).unwrap(), drawn);
    let output = thrice(dir.path(), &words[..words.len() - 2]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
}

#[test]
fn the_motifs_are_listed_with_what_they_suit() {
    let dir = tempfile::tempdir().unwrap();
    let list = String::from_utf8(thrice(dir.path(), &["motifs"]).stdout).unwrap();
    assert!(list.contains("orange-peel") && list.contains("suits any shape"), "{list}");
    let one = String::from_utf8(thrice(dir.path(), &["motifs", "cross-hatch"]).stdout).unwrap();
    assert!(one.contains("1/4 in (6.4 mm) to 4 in (101.6 mm); default 1 in (25.4 mm)"), "{one}");
}

#[test]
fn a_machine_file_is_drawn_again() {
    let dir = tempfile::tempdir().unwrap();
    assert!(thrice(dir.path(), &["block", "orange-peel", "--square", "4in"]).status.success());
    let words = ["draw", "output/orange-peel-square-4in.dst", "--square", "4in", "--out", "drawn", "--also"];
    let output =
        thrice(dir.path(), &[&words[..], &["png,moving,sewing-sheet", "--show", "order,gap"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let stem = "orange-peel-square-4in";
    let expected = ["-sewing-sheet.pdf", ".html", ".pdf", ".png", ".svg"].map(|e| format!("{stem}-drawn{e}"));
    assert_eq!(names(&dir.path().join("drawn")), expected);
    let png = fs::read(dir.path().join("drawn").join(&expected[3])).unwrap();
    assert_eq!(png[1..4], *b"PNG");
    refused(&["draw", "nothing.txt"], 2, "no machine file", ".dst");
    refused(&["draw", "nothing.dst"], 1, "cannot read nothing.dst", "");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_thrice"))
        .arg("motifs")
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), told(&output).as_str()), (Some(0), ""));
}

#[test]
fn a_motif_file_of_hers_with_mistakes_is_told_line_by_line() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("mine.toml"), "name = \"mine\"\ntitel = \"Mine\"\n").unwrap();
    let mistakes = ["line 2: `titel` is not known", "`title` is missing"];
    // The list leaves it out with a word; asked for, it is refused.
    for (words, code) in
        [(&["motifs", "--motifs", "."][..], 0), (&["block", "mine", "--square", "8in", "--motifs", "."], 2)]
    {
        let output = thrice(dir.path(), words);
        assert_eq!(output.status.code(), Some(code), "{words:?}");
        let text = told(&output);
        assert!(mistakes.iter().all(|m| text.contains(m)), "{text}");
    }
}

#[test]
fn completions_and_the_manual_are_printed() {
    let dir = tempfile::tempdir().unwrap();
    let shell = thrice(dir.path(), &["completions", "bash"]);
    assert!(String::from_utf8(shell.stdout).unwrap().contains("_thrice"));
    let manual = thrice(dir.path(), &["man"]);
    assert!(String::from_utf8(manual.stdout).unwrap().contains(".TH thrice"));
}

#[test]
fn a_name_is_never_given_to_another_design_without_a_word() {
    let dir = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        let words = [&["block", "grid", "--square", "6in"], words].concat();
        let output = thrice(dir.path(), &words);
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
        String::from_utf8(output.stdout).unwrap()
    };
    assert!(run(&[]).contains("wrote output/grid-square-6in.dst"));
    assert!(!run(&[]).contains("is replaced"));
    assert!(run(&["--margin", "1/2in"]).contains("wrote output/grid-margin-12.7mm-square-6in.dst"));
    assert!(run(&["--setting", "spacing=1/2in"]).contains("wrote output/grid-spacing-1-2in-square-6in.dst"));
    let said = run(&["--stitch", "3mm", "--name", "grid-square-6in"]);
    assert!(
        said.contains("note: another design called grid-square-6in was there, and is replaced"),
        "{said}"
    );
}

#[test]
fn every_length_is_told_in_her_unit() {
    let dir = tempfile::tempdir().unwrap();
    let out = |words: &[&str]| {
        let output = thrice(dir.path(), words);
        format!("{}{}", String::from_utf8_lossy(&output.stdout), told(&output))
    };
    // A library message, a setting's range, a report: millimetres first for who types them or asks for them.
    let refused = ["block", "spiral", "--square", "50mm", "--setting", "spacing=50mm"];
    assert!(out(&refused).contains("at a spacing of 50 mm (about 1 15/16 in)"), "{}", out(&refused));
    let inches = [&refused[..], &["--show-in", "in"]].concat();
    assert!(out(&inches).contains("at a spacing of about 1 15/16 in (50 mm)"), "{}", out(&inches));
    assert!(out(&["motifs", "grid", "--show-in", "mm"]).contains("25.4 mm (1 in)"));
    let report = out(&["block", "grid", "--square", "8in", "--gap", "20mm", "--show-in", "mm"]);
    let said = report.lines().filter(|l| l.contains(" in)") || l.contains(" in (")).collect::<Vec<_>>();
    assert!(!said.is_empty() && said.iter().all(|l| !l.contains(" in (")), "{said:?}");
}

#[test]
fn draw_says_only_what_it_measured() {
    let dir = tempfile::tempdir().unwrap();
    // A line of eleven stitches of 2 mm sewn once, from the byte table: set bits, and x + 20 = 27 - 9 + 3 - 1.
    let mut file = vec![b' '; 512];
    for _ in 0..11 {
        file.extend([1 << 3 | 1 << 1, 1 << 2 | 1, 0x03]);
    }
    file.extend([0x00, 0x00, 0xf3]);
    fs::write(dir.path().join("line.dst"), file).unwrap();
    let out =
        thrice(dir.path(), &["draw", "line.dst", "--hoop", "20x20mm", "--square", "10mm", "--margin", "1mm"]);
    let said = String::from_utf8(out.stdout.clone()).unwrap();
    assert!(said.contains("each line sewn once, no jumps"), "{said}{}", told(&out));
    assert!(said.contains("Single: 100 % of the line is sewn once"), "{said}");
    assert!(said.contains("does not fit the hoop's field of 20 x 20 mm"), "{said}");
    assert!(said.contains("past the block's edge"), "{said}");
}
