//! Meander: an outline → one wandering line that fills it evenly and never crosses itself.
//!
//! Points are spread over the inner outline ([`rim`], [`cells`]) and meshed ([`mesh`]); a tree of the mesh is annealed
//! until it turns where it can ([`tree`]); a disc is laid round every point and every face, to touch or to leave a channel
//! as the tree asks ([`discs`]); the line winds between the discs ([`wind`]) and is given room ([`room`]). So its bends are
//! arcs of more than a half circle more often than not, and it is hardly ever straight. With loops it crosses itself in
//! every loop and nowhere else ([`loops`]).
//!
//! Measured: the distance between passes is that of parts at least two spacings apart along the line; the widest gap is the
//! diameter of the largest circle round a point of the inner outline with no line in it, the outline itself being no line;
//! what is flatter than a radius of 3.15 spacings is flat. On blocks of four sides passes are at least 0.8 spacings apart
//! and gaps at most 1.8 spacings wide, on other outlines at least 0.5 and at most 2, but in corners narrower than 30° the
//! widest gap is larger. At most 16 % of the line is flat.

pub mod bend;
pub mod cells;
pub mod discs;
pub mod fence;
pub mod gap;
pub mod loops;
pub mod mesh;
pub mod near;
pub mod rim;
pub mod room;
pub mod simple;
#[cfg(test)]
mod tests;
pub mod tree;
pub mod wind;
pub mod windows;

use kurbo::{BezPath, Point, Rect, Size};
use oorandom::Rand64;
use serde::Deserialize;

use crate::base::chain;
use crate::base::curve::{flatten, path_smooth};
use crate::base::tolerance::FLATTEN_MM;
use crate::base::units::{Units, show_at_most, show_length};
use crate::block::Block;
use crate::block::deepest::deepest;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use fence::Fence;
use loops::Loops;
use mesh::Mesh;

/// The settings that a meander reads.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("seed", "seed")];

/// The numbers of a meander; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The area for each point of the mesh, square spacings.
    cell: f64,
    /// The least distance between passes, the widest gap and the flat part at which no other line is tried.
    near: f64,
    /// See `near`.
    gap: f64,
    /// See `near`.
    flat: f64,
    /// Loops thrown in, if any.
    loops: Option<Loops>,
}

/// How often another line is tried before giving up.
const TRIES: u32 = 12;

/// How often lines in windows are tried: over so large a place one line or another always misses a little.
const TRIES_WITHIN: u32 = 4;

/// How far a line may reach beyond its outermost points, and with loops, spacings.
const BEYOND: (f64, f64) = (0.85, 1.65);

/// How far windows overlap, spacings: about half a point, and more wherever the count allows.
const OVERLAP: f64 = 0.5;

/// How much less even a line may be after each try but the first four: some corners never let it be as even as asked.
const PATIENCE: f64 = 0.01;

/// How near the edges of the mesh come to those of the region, spacings.
const CLEAR: f64 = 0.4;

/// How near points that are none of the rim come to the edges, spacings.
const LEAST_DEEP: f64 = 0.6;

/// How deep a region has to be for a line at its spacing, spacings, and the least spacing, mm.
const NARROWEST: f64 = 0.76;
/// See [`NARROWEST`].
const LEAST_MM: f64 = 2.0;

/// How far from the edges they are known, spacings.
const FENCE: f64 = 2.0;

/// The longest flat run that counts for nothing, spacings, and what each spacing more counts for.
const RUN: (f64, f64) = (1.6, 0.1);

/// A hoop's field narrower than this has no room for a line of its own, spacings.
const LEAST_HOOP: f64 = 8.0;

/// Said where [`lines`] for hoopings were not found.
const CUT: &str = "No closed line of its own was found for each hooping; one line is cut where they meet, and its ends are to be \
                   joined there.";

/// Every which point of the line the curve is drawn through.
const THIN: usize = 2;

