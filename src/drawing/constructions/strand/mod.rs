//! Strands: lines that run along a border or sash in whole repeats, as wide as it is.
//!
//! A strand is drawn in a repeat from 0,0 to 1,1: x along the border, y across it. Both ends of a border are the ends of a
//! repeat, so that the strands meet them at the same heights and with the same slopes, and borders continue. A strand may
//! be sewn as a band of parallel lines, and bands may pass over each other. Some lines are there only in wide rows, so
//! that narrow ones are not crowded; some are tucked under all bands, and only what is between these is sewn. Limits: a border whose sides are not parallel is followed by the map of a [`Board`].

use kurbo::{Affine, BezPath, PathEl, Point};

use super::board::{Board, Ground, even_repeats, odd_repeats, repeats};
use super::clip::clip;
use super::counts::{Fit, HARDLY_SHOWS};
use super::frame::{frame, runs_along};
use super::part::{Part, carry};
use super::run::run_together;
use crate::base::chain;
use crate::base::tolerance::TOUCH_MM;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::{Region, Ring};
use crate::block::side::Side;
use crate::drawing::settings::{Settings, Value};
use crate::drawing::{DrawError, Drawing};
use crossing::{Laid, Tangle, pass_over};
use numbers::{Numbers, Place, Repeat, overhang};

mod band;
pub mod corner;
mod crossing;
pub mod numbers;
pub mod plait;
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
/// So much of a handle shows its slope.
const HAIR: f64 = 1e-4;
/// The most rows that a block too short for its repeats is given.
const MOST_ROWS: u32 = 12;
/// So many rows more are tried where repeats would be stretched too far.
const MORE_ROWS: u32 = 2;

/// Draws the strands in every region inside the block, along its longer side, or across it where their motif has a foot.
///
/// Where bends are too tight for the lines of a band, it has fewer, and says so.
///
/// # Errors
/// [`DrawError::NoRoom`] if the lines of a band leave no room for each other.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let drawn = draw_bands(numbers, settings, block);
    let (Err(_), true) = (&drawn, numbers.bands) else { return drawn };
    let asked = settings.whole("lines");
    let fewer = (1..asked).rev().find_map(|lines| {
        let settings = settings.clone().with("lines", Value::Whole(lines));
        Some((lines, draw_bands(numbers, &settings, block).ok()?))
    });
    let Some((lines, mut drawing)) = fewer else { return drawn };
    let s = if lines == 1 { "" } else { "s" };
    drawing
        .notes
        .push(format!("A strand has {lines} line{s} here instead of {asked}, as there is no room for more."));
    Ok(drawing)
}

fn draw_bands(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let laid = lay(numbers, settings, region, block);
        drawing.fitted(laid.fit);
        if let Repeat::Length(name) = &numbers.repeat {
            drawing.notes.extend(laid.fit.told(name, settings.number(name)));
        }
        drawing.notes.extend(numbers.row.as_ref().and_then(|name| tell_row(settings.number(name), &laid)));
        let (board, open) = (laid.board, laid.open);
        let band = Band::of(numbers, settings, laid.across)?;
        let of = |tucked: bool, at: Place| numbers.further(settings, laid.across, (tucked, at));
        let main = numbers.main(open);
        let (further, tucked) = (of(false, Place::Repeat), of(true, Place::Repeat));
        let reach = [&main, &further, &tucked].map(|parts| overhang(parts)).into_iter().fold(0, i64::max);
        let end = numbers.end.as_ref().filter(|_| !open);
        let phase = if open { numbers.phase() } else { end.map_or(0.0, |end| end.phase) };
        let bare = numbers.end.is_none() && phase == 0.0;
        let plain =
            band.half() == 0.0 && reach == 0 && bare && !board.ground.overhangs() && region.holes.is_empty();
        // Where strands of whole repeats close at the ends nothing has to be cut off there.
        let beyond = if plain || end.is_some() && reach == 0 && phase == 0.0 { 0 } else { reach.max(1) };
        let place = Placing { numbers, board: &board, half: band.half(), beyond, open, phase };
        let bare = Placing { half: 0.0, ..place };
        let (mut strands, mut under) = (place.all(&main), bare.all(&tucked));
        let mut loose = place.all(&further);
        loose.extend(place.joints(&of(false, Place::Joint), false));
        loose.extend(place.joints(&of(false, Place::Joints), true));
        if let Some(end) = end {
            if beyond > 0 {
                [&mut strands, &mut under].into_iter().for_each(|laid| *laid = cut_off(laid, &board));
            }
            strands.extend(place.ends(&end.strands.iter().collect::<Vec<_>>(), laid.across));
            under.extend(bare.ends(&end.further(settings, laid.across, true), laid.across));
            loose.extend(place.ends(&end.further(settings, laid.across, false), laid.across));
        }
        let mut lines = band.over(numbers, settings, strands, under)?;
        lines.extend(loose.into_iter().map(|laid| laid.middle));
        // Cut whole lines, not repeats: a short bit of the last one would be left out, and the rest hang on nothing.
        let cut = |lines: &[BezPath]| clip(&run_together(lines), std::slice::from_ref(region));
        let lines = if plain { lines } else { cut(&lines) };
        if numbers.framed && !open {
            drawing.lines.extend(lines.into_iter().filter(|line| !runs_along(line, region)));
            // Side by side, as both ends of a border are alike.
            let sides: Vec<_> = frame(block, region).iter().flat_map(BezPath::segments).collect();
            drawing
                .lines
                .extend(sides.into_iter().map(|side| BezPath::from_path_segments(std::iter::once(side))));
        } else {
            drawing.lines.extend(lines);
        }
    }
    Ok(drawing)
}

