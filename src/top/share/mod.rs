//! Everything that is made → its hoopings: few, several pieces in one where they fit together, one file for those alike.
//!
//! In: the designs made and where they lie. Out: [`Shared`]: every machine file, and every hooping with its pieces. The quilt lies
//! straight in the hoop, or by 45° for tops on point, each with the hoop as it is mounted and the quilt turned a quarter.
//! Method: [`windows`] finds all sets of pieces that a field holds, [`fewest`] the fewest of them that hold everything. No piece
//! is cut here: what [`Least::bound`] counts are pieces, and parts of large pieces, as they are, in a quilt that lies so.

pub mod fewest;
pub mod groups;
pub mod items;
mod prices;
mod together;
mod turned;
pub mod windows;

use kurbo::{Affine, Point};
use rayon::iter::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};

use super::TopError;
use super::cover;
use super::file::Quilt;
use super::layout::Layout;
use super::sewing::{Made, Sewn};
use super::split::fields;
use super::totals::Least;
use crate::base::tolerance::GRID_MM;
use groups::{Alike, Group, Ways};
use items::Item;
use windows::{Ground, Window};

/// What is sewn in which hooping.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    /// Every piece at every place.
    pub items: Vec<Item>,
    /// Every machine file.
    pub sewn: Vec<Sewn>,
    /// Every hooping, in no order.
    pub groups: Vec<Group>,
    /// How few hoopings there can be.
    pub least: Least,
}

/// The sets that a cover is chosen from, and the cover.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Every piece at every place.
    pub items: Vec<Item>,
    /// How the quilt may lie, with the boxes of all items.
    pub grounds: Vec<Ground>,
    /// Every set of items worth hooping together.
    pub windows: Vec<Window>,
    /// Those that were chosen.
    pub fewest: fewest::Fewest,
}

/// Shares out everything that is made.
///
/// # Errors
/// [`TopError::HoopTooSmall`] for a piece that fits no hoop; [`TopError::Piece`] if pieces cannot be sewn together.
pub fn share(made: &[Made], layout: &Layout, quilt: &Quilt) -> Result<Shared, TopError> {
    let choice = choose(made, layout, quilt);
    let ways = ways(&choice, made, quilt);
    let windows: Vec<&Window> = choice.fewest.chosen.iter().map(|w| &choice.windows[*w]).collect();
    let divided = groups::divide(&windows, &ways);
    let (groups, files) =
        groups::form(&windows, &divided, &ways).map_err(|item| too_small(made, &choice.items[item]))?;
    let sewn = files.par_iter().enumerate().map(|(number, file)| {
        let at = groups.iter().filter(|g| g.file == number).map(|g| g.at).collect();
        sewn(file, &choice.items, made, at)
    });
    let sewn = sewn.collect::<Result<Vec<Sewn>, TopError>>()?;
    let least = Least {
        planned: groups.len(),
        bound: choice.fewest.bound,
        aslant: choice.grounds.len() > 1,
        alone: choice.items.iter().any(|item| item.alone),
    };
    Ok(Shared { sewn, groups, least, items: choice.items })
}

/// Chooses the fewest sets of items that hold all.
#[must_use]
pub fn choose(made: &[Made], layout: &Layout, quilt: &Quilt) -> Choice {
    let items = items::list(made, layout, quilt);
    let grounds: Vec<Ground> = lies(&items)
        .into_iter()
        .map(|lie_deg| Ground { lie_deg, boxes: items::boxes(&items, made, lie_deg) })
        .collect();
    let windows = windows::candidates(&items, &grounds, &cover::largest(&fields(&quilt.hoops)));
    let none = fewest::Fewest { chosen: Vec::new(), bound: 0 };
    let mut choice = Choice { items, grounds, windows, fewest: none };
    let costs = costs(&choice, made, quilt);
    let sets: Vec<Vec<usize>> = choice.windows.iter().map(|w| w.items.clone()).collect();
    // Each item is a set by itself too, so there is a cover.
    choice.fewest = fewest::fewest(choice.items.len(), &sets, &costs).unwrap_or(choice.fewest);
    choice
}

fn ways<'a>(choice: &'a Choice, made: &'a [Made], quilt: &'a Quilt) -> Ways<'a> {
    let (items, grounds, hoops) = (&choice.items, &choice.grounds, &quilt.hoops);
    Ways { items, made, grounds, hoops, turn: quilt.hooping.turn }
}

fn too_small(made: &[Made], item: &Item) -> TopError {
    TopError::HoopTooSmall { name: made[item.design].sewn[item.part].piece.order.name.clone() }
}

/// How the quilt may lie: straight, and by 45° if anything is on point.
fn lies(items: &[Item]) -> Vec<f64> {
    let on_point = items.iter().any(|i| (i.turn_deg().rem_euclid(90.0) - 45.0).abs() < 0.01);
    if on_point { vec![0.0, 315.0] } else { vec![0.0] }
}

/// What a window costs besides being one more: the quilt lying aslant, and a file that is sewn seldom.
fn costs(choice: &Choice, made: &[Made], quilt: &Quilt) -> Vec<f64> {
    let likes = groups::likes(&choice.windows, &ways(choice, made, quilt));
    let most = likes.iter().copied().max().unwrap_or(1).max(1);
    let cost = |(window, likes): (&Window, &usize)| {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
        let seldom = 1.0 - *likes as f64 / most as f64;
        let aslant = window.ground.is_some_and(|g| choice.grounds[g].lie_deg != 0.0);
        seldom.mul_add(0.7, if aslant { 0.3 } else { 0.0 })
    };
    choice.windows.iter().zip(&likes).map(cost).collect()
}

/// The machine file of hoopings that are alike.
fn sewn(file: &Alike, items: &[Item], made: &[Made], at: Vec<Affine>) -> Result<Sewn, TopError> {
    let one = |item: usize| &made[items[item].design].sewn[items[item].part];
    let first = one(file.members[0].0);
    let piece = match file.single(items) {
        Some(quarters) => turned::in_hoop(&first.piece, quarters, file.hoop),
        None => {
            let members: Vec<_> =
                file.members.iter().map(|(i, to_file)| (&one(*i).piece, *to_file)).collect();
            let name = first.piece.order.name.clone();
            together::join(&members, file.hoop).map_err(|error| TopError::Piece { name, error })?
        }
    };
    let part = if file.members.len() == 1 { first.part } else { None };
    let joins = joins(file, &piece, &one);
    Ok(Sewn { folder: "machine".to_owned(), piece, hoop: file.hoop, part, joins, at })
}

/// The needle holes shared with other hoopings: those of its items that no other item of it shares.
fn joins<'m>(file: &Alike, piece: &crate::tailor::Piece, one: &impl Fn(usize) -> &'m Sewn) -> Vec<Point> {
    let placed = file.members.iter().enumerate().flat_map(|(n, (i, to_file))| {
        one(*i).joins.iter().map(move |p| (n, *to_file * *p)).collect::<Vec<_>>()
    });
    let placed: Vec<(usize, Point)> = placed.collect();
    let near = 3.0 * GRID_MM;
    let within = |(n, p): &(usize, Point)| placed.iter().any(|(m, q)| m != n && p.distance(*q) < near);
    let hole = |p: Point| {
        let away = |q: &Point| q.distance_squared(p);
        piece.stitches.points().min_by(|a, b| away(a).total_cmp(&away(b)))
    };
    let mut joins: Vec<Point> =
        placed.iter().filter(|join| !within(join)).filter_map(|(_, p)| hole(*p)).collect();
    joins.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    joins.dedup();
    joins
}
