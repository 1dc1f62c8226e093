//! Several designs in her block → one picture to choose from: each as lines and as quilted cloth, with its figures.
//!
//! In: [`Cell`]s, made or refused, in the order they are to stand in. Out: [`Sheet`]s: one for a screen, as high as it
//! takes, or pages of paper. A design that does not fit has the reason in its cell. Figures are those of the report.

mod cell;
pub mod make;

use std::sync::Arc;

use kurbo::{Affine, Rect};

use crate::base::units::Units;
use crate::views::column::Column;
use crate::views::look::{self, Cotton};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::picture::Picture;
use crate::views::png::PngError;
use crate::views::relief;
use crate::views::relief::scenes::{self, Stuff};
use crate::views::sheet::{self, Group, Image, Item, Sheet};

/// One design to choose from.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// What it is called: the motif, or what is varied.
    pub title: String,
    /// The design, or why there is none, in whole sentences.
    pub made: Result<Sample, String>,
}

/// A design that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample {
    /// The block with its lines.
    pub picture: Picture,
    /// The block as quilted cloth.
    pub relief: Image,
    /// Minutes at the machine.
    pub minutes: f64,
    /// Thread in the needle, m.
    pub thread_m: f64,
    /// Moves between pieces.
    pub jumps: usize,
    /// The widest gap, mm; `None` if the lines enclose nothing.
    pub gap_mm: Option<f64>,
    /// True if no gap is wider than the batting allows.
    pub held: bool,
}

/// What stands above the cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Heading {
    /// What is tried.
    pub title: String,
    /// The block, and what it is held against.
    pub subtitle: String,
    /// The batting in a few words: `cotton with scrim`.
    pub batting: String,
    /// The widest gap that it allows, mm.
    pub gap_limit_mm: f64,
    /// The unit printed first.
    pub units: Units,
    /// Cloth and thread of the lines.
    pub cotton: Cotton,
}

/// By what the cells are put in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Fewest minutes first.
    Minutes,
    /// Least thread first.
    Thread,
    /// Narrowest gaps first.
    Gap,
    /// By name.
    Name,
}

/// Pixels of a relief's longer side: as many as a screen's sheet shows, and 250 to the inch on paper.
const RELIEF_PX: f64 = 300.0;
/// Width of the screen's sheet, mm, and its columns.
const SCREEN: (f64, usize) = (400.0, 4);
/// Columns on paper.
const PAPER_COLUMNS: usize = 3;
/// Clear paper round a sheet for the screen, mm.
const MARGIN_MM: f64 = 12.0;
/// Clear paper round a page beyond what printers leave, mm.
const PAGE_MARGIN_MM: f64 = EDGE_MM + 5.0;
/// From cell to cell across and down, mm.
const BETWEEN_MM: (f64, f64) = (9.0, 8.0);

/// The relief of a block as an image of the right shape, at the origin.
///
/// # Errors
/// As of [`relief::draw`].
pub fn relief_of(picture: &Picture, stuff: &Stuff) -> Result<Image, PngError> {
    let scene = scenes::block(picture, stuff);
    let (w, h) = (scene.shown.width(), scene.shown.height());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most a few hundred")]
    let width_px = (RELIEF_PX * (w / w.max(h))).ceil().max(8.0) as u32;
    let pixels = relief::draw(&scene, width_px)?;
    Image::new(Rect::new(0.0, 0.0, w, h), Arc::new(pixels))
}

/// Puts cells in order; those that could not be made come last. Equal ones keep their order.
pub fn sort(cells: &mut [Cell], order: Order) {
    let figure = |cell: &Cell| -> f64 {
        match (&cell.made, order) {
            (Err(_), _) => f64::INFINITY,
            (Ok(s), Order::Minutes) => s.minutes,
            (Ok(s), Order::Thread) => s.thread_m,
            (Ok(s), Order::Gap) => s.gap_mm.unwrap_or(f64::MAX),
            (Ok(_), Order::Name) => 0.0,
        }
    };
    let name = |cell: &Cell| if order == Order::Name { cell.title.to_lowercase() } else { String::new() };
    cells.sort_by(|a, b| figure(a).total_cmp(&figure(b)).then_with(|| name(a).cmp(&name(b))));
}

