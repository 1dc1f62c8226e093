//! Words set one below the other in a column of a given width: headings, running words, lists, figures.

use kurbo::{Point, Rect};

use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::sheet::{self, Anchor, Item, Pen, Words};

/// A column that is filled from the top.
#[derive(Debug, Clone)]
pub struct Column {
    /// Left edge, mm.
    pub x: f64,
    /// How wide, mm.
    pub width: f64,
    /// Where the next thing starts, mm up the page.
    pub y: f64,
    /// What was set.
    pub items: Vec<Item>,
}

/// Words on one line.
#[must_use]
pub fn words(text: &str, at: Point, style: Style, anchor: Anchor) -> Item {
    Item::Words(Words {
        text: text.into(),
        at,
        size: style.size,
        weight: style.weight,
        ink: style.ink,
        anchor,
    })
}

impl Column {
    /// An empty column whose top left corner is at `x`, `top`.
    #[must_use]
    pub fn new(x: f64, top: f64, width: f64) -> Self {
        Self { x, width, y: top, items: Vec::new() }
    }

    /// Leaves room, mm.
    pub fn gap(&mut self, height: f64) {
        self.y -= height;
    }

    /// A hairline across the column.
    pub fn rule(&mut self) {
        let (from, to) = (Point::new(self.x, self.y), Point::new(self.x + self.width, self.y));
        self.items.push(sheet::straight(from, to, look::hairline()));
    }

    /// Words in as many lines as they need, but at most `most`.
    pub fn text(&mut self, text: &str, style: Style, most: usize) {
        for line in letters::wrap_at_most(text, style.size, self.width, most) {
            self.line(&line, self.x, style);
        }
    }

    /// Words with a mark before them: a bullet or a box to tick. The words hang clear of it.
    pub fn point(&mut self, text: &str, style: Style, tick: bool) {
        let indent = style.size * if tick { 1.55 } else { 1.0 };
        let top = self.y;
        let first = top - style.size * line_middle(style);
        if tick {
            let side = style.size * 0.86;
            let corner = Point::new(self.x, first + style.size * letters::CAPITAL / 2.0 - side / 2.0);
            let square = sheet::rectangle(Rect::from_origin_size(corner, (side, side)));
            self.items.push(sheet::line(square, Pen::flat(0.22, look::QUIET)));
        } else {
            let at = Point::new(self.x + style.size * 0.25, first + style.size * 0.28);
            self.items.push(sheet::fill(sheet::circle(at, style.size * 0.11), style.ink));
        }
        for line in letters::wrap(text, style.size, self.width - indent) {
            self.line(&line, self.x + indent, style);
        }
    }

    /// Figures side by side in columns at least `narrowest` mm wide, each under its label.
    pub fn figures(&mut self, facts: &[(&str, &str)], narrowest: f64, scale: f64) {
        let (label, value) = (look::LABEL.times(scale), look::VALUE.times(scale));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few columns")]
        let across = ((self.width / narrowest).floor().max(1.0) as usize).min(facts.len().max(1));
        let gutter = 3.0 * scale;
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let pitch = (self.width + gutter) / across as f64;
        for row in facts.chunks(across) {
            let top = self.y;
            let mut lowest = top;
            let mut x = self.x;
            for (name, figure) in row {
                let mut cell = Column::new(x, top, pitch - gutter);
                cell.text(name, label, 1);
                cell.text(figure, value, 2);
                lowest = lowest.min(cell.y);
                self.items.append(&mut cell.items);
                x += pitch;
            }
            self.y = lowest - 1.8 * scale;
        }
    }

    fn line(&mut self, text: &str, x: f64, style: Style) {
        let baseline = self.y - style.size * line_middle(style);
        self.items.push(words(text, Point::new(x, baseline), style, Anchor::Start));
        self.y -= style.size * style.leading;
    }
}

/// From the top of a line to its baseline, as a part of the size: the capitals stand in its middle.
fn line_middle(style: Style) -> f64 {
    f64::midpoint(style.leading, letters::CAPITAL)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_grows_downwards_by_its_lines() {
        let mut column = Column::new(10.0, 100.0, 40.0);
        column.text("one two three four five six seven eight nine ten", look::BODY, 9);
        let lines = column.items.len();
        assert!(lines > 1, "{lines} lines");
        #[expect(clippy::cast_precision_loss, reason = "a few lines")]
        let height = lines as f64 * look::BODY.size * look::BODY.leading;
        assert!((column.y - (100.0 - height)).abs() < 1e-9, "ends at {}", column.y);
    }

    #[test]
    fn figures_that_do_not_fit_side_by_side_go_below() {
        let facts = [("stitches", "4,210"), ("minutes", "7"), ("jumps", "0")];
        let (mut wide, mut narrow) = (Column::new(0.0, 0.0, 120.0), Column::new(0.0, 0.0, 30.0));
        wide.figures(&facts, 30.0, 1.0);
        narrow.figures(&facts, 30.0, 1.0);
        assert!(narrow.y < wide.y * 2.5, "{} against {}", narrow.y, wide.y);
    }
}
