//! A ring of border → its course: whole repeats on all four sides, corners that the lines run round, and the stretches
//! in which it is hooped.
//!
//! Both pairs of sides are solved together: of all scales near the quilt's, the one with the most equal repeats, the
//! least stretch and the straightest joins. Repeats and joins are measured on the drawn lines; see [`super::repeats`].

use kurbo::{Affine, BezPath};

use super::TopError;
use super::borders::Ring;
use super::file::{Chosen, Corner};
use super::layout::{Design, Layout, free_name};
use super::place::Place;
use super::repeats::{self, Join};
use super::scale::Look;
use crate::base::tolerance::{CEIL_GUARD, ceil_guarded};
use crate::block::shape::Shape;
use crate::block::{self, Block};
use crate::drawing::settings::Settings;
use crate::drawing::{self, Drawing};
use crate::survey::hoop::{CLEARANCE_MM, Hoop};

/// Lines that meet at a join within this run on, mm: one step of the machine.
pub const JOIN_GAP_MM: f64 = 0.1;
/// Lines that bend less than this at a join run on, degrees.
pub const JOIN_BEND_DEG: f64 = 1.0;
/// How far a border's own scale may move from the quilt's to even its repeats: a tenth.
const FLEX: f64 = 0.1;
/// Steps of the search on each side.
const STEPS: i32 = 20;
/// Costs that differ by less are equal: a hundredth of a percent.
const EQUAL: f64 = 1e-4;
/// What one degree of bend above the limit weighs, as a stretch.
const BEND_COST: f64 = 0.1;
/// What lines that do not meet at all weigh, as a stretch.
const APART_COST: f64 = 1.0;

/// A ring with its repeats.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Which border, from 1.
    pub number: usize,
    /// Its motif's settings.
    pub settings: Settings,
    /// Whole repeats along bottom and top, and along the sides; 1 where the lines do not repeat.
    pub counts: [u32; 2],
    /// The length of a repeat along bottom and top, and along the sides, mm.
    pub repeats_mm: [f64; 2],
    /// How far the repeats are stretched from the quilt's scale.
    pub stretch: f64,
    /// The worst join at a corner; `None` where the lines do not turn.
    pub join: Option<Join>,
    /// Repeats of each hooping along bottom or top, and along a side; empty where the lines do not repeat.
    pub hoopings: [Vec<u32>; 2],
}

/// What a ring looks like at one scale.
struct Trial {
    settings: Settings,
    counts: [u32; 2],
    stretch: f64,
    join: Option<Join>,
    cost: f64,
}

impl Course {
    /// True if the lines run round the corner.
    #[must_use]
    pub fn turns(&self) -> bool {
        self.join.is_some_and(|j| runs_on(&j))
    }
}

fn runs_on(join: &Join) -> bool {
    join.ends > 0 && join.gap_mm <= JOIN_GAP_MM && join.bend_deg <= JOIN_BEND_DEG
}

/// Settles a ring and adds its stretches and its corner to the layout.
///
/// # Errors
/// [`TopError::Draw`] if the motif cannot be drawn along it.
pub fn lay(ring: &Ring, look: &Look, hoops: &[Hoop], layout: &mut Layout) -> Result<Course, TopError> {
    let best = solve(ring, look)?;
    if best.counts.contains(&1)
        && let Some(course) = end_to_end(ring, &best.settings, hoops)?
    {
        for run in 0..2 {
            stretches(ring, &course, run, layout)?;
        }
        corner_square(ring, &course, layout);
        return Ok(course);
    }
    let repeats_mm = [0, 1].map(|i| ring.runs[i] / f64::from(best.counts[i]));
    let meets = best.join.is_none_or(|j| j.ends > 0 && j.gap_mm <= JOIN_GAP_MM);
    let repeating = best.counts.iter().all(|n| *n > 1) && meets;
    let most = |repeat: f64| most_repeats(repeat, ring.width - 2.0 * ring.margin, hoops);
    let mut course = Course {
        number: ring.number,
        settings: best.settings,
        counts: best.counts,
        repeats_mm,
        stretch: best.stretch,
        join: best.join,
        hoopings: [Vec::new(), Vec::new()],
    };
    if !repeating {
        course.join = None;
        whole_sides(ring, &course, layout)?;
        return Ok(course);
    }
    for (run, (repeat_mm, count)) in repeats_mm.into_iter().zip(best.counts).enumerate() {
        // A repeat that no hoop takes is split as any other large piece.
        course.hoopings[run] = shares(count, most(repeat_mm).unwrap_or(count));
        stretches(ring, &course, run, layout)?;
    }
    if course.join.is_none() {
        corner_square(ring, &course, layout);
    } else if let Some(block) = &ring.corner_block {
        let at = ring.corners().to_vec();
        let place = Place::BorderCorner(ring.number);
        let name = format!("{place}");
        push(layout, (&name, place), block.clone(), (ring, &course), at);
    }
    tell(ring, &course, layout);
    Ok(course)
}