/// Draws all cells on one sheet for a screen.
#[must_use]
pub fn screen(heading: &Heading, cells: &[Cell]) -> Sheet {
    let (width, columns) = SCREEN;
    let inner = width - 2.0 * MARGIN_MM;
    let grid = Grid::new(heading, cells, inner, columns, 1.12);
    let head = grid.head();
    let rows = grid.rows(cells);
    let height = 2.0 * MARGIN_MM
        + head.1
        + rows.iter().map(|r| r.height).sum::<f64>()
        + BETWEEN_MM.1 * rows.len().saturating_sub(1) as f64;
    let mut items = vec![sheet::fill(sheet::rectangle(Rect::new(0.0, 0.0, width, height)), look::PAGE)];
    let mut y = height - MARGIN_MM;
    items.push(placed(head.0, (MARGIN_MM, y)));
    y -= head.1;
    for row in rows {
        let high = row.height;
        items.push(placed(row.items, (MARGIN_MM, y)));
        y -= high + BETWEEN_MM.1;
    }
    Sheet { title: heading.title.clone(), description: heading.subtitle.clone(), width, height, items }
}

/// Draws the cells on pages of paper, as many as it takes.
#[must_use]
pub fn pages(heading: &Heading, cells: &[Cell], paper: Paper) -> Vec<Sheet> {
    let (width, height) = paper.size();
    let inner = width - 2.0 * PAGE_MARGIN_MM;
    let grid = Grid::new(heading, cells, inner, PAPER_COLUMNS, 0.86);
    let head = grid.head();
    let mut pages: Vec<Vec<Item>> = vec![vec![placed(head.0, (PAGE_MARGIN_MM, height - PAGE_MARGIN_MM))]];
    let mut y = height - PAGE_MARGIN_MM - head.1;
    let mut fresh = true;
    for row in grid.rows(cells) {
        if y - row.height < PAGE_MARGIN_MM && !fresh {
            pages.push(Vec::new());
            y = height - PAGE_MARGIN_MM;
        }
        fresh = false;
        let high = row.height;
        if let Some(page) = pages.last_mut() {
            page.push(placed(row.items, (PAGE_MARGIN_MM, y)));
        }
        y -= high + BETWEEN_MM.1;
    }
    let sheet = |items| Sheet {
        title: heading.title.clone(),
        description: heading.subtitle.clone(),
        width,
        height,
        items,
    };
    pages.into_iter().map(sheet).collect()
}

fn placed(items: Vec<Item>, at: impl Into<kurbo::Vec2>) -> Item {
    Item::Group(Group::new("", Affine::translate(at), items))
}

/// Where cells stand and how large everything in them is.
struct Grid<'a> {
    heading: &'a Heading,
    width: f64,
    columns: usize,
    letters: f64,
    /// Shape of the block's picture: height over width.
    shape: f64,
}

/// A row of cells, from y = 0 downwards.
struct Row {
    items: Vec<Item>,
    height: f64,
}

impl<'a> Grid<'a> {
    fn new(heading: &'a Heading, cells: &[Cell], width: f64, columns: usize, letters: f64) -> Self {
        let first = cells.iter().find_map(|c| c.made.as_ref().ok());
        let shape = first.map_or(1.0, |s| s.relief.at.height() / s.relief.at.width());
        // A long strip wants the width of two cells.
        let columns = if shape < 0.3 { columns.div_ceil(2) } else { columns };
        Grid { heading, width, columns: columns.min(cells.len()).max(1), letters, shape }
    }

    fn head(&self) -> (Vec<Item>, f64) {
        let mut column = Column::new(0.0, 0.0, self.width);
        column.text(&self.heading.title, look::TITLE, 2);
        column.gap(0.8);
        column.text(&self.heading.subtitle, look::SUBTITLE, 3);
        column.gap(6.0);
        (column.items, -column.y)
    }

    fn rows(&self, cells: &[Cell]) -> Vec<Row> {
        cells.chunks(self.columns).map(|chunk| self.row(chunk)).collect()
    }

    fn row(&self, cells: &[Cell]) -> Row {
        let own = (self.width - BETWEEN_MM.0 * (self.columns - 1) as f64) / self.columns as f64;
        let mut row = Row { items: Vec::new(), height: 0.0 };
        for (i, cell) in cells.iter().enumerate() {
            let drawn = cell::draw(
                cell,
                self.heading,
                &cell::Room { width: own, shape: self.shape, letters: self.letters },
            );
            row.height = row.height.max(drawn.height);
            row.items.push(placed(drawn.items, (i as f64 * (own + BETWEEN_MM.0), 0.0)));
        }
        row
    }
}
