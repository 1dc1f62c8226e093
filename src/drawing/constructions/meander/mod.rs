//! Meander: an outline → one wandering line that fills it evenly and never crosses itself.
//!
//! Cells are spread over the inner outline ([`cells`]), a random tree is grown over them ([`tree`]), and the line round the
//! tree is relaxed until its passes are evenly apart and its bends are round ([`relax`]). The line is closed, or runs from
//! edge to edge. With loops it crosses itself in every loop and nowhere else.
//!
//! Measured: the distance between passes is that of parts at least two spacings apart along the line; the widest gap is the
//! diameter of the largest circle round a point of the inner outline with no line in it, the outline itself being no line.
//! On blocks of four sides passes are at least 0.8 spacings apart and gaps at most 1.8 spacings wide, on other outlines at least 0.5
//! and at most 2, but in corners narrower than 30° the widest gap is larger.

pub mod bend;
pub mod cells;
pub mod discs;
pub mod fence;
pub mod gap;
pub mod loops;
pub mod near;
pub mod relax;
pub mod simple;
pub mod tree;
pub mod voids;

use kurbo::{BezPath, Point};
use oorandom::Rand64;
use serde::Deserialize;

use crate::base::angle::turn_deg;
use crate::base::chain;
use crate::base::curve::{flatten, path_smooth};
use crate::base::tolerance::{CORNER_DEG, FLATTEN_MM};
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use fence::Fence;
use loops::Loops;
use relax::{Forces, Ground};

/// The settings that a meander reads.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("form", "choice"), ("seed", "seed")];

/// The numbers of a meander; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The side of the square that has the area of a cell; each cell gets a bend or two.
    cell: f64,
    /// How much later branches along the edge are drawn, in parts of the whole draw: more turns bends towards the edge.
    rim: f64,
    /// The least distance between passes, and the widest gap, at which no other line is tried.
    near: f64,
    /// See `near`.
    gap: f64,
    /// What the line is moved by.
    forces: Forces,
    /// Loops thrown in, if any.
    loops: Option<Loops>,
}

/// How far the line begins from the branches, in cells; the first at which it is clear of itself and of the edges.
const OFF: [f64; 4] = [0.17, 0.12, 0.08, 0.05];

/// How often another tree is tried before giving up.
const TRIES: u32 = 16;

/// How often a line is mended before another tree is tried,
const MENDINGS: u32 = 7;

/// and how often without getting any more even.
const IDLE: u32 = 2;

/// How much less even a line may be after each try but the first four, in spacings: some corners never let it be as even as asked.
const PATIENCE: f64 = 0.04;

/// Draws one line in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if no region is large enough for a line at this spacing.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let spacing = settings.number("spacing");
    let mut drawing = Drawing::default();
    let mut left_out = 0;
    for region in &block.inside {
        match line(numbers, settings, spacing, region) {
            Some(path) => drawing.lines.push(path),
            None => left_out += 1,
        }
    }
    if drawing.lines.is_empty() {
        let area = block.inside.iter().map(Region::area).fold(0.0, f64::max);
        let fits = area.sqrt() / (2.0 * numbers.cell);
        let why = format!(
            "the inner outline has no room for a line at a spacing of {}; ask for a spacing of {} or less",
            show_length(spacing, Units::Inches),
            show_length(fits, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "a meander".into(), why });
    }
    if left_out > 0 {
        drawing
            .notes
            .push(format!("{left_out} parts of this block are too narrow for the line and are left empty."));
    }
    Ok(drawing)
}

