//! Every view of every specimen: written for the measurements from the outside, and checked where a test can see it.

use std::fs;
use std::path::{Path, PathBuf};

use thrice::views::paper::Paper;
use thrice::views::picture::{Fact, Picture};
use thrice::views::{moving, pdf, png, preview, svg, template, work_sheet};

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
        fs::write(folder().join(format!("{name}.json")), sizes(&picture)).unwrap();
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
            let file = format!("{name}-{which}");
            fs::write(folder().join(format!("{file}.pdf")), bytes).unwrap();
            fs::write(folder().join(format!("{file}.json")), sizes(&picture)).unwrap();
        }
    }
}

/// What a report says of sizes, for the measurements to compare with.
fn sizes(picture: &Picture) -> String {
    let (block, trace) = (picture.bounds(), picture.trace());
    serde_json::json!({
        "block": { "width": block.width(), "height": block.height() },
        "centre": [picture.centre.x, picture.centre.y],
        "stitches": { "bounds": { "left": trace.x0, "right": trace.x1, "bottom": trace.y0, "top": trace.y1 } },
    })
    .to_string()
}

#[test]
fn moving_previews_are_written() {
    for (name, picture) in specimens::all() {
        let page = moving::write(&picture, 600);
        assert!(page.len() < 300_000, "{name}: {} bytes", page.len());
        fs::write(folder().join(format!("{name}.html")), page).unwrap();
    }
}

#[test]
fn work_sheets_are_written_on_one_page() {
    let needs = [
        Fact::new("needle thread", "9.8 m"),
        Fact::new("bobbin thread", "8.1 m"),
        Fact::new("bobbins", "1 (9 blocks from one)"),
        Fact::new("needle", "90/14"),
        Fact::new("speed", "600 stitches a minute"),
    ];
    let cautions: [(&str, &[&str]); 3] = [
        ("Before", &CAUTIONS[1..4]),
        ("While it sews", &CAUTIONS[..1]),
        (
            "With spray",
            &["Use basting spray outdoors or by an open window, away from flames and from the machine."],
        ),
    ];
    let words = work_sheet::Words { needs: &needs, steps: work_sheet::STEPS, cautions: &cautions };
    for (name, picture) in specimens::all() {
        for (paper, which) in [(Paper::Letter, "letter"), (Paper::A4, "a4")] {
            let sheet = work_sheet::draw(&picture, paper, &words);
            let bytes = pdf::write(&picture.title, &[sheet]);
            fs::write(folder().join(format!("{name}-work-{which}.pdf")), bytes).unwrap();
        }
    }
}
