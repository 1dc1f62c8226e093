//! Every view of every specimen: written for the measurements from the outside, and checked where a test can see it.

use std::fs;
use std::path::{Path, PathBuf};

use kurbo::{Affine, Point};
use thrice::views::layers::Heat;
use thrice::views::paper::Paper;
use thrice::views::picture::{Fact, Picture};
use thrice::views::sheet::Sheet;
use thrice::views::{cloth, moving, pdf, preview, sewing_sheet, svg, template};

#[path = "views/page.rs"]
mod page;
#[path = "views/relief.rs"]
mod relief;
#[path = "views/specimens.rs"]
mod specimens;
#[path = "views/trial.rs"]
mod trial;
#[path = "views/words.rs"]
mod words;

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("views");
    fs::create_dir_all(&folder).unwrap();
    folder
}

#[test]
fn previews_are_written() {
    for (name, picture) in specimens::all() {
        let sheet = preview::draw(&picture, &cloth::Options::default());
        let text = svg::write(&sheet);
        assert!(text.len() < 300_000, "{name}: {} bytes", text.len());
        fs::write(folder().join(format!("{name}.svg")), &text).unwrap();
        fs::write(folder().join(format!("{name}.json")), sizes(&picture)).unwrap();
    }
}

#[test]
fn the_fingerprint_stands_on_every_page_of_a_template_on_the_preview_and_on_the_sewing_sheet() {
    let mut pages_seen = Vec::new();
    for (name, mut picture) in specimens::all() {
        picture.facts.push(Fact::new("fingerprint", "K7QM-3XRA"));
        let pages = template::draw(&picture, Paper::Letter, &CAUTIONS).unwrap();
        pages_seen.push(pages.len());
        let said = sewing_sheet::Words { needs: &[], steps: sewing_sheet::STEPS, cautions: &[] };
        let others = [
            preview::draw(&picture, &cloth::Options::default()),
            sewing_sheet::draw(&picture, Paper::Letter, &said),
        ];
        for (i, sheet) in pages.iter().chain(&others).enumerate() {
            assert!(words::text(sheet).contains("K7QM-3XRA"), "{name}, sheet {i}");
            assert_eq!(words::faults(sheet), Vec::<String>::new(), "{name}, sheet {i}");
        }
    }
    assert!(pages_seen.contains(&1) && pages_seen.iter().any(|n| *n > 3), "{pages_seen:?}");
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
    let mut report = serde_json::json!({
        "centre": [picture.centre.x, picture.centre.y],
        "stitches": { "bounds": { "left": trace.x0, "right": trace.x1, "bottom": trace.y0, "top": trace.y1 } },
    });
    if !picture.outline.is_empty() {
        report["block"] = serde_json::json!({ "width": block.width(), "height": block.height() });
    }
    report.to_string()
}

#[test]
fn moving_previews_are_written() {
    for (name, picture) in specimens::all() {
        let page = moving::write(&picture, 7.5);
        assert!(page.len() < 300_000, "{name}: {} bytes", page.len());
        fs::write(folder().join(format!("{name}.html")), page).unwrap();
    }
}

fn sewing_sheet(picture: &Picture, paper: Paper) -> Sheet {
    let needs = [
        Fact::new("needle thread", "9.8 m"),
        Fact::new("bobbin thread", "8.1 m"),
        Fact::new("bobbins", "1 (9 blocks from one)"),
        Fact::new("needle", "90/14"),
        Fact::new("speed", "600 stitches a minute"),
    ];
    let cautions: [(&str, &[&str]); 3] = [
        ("Before you sew", &CAUTIONS[1..4]),
        ("While it sews", &CAUTIONS[..1]),
        (
            "With spray",
            &["Use basting spray outdoors or by an open window, away from flames and from the machine."],
        ),
    ];
    let said = sewing_sheet::Words { needs: &needs, steps: sewing_sheet::STEPS, cautions: &cautions };
    sewing_sheet::draw(picture, paper, &said)
}

#[test]
fn sewing_sheets_are_written() {
    for (name, picture) in specimens::all() {
        for (paper, which) in [(Paper::Letter, "letter"), (Paper::A4, "a4")] {
            let bytes = pdf::write(&picture.title, &[sewing_sheet(&picture, paper)]);
            fs::write(folder().join(format!("{name}-work-{which}.pdf")), bytes).unwrap();
        }
    }
}

