//! Whole quilts: layout against the trade's charts, borders that meet, splits that lose nothing, and the files.

#[path = "quilt/borders.rs"]
mod borders;
#[path = "quilt/layouts.rs"]
mod layouts;
#[path = "quilt/printed.rs"]
mod printed;
#[path = "quilt/program.rs"]
mod program;
#[path = "quilt/sewing.rs"]
mod sewing;
#[path = "quilt/shares.rs"]
mod shares;
#[path = "quilt/splits.rs"]
mod splits;
#[expect(dead_code, reason = "readers for other tests as well")]
mod support;
#[path = "quilt/tops.rs"]
mod tops;
#[path = "quilt/twelve.rs"]
mod twelve;
#[path = "views/words.rs"]
mod words;

use thrice::drawing::library;
use thrice::top::file::{self, Quilt};

/// Reads a quilt file with the built-in motifs.
fn read(text: &str) -> Result<Quilt, Vec<String>> {
    let motifs = library::read_all(&[]).unwrap();
    file::read(text, &motifs, &["dst", "exp"])
        .map_err(|problems| problems.iter().map(ToString::to_string).collect())
}

/// A quilt file with everything but `[top]` and what lies where.
fn quilt(rest: &str) -> Quilt {
    let head = "title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\", \"200 x 300 mm\"]\n[stitch]\ntravel = false\n";
    read(&format!("{head}{rest}")).unwrap()
}
