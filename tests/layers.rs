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

/// The text without comments; strings with two slashes in them lose their ends, which does not matter here.
fn code(text: &str) -> String {
    text.lines().map(|line| line.split("//").next().unwrap_or("")).collect::<Vec<_>>().join("\n")
}

/// The text without what is only compiled for tests: every item behind `#[cfg(test)]`, up to its `;` or closing brace.
fn without_tests(text: &str) -> String {
    let mut kept = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once("#[cfg(test)]") {
        kept += before;
        let mut depth = 0_usize;
        let end = after.char_indices().find(|(_, c)| {
            depth += usize::from(*c == '{');
            if *c == '}' {
                depth -= 1;
            }
            depth == 0 && (*c == '}' || *c == ';')
        });
        rest = end.map_or("", |(i, _)| &after[i + 1..]);
    }
    kept + rest
}

/// The stages that code names with `crate::stage`, alone or in a list over any number of lines.
fn used(code: &str) -> Vec<String> {
    let name =
        |word: &str| word.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut all = Vec::new();
    for rest in code.split("crate::").skip(1) {
        let Some(list) = rest.strip_prefix('{') else {
            all.push(name(rest));
            continue;
        };
        let (mut depth, mut word) = (0_usize, String::new());
        for c in list.chars() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => all.push(name(&std::mem::take(&mut word))),
                _ if depth == 0 => word.push(c),
                _ => {}
            }
        }
        all.push(name(&word));
    }
    all.retain(|stage| !stage.is_empty());
    all
}

fn breaches(stage: &str, text: &str) -> Vec<String> {
    used(&code(text)).into_iter().filter(|other| other.as_str() > stage).collect()
}

/// What the library must not name.
const WORLD: [&str; 8] =
    ["std::fs", "std::net", "std::env", "std::time", "std::process", "println!", "eprintln!", "SystemTime"];

fn world_in(text: &str) -> Vec<&'static str> {
    let code = without_tests(&code(text));
    WORLD.into_iter().filter(|word| code.contains(word)).collect()
}

/// Imports that take everything, re-exports, and reaching over two floors.
fn loose_imports(text: &str) -> Vec<String> {
    let code = code(text);
    let lines = code.lines().map(str::trim);
    let loose = lines.filter(|line| {
        let import = line.starts_with("use ") || line.starts_with("pub use ") || line.starts_with("pub(");
        let glob = import && line.contains("::*") && *line != "use super::*;";
        glob || line.contains("super::super") || line.starts_with("pub use ")
    });
    loose.map(str::to_owned).collect()
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
    assert_eq!(breaches("block", "use crate::route::Route;"), ["route"]);
    assert_eq!(breaches("block", "use crate::{base::chain, wire};"), ["wire"]);
    assert_eq!(
        breaches("block", "use crate::{\n    base::{chain, curve},\n    wire::{dst, exp},\n};"),
        ["wire"]
    );
    assert_eq!(breaches("block", "fn f() -> crate::wire::Format { x }"), ["wire"]);
    assert!(breaches("route", "use crate::{base::chain, network::Edge};").is_empty());
    assert!(breaches("block", "// use crate::wire;").is_empty());
    let hidden = "#[cfg(test)]\nmod tests;\nfn f() { std::fs::read(p) }\n#[cfg(test)]\nmod more { fn g() { println!(); } }";
    assert_eq!(world_in(hidden), ["std::fs"]);
    assert!(world_in("#[cfg(test)]\nfn g() { if x { println!() } }\nfn f() {}").is_empty());
    assert_eq!(loose_imports("fn f() { super::super::g() }").len(), 1);
    assert_eq!(loose_imports("use crate::base::*;\npub use a::B;\nuse super::*;").len(), 2);
}

/// Files that hold nothing but tests: modules that their front page declares behind `#[cfg(test)]`.
fn test_files(files: &[(String, PathBuf, String)]) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for (_, path, text) in files {
        for declared in text.split("#[cfg(test)]\nmod ").skip(1) {
            let name = declared.split([';', ' ', '\n']).next().unwrap_or("");
            all.push(path.with_file_name(format!("{name}.rs")));
            all.push(path.with_extension("").join(format!("{name}.rs")));
        }
    }
    all
}

#[test]
fn the_library_touches_no_world() {
    let files = library_files();
    let tests = test_files(&files);
    for (_, path, text) in files.iter().filter(|(_, path, _)| !tests.contains(path)) {
        assert_eq!(world_in(text), Vec::<&str>::new(), "{}", path.display());
    }
}

#[test]
fn nothing_is_imported_wholesale() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut paths = Vec::new();
    source(&src, &mut paths);
    for path in paths {
        let loose = loose_imports(&fs::read_to_string(&path).unwrap());
        assert!(loose.is_empty(), "{}: {loose:?}", path.display());
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
