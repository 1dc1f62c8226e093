//! One look for the whole quilt: the scale that all motifs share, and a density that is even over the pieces.
//!
//! Method: every distinct piece is drawn at scales up to [`FLEX`] above and below the one asked for; the scale with the
//! smallest worst stretch wins, a far one only for a gain that shows. Pieces that would have far more
//! or fewer lines for their area than the quilt's mean are eased, motif by motif, by at most [`EASE`].
//! Limits: a search on a fixed ladder of scales, refined once; between its rungs a slightly better one may lie.

use std::collections::BTreeMap;

use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};

use super::TopError;
use super::course;
use super::file::{Chosen, Quilt};
use super::layout::Layout;
use super::look::Look;
use super::place::Place;
use super::ring::{Lane, Ring};
use crate::base::curve::path_length;
use crate::block::Block;
use crate::block::pose::Pose;
use crate::drawing::construction::Construction;
use crate::drawing::{self, Drawing};

/// How far the shared scale may move from what was asked for: a fifth.
pub const FLEX: f64 = 0.2;
/// How much coarser or finer than the shared scale a piece may be drawn to even the density.
pub const EASE: f64 = 1.5;
/// How far the density of a piece may differ from the quilt's: a quarter.
pub const UNEVEN: f64 = 0.25;
/// A stretch above this is told as a warning: ±10 %, common practice.
pub const STRETCH_TOLD: f64 = 0.1;
/// Rungs of the ladder on each side of the asked scale.
const RUNGS: i32 = 16;
/// A coarse ladder, then a fine one about its best rung: steps of about a tenth of a percent.
const LADDERS: usize = 2;
/// Rounds of evening: a second one settles what the shared scale moved.
const ROUNDS: usize = 2;
/// What moving the scale weighs against stretch: a tenth, so that it is not moved far for a gain that nobody sees.
const MOVED_COST: f64 = 0.1;
/// A worst stretch below this needs no finer search: it cannot be seen.
const HARDLY_SHOWS: f64 = 0.01;
/// Stretches that differ by less are equal: a hundredth of a percent.
const EQUAL: f64 = 1e-4;

/// A block that is drawn to see how it comes out.
struct Trial<'l> {
    name: String,
    chosen: &'l Chosen,
    block: Block,
    pose: Pose,
    /// The area that all its copies cover, mm².
    area: f64,
    ring: Option<usize>,
}

/// Settles the look of all pieces.
///
/// # Errors
/// [`TopError::Draw`] for a motif that does not fit its block at any scale near the one asked for.
pub fn settle(quilt: &Quilt, layout: &Layout) -> Result<Look, TopError> {
    let trials = trials(layout)?;
    let fixed = trials.iter().all(|t| t.chosen.pinned || t.chosen.motif.scale.is_none());
    let asked_mm = quilt.scale_mm;
    let mut look = Look { asked_mm, factor: 1.0, worst_stretch: 0.0, eased: BTreeMap::new() };
    if fixed {
        look.worst_stretch = worst(&look, &trials)?;
        return Ok(look);
    }
    for _ in 0..ROUNDS {
        look.eased = even(&look, &trials);
    }
    let mut look = best(&look, &live(&look, &trials), &layout.rings);
    look.worst_stretch = worst(&look, &trials)?;
    Ok(look)
}

/// "16.7 % smaller": how a scale is told beside the one asked for.
#[must_use]
pub fn told(factor: f64) -> String {
    let percent = (factor - 1.0) * 100.0;
    match (percent.abs() < 0.05, percent > 0.0) {
        (true, _) => "as asked".to_owned(),
        (_, true) => format!("{percent:.1} % larger"),
        (_, false) => format!("{:.1} % smaller", -percent),
    }
}