/// Draws one line in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if no region is large enough for a line at this spacing.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let spacing = settings.number("spacing");
    let seed = u128::from(settings.whole("seed"));
    let mut drawing = Drawing::default();
    let (mut left_out, mut cut) = (0, 0);
    for region in &block.inside {
        // Where there is no room for a bend at this spacing, the line is as wide as there is room.
        let wide = deepest(region).1 / NARROWEST;
        let within =
            |size| (wide >= LEAST_MM).then(|| lines(numbers, seed, spacing.min(wide), region, size))?;
        let hoop = block.within.filter(|size| !fits(region.bounds(), *size));
        let in_hoops = hoop.filter(|size| size.min_side() > LEAST_HOOP * spacing).and_then(|_| within(hoop));
        let is_cut = hoop.is_some() && in_hoops.is_none();
        match in_hoops.or_else(|| within(None)) {
            Some(paths) => {
                drawing.lines.extend(paths);
                cut += usize::from(is_cut);
            }
            None => left_out += 1,
        }
    }
    if drawing.lines.is_empty() {
        let area = block.inside.iter().map(Region::area).fold(0.0, f64::max);
        let fits = area.sqrt() / (2.0 * numbers.cell.sqrt());
        let why = format!(
            "the inner outline has no room for a line at a spacing of {}; ask for a spacing of {} or less",
            show_length(spacing, Units::Inches),
            show_at_most(fits, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "a meander".into(), why });
    }
    if left_out > 0 {
        drawing
            .notes
            .push(format!("{left_out} parts of this block are too narrow for the line and are left empty."));
    }
    if cut > 0 {
        drawing.notes.push(CUT.to_owned());
    }
    Ok(drawing)
}

/// The lines in one region, the evenest of some tries: one, or one for every window of the size `within`; `None` if there
/// is no room for one.
fn lines(
    numbers: &Numbers,
    seed: u128,
    spacing: f64,
    region: &Region,
    within: Option<Size>,
) -> Option<Vec<BezPath>> {
    let fence = Fence::new(region, FENCE * spacing);
    let tries = if within.is_some() { TRIES_WITHIN } else { TRIES };
    let mut best: Option<(f64, Vec<Vec<Point>>)> = None;
    for attempt in 0..tries {
        let content = PATIENCE * (f64::from(attempt) - 3.0).max(0.0);
        let mut random = Rand64::new(seed * u128::from(TRIES) + u128::from(attempt));
        let Some(lines) = some(numbers, spacing, region, &fence, within, &mut random) else { continue };
        let drawn: Vec<Vec<Point>> = lines.iter().map(|line| as_drawn(line, spacing)).collect();
        let miss = miss(&drawn, numbers, spacing, region);
        let is_better = best.as_ref().is_none_or(|(least, _)| miss < *least);
        if is_better && lines.iter().all(|line| stays_inside(line, region, &fence)) {
            best = Some((miss, lines));
        }
        if best.as_ref().is_some_and(|(least, _)| *least <= content) {
            break;
        }
    }
    let (_, lines) = best?;
    let lines = match &numbers.loops {
        Some(loops) => loops::throw_in(lines, spacing, region, loops),
        None => lines,
    };
    Some(lines.iter().map(|line| curve(line)).collect())
}

/// How many windows in which a line takes a box of `within` mm there are over a box of a block.
#[must_use]
pub fn windows_over(bounds: Rect, within: Size, spacing: f64) -> usize {
    let beyond = 2.0 * BEYOND.0 * spacing;
    let size = Size::new((within.width - beyond).max(1.0), (within.height - beyond).max(1.0));
    windows::count(bounds.inset(-spacing / 2.0), size, OVERLAP * spacing)
}

/// True if a box lies in one of that size.
fn fits(bounds: Rect, size: Size) -> bool {
    bounds.width() <= size.width && bounds.height() <= size.height
}

/// The closed curve drawn through the points of a line.
fn curve(points: &[Point]) -> BezPath {
    path_smooth(&points.iter().step_by(THIN).copied().collect::<Vec<_>>(), true)
}

/// Even points of the curve drawn through the points of a line: what is measured is what is drawn.
fn as_drawn(points: &[Point], spacing: f64) -> Vec<Point> {
    let mut flat =
        flatten(&curve(points), FLATTEN_MM).into_iter().next().map_or_else(Vec::new, |flat| flat.points);
    flat.pop();
    bend::even_by(&flat, wind::STEP * spacing)
}

