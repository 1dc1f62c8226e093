//! The words on a sheet: what they say and where they stand.

use kurbo::{Affine, Rect};
use thrice::views::letters;
use thrice::views::sheet::{Anchor, Item, Sheet};

/// A line of words and the box it fills on its sheet, mm.
pub struct Placed {
    pub text: String,
    pub area: Rect,
}

/// Every line of words on a sheet, in drawing order.
pub fn placed(sheet: &Sheet) -> Vec<Placed> {
    let mut all = Vec::new();
    collect(&sheet.items, Affine::IDENTITY, &mut all);
    all
}

/// The words of a sheet in one text, a line each.
pub fn text(sheet: &Sheet) -> String {
    placed(sheet).iter().map(|p| p.text.as_str()).collect::<Vec<_>>().join("\n")
}

/// What is wrong with where the words stand: off the page, or over one another.
pub fn faults(sheet: &Sheet) -> Vec<String> {
    let page = Rect::new(0.0, 0.0, sheet.width, sheet.height);
    let words = placed(sheet);
    let mut faults = Vec::new();
    for (i, one) in words.iter().enumerate() {
        if one.area.intersect(page) != one.area {
            faults.push(format!("`{}` leaves the page", one.text));
        }
        for other in &words[i + 1..] {
            let shared = one.area.intersect(other.area);
            if shared.width() > 0.0 && shared.height() > 0.0 {
                faults.push(format!("`{}` lies on `{}`", one.text, other.text));
            }
        }
    }
    faults
}

fn collect(items: &[Item], outer: Affine, all: &mut Vec<Placed>) {
    for item in items {
        match item {
            Item::Group(group) => {
                let placed = outer * group.placed;
                let mut inside = Vec::new();
                collect(&group.items, placed, &mut inside);
                if let Some(clip) = group.clip.map(|c| placed.transform_rect_bbox(c)) {
                    inside.retain(|p| p.area.overlaps(clip));
                    inside.iter_mut().for_each(|p| p.area = p.area.intersect(clip));
                }
                all.append(&mut inside);
            }
            Item::Words(words) => {
                let wide = letters::width(&words.text, words.size);
                let left = match words.anchor {
                    Anchor::Start => words.at.x,
                    Anchor::Middle => words.at.x - wide / 2.0,
                    Anchor::End => words.at.x - wide,
                };
                // From the baseline to the top of the capitals: descenders may reach between the lines below.
                let own =
                    Rect::new(left, words.at.y, left + wide, words.at.y + words.size * letters::CAPITAL);
                all.push(Placed { text: words.text.clone(), area: outer.transform_rect_bbox(own) });
            }
            Item::Shape(_) | Item::Image(_) => {}
        }
    }
}
