//! Strands: lines that run along a border or sash in whole repeats, as wide as it is.
//!
//! A strand is drawn in a repeat from 0,0 to 1,1: x along the border, y across it. Both ends of a border are the ends of a
//! repeat, so that the strands meet them at the same heights and with the same slopes, and borders continue. A strand may
//! be sewn as a band of parallel lines, and bands may pass over each other. Some lines are there only in wide rows, so
//! that narrow ones are not crowded; some are tucked under all bands, and only what is between these is sewn. Limits: a border whose sides are not parallel is followed by the map of a [`Board`].

use kurbo::{Affine, BezPath, Point};

use super::board::{Board, Ground, even_repeats, odd_repeats, repeats};
use super::clip::clip;
use super::part::{Part, carry};
use super::run::run_together;
use crate::base::chain;
use crate::base::tolerance::TOUCH_MM;
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use crossing::{Laid, Tangle, pass_over};
use numbers::{Numbers, Repeat, overhang};

mod band;
mod crossing;
pub mod numbers;
#[cfg(test)]
mod tests;

/// Lines of a band closer than this cannot be sewn apart, mm.
const LEAST_GAP_MM: f64 = 1.5;
/// The fewest repeats of a motif are squeezed or drawn out by at most this before there are more rows: 0.2 is 20 %.
const MOST_STRETCH: f64 = 0.2;
/// A block at most so many times as high as wide keeps its foot at the bottom, where a motif has one.
const MOST_UPRIGHT: f64 = 1.6;
/// What is at least so many times as long as wide is a border, and its ends are alike, so that the next one joins.
const BORDER: f64 = 2.0;
/// The most rows that a block too short for its repeats is given.
const MOST_ROWS: u32 = 12;

/// Draws the strands in every region inside the block, along its longer side, or across it where their motif has a foot.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band leave no room for each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let (board, open, stretch) = lay(numbers, settings, region, block);
        drawing.stretch = drawing.stretch.max(stretch);
        let across = board.ground.size().1 * numbers.pitch(board.rows).1 / f64::from(board.rows);
        let offsets = offsets(numbers, settings, across)?;
        let half = offsets.last().copied().unwrap_or(0.0);
        let main = numbers.main(open);
        let [further, tucked] = [false, true].map(|tucked| numbers.further(settings, across, tucked));
        let reach = [&main, &further, &tucked].map(|parts| overhang(parts)).into_iter().fold(0, i64::max);
        let plain = half == 0.0 && reach == 0 && !board.ground.overhangs() && region.holes.is_empty();
        let place = Placing { numbers, board: &board, half, beyond: if plain { 0 } else { reach.max(1) } };
        let strands = place.all(&main);
        let mut lines: Vec<BezPath> = if half == 0.0 {
            strands.into_iter().map(|laid| laid.middle).collect()
        } else {
            let over = numbers.crossing.as_ref().is_some_and(|name| settings.word(name) == "over");
            let level = |laid: Laid| Laid { depth: if over { laid.depth } else { 0 }, ..laid };
            let strands: Vec<Laid> = strands.into_iter().map(level).collect();
            let under: Vec<BezPath> =
                Placing { half: 0.0, ..place }.all(&tucked).into_iter().map(|laid| laid.middle).collect();
            let shown = pass_over(&strands, &offsets, &under).map_err(|tangle| tangled(tangle, settings))?;
            run_together(&shown)
        };
        lines.extend(place.all(&further).into_iter().map(|laid| laid.middle));
        // Cut whole lines, not repeats: a short bit of the last one would be left out, and the rest hang on nothing.
        let cut = |lines: &[BezPath]| clip(&run_together(lines), std::slice::from_ref(region));
        drawing.lines.extend(if plain { lines } else { cut(&lines) });
    }
    Ok(drawing)
}

