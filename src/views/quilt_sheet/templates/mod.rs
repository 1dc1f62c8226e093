//! A quilt's hoopings in sewing order → their templates at true size: what is sewn, its neighbours in grey, the seams, how far
//! the cross is from the nearest of them, and which way the quilt's top edge lies.
//!
//! One page a hooping where the box that the machine traces fits the paper, else pages to join; those are shared by all hoopings
//! that are sewn from the same file and lie alike, and show what lies round all of them. The whole quilt has one book: what is
//! sewn already keeps its pages, so that papers stay what they were.

mod around;
mod crooked;
mod head;
mod one;
mod seams;
mod signs;

use std::collections::BTreeMap;
use std::fmt::Write;

use kurbo::{Affine, BezPath, Point};

use crate::base::units::{Units, show_length};
use crate::top::Work;
use crate::top::notes::SEAM_OFF_MM;
use crate::top::plan::all_hoopings;
use crate::views::column::Column;
use crate::views::look::{self, Style};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::sheet::{Group, Item, Sheet};
use crate::views::template::{joins, marks, notes, tiles};
use crate::views::thread;
use around::{Around, Lines};
use crooked::Crooked;
use one::{FOOT_MM, HEAD_MM, One};

/// The templates of a whole quilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Its pages.
    pub sheets: Vec<Sheet>,
    /// By the number of the hooping, its first page, from 1, and how many it has.
    pub pages: BTreeMap<usize, (usize, usize)>,
}

impl Book {
    /// Where a hooping's template is found: `7`, or `7–8`.
    #[must_use]
    pub fn told(&self, hooping: usize) -> String {
        match self.pages.get(&hooping) {
            Some((first, 1)) => first.to_string(),
            Some((first, count)) => format!("{first}–{}", first + count - 1),
            None => String::new(),
        }
    }
}

/// The templates of all hoopings, those that are sewn already included.
#[must_use]
pub fn draw(work: &Work, paper: Paper) -> Book {
    let lines = Lines::of(work);
    let parts = all_hoopings(work);
    let mut alike: Vec<Vec<One>> = Vec::new();
    for (hooping, part) in work.all().zip(&parts) {
        let one = One::of(work, hooping, part, paper);
        match alike.iter_mut().find(|group| group[0].shares(&one)) {
            Some(group) => group.push(one),
            None => alike.push(vec![one]),
        }
    }
    let mut book = Book { sheets: Vec::new(), pages: BTreeMap::new() };
    for group in &alike {
        let first = book.sheets.len() + 1;
        let pages = pages(work, group, &lines, first);
        book.pages.extend(group.iter().map(|one| (one.part.number, (first, pages.len()))));
        book.sheets.extend(pages);
    }
    book
}

/// The pages of hoopings that look alike; the book goes on at page `first`.
fn pages(work: &Work, group: &[One], lines: &Lines, first: usize) -> Vec<Sheet> {
    let one = &group[0];
    let design = thread::lines(&one.picture.runs);
    let around = Around::of(work, group, lines);
    let mind_text = mind_text(work.quilt.units, group);
    let page = |(number, tile): (usize, &tiles::Tile)| {
        let size = one.size;
        let mut items = head::draw(work, group, number, first + number);
        let floor = EDGE_MM + FOOT_MM;
        let middle = Point::new(size.0 / 2.0, f64::midpoint(floor, size.1 - EDGE_MM - HEAD_MM));
        let placed = Affine::translate(middle - tile.shown.center());
        let drawn = drawn(work.quilt.units, (one, &design), &around, (number, tile));
        items.push(Item::Group(Group {
            label: "template".into(),
            placed,
            clip: Some(tile.shown),
            items: drawn,
        }));
        items.append(&mut notes::foot(Point::new(EDGE_MM, EDGE_MM + 11.5), size.0 - 2.0 * EDGE_MM));
        let mut mind = Column::new(EDGE_MM, floor - 1.0, size.0 - 2.0 * EDGE_MM);
        mind.text(&mind_text, Style { size: 2.2, ..look::LABEL }, 3);
        items.append(&mut mind.items);
        let title = format!("{}: templates", work.quilt.title);
        let description = format!("Hooping {}, file {}, true size", one.part.number, one.part.file);
        Sheet { title, description, width: size.0, height: size.1, items }
    };
    one.shown.tiles.iter().enumerate().map(page).collect()
}

/// What one page shows of the quilt, in the file's coordinates.
fn drawn(
    units: Units,
    (one, design): (&One, &BezPath),
    around: &Around,
    (number, tile): (usize, &tiles::Tile),
) -> Vec<Item> {
    let mut items = around.draw(tile.shown);
    items.extend(marks::draw(&one.picture, thread::near(design, tile.shown)));
    items.extend(signs::to_seams(units, &one.picture, &around.seams, tile.shown));
    items.extend(signs::edges(one, &around.edges, tile.shown));
    items.extend(signs::field_beyond(one, units, tile.shown));
    items.extend(signs::quilt_top(one, tile.shown));
    items.extend(joins::draw(&one.shown, tile, ("sheet", number + 1)));
    items
}

/// What is printed on every template; more where several pieces lie in one hooping.
fn mind_text(units: Units, group: &[One]) -> String {
    let mut text = "Tell the machine which hoop is on it, and trace the box with the needle up: a needle that strikes the hoop \
                    breaks. Heavy lines are seams."
        .to_owned();
    if group[0].hooping.items.len() > 1 {
        let far = show_length(SEAM_OFF_MM, units);
        let _ = write!(
            text,
            " Where one lies more than {far} from its printed place, hoop these pieces one at a time (share = false)."
        );
    }
    let least = group.iter().map(|one| one.crooked).reduce(Crooked::least);
    if let Some(crooked) = least.and_then(|least| least.told(units)) {
        let _ = write!(text, " {crooked}");
    }
    text
}
