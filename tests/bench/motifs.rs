//! Every motif of the library: drawn, and made whole, on an 8 in block (or a border or triangle, where it suits no block).
//!
//! Wanted: any motif drawn in 30 ms, a meander with lines 6 mm apart in 60 ms, on two cores.

use divan::Bencher;
use thrice::block::{self, Block, shape::Shape};
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::Settings;
use thrice::drawing::{draw, library, settings};
use thrice::tailor::{Design, Order, make};

fn main() {
    divan::main();
}

fn names() -> impl Iterator<Item = &'static str> {
    library::FILES.iter().map(|(name, _)| *name)
}

fn ready(name: &str, asked: &[String]) -> (Motif, Settings, Block) {
    let motifs = library::read_all(&[]).expect("the library is right");
    let motif = library::find(&motifs, name).expect("it is in the library").clone();
    let settings = settings::resolve(name, &motif.settings, asked).expect("the settings are right");
    let shapes = [
        Shape::Square { side: 203.2 },
        Shape::Strip { width: 127.0, length: 508.0 },
        Shape::HalfSquare { leg: 203.2 },
    ];
    let shape = shapes.into_iter().find(|s| motif.suits(s.suit())).expect("it suits one of these");
    let block = block::outline(&shape, 6.35).expect("the block is right");
    (motif, settings, block)
}

#[divan::bench(args = names())]
fn drawn(bencher: Bencher, name: &str) {
    let (motif, settings, block) = ready(name, &[]);
    bencher.bench(|| draw(&motif, &settings, &block));
}

/// Lines about 6 mm apart; a meander goes no closer than 1/4 in.
#[divan::bench(args = [("stipple", "6mm"), ("meander", "1/4in")])]
fn drawn_close(bencher: Bencher, (name, spacing): (&str, &str)) {
    let (motif, settings, block) = ready(name, &[format!("spacing={spacing}")]);
    bencher.bench(|| draw(&motif, &settings, &block));
}

#[divan::bench(args = names())]
fn made(bencher: Bencher, name: &str) {
    let (motif, settings, block) = ready(name, &[]);
    let order = Order::new(name, block, Design::Motif(Box::new(motif), settings));
    bencher.with_inputs(|| order.clone()).bench_values(make);
}

/// Ten drawings as large as a sheet, one after another: drawn, connected, walked with proof, sewn and surveyed.
///
/// Wanted: the ten in 1 s.
#[divan::bench(sample_count = 5)]
fn ten_sheets(bencher: Bencher) {
    let sheets = [
        "orange-peel",
        "cross-hatch",
        "pumpkin-seed",
        "clamshell",
        "baptist-fan",
        "grid",
        "dogwood",
        "hanging-diamonds",
        "wave",
        "echo",
    ];
    let orders: Vec<Order> = sheets
        .iter()
        .map(|name| {
            let (motif, settings, _) = ready(name, &[]);
            let block = block::outline(&Shape::Rectangle { width: 508.0, height: 711.2 }, 6.35);
            let block = block.expect("the block is right");
            Order::new(name, block, Design::Motif(Box::new(motif), settings))
        })
        .collect();
    bencher.with_inputs(|| orders.clone()).bench_values(|orders| {
        orders.into_iter().map(|order| make(order).map(|p| p.stitches.penetrations())).collect::<Vec<_>>()
    });
}
