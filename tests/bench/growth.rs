//! What is asked for at its largest: how the time grows with it, and how soon too much is refused.
//!
//! `cargo bench --bench growth`. Each refusal is measured as well: it has to come before the work.

use std::borrow::Cow;

use divan::Bencher;
use kurbo::Point;
use oorandom::Rand64;
use thrice::base::units::Units;
use thrice::block::shape::Shape;
use thrice::drawing::{library, settings};
use thrice::stitches::{Run, Stitches};
use thrice::survey::{Sandwich, verdict};
use thrice::tailor::{Design, Order};
use thrice::top::file;
use thrice::views::heat;
use thrice::views::sewn::{Looks, Sewn, files};
use thrice::wire::Format;

fn main() {
    divan::main();
}

/// A machine file with stitches up to 4 mm in all directions, on a square that grows with their number: 200 mm for 100,000.
fn random_stitches(count: usize) -> Vec<u8> {
    let mut dice = Rand64::new(1);
    let half = (1000.0 * (count as f64 / 100_000.0).sqrt()) as i64;
    let (mut x, mut y, mut bytes) = (0_i64, 0_i64, Vec::with_capacity(2 * count));
    while bytes.len() < 2 * count {
        let (dx, dy) = (dice.rand_range(0..81) as i64 - 40, dice.rand_range(0..81) as i64 - 40);
        if (x + dx).abs() < half && (y + dy).abs() < half {
            (x, y) = (x + dx, y + dy);
            bytes.extend([dx, dy].map(|d| d.to_le_bytes()[0]));
        }
    }
    bytes
}

/// 100,000 stitches: columns of satin, a fill, a scribble, a triple line in rows; as a machine file.
fn hundred_thousand(design: &str) -> Vec<u8> {
    let turned = |row: i32, along: f64, length: f64| if row % 2 == 0 { along } else { length - along };
    let satin = |i: i32| {
        let (column, k) = (i / 1000, i % 1000);
        let side = if k % 2 == 0 { 0.0 } else { 4.0 };
        Point::new(5.0 * f64::from(column) + side, turned(column, 0.2 * f64::from(k), 199.8))
    };
    let fill = |i: i32| {
        let (row, k) = (i / 100, i % 100);
        Point::new(turned(row, 4.0 * f64::from(k), 396.0) + f64::from(row % 3), 0.4 * f64::from(row))
    };
    let triple = |i: i32| {
        let hole = i / 3 + i % 3 % 2;
        let (row, k) = (hole / 196, hole % 196);
        Point::new(turned(row, 2.0 * f64::from(k), 390.0), 3.0 * f64::from(row))
    };
    let points: Vec<Point> = match design {
        "satin" => (0..100_000).map(satin).collect(),
        "fill" => (0..100_000).map(fill).collect(),
        "triple" => (0..100_000).map(triple).collect(),
        _ => return random_stitches(100_000),
    };
    Format::Exp.write(&Stitches::new(vec![Run::from_points(points)]), design).unwrap_or_default()
}

/// As `check` does it: read, surveyed, judged.
#[divan::bench(args = ["satin", "fill", "random", "triple"], max_time = 10)]
fn a_hundred_thousand_stitches_are_checked(bencher: Bencher, design: &str) {
    let bytes = hundred_thousand(design);
    bencher.bench(|| {
        let stitches = Format::Exp.read(&bytes).ok()?.stitches;
        let (sandwich, moves) = (Sandwich::default(), verdict::Moves::default());
        verdict::judge(&stitches, None, &sandwich, moves, Units::Inches).ok()
    });
}

/// As `draw` does it: read, surveyed, judged, preview and template, which is left out where it takes too many pages. The last is
/// refused.
#[divan::bench(args = [20_000, 100_000, 300_000, 500_000], max_time = 10)]
fn a_machine_file_is_drawn(bencher: Bencher, count: usize) {
    let bytes = random_stitches(count);
    bencher.bench(|| {
        let stitches = Format::Exp.read(&bytes).ok()?.stitches;
        let sandwich = Sandwich::default();
        let moves = verdict::Moves::default();
        let (survey, verdict) = verdict::judge(&stitches, None, &sandwich, moves, Units::Inches).ok()?;
        let sewn = Sewn {
            title: "random",
            motif: String::new(),
            block: None,
            stitches: Cow::Borrowed(&stitches),
            turned: false,
            survey: &survey,
            sandwich: &sandwich,
            lines: None,
            warnings: verdict.findings.into_iter().map(|f| f.sentence).collect(),
            units: Units::Inches,
        };
        files(&sewn, &Looks::default()).ok()
    });
}

/// A wavy round of so many corners, 200 mm across, filled with rings. The last is refused.
#[divan::bench(args = [500, 1000, 2000, 5000], max_time = 10)]
fn an_echo_of_many_corners(bencher: Bencher, count: u32) {
    let mut dice = Rand64::new(u128::from(count));
    let corner = |i: u32| {
        let angle = f64::from(i) / f64::from(count) * std::f64::consts::TAU;
        let radius = 100.0 + 5.0 * (37.0 * angle).sin() + 0.2 * (dice.rand_float() - 0.5);
        format!("{:.2}mm,{:.2}mm", radius * angle.cos(), radius * angle.sin())
    };
    let corners = (0..count).map(corner).collect::<Vec<_>>().join("; ");
    let motifs = library::read_all(&[]).unwrap_or_default();
    let motif = library::find(&motifs, "echo").expect("it is built in");
    let settings = settings::resolve("echo", &motif.settings, &[]).expect("its defaults are right");
    bencher.bench(|| {
        let shape = Shape::from_words("corners", &corners).ok()?;
        let block = thrice::block::outline(&shape, 6.35).ok()?;
        let design = Design::Motif(Box::new(motif.clone()), settings.clone());
        thrice::make(Order::new("echo", block, design), &[Format::Dst], &Looks::default()).ok()
    });
}

/// A margin that leaves nothing of a circle is told from distances.
#[divan::bench]
fn a_margin_that_leaves_nothing() -> bool {
    thrice::block::outline(&Shape::Circle { diameter: 127.0 }, 76.2).is_err()
}

/// A quilt file with so many formats. The last is refused.
#[divan::bench(args = [1, 40_000])]
fn a_quilt_file_of_many_formats(bencher: Bencher, count: usize) {
    let formats = vec!["\"dst\""; count].join(",");
    let text = format!(
        "title = \"Bench\"\n[machine]\nhoops = [\"200 x 300 mm\"]\nformats = [{formats}]\n[top]\nsetting = \"straight\"\n\
         rows = 1\ncolumns = 1\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"grid\"\n"
    );
    let motifs = library::read_all(&[]).unwrap_or_default();
    bencher.bench(|| file::read(&text, &motifs, &["dst"]).is_ok());
}

/// The gap map of one diagonal, mm.
#[divan::bench(args = [200, 1000, 4000])]
fn a_gap_map_of_a_diagonal(bencher: Bencher, length: u32) {
    let steps = length / 5;
    let points = (0..=steps).map(|i| Point::new(1.0, 1.0).to_vec2() * (f64::from(i) * 5.0 / 2_f64.sqrt()));
    let run = Run::from_points(points.map(kurbo::Vec2::to_point).collect());
    let stitches = Stitches::new(vec![run]);
    bencher.bench(|| heat::gaps(&stitches, None, 50.8));
}
