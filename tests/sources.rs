//! Figures and methods are cited by number: every `[n]` stands in `sources.md`, and no address or site's name in the code.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The files under a folder, or the file itself, of these kinds.
fn files(path: PathBuf, kinds: &[&str], found: &mut Vec<PathBuf>) {
    if path.is_dir() {
        let mut inside: Vec<_> = fs::read_dir(path).unwrap().map(|e| e.unwrap().path()).collect();
        inside.sort();
        inside.into_iter().for_each(|p| files(p, kinds, found));
    } else if path.extension().is_some_and(|e| kinds.iter().any(|k| e == *k)) {
        found.push(path);
    }
}

fn texts(places: &[&str], kinds: &[&str]) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    for place in places {
        files(root().join(place), kinds, &mut found);
    }
    found.into_iter().map(|p| (p.clone(), fs::read_to_string(&p).unwrap())).collect()
}

/// What of a line is words: all of it, but in code only the comment; without what stands in backticks.
fn words(line: &str, code: bool) -> String {
    let words = if code { line.split_once("//").map_or("", |(_, comment)| comment) } else { line };
    words.split('`').step_by(2).collect()
}

/// The numbers in square brackets that stand by themselves.
fn cited(words: &str) -> Vec<u32> {
    let mut numbers = Vec::new();
    let mut before = ' ';
    for (at, c) in words.char_indices() {
        if c == '[' && !before.is_alphanumeric() && !"_])".contains(before) {
            let inside = words[at + 1..].split(']').next().unwrap_or("");
            numbers.extend(inside.parse::<u32>().ok());
        }
        before = c;
    }
    numbers
}

/// The entries of the list, by number, with their text.
fn listed() -> Vec<(u32, String)> {
    let list = fs::read_to_string(root().join("tests/sources.md")).unwrap();
    let entry = |line: &str| {
        let (number, text) = line.strip_prefix("- [")?.split_once("] ")?;
        Some((number.parse().unwrap(), text.to_owned()))
    };
    list.lines().filter_map(entry).collect()
}

/// What names a site: the part of its address before the ending, or its own name on a shared host.
fn site(address: &str) -> Option<&str> {
    let host = address.split("//").nth(1)?.split(['/', '>']).next()?;
    let parts: Vec<&str> =
        host.split('.').filter(|p| p.len() > 5 && *p != "blogspot" && *p != "wordpress").collect();
    parts.iter().max_by_key(|p| p.len()).copied()
}

#[test]
fn every_number_stands_in_the_list() {
    let known: BTreeSet<u32> = listed().iter().map(|(number, _)| *number).collect();
    for (path, text) in
        texts(&["src", "tests", "motifs", "DEVELOPERS.md", "README.md"], &["rs", "md", "toml"])
    {
        let code = path.extension().is_some_and(|e| e == "rs");
        for (number, line) in text.lines().enumerate() {
            for n in cited(&words(line, code)) {
                assert!(known.contains(&n), "{}:{}: [{n}] is not in sources.md", path.display(), number + 1);
            }
        }
    }
}

#[test]
fn citations_are_told_from_code() {
    assert_eq!(cited(&words("x[3] // as published [24] [30], `a[7]` and list[5]", true)), [24, 30]);
    assert_eq!(cited(&words("| width | [142] |", false)), [142]);
}

#[test]
fn every_entry_has_its_own_number_a_kind_a_year_and_a_place() {
    let mut seen = BTreeSet::new();
    for (number, text) in listed() {
        assert!(seen.insert(number), "two entries are called [{number}]");
        let year =
            text.split(|c: char| !c.is_ascii_digit()).any(|w| w.len() == 4) || text.contains("no year");
        assert!(year, "[{number}] has neither a year nor “no year”");
        assert!(text.contains("<http") || text.contains("ISBN"), "[{number}] says not where it is");
    }
    assert!(seen.len() > 50, "only {} entries were read", seen.len());
}

#[test]
fn no_address_stands_in_code_or_motifs() {
    for (path, text) in texts(&["src", "motifs"], &["rs", "md", "toml", "html", "js", "css"]) {
        for (number, line) in text.lines().enumerate() {
            let line = line.replace("http://www.w3.org/", "").replace("http://127.0.0.1", "");
            let address =
                ["http://", "https://", "www.", "doi.org", ".com/"].iter().find(|a| line.contains(*a));
            assert_eq!(address, None, "{}:{}: {line}", path.display(), number + 1);
        }
    }
}

#[test]
fn no_site_is_named_where_it_is_cited() {
    let sites: Vec<String> =
        listed().iter().filter_map(|(_, text)| site(text).map(str::to_lowercase)).collect();
    assert!(sites.iter().any(|s| s == "edutechwiki"), "the list's addresses were not read");
    for (path, text) in texts(&["src", "motifs", "README.md", "DEVELOPERS.md"], &["rs", "md", "toml", "html"])
    {
        let text = text.to_lowercase();
        for site in &sites {
            assert!(!text.contains(site.as_str()), "{} names {site}", path.display());
        }
    }
}
