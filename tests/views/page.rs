//! Pages to send: they count as the report does, and load nothing.

use thrice::block::shape::Shape;
use thrice::drawing::{library, settings};
use thrice::tailor::{Design, Order, Piece, make};
use thrice::views::moving;
use thrice::views::sewn::{self, Extra, Looks};

fn piece(name: &str, shape: &Shape) -> Piece {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, name).unwrap().clone();
    let settings = settings::resolve(name, &motif.settings, &[]).unwrap();
    let block = thrice::block::outline(shape, 6.35).unwrap();
    make(Order::new(name, block, Design::Motif(Box::new(motif), settings))).unwrap()
}

/// The needle holes that the page's script counts: a pair of numbers each.
fn counted(page: &str) -> usize {
    let runs = page.split_once("\"runs\":").unwrap().1.split_once("]}").unwrap().0;
    let run = |run: &str| run.matches(',').count().div_ceil(2);
    runs.split(['[', ']']).filter(|r| r.contains(|c: char| c.is_ascii_digit())).map(run).sum()
}

#[test]
fn a_moving_preview_counts_stitches_and_minutes_as_the_report_does() {
    for (name, shape) in [
        ("grid", Shape::Square { side: 120.0 }),
        ("feather-wreath", Shape::Square { side: 203.2 }),
        ("dogwood", Shape::Square { side: 150.0 }),
    ] {
        let piece = piece(name, &shape);
        let sewn = sewn::of_piece(&piece);
        let minutes = sewn.survey.estimate.minutes;
        let moving = moving::write(&sewn::picture(&sewn), minutes);
        let told = piece.report().stitches.penetrations;
        assert_eq!(counted(&moving), told, "{name}");
        assert!(moving.contains(&format!("{{\"minutes\":{minutes:.3},")), "{name}");
        let looks = Looks { extras: vec![Extra::Page], ..Looks::default() };
        let files = sewn::files(&sewn, &looks).unwrap().files;
        let page = &files.iter().find(|(ending, _)| *ending == "-page.html").unwrap().1;
        let page = String::from_utf8(page.clone()).unwrap();
        assert_eq!(counted(&page), told, "{name}");
        for loads in ["src=\"http", "href=\"http", "url(http", "@import", "<link", "fetch(", "XMLHttp"] {
            assert!(!page.contains(loads), "{name}: {loads}");
        }
        assert!(page.contains("prefers-color-scheme: dark"));
    }
}
