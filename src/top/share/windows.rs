//! Items as they lie → every set of them worth hooping together: those in a field pushed against them from the left and from below.
//!
//! Some smallest cover has all its fields pushed so (as in [`crate::top::cover`]). The fields are those of all her hoops, as they
//! are mounted and, for the quilt turned a quarter, on their sides.

use std::collections::BTreeSet;

use kurbo::{Rect, Size};

use super::items::Item;
use crate::base::tolerance::DUST_MM;
use crate::top::cover::places;

/// The quilt as it lies: turned to the left by so much, with the boxes of all items.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// Degrees.
    pub lie_deg: f64,
    /// By item.
    pub boxes: Vec<Rect>,
}

/// Items that fit one field together.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// Rising.
    pub items: Vec<usize>,
    /// On which of the grounds; `None` for one item that lies square to the hoop by itself.
    pub ground: Option<usize>,
}

/// All of them, each set once.
#[must_use]
pub fn candidates(items: &[Item], grounds: &[Ground], fields: &[Size]) -> Vec<Window> {
    let mut found = Found::default();
    let open: Vec<usize> = (0..items.len()).filter(|i| !items[*i].alone).collect();
    for (number, ground) in grounds.iter().enumerate() {
        for field in fields {
            pushed(&open, &ground.boxes, field, number, &mut found);
        }
    }
    for item in 0..items.len() {
        found.add(vec![item], None);
    }
    found.windows
}

#[derive(Default)]
struct Found {
    windows: Vec<Window>,
    seen: BTreeSet<Vec<usize>>,
}

impl Found {
    fn add(&mut self, items: Vec<usize>, ground: Option<usize>) {
        if self.seen.insert(items.clone()) {
            self.windows.push(Window { items, ground });
        }
    }
}

/// The windows of one field.
fn pushed(open: &[usize], boxes: &[Rect], field: &Size, ground: usize, found: &mut Found) {
    for x in places(open.iter().map(|i| boxes[*i].x0)) {
        let within = |i: &&usize| boxes[**i].x0 >= x - DUST_MM && boxes[**i].x1 <= x + field.width + DUST_MM;
        let column: Vec<usize> = open.iter().filter(within).copied().collect();
        for y in places(column.iter().map(|i| boxes[*i].y0)) {
            let within =
                |i: &&usize| boxes[**i].y0 >= y - DUST_MM && boxes[**i].y1 <= y + field.height + DUST_MM;
            let held: Vec<usize> = column.iter().filter(within).copied().collect();
            // Where nothing touches its left side, the window further right holds the same.
            if held.iter().any(|i| boxes[*i].x0 <= x + DUST_MM) {
                found.add(held, Some(ground));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;

    use super::*;

    fn row(count: usize, alone: &[usize]) -> (Vec<Item>, Ground) {
        let item = |i: usize| Item { design: 0, part: 0, at: Affine::IDENTITY, alone: alone.contains(&i) };
        #[expect(clippy::cast_precision_loss, reason = "a few")]
        let boxes = (0..count).map(|i| Rect::new(i as f64 * 10.0, 0.0, i as f64 * 10.0 + 9.0, 5.0)).collect();
        ((0..count).map(item).collect(), Ground { lie_deg: 0.0, boxes })
    }

    #[test]
    fn every_set_that_fits_is_found_once() {
        let (items, ground) = row(4, &[]);
        let sets = candidates(&items, &[ground], &[Size::new(20.0, 6.0), Size::new(6.0, 20.0)]);
        let mut sets: Vec<Vec<usize>> = sets.into_iter().map(|w| w.items).collect();
        sets.sort();
        let wanted: [&[usize]; 7] = [&[0], &[0, 1], &[1], &[1, 2], &[2], &[2, 3], &[3]];
        assert_eq!(sets, wanted);
    }

    #[test]
    fn what_is_hooped_by_itself_is_in_no_other_set() {
        let (items, ground) = row(4, &[1]);
        let sets = candidates(&items, &[ground], &[Size::new(40.0, 6.0)]);
        let with: Vec<&Window> = sets.iter().filter(|w| w.items.contains(&1)).collect();
        assert_eq!((with.len(), with[0].items.len(), with[0].ground), (1, 1, None));
        assert!(sets.iter().any(|w| w.items == [0, 2, 3]));
    }
}
