//! One thing has one word, wherever people read: help, motif files, messages, sheets, README and DEVELOPERS.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What is not said, and what is said instead.
const BANNED: [(&str, &str); 28] = [
    ("walked twice", "backtracking"),
    ("doubling back", "backtracking"),
    ("doubles back", "backtracks"),
    ("walked a second time", "backtracking"),
    ("gone over", "sewn three times, triple stitch"),
    ("goes over twice", "backtracking"),
    ("needle strikes", "holes"),
    ("penetration", "hole"),
    ("first needle point", "first hole"),
    ("pitch", "spacing"),
    ("work sheet", "sewing sheet"),
    ("worksheet", "sewing sheet"),
    ("leader", "extension strip"),
    ("hoop-up", "hooping"),
    ("by the tape", "by tape measure"),
    ("evened out", "spread"),
    ("even out", "spread"),
    ("hangs it all", "joins it"),
    ("come near to", "target"),
    ("if not wherever", "default"),
    ("may the line", "let the line"),
    ("flexed", "adjusted to fit"),
    ("to fill)", "bobbins"),
    ("nearer density", "closer match"),
    ("from what was asked", "scaled by"),
    ("for its area than", "more densely than"),
    ("bars are reduced", "not true size"),
    ("unquilted distance", "widest gap"),
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files(path: PathBuf, ending: &str, found: &mut Vec<PathBuf>) {
    if path.is_dir() {
        let mut inside: Vec<_> = fs::read_dir(path).unwrap().map(|e| e.unwrap().path()).collect();
        inside.sort();
        inside.into_iter().for_each(|p| files(p, ending, found));
    } else if path.extension().is_some_and(|e| e == ending) {
        found.push(path);
    }
}

/// The strings of a file of code, its comments and its tests left out.
fn strings(code: &str) -> String {
    let code = code.split("#[cfg(test)]\nmod ").next().unwrap_or(code);
    let (mut told, mut inside, mut before) = (String::new(), false, ' ');
    for line in code.lines() {
        if !inside && line.trim_start().starts_with("//") {
            continue;
        }
        for c in line.chars() {
            match c {
                '"' if before != '\\' && (inside || before != '\'') => {
                    inside = !inside;
                    told.push('\n');
                }
                c if inside => told.push(c),
                _ => {}
            }
            before = c;
        }
        // A string goes on in the next line behind a backslash.
        if inside && told.ends_with('\\') {
            told.pop();
        }
    }
    told
}

/// The banned words in a text, each with the place and the word to take.
fn slips(place: &str, text: &str) -> Vec<String> {
    let text = text.to_lowercase().split_whitespace().collect::<Vec<_>>().join(" ");
    let found = BANNED.iter().filter(|(banned, _)| text.contains(banned));
    found.map(|(banned, instead)| format!("{place} says “{banned}”; say “{instead}”")).collect()
}

#[test]
fn no_second_word_for_a_thing_is_printed_or_documented() {
    let mut said = Vec::new();
    for name in ["README.md", "DEVELOPERS.md", "src/top/starter.toml", "src/top/demo.toml"] {
        said.extend(slips(name, &fs::read_to_string(root().join(name)).unwrap()));
    }
    let (mut motifs, mut code) = (Vec::new(), Vec::new());
    files(root().join("motifs"), "toml", &mut motifs);
    files(root().join("src"), "rs", &mut code);
    for path in motifs {
        said.extend(slips(&path.display().to_string(), &fs::read_to_string(&path).unwrap()));
    }
    for path in code {
        let place = path.display().to_string();
        let text = strings(&fs::read_to_string(&path).unwrap()).replace("penetrations", "");
        said.extend(slips(&place, &text));
    }
    let help = |words: &[&str]| Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).output().unwrap();
    for command in ["block", "quilt", "draw", "motifs"] {
        let help = String::from_utf8(help(&[command, "--help"]).stdout).unwrap();
        assert!(help.len() > 300, "{command} has no help");
        said.extend(slips(&format!("{command} --help"), &help));
    }
    assert!(said.is_empty(), "{}", said.join("\n"));
}

#[test]
fn a_slip_is_noticed() {
    assert_eq!(slips("x", "lines\nFlexed to fit").len(), 1);
    let code = "// flexed\nlet pitch = 1; say(\"a\\\"flexed\"); f('\"');\nlet t = \"gone \\\n    over\";";
    assert_eq!(slips("x", &strings(code)).len(), 2);
    assert!(slips("x", &strings("let pitch = \"fine\"; // gone over")).is_empty());
}
