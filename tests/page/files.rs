//! What the page hands out is what the command writes, byte for byte.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Cursor, Read};
use std::process::Command;

use serde_json::{Value, json};

use crate::asked::{Answer, Page};

const KETTLE: &str = r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" fill="none" stroke="black"><path d="M10 50 C10 0 90 0 90 50 C90 100 10 100 10 50 Z"/><path d="M90 50 L10 50"/></svg>"#;

/// The files of a zip by their names.
pub fn unzipped(answer: &Answer) -> BTreeMap<String, Vec<u8>> {
    assert_eq!(answer.status, 200, "{}", String::from_utf8_lossy(&answer.body));
    let mut zip = zip::ZipArchive::new(Cursor::new(&answer.body)).unwrap();
    let mut files = BTreeMap::new();
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).unwrap();
        let name = file.name().unwrap().into_owned();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        files.insert(name, bytes);
    }
    files
}

/// What the command writes with these words, by the names of the files.
pub fn written(words: &[&str]) -> BTreeMap<String, Vec<u8>> {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kettle.svg"), KETTLE).unwrap();
    fs::write(folder.path().join("top.svg"), KETTLE).unwrap();
    let run =
        Command::new(env!("CARGO_BIN_EXE_thrice")).args(words).current_dir(folder.path()).output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let files = fs::read_dir(folder.path().join("output")).unwrap().map(|e| e.unwrap().path());
    files.map(|p| (p.file_name().unwrap().to_str().unwrap().to_owned(), fs::read(p).unwrap())).collect()
}

#[test]
fn files_are_the_commands_own_byte_for_byte() {
    let page = Page::open();
    let odd = json!({"option": "sides", "value": "8 1/8in, 8in, 7 7/8in, 8 1/16in"});
    let tried: [(Value, &[&str]); 3] = [
        (
            json!({"design": {"motif": "feather-wreath", "shape": odd, "more": {"diagonal": "11 3/8in"},
                "settings": {"plume": "5/8in"}, "background": "cross-hatch",
                "options": {"hoop": "220x220mm", "batting": "cotton with scrim", "show-in": "mm"}}}),
            &[
                "block",
                "feather-wreath",
                "--sides",
                "8 1/8in, 8in, 7 7/8in, 8 1/16in",
                "--diagonal",
                "11 3/8in",
                "--setting",
                "plume=5/8in",
                "--background",
                "cross-hatch",
                "--hoop",
                "220x220mm",
                "--batting",
                "cotton with scrim",
                "--show-in",
                "mm",
            ],
        ),
        (
            json!({"design": {"shape": {"option": "square", "value": "15cm"}, "drawing_svg": KETTLE,
                "drawing_name": "kettle"}, "formats": ["exp", "dst"], "paper": "a4", "also": ["sewing-sheet", "lines"]}),
            &[
                "block",
                "--square",
                "15cm",
                "--drawing",
                "kettle.svg",
                "--formats",
                "exp,dst",
                "--paper",
                "a4",
                "--also",
                "sewing-sheet,lines",
            ],
        ),
        (
            json!({"design": {"motif": "grid", "outline_svg": KETTLE, "outline_name": "top.svg",
                "options": {"name": "my kettle", "no-ties": true}}}),
            &["block", "grid", "--outline", "top.svg", "--name", "my kettle", "--no-ties"],
        ),
    ];
    for (asked, words) in tried {
        let mut zipped = unzipped(&page.post("/api/files", &asked));
        let cautions = zipped.remove("read-me-first.txt").unwrap();
        assert!(String::from_utf8(cautions).unwrap().contains("Trace the design's edges"));
        let written = written(words);
        let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
        assert_eq!(names(&zipped), names(&written));
        for (name, bytes) in &written {
            assert!(*bytes == zipped[name], "{name} differs");
        }
        let dst = page.post("/api/file", &json!({"design": asked["design"], "ending": ".dst"}));
        assert!(dst.body == *written.iter().find(|(name, _)| name.ends_with(".dst")).unwrap().1);
    }
}

#[test]
fn lines_are_shown_before_anything_is_made_of_them() {
    let page = Page::open();
    let design =
        json!({"motif": "pebbles", "shape": {"option": "square", "value": "4in"}, "background": null});
    let lines = page.post("/api/draw", &json!({"design": design, "lines": true})).json();
    let drawn = page.post("/api/draw", &json!({"design": design})).json();
    let path = |svg: &Value, class: &str| {
        let svg = svg.as_str().unwrap().to_owned();
        let from = svg.find(&format!("class=\"{class}\"")).unwrap();
        svg[from..].split(" d=\"").nth(1).unwrap().split('"').next().unwrap().to_owned()
    };
    for class in ["outline", "inside", "line"] {
        assert_eq!(path(&lines["svg"], class), path(&drawn["svg"], class), "{class}");
    }
    assert!(path(&lines["svg"], "line").len() > 1000);
    assert_eq!(lines["size_mm"], json!([101.6, 101.6]));
    assert_eq!(lines["box"], drawn["box"]);
    assert!(lines.get("figures").is_none() && drawn["figures"]["minutes"].as_f64().unwrap() > 0.0);
}

