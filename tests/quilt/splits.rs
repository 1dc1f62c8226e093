//! Pieces larger than every hoop: nothing lost, nothing sewn twice, the fewest hoopings.
//!
//! Ten covers are written to `quilt_cover.json` in cargo's folder for test files, where `tests/outside/quilt_cover.py` solves
//! them anew; the counts that it found stand here.

use std::collections::BTreeSet;

use kurbo::{Point, Size};
use serde_json::json;
use thrice::stitches::Stitches;
use thrice::stitches::grid::cells;
use thrice::survey::hoop::Hoop;
use thrice::top::cover::cover;
use thrice::top::sewing::Made;
use thrice::top::split::{self, fields};
use thrice::top::{Work, work};

use super::quilt;

type Cell = (i64, i64);

fn cell(p: Point) -> Cell {
    (cells(p.x), cells(p.y))
}

/// Every stitch once, whichever way it is sewn.
fn sewn(stitches: &Stitches) -> BTreeSet<(Cell, Cell)> {
    let bodies = stitches.pieces.iter().flat_map(|run| run.body().windows(2));
    bodies.map(|w| (cell(w[0]).min(cell(w[1])), cell(w[0]).max(cell(w[1])))).collect()
}

fn one(motif: &str, block: &str, hoops: &str) -> Work {
    let text = format!(
        "title = \"Test\"\n[machine]\nhoops = [{hoops}]\n[stitch]\ntravel = false\n[top]\nsetting = \"straight\"\nrows = 1\n\
         columns = 1\nblock = \"{block}\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"{motif}\"\nmargin = \"1/4in\"\n"
    );
    work(&super::read(&text).unwrap(), &|_, _| {}).unwrap()
}

fn check(made: &Made, what: &str) {
    let split = made.split.as_ref().unwrap();
    assert_eq!(split.parts.len(), made.sewn.len());
    let drawn: f64 = split.parts.iter().map(|p| p.piece.route.drawn_mm).sum();
    let whole = made.whole.route.drawn_mm;
    // Cuts are at needle holes, which lie on their line to the machine's step.
    assert!((drawn - whole).abs() < 0.001 * whole, "{what}: {drawn} mm in parts, {whole} mm as a whole");
    let mut seen: BTreeSet<(Cell, Cell)> = BTreeSet::new();
    for part in &split.parts {
        for stitch in sewn(&part.piece.stitches) {
            assert!(seen.insert(stitch), "{what}: {stitch:?} is sewn in two hoopings");
        }
    }
    // Every hole of a join is a needle hole of at least two hoopings.
    let holes: Vec<BTreeSet<Cell>> =
        split.parts.iter().map(|p| p.piece.stitches.points().map(cell).collect()).collect();
    let mut joins = 0;
    for part in &split.parts {
        assert!(!part.joins.is_empty(), "{what}");
        for join in &part.joins {
            let sharing = holes.iter().filter(|h| h.contains(&cell(*join))).count();
            assert!(sharing >= 2, "{what}: {join} is a hole of {sharing} hoopings");
            joins += 1;
        }
    }
    assert!(joins >= 2, "{what}");
    for one in &made.sewn {
        assert!(one.piece.survey.fit.unwrap().fits, "{what}");
    }
}

#[test]
fn a_large_block_is_sewn_in_parts_that_lose_nothing() {
    for (motif, block, hoops) in [
        ("cross-hatch", "12in", "\"200 x 200 mm\""),
        ("orange-peel", "14in", "\"200 x 300 mm\""),
        ("orange-peel", "16in,11in", "\"200 x 200 mm\", \"130 x 300 mm\""),
    ] {
        let work = one(motif, block, hoops);
        let parts = work.made[0].sewn.len();
        assert!(parts > 1, "{motif} {block}");
        check(&work.made[0], &format!("{motif} {block}"));
        assert_eq!(work.hoopings.len(), parts);
    }
}

/// A case's name, its boxes, the fields, and the fewest windows that the outside judge found.
fn cases() -> Vec<(String, Vec<kurbo::Rect>, Vec<Size>, usize)> {
    let hoop = |w: f64, h: f64| Hoop { width_mm: w, height_mm: h, in_inches: false };
    let (square, oblong) = (hoop(200.0, 200.0), hoop(200.0, 300.0));
    let list = [
        ("cross-hatch", "12in", vec![square], 4),
        ("cross-hatch", "15in", vec![square], 4),
        ("cross-hatch", "12in", vec![oblong], 2),
        ("cross-hatch", "16in,20in", vec![square], 6),
        ("cross-hatch", "16in,20in", vec![square, oblong], 4),
        ("orange-peel", "12in", vec![square], 4),
        ("orange-peel", "16in", vec![square], 4),
        ("orange-peel", "18in", vec![oblong], 5),
        ("orange-peel", "10in,30in", vec![square], 8),
        ("orange-peel", "10in,30in", vec![hoop(130.0, 300.0), square], 6),
    ];
    list.into_iter()
        .map(|(motif, block, hoops, least)| {
            let work = one(motif, block, "\"1000 x 1000 mm\"");
            let split = split::split(&work.made[0].whole, &hoops).unwrap();
            (format!("{motif} {block} {}", hoops.len()), split.boxes, fields(&hoops), least)
        })
        .collect()
}

#[test]
fn the_number_of_hoopings_is_the_least_there_is() {
    let mut told = Vec::new();
    let mut wrong = Vec::new();
    for (name, boxes, fields, least) in cases() {
        let cover = cover(&boxes, &fields).unwrap();
        if cover.windows.len() != least || !cover.exact {
            wrong.push(format!(
                "{name}: {} windows, exact {}, least {least}",
                cover.windows.len(),
                cover.exact
            ));
        }
        told.push(json!({
            "name": name,
            "boxes": boxes.iter().map(|b| [b.x0, b.y0, b.x1, b.y1]).collect::<Vec<_>>(),
            "fields": fields.iter().map(|f| [f.width, f.height]).collect::<Vec<_>>(),
            "windows": cover.windows.len(),
            "exact": cover.exact,
        }));
    }
    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("quilt_cover.json");
    std::fs::write(file, serde_json::to_vec(&told).unwrap()).unwrap();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_long_side_that_does_not_repeat_is_split_as_well() {
    let text = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 3\nblock = \"8in\"\n[[border]]\nwidth = \"4in\"\n\
                motif = \"cross-hatch\"\ncorner = \"mitre\"\n";
    let work = work(&quilt(text), &|_, _| {}).unwrap();
    assert_eq!(work.made.len(), 2);
    for made in &work.made {
        check(made, "a mitred side");
    }
}
