//! Where a hooping lies, in words: blocks by row and column, borders by side and stretch.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};

use super::Work;
use super::file::top::Set;
use super::place::Place;
use super::setting;
use super::share::items::Item;
use crate::base::chain;

/// The sides of a border.
const SIDES: [&str; 4] = ["bottom", "right", "top", "left"];
/// Middles nearer to each other than this are one stretch, mm.
const SAME_MM: f64 = 0.5;
/// A part whose middle is off its piece's by more, as a share of the piece's size, lies towards that side.
const SOME: f64 = 0.08;

/// What the words are made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Whereabouts {
    /// Of every patch of the centre: its middle, and its row and column.
    spots: Vec<(Point, (f64, f64))>,
    /// True if rows and columns mean something to her.
    rows: bool,
    /// By border and side, where its stretches have their middles, from left to right or from top to bottom.
    stretches: BTreeMap<(usize, usize), Vec<f64>>,
}

impl Whereabouts {
    /// Of a whole quilt.
    #[must_use]
    pub fn new(work: &Work) -> Self {
        let (top, layout) = (&work.quilt.top, &work.layout);
        let grids = setting::set(top, &work.quilt.odds).spots.into_iter().map(|s| s.grid);
        // The patches of the centre stand first, in the order of its spots.
        let middles = layout.patches.iter().map(|p| chain::bounds(&p.outline).center());
        let mut stretches: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
        for design in &layout.designs {
            if let Place::Border(n) = design.place {
                for at in &design.at {
                    let middle = *at * Point::ZERO;
                    let side = side(middle, border(work, n));
                    stretches.entry((n, side)).or_default().push(along(middle, side));
                }
            }
        }
        for stretch in stretches.values_mut() {
            stretch.sort_by(f64::total_cmp);
            stretch.dedup_by(|a, b| (*a - *b).abs() < SAME_MM);
        }
        let rows = matches!(top.set, Set::Straight | Set::OnPoint);
        Self { spots: middles.zip(grids).collect(), rows, stretches }
    }

    /// Where some pieces lie that are hooped together.
    #[must_use]
    pub fn words(&self, items: &[Item], work: &Work) -> String {
        let mut groups: BTreeMap<String, Vec<(f64, f64)>> = BTreeMap::new();
        for item in items {
            let design = &work.layout.designs[item.design];
            let middle = item.centre();
            let mut label = match &design.place {
                Place::Border(n) => self.on_border(*n, middle, work),
                Place::BorderCorner(n) => format!("border {n}, {} corner", corner(middle)),
                place => place.to_string(),
            };
            let parts = work.made[item.design].sewn.len();
            if parts > 1 {
                label = format!("{label}, part {} of {parts}{}", item.part + 1, which_part(item, work));
            }
            let grid = (self.rows && !matches!(design.place, Place::Border(_) | Place::BorderCorner(_)))
                .then(|| self.nearest(middle))
                .flatten();
            groups.entry(label).or_default().extend(grid);
        }
        groups.into_iter().map(|(label, grids)| with_grids(label, grids)).collect::<Vec<_>>().join("; ")
    }

    fn nearest(&self, p: Point) -> Option<(f64, f64)> {
        let away = |q: &Point| q.distance_squared(p);
        self.spots.iter().min_by(|a, b| away(&a.0).total_cmp(&away(&b.0))).map(|(_, grid)| *grid)
    }

    fn on_border(&self, number: usize, middle: Point, work: &Work) -> String {
        let side = side(middle, border(work, number));
        let all = &self.stretches[&(number, side)];
        let at = all.iter().position(|x| (x - along(middle, side)).abs() < SAME_MM).unwrap_or(0);
        match all.len() {
            1 => format!("border {number}, {}", SIDES[side]),
            count => {
                let from = if side.is_multiple_of(2) { "left" } else { "top" };
                format!("border {number}, {}, {} of {count} from the {from}", SIDES[side], at + 1)
            }
        }
    }
}