/// The trials that the scale matters to: not those with a scale of their own, nor lines that wander, nor those that fit
/// without any stretch at both ends of the ladder and in its middle.
fn live<'t, 'l>(look: &Look, trials: &'t [Trial<'l>]) -> Vec<&'t Trial<'l>> {
    let ends = [1.0 / (1.0 + FLEX), 1.0, 1.0 + FLEX];
    let stretches = |t: &Trial<'_>| {
        let drawn = ends.par_iter().map(|f| draw(&look.at(*f), t).map_or(f64::INFINITY, |d| d.off()));
        drawn.reduce(|| 0.0, f64::max) > 0.0
    };
    let of_its_own = |t: &Trial<'_>| t.chosen.pinned || t.chosen.motif.scale.is_none();
    let may = |t: &Trial<'_>| !of_its_own(t) && !t.chosen.motif.construction.wanders();
    let matters: Vec<bool> = trials.iter().map(|t| may(t) && stretches(t)).collect();
    // Both runs of a ring are drawn, or neither.
    let ring = |t: &Trial<'_>| {
        let same = trials.iter().zip(&matters).filter(|(o, _)| o.ring == t.ring);
        t.ring.is_some() && same.into_iter().any(|(_, matters)| *matters)
    };
    trials.iter().zip(&matters).filter(|(t, matters)| **matters || ring(t)).map(|(t, _)| t).collect()
}

fn trials(layout: &Layout) -> Result<Vec<Trial<'_>>, TopError> {
    let mut trials = Vec::new();
    for design in &layout.designs {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand at most")]
        let area = design.block.outline.area() * design.at.len() as f64;
        let (name, block) = (design.name.clone(), design.block.clone());
        trials.push(Trial { name, chosen: &design.chosen, block, pose: design.pose, area, ring: None });
    }
    for (i, ring) in layout.rings.iter().enumerate() {
        let lanes = ring.lanes();
        let whole = lanes.iter().all(|lane| sample(ring, lane).is_none());
        for lane in lanes {
            let name = ring_name(ring);
            let part = sample(ring, &lane);
            let block = course::whole(ring, part.as_ref().unwrap_or(&lane))?;
            #[expect(clippy::cast_precision_loss, reason = "at most four")]
            let area = lane.sides.len() as f64 * lane.width * lane.length;
            trials.push(Trial {
                name,
                chosen: &ring.chosen,
                block,
                pose: Pose::default(),
                area,
                ring: whole.then_some(i),
            });
        }
    }
    Ok(trials)
}

/// A shorter lane that tells as much of the scale: a vine of feathers fits any length, and a long one takes long to draw.
fn sample(ring: &Ring, lane: &Lane) -> Option<Lane> {
    /// Longer vines are tried on this much, mm.
    const SAMPLE_MM: f64 = 1000.0;
    let vine = matches!(ring.chosen.motif.construction, Construction::FeatherVine(_));
    (vine && lane.length > SAMPLE_MM).then(|| Lane { length: SAMPLE_MM, ..lane.clone() })
}