fn tell(ring: &Ring, course: &Course, layout: &mut Layout) {
    if let Some(join) = course.join
        && !runs_on(&join)
    {
        layout.notes.push(format!(
            "The lines of border {} bend by {:.1} degrees where they reach the corner: its repeats are {:.1} % longer or \
             shorter than its corner unit.",
            ring.number,
            join.bend_deg,
            course.stretch * 100.0
        ));
    }
}

/// A ring's motif with the settings of its course.
fn pinned(ring: &Ring, course: &Course) -> Chosen {
    let motif = ring.chosen.motif.clone();
    Chosen { motif, settings: course.settings.clone(), pinned: true, background: None }
}

fn solve(ring: &Ring, look: &Look) -> Result<Trial, TopError> {
    let flexible = ring.chosen.motif.scale.is_some() && !ring.chosen.pinned;
    let steps = if flexible { STEPS } else { 0 };
    let mut best: Option<Trial> = None;
    let mut refused = None;
    // From the quilt's own scale outwards, so that between equals the nearest stays.
    let mut ladder: Vec<i32> = (-steps..=steps).collect();
    ladder.sort_by_key(|i| (i.abs(), *i));
    for i in ladder {
        let more = (FLEX.ln_1p() * f64::from(i) / f64::from(STEPS)).exp();
        let bound = best.as_ref().map_or(f64::INFINITY, |b| b.cost);
        let settings = look.settings(&Place::Border(ring.number).to_string(), &ring.chosen, more);
        match attempt(ring, settings, more, bound) {
            // Lines that do not repeat gain nothing from another scale.
            Ok(Some(trial)) if i == 0 && trial.counts == [1, 1] => return Ok(trial),
            Ok(trial) => best = trial.or(best),
            Err(error) => refused = Some(error),
        }
    }
    match (best, refused) {
        (Some(best), _) => Ok(best),
        (None, Some(error)) => Err(error),
        (None, None) => Err(TopError::NoCourse { number: ring.number }),
    }
}

/// One scale's trial, if it costs clearly less than `bound`.
fn attempt(ring: &Ring, settings: Settings, more: f64, bound: f64) -> Result<Option<Trial>, TopError> {
    let place = Place::Border(ring.number).to_string();
    let draw = |length: f64| -> Result<Drawing, TopError> {
        let block = ring.stretch(length);
        let block = block.map_err(|error| TopError::Block { place: place.clone(), error })?;
        drawing::draw(&ring.chosen.motif, &settings, &block)
            .map_err(|error| TopError::Draw { place: place.clone(), error })
    };
    let across = draw(ring.runs[0])?;
    let up = if ring.is_square() { across.clone() } else { draw(ring.runs[1])? };
    let runs = [across, up];
    let join = join(ring, &settings, [&runs[0], &runs[1]]);
    let own = runs.iter().map(|d| d.stretch).fold(0.0, f64::max);
    let stretch = (1.0 + own) * more.max(1.0 / more) - 1.0;
    let least = stretch + join.as_ref().map_or(0.0, cost_of);
    if least >= bound - EQUAL {
        return Ok(None);
    }
    let counts = [0, 1].map(|i| repeats::count(&runs[i].lines, ring.runs[i]));
    let repeat = |i: usize| ring.runs[i] / f64::from(counts[i]);
    let apart = (repeat(0) / repeat(1)).ln().abs();
    let cost = least + 2.0 * apart;
    Ok((cost < bound - EQUAL).then_some(Trial { settings, counts, stretch, join, cost }))
}

/// What the bends at a ring's corners cost, on the scale of a stretch.
#[must_use]
pub fn corner_cost(ring: &Ring, settings: &Settings, runs: [&Drawing; 2]) -> f64 {
    join(ring, settings, runs).as_ref().map_or(0.0, cost_of)
}

fn cost_of(join: &Join) -> f64 {
    if join.ends == 0 || join.gap_mm > JOIN_GAP_MM {
        return APART_COST;
    }
    BEND_COST * (join.bend_deg - JOIN_BEND_DEG).max(0.0)
}