/// The line in one region, the evenest of some tries; `None` if there is no room for one.
fn line(numbers: &Numbers, settings: &Settings, spacing: f64, region: &Region) -> Option<BezPath> {
    let seed = u128::from(settings.whole("seed"));
    let closed = settings.word("form") != "open";
    let ground = Ground::new(region, closed, numbers.cell * spacing, &numbers.forces);
    let inside = |points: &[Point]| stays_inside(&path_smooth(points, closed), closed, region, spacing / 4.0);
    let mut best: Option<(f64, Vec<Point>)> = None;
    for attempt in 0..TRIES {
        let mut random = Rand64::new(seed * u128::from(TRIES) + u128::from(attempt));
        let Some(round) = round_a_tree(numbers, spacing, region, &ground, closed, &mut random) else {
            continue;
        };
        let content = PATIENCE * (f64::from(attempt) - 3.0).max(0.0);
        let (miss, points) = evened(&round, numbers, spacing, region, &ground, content);
        let simple = |flat: &[Point]| simple::is_simple(flat, closed);
        if best.as_ref().is_none_or(|(least, _)| miss < *least) && inside(&points).is_some_and(|f| simple(&f))
        {
            best = Some((miss, points));
        }
        if best.as_ref().is_some_and(|(least, _)| *least <= content) {
            break;
        }
    }
    let (_, points) = best?;
    let looped = numbers.loops.as_ref().and_then(|loops| {
        let mut random = Rand64::new(seed);
        loops::throw_in(&points, closed, spacing, region, &ground, loops, &mut random)
    });
    let points = looped.filter(|l| inside(l).is_some()).unwrap_or(points);
    Some(path_smooth(&points, closed))
}

/// The line round a tree, relaxed, and mended until it misses what is asked by no more than `content`; and what it misses it by, in spacings.
fn evened(
    round: &[Point],
    numbers: &Numbers,
    spacing: f64,
    region: &Region,
    ground: &Ground<'_>,
    content: f64,
) -> (f64, Vec<Point>) {
    let mut points = relax::relax(round, ground);
    let mut best: Option<(f64, Vec<Point>)> = None;
    let mut idle = 0;
    for _ in 0..=MENDINGS {
        let near = simple::nearest_passes(&points, ground.is_closed(), 2.0 * spacing, spacing) / spacing;
        let close = (numbers.near - near).max(0.0);
        let wide = |gap: f64| close + (gap / spacing - numbers.gap).max(0.0);
        // The exact gap is looked for only where there is no gap at a glance.
        let mut miss = wide(2.0 * ground.widest(&points, 0.5 * numbers.gap * spacing));
        if miss <= content {
            miss = wide(gap::widest_gap(&points, spacing, region));
        }
        let next = if miss > content { relax::mend(&points, ground) } else { Vec::new() };
        if best.as_ref().is_none_or(|(least, _)| miss < *least) {
            best = Some((miss, std::mem::replace(&mut points, next)));
            idle = 0;
        } else {
            points = next;
            idle += 1;
        }
        if miss <= content || idle == IDLE {
            break;
        }
    }
    best.unwrap_or((f64::INFINITY, Vec::new()))
}

/// The line round a random tree, clear of itself and of the edges.
fn round_a_tree(
    numbers: &Numbers,
    spacing: f64,
    region: &Region,
    ground: &Ground<'_>,
    closed: bool,
    random: &mut Rand64,
) -> Option<Vec<Point>> {
    let side = numbers.cell * spacing;
    let cells = cells::spread(region, side * side, random);
    let fence = Fence::new(region, 0.75 * side);
    let keep = tree::Keep {
        fence: &fence,
        posts: ground.posts(),
        past: 0.45 * side,
        clear: 0.22 * side,
        apart: 0.45 * side,
        long: 1.8 * side,
        rim: 0.7 * side,
        rim_weight: numbers.rim,
    };
    let edge = if closed { Vec::new() } else { across(region, side)? };
    let chain = edge.len();
    let tree = tree::grow(edge.into_iter().chain(cells).collect(), chain, &keep, random);
    if tree.parts != 1 || tree.points.len() == chain {
        return None;
    }
    let mut rounds = OFF.iter().map(|off| tree.round(chain, off * side));
    // The ends of an open line lie on the edge itself.
    let ends = usize::from(!closed);
    let is_inside = |r: &[Point]| r[ends..r.len() - ends].iter().all(|p| region.contains(*p));
    let is_simple = |r: &[Point]| simple::is_simple(&bend::even(r, closed, r.len() * 8), closed);
    rounds.find(|r| is_inside(r) && is_simple(r))
}