/// What lies on the board itself, between the ends of a border.
fn cut_off(laid: &[Laid], board: &Board) -> Vec<Laid> {
    let (w, h) = (f64::from(board.columns), f64::from(board.rows));
    // Up and down there is room, so that only the ends are cut.
    let corners = [(0.0, -h), (w, -h), (w, 2.0 * h), (0.0, 2.0 * h)].map(|(x, y)| board.at(x, y));
    let Some(outer) = Ring::from_points(&corners) else { return Vec::new() };
    let between = [Region { outer, holes: Vec::new() }];
    let cut = |l: &Laid| {
        let kept = clip(std::slice::from_ref(&l.middle), &between);
        kept.into_iter().map(|middle| Laid { middle, depth: l.depth }).collect::<Vec<_>>()
    };
    laid.iter().flat_map(cut).collect()
}

/// How long a repeat comes out in a run, mm.
#[must_use]
pub fn repeat_mm(numbers: &Numbers, settings: &Settings, run: &Block) -> Option<f64> {
    let laid = lay(numbers, settings, run.inside.first()?, run);
    Some(laid.board.ground.size().0 / f64::from(laid.board.columns))
}

/// How far a repeat is stretched in a run, as a share; `None` where it is a length, which has no shape to keep.
#[must_use]
pub fn stretch(numbers: &Numbers, settings: &Settings, run: &Block) -> Option<f64> {
    let shape = matches!(numbers.repeat, Repeat::Widths(_));
    shape.then(|| Some(lay(numbers, settings, run.inside.first()?, run).fit.stretch)).flatten()
}

/// How a region is laid out.
struct Layout {
    /// The board of whole repeats.
    board: Board,
    /// Whether the border runs on at its ends.
    open: bool,
    /// How high a row is, mm.
    across: f64,
    /// How repeats come out.
    fit: Fit,
}

/// The board along the longer side, one row or several.
///
/// A stretch of border that runs on is one row along it, however short it is.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region, block: &Block) -> Layout {
    let mut ground = Ground::of(region);
    let open = runs_on(ground, block);
    let (along, across) = ground.size();
    let most = if numbers.upright { MOST_UPRIGHT } else { 1.0 };
    if across > along * most && !open {
        ground = ground.turned();
    }
    let (along, across) = ground.size();
    let lay = Laying { numbers, settings, ground, open };
    // A border that turns has a corner of one row.
    let row = numbers.row.as_ref().filter(|_| !(open && numbers.turns()));
    let mut rows = row.map_or(1, |name| repeats(across, settings.number(name)).0);
    while !lay.is_whole(&lay.rows(rows)) && rows < MOST_ROWS {
        rows += 1;
    }
    // A border is one row, a block may have some more if its repeats keep their shape better.
    let more = if open || along >= across * BORDER || row.is_some() { 0 } else { MORE_ROWS };
    let shows = |laid: &Layout| (laid.fit.stretch * 100.0).round().max(HARDLY_SHOWS * 100.0);
    let mut best = lay.rows(rows);
    for laid in (rows + 1..=rows + more).map(|rows| lay.rows(rows)) {
        if shows(&laid) < shows(&best) {
            best = laid;
        }
    }
    best
}

/// What repeats are laid on.
struct Laying<'a> {
    numbers: &'a Numbers,
    settings: &'a Settings,
    ground: Ground,
    open: bool,
}

