//! The head of a template's page: number, file and fingerprint, where, hoop and how the quilt lies.

use kurbo::Point;

use super::one::One;
use crate::base::units::show_length;
use crate::top::Work;
use crate::views::column::{Column, words};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::paper::EDGE_MM;
use crate::views::quilt_sheet::lies::up;
use crate::views::sheet::{Anchor, Item, Weight};
use crate::views::template::tiles::{Tile, Tiles};

/// The head of the page with the tile of that number, from 0; it is page `page` of the book.
pub fn draw(work: &Work, group: &[One], number: usize, page: usize) -> Vec<Item> {
    let one = &group[0];
    let top = one.size.1 - EDGE_MM;
    let large = Style { size: 11.0, weight: Weight::Bold, ink: look::INK, leading: 1.0 };
    let text = one.part.number.to_string();
    let mut items = vec![words(&text, Point::new(EDGE_MM, top - 9.6), large, Anchor::Start)];
    let x = EDGE_MM + letters::width(&text, large.size) + 5.0;
    let right = one.size.0 - EDGE_MM;
    let page = format!("page {page}");
    let mut column = Column::new(x, top, right - x);
    column.width -= letters::width(&page, look::LABEL.size) + 4.0;
    let fingerprint = work.sewn[one.hooping.sewn].piece.fingerprint();
    let sheet = sheet(&one.shown, number);
    let bold = Style { size: 3.6, weight: Weight::Bold, ..look::BODY };
    column.text(&format!("file {}  ·  fingerprint {fingerprint}{sheet}", one.part.file), bold, 1);
    column.width = right - x;
    column.text(&place(group), look::BODY, 2);
    column.text(&hoop(work, one), look::LABEL, 2);
    items.append(&mut column.items);
    items.push(words(&page, Point::new(right, top - 3.6), look::LABEL, Anchor::End));
    items
}

/// Which sheet of several, and where it lies among them.
fn sheet(tiles: &Tiles, number: usize) -> String {
    match tiles.tiles.len() {
        1 => String::new(),
        count => {
            let which = which(&tiles.tiles[number], tiles.columns, tiles.rows);
            format!("  ·  sheet {} of {count} ({which}), to join with the others", number + 1)
        }
    }
}

/// Where a tile lies among all, in words.
fn which(tile: &Tile, columns: usize, rows: usize) -> String {
    let name = |at: usize, of: usize, three: [&'static str; 3], word: &str| match (at, of) {
        (_, 1) => None,
        (0, 2 | 3) => Some(three[0].to_owned()),
        (1, 3) => Some(three[1].to_owned()),
        (_, 2 | 3) => Some(three[2].to_owned()),
        (at, of) => Some(format!("{word} {} of {of}", at + 1)),
    };
    let row = name(tile.row, rows, ["upper", "middle", "lower"], "row");
    let column = name(tile.column, columns, ["left", "middle", "right"], "column");
    [row, column].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

/// Where it is sewn; of several hoopings that share the page their numbers too.
fn place(group: &[One]) -> String {
    let place = &group[0].part.place;
    if group.len() == 1 {
        return place.clone();
    }
    let others: Vec<usize> = group[1..].iter().map(|one| one.part.number).collect();
    let (word, look) = if others.len() == 1 { ("hooping", "looks") } else { ("hoopings", "look") };
    format!("{place}. Also for {word} {}, which {look} the same from here.", ranges(&others))
}

/// Rising numbers, those that follow each other together: `3, 5–8`.
fn ranges(numbers: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, to)) if *to + 1 == *number => *to = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let run = |(from, to): (usize, usize)| match to - from {
        0 => from.to_string(),
        1 => format!("{from}, {to}"),
        _ => format!("{from}–{to}"),
    };
    runs.into_iter().map(run).collect::<Vec<_>>().join(", ")
}

fn hoop(work: &Work, one: &One) -> String {
    let edge = up(one.part.quilt_turn_deg).unwrap_or_else(|| "top edge up".to_owned());
    let [w, h] = one.part.hoop;
    let trace = one.picture.trace();
    let show = |mm: f64| show_length(mm, work.quilt.units);
    let spare = [(w - trace.width()) / 2.0, (h - trace.height()) / 2.0].map(|mm| show(mm.floor()));
    format!(
        "Hoop {w:.0} × {h:.0} mm as mounted; quilt: {edge}. Traced box {} across, {} up; to the edge of the field {} across \
         and {} up.",
        show(trace.width()),
        show(trace.height()),
        spare[0],
        spare[1]
    )
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;

    #[test]
    fn a_sheet_says_where_it_lies_among_the_others() {
        let tile = |column, row| Tile { column, row, shown: Rect::ZERO, core: Rect::ZERO };
        assert_eq!(which(&tile(0, 0), 1, 2), "upper");
        assert_eq!(which(&tile(1, 0), 2, 1), "right");
        assert_eq!(which(&tile(0, 2), 2, 3), "lower left");
        assert_eq!(which(&tile(4, 0), 5, 1), "column 5 of 5");
    }

    #[test]
    fn numbers_that_follow_each_other_are_said_together() {
        assert_eq!(ranges(&[3, 5, 6, 9, 10, 11, 20]), "3, 5, 6, 9–11, 20");
    }
}
