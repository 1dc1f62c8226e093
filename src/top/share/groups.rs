//! A cover → the hoopings: every item in one of them, how the quilt lies in each, and which are alike.

use std::collections::BTreeMap;

use kurbo::{Affine, Point, Rect, Size};

use super::items::{self, Item, Kind, turned};
use super::windows::{Ground, Window};
use crate::base::angle::QUARTER_LEFT;
use crate::base::tolerance::DUST_MM;
use crate::survey::hoop::{CLEARANCE_MM, Hoop};
use crate::top::file::hooping::Turned;
use crate::top::sewing::Made;

/// Hoopings whose pieces lie alike to this are sewn from one file, mm: half the machine's step.
const ALIKE_MM: f64 = 0.05;

/// What all groups are formed from.
pub struct Ways<'a> {
    /// The items.
    pub items: &'a [Item],
    /// Every design made.
    pub made: &'a [Made],
    /// How the quilt may lie.
    pub grounds: &'a [Ground],
    /// Her hoops, the smallest first.
    pub hoops: &'a [Hoop],
    /// What is turned where pieces lie differently.
    pub turn: Turned,
}

/// One hooping.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// Its items; the first stands for where the file lies.
    pub items: Vec<usize>,
    /// Which of the files.
    pub file: usize,
    /// From the file's coordinates to the quilt.
    pub at: Affine,
}

/// Hoopings that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Alike {
    /// Items of the first of them, each with the way from its block to the file.
    pub members: Vec<(usize, Affine)>,
    /// The hoop that takes it as the quilt lies.
    pub hoop: Hoop,
    /// How far the quilt lies turned to the left for the first of them, degrees.
    pub lie_deg: f64,
}

/// What hoopings are compared by: hoop, and of each item its kind and where it lies.
type Mark = (usize, Vec<(Kind, i64, i64)>);

/// Each item given to one of the chosen windows that hold it: the one in which items of its kind lie so most often.
#[must_use]
pub fn divide(windows: &[&Window], ways: &Ways<'_>) -> Vec<Vec<usize>> {
    let key = |window: &Window, item: usize| {
        let (lie_deg, corner) = match window.ground {
            Some(g) => (ways.grounds[g].lie_deg, round(&window.items, &ways.grounds[g].boxes).origin()),
            None => (0.0, Point::ZERO),
        };
        let middle = Affine::rotate(lie_deg.to_radians()) * ways.items[item].centre();
        let (x, y) = (middle.x - corner.x, middle.y - corner.y);
        (window.items.len() > 1, ways.items[item].kind(lie_deg), cell(x), cell(y))
    };
    let mut votes = BTreeMap::new();
    let held = || windows.iter().enumerate().flat_map(|(w, win)| win.items.iter().map(move |i| (w, *i)));
    for (w, item) in held() {
        *votes.entry(key(windows[w], item)).or_insert(0_usize) += 1;
    }
    let mut best: Vec<Option<(usize, usize)>> = vec![None; ways.items.len()];
    for (w, item) in held() {
        let votes = votes[&key(windows[w], item)];
        if best[item].is_none_or(|(most, _)| votes > most) {
            best[item] = Some((votes, w));
        }
    }
    let mut groups = vec![Vec::new(); windows.len()];
    for (item, best) in best.iter().enumerate() {
        groups[best.map_or(0, |(_, w)| w)].push(item);
    }
    groups
}

/// The groups with their hoops and files.
///
/// # Errors
/// An item of a group that fits no hoop.
pub fn form(
    windows: &[&Window],
    divided: &[Vec<usize>],
    ways: &Ways<'_>,
) -> Result<(Vec<Group>, Vec<Alike>), usize> {
    let mut known: BTreeMap<Mark, usize> = BTreeMap::new();
    let (mut groups, mut files) = (Vec::new(), Vec::<Alike>::new());
    for (window, items) in windows.iter().zip(divided).filter(|(_, items)| !items.is_empty()) {
        let lies = lies(window.ground, items, ways);
        let marked: Vec<(Lying, Mark, Vec<usize>)> = lies
            .into_iter()
            .map(|lying| (lying, mark(items, &lying, ways)))
            .map(|(l, (m, i))| (l, m, i))
            .collect();
        let alike = marked.iter().position(|(_, mark, _)| known.contains_key(mark));
        let (lying, mark, items) = marked.into_iter().nth(alike.unwrap_or(0)).ok_or(items[0])?;
        let file = *known.entry(mark).or_insert_with(|| {
            files.push(file(&items, &lying, ways));
            files.len() - 1
        });
        let at = ways.items[items[0]].at * files[file].members[0].1.inverse();
        groups.push(Group { items, file, at });
    }
    Ok((groups, files))
}

