//! A ring of border → its course: whole repeats on all sides, corners that the lines run round, and the stretches in which
//! it is hooped.
//!
//! All sides are solved together: of all scales near the quilt's, the one with the most equal repeats, the least stretch and
//! the straightest joins. Every side is drawn once, from end to end, and only then cut into hoopings ([`super::stretches`]):
//! what is sewn does not depend on the hoop. Repeats and joins are measured on the drawn lines; see [`super::repeats`].

use kurbo::{Affine, BezPath};
use rayon::iter::{IntoParallelIterator, ParallelIterator};

use super::TopError;
use super::file::Chosen;
use super::look::Look;
use super::pieces::{boxed, count_of, inside_of, parts_before, piece_of};
use super::place::Place;
use super::repeats::{self, Join};
use super::ring::{Lane, Ring};
use crate::block::{Block, BlockError};
use crate::drawing::construction::Construction;
use crate::drawing::settings::Settings;
use crate::drawing::{self, Drawing, corner};

/// Lines that meet at a join within this run on, mm: one step of the machine.
pub const JOIN_GAP_MM: f64 = 0.1;
/// Lines that bend less than this at a join run on, degrees.
pub const JOIN_BEND_DEG: f64 = 1.0;
/// How far a border's own scale may move from the quilt's to even its repeats: a tenth.
const FLEX: f64 = 0.1;
/// Steps of the search on each side.
const STEPS: i32 = 20;
/// How many places for the cut between a vine's corner and its runs are looked at, beside the nearest.
const REACHES: u32 = 6;
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

/// A corner between two runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// The lanes that it comes from and goes on into.
    pub lanes: [usize; 2],
    /// The corners where it stands: each comes after the side of that number.
    pub corners: Vec<usize>,
    /// Its block: the corner's own, and as far as it reaches into its runs.
    pub block: Block,
    /// Its lines.
    pub drawing: Drawing,
}

