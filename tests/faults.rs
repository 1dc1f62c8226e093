//! The program stopped, crowded and starved: whatever happens, a set of files is whole or not there.
//!
//! `FAULTS=10 cargo test --test faults` does everything ten times as often.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

type Set = BTreeMap<String, Vec<u8>>;

/// How many times as often as in the gate.
fn often(times: u64) -> u64 {
    times * std::env::var("FAULTS").ok().and_then(|t| t.parse().ok()).unwrap_or(1)
}

/// Two designs that share a name; the first has a machine file more.
const DESIGNS: [&[&str]; 2] = [
    &["block", "grid", "--square", "4in", "--name", "same", "--out", ".", "--formats", "dst,exp"],
    &["block", "echo", "--square", "5in", "--name", "same", "--out", "."],
];

fn program(folder: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_thrice"));
    command.args(words).current_dir(folder).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Everything in a folder and below it, by name.
fn files(folder: &Path) -> Set {
    let mut set = Set::new();
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let name = entry.file_name().into_string().unwrap();
        if entry.path().is_dir() {
            set.extend(
                files(&entry.path()).into_iter().map(|(below, bytes)| (format!("{name}/{below}"), bytes)),
            );
        } else {
            set.insert(name, fs::read(entry.path()).unwrap());
        }
    }
    set
}

fn made(words: &[&str]) -> Set {
    let dir = tempfile::tempdir().unwrap();
    assert!(program(dir.path(), words).status().unwrap().success(), "{words:?}");
    files(dir.path())
}

fn is_machine_file(name: &str) -> bool {
    name.ends_with(".dst") || name.ends_with(".exp")
}

fn is_debris(name: &str) -> bool {
    name.rsplit('/').next().unwrap().starts_with(".thrice-")
}

/// What is wrong with a folder: a machine file beside something that is not of its set, or without the rest of it.
fn mixed(found: &Set, sets: &[Set]) -> Option<String> {
    let names: Vec<&String> = found.keys().filter(|n| !is_debris(n)).collect();
    if !names.iter().any(|n| is_machine_file(n)) {
        return None;
    }
    let belongs = |set: &&Set| {
        names.iter().all(|n| set.get(*n) == Some(&found[*n]))
            && set.keys().all(|n| is_machine_file(n) || found.contains_key(n))
    };
    if sets.iter().find(belongs).is_some() { None } else { Some(format!("{names:?}")) }
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: u128) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        u64::try_from((u128::from(self.0 >> 33) * most) >> 31).unwrap()
    }
}

/// Kills the program at all moments of its work; then one more run of each, which has to leave its set and nothing else.
fn kill(designs: &[&[&str]], times: u64, seed: u64) {
    let sets: Vec<Set> = designs.iter().map(|words| made(words)).collect();
    let dir = tempfile::tempdir().unwrap();
    let begun = Instant::now();
    assert!(program(dir.path(), designs[0]).status().unwrap().success());
    let usual = begun.elapsed();
    let (mut dice, mut killed) = (Dice(seed), 0);
    for i in 0..times {
        let mut child =
            program(dir.path(), designs[usize::try_from(i).unwrap() % designs.len()]).spawn().unwrap();
        sleep(Duration::from_micros(dice.below(usual.as_micros() * 5 / 4)));
        killed += u64::from(child.try_wait().unwrap().is_none());
        child.kill().unwrap();
        child.wait().unwrap();
        assert_eq!(mixed(&files(dir.path()), &sets), None, "after {i} runs");
    }
    assert!(killed * 4 >= times, "only {killed} of {times} were killed at work");
    for (words, set) in designs.iter().zip(&sets).rev() {
        assert!(program(dir.path(), words).status().unwrap().success());
        let found = files(dir.path());
        assert_eq!(found.keys().collect::<Vec<_>>(), set.keys().collect::<Vec<_>>());
        assert!(found == *set);
    }
}

#[test]
fn a_block_that_is_stopped_leaves_a_whole_set_or_none() {
    kill(&DESIGNS, often(60), 1);
}

