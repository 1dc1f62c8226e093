//! What is printed of a quilt, read as she reads it: which way is which, how far, and on which page.

use std::collections::BTreeSet;

use thrice::top::plan::plan;
use thrice::top::{Work, work};
use thrice::views::paper::Paper;
use thrice::views::quilt_sheet;
use thrice::views::quilt_sheet::templates::Book;

use super::{quilt, words};

/// Triangles that are sewn turned, in a field larger than the paper, and a border in stretches.
const TURNED: &str = "[top]\nsetting = \"on point\"\nrows = 1\ncolumns = 2\nblock = \"7in\"\n[[piece]]\nwhere = \"blocks\"\n\
    motif = \"orange-peel\"\n[[piece]]\nwhere = \"side triangles\"\nmotif = \"cross-hatch\"\n[[piece]]\nwhere = \"corner triangles\"\n\
    motif = \"grid\"\n[[border]]\nwidth = \"3in\"\nmotif = \"feather-vine\"\nsettings = [\"plume=2in\"]\ncorner = \"turn\"\n";

/// Blocks larger than the paper, all alike.
const LARGE: &str = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"7in,9in\"\n[[piece]]\nwhere = \"blocks\"\n\
    motif = \"orange-peel\"\n";

fn made(text: &str) -> (Work, Book) {
    let work = work(&quilt(text), &|_, _| {}).unwrap();
    let book = quilt_sheet::templates::draw(&work, Paper::Letter);
    (work, book)
}

#[test]
fn a_template_says_which_edge_is_where_how_far_the_seams_are_and_how_crooked_is_too_crooked() {
    let (work, book) = made(TURNED);
    let text: Vec<String> = book.sheets.iter().map(words::text).collect();
    for (number, (sheet, text)) in book.sheets.iter().zip(&text).enumerate() {
        assert!(text.contains("to the quilt’s top edge"), "page {}: {text}", number + 1);
        assert!(text.contains(&format!("\npage {}\n", number + 1)), "page {}: {text}", number + 1);
        let line = text.replace('\n', " ");
        assert!(line.contains("Too crooked: "), "page {}: {text}", number + 1);
        assert_eq!(words::faults(sheet), Vec::<String>::new(), "page {}", number + 1);
    }
    let said = |words: &str| text.iter().filter(|page| page.contains(words)).count();
    for words in [
        "top edge of the quilt",
        "left edge of the quilt",
        "(upper), to join",
        "(lower), to join",
        "the field ends ",
    ] {
        assert!(said(words) > 0, "{words}");
    }
    // A distance to a seam stands by itself, in both units.
    let distance = |line: &&str| line.ends_with(" mm)") && line.starts_with(|c: char| c.is_ascii_digit());
    assert!(
        text.iter().filter(|page| page.lines().any(|line| distance(&line))).count() > text.len() / 2,
        "{text:?}"
    );
    let places: Vec<String> = plan(&work).hoopings.into_iter().map(|h| h.place).collect();
    assert!(places.iter().any(|place| place.contains("border 1, top, 1 of 2 from the left")), "{places:?}");
}

#[test]
fn pages_to_join_are_printed_once_for_all_hoopings_that_look_alike() {
    let (work, book) = made(LARGE);
    let files: BTreeSet<usize> = work.hoopings.iter().map(|h| h.sewn).collect();
    assert_eq!((work.hoopings.len(), files.len(), book.sheets.len()), (4, 1, 2));
    assert!(work.hoopings.iter().all(|h| book.pages[&h.number] == (1, 2)), "{:?}", book.pages);
    let text = words::text(&book.sheets[1]).replace('\n', " ");
    assert!(
        text.starts_with("1 file TEST001 ") && text.contains("Also for hoopings 2–4, which look the same"),
        "{text}"
    );
    assert_eq!(book.told(3), "1–2");
    let (work, book) = made(TURNED);
    for hooping in &work.hoopings {
        let text = words::text(&book.sheets[book.pages[&hooping.number].0 - 1]).replace('\n', " ");
        let file = &work.sewn[hooping.sewn].piece.order.name;
        assert!(
            text.starts_with(&format!("{} file {file} ", hooping.number)),
            "hooping {}: {text}",
            hooping.number
        );
    }
}

#[test]
fn a_note_on_many_pieces_names_their_places() {
    let (work, _) = made(TURNED);
    let notes: Vec<String> = plan(&work).warnings.iter().map(ToString::to_string).collect();
    let note = notes.iter().find(|note| note.contains("The plumes are")).unwrap();
    assert!(note.starts_with("all of border 1, all border 1 corners: "), "{note}");
    let strips = notes.iter().find(|note| note.contains("extension strips")).unwrap();
    assert!(strips.contains("1 3/16 in (30 mm) for the hoop's frame"), "{strips}");
}