/// The worst of the joins between runs and corner unit; `None` where the lines do not turn, or the unit cannot be drawn.
fn join(ring: &Ring, settings: &Settings, runs: [&Drawing; 2]) -> Option<Join> {
    let block = ring.corner_block.as_ref()?;
    let unit = drawing::draw(&ring.chosen.motif, settings, block).ok()?.lines;
    let half = (ring.width - 2.0 * ring.margin) / 2.0;
    let mut worst = Join { ends: usize::MAX, ..Join::default() };
    for (run, length) in runs.iter().zip(ring.runs) {
        for one in joins_of(&run.lines, length, &unit, half) {
            worst.ends = worst.ends.min(one.ends);
            worst.gap_mm = worst.gap_mm.max(one.gap_mm);
            worst.bend_deg = worst.bend_deg.max(one.bend_deg);
        }
    }
    Some(worst)
}

/// A run's right end with the corner unit after it, and its left end with the unit before it, which stands a quarter turn
/// back; the quilt's centre is above the run.
fn joins_of(run: &[BezPath], length: f64, unit: &[BezPath], half: f64) -> [Join; 2] {
    let x = length / 2.0;
    let after = repeats::moved(unit, Affine::translate((x + half, 0.0)));
    let turned = Affine::translate((-x - half, 0.0)) * Affine::rotate(-std::f64::consts::FRAC_PI_2);
    let before = repeats::moved(unit, turned);
    [repeats::join(run, &after, (x, half), true), repeats::join(&before, run, (-x, half), true)]
}

/// The most repeats that any hoop takes at once.
fn most_repeats(repeat: f64, height: f64, hoops: &[Hoop]) -> Option<u32> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    let count = (longest(height, hoops)? / repeat).floor() as u32;
    (count > 0).then_some(count)
}

/// The longest strip of a height that any hoop takes, mm.
fn longest(height: f64, hoops: &[Hoop]) -> Option<f64> {
    let fields = hoops.iter().flat_map(|h| [(h.width_mm, h.height_mm), (h.height_mm, h.width_mm)]);
    let room = |mm: f64| mm - 2.0 * CLEARANCE_MM + CEIL_GUARD;
    fields.filter(|f| room(f.1) >= height).map(|f| room(f.0)).reduce(f64::max)
}

/// `count` repeats in the fewest hoopings of at most `most`, as alike as can be, the longer ones first.
#[must_use]
pub fn shares(count: u32, most: u32) -> Vec<u32> {
    let hoopings = count.div_ceil(most.max(1));
    (0..hoopings).map(|i| count / hoopings + u32::from(i < count % hoopings)).collect()
}

/// Adds the stretches of one run: each length once, with all its places.
fn stretches(ring: &Ring, course: &Course, run: usize, layout: &mut Layout) -> Result<(), TopError> {
    let repeat = course.repeats_mm[run];
    let mut start = -repeat * f64::from(course.counts[run]) / 2.0;
    for n in &course.hoopings[run] {
        let length = repeat * f64::from(*n);
        let middle = Affine::translate((start + length / 2.0, 0.0));
        start += length;
        let at = ring.sides_of(run).map(|side| side * middle);
        let place = Place::Border(ring.number);
        let known = layout.designs.iter().position(|d| {
            d.place == place && (d.block.outline.bounds().width() - length).abs() < SAME_LENGTH_MM
        });
        if let Some(known) = known {
            layout.designs[known].at.extend(at);
            continue;
        }
        let block = ring.stretch(length);
        let block = block.map_err(|error| TopError::Block { place: place.to_string(), error })?;
        let name = format!("{place} {} {n}", WAYS[run]);
        push(layout, (&name, place), block, (ring, course), at.to_vec());
    }
    Ok(())
}

/// Stretches whose lengths differ by less are sewn from one file, mm: far below the machine's step.
const SAME_LENGTH_MM: f64 = 0.01;

/// The words for the two runs: along bottom and top, and along the sides.
const WAYS: [&str; 2] = ["across", "up"];

/// Adds a design; where its lines run on across sides, they may not travel along them.
fn push(
    layout: &mut Layout,
    (name, place): (&str, Place),
    block: Block,
    (ring, course): (&Ring, &Course),
    at: Vec<Affine>,
) {
    let name = free_name(&layout.designs, name);
    let chosen = pinned(ring, course);
    let travel = ring.travel && block.open.is_empty();
    layout.designs.push(Design { name, place, block, chosen, travel, at });
}