#[test]
fn letters_in_a_drawing_are_told_of_on_the_page_too() {
    let page = Page::open();
    let svg = KETTLE.replace("</svg>", "<text x=\"9\" y=\"50\">cut here</text></svg>");
    let letters = "Letters are left out: \u{201c}cut here\u{201d}";
    let told = |answer: &Value| {
        let all = answer["warnings"].as_array().unwrap().iter();
        all.filter(|w| w["text"].as_str().unwrap().contains(letters)).count()
    };
    let outline = json!({"motif": "grid", "outline_svg": svg, "outline_name": "top"});
    assert_eq!(told(&page.post("/api/draw", &json!({"design": outline})).json()), 1);
    let own =
        json!({"shape": {"option": "square", "value": "4in"}, "drawing_svg": svg, "drawing_name": "mine"});
    assert_eq!(told(&page.post("/api/draw", &json!({"design": own})).json()), 1);
    let quilt = "title = \"q\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\n\
                 block = \"5in\"\n[[piece]]\nwhere = \"blocks\"\ndrawing = \"mine.svg\"\n";
    let asked = json!({"toml": quilt, "files": {"mine.svg": svg}});
    assert_eq!(told(&page.post("/api/quilt", &asked).json()), 1);
}

#[test]
fn a_drawn_design_has_the_figures_of_its_report() {
    let page = Page::open();
    let design = json!({"motif": "orange-peel", "shape": {"option": "square", "value": "6in"}});
    let drawn = page.post("/api/draw", &json!({"design": design, "holes": true})).json();
    let files = written(&["block", "orange-peel", "--square", "6in"]);
    let report = files.iter().find(|(name, _)| name.ends_with(".json")).unwrap().1;
    let report: Value = serde_json::from_slice(report).unwrap();
    assert_eq!(drawn["name"], report["name"]);
    assert_eq!(drawn["fingerprint"], report["fingerprint"]);
    assert_eq!(drawn["command"], "thrice block orange-peel --square 6in");
    assert_eq!(drawn["figures"]["stitches"], report["stitches"]["penetrations"]);
    assert_eq!(
        drawn["holes"].as_array().unwrap().len() as u64,
        report["stitches"]["penetrations"].as_u64().unwrap()
    );
    let near = |a: &Value, b: &Value| (a.as_f64().unwrap() - b.as_f64().unwrap()).abs() < 0.01;
    assert!(near(&drawn["figures"]["minutes"], &report["estimate"]["minutes"]));
    assert!(near(&drawn["figures"]["gap_mm"], &report["gap"]["widest"]));
    // A square of 6 in, 152.4 mm, and what is drawn lies within it.
    assert_eq!(drawn["size_mm"], json!([152.4, 152.4]));
    let svg = drawn["svg"].as_str().unwrap();
    for class in ["outline", "inside", "line", "gap", "start", "end"] {
        assert!(svg.contains(&format!("class=\"{class}\"")), "{class}");
    }
    assert!(drawn["holes"].as_array().unwrap().iter().all(|p| p[0].as_f64().unwrap().abs() < 76.2));
}

#[test]
fn a_design_that_does_not_fit_its_hoop_is_shown_and_not_written() {
    let page = Page::open();
    let design = json!({"motif": "grid", "shape": {"option": "square", "value": "6in"}, "options": {"hoop": "100x100mm"}});
    let drawn = page.post("/api/draw", &json!({"design": design})).json();
    let told = drawn["refused"]["error"].as_str().unwrap();
    assert!(told.contains("a field of 100 x 100 mm takes 98 x 98 mm"), "{told}");
    assert_eq!((&drawn["hoop"]["fits"], &drawn["refused"]["field"]), (&json!(false), &json!("options.hoop")));
    assert_eq!(page.post("/api/files", &json!({"design": design})).status, 422);
}