/// What a ring looks like at one scale.
pub struct Trial {
    /// Its motif's settings.
    pub settings: Settings,
    /// What is drawn along each lane between the corner units.
    pub runs: Vec<Drawing>,
    /// How far the corner units reach into each lane at both its ends, mm.
    pub reach_mm: Vec<f64>,
    /// What is drawn at the corners, if the lines go round them.
    pub units: Vec<Unit>,
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
    join.gap_mm <= JOIN_GAP_MM && join.bend_deg <= JOIN_BEND_DEG
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

/// Whether a ring's shortest side and its corner can be drawn at all.
///
/// # Errors
/// [`TopError::Draw`] if not.
pub fn has_room(ring: &Ring) -> Result<(), TopError> {
    let (lanes, settings) = (ring.lanes(), &ring.chosen.settings);
    let Some(shortest) = lanes.iter().min_by(|a, b| a.length.total_cmp(&b.length)) else { return Ok(()) };
    along(ring, shortest, settings)?;
    units(ring, &lanes, settings, &vec![0.0; lanes.len()]).map(|_| ())
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
    let reach_mm = reaches(ring, lanes, &settings, &runs);
    let units = units(ring, lanes, &settings, &reach_mm)?;
    let whole = runs;
    let runs: Vec<Drawing> = (0..lanes.len())
        .map(|i| shortened(&whole[i], lanes[i].length / 2.0 - reach_mm[i], lanes[i].width))
        .collect();
    let lines: Vec<&[BezPath]> = runs.iter().map(|run| run.lines.as_slice()).collect();
    let join = join(ring, lanes, &reach_mm, &lines, &units);
    let own = runs.iter().map(|d| d.stretch).fold(0.0, f64::max);
    let stretch = (1.0 + own) * more.max(1.0 / more) - 1.0;
    let least = stretch + join.as_ref().map_or(0.0, cost_of);
    if least >= bound - EQUAL {
        return Ok(None);
    }
    let counts: Vec<u32> = whole.iter().zip(lanes).map(|(d, l)| repeats::count(&d.lines, l.length)).collect();
    let repeat = |i: usize| lanes[i].length / f64::from(counts[i]);
    let repeating: Vec<f64> = (0..lanes.len()).filter(|i| counts[*i] > 1).map(repeat).collect();
    let most = repeating.iter().copied().fold(0.0, f64::max);
    let apart = repeating.iter().copied().reduce(f64::min).map_or(0.0, |least| (most / least).ln());
    let cost = least + 2.0 * apart;
    Ok((cost < bound - EQUAL).then_some(Trial {
        settings,
        runs,
        reach_mm,
        units,
        counts,
        stretch,
        join,
        cost,
    }))
}

/// A run between two corner units that reach into it: what lies within `half` mm of its middle.
fn shortened(run: &Drawing, half: f64, width: f64) -> Drawing {
    Drawing { lines: piece_of(&boxed(&run.lines), (-half, half), width), ..run.clone() }
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
    let lanes = ring.lanes();
    // A vine of feathers meets its corner at any scale.
    if ring.corner_block.is_none() || is_vine(ring) {
        return 0.0;
    }
    let lines: Vec<&[BezPath]> = runs.iter().map(|run| run.lines.as_slice()).collect();
    let none = vec![0.0; lanes.len()];
    units(ring, &lanes, settings, &none)
        .map_or(APART_COST, |units| join(ring, &lanes, &none, &lines, &units).as_ref().map_or(0.0, cost_of))
}

fn is_vine(ring: &Ring) -> bool {
    matches!(ring.chosen.motif.construction, Construction::FeatherVine(_))
}

fn cost_of(join: &Join) -> f64 {
    if join.gap_mm > JOIN_GAP_MM {
        return APART_COST;
    }
    BEND_COST * (join.bend_deg - JOIN_BEND_DEG).max(0.0)
}

/// The length of a repeat in a lane, mm.
fn repeat_of(ring: &Ring, lane: &Lane, settings: &Settings) -> Option<f64> {
    corner::repeat_mm(&ring.chosen.motif, settings, &ring.block(lane).ok()?)
}

/// How far the corner units reach into each lane, mm: as far as the motif asks, or, where its lines do not repeat, so far that
/// unit and runs hang together best.
fn reaches(ring: &Ring, lanes: &[Lane], settings: &Settings, runs: &[Drawing]) -> Vec<f64> {
    let none = vec![0.0; lanes.len()];
    let Some(block) = &ring.corner_block else { return none };
    let motif = &ring.chosen.motif;
    let most = |lane: &Lane| {
        let repeat = repeat_of(ring, lane, settings);
        corner::reach_mm(motif, ring.widths[0], repeat.map(|mm| [mm; 2]))[0]
    };
    let most: Vec<f64> = lanes.iter().map(most).collect();
    if !is_vine(ring) {
        // Where a side is one repeat long nothing is left between its corners.
        let short = lanes.iter().zip(&most).any(|(lane, mm)| lane.length < 3.0 * mm);
        return if short { none } else { most };
    }
    let within = corner::reaching(block, [most[0]; 2]).inside;
    let Ok(unit) = corner::draw_within(motif, settings, block, None, &within) else { return none };
    let runs: Vec<_> = runs.iter().map(|run| boxed(&run.lines)).collect();
    let parts = |reach: f64| {
        let within = corner::reaching(block, [reach; 2]).inside;
        let unit = inside_of(&unit.lines, &within);
        let ends = runs.iter().zip(lanes).map(|(run, lane)| {
            let x = lane.length / 2.0 - reach;
            parts_before(run, x, lane.width)
        });
        count_of(&unit) + ends.sum::<usize>()
    };
    let tried: Vec<f64> = (0..=REACHES).map(|i| most[0] * f64::from(i) / f64::from(REACHES)).collect();
    let tried: Vec<(usize, f64)> = tried.into_par_iter().map(|mm| (parts(mm), mm)).collect();
    let best = tried.into_iter().min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    vec![best.map_or(0.0, |(_, mm)| mm); lanes.len()]
}

/// The corner units of a ring, by the lanes that meet there; none if its lines end before the corner.
fn units(ring: &Ring, lanes: &[Lane], settings: &Settings, reach_mm: &[f64]) -> Result<Vec<Unit>, TopError> {
    let Some(block) = &ring.corner_block else { return Ok(Vec::new()) };
    let lane_of = |side: usize| lanes.iter().position(|l| l.sides.iter().any(|(s, _)| *s == side % 4));
    let mut units: Vec<Unit> = Vec::new();
    for side in 0..4 {
        let (Some(before), Some(after)) = (lane_of(side), lane_of(side + 1)) else { continue };
        if let Some(unit) = units.iter_mut().find(|u| u.lanes == [before, after]) {
            unit.corners.push(side);
            continue;
        }
        let pair = [before, after];
        let [a, b] = pair.map(|lane| repeat_of(ring, &lanes[lane], settings));
        let reaching = corner::reaching(block, pair.map(|lane| reach_mm[lane]));
        let repeats = a.zip(b).map(|(a, b)| [a, b]);
        let drawing = corner::draw_within(&ring.chosen.motif, settings, block, repeats, &reaching.inside)
            .map_err(|error| TopError::Draw { place: Place::BorderCorner(ring.number).to_string(), error })?;
        units.push(Unit { lanes: pair, corners: vec![side], block: reaching, drawing });
    }
    Ok(units)
}

/// The worst of the joins between runs and corner units; `None` where there are no units.
fn join(ring: &Ring, lanes: &[Lane], reach_mm: &[f64], runs: &[&[BezPath]], units: &[Unit]) -> Option<Join> {
    let half = (ring.widths[0] - 2.0 * ring.margin) / 2.0;
    let joins = units.iter().flat_map(|unit| {
        let [before, after] = unit
            .lanes
            .map(|lane| (runs[lane], lanes[lane].length / 2.0, lanes[lane].length / 2.0 - reach_mm[lane]));
        joins_of(before, after, &unit.drawing.lines, half)
    });
    joins.reduce(|a, b| Join {
        ends: a.ends.min(b.ends),
        gap_mm: a.gap_mm.max(b.gap_mm),
        bend_deg: a.bend_deg.max(b.bend_deg),
    })
}

/// The right end of the run before a corner with the corner's unit, and the unit with the left end of the run after it,
/// which stands a quarter turn on; the quilt's centre is above each run. A run is told with the ends of its lane and its own.
fn joins_of(
    (before, x, ends_at): (&[BezPath], f64, f64),
    (after, y, begins_at): (&[BezPath], f64, f64),
    unit: &[BezPath],
    half: f64,
) -> [Join; 2] {
    let on = repeats::moved(unit, Affine::translate((x + half, 0.0)));
    let turned = Affine::translate((-y - half, 0.0)) * Affine::rotate(-std::f64::consts::FRAC_PI_2);
    let from = repeats::moved(unit, turned);
    [repeats::join(before, &on, (ends_at, half), true), repeats::join(&from, after, (-begins_at, half), true)]
}
