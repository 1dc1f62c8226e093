//! Twelve quilts that need the whole of a quilt file: each is read, covered without overlap, and quilted everywhere.

use std::fs;
use std::path::{Path, PathBuf};

use thrice::base::chain;
use thrice::drawing::library;
use thrice::top::file::{self, Quilt, Sources};
use thrice::top::layout::Layout;
use thrice::top::{checks, laying};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/quilt/twelve")
}

fn read(name: &str) -> Quilt {
    let motifs = library::read_all(&[]).unwrap();
    let drawing = |name: &str| fs::read_to_string(folder().join(name)).map_err(|e| e.to_string());
    let design = |_: &str| Err("there is none".to_owned());
    let sources = Sources { motifs: &motifs, formats: &["dst"], drawing: &drawing, design: &design };
    let text = fs::read_to_string(folder().join(format!("{name}.toml"))).unwrap();
    let told = |problems: Vec<_>| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n");
    file::read_with(&text, &sources).map_err(told).unwrap_or_else(|told| panic!("{name}: {told}"))
}

fn laid(name: &str) -> Layout {
    let quilt = read(name);
    let mut layout = laying::lay(&quilt).unwrap_or_else(|error| panic!("{name}: {error}"));
    let notes = checks::notes(&quilt, &layout);
    layout.notes.extend(notes);
    layout
}

/// How many motifs each quilt has.
const TWELVE: [(&str, usize); 12] = [
    ("hexagons", 2),
    ("medallion", 4),
    ("nine-shirts", 3),
    ("checkerboard-of-three", 4),
    ("whole-cloth-in-three", 3),
    ("rows-of-many-sizes", 3),
    ("rectangles-on-point", 2),
    ("sampler-of-nine", 12),
    ("unequal-borders", 3),
    ("outwards-and-mirrored", 3),
    ("her-own-lines", 2),
    ("a-family-with-one-odd-block", 6),
];

#[test]
fn twelve_tops_are_read_covered_and_quilted_everywhere() {
    for (name, motifs) in TWELVE {
        let layout = laid(name);
        let designs = layout.designs.iter().map(|d| d.chosen.motif.name.as_str());
        let mut named: Vec<&str> =
            designs.chain(layout.rings.iter().map(|r| r.chosen.motif.name.as_str())).collect();
        named.sort_unstable();
        named.dedup();
        assert_eq!(named.len(), motifs, "{name}: {named:?}");
        let bare =
            layout.notes.iter().find(|n| n.text.starts_with("Not quilted") && !n.text.contains("half posts"));
        assert_eq!(bare, None, "{name}");
        let patches: f64 = layout.patches.iter().map(|p| chain::signed_area(&p.outline).abs()).sum();
        let whole = layout.size.0 * layout.size.1;
        assert!(patches > 0.6 * whole && patches < 1.15 * whole, "{name}: {patches} of {whole} mm²");
    }
}