impl Laying<'_> {
    /// The whole repeats that fit so many rows best.
    fn rows(&self, rows: u32) -> Layout {
        let Self { numbers, settings, ground, open } = *self;
        let (along, across) = ground.size();
        let winds = numbers.winds && !open && along < across * BORDER;
        let high = across * numbers.pitch(rows).1 / f64::from(rows);
        let target = match &numbers.repeat {
            Repeat::Length(name) => settings.number(name),
            Repeat::Widths(name) => settings.number(name) * high,
        };
        // Where a border ends by itself its ends may be each other's mirror images as well.
        let by_width = matches!(numbers.repeat, Repeat::Widths(_));
        let count = match numbers.alternate {
            true if numbers.is_odd(open) || winds && rows > 1 => odd_repeats,
            true if open || numbers.winds || !by_width => even_repeats,
            _ => repeats,
        };
        let end = numbers.end.as_ref().filter(|_| !open);
        let (widths, more) = end.map_or((0.0, 0.0), |end| (end.widths, end.repeats));
        let left = along - 2.0 * widths * high;
        let (columns, _) = count((left - 2.0 * more * target).max(target), target);
        let repeat = left / (f64::from(columns) + 2.0 * more);
        let long = repeat / target;
        // Measured in widths of a row it is a shape, as a length a size.
        let stretch = long.max(1.0 / long) - 1.0;
        let fit =
            if by_width { Fit { stretch, grown: 0.0 } } else { Fit { stretch: 0.0, grown: long - 1.0 } };
        let from = (widths * high + more * repeat) / along;
        let board = Board { ground: ground.between(from, 1.0 - from), columns, rows };
        Layout { board, open, across: high, fit }
    }

    /// True if these are as many repeats as look like the motif.
    fn is_whole(&self, laid: &Layout) -> bool {
        let fewest = if self.open { 1 } else { self.numbers.fewest };
        let columns = laid.board.columns;
        let enough = columns > fewest || columns == fewest && laid.fit.stretch <= MOST_STRETCH;
        enough || fewest == 1 || matches!(self.numbers.repeat, Repeat::Length(_))
    }
}

/// What she should know of a row wider than there is room for.
fn tell_row(asked_mm: f64, laid: &Layout) -> Option<String> {
    let one = laid.board.rows == 1 && asked_mm > laid.across * (1.0 + HARDLY_SHOWS);
    let room = show_length(laid.across, Units::Inches);
    one.then(|| format!("One row of {room} fills it; a row above that makes no difference."))
}

/// True if the block is open at both ends, or both lie on the seam while its sides keep their margin: the next piece runs on
/// from here.
fn runs_on(ground: Ground, block: &Block) -> bool {
    let unit = Board { ground, columns: 1, rows: 1 };
    let seam = block.outline.outer.points();
    let on_seam = |x: f64, y: f64| chain::distance_to_ring(unit.at(x, y), seam) < TOUCH_MM;
    let told = [Side::Left, Side::Right].iter().all(|side| block.open.contains(side));
    told || on_seam(0.0, 0.5) && on_seam(1.0, 0.5) && !on_seam(0.5, 0.0)
}

/// Where the lines of a band lie beside its middle, mm, from right to left.
struct Band(Vec<f64>);

impl Band {
    fn of(numbers: &Numbers, settings: &Settings, across: f64) -> Result<Self, DrawError> {
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
        Ok(Self((0..count).map(|i| f64::from(i) * gap - band / 2.0).collect()))
    }

    /// Half its width, mm.
    fn half(&self) -> f64 {
        self.0.last().copied().unwrap_or(0.0)
    }

    /// The lines of all strands, over and under each other if that is asked for, and what shows between them of those that
    /// lie `under` them.
    fn over(
        &self,
        numbers: &Numbers,
        settings: &Settings,
        strands: Vec<Laid>,
        under: Vec<Laid>,
    ) -> Result<Vec<BezPath>, DrawError> {
        let middles = |laid: Vec<Laid>| laid.into_iter().map(|l| l.middle).collect::<Vec<BezPath>>();
        if self.half() == 0.0 {
            return Ok(middles(strands));
        }
        let over = numbers.crossing.as_ref().is_some_and(|name| settings.word(name) == "over");
        let level = |laid: Laid| Laid { depth: if over { laid.depth } else { 0 }, ..laid };
        let strands: Vec<Laid> = strands.into_iter().map(level).collect();
        let shown =
            pass_over(&strands, &self.0, &middles(under)).map_err(|tangle| tangled(tangle, settings, ASK))?;
        Ok(run_together(&shown))
    }
}

/// What to ask for where bends are too tight, and where strands cross too flat.
const ASK: [&str; 2] = [
    "longer repeats, fewer lines or a smaller gap",
    "shorter repeats, fewer lines, a smaller gap or crossing=through",
];

