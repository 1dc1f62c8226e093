//! The house stays one-way: a folder of `src/` uses only folders that sort before it.

use std::fs;
use std::path::{Path, PathBuf};

fn source(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            source(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

fn library_files() -> Vec<(String, PathBuf, String)> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    source(&src, &mut paths);
    paths
        .into_iter()
        .filter_map(|path| {
            let inside = path.strip_prefix(&src).unwrap();
            let stage = inside.components().next().unwrap().as_os_str().to_str().unwrap().to_owned();
            let text = fs::read_to_string(&path).unwrap();
            (stage != "bin" && stage != "lib.rs").then_some((stage, path, text))
        })
        .collect()
}

/// The stages that a line of code names with `crate::stage`.
fn used(line: &str) -> impl Iterator<Item = String> + '_ {
    let code = line.split("//").next().unwrap_or("");
    code.split("crate::").skip(1).flat_map(|rest| {
        let list = rest.strip_prefix('{').map_or(rest, |inner| inner.split('}').next().unwrap_or(""));
        let many = rest.starts_with('{');
        let take = if many { usize::MAX } else { 1 };
        list.split(',')
            .take(take)
            .map(|word| {
                word.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>()
            })
            .collect::<Vec<_>>()
    })
}

fn breaches(stage: &str, text: &str) -> Vec<String> {
    text.lines()
        .flat_map(|line| used(line).map(move |other| (line, other)))
        .filter(|(_, other)| !other.is_empty() && other.as_str() > stage)
        .map(|(line, _)| line.trim().to_owned())
        .collect()
}

#[test]
fn a_stage_uses_only_stages_that_sort_before_it() {
    for (stage, path, text) in library_files() {
        let bad = breaches(&stage, &text);
        assert!(bad.is_empty(), "{} uses a later stage: {bad:?}", path.display());
    }
}

#[test]
fn a_breach_is_noticed() {
    assert_eq!(breaches("block", "use crate::route::Route;"), ["use crate::route::Route;"]);
    assert_eq!(breaches("block", "use crate::{base::chain, wire};").len(), 1);
    assert!(breaches("route", "use crate::{base::chain, network::Edge};").is_empty());
}

#[test]
fn the_library_touches_no_world() {
    let absent = [
        "std::fs",
        "std::net",
        "std::env",
        "std::time",
        "std::process",
        "println!",
        "eprintln!",
        "SystemTime",
    ];
    for (_, path, text) in library_files() {
        let code: String = text.split("#[cfg(test)]").next().unwrap_or("").to_owned();
        let code: Vec<&str> = code.lines().map(|l| l.split("//").next().unwrap_or("")).collect();
        for word in absent {
            assert!(!code.iter().any(|l| l.contains(word)), "{} names {word}", path.display());
        }
    }
}

#[test]
fn nothing_is_imported_wholesale() {
    for (_, path, text) in library_files() {
        for line in text.lines().filter(|l| l.trim_start().starts_with("use ")) {
            let glob = line.contains("::*") && line.trim() != "use super::*;";
            assert!(!glob && !line.contains("super::super"), "{}: {line}", path.display());
        }
    }
}

#[test]
fn the_verifier_calls_nothing_that_made_the_route() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/route/certificate");
    let mut paths = Vec::new();
    source(&folder, &mut paths);
    assert!(paths.len() >= 4, "{paths:?}");
    // What it reads: the route's own types, the odd sets of its proof, and the network.
    let read = [
        "crate::network",
        "crate::route::matching::OddSet",
        "crate::route::{Route, Visit, Walk}",
        "crate::route::Route",
    ];
    for path in paths {
        let text = fs::read_to_string(&path).unwrap();
        for line in text.lines().filter(|l| l.trim_start().starts_with("use crate::")) {
            let fine = read.iter().any(|r| line.trim_start().strip_prefix("use ").unwrap().starts_with(r));
            assert!(fine, "{} uses {line}", path.display());
        }
        assert!(!text.contains("super::super"), "{} reaches out", path.display());
    }
}

#[test]
fn every_stage_of_the_front_page_is_a_folder_and_the_other_way_round() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let front = fs::read_to_string(src.join("lib.rs")).unwrap();
    let named: Vec<&str> =
        front.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let mut folders: Vec<String> = fs::read_dir(&src)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.is_dir())
        .map(|p| p.file_name().unwrap().to_str().unwrap().to_owned())
        .filter(|n| n != "bin")
        .collect();
    folders.sort();
    assert_eq!(named, folders);
}

#[test]
fn every_motif_file_is_built_in() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<String> = fs::read_dir(root.join("motifs"))
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter_map(|n| n.strip_suffix(".toml").map(str::to_owned))
        .collect();
    files.sort();
    let built_in: Vec<&str> = thrice::drawing::library::FILES.iter().map(|(name, _)| *name).collect();
    assert_eq!(built_in, files);
}

#[test]
fn the_top_level_holds_what_it_should() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let allowed = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "motifs",
        "output",
        "src",
        "tests",
    ];
    for entry in fs::read_dir(root).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let fine = allowed.contains(&name.as_str()) || name.starts_with('.') || name == "target";
        assert!(fine, "{name} does not belong at the top level");
    }
}
