//! Boxes → windows in rows or columns that hold them all: quick for a hundred thousand boxes, and no worse than a plain grid.
//!
//! Next-fit by the lower edge: a row begins at the lowest box that is left and holds what ends within its height, and in it
//! a window begins at the leftmost box that is left. Limits: the fewest only if no more than a bound from below.

use kurbo::{Affine, Point, Rect, Size};

use crate::base::tolerance::DUST_MM;

/// Windows of one of the sizes in `fields`, in rows or in columns, whichever takes the fewest; `None` if no size holds every box.
#[must_use]
pub fn shelves(boxes: &[Rect], fields: &[Size]) -> Option<Vec<Rect>> {
    let upright: Vec<Rect> = boxes.iter().map(|b| swapped(*b)).collect();
    let ways = fields.iter().flat_map(|f| {
        let columns = rows(&upright, Size::new(f.height, f.width));
        [rows(boxes, *f), columns.map(|all| all.into_iter().map(swapped).collect())]
    });
    ways.flatten().min_by_key(Vec::len)
}

/// A box with its axes exchanged.
fn swapped(b: Rect) -> Rect {
    Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]).transform_rect_bbox(b)
}

fn rows(boxes: &[Rect], field: Size) -> Option<Vec<Rect>> {
    let holds = |b: &Rect| b.width() <= field.width + DUST_MM && b.height() <= field.height + DUST_MM;
    if !boxes.iter().all(holds) {
        return None;
    }
    let mut left: Vec<Rect> = boxes.to_vec();
    left.sort_by(|a, b| a.y0.total_cmp(&b.y0));
    let mut windows = Vec::new();
    while let Some(y) = left.first().map(|b| b.y0) {
        let (mut row, rest): (Vec<Rect>, Vec<Rect>) =
            left.into_iter().partition(|b| b.y1 <= y + field.height + DUST_MM);
        left = rest;
        row.sort_by(|a, b| a.x0.total_cmp(&b.x0));
        while let Some(x) = row.first().map(|b| b.x0) {
            windows.push(Rect::from_origin_size(Point::new(x, y), field));
            row.retain(|b| b.x1 > x + field.width + DUST_MM);
        }
    }
    Some(windows)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_grid_is_never_better() {
        let small =
            |x: u32, y: u32| Rect::from_origin_size((f64::from(x) * 5.0, f64::from(y) * 5.0), (5.0, 5.0));
        let boxes: Vec<Rect> = (0..80).flat_map(|x| (0..37).map(move |y| small(x, y))).collect();
        // 400 by 185 in windows of 190 by 290: 3 across turned one way, 2 the other.
        let got = shelves(&boxes, &[Size::new(190.0, 290.0), Size::new(290.0, 190.0)]).unwrap();
        assert_eq!(got.len(), 2);
        assert!(
            boxes
                .iter()
                .all(|b| got.iter().any(|w| w.inflate(1e-6, 1e-6).union(*b).area() <= w.area() + 0.01))
        );
        assert_eq!(shelves(&boxes, &[Size::new(4.0, 300.0)]), None);
    }
}