fn tangled(tangle: Tangle, settings: &Settings, [longer, shorter]: [&str; 2]) -> DrawError {
    let lines = settings.whole("lines");
    let why = match tangle {
        Tangle::Tight => format!("its bends are too tight for {lines} lines; ask for {longer}"),
        Tangle::Flat => {
            format!(
                "its strands cross too flat for {lines} lines to pass under each other; ask for {shorter}"
            )
        }
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
    /// True if the border runs on at its ends.
    open: bool,
    /// Where in a repeat the border begins, 0 to 1.
    phase: f64,
}

impl Placing<'_> {
    /// `parts` in all repeats, each as deep as it stands in the list.
    fn all(&self, parts: &[&Part]) -> Vec<Laid> {
        let columns = -self.beyond..i64::from(self.board.columns) + self.beyond;
        self.rows().flat_map(|row| columns.clone().flat_map(move |at| self.one(row, at, parts))).collect()
    }

    /// `parts` at all joints of repeats, and if so asked for at both `ends` of the border.
    fn joints(&self, parts: &[&Part], ends: bool) -> Vec<Laid> {
        let outer = if self.open && ends { self.beyond.max(1) } else { i64::from(ends) - 1 };
        let columns = -outer..=i64::from(self.board.columns) + outer;
        self.rows().flat_map(|row| columns.clone().flat_map(move |at| self.one(row, at, parts))).collect()
    }

    /// `parts` at both ends of a border that ends there; their x counts in heights of a row, `across` mm high.
    fn ends(&self, parts: &[&Part], across: f64) -> Vec<Laid> {
        let columns = f64::from(self.board.columns);
        let unit = (across - 2.0 * self.half) * columns / self.board.ground.size().0;
        let turned = self.numbers.end.as_ref().is_some_and(|end| end.turned);
        let other = turned || self.numbers.alternate && self.board.columns.is_multiple_of(2);
        let mirror = Affine::translate((columns, 0.0)) * Affine::scale_non_uniform(-1.0, 1.0);
        let both = [(Affine::IDENTITY, false), (mirror, other)];
        let place = |row: u32, (moved, other): (Affine, bool)| {
            let moved = moved * upright(other != self.row_turned(row));
            let out = |scale: f64| move |p: Point| self.at(row, moved * Point::new(scale * p.x, p.y));
            let closing = |(depth, part): (usize, &&Part)| {
                let mut middle = carry(part.path(), out(unit));
                lean(&mut middle, part.path(), out(1.0));
                Laid { middle, depth }
            };
            parts.iter().enumerate().map(closing).collect::<Vec<_>>()
        };
        self.rows().flat_map(|row| both.into_iter().flat_map(move |side| place(row, side))).collect()
    }

    fn rows(&self) -> std::ops::Range<u32> {
        0..self.board.rows
    }

    fn row_turned(&self, row: u32) -> bool {
        row % 2 == 1 && !self.numbers.upright
    }

    /// `parts` in one repeat.
    fn one(&self, row: u32, column: i64, parts: &[&Part]) -> Vec<Laid> {
        let turned = (self.numbers.alternate && column.rem_euclid(2) == 1) != self.row_turned(row);
        #[expect(clippy::cast_precision_loss, reason = "at most 100,000 columns")]
        let moved = Affine::translate((column as f64 - self.phase, 0.0)) * upright(turned);
        let carried = |(depth, part): (usize, &&Part)| {
            let middle = carry(&(moved * part.path().clone()), |p| self.at(row, p));
            Laid { middle, depth }
        };
        parts.iter().enumerate().map(carried).collect()
    }

    /// The point at `p` of a row, x in repeats.
    fn at(&self, row: u32, p: Point) -> Point {
        let board = self.board;
        let (pitch, high) = self.numbers.pitch(board.rows);
        let row = f64::from(row) * pitch;
        let clear = self.half / board.at(p.x, row).distance(board.at(p.x, row + high));
        board.at(p.x, row + high * (clear + p.y * (1.0 - 2.0 * clear)))
    }
}

/// Turns the handles of a carried line at x = 0 to the slope that `map` gives them there; they keep their lengths.
fn lean(line: &mut BezPath, path: &BezPath, map: impl Fn(Point) -> Point) {
    let at_joint = |p: Option<Point>| p.filter(|p| p.x == 0.0);
    let leant = |end: Point, control: Point, carried: (Point, Point)| {
        let way = map(end + (control - end) * HAIR) - map(end);
        carried.0 + way * ((carried.1 - carried.0).hypot() / way.hypot().max(f64::MIN_POSITIVE))
    };
    for i in 1..path.elements().len() {
        let before = path.elements()[i - 1].end_point();
        let (PathEl::CurveTo(c, d, end), Some(start)) =
            (path.elements()[i], line.elements()[i - 1].end_point())
        else {
            continue;
        };
        let PathEl::CurveTo(first, second, p) = &mut line.elements_mut()[i] else { continue };
        if let Some(q) = at_joint(before) {
            *first = leant(q, c, (start, *first));
        }
        if let Some(q) = at_joint(Some(end)) {
            *second = leant(q, d, (*p, *second));
        }
    }
}

/// A repeat as it is, or upside down.
fn upright(turned: bool) -> Affine {
    if turned { Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, 1.0]) } else { Affine::IDENTITY }
}
