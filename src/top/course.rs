//! A ring of border → its course: whole repeats on all sides, corners that the lines run round, and the stretches in which
//! it is hooped.
//!
//! All sides are solved together: of all scales near the quilt's, the one with the most equal repeats, the least stretch and
//! the straightest joins. Every side is drawn once, from end to end, and only then cut into hoopings ([`super::stretches`]):
//! what is sewn does not depend on the hoop. Repeats and joins are measured on the drawn lines; see [`super::repeats`].

use kurbo::{Affine, BezPath};

use super::TopError;
use super::file::Chosen;
use super::look::Look;
use super::place::Place;
use super::repeats::{self, Join};
use super::ring::{Lane, Ring};
use crate::block::{Block, BlockError};
use crate::drawing::settings::Settings;
use crate::drawing::{self, Drawing};

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
    /// Sides that are alike, together: bottom and top first.
    pub lanes: Vec<Lane>,
    /// Whole repeats along each lane; 1 where the lines do not repeat.
    pub counts: Vec<u32>,
    /// The length of a repeat along each lane, mm.
    pub repeats_mm: Vec<f64>,
    /// How far the repeats are stretched from the quilt's scale.
    pub stretch: f64,
    /// The worst join at a corner; `None` where the lines do not turn.
    pub join: Option<Join>,
    /// Repeats of each hooping along each lane, or 1 for each hooping where the lines do not repeat.
    pub hoopings: Vec<Vec<u32>>,
}

/// What a ring looks like at one scale.
pub struct Trial {
    /// Its motif's settings.
    pub settings: Settings,
    /// What is drawn along each lane.
    pub runs: Vec<Drawing>,
    /// Whole repeats along each lane.
    pub counts: Vec<u32>,
    /// How far they are stretched.
    pub stretch: f64,
    /// The worst join at a corner.
    pub join: Option<Join>,
    cost: f64,
}

impl Course {
    /// True if the lines run round the corner.
    #[must_use]
    pub fn turns(&self) -> bool {
        self.join.is_some_and(|j| runs_on(&j))
    }
}

/// True if lines that meet so run on.
#[must_use]
pub fn runs_on(join: &Join) -> bool {
    join.ends > 0 && join.gap_mm <= JOIN_GAP_MM && join.bend_deg <= JOIN_BEND_DEG
}

/// A ring's motif with the settings of its course.
#[must_use]
pub fn pinned(ring: &Ring, settings: &Settings) -> Chosen {
    let motif = ring.chosen.motif.clone();
    Chosen {
        motif,
        settings: settings.clone(),
        pinned: true,
        background: None,
        dress: ring.chosen.dress.clone(),
    }
}

/// The scale at which a ring looks best.
///
/// # Errors
/// [`TopError::Draw`] if the motif cannot be drawn along it.
pub fn solve(ring: &Ring, look: &Look) -> Result<Trial, TopError> {
    let lanes = ring.lanes();
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
        let settings = look.settings(&ring.chosen, more);
        match attempt(ring, &lanes, settings, more, bound) {
            // Lines that do not repeat gain nothing from another scale.
            Ok(Some(trial)) if i == 0 && trial.counts.iter().all(|n| *n == 1) => return Ok(trial),
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
fn attempt(
    ring: &Ring,
    lanes: &[Lane],
    settings: Settings,
    more: f64,
    bound: f64,
) -> Result<Option<Trial>, TopError> {
    let runs: Result<Vec<Drawing>, TopError> = lanes.iter().map(|l| along(ring, l, &settings)).collect();
    let runs = runs?;
    let join = join(ring, &settings, lanes, &runs.iter().collect::<Vec<_>>());
    let own = runs.iter().map(|d| d.stretch).fold(0.0, f64::max);
    let stretch = (1.0 + own) * more.max(1.0 / more) - 1.0;
    let least = stretch + join.as_ref().map_or(0.0, cost_of);
    if least >= bound - EQUAL {
        return Ok(None);
    }
    let counts: Vec<u32> = runs.iter().zip(lanes).map(|(d, l)| repeats::count(&d.lines, l.length)).collect();
    let repeat = |i: usize| lanes[i].length / f64::from(counts[i]);
    let repeating: Vec<f64> = (0..lanes.len()).filter(|i| counts[*i] > 1).map(repeat).collect();
    let most = repeating.iter().copied().fold(0.0, f64::max);
    let apart = repeating.iter().copied().reduce(f64::min).map_or(0.0, |least| (most / least).ln());
    let cost = least + 2.0 * apart;
    Ok((cost < bound - EQUAL).then_some(Trial { settings, runs, counts, stretch, join, cost }))
}

/// The motif along a whole lane.
///
/// # Errors
/// [`TopError::Draw`] if it cannot be drawn, [`TopError::Block`] if the margins leave nothing.
pub fn along(ring: &Ring, lane: &Lane, settings: &Settings) -> Result<Drawing, TopError> {
    let block = whole(ring, lane)?;
    drawing::draw(&ring.chosen.motif, settings, &block)
        .map_err(|error| TopError::Draw { place: Place::Border(ring.number).to_string(), error })
}

/// The block of a whole lane.
///
/// # Errors
/// [`TopError::Block`] if the margins leave nothing.
pub fn whole(ring: &Ring, lane: &Lane) -> Result<Block, TopError> {
    let failed = |error: BlockError| TopError::Block { place: Place::Border(ring.number).to_string(), error };
    ring.block(lane).map_err(failed)
}

/// What the bends at a ring's corners cost, on the scale of a stretch.
#[must_use]
pub fn corner_cost(ring: &Ring, settings: &Settings, runs: &[&Drawing]) -> f64 {
    join(ring, settings, &ring.lanes(), runs).as_ref().map_or(0.0, cost_of)
}

fn cost_of(join: &Join) -> f64 {
    if join.ends == 0 || join.gap_mm > JOIN_GAP_MM {
        return APART_COST;
    }
    BEND_COST * (join.bend_deg - JOIN_BEND_DEG).max(0.0)
}

/// The worst of the joins between runs and corner unit; `None` where the lines do not turn, or the unit cannot be drawn.
fn join(ring: &Ring, settings: &Settings, lanes: &[Lane], runs: &[&Drawing]) -> Option<Join> {
    let block = ring.corner_block.as_ref()?;
    let unit = drawing::draw(&ring.chosen.motif, settings, block).ok()?.lines;
    let half = (ring.widths[0] - 2.0 * ring.margin) / 2.0;
    let mut worst = Join { ends: usize::MAX, ..Join::default() };
    for (run, lane) in runs.iter().zip(lanes) {
        for one in joins_of(&run.lines, lane.length, &unit, half) {
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