#[test]
fn no_words_lie_on_others_or_leave_their_page() {
    for (name, picture) in specimens::all() {
        let mut sheets = vec![preview::draw(&picture, &cloth::Options::default())];
        for paper in [Paper::Letter, Paper::A4] {
            sheets.push(sewing_sheet(&picture, paper));
            sheets.extend(template::draw(&picture, paper, &CAUTIONS).unwrap());
        }
        for sheet in &sheets {
            assert_eq!(
                words::faults(sheet),
                Vec::<String>::new(),
                "{name}: {}, {}",
                sheet.title,
                sheet.description
            );
        }
    }
}

#[test]
fn an_eight_inch_block_takes_one_letter_page_and_every_page_has_bars() {
    let (_, peel) = specimens::all().remove(0);
    assert_eq!(template::draw(&peel, Paper::Letter, &CAUTIONS).unwrap().len(), 1);
    for page in template::draw(&peel, Paper::A4, &CAUTIONS).unwrap() {
        let text = words::text(&page);
        assert!(text.contains("4 in") && text.contains("100 mm") && text.contains("actual size"), "{text}");
    }
}

#[test]
fn cautions_and_names_are_on_the_first_page() {
    for (name, picture) in specimens::all() {
        let first = template::draw(&picture, Paper::A4, &CAUTIONS).unwrap().remove(0);
        let text = words::text(&first).replace('\n', " ");
        for caution in CAUTIONS {
            assert!(text.contains(caution), "{name}: `{caution}` is missing from {text}");
        }
        assert!(text.contains(&picture.title[..20.min(picture.title.len())]), "{name}: {text}");
    }
}

#[test]
fn a_sewing_sheet_has_every_step() {
    for (_, picture) in specimens::all() {
        let text = words::text(&sewing_sheet(&picture, Paper::Letter)).replace('\n', " ");
        for step in sewing_sheet::STEPS.iter().flat_map(|(_, steps)| *steps) {
            assert!(text.contains(step), "`{step}` is missing from {text}");
        }
    }
}

#[test]
fn a_template_for_a_whole_floor_is_refused() {
    let (_, mut picture) = specimens::all().remove(0);
    picture.outline = vec![Affine::scale(50.0) * picture.outline[0].clone()];
    let refused = template::draw(&picture, Paper::Letter, &[]).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "No template: at true size it would take 2333 pages, more than 100. A smaller piece has one, and so has every hooping of a quilt file (`thrice quilt`)."
    );
}

#[test]
fn words_of_a_template_in_several_pages() {
    let (_, picture) = specimens::all().into_iter().find(|s| s.0 == "large-16in").unwrap();
    let pages = template::draw(&picture, Paper::Letter, &CAUTIONS).unwrap();
    let text: Vec<String> = pages.iter().take(2).map(words::text).collect();
    insta::assert_snapshot!(text.join("\n--- next page\n"));
}

#[test]
fn nothing_sewn_and_nothing_known_still_gives_sheets() {
    let empty =
        Picture { runs: Vec::new(), outline: Vec::new(), inside: Vec::new(), ..specimens::all().remove(0).1 };
    let preview = preview::draw(&empty, &cloth::Options::default());
    assert!(preview.width.is_finite() && preview.height.is_finite());
    assert!(!svg::write(&preview).contains("NaN") && !svg::write(&preview).contains("inf"));
    assert_eq!(template::draw(&empty, Paper::A4, &[]).unwrap().len(), 1);
    assert!(moving::write(&empty, 0.0).contains("\"runs\":[]"));
}

#[test]
fn layers_are_written() {
    for (name, picture) in specimens::all() {
        let cells: Vec<(Point, f64)> = (0..=50)
            .flat_map(|i| {
                (0..=50).map(move |j| Point::new(f64::from(i) * 4.0 - 100.0, f64::from(j) * 4.0 - 100.0))
            })
            .map(|p| (p, 12.0 * (-(p.x - 30.0).powi(2) / 3000.0 - p.y.powi(2) / 5000.0).exp()))
            .collect();
        let heat = Heat { label: "needle holes in 1 mm".into(), top: 12.0, cell_mm: 4.0, cells };
        let order = cloth::Options {
            order: true,
            holes: true,
            gap: Some((Point::new(-20.0, 22.0), 41.3)),
            ..cloth::Options::default()
        };
        let heat = cloth::Options { heat: Some(heat), ..cloth::Options::default() };
        for (layer, options) in [("order", order), ("heat", heat)] {
            let text = svg::write(&preview::draw(&picture, &options));
            assert!(text.len() < 300_000, "{name} {layer}: {} bytes", text.len());
            fs::write(folder().join(format!("layers-{name}-{layer}.svg")), text).unwrap();
        }
    }
}
