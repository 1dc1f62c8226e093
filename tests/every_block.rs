//! Every motif on every one of seventeen blocks that it suits, sewn at its defaults: what is promised of it holds.
//!
//! Each machine file is also left for a reader in Python that shares nothing with the crate: `tests/outside/every_block.py`.

#[path = "support/kept.rs"]
#[expect(dead_code, reason = "judges for other tests as well")]
mod kept;

use std::fs;
use std::path::{Path, PathBuf};

use rayon::prelude::*;
use thrice::block::outline;
use thrice::block::shape::Shape;
use thrice::drawing::motif::Motif;
use thrice::drawing::{DrawError, library, settings};
use thrice::tailor::{Design, Order, Piece, PieceError, make};
use thrice::wire::Format;

/// Kept clear inside the seam, mm: a quarter of an inch.
const MARGIN_MM: f64 = 6.35;

/// Seventeen blocks: a name, and the words for the shape.
const BLOCKS: [(&str, &str, &str); 16] = [
    ("square-4", "square", "4in"),
    ("square-8", "square", "8in"),
    ("square-12", "square", "12in"),
    ("rectangle", "rectangle", "6in,9in"),
    ("half-square", "half-square", "8in"),
    ("quarter-square", "quarter-square", "11in"),
    ("equilateral", "equilateral", "8in"),
    ("diamond", "diamond", "6in,60"),
    ("hexagon", "hexagon", "4in"),
    ("octagon", "octagon", "8in"),
    ("circle", "circle", "7in"),
    ("kite", "corners", "0in,-5in; 4in,1in; 0in,4in; -4in,1in"),
    ("pentagon", "corners", "0in,0in; 7in,0in; 9in,6in; 3 1/2in,10in; -2in,6in"),
    ("ell", "corners", "0in,0in; 9in,0in; 9in,4in; 4in,4in; 4in,8in; 0in,8in"),
    ("strip-3", "strip", "3in,30in"),
    ("strip-5", "strip", "5in,40in"),
];
/// The seventeenth: sides and diagonal as a tape gave them.
const MEASURED: (&str, &str) = ("8 1/8in, 8in, 7 7/8in, 8 1/16in", "11 3/8in");

fn blocks() -> Vec<(&'static str, Shape)> {
    let mut blocks: Vec<(&str, Shape)> =
        BLOCKS.iter().map(|(name, key, value)| (*name, Shape::from_words(key, value).unwrap())).collect();
    blocks.push(("measured", Shape::from_sides(MEASURED.0, Some(MEASURED.1), None).unwrap()));
    blocks
}

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("every_block");
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// The motif on the block, or nothing where there is no room for it.
fn sewn(motif: &Motif, name: &str, shape: &Shape) -> Option<Piece> {
    let defaults = settings::resolve(&motif.name, &motif.settings, &[]).unwrap();
    let block = outline(shape, MARGIN_MM).unwrap();
    let name = format!("{}-{name}", motif.name);
    match make(Order::new(&name, block, Design::Motif(Box::new(motif.clone()), defaults))) {
        Ok(piece) => Some(piece),
        Err(PieceError::Draw(DrawError::NoRoom { .. })) => None,
        Err(error) => panic!("{name}: {error}"),
    }
}

#[test]
fn every_motif_keeps_its_promises_on_every_block() {
    let (motifs, blocks) = (library::read_all(&[]).unwrap(), blocks());
    let mut cases = Vec::new();
    for motif in &motifs {
        let suit = |shape: &Shape| outline(shape, MARGIN_MM).unwrap().shape.suit();
        let suited = blocks.iter().filter(|(_, shape)| motif.suits(suit(shape)));
        cases.extend(suited.map(|(name, shape)| (motif, *name, shape)));
    }
    assert!(cases.len() > 400, "{} cases", cases.len());
    let folder = folder();
    let wrong: Vec<String> = cases
        .par_iter()
        .flat_map_iter(|(motif, name, shape)| {
            let Some(piece) = sewn(motif, name, shape) else {
                return vec![format!("{}-{name}: no room", motif.name)];
            };
            let name = &piece.order.name;
            let machine = Format::Dst.write(&piece.stitches, name).unwrap();
            fs::write(folder.join(format!("{name}.dst")), machine).unwrap();
            fs::write(folder.join(format!("{name}.json")), serde_json::to_vec(&piece.report()).unwrap())
                .unwrap();
            kept::faults(&piece)
        })
        .collect();
    assert!(wrong.is_empty(), "{} faults:\n{}", wrong.len(), wrong.join("\n"));
}