/// The best scale of a coarse ladder and a finer one about its best rung.
fn best(look: &Look, trials: &[&Trial<'_>], rings: &[Ring]) -> Look {
    let mut best = (f64::INFINITY, 1.0_f64);
    let (mut middle, mut reach) = (0.0, FLEX.ln_1p());
    for _ in 0..LADDERS {
        let rungs: Vec<f64> = (-RUNGS..=RUNGS)
            .map(|i| (middle + reach * f64::from(i) / f64::from(RUNGS)).exp())
            .filter(|f| f.ln().abs() <= FLEX.ln_1p() + EQUAL)
            .collect();
        let costs = costs(look, &rungs, trials, rings);
        for (factor, cost) in rungs.into_iter().zip(costs) {
            let better = cost < best.0 - EQUAL;
            let nearer = cost < best.0 + EQUAL && factor.ln().abs() < best.1.ln().abs() - 1e-12;
            if better || (nearer && cost.is_finite()) {
                best = (cost, factor);
            }
        }
        if best.0 < HARDLY_SHOWS {
            break;
        }
        middle = best.1.ln();
        reach /= f64::from(RUNGS);
    }
    look.at(best.1)
}

/// What each rung costs; infinite for those that cannot be the best, as their single pieces alone cost more than another
/// rung with its borders, which take far longer to draw.
fn costs(look: &Look, rungs: &[f64], trials: &[&Trial<'_>], rings: &[Ring]) -> Vec<f64> {
    let single: Vec<&Trial<'_>> = trials.iter().copied().filter(|t| t.ring.is_none()).collect();
    let least: Vec<f64> = rungs.par_iter().map(|f| cost(&look.at(*f), &single, rings)).collect();
    let first = (0..rungs.len()).min_by(|a, b| least[*a].total_cmp(&least[*b]).then(a.cmp(b)));
    let Some(first) = first else { return least };
    let bound = cost(&look.at(rungs[first]), trials, rings);
    let full = |i: usize| {
        if i == first {
            bound
        } else if least[i] > bound + EQUAL {
            f64::INFINITY
        } else {
            cost(&look.at(rungs[i]), trials, rings)
        }
    };
    (0..rungs.len()).into_par_iter().map(full).collect()
}

/// The worst stretch of all trials.
fn worst(look: &Look, trials: &[Trial<'_>]) -> Result<f64, TopError> {
    let fitted = trials.par_iter().filter(|t| !t.chosen.motif.construction.wanders());
    let off: Result<Vec<f64>, TopError> = fitted.map(|t| Ok(draw(look, t)?.off())).collect();
    Ok(off?.into_iter().fold(0.0, f64::max))
}

/// What a scale costs: the worst stretch, and more where border lines would bend at a corner.
fn cost(look: &Look, trials: &[&Trial<'_>], rings: &[Ring]) -> f64 {
    let mut worst: f64 = 0.0;
    let mut drawings: Vec<(usize, Drawing)> = Vec::new();
    for trial in trials {
        let Ok(drawing) = draw(look, trial) else { return f64::INFINITY };
        worst = worst.max(drawing.off());
        if let Some(ring) = trial.ring {
            drawings.push((ring, drawing));
        }
    }
    let bends = drawings.chunk_by(|a, b| a.0 == b.0).map(|runs| {
        let ring = &rings[runs[0].0];
        let runs: Vec<&Drawing> = runs.iter().map(|(_, drawing)| drawing).collect();
        course::corner_cost(ring, &look.settings(&ring.chosen, 1.0), &runs)
    });
    worst + bends.sum::<f64>() + MOVED_COST * look.factor.ln().abs()
}

fn draw(look: &Look, trial: &Trial<'_>) -> Result<Drawing, TopError> {
    let settings = look.settings(trial.chosen, 1.0);
    drawing::draw_posed(&trial.chosen.motif, &settings, &trial.block, trial.pose)
        .map_err(|error| TopError::Draw { place: trial.name.clone(), error })
}

/// How coarse each motif has to be drawn to come near the mean density of the quilt; one motif alone is its own mean.
fn even(look: &Look, trials: &[Trial<'_>]) -> BTreeMap<String, f64> {
    if trials.windows(2).all(|pair| pair[0].chosen.motif.name == pair[1].chosen.motif.name) {
        return look.eased.clone();
    }
    let mut sums: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    let mut fixed = (0.0, 0.0);
    let of = |t: &Trial<'_>| draw(look, t).map_or(0.0, |d| density(&d, &t.block));
    let densities: Vec<f64> = trials.par_iter().map(of).collect();
    for (trial, density) in trials.iter().zip(densities) {
        if trial.chosen.pinned || trial.chosen.motif.scale.is_none() {
            fixed.0 += density * trial.area;
            fixed.1 += trial.area;
            continue;
        }
        let sum = sums.entry(&trial.chosen.motif.name).or_default();
        sum.0 += density * trial.area;
        sum.1 += trial.area;
    }
    let all = sums.values().fold(fixed, |all, one| (all.0 + one.0, all.1 + one.1));
    let mut eased = look.eased.clone();
    for (name, (lines, area)) in sums {
        let ratio = lines / area / (all.0 / all.1);
        if ratio.is_finite() && ratio > 0.0 && (ratio - 1.0).abs() > UNEVEN {
            let factor = eased.entry(name.to_owned()).or_insert(1.0);
            *factor = (*factor * ratio).clamp(1.0 / EASE, EASE);
        }
    }
    eased
}

/// The name under which a ring's look is settled.
fn ring_name(ring: &Ring) -> String {
    Place::Border(ring.number).to_string()
}

/// Length of line for each area of the block, mm per mm².
#[must_use]
pub fn density(drawing: &Drawing, block: &Block) -> f64 {
    drawing.lines.iter().map(path_length).sum::<f64>() / block.outline.area()
}