/// Points along the lower edge from its leftmost place at half height to its rightmost, about `step` mm apart.
fn across(region: &Region, step: f64) -> Option<Vec<Point>> {
    let ring = region.outer.points();
    let bounds = region.bounds();
    let middle = bounds.center().y + 1e-7;
    let crossings: Vec<(usize, Point)> = chain::sides(ring)
        .enumerate()
        .filter(|(_, (a, b))| (a.y > middle) != (b.y > middle))
        .map(|(i, (a, b))| (i, a.lerp(b, (middle - a.y) / (b.y - a.y))))
        .collect();
    let from = crossings.iter().min_by(|p, q| p.1.x.total_cmp(&q.1.x))?;
    let to = crossings.iter().max_by(|p, q| p.1.x.total_cmp(&q.1.x))?;
    let mut way = vec![from.1];
    let mut i = from.0;
    while i != to.0 {
        i = (i + 1) % ring.len();
        way.push(ring[i]);
    }
    way.push(to.1);
    // Corners are kept: a chain that cut one off would run outside where it points inwards.
    let turns = |w: &[Point]| turn_deg(w[1] - w[0], w[2] - w[1]).abs() > CORNER_DEG;
    let corners = way.windows(3).enumerate().filter(|(_, w)| turns(w)).map(|(i, _)| i + 1);
    let mut stretched = vec![from.1];
    let mut start = 0;
    for end in corners.chain([way.len() - 1]) {
        let stretch = &way[start..=end];
        let count = fence::whole((chain::length(stretch) / step).round()).max(1) + 1;
        stretched.extend(bend::even(stretch, false, count).into_iter().skip(1));
        start = end;
    }
    (stretched.len() > 2).then_some(stretched)
}

