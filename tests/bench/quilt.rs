//! Whole quilts by the number of their patches: planned and written, from ten to a thousand.

use divan::Bencher;
use thrice::drawing::library;
use thrice::top::file::{self, Quilt};
use thrice::top::work;
use thrice::views::paper::Paper;
use thrice::wire::Format;

fn main() {
    divan::main();
}

/// A straight setting of `rows` × `columns` blocks with one border.
fn quilt(rows: usize, columns: usize) -> Quilt {
    let text = format!(
        "title = \"Bench\"\n[machine]\nhoops = [\"200 x 200 mm\", \"200 x 300 mm\"]\n[top]\nsetting = \"straight\"\nrows = {rows}\n\
         columns = {columns}\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n[[piece]]\n\
         where = \"alternate blocks\"\nmotif = \"cross-hatch\"\n[[border]]\nwidth = \"4in\"\nmotif = \"orange-peel\"\n"
    );
    file::read(&text, &library::read_all(&[]).unwrap_or_default(), &["dst"])
        .unwrap_or_else(|e| panic!("{e:?}"))
}

#[divan::bench(args = [(2, 5), (10, 10), (25, 40)])]
fn planned_and_written(bencher: Bencher, (rows, columns): (usize, usize)) {
    let quilt = quilt(rows, columns);
    bencher.bench(|| {
        let work = work(&quilt, &|_, _| {}).map_err(thrice::Error::from)?;
        thrice::write_quilt(&work, &[Format::Dst], Paper::Letter, thrice::Besides::default())
    });
}

/// A top one block wide and very long, with a vine of feathers round it.
#[divan::bench(args = [10, 59])]
fn a_long_border_of_feathers(bencher: Bencher, rows: usize) {
    let text = format!(
        "title = \"Bench\"\n[machine]\nhoops = [\"200 x 200 mm\", \"200 x 300 mm\"]\n[top]\nsetting = \"straight\"\nrows = {rows}\n\
         columns = 1\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n[[border]]\nwidth = \"5in\"\n\
         motif = \"feather-vine\"\n"
    );
    let quilt = file::read(&text, &library::read_all(&[]).unwrap_or_default(), &["dst"])
        .unwrap_or_else(|e| panic!("{e:?}"));
    bencher.bench(|| work(&quilt, &|_, _| {}));
}
