//! Pictures to choose from: what stands in them, and that no words lie on others.

use thrice::block::shape::Shape;
use thrice::drawing::{library, settings};
use thrice::stitches::SewOptions;
use thrice::survey::Sandwich;
use thrice::views::look::Cotton;
use thrice::views::paper::Paper;
use thrice::views::relief::scenes::Stuff;
use thrice::views::trial::make::{self, Trial, Wish};
use thrice::views::trial::{self, Cell, Heading, Order};
use thrice::views::{pdf, png, svg};

use crate::words;

const ODD: &str = "0in,0in; 8 1/8in,1/4in; 7 1/2in,7 3/4in; -1/2in,8in";

fn trial(key: &str, value: &str) -> Trial {
    let shape = Shape::from_words(key, value).unwrap();
    Trial {
        block: thrice::block::outline(&shape, 6.35).unwrap(),
        sew: SewOptions::default(),
        sandwich: Sandwich { gap_limit_mm: 30.0, ..Sandwich::default() },
        travel: true,
        stuff: Stuff::default(),
        units: thrice::base::units::Units::Inches,
    }
}

fn cells(trial: &Trial, names: &[&str]) -> Vec<Cell> {
    let all = library::read_all(&[]).unwrap();
    let wish = |name: &&str| {
        let motif = library::find(&all, name).unwrap().clone();
        let settings = settings::resolve(name, &motif.settings, &[]).unwrap();
        Wish { title: motif.title.clone(), motif, settings, background: None }
    };
    make::all(trial, &names.iter().map(wish).collect::<Vec<_>>())
}

fn heading() -> Heading {
    Heading {
        title: "To choose from".into(),
        subtitle: "in your block".into(),
        batting: "cotton with scrim".into(),
        gap_limit_mm: 30.0,
        units: thrice::base::units::Units::Inches,
        cotton: Cotton::default(),
    }
}

#[test]
fn each_cell_has_its_figures_or_says_why_it_is_empty_and_no_words_overlap() {
    for (key, value) in [("corners", ODD), ("strip", "5in,20in")] {
        let trial = trial(key, value);
        let cells = cells(&trial, &["orange-peel", "cross-hatch", "feather-vine", "feather-wreath", "grid"]);
        let screen = trial::screen(&heading(), &cells);
        let pages = trial::pages(&heading(), &cells, Paper::Letter);
        for sheet in std::iter::once(&screen).chain(&pages) {
            assert_eq!(words::faults(sheet), Vec::<String>::new(), "{key}");
        }
        let text = words::text(&screen);
        let (made, refused): (Vec<&Cell>, Vec<&Cell>) = cells.iter().partition(|c| c.made.is_ok());
        assert!(!made.is_empty() && !refused.is_empty(), "{key}: {} made", made.len());
        assert_eq!(text.matches(" minutes").count(), made.len(), "{text}");
        assert_eq!(text.matches("cotton with scrim").count(), made.len(), "{text}");
        assert!(
            refused.iter().all(|c| text.contains(c.made.as_ref().unwrap_err().split(' ').next().unwrap()))
        );
        for (sample, title) in made.iter().filter_map(|c| Some((c.made.as_ref().ok()?, &c.title))) {
            assert!(text.contains(&format!("{:.1} minutes", sample.minutes)), "{title}");
            assert_eq!(sample.held, sample.gap_mm.unwrap() <= 30.1, "{title}");
        }
    }
}

#[test]
fn cells_are_sorted_by_the_figure_asked_for_and_the_empty_ones_come_last() {
    let mut cells = cells(&trial("square", "8in"), &["cable", "grid", "orange-peel", "spiral"]);
    for order in [Order::Minutes, Order::Thread, Order::Gap, Order::Name] {
        trial::sort(&mut cells, order);
        let made: Vec<_> = cells.iter().take_while(|c| c.made.is_ok()).collect();
        assert!(cells[made.len()..].iter().all(|c| c.made.is_err()));
        let figure = |c: &&Cell| {
            let s = c.made.as_ref().unwrap();
            match order {
                Order::Minutes => s.minutes,
                Order::Thread => s.thread_m,
                Order::Gap => s.gap_mm.unwrap(),
                Order::Name => f64::from(u32::from(c.title.chars().next().unwrap())),
            }
        };
        assert!(made.iter().map(figure).is_sorted(), "{order:?}");
    }
}

#[test]
fn the_picture_is_whole_in_every_file() {
    let cells = cells(&trial("square", "6in"), &["grid"]);
    let screen = trial::screen(&heading(), &cells);
    assert!(svg::write(&screen).contains("data:image/jpeg;base64,/9j/"));
    let bytes = pdf::write("t", &trial::pages(&heading(), &cells, Paper::A4));
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("/Subtype /Image") && text.contains("/DCTDecode") && text.contains("/I0 "));
    assert!(png::write(&screen, 600).unwrap().len() > 30_000);
}