/// Lines as even points, if none crosses itself or another and each lies in a box of the size `within`.
fn some(
    numbers: &Numbers,
    spacing: f64,
    region: &Region,
    fence: &Fence,
    within: Option<Size>,
    random: &mut Rand64,
) -> Option<Vec<Vec<Point>>> {
    let (rim, pins) = rim::rim(region, spacing, random);
    let mut points = cells::spread(region, numbers.cell * spacing * spacing, &rim, random);
    // In a tip the rim is as near to the edges as a point may come.
    let mut number = 0..;
    points.retain(|p| {
        let is_rim = number.next().is_some_and(|i: usize| i < rim.len());
        is_rim || fence.away(*p).is_none_or(|d| d > LEAST_DEEP * spacing)
    });
    let mesh = Mesh::new(points, fence, CLEAR * spacing);
    if mesh.points.is_empty() || !mesh.is_joined() {
        return None;
    }
    let beyond = spacing * if numbers.loops.is_some() { BEYOND.1 } else { BEYOND.0 };
    let room = within.map(|size| Size::new(size.width - 2.0 * beyond, size.height - 2.0 * beyond));
    let windows = room.map(|size| {
        let mut windows = windows::label(&mesh, size, OVERLAP * spacing, random);
        let beyond = BEYOND.0 * spacing;
        windows.window.iter_mut().for_each(|window| *window = window.inflate(beyond, beyond));
        windows
    });
    let trees = tree::grow(&mesh, windows.as_ref().map(|w| &*w.of), random);
    let discs = discs::settle(&mesh, &trees, &pins, (fence, windows.as_ref()), spacing, random);
    let lines = wind::wind(&mesh, &trees, &discs, spacing);
    let lines = room::make(lines, region, fence, spacing);
    let all_fit = within.is_none_or(|size| lines.iter().all(|line| fits(chain::bounds(line), size)));
    (all_fit && simple::are_simple(&lines)).then_some(lines)
}

/// By how much lines miss what is asked of them, spacings and parts.
fn miss(lines: &[Vec<Point>], numbers: &Numbers, spacing: f64, region: &Region) -> f64 {
    let own = lines.iter().map(|line| simple::nearest_passes(line, true, 2.0 * spacing, spacing));
    let near = own.fold(simple::nearest_lines(lines, spacing), f64::min) / spacing;
    let points = lines.concat();
    let gap = gap::widest_gap(&points, spacing, region) / spacing;
    let (mut flat, mut run) = (0.0, 0);
    for line in lines {
        let (part, longest) = bend::flat(line, spacing);
        flat += part * line.len() as f64 / points.len() as f64;
        run = run.max(longest);
    }
    let over = |is: f64, most: f64| (is - most).max(0.0);
    over(numbers.near, near)
        + over(gap, numbers.gap)
        + over(flat, numbers.flat)
        + RUN.1 * over(run as f64 * wind::STEP, RUN.0)
}

/// True if the curve through the points stays in the region.
pub fn stays_inside(points: &[Point], region: &Region, fence: &Fence) -> bool {
    let Some(flat) = flatten(&curve(points), FLATTEN_MM).into_iter().next() else { return false };
    // A line that starts inside gets out only past the fence, so what is nowhere near it need not be looked at.
    let near = flat.points.iter().enumerate().filter(|(i, p)| *i == 0 || fence.nearest(**p).is_some());
    let inside = near.map(|(_, p)| p).all(|p| region.contains(*p) || region.depth(*p) > -FLATTEN_MM);
    // Past a corner that points inward a straight piece may run outside with both its ends inside.
    let cuts = |[a, b, c]: &[Point; 3]| {
        let mut pieces = flat.points.windows(2).map(|w| (w[0], w[1]));
        pieces.any(|piece| simple::meet(piece, (*a, *b)) || simple::meet(piece, (*b, *c)))
    };
    inside && !fence::posts(region).iter().any(cuts)
}
