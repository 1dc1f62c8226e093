//! What is looked at: the relief of a block and of the demo quilt, and every motif in one block to choose from.
//!
//! Aimed at on two cores: 0.5 s for a block of 1,600 pixels, 4 s for the demo quilt, 3 s for every motif.

use divan::Bencher;
use thrice::base::units::Units;
use thrice::block::shape::Shape;
use thrice::drawing::motif::Motif;
use thrice::drawing::{library, settings};
use thrice::stitches::SewOptions;
use thrice::survey::Sandwich;
use thrice::tailor::{self, Design, Order, Piece};
use thrice::top::{Work, file, work};
use thrice::views::look::Cotton;
use thrice::views::paper::Paper;
use thrice::views::relief::{self, scenes};
use thrice::views::trial::make::{self, Trial, Wish};
use thrice::views::trial::{self, Heading};
use thrice::views::{pdf, png, sewn, svg};

fn main() {
    divan::main();
}

fn wreath() -> Option<Piece> {
    let motifs = library::read_all(&[]).ok()?;
    let motif = library::find(&motifs, "feather-wreath").ok()?.clone();
    let settings = settings::resolve(&motif.name, &motif.settings, &[]).ok()?;
    let block = thrice::block::outline(&Shape::Square { side: 203.2 }, 6.35).ok()?;
    tailor::make(Order::new("wreath", block, Design::Motif(Box::new(motif), settings))).ok()
}

/// The picture with its file, at this many pixels.
#[divan::bench(args = [400, 1600])]
fn relief_of_a_block(bencher: Bencher, width_px: u32) {
    let Some(piece) = wreath() else { return };
    let picture = sewn::picture(&sewn::of_piece(&piece));
    bencher.bench(|| {
        let scene = scenes::block(&picture, &scenes::Stuff::default());
        relief::draw(&scene, width_px).and_then(|pixels| pixels.png()).map(|bytes| bytes.len())
    });
}

/// The whole demo quilt as quilted cloth, 3,000 pixels wide, with its file; making the quilt is not counted.
#[divan::bench(sample_count = 3)]
fn relief_of_the_demo_quilt(bencher: Bencher) {
    let Some(work) = demo() else { return };
    bencher.bench(|| {
        let scene = scenes::quilt(&work);
        relief::draw(&scene, 3000).and_then(|pixels| pixels.png()).map(|bytes| bytes.len())
    });
}

fn demo() -> Option<Work> {
    let motifs = library::read_all(&[]).ok()?;
    let quilt = file::read(include_str!("../../src/top/demo.toml"), &motifs, &["dst", "exp"]).ok()?;
    work(&quilt, &|_, _| {}).ok()
}

/// Every motif that suits an odd block, made and drawn, with all three files.
#[divan::bench(sample_count = 3)]
fn every_motif_in_an_odd_block(bencher: Bencher) {
    let Some((trial, wishes)) = every_motif() else { return };
    bencher.bench(|| {
        let cells = make::all(&trial, &wishes);
        let screen = trial::screen(&heading(), &cells);
        let (png, (svg, pdf)) = rayon::join(
            || png::write(&screen, 2400).map_or(0, |bytes| bytes.len()),
            || {
                rayon::join(
                    || svg::write(&screen).len(),
                    || pdf::write("t", &trial::pages(&heading(), &cells, Paper::Letter)).len(),
                )
            },
        );
        png + svg + pdf
    });
}

fn every_motif() -> Option<(Trial, Vec<Wish>)> {
    let corners = "0in,0in; 8 1/8in,1/4in; 7 1/2in,7 3/4in; -1/2in,8in";
    let block = thrice::block::outline(&Shape::from_words("corners", corners).ok()?, 6.35).ok()?;
    let motifs = library::read_all(&[]).ok()?;
    let wish = |motif: &Motif| {
        let settings = settings::resolve(&motif.name, &motif.settings, &[]).ok()?;
        Some(Wish { title: motif.title.clone(), motif: motif.clone(), settings, background: None })
    };
    let wishes = motifs.iter().filter(|m| m.suits(block.shape.suit())).filter_map(wish).collect();
    let trial = Trial {
        block,
        sew: SewOptions::default(),
        sandwich: Sandwich::default(),
        travel: true,
        stuff: scenes::Stuff::default(),
        units: Units::Inches,
    };
    Some((trial, wishes))
}

fn heading() -> Heading {
    Heading {
        title: "To choose from".into(),
        subtitle: "for your block".into(),
        batting: "cotton with scrim".into(),
        gap_limit_mm: 200.0,
        units: Units::Inches,
        cotton: Cotton::default(),
    }
}
