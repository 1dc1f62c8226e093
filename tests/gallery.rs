//! The golden folder: `output/gallery` holds what the program makes today, and what it makes has to stay that.
//!
//! `UPDATE=1 cargo test --test gallery` rewrites the folder and still fails once: look at the pictures before committing.

use std::fs;
use std::path::{Path, PathBuf};

use thrice::block::shape::Shape;
use thrice::drawing::background::Background;
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::Settings;
use thrice::drawing::{library, settings};
use thrice::tailor::{Design, Order};
use thrice::top::file;
use thrice::views::paper::Paper;
use thrice::views::sampler;
use thrice::views::sewn::{Extra, Looks};
use thrice::wire::Format;

/// Motif, shape, its words, settings.
const PIECES: &[(&str, &str, &str, &[&str])] = &[
    ("orange-peel", "square", "8in", &[]),
    ("orange-peel", "half-square", "8in", &[]),
    ("orange-peel", "corners", "0in,0in; 8 1/8in,1/4in; 7 1/2in,7 3/4in; -1/2in,8in", &[]),
    ("cross-hatch", "hexagon", "4in", &["lines=2"]),
    ("feather-wreath", "square", "8in", &[]),
    ("feather-vine", "strip", "5in,30in", &[]),
    ("meander", "corners", "0in,0in; 8in,0in; 8in,8in; 4in,8in; 4in,4in; 0in,4in", &[]),
];

/// Motif, shape, its words, the background and its settings.
const FILLED: &[(&str, &str, &str, &str, &[&str])] =
    &[("feather-wreath", "square", "8in", "cross-hatch", &["spacing=1/2in"])];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("output/gallery")
}

/// Compares with the golden folder; what differs is written with UPDATE=1.
fn golden(name: &str, bytes: &[u8]) -> Result<(), String> {
    if is_same(name, bytes) {
        return Ok(());
    }
    if std::env::var_os("UPDATE").is_some() {
        fs::create_dir_all(folder()).unwrap();
        fs::write(folder().join(name), bytes).unwrap();
        return Err(format!("{name} is rewritten; look at it"));
    }
    Err(format!("{name} differs; look at it, and run with UPDATE=1 if it is better"))
}

fn is_same(name: &str, bytes: &[u8]) -> bool {
    fs::read(folder().join(name)).is_ok_and(|is| is == bytes)
}

fn known(name: &str, asked: &[&str]) -> (Motif, Settings) {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, name).unwrap().clone();
    let asked: Vec<String> = asked.iter().map(|s| (*s).to_owned()).collect();
    let settings = settings::resolve(name, &motif.settings, &asked).unwrap();
    (motif, settings)
}

fn order(motif: &str, shape: &Shape, asked: &[&str]) -> Order {
    let (motif, settings) = known(motif, asked);
    Order::new(
        &format!("{}-{}", motif.name, shape.name()),
        thrice::block::outline(shape, 6.35).unwrap(),
        Design::Motif(Box::new(motif), settings),
    )
}

#[test]
fn the_gallery_is_what_the_program_makes() {
    let mut wrong = Vec::new();
    let looks = Looks { extras: vec![Extra::Png], width_px: 900, ..Looks::default() };
    let shape = |key, value| Shape::from_words(key, value).unwrap();
    let plain = PIECES.iter().map(|(motif, key, value, asked)| order(motif, &shape(key, value), asked));
    let filled = FILLED.iter().map(|(motif, key, value, by, asked)| {
        let mut order = order(motif, &shape(key, value), &[]);
        let (by, settings) = known(by, asked);
        order.name = format!("{motif}-on-{}-{}", by.name, order.block.shape.name());
        order.background = Some(Background::new(&by, settings).unwrap());
        order
    });
    for order in plain.chain(filled) {
        let name = order.name.clone();
        let (_, files) = thrice::make(order, &[Format::Dst], &looks).unwrap();
        for file in files.iter().filter(|f| [".svg", ".png", ".dst"].contains(&f.ending.as_str())) {
            wrong.extend(golden(&format!("{name}{}", file.ending), &file.bytes).err());
        }
    }
    let sheet = sampler::draw(&library::read_all(&[]).unwrap()).unwrap();
    wrong.extend(golden("sampler.png", &thrice::views::png::write(&sheet, 2200).unwrap()).err());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_demo_quilt_is_what_the_program_makes() {
    let motifs = library::read_all(&[]).unwrap();
    let demo = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/top/demo.toml")).unwrap();
    let quilt = file::read(&demo, &motifs, &["dst", "exp"]).unwrap();
    let work = thrice::top::work(&quilt, &|_, _| {}).unwrap();
    let files =
        thrice::write_quilt(&work, &[Format::Dst], Paper::Letter, thrice::Besides::default()).unwrap();
    let mut wrong = Vec::new();
    for (name, bytes) in files.iter().filter(|(name, _)| name.starts_with("map.")) {
        wrong.extend(golden(&format!("demo-{name}"), bytes).err());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_change_is_noticed() {
    let name = "orange-peel-square-8in.svg";
    let mut bytes = fs::read(folder().join(name)).unwrap();
    assert!(is_same(name, &bytes));
    let last = bytes.len() - 1;
    bytes[last] ^= 1;
    assert!(!is_same(name, &bytes));
    assert!(!is_same("no-such-file.svg", &bytes));
}
