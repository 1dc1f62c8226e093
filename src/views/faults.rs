//! Faults of a checked design, each with its number, on the block that they lie in.

use kurbo::{BezPath, Point, Rect, Vec2};

use crate::survey::verdict::Mark;
use crate::views::column::words;
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::sheet::{self, Anchor, Item, Pen, Shape, Weight};

/// A fault and the number under which it is told.
#[derive(Debug, Clone, PartialEq)]
pub struct Fault {
    /// Its number, from 1.
    pub number: usize,
    /// Where it lies.
    pub mark: Mark,
}

/// So many stitches of one fault are marked one by one.
const MOST_STITCHES: usize = 2000;
const BADGE_MM: f64 = 2.1;
const LETTERS: Style = Style { size: 3.2, weight: Weight::Bold, ink: look::CLEAR, leading: 1.0 };

/// The faults' marks, then their numbers over them; `scale` times their ordinary size.
#[must_use]
pub fn draw(faults: &[Fault], scale: f64) -> Vec<Item> {
    let mut items: Vec<Item> = faults.iter().map(|fault| marked(&fault.mark, scale)).collect();
    let mut taken: Vec<Point> = Vec::new();
    for fault in faults {
        let Some(at) = badge_place(&fault.mark, scale) else { continue };
        let mut at = at;
        // Numbers of faults in one place stand side by side.
        while taken.iter().any(|p| p.distance(at) < 2.0 * BADGE_MM * scale) {
            at.x += 2.2 * BADGE_MM * scale;
        }
        taken.push(at);
        items.append(&mut badge(fault.number, at, scale));
    }
    items
}

fn marked(mark: &Mark, scale: f64) -> Item {
    let pen = Pen::flat(0.5 * scale, look::END);
    match mark {
        Mark::Area(bounds) => {
            let path = sheet::rounded(bounds.inflate(1.0, 1.0), 1.0);
            Item::Shape(Shape { path, fill: Some(look::END.thin(0.12)), pens: vec![pen] })
        }
        Mark::Circle(at, wide) => sheet::line(
            sheet::circle(*at, (wide / 2.0).max(1.4 * scale)),
            Pen::dashed(0.5 * scale, look::END, &[2.2, 1.3]),
        ),
        Mark::Stitches(ends) => {
            let mut path = BezPath::new();
            for (from, to) in ends.iter().take(MOST_STITCHES) {
                path.move_to(*from);
                path.line_to(*to + Vec2::new(0.01, 0.0));
            }
            sheet::line(path, Pen::new(1.3 * scale, look::END.thin(0.75)))
        }
    }
}

/// Where a fault's number stands: at the upper left of an area, over a circle, beside the first stitch.
fn badge_place(mark: &Mark, scale: f64) -> Option<Point> {
    let up = BADGE_MM * scale;
    Some(match mark {
        Mark::Area(b) => Point::new(b.x0 - 1.0, b.y1 + 1.0),
        Mark::Circle(at, wide) => *at + Vec2::new(0.0, (wide / 2.0).max(1.4 * scale) + up),
        Mark::Stitches(ends) => {
            let (from, to) = ends.first()?;
            from.midpoint(*to) + Vec2::new(-up, up)
        }
    })
}

/// A number on a disc.
#[must_use]
pub fn badge(number: usize, at: Point, scale: f64) -> Vec<Item> {
    let disc = Rect::from_center_size(at, Vec2::new(2.0, 2.0).to_size() * BADGE_MM * scale);
    let style = LETTERS.times(scale);
    let base = at - Vec2::new(0.0, style.size * letters::CAPITAL / 2.0);
    vec![
        Item::Shape(Shape {
            path: sheet::rounded(disc, BADGE_MM * scale),
            fill: Some(look::END),
            pens: vec![Pen::new(0.3 * scale, look::CLEAR)],
        }),
        words(&number.to_string(), base, style, Anchor::Middle),
    ]
}