/// The board along the longer side, one row or several, whether the border runs on at its ends, and the stretch.
///
/// A stretch of border that runs on is one row along it, however short it is.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region, block: &Block) -> (Board, bool, f64) {
    let mut ground = Ground::of(region);
    let open = runs_on(ground, block);
    let (along, across) = ground.size();
    let most = if numbers.upright { MOST_UPRIGHT } else { 1.0 };
    if across > along * most && !open {
        ground = ground.turned();
    }
    let (along, across) = ground.size();
    let fewest = if open { 1 } else { numbers.fewest };
    let winds = numbers.winds && !open && along < across * BORDER;
    let mut rows = numbers.row.as_ref().map_or(1, |name| repeats(across, settings.number(name)).0);
    loop {
        let target = match &numbers.repeat {
            Repeat::Length(name) => settings.number(name),
            Repeat::Widths(name) => settings.number(name) * across * numbers.pitch(rows).1 / f64::from(rows),
        };
        let count = match numbers.alternate {
            true if winds && rows > 1 => odd_repeats,
            true => even_repeats,
            false => repeats,
        };
        let (columns, stretch) = count(along, target);
        let whole = columns > fewest || (columns == fewest && stretch <= MOST_STRETCH);
        let by_width = matches!(numbers.repeat, Repeat::Widths(_));
        if whole || fewest == 1 || !by_width || rows >= MOST_ROWS {
            return (Board { ground, columns, rows }, open, stretch);
        }
        rows += 1;
    }
}

/// True if both ends of the ground lie on the seam, while its sides keep their margin: the next piece runs on from here.
fn runs_on(ground: Ground, block: &Block) -> bool {
    let unit = Board { ground, columns: 1, rows: 1 };
    let seam = block.outline.outer.points();
    let on_seam = |x: f64, y: f64| chain::distance_to_ring(unit.at(x, y), seam) < TOUCH_MM;
    on_seam(0.0, 0.5) && on_seam(1.0, 0.5) && !on_seam(0.5, 0.0)
}

/// Where the lines of a band lie beside its middle, mm, from right to left.
fn offsets(numbers: &Numbers, settings: &Settings, across: f64) -> Result<Vec<f64>, DrawError> {
    let count = if numbers.bands { settings.whole("lines").max(1) } else { 1 };
    let gap = settings.number("gap") * across;
    let band = gap * f64::from(count - 1);
    let no_room = |why: String| Err(DrawError::NoRoom { motif: "the band".into(), why });
    if count > 1 && gap < LEAST_GAP_MM {
        return no_room(format!(
            "its lines would come {gap:.1} mm apart and need {LEAST_GAP_MM} mm; ask for a larger gap or fewer lines"
        ));
    }
    if band * 2.0 > across {
        return no_room(format!(
            "{count} lines {gap:.1} mm apart take {band:.1} mm of the {across:.1} mm that the border is wide; ask for \
             fewer lines or a smaller gap"
        ));
    }
    Ok((0..count).map(|i| f64::from(i) * gap - band / 2.0).collect())
}

fn tangled(tangle: Tangle, settings: &Settings) -> DrawError {
    let lines = settings.whole("lines");
    let why = match tangle {
        Tangle::Tight => format!(
            "its bends are too tight for {lines} lines; ask for longer repeats, fewer lines or a smaller gap"
        ),
        Tangle::Flat => format!(
            "its strands cross too flat for {lines} lines to pass under each other; ask for shorter repeats, fewer \
             lines, a smaller gap or crossing=through"
        ),
    };
    DrawError::NoRoom { motif: "the band".into(), why }
}

/// How strands are placed in their repeats.
#[derive(Clone, Copy)]
struct Placing<'a> {
    numbers: &'a Numbers,
    board: &'a Board,
    /// How far they keep clear of both sides of their row, mm.
    half: f64,
    /// How many repeats more are placed at each end, to be cut off.
    beyond: i64,
}

impl Placing<'_> {
    /// `parts` in all repeats, each as deep as it stands in the list.
    fn all(&self, parts: &[&Part]) -> Vec<Laid> {
        let board = self.board;
        let mut placed = Vec::new();
        let (pitch, high) = self.numbers.pitch(board.rows);
        for row in 0..board.rows {
            for column in -self.beyond..i64::from(board.columns) + self.beyond {
                let turned = (self.numbers.alternate && column.rem_euclid(2) == 1)
                    != (row % 2 == 1 && !self.numbers.upright);
                #[expect(clippy::cast_precision_loss, reason = "at most 100,000 columns")]
                let moved = Affine::translate((column as f64, 0.0)) * upright(turned);
                let at = |p: Point| {
                    let row = f64::from(row) * pitch;
                    let clear = self.half / board.at(p.x, row).distance(board.at(p.x, row + high));
                    board.at(p.x, row + high * (clear + p.y * (1.0 - 2.0 * clear)))
                };
                placed.extend(parts.iter().enumerate().map(|(depth, part)| {
                    let middle = carry(&(moved * part.path().clone()), at);
                    Laid { middle, depth }
                }));
            }
        }
        placed
    }
}

/// A repeat as it is, or upside down.
fn upright(turned: bool) -> Affine {
    if turned { Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]) } else { Affine::IDENTITY }
}
