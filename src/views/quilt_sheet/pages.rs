//! Pages that are filled from the top: headings, rows of a table, points, boxes to tick; a new page where one is full.

use kurbo::Point;

use crate::views::column::{Column, words};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::paper::{BOUND_EDGE_MM, Paper};
use crate::views::sheet::{Anchor, Item, Sheet};

/// Room for the number of the page, mm.
const FOOT_MM: f64 = 7.0;

/// Pages under construction.
pub struct Pages {
    title: String,
    size: (f64, f64),
    full: Vec<Vec<Item>>,
    page: Column,
}

impl Pages {
    /// The first page, with its title.
    pub fn new(title: &str, paper: Paper) -> Self {
        let size = paper.size();
        let mut pages = Self { title: title.into(), size, full: Vec::new(), page: empty(size) };
        let at = Point::new(pages.page.x + pages.width(), pages.page.y - look::TITLE.size * 0.94);
        pages.page.items.push(words("sewing sheet", at, look::LABEL, Anchor::End));
        let full = pages.page.width;
        pages.page.width -= 32.0;
        pages.page.text(title, look::TITLE, 2);
        pages.page.width = full;
        pages.page.gap(4.0);
        pages
    }

    /// The width of the text, mm.
    pub fn width(&self) -> f64 {
        self.size.0 - 2.0 * BOUND_EDGE_MM
    }

    /// The height of the text, mm.
    pub fn height(&self) -> f64 {
        self.size.1 - 2.0 * BOUND_EDGE_MM - FOOT_MM
    }

    /// Begins a new page unless `height` mm are left.
    fn need(&mut self, height: f64) {
        if self.page.y - height < BOUND_EDGE_MM + FOOT_MM {
            let page = std::mem::replace(&mut self.page, empty(self.size));
            self.full.push(page.items);
        }
    }

    /// Something drawn by itself, `height` mm high.
    pub fn block(&mut self, height: f64, draw: impl FnOnce(&mut Vec<Item>, Point, f64)) {
        self.need(height);
        let (at, width) = (Point::new(self.page.x, self.page.y), self.width());
        draw(&mut self.page.items, at, width);
        self.page.gap(height);
    }

    /// The name of a part, with a line above it.
    pub fn heading(&mut self, text: &str) {
        self.need(18.0);
        self.page.gap(2.2);
        self.page.rule();
        self.page.gap(2.2);
        self.page.text(text, look::HEADING, 2);
        self.page.gap(0.8);
    }

    /// A row of a table, its cells as wide as their shares of the page.
    pub fn row(&mut self, cells: &[&str], shares: &[f64], style: Style) {
        self.cells(cells, shares, style, false);
    }

    /// A row with a box to tick before its first cell.
    pub fn tick_row(&mut self, cells: &[&str], shares: &[f64], style: Style) {
        self.cells(cells, shares, style, true);
    }

    fn cells(&mut self, cells: &[&str], shares: &[f64], style: Style, tick: bool) {
        let width = self.width();
        let wide = |share: &f64| width * share - 2.5;
        let lines = cells.iter().zip(shares).map(|(c, s)| letters::wrap(c, style.size, wide(s)).len());
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let height = lines.max().unwrap_or(1) as f64 * style.size * style.leading;
        self.need(height);
        let (mut x, top) = (self.page.x, self.page.y);
        for (i, (cell, share)) in cells.iter().zip(shares).enumerate() {
            let mut column = Column::new(x, top, wide(share));
            match tick && i == 0 {
                true => column.point(cell, style, true),
                false => column.text(cell, style, usize::MAX),
            }
            self.page.items.append(&mut column.items);
            x += width * share;
        }
        self.page.gap(height + if tick { 0.9 } else { 0.3 });
    }

    /// Running words.
    pub fn text(&mut self, text: &str, style: Style) {
        self.need(style.size * style.leading * 3.0);
        self.page.text(text, style, usize::MAX);
        self.page.gap(1.0);
    }

    /// A sentence with a dot before it.
    pub fn point(&mut self, text: &str, style: Style) {
        self.need(style.size * style.leading * 3.0);
        self.page.point(text, style, false);
        self.page.gap(0.5);
    }

    /// The pages, numbered.
    pub fn finish(mut self) -> Vec<Sheet> {
        self.full.push(std::mem::take(&mut self.page.items));
        let count = self.full.len();
        let (width, height) = self.size;
        let numbered = self.full.into_iter().enumerate().map(|(i, mut items)| {
            let foot = format!("{}, page {} of {count}", self.title, i + 1);
            let at = Point::new(width - BOUND_EDGE_MM, BOUND_EDGE_MM);
            items.push(words(&foot, at, look::LABEL, Anchor::End));
            let title = format!("{}: sewing sheet", self.title);
            Sheet { title, description: foot, width, height, items }
        });
        numbered.collect()
    }
}

fn empty((width, height): (f64, f64)) -> Column {
    Column::new(BOUND_EDGE_MM, height - BOUND_EDGE_MM, width - 2.0 * BOUND_EDGE_MM)
}