/// Where in its piece a part lies, as the quilt hangs: ` (upper left)`.
fn which_part(item: &Item, work: &Work) -> String {
    let parts = &work.made[item.design].sewn;
    let on_quilt = |part: usize| item.at.transform_rect_bbox(parts[part].piece.stitches.bounds());
    let whole = (0..parts.len()).map(on_quilt).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    let off = on_quilt(item.part).center() - whole.center();
    let way = |part: f64, less, more| match part {
        _ if part < -SOME => less,
        _ if part > SOME => more,
        _ => "",
    };
    let up = way(off.y / whole.height().max(1.0), "lower", "upper");
    let across = way(off.x / whole.width().max(1.0), "left", "right");
    match [up, across].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ") {
        words if words.is_empty() => " (middle)".to_owned(),
        words => format!(" ({words})"),
    }
}

/// The outer edge of a border.
fn border(work: &Work, number: usize) -> Rect {
    let patches = work.layout.patches.iter();
    let own = patches.filter(|p| matches!(p.place, Place::Border(n) | Place::BorderCorner(n) if n == number));
    let boxes = own.map(|p| chain::bounds(&p.outline));
    boxes.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

/// On which side of a border a place lies: bottom, right, top, left.
fn side(p: Point, outer: Rect) -> usize {
    let away = [p.y - outer.y0, outer.x1 - p.x, outer.y1 - p.y, p.x - outer.x0];
    (0..4).min_by(|a, b| away[*a].total_cmp(&away[*b])).unwrap_or(0)
}

/// How far along its side, from left to right or from top to bottom.
fn along(p: Point, side: usize) -> f64 {
    if side.is_multiple_of(2) { p.x } else { -p.y }
}

fn corner(p: Point) -> &'static str {
    match (p.y > 0.0, p.x > 0.0) {
        (true, true) => "top right",
        (true, false) => "top left",
        (false, true) => "bottom right",
        (false, false) => "bottom left",
    }
}

/// `blocks: row 2, columns 3, 4; row 3, column 3`.
fn with_grids(label: String, grids: Vec<(f64, f64)>) -> String {
    if grids.is_empty() {
        return label;
    }
    let mut rows: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
    for (row, column) in grids {
        #[expect(clippy::cast_possible_truncation, reason = "quarters of a few rows")]
        rows.entry((row * 4.0).round() as i64).or_default().push(column);
    }
    let row = |(row, mut columns): (i64, Vec<f64>)| {
        columns.sort_by(f64::total_cmp);
        #[expect(clippy::cast_precision_loss, reason = "quarters of a few rows")]
        let row = count(row as f64 / 4.0);
        let word = if columns.len() == 1 { "column" } else { "columns" };
        let columns: Vec<String> = columns.into_iter().map(count).collect();
        format!("row {row}, {word} {}", columns.join(", "))
    };
    let rows: Vec<String> = rows.into_iter().map(row).collect();
    format!("{label}: {}", rows.join("; "))
}

/// A row or column with its half or quarter: `2½`.
fn count(x: f64) -> String {
    let quarters = (x * 4.0).round();
    let part = ["", "¼", "½", "¾"];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 3")]
    let part = part[quarters.rem_euclid(4.0) as usize];
    match (quarters / 4.0).floor() {
        whole if whole == 0.0 && !part.is_empty() => part.to_owned(),
        whole => format!("{whole}{part}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_and_columns_are_said_once() {
        let said = with_grids("sashes".to_owned(), vec![(2.0, 3.5), (1.5, 2.0), (2.0, 1.5)]);
        assert_eq!(said, "sashes: row 1½, column 2; row 2, columns 1½, 3½");
        assert_eq!([0.5, 4.0, 0.0, 12.25].map(count), ["½", "4", "0", "12¼"]);
    }

    #[test]
    fn a_place_on_a_border_lies_on_its_nearest_side() {
        let outer = Rect::new(-50.0, -80.0, 50.0, 80.0);
        let sides = [(0.0, -75.0), (45.0, 70.0), (0.0, 75.0), (-45.0, -70.0)];
        assert_eq!(sides.map(|p| SIDES[side(p.into(), outer)]), ["bottom", "right", "top", "left"]);
    }
}
