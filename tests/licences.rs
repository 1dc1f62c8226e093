//! What is built in is licensed, and `thrice licences` says how.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;

const LIST: &str = "src/bin/thrice/licences.txt";

/// What cargo knows of every crate, for one system, so that the list is the same everywhere.
fn metadata() -> serde_json::Value {
    let run = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--format-version",
            "1",
            "--locked",
            "--filter-platform",
            "x86_64-unknown-linux-gnu",
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    serde_json::from_slice(&run.stdout).unwrap()
}

/// The crates that the program is built from, not those that only test or build it, with their licences.
fn built_in() -> BTreeMap<String, String> {
    let all = metadata();
    let root = all["resolve"]["root"].as_str().unwrap().to_owned();
    let nodes: BTreeMap<&str, &serde_json::Value> =
        all["resolve"]["nodes"].as_array().unwrap().iter().map(|n| (n["id"].as_str().unwrap(), n)).collect();
    let (mut seen, mut next) = (BTreeSet::new(), vec![root.clone()]);
    while let Some(id) = next.pop() {
        for dep in nodes[id.as_str()]["deps"].as_array().unwrap() {
            let normal = dep["dep_kinds"].as_array().unwrap().iter().any(|k| k["kind"].is_null());
            let id = dep["pkg"].as_str().unwrap().to_owned();
            if normal && seen.insert(id.clone()) {
                next.push(id);
            }
        }
    }
    let packages = all["packages"].as_array().unwrap().iter();
    let chosen = packages.filter(|p| seen.contains(p["id"].as_str().unwrap()));
    chosen
        .map(|p| {
            let licence = p["license"].as_str().unwrap_or_else(|| panic!("{} names no licence", p["name"]));
            (p["name"].as_str().unwrap().to_owned(), licence.replace('/', " OR "))
        })
        .collect()
}

#[test]
fn the_list_of_crates_is_current() {
    let list: String = built_in().iter().map(|(name, licence)| format!("{name}: {licence}\n")).collect();
    assert!(list.contains("kurbo: ") && !list.contains("insta: "), "{list}");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(LIST);
    let before = fs::read_to_string(&path).unwrap_or_default();
    if before != list && std::env::var_os("UPDATE").is_some() {
        fs::write(&path, &list).unwrap();
    }
    assert_eq!(before, list, "{LIST} is out of date; run UPDATE=1 cargo test --test licences and commit it");
}

#[test]
fn no_crate_asks_for_more_than_a_notice() {
    // Kinds that ask only that their text goes along; a crate with a choice counts by its mildest.
    let mild = [
        "MIT",
        "Apache-2.0",
        "Zlib",
        "ISC",
        "BSD-2-Clause",
        "BSD-3-Clause",
        "Unlicense",
        "0BSD",
        "BSL-1.0",
        "Unicode-3.0",
        "OFL-1.1",
        "Ubuntu-font-1.0",
        "CC0-1.0",
        "MIT-0",
        "Apache-2.0 WITH LLVM-exception",
        // Asks besides for a sentence in what goes along with the program: the test below.
        "IJG",
    ];
    for (name, licence) in built_in() {
        let all_of = licence.split(" AND ");
        for part in all_of {
            let fine = part.split(" OR ").any(|one| mild.contains(&one.trim_matches(['(', ')'])));
            assert!(fine, "{name} is under {licence}");
        }
    }
}

#[test]
fn the_program_prints_the_licences_whole() {
    let run = Command::new(env!("CARGO_BIN_EXE_thrice")).arg("licences").output().unwrap();
    let said = String::from_utf8(run.stdout).unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for file in ["LICENSE", "src/views/fonts/Ubuntu-Light.txt", "src/views/fonts/Hack-Regular.txt", LIST] {
        let text = fs::read_to_string(root.join(file)).unwrap();
        assert!(text.len() > 1000 && said.contains(text.trim_end()), "{file} is not printed whole");
    }
    assert!(said.contains("This software is based in part on the work of the Independent JPEG Group."));
}