/// The points of the curve, if it stays in the region.
fn stays_inside(path: &BezPath, closed: bool, region: &Region, bin: f64) -> Option<Vec<Point>> {
    let mut flat = flatten(path, FLATTEN_MM).into_iter().next()?;
    if closed {
        flat.points.pop();
    }
    // A line that starts inside gets out only past the fence, so what is nowhere near it need not be looked at.
    let fence = Fence::new(region, bin);
    let near = flat.points.iter().enumerate().filter(|(i, p)| *i == 0 || fence.nearest(**p).is_some());
    let inside = near.map(|(_, p)| p).all(|p| region.contains(*p) || region.depth(*p) > -FLATTEN_MM);
    // Past a corner that points inward a straight piece may run outside with both its ends inside.
    let last = flat.points.len() - 2;
    let piece = |(i, w): (usize, &[Point])| {
        // The ends of an open line touch the edge.
        let inset = |end: bool| if end && !closed { 0.05 } else { 0.0 };
        (w[0].lerp(w[1], inset(i == 0)), w[1].lerp(w[0], inset(i == last)))
    };
    let cuts = |[a, b, c]: &[Point; 3]| {
        let mut pieces = flat.points.windows(2).enumerate().map(piece);
        pieces.any(|piece| simple::meet(piece, (*a, *b)) || simple::meet(piece, (*b, *c)))
    };
    (inside && !fence::posts(region).iter().any(cuts)).then_some(flat.points)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;
    use crate::block::shape::Shape;
    use crate::block::{Block, outline};
    use crate::drawing::construction::Construction;
    use crate::drawing::{library, settings};

    /// The least distance between passes and the widest gap, in spacings.
    const EVEN: (f64, f64) = (0.8, 1.8);

    fn drawn(name: &str, block: &Block, asked: &[&str]) -> Result<Drawing, DrawError> {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, name).unwrap();
        let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
        let settings = settings::resolve(name, &motif.settings, &asked).unwrap();
        match &motif.construction {
            Construction::Meander(numbers) => draw(numbers, &settings, block),
            other => panic!("{name} is drawn by {other:?}"),
        }
    }

    fn corners(corners: &[(f64, f64)]) -> Block {
        let corners = corners.iter().map(|c| Point::from(*c)).collect();
        outline(&Shape::Corners { corners }, 6.35).unwrap()
    }

    fn square(side: f64) -> Block {
        outline(&Shape::Square { side }, 6.35).unwrap()
    }

    fn crooked() -> Block {
        corners(&[(0.0, 0.0), (158.0, 8.0), (145.0, 156.0), (-6.0, 146.0)])
    }

    /// An eight inch block as the tape found it.
    fn measured() -> Block {
        corners(&[(0.0, 0.0), (206.4, 6.35), (190.5, 203.2), (0.0, 190.5)])
    }

    fn ell() -> Block {
        corners(&[(0.0, 0.0), (170.0, 0.0), (170.0, 90.0), (90.0, 90.0), (90.0, 170.0), (0.0, 170.0)])
    }

    fn with_a_hole() -> Block {
        let mut block = square(170.0);
        let hole =
            Ring::from_points(&[(-30.0, -20.0), (25.0, -25.0), (30.0, 30.0)].map(Point::from)).unwrap();
        block.inside[0].holes.push(hole);
        block
    }

    /// The line as evenly spaced points, closed or not.
    fn fine(path: &BezPath, step: f64) -> (Vec<Point>, bool) {
        let mut flat = flatten(path, FLATTEN_MM).remove(0);
        if flat.closed {
            flat.points.pop();
        }
        let count = fence::whole(chain::length(&flat.points) / step);
        (bend::even(&flat.points, flat.closed, count), flat.closed)
    }

    /// Checks one line for each seed: its least distance between passes and its widest gap, in spacings.
    fn check(
        motif: &str,
        spacing: f64,
        block: &Block,
        seeds: std::ops::RangeInclusive<u32>,
        even: (f64, f64),
    ) {
        for seed in seeds {
            let asked = [format!("spacing={spacing}mm"), format!("seed={seed}")];
            let drawing = drawn(motif, block, &[&asked[0], &asked[1]]).unwrap();
            assert_eq!(drawing.lines.len(), 1);
            let (points, closed) = fine(&drawing.lines[0], spacing / 20.0);
            assert!(closed && simple::is_simple(&points, true), "seed {seed} crosses itself");
            let outside = points.iter().map(|p| -block.inside[0].depth(*p)).fold(f64::MIN, f64::max);
            assert!(outside < FLATTEN_MM, "seed {seed} is {outside} mm outside");
            let least = simple::nearest_passes(&points, true, 2.0 * spacing, spacing) / spacing;
            assert!(least > even.0, "seed {seed}: passes {least} spacings apart");
            let gap = gap::widest_gap(&points, spacing, &block.inside[0]) / spacing;
            assert!(gap < even.1, "seed {seed}: a gap of {gap} spacings");
        }
    }

    #[test]
    fn a_square_is_filled_evenly_by_fifty_lines() {
        check("meander", 18.0, &square(150.0), 1..=50, EVEN);
    }

    #[test]
    fn a_crooked_block_is_filled_evenly_by_fifty_lines() {
        check("meander", 18.0, &crooked(), 1..=50, EVEN);
    }

    #[test]
    fn a_full_block_is_filled_evenly_at_half_an_inch() {
        check("meander", 12.7, &square(203.2), 1..=12, EVEN);
        check("meander", 12.7, &measured(), 1..=12, EVEN);
    }

    #[test]
    fn a_full_block_is_filled_evenly_by_close_lines() {
        check("meander", 6.35, &square(203.2), 1..=2, EVEN);
        check("stipple", 6.0, &measured(), 1..=2, EVEN);
        check("stipple", 3.175, &square(80.0), 1..=3, EVEN);
    }

    #[test]
    fn a_tip_of_thirty_degrees_is_filled() {
        let tip = corners(&[(0.0, 0.0), (220.0, 0.0), (190.5, 110.0)]);
        check("meander", 12.7, &tip, 1..=5, (0.5, 2.0));
    }

    #[test]
    fn a_half_square_is_filled_by_fifty_lines() {
        check("meander", 18.0, &outline(&Shape::HalfSquare { leg: 200.0 }, 6.35).unwrap(), 1..=50, EVEN);
    }

    #[test]
    fn an_inward_corner_is_filled_by_fifty_lines() {
        check("meander", 18.0, &ell(), 1..=50, EVEN);
    }

    #[test]
    fn a_circle_is_filled_by_fifty_lines() {
        check("meander", 18.0, &outline(&Shape::Circle { diameter: 170.0 }, 6.35).unwrap(), 1..=50, EVEN);
    }

    #[test]
    fn the_same_seed_draws_the_same_line_and_another_draws_another() {
        let line = |seed: &str| drawn("meander", &square(120.0), &[seed]).unwrap().lines;
        assert_eq!(line("seed=3"), line("seed=3"));
        assert_ne!(line("seed=3"), line("seed=4"));
    }

    #[test]
    fn an_open_line_runs_from_the_left_edge_to_the_right() {
        for seed in 1..=10 {
            let block = if seed % 2 == 1 { crooked() } else { ell() };
            let drawing = drawn("meander", &block, &["form=open", &format!("seed={seed}")]).unwrap();
            let (points, closed) = fine(&drawing.lines[0], 0.6);
            assert!(!closed && simple::is_simple(&points, false));
            let (first, last) = (points[0], points[points.len() - 1]);
            assert!(block.inside[0].depth(first).abs() < 1e-3 && first.x < -55.0, "begins at {first:?}");
            assert!(block.inside[0].depth(last).abs() < 1e-3 && last.x > -5.0, "ends at {last:?}");
            let least = simple::nearest_passes(&points, false, 25.4, 12.7) / 12.7;
            let gap = gap::widest_gap(&points, 12.7, &block.inside[0]) / 12.7;
            assert!(least > 0.5 && gap < 2.0, "passes {least} spacings apart, a gap of {gap} spacings");
        }
    }

    #[test]
    fn loops_cross_themselves_and_nothing_else() {
        for seed in 1..=10 {
            let block = square(203.2);
            let drawing = drawn("loops", &block, &[&format!("seed={seed}")]).unwrap();
            let (points, closed) = fine(&drawing.lines[0], 0.4);
            let crossings = simple::crossings(&points, closed);
            assert!(crossings.len() > 9, "seed {seed}: {} loops", crossings.len());
            for (i, j) in crossings {
                let along = (j - i).min(points.len() - (j - i)) as f64 * 0.4;
                assert!(along < 85.0, "seed {seed}: a crossing {along} mm round");
            }
            let outside = points.iter().map(|p| -block.inside[0].depth(*p)).fold(f64::MIN, f64::max);
            assert!(outside < FLATTEN_MM, "seed {seed} is {outside} mm outside");
        }
    }

    #[test]
    fn too_wide_a_spacing_leaves_one_bend_and_no_room_is_told() {
        let one = drawn("meander", &square(30.0), &["spacing=2in"]).unwrap();
        assert!(fine(&one.lines[0], 0.5).1);
        let mut tiny = square(30.0);
        tiny.inside[0] = Region {
            outer: Ring::from_points(&[(0.0, 0.0), (40.0, 0.0), (40.0, 1.0)].map(Point::from)).unwrap(),
            holes: Vec::new(),
        };
        let refused = drawn("meander", &tiny, &["spacing=2in"]).unwrap_err().to_string();
        assert!(refused.contains("no room for a line at a spacing of 2 in (50.8 mm); ask for "), "{refused}");
    }

    #[test]
    fn a_hole_is_kept_clear_by_fifty_lines() {
        check("meander", 18.0, &with_a_hole(), 1..=50, (0.75, 1.8));
    }
}
