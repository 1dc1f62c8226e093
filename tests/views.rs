//! Every view of every specimen: written for the measurements from the outside, and checked where a test can see it.

use std::fs;
use std::path::{Path, PathBuf};

use thrice::views::paper::Paper;
use thrice::views::{pdf, png, preview, svg, template};

#[path = "views/specimens.rs"]
mod specimens;

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("views");
    fs::create_dir_all(&folder).unwrap();
    folder
}

#[test]
fn previews_are_written() {
    for (name, picture) in specimens::all() {
        let sheet = preview::draw(&picture, &preview::Options::default());
        let text = svg::write(&sheet);
        assert!(text.len() < 300_000, "{name}: {} bytes", text.len());
        fs::write(folder().join(format!("{name}.svg")), &text).unwrap();
        fs::write(folder().join(format!("{name}.png")), png::write(&sheet, 1600).unwrap()).unwrap();
    }
}

const CAUTIONS: [&str; 5] = [
    "Keep hands and hair clear of the needle, and stay at the machine.",
    "Trace the box before you sew: a needle that meets the hoop breaks.",
    "Support the quilt so that its weight does not drag on the hoop.",
    "Put in a fresh needle of the right size, and try on a sample of the same layers first.",
    "The machine's manual and the batting's label overrule this sheet.",
];

#[test]
fn templates_are_written() {
    for (name, picture) in specimens::all() {
        for (paper, which) in [(Paper::Letter, "letter"), (Paper::A4, "a4")] {
            let pages = template::draw(&picture, paper, &CAUTIONS).unwrap();
            let bytes = pdf::write(&picture.title, &pages);
            assert_eq!(
                bytes,
                pdf::write(&picture.title, &template::draw(&picture, paper, &CAUTIONS).unwrap())
            );
            fs::write(folder().join(format!("{name}-{which}.pdf")), bytes).unwrap();
        }
    }
}