/// How often each window's like is among them.
#[must_use]
pub fn likes(windows: &[Window], ways: &Ways<'_>) -> Vec<usize> {
    let marks: Vec<Option<Mark>> = windows
        .iter()
        .map(|w| Some(mark(&w.items, lies(w.ground, &w.items, ways).first()?, ways).0))
        .collect();
    let mut count: BTreeMap<&Mark, usize> = BTreeMap::new();
    marks.iter().flatten().for_each(|mark| *count.entry(mark).or_insert(0) += 1);
    marks.iter().map(|mark| mark.as_ref().map_or(0, |mark| count[mark])).collect()
}

/// A way in which the quilt may lie for a group.
#[derive(Clone, Copy)]
struct Lying {
    lie_deg: f64,
    hoop: usize,
    /// The corner of all its boxes as it lies; none for one item by itself.
    corner: Option<Point>,
    centre: Point,
}

/// The ways in which a group fits a hoop, the one to prefer first.
fn lies(ground: Option<usize>, items: &[usize], ways: &Ways<'_>) -> Vec<Lying> {
    let own = turned(-ways.items[items[0]].turn_deg().rem_euclid(90.0));
    // One item that lies square to the hoop is the same file wherever it was found.
    let square = |g: &usize| items.len() == 1 && ways.grounds[*g].lie_deg == own;
    let ground = ground.filter(|g| !square(g));
    let lie_deg = ground.map_or(own, |g| ways.grounds[g].lie_deg);
    let rect = match ground {
        Some(g) => round(items, &ways.grounds[g].boxes),
        None => {
            let item = &ways.items[items[0]];
            let piece = &ways.made[item.design].sewn[item.part].piece;
            items::alone(piece, quarters(item, lie_deg))
        }
    };
    let turns: &[u8] = match ways.turn {
        Turned::File => &[0, 1],
        Turned::Quilt => &[0, 2, 1, 3],
    };
    let way = |turn: &u8| {
        let rect = (0..*turn).fold(rect, |r, _| QUARTER_LEFT.transform_rect_bbox(r));
        let hoop = ways.hoops.iter().position(|h| takes(h, rect.size()))?;
        let corner = ground.map(|_| rect.origin());
        Some(Lying {
            lie_deg: turned(lie_deg + 90.0 * f64::from(*turn)),
            hoop,
            corner,
            centre: rect.center(),
        })
    };
    let found = turns.iter().filter_map(way);
    if ways.turn == Turned::File { found.take(1).collect() } else { found.collect() }
}

fn takes(hoop: &Hoop, size: Size) -> bool {
    let room = |mm: f64| mm - 2.0 * CLEARANCE_MM + DUST_MM;
    size.width <= room(hoop.width_mm) && size.height <= room(hoop.height_mm)
}

/// How many quarters an item is turned to the left as the quilt lies.
fn quarters(item: &Item, lie_deg: f64) -> u8 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 4")]
    let quarters = (turned(item.turn_deg() + lie_deg) / 90.0).round() as u8;
    quarters % 4
}

/// The group's mark, and its items in the order of it.
fn mark(items: &[usize], lying: &Lying, ways: &Ways<'_>) -> (Mark, Vec<usize>) {
    let lie = Affine::rotate(lying.lie_deg.to_radians());
    let mut rows: Vec<((Kind, i64, i64), usize)> = items
        .iter()
        .map(|i| {
            let item = &ways.items[*i];
            let away = lying.corner.map_or(Default::default(), |c| lie * item.centre() - c);
            ((item.kind(lying.lie_deg), cell(away.x), cell(away.y)), *i)
        })
        .collect();
    rows.sort_unstable();
    let (rows, items) = rows.into_iter().unzip();
    ((lying.hoop, rows), items)
}

/// A length in steps of [`ALIKE_MM`], counted from where no length in whole sixteenths of an inch or tenths of a millimetre
/// stands on the edge between two.
fn cell(mm: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred thousand")]
    let cell = ((mm + 0.0137) / ALIKE_MM).floor() as i64;
    cell
}

fn file(items: &[usize], lying: &Lying, ways: &Ways<'_>) -> Alike {
    let lie = Affine::rotate(lying.lie_deg.to_radians());
    let to_file = |i: &usize| {
        let item = &ways.items[*i];
        let by =
            if lying.corner.is_some() { -lying.centre.to_vec2() } else { -(lie * item.centre()).to_vec2() };
        (*i, Affine::translate(by) * lie * item.at)
    };
    let members = items.iter().map(to_file).collect();
    Alike { members, hoop: ways.hoops[lying.hoop], lie_deg: lying.lie_deg }
}

/// The box round the boxes of some items.
fn round(items: &[usize], boxes: &[Rect]) -> Rect {
    items.iter().map(|i| boxes[*i]).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

impl Alike {
    /// True if it is one item that lies square to the hoop; by how many quarters it is turned to the left.
    #[must_use]
    pub fn single(&self, items: &[Item]) -> Option<u8> {
        let [(item, _)] = self.members[..] else { return None };
        let turn = turned(items[item].turn_deg() + self.lie_deg);
        let off = (turn / 90.0 - (turn / 90.0).round()).abs();
        (off < 1e-4).then(|| quarters(&items[item], self.lie_deg))
    }
}
