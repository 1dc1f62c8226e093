//! What is looked at: the relief of a block and of the demo quilt.

use divan::Bencher;
use thrice::block::shape::Shape;
use thrice::drawing::{library, settings};
use thrice::tailor::{Design, Order, Piece, make};
use thrice::views::relief::{self, scenes};
use thrice::views::sewn;

fn main() {
    divan::main();
}

fn wreath() -> Option<Piece> {
    let motifs = library::read_all(&[]).ok()?;
    let motif = library::find(&motifs, "feather-wreath").ok()?.clone();
    let settings = settings::resolve(&motif.name, &motif.settings, &[]).ok()?;
    let block = thrice::block::outline(&Shape::Square { side: 203.2 }, 6.35).ok()?;
    make(Order::new("wreath", block, Design::Motif(Box::new(motif), settings))).ok()
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
