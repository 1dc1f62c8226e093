//! Bars to measure by: one in inches, one in millimetres, from the same left end.

use kurbo::{Point, Rect};

use crate::base::units::MM_PER_INCH;
use crate::views::column::words;
use crate::views::look::{self, Style};
use crate::views::sheet::{self, Anchor, Item, Pen};

/// A pair of bars of nearly the same length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bars {
    /// Length of the upper bar, whole inches.
    pub inches: u32,
    /// Inches from one label to the next.
    pub inch_step: u32,
    /// Length of the lower bar, whole mm.
    pub millimetres: u32,
    /// Millimetres from one label to the next.
    pub mm_step: u32,
}

/// The bars on every sheet that is printed: 4 in and 100 mm.
pub const TEST: Bars = Bars { inches: 4, inch_step: 1, millimetres: 100, mm_step: 20 };

/// Bars for a picture, the longest first.
const CHOICES: [Bars; 6] = [
    Bars { inches: 24, inch_step: 6, millimetres: 600, mm_step: 150 },
    Bars { inches: 12, inch_step: 3, millimetres: 300, mm_step: 100 },
    Bars { inches: 8, inch_step: 2, millimetres: 200, mm_step: 50 },
    TEST,
    Bars { inches: 2, inch_step: 1, millimetres: 50, mm_step: 10 },
    Bars { inches: 1, inch_step: 1, millimetres: 25, mm_step: 5 },
];

impl Bars {
    /// The longest bars that take at most `room` mm; the shortest there are if none does.
    #[must_use]
    pub fn within(room: f64) -> Self {
        let fits = |bars: &&Bars| bars.inch_mm() <= room;
        CHOICES.iter().find(fits).copied().unwrap_or(CHOICES[CHOICES.len() - 1])
    }

    /// Length of the upper bar, mm.
    #[must_use]
    pub fn inch_mm(&self) -> f64 {
        f64::from(self.inches) * MM_PER_INCH
    }

    /// Draws the bars with their upper left corner at `at`; `scale` sets the height of bars and letters.
    #[must_use]
    pub fn draw(&self, at: Point, scale: f64) -> Vec<Item> {
        let style = look::LABEL.times(scale * 0.92);
        let thick = 1.3 * scale;
        let above = at.y - style.size * 1.1;
        let middle = above - thick;
        let inch = Side { at, step: self.inch_step, last: self.inches, mm: MM_PER_INCH, unit: "in" };
        let metric = Side { at, step: self.mm_step, last: self.millimetres, mm: 1.0, unit: "mm" };
        let mut items = inch.draw(Rect::new(0.0, middle, 0.0, above), at.y - style.size * 0.78, style);
        let lower = Rect::new(0.0, middle - thick, 0.0, middle);
        items.append(&mut metric.draw(lower, lower.y0 - style.size * 1.0, style));
        items
    }

    /// How high [`Bars::draw`] draws, mm.
    #[must_use]
    pub fn height(scale: f64) -> f64 {
        2.6 * scale + look::LABEL.size * 0.92 * scale * 2.3
    }
}

/// One of the two bars.
struct Side {
    at: Point,
    step: u32,
    last: u32,
    mm: f64,
    unit: &'static str,
}

impl Side {
    /// Fields filled in turn, an outline round them all, and a figure at each end of a field.
    fn draw(&self, band: Rect, baseline: f64, style: Style) -> Vec<Item> {
        let x = |n: u32| self.at.x + f64::from(n) * self.mm;
        let mut items = Vec::new();
        for n in (0..self.last).step_by(self.step as usize * 2) {
            let field = Rect::new(x(n), band.y0, x((n + self.step).min(self.last)), band.y1);
            items.push(sheet::fill(sheet::rectangle(field), look::INK));
        }
        // The outline is drawn inwards, so that the outermost ink is exactly the bar's length apart.
        let pen = 0.18;
        let frame = Rect::new(x(0), band.y0, x(self.last), band.y1).inset(-pen / 2.0);
        items.push(sheet::line(sheet::rectangle(frame), Pen::flat(pen, look::INK)));
        // On a bar too short for all figures only its ends are told.
        let widest = crate::views::letters::width(&format!("{} ", self.last), style.size);
        let step = if widest > f64::from(self.step) * self.mm { self.last } else { self.step };
        for n in (0..=self.last).step_by(step as usize) {
            let text = if n == self.last { format!("{n} {}", self.unit) } else { n.to_string() };
            let figure = crate::views::letters::width(&n.to_string(), style.size);
            // Figures stand under their lines, the last with its unit after it, the first flush with the bar.
            let left = if n == 0 { x(n) } else { x(n) - figure / 2.0 };
            items.push(words(&text, Point::new(left, baseline), style, Anchor::Start));
        }
        items
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    #[test]
    fn the_bars_are_four_inches_and_a_hundred_millimetres_long() {
        let items = TEST.draw(Point::new(20.0, 50.0), 1.0);
        let spans: Vec<f64> = items
            .iter()
            .filter_map(|item| match item {
                Item::Shape(s) if !s.pens.is_empty() => Some(s.path.bounding_box().width() + s.pens[0].width),
                _ => None,
            })
            .collect();
        assert_eq!(spans.len(), 2);
        assert!((spans[0] - 101.6).abs() < 1e-9 && (spans[1] - 100.0).abs() < 1e-9, "{spans:?}");
    }

    #[test]
    fn a_narrow_picture_gets_short_bars() {
        assert_eq!(Bars::within(60.0).inches, 2);
        assert_eq!(Bars::within(1.0).inches, 1);
        assert_eq!(Bars::within(2000.0).inches, 24);
    }
}
