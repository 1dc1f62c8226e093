//! Colours that say something: the order of sewing, and a heat map of any figure.
//!
//! Both ramps grow steadily darker or lighter, so they can be read by everyone and on a grey print.

use kurbo::{BezPath, Point, Rect, Shape as _};

use crate::views::look;
use crate::views::sheet::{self, Ink, Item, Pen};
use crate::views::thread;

/// Steps of colour from the first stitch to the last.
const ORDER_STEPS: usize = 32;
/// Steps of colour of a heat map.
const HEAT_STEPS: usize = 10;
/// Dark blue over green to yellow: lightness rises evenly, so blue- and green-blind eyes read it too.
const ORDER: [[f64; 3]; 5] = [
    [38.0, 20.0, 84.0],
    [40.0, 84.0, 130.0],
    [28.0, 138.0, 132.0],
    [96.0, 186.0, 90.0],
    [226.0, 202.0, 48.0],
];
/// Cotton over orange to dark red.
const HEAT: [[f64; 3]; 5] = [
    [249.0, 240.0, 220.0],
    [248.0, 208.0, 148.0],
    [234.0, 150.0, 84.0],
    [190.0, 78.0, 48.0],
    [112.0, 26.0, 40.0],
];

/// A figure at many places of a block, to be shown as colour.
#[derive(Debug, Clone, PartialEq)]
pub struct Heat {
    /// What it is: `needle holes in 1 mm`.
    pub label: String,
    /// The figure that gets the darkest colour; zero gets none.
    pub top: f64,
    /// Side of the square drawn for each place, mm.
    pub cell_mm: f64,
    /// Centres of squares, and the figure there.
    pub cells: Vec<(Point, f64)>,
}

impl Heat {
    /// The squares, one path for each step of colour.
    #[must_use]
    pub fn draw(&self) -> Vec<Item> {
        let mut paths: Vec<BezPath> = vec![BezPath::new(); HEAT_STEPS + 1];
        for (centre, figure) in &self.cells {
            let square = Rect::from_center_size(*centre, (self.cell_mm, self.cell_mm));
            if let Some(path) = paths.get_mut(step(*figure / self.top, HEAT_STEPS)) {
                path.extend(square.path_elements(0.0));
            }
        }
        let parts = paths.into_iter().enumerate().skip(1);
        parts
            .filter(|(_, path)| !path.elements().is_empty())
            .map(|(i, path)| sheet::fill(path, ramp(&HEAT, part(i, HEAT_STEPS))))
            .collect()
    }

    /// What the colours mean.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}, 0 to {}", self.label, self.top)
    }
}

/// The thread in colours from the first stitch to the last, `times` as wide as an ordinary coloured line.
#[must_use]
pub fn order(runs: &[Vec<Point>], times: f64) -> Vec<Item> {
    let stitches = thread::fresh(runs);
    let size = stitches.len().div_ceil(ORDER_STEPS).max(1);
    stitches
        .chunks(size)
        .enumerate()
        .map(|(i, chunk)| {
            let ink = ramp(&ORDER, part(i, ORDER_STEPS - 1));
            sheet::line(thread::joined(chunk), Pen::new(look::THREAD_MM * 1.4 * times, ink))
        })
        .collect()
}

/// Five colours that stand for the order of sewing.
#[must_use]
pub fn order_ramp() -> [Ink; 5] {
    [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| ramp(&ORDER, t))
}

/// Five colours that stand for a heat map.
#[must_use]
pub fn heat_ramp() -> [Ink; 5] {
    [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| ramp(&HEAT, t))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the number of steps")]
fn step(share: f64, steps: usize) -> usize {
    (share.clamp(0.0, 1.0) * steps as f64).round() as usize
}

fn part(step: usize, steps: usize) -> f64 {
    (step as f64 / steps as f64).min(1.0)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
fn ramp(colours: &[[f64; 3]; 5], t: f64) -> Ink {
    let along = t.clamp(0.0, 1.0) * 4.0;
    let low = (along.floor() as usize).min(3);
    let rest = along - low as f64;
    let rgb = [0, 1, 2].map(|i| (colours[low][i] * (1.0 - rest) + colours[low + 1][i] * rest).round() as u8);
    Ink { rgb, opacity: 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lightness(ink: Ink) -> f64 {
        let [r, g, b] = ink.rgb.map(f64::from);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    #[test]
    fn both_ramps_can_be_read_without_colour() {
        let light = order_ramp().map(lightness);
        assert!(light.windows(2).all(|w| w[1] > w[0] + 15.0), "{light:?}");
        let light = heat_ramp().map(lightness);
        assert!(light.windows(2).all(|w| w[1] < w[0] - 15.0), "{light:?}");
    }

    #[test]
    fn a_cell_of_the_top_figure_is_darkest_and_zero_is_not_drawn() {
        let cells = vec![(Point::ZERO, 0.0), (Point::new(5.0, 0.0), 12.0)];
        let heat = Heat { label: "holes".into(), top: 12.0, cell_mm: 2.0, cells };
        let items = heat.draw();
        assert_eq!(items.len(), 1);
        assert!(matches!(&items[0], Item::Shape(s) if s.fill == Some(heat_ramp()[4])));
    }
}