#[test]
fn a_quilt_that_is_stopped_leaves_a_whole_set_or_none() {
    let dir = tempfile::tempdir().unwrap();
    let file = |name: &str, spacing: &str| {
        let path = dir.path().join(name);
        let text = format!(
            "title = \"Small\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 2\n\
             block = \"4in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"grid\"\nsettings = [\"spacing={spacing}\"]\n"
        );
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (one, other) = (file("one.toml", "1in"), file("other.toml", "2in"));
    kill(&[&["quilt", &one, "--out", "."], &["quilt", &other, "--out", "."]], often(12), 2);
}

#[test]
fn two_runs_at_once_leave_one_whole_set() {
    let sets: Vec<Set> = DESIGNS.iter().map(|words| made(words)).collect();
    for i in 0..often(15) {
        let dir = tempfile::tempdir().unwrap();
        let mut running = DESIGNS.map(|words| program(dir.path(), words).spawn().unwrap());
        assert!(running.iter_mut().all(|child| child.wait().unwrap().success()));
        let found = files(dir.path());
        assert!(sets.contains(&found), "run {i}: {:?}", found.keys());
    }
}

/// Runs with files limited to `kilobytes`, as a disk that is full; the program sees an error, not a signal.
fn starved(folder: &Path, kilobytes: u32, words: &[&str]) -> Output {
    let script = format!("trap '' XFSZ; ulimit -f {}; exec \"$0\" \"$@\"", kilobytes * 2);
    let mut command = Command::new("sh");
    command.arg("-c").arg(script).arg(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder);
    command.output().unwrap()
}

#[test]
fn a_full_disk_leaves_the_old_set() {
    if !cfg!(unix) {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    assert!(program(dir.path(), DESIGNS[0]).status().unwrap().success());
    let before = files(dir.path());
    for kilobytes in 0..8 {
        let output = starved(dir.path(), kilobytes, DESIGNS[1]);
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{kilobytes} kB: {told}");
        assert!(told.contains("cannot write") && told.contains("name another folder with --out"), "{told}");
        assert!(files(dir.path()) == before, "{kilobytes} kB");
    }
}

#[test]
fn a_closed_or_full_stderr_changes_no_exit_code() {
    if !Path::new("/dev/full").exists() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let code = |redirected: &str, words: &str| {
        let script = format!("exec \"$0\" {words} {redirected}");
        let mut command = Command::new("sh");
        command.arg("-c").arg(script).arg(env!("CARGO_BIN_EXE_thrice")).current_dir(dir.path());
        command.output().unwrap().status.code()
    };
    for redirected in ["2>&-", "2>/dev/full"] {
        assert_eq!(code(redirected, "block grid --square 8"), Some(2), "{redirected}");
        assert_eq!(code(redirected, "block no-such --square 8in"), Some(2), "{redirected}");
        assert_eq!(code(redirected, "draw no-such.dst"), Some(1), "{redirected}");
    }
    assert_eq!(code(">/dev/full", "motifs"), Some(1));
}

#[test]
fn what_never_ends_is_not_read() {
    let dir = tempfile::tempdir().unwrap();
    let fifo = dir.path().join("fifo.svg");
    let Ok(status) = Command::new("mkfifo").arg(&fifo).status() else { return };
    assert!(status.success());
    let fifo = fifo.to_str().unwrap();
    let quilt = dir.path().join("drawn.toml");
    fs::write(
        &quilt,
        "title = \"Drawn\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\n\
         block = \"8in\"\n[[piece]]\nwhere = \"blocks\"\ndrawing = \"/dev/zero\"\n",
    )
    .unwrap();
    for words in [
        ["quilt", quilt.to_str().unwrap(), "--out", "."],
        ["block", "grid", "--outline", "/dev/zero"],
        ["block", "grid", "--outline", fifo],
        ["block", "--square=8in", "--drawing", fifo],
        ["quilt", "/dev/zero", "--out", "."],
        ["draw", "/dev/zero", "--out", "."],
    ] {
        let begun = Instant::now();
        let status = program(dir.path(), &words).status().unwrap();
        assert!(!status.success() && begun.elapsed() < Duration::from_secs(20), "{words:?}");
    }
}

#[test]
fn words_that_would_leave_the_folder_or_hide_something_are_typed_wrong() {
    let dir = tempfile::tempdir().unwrap();
    let long = "x".repeat(240);
    for name in ["../x", "/tmp/x", "CON", "x.", "a\u{202e}b", "a\u{7}b", &long] {
        let mut command = program(dir.path(), &["block", "grid", "--square", "4in", "--name", name]);
        let output = command.stderr(Stdio::piped()).output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}: {told}");
        assert!(told.contains("cannot name a file, as it") || told.contains("is a device"), "{told}");
        assert!(!told.contains(['\u{202e}', '\u{7}']), "{told}");
        assert!(files(dir.path()).is_empty(), "{name}");
    }
    let drawing = dir.path().join(format!("{long}.svg"));
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><path stroke='red' d='M0 0L9 9'/></svg>";
    fs::write(&drawing, svg).unwrap();
    let words = ["block", "--square", "4in", "--out", ".", "--drawing", drawing.to_str().unwrap()];
    // A name made here is cut to what any system takes.
    assert_eq!(program(dir.path(), &words).status().unwrap().code(), Some(0));
    assert!(files(dir.path()).iter().all(|(name, _)| *name == format!("{long}.svg") || name.len() < 100));
    assert_eq!(files(dir.path()).len(), 5);
}

#[test]
fn a_broken_motif_file_is_left_out_unless_it_is_asked_for() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("broken.TOML"), "name = 3").unwrap();
    let told = |motif: &str| {
        let words = ["block", motif, "--square", "4in", "--motifs", "."];
        let output = program(dir.path(), &words).stderr(Stdio::piped()).output().unwrap();
        (output.status.code(), String::from_utf8(output.stderr).unwrap())
    };
    let (code, said) = told("grid");
    assert_eq!(code, Some(0), "{said}");
    assert!(said.starts_with("note: left out: ./broken.TOML cannot be used:\n  line 1: "), "{said}");
    assert_eq!(told("broken").0, Some(2));
}
