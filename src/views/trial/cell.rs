//! One cell of a picture to choose from: lines and cloth side by side, its name, its figures, its verdict.

use kurbo::{Affine, Rect, Vec2};

use super::{Cell, Heading, Sample};
use crate::base::units::show_length;
use crate::views::cloth::{self, Options};
use crate::views::column::Column;
use crate::views::look::{self, Cotton, Style};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Group, Image, Item, Pen};

/// From the lines to the cloth, mm.
const GAP_MM: f64 = 2.0;
/// Blocks flatter than this stand over their cloth, others beside it.
const FLAT: f64 = 0.62;
/// The most lines of words that tell why a design does not fit.
const WHY_LINES: usize = 9;
/// Thread drawn this much wider than life for each halving of its size.
const WIDER: f64 = 0.72;

/// How large a cell is.
pub struct Room {
    /// Its width, mm.
    pub width: f64,
    /// Height of a picture over its width.
    pub shape: f64,
    /// Letters against the sheet's usual.
    pub letters: f64,
}

/// A cell, from y = 0 downwards.
pub struct Drawn {
    pub items: Vec<Item>,
    pub height: f64,
}

/// Draws a cell.
pub fn draw(cell: &Cell, heading: &Heading, room: &Room) -> Drawn {
    let boxes = boxes(room);
    let bottom = boxes[1].y0;
    let mut items = Vec::new();
    let style = |s: Style| s.times(room.letters);
    let mut words = Column::new(0.0, bottom - 2.2, room.width);
    words.text(&cell.title, style(Style { ink: look::INK, ..look::VALUE }), 2);
    match &cell.made {
        Ok(sample) => {
            items.push(lines(&sample.picture, heading.cotton, boxes[0]));
            items.push(Item::Image(Image { at: boxes[1], ..sample.relief.clone() }));
            words.gap(0.5);
            words.text(&figures(sample), style(look::LABEL), 2);
            if let Some(gap) = sample.gap_mm {
                let gap = format!("widest gap {}", show_length(gap, heading.units));
                words.text(&gap, style(look::LABEL), 2);
            }
            let ink = if sample.held { look::START } else { look::END };
            words.text(&verdict(sample, heading), style(Style { ink, ..look::LABEL }), 3);
        }
        Err(why) => {
            let all = boxes[0].union(boxes[1]);
            items.push(sheet::line(sheet::rounded(all, 1.5), Pen::dashed(0.25, look::HAIR, &[1.6, 1.2])));
            let label = style(look::LABEL);
            let inset = 3.0;
            let mut told = Column::new(all.x0 + inset, all.y1 - inset, all.width() - 2.0 * inset);
            let fits = ((all.height() - 2.0 * inset) / (label.size * label.leading)).floor();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few lines")]
            let most = (fits.max(1.0) as usize).min(WHY_LINES);
            told.text(why, label, most);
            items.append(&mut told.items);
        }
    }
    let height = -words.y;
    items.append(&mut words.items);
    Drawn { items, height }
}

/// Where the lines and the cloth stand.
fn boxes(room: &Room) -> [Rect; 2] {
    if room.shape < FLAT {
        let high = room.width * room.shape;
        let upper = Rect::new(0.0, -high, room.width, 0.0);
        return [upper, upper - Vec2::new(0.0, high + GAP_MM)];
    }
    let wide = (room.width - GAP_MM) / 2.0;
    let left = Rect::new(0.0, -wide * room.shape, wide, 0.0);
    [left, left + Vec2::new(wide + GAP_MM, 0.0)]
}

/// The block as lines, filling `into`.
fn lines(picture: &Picture, cotton: Cotton, into: Rect) -> Item {
    let bounds = picture.extent();
    let scale = (into.width() / bounds.width()).min(into.height() / bounds.height());
    let enlarged = scale.max(1e-6).powf(-WIDER);
    let options = Options { marks: false, enlarged, cotton, ..Options::default() };
    let bare = Picture { field: None, inside: Vec::new(), ..picture.clone() };
    let placed = Affine::translate(into.center().to_vec2())
        * Affine::scale(scale)
        * Affine::translate(-bounds.center().to_vec2());
    Item::Group(Group::new(&picture.title, placed, cloth::draw(&bare, &options, 1.0)))
}

fn figures(sample: &Sample) -> String {
    let mut parts = vec![
        format!("{:.1} minutes", sample.minutes),
        format!("{:.0} m of thread", sample.thread_m.max(1.0)),
    ];
    match sample.jumps {
        0 => {}
        1 => parts.push("1 jump".into()),
        n => parts.push(format!("{n} jumps")),
    }
    parts.join("  ·  ")
}

fn verdict(sample: &Sample, heading: &Heading) -> String {
    let batting = &heading.batting;
    match sample.held {
        true => format!("Close enough for {batting}."),
        false => {
            let limit = show_length(heading.gap_limit_mm, heading.units);
            format!("Too open for {batting}, which allows {limit}.")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flat_blocks_stand_over_their_cloth_and_others_beside_it() {
        let [upper, lower] = boxes(&Room { width: 80.0, shape: 0.25, letters: 1.0 });
        assert!(upper.y0 > lower.y1 && (upper.width() - 80.0).abs() < 1e-9);
        let [left, right] = boxes(&Room { width: 80.0, shape: 1.0, letters: 1.0 });
        assert!(left.x1 < right.x0 && (left.width() - 39.0).abs() < 1e-9 && left.y0 == right.y0);
    }
}