/// Sides whose lines do not repeat, each in one piece with its margins, and a square in each corner where they do not run
/// out to the edge.
fn whole_sides(ring: &Ring, course: &Course, layout: &mut Layout) -> Result<(), TopError> {
    let place = Place::Border(ring.number);
    let failed = |error| TopError::Block { place: place.to_string(), error };
    let beyond = if ring.corner == Corner::Butt { 2.0 * ring.width } else { 0.0 };
    let lengths = [ring.inner.0 + beyond, ring.inner.1];
    for (run, length) in lengths.into_iter().enumerate() {
        let shape = Shape::Strip { width: ring.width, length };
        let at = ring.sides_of(run).to_vec();
        if let Some(known) = layout.designs.iter_mut().find(|d| d.place == place && d.block.shape == shape) {
            known.at.extend(at);
            continue;
        }
        let block = block::outline(&shape, ring.margin).map_err(failed)?;
        let name = format!("{place} {}", WAYS[run]);
        push(layout, (&name, place.clone()), block, (ring, course), at);
    }
    corner_square(ring, course, layout);
    Ok(())
}

/// Where the lines do not turn, a square in each corner, if the motif suits one.
fn corner_square(ring: &Ring, course: &Course, layout: &mut Layout) {
    let Some(block) = &ring.corner_block else { return };
    let (name, number) = (&ring.chosen.motif.name, ring.number);
    if ring.chosen.motif.suits(block.shape.suit()) {
        let at = ring.corners().to_vec();
        let place = Place::BorderCorner(number);
        let closed = Block { open: Vec::new(), ..block.clone() };
        push(layout, (&place.to_string(), place.clone()), closed, (ring, course), at);
        layout.notes.push(format!(
            "The lines of border {number} do not run round its corners, as {name} has no unit that turns; each corner is a \
             square of its own."
        ));
    } else {
        layout.notes.push(format!(
            "The corners of border {number} are not quilted: {name} has no unit that turns and does not suit a square; ask \
             for corner = \"square\" with a corner-motif."
        ));
    }
}

/// A motif that does not repeat within a strip but whose strips join end to end: each hooping is one strip.
///
/// The fewest strips along each side that a hoop takes, or one more, whichever makes the strips of both sides more alike;
/// `None` if the ends do not join, or no hoop takes the border's width.
fn end_to_end(ring: &Ring, settings: &Settings, hoops: &[Hoop]) -> Result<Option<Course>, TopError> {
    let Some(room) = longest(ring.width - 2.0 * ring.margin, hoops) else { return Ok(None) };
    let run = |length: f64| if ring.corner == Corner::Turn { length - 4.0 * ring.margin } else { length };
    let fewest = ring.runs.map(|length| ceil_guarded(run(length) / room));
    let mut best: Option<(f64, [f64; 2])> = None;
    for (across, up) in [(0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)] {
        let counts = [fewest[0] + across, fewest[1] + up];
        let apart = (run(ring.runs[0]) / counts[0] / (run(ring.runs[1]) / counts[1])).ln().abs();
        let cost = apart + 0.1 * (across + up);
        if best.is_none_or(|(known, _)| cost < known) {
            best = Some((cost, counts));
        }
    }
    let Some((_, counts)) = best else { return Ok(None) };
    let repeats_mm = [0, 1].map(|i| run(ring.runs[i]) / counts[i]);
    let mut stretch: f64 = 0.0;
    for length in repeats_mm {
        let place = Place::Border(ring.number).to_string();
        let block = ring.stretch(length);
        let block = block.map_err(|error| TopError::Block { place: place.clone(), error })?;
        let strip = drawing::draw(&ring.chosen.motif, settings, &block);
        let strip = strip.map_err(|error| TopError::Draw { place, error })?;
        let next = repeats::moved(&strip.lines, Affine::translate((length, 0.0)));
        let half = ring.width / 2.0 - ring.margin;
        if !runs_on(&repeats::join(&strip.lines, &next, (length / 2.0, half), false)) {
            return Ok(None);
        }
        stretch = stretch.max(strip.stretch);
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small whole numbers")]
    let counts = counts.map(|n| n as u32);
    let hoopings = counts.map(|n| vec![1; n as usize]);
    Ok(Some(Course {
        number: ring.number,
        settings: settings.clone(),
        counts,
        repeats_mm,
        stretch,
        join: None,
        hoopings,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn repeats_are_shared_out_evenly_over_the_fewest_hoopings() {
        assert_eq!(shares(17, 4), [4, 4, 3, 3, 3]);
        assert_eq!(shares(12, 4), [4, 4, 4]);
        assert_eq!(shares(3, 8), [3]);
    }
}