#[test]
fn machine_files_are_checked_refitted_and_aligned_as_by_the_commands() {
    use base64::Engine;
    let page = Page::open();
    let folder = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        let run = Command::new(env!("CARGO_BIN_EXE_thrice"))
            .args(words)
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        run.stdout
    };
    run(&["block", "grid", "--square", "5in", "--name", "net", "--out", "."]);
    let dst = fs::read(folder.path().join("net.dst")).unwrap();
    let report = fs::read_to_string(folder.path().join("net.json")).unwrap();
    let bytes = base64::prelude::BASE64_STANDARD.encode(&dst);
    let square = json!({"shape": {"option": "square", "value": "5in"}});

    let checked =
        page.post("/api/check", &json!({"name": "net.dst", "bytes": bytes, "design": square})).json();
    let told: Value =
        serde_json::from_slice(&run(&["check", "net.dst", "--square", "5in", "--json"])).unwrap();
    assert_eq!(checked["figures"], told);
    assert_eq!(checked["verdict"], "The design suits three layers.");
    assert!(checked["svg"].as_str().unwrap().contains("class=\"line\""));

    let asked =
        json!({"name": "net.dst", "bytes": bytes, "design": {"shape": {"option": "square", "value": "4in"}}});
    run(&["refit", "net.dst", "--square", "4in"]);
    let refitted = unzipped(&page.post("/api/refit/files", &asked));
    assert_eq!(refitted.len(), 4);
    for (name, bytes) in &refitted {
        assert!(*bytes == fs::read(folder.path().join("output").join(name)).unwrap(), "{name} differs");
    }
    assert_eq!(page.post("/api/refit", &asked).json()["name"], "net-refit-square-4in");

    let marks =
        json!([{"at": "centre", "found": "2.1mm,-1.4mm"}, {"at": "60mm,0mm", "found": "61.9mm,1.1mm"}]);
    let asked = json!({"name": "net.dst", "bytes": bytes, "report": report, "marks": marks});
    run(&["align", "net.dst", "--mark", "centre=2.1mm,-1.4mm", "--mark", "60mm,0mm=61.9mm,1.1mm"]);
    let aligned = unzipped(&page.post("/api/align/files", &asked));
    assert_eq!(aligned.len(), 3);
    for (name, bytes) in &aligned {
        assert!(*bytes == fs::read(folder.path().join("output").join(name)).unwrap(), "{name} differs");
    }
    let turned = page.post("/api/align", &asked).json();
    // Over 60 mm the two marks came out 2.5 mm apart across the line that they make.
    assert!((turned["turn_deg"].as_f64().unwrap() - 2.39).abs() < 0.05, "{}", turned["turn_deg"]);
    assert_eq!(page.post("/api/check", &json!({"name": "../net.dst", "bytes": bytes})).status, 400);
    assert!(
        page.post("/api/check", &json!({"name": "net.dst", "bytes": "AAAA"})).json()["error"].is_string()
    );
}

#[test]
fn a_quilts_files_are_the_commands_own_byte_for_byte() {
    const QUILT: &str = "title = \"Two by two\"\n[machine]\nhoops = [\"200 x 200 mm\"]\nformats = [\"dst\"]\n[top]\n\
        setting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"4in\"\n[[piece]]\nwhere = \"blocks\"\ndrawing = \"kettle.svg\"\n\
        [[border]]\nwidth = \"2in\"\nmotif = \"cable\"\n";
    let page = Page::open();
    let asked = json!({"toml": QUILT, "files": {"kettle.svg": KETTLE}});
    let shown = page.post("/api/quilt", &asked).json();
    assert_eq!(shown["map"]["size_mm"], json!([304.8, 304.8]));
    let mut zipped = unzipped(&page.post("/api/quilt/files", &asked));
    zipped.remove("read-me-first.txt").unwrap();
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("kettle.svg"), KETTLE).unwrap();
    fs::write(folder.path().join("quilt.toml"), QUILT).unwrap();
    let run = Command::new(env!("CARGO_BIN_EXE_thrice"))
        .args(["quilt", "quilt.toml"])
        .current_dir(folder.path())
        .output();
    assert!(run.unwrap().status.success());
    for (name, bytes) in &zipped {
        assert!(
            *bytes == fs::read(folder.path().join("output/two-by-two").join(name)).unwrap(),
            "{name} differs"
        );
    }
    let plan: Value = serde_json::from_slice(&zipped["plan.json"]).unwrap();
    let written: Vec<&str> =
        plan["written"].as_array().unwrap().iter().map(|name| name.as_str().unwrap()).collect();
    assert_eq!(written.len() + 1, zipped.len());
    assert_eq!(
        shown["hoopings"].as_array().unwrap().len() as u64,
        plan["totals"]["hoopings"].as_u64().unwrap()
    );
    // Every hooping's pieces lie within the quilt.
    for hooping in shown["map"]["hoopings"].as_array().unwrap() {
        for piece in hooping["pieces"].as_array().unwrap() {
            let at = &piece["matrix"];
            let within = |x: &Value| (0.0..=304.8).contains(&x.as_f64().unwrap());
            assert!(within(&at[4]) && within(&at[5]), "{at}");
            assert!(shown["map"]["drawings"][piece["drawing"].as_str().unwrap()].is_string());
        }
    }
    let stranger = page.post("/api/quilt", &json!({"toml": QUILT}));
    let told = stranger.json();
    assert_eq!(told["problems"][0]["at"], "piece.0.drawing");
    assert_eq!(
        (stranger.status, &told["field"], &told["missing"]),
        (400, &json!("line 12"), &json!(["kettle.svg"]))
    );
}
