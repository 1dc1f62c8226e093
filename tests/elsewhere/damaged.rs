//! Files cut, flipped, with another header, empty, or no designs at all: a clear error, or what could be read.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use thrice::base::units::Units;
use thrice::survey::Sandwich;
use thrice::survey::verdict::{Moves, judge};
use thrice::tailor::refit;
use thrice::wire::{Format, WireError};

use super::made::{judged, stitches, wave};

fn program(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder).output().unwrap()
}

fn sound() -> Vec<u8> {
    Format::Dst.write(&stitches(&[wave(0.0), wave(30.0)]), "sound").unwrap()
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }
}

/// Reads, judges and unpicks whatever there is; true if it got so far.
fn gone_through(format: Format, bytes: &[u8]) -> bool {
    let Ok(reading) = format.read(bytes) else { return false };
    let (block, sandwich) = (None, Sandwich::default());
    if judge(&reading.stitches, block, &sandwich, Moves::default(), Units::Inches).is_err() {
        return false;
    }
    let _ = refit::lines(&reading.stitches, Units::Inches);
    true
}

#[test]
fn cut_and_flipped_files_break_nothing() {
    let times = if super::all() { 20_000 } else { 300 };
    let mut dice = Dice(7);
    for format in Format::ALL {
        let file = format.write(&stitches(&[wave(0.0), wave(30.0)]), "sound").unwrap();
        let mut read = 0;
        for _ in 0..times {
            let mut bytes = file.clone();
            for _ in 0..=dice.below(8) {
                let at = dice.below(bytes.len());
                bytes[at] ^= 1 << dice.below(8);
            }
            bytes.truncate(bytes.len() - dice.below(bytes.len()) * dice.below(2));
            read += usize::from(gone_through(format, &bytes));
        }
        assert!(read * 4 > times, "{format:?}: only {read} of {times} could be read");
    }
}

#[test]
fn a_flipped_bit_is_told_by_the_header() {
    let mut file = sound();
    file[512 + 3 * 20] ^= 0b0000_0100;
    let reading = Format::Dst.read(&file).unwrap();
    assert!(reading.findings.iter().any(|f| f.starts_with("the header says ")), "{:?}", reading.findings);
}

#[test]
fn another_header_before_sound_stitches_is_read_with_a_word() {
    let mut file = sound();
    let whole = Format::Dst.read(&file).unwrap();
    file[..512].fill(b'#');
    let reading = Format::Dst.read(&file).unwrap();
    assert_eq!((&reading.stitches, &reading.header, &reading.name), (&whole.stitches, &None, &None));
    assert!(reading.findings[0].starts_with("the header is none of a .dst file"), "{:?}", reading.findings);
    // A .dst file by another name is read by its header.
    let named = Format::Exp.read(&sound()).unwrap();
    assert_eq!(named.stitches, whole.stitches);
    assert!(named.findings[0].starts_with("by its header the file is a .dst file"), "{:?}", named.findings);
}

#[test]
fn padded_tails_and_a_missing_end_are_read_over() {
    let file = sound();
    let whole = Format::Dst.read(&file).unwrap();
    for filler in [0x00, 0x1A, 0x20] {
        let padded = [file.clone(), vec![filler; 700]].concat();
        let reading = Format::Dst.read(&padded).unwrap();
        assert_eq!(reading.stitches, whole.stitches);
        assert_eq!(reading.findings, ["700 bytes fill up the end of the file; left out"]);
        let endless = [file[..file.len() - 3].to_vec(), vec![filler; 700]].concat();
        let reading = Format::Dst.read(&endless).unwrap();
        assert_eq!(reading.stitches, whole.stitches);
        assert!(
            reading.findings.iter().any(|f| f.contains("end of the design is not marked")),
            "{:?}",
            reading.findings
        );
        let exp = Format::Exp.write(&whole.stitches, "").unwrap();
        let reading = Format::Exp.read(&[exp, vec![filler; 700]].concat()).unwrap();
        let extra = reading.stitches.penetrations() - whole.stitches.penetrations();
        assert!(
            extra <= 1
                && reading.findings.iter().any(|f| f.ends_with("fill up the end of the file; left out"))
        );
    }
}

#[test]
fn stops_and_trims_of_other_programs_are_counted() {
    let mut file = sound();
    file.truncate(file.len() - 3);
    // Two stops in a row with a move, then a stitch; the end.
    file.extend([0x00, 0x00, 0xC3, 0x00, 0x00, 0xC3, 0x01, 0x00, 0x83, 0x05, 0x00, 0x03, 0x00, 0x00, 0xF3]);
    let reading = Format::Dst.read(&file).unwrap();
    assert_eq!((reading.colour_changes, reading.jumps(), reading.trims()), (2, 2, 1));
    assert!(
        judged(&reading)
            .findings
            .iter()
            .any(|f| f.sentence.starts_with("It stops 2 times for another colour"))
    );
}

#[test]
fn text_is_told_from_stitches() {
    let text = "<svg xmlns='http://www.w3.org/2000/svg'><path d='M0 0'/></svg>\n".repeat(40);
    for format in Format::ALL {
        assert_eq!(format.read(text.as_bytes()), Err(WireError::Text));
    }
}

#[test]
fn the_program_says_what_is_wrong_with_a_file() {
    let dir = tempfile::tempdir().unwrap();
    let zeros = fs::File::create(dir.path().join("huge.dst")).unwrap();
    zeros.set_len(1_000_000_000).unwrap();
    let files: [(&str, &[u8], &str); 5] = [
        ("empty.dst", b"", "a .dst header alone has 512"),
        ("empty.exp", b"", "holds no stitches"),
        ("words.exp", b"Dear Aunt, the quilt is done.\n", "the file is text, not stitches"),
        ("zeros.dst", &[0; 5000], "holds no stitches"),
        ("photo.dst", &[0x89; 5000], "does not begin like a .dst file"),
    ];
    for (name, bytes, wanted) in files {
        fs::write(dir.path().join(name), bytes).unwrap();
        for command in ["check", "draw"] {
            let output = program(dir.path(), &[command, name]);
            let told = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(1), "{command} {name}: {told}");
            assert!(told.contains(wanted), "{command} {name}: {told}");
        }
    }
    let output = program(dir.path(), &["check", "huge.dst"]);
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(
        output.status.code() == Some(2)
            && told.contains("is 1000.0 MB long")
            && told.contains("at most 1 MB are read"),
        "{told}"
    );
}
