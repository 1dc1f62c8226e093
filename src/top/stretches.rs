//! The course of a border → the stretches in which it is hooped, cut from one drawing of each side.
//!
//! Where a drawing repeats, it is cut between repeats, the same number in each hooping as nearly as can be. Where it does
//! not, it is cut where the fewest lines cross, near the even share, so that no hooping is needed more.

use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Shape as _};
use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use super::TopError;
use super::course::{self, Course, Trial, pinned, runs_on};
use super::file::Corner;
use super::layout::{Design, Layout, free_name};
use super::look::Look;
use super::pieces::{boxed, parts_before, piece_of};
use super::place::Place;
use super::repeats::{self, Join};
use super::ring::{Lane, Ring};
use crate::base::tolerance::{CEIL_GUARD, ceil_guarded};
use crate::block::Block;
use crate::block::pose::Pose;
use crate::block::side::Side;
use crate::drawing::Drawing;
use crate::survey::hoop::{CLEARANCE_MM, Hoop};

/// Stretches whose lengths differ by less are sewn from one file, mm: far below the machine's step.
const SAME_LENGTH_MM: f64 = 0.01;
/// How many places are looked at for a cut.
const PLACES: u32 = 48;
/// and at how many of the best whether what is cut hangs together.
const LOOKED_AT: usize = 6;

/// Settles a ring and adds its stretches and its corners to the layout.
///
/// # Errors
/// [`TopError::Draw`] if the motif cannot be drawn along it.
pub fn lay(ring: &Ring, look: &Look, hoops: &[Hoop], layout: &mut Layout) -> Result<Course, TopError> {
    let best = course::solve(ring, look)?;
    let lanes = ring.lanes();
    let mut course = Course {
        number: ring.number,
        settings: best.settings.clone(),
        counts: best.counts.clone(),
        repeats_mm: lanes.iter().zip(&best.counts).map(|(l, n)| l.length / f64::from(*n)).collect(),
        stretch: best.stretch,
        join: best.join,
        hoopings: Vec::new(),
        lanes,
    };
    for i in 0..course.lanes.len() {
        let hooped = stretches(ring, &course, (i, &best), hoops, layout)?;
        course.hoopings.push(hooped);
    }
    if ring.corner_block.is_some() {
        let corners = ring.corners();
        for unit in best.units {
            let at = unit.corners.iter().map(|corner| corners[*corner].1).collect();
            let place = Place::BorderCorner(ring.number);
            let name = place.to_string();
            push(layout, (&name, place), unit.block, (ring, &course, Some(unit.drawing)), at);
        }
        layout
            .notes
            .extend(course.join.filter(|join| !runs_on(join)).map(|join| told(&join, &course).into()));
    }
    Ok(course)
}

/// Lets the sides of borders butt whose lines find no room to turn, where that was not asked for, and says why.
pub fn butt_where_lines_find_no_room(layout: &mut Layout) {
    for ring in &mut layout.rings {
        if ring.corner_block.is_none() || ring.asked {
            continue;
        }
        let Err(TopError::Draw { error, .. }) = course::has_room(ring) else { continue };
        (ring.corner, ring.corner_block) = (Corner::Butt, None);
        let told = format!(
            "The lines of border {} do not run round its corners: {error}. Its top and bottom run out to the edge instead \
             (corner = \"butt\").",
            ring.number
        );
        layout.notes.push(told.into());
    }
}

/// How far the lines of a border are from running on, in words.
fn told(join: &Join, course: &Course) -> String {
    let number = course.number;
    if join.gap_mm > course::JOIN_GAP_MM {
        return format!(
            "The lines of border {number} end where they reach its corners; take corner = \"butt\"."
        );
    }
    format!(
        "The lines of border {number} bend by {:.1} degrees where they reach the corner: its repeats are {:.1} % longer or \
         shorter than its corner unit.",
        join.bend_deg,
        course.stretch * 100.0
    )
}

/// Adds the stretches of one lane, each once with all its places; returns the repeats of each.
fn stretches(
    ring: &Ring,
    course: &Course,
    (lane, trial): (usize, &Trial),
    hoops: &[Hoop],
    layout: &mut Layout,
) -> Result<Vec<u32>, TopError> {
    let (run, count, reach) = (&trial.runs[lane], trial.counts[lane], trial.reach_mm[lane]);
    let repeat = course.repeats_mm[lane];
    // What is left between the corner units.
    let lane = &Lane { length: course.lanes[lane].length - 2.0 * reach, ..course.lanes[lane].clone() };
    let whole = course::whole(ring, lane)?;
    let place = Place::Border(ring.number);
    let bounds = repeats::bounds(&run.lines);
    let room = longest(bounds.height(), hoops);
    let name = |part: &str| {
        format!("{place} {}{part}", if lane.sides[0].0.is_multiple_of(2) { "across" } else { "up" })
    };
    let Some(room) = room.filter(|room| bounds.width() > *room) else {
        // One hooping, or a border wider than every hoop, which is split as any other piece.
        let at = ring.places(lane, 0.0);
        push(layout, (&name(""), place.clone()), whole, (ring, course, Some(run.clone())), at);
        return Ok(vec![count]);
    };
    let shares = shares_of(lane.length, repeat, count, room);
    let cuts = match &shares {
        Some(shares) => between_repeats(lane.length, repeat, shares),
        None => quiet_cuts(&run.lines, (bounds.x0, bounds.x1), (room, lane.width)),
    };
    let boxed = boxed(&run.lines);
    for (i, pair) in cuts.windows(2).enumerate() {
        let (length, middle) = (pair[1] - pair[0], f64::midpoint(pair[0], pair[1]));
        let at = ring.places(lane, middle);
        let round = ring.corner_block.is_some();
        let ends = [i > 0 || round, i + 2 < cuts.len() || round];
        let lines = piece_of(&boxed, (pair[0], pair[1]), lane.width);
        let like = |d: &&mut Design| {
            let long = d.block.outline.bounds().width();
            d.place == place && (long - length).abs() < SAME_LENGTH_MM && same_lines(d, &lines)
        };
        if let Some(known) = layout.designs.iter_mut().find(like) {
            known.at.extend(at);
            continue;
        }
        let block = ring.stretch(lane.width, length);
        let block = block.map_err(|error| TopError::Block { place: place.to_string(), error })?;
        let open = [Side::Left, Side::Right].into_iter().zip(ends).filter(|(_, open)| *open).map(|(s, _)| s);
        let block = Block { open: open.collect(), ..block };
        let drawn = Drawing { lines, ..run.clone() };
        let part = shares.as_ref().map_or(format!(" {}", i + 1), |shares| format!(" {}", shares[i]));
        push(layout, (&name(&part), place.clone()), block, (ring, course, Some(drawn)), at);
    }
    Ok(shares.unwrap_or_else(|| vec![1; cuts.len() - 1]))
}

/// The repeats of each hooping; `None` if the lines do not repeat, or no hoop takes a repeat. What is left beside whole
/// repeats goes with the last one.
fn shares_of(length: f64, repeat: f64, count: u32, room: f64) -> Option<Vec<u32>> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small whole number")]
    let whole = |mm: f64| (mm / repeat + CEIL_GUARD).floor().max(0.0) as u32;
    let (all, left) = (whole(length), length - repeat * f64::from(whole(length)));
    let most = whole(room - left);
    (count > 1 && most > 0 && all > 0).then(|| shares(all, most))
}

/// `count` repeats in the fewest hoopings of at most `most`, as alike as can be, the longer ones first.
#[must_use]
pub fn shares(count: u32, most: u32) -> Vec<u32> {
    let hoopings = count.div_ceil(most.max(1));
    (0..hoopings).map(|i| count / hoopings + u32::from(i < count % hoopings)).collect()
}

fn between_repeats(length: f64, repeat: f64, shares: &[u32]) -> Vec<f64> {
    let mut cuts = vec![-length / 2.0];
    let mut done = 0;
    for share in shares {
        done += share;
        cuts.push(repeat.mul_add(f64::from(done), -length / 2.0));
    }
    if let Some(last) = cuts.last_mut() {
        *last = length / 2.0;
    }
    cuts
}

/// Cuts into the fewest stretches that a hoop takes, each where the fewest lines cross and what is left on both sides hangs
/// together best.
fn quiet_cuts(lines: &[BezPath], (from, to): (f64, f64), (room, width): (f64, f64)) -> Vec<f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred")]
    let count = ceil_guarded((to - from) / room) as u32;
    let boxes: Vec<(f64, f64, PathSeg)> = lines
        .iter()
        .flat_map(BezPath::segments)
        .map(|s| {
            let b = s.bounding_box();
            (b.x0, b.x1, s)
        })
        .collect();
    let crossing = |x: f64| {
        let line = Line::new((x, -1e5), (x, 1e5));
        let near = boxes.iter().filter(|(a, b, _)| *a <= x && *b >= x);
        near.map(|(_, _, s)| s.intersect_line(line).len()).sum::<usize>()
    };
    let mirrored = repeats::moved(lines, Affine::FLIP_X);
    let (forwards, backwards) = (boxed(lines), boxed(&mirrored));
    let mut cuts = vec![from];
    for i in 1..count {
        let left = f64::from(count - i);
        let even = from + (to - from) * f64::from(i) / f64::from(count);
        // So near the even share that every stretch still fits.
        let low = (to - left * room).max(cuts[cuts.len() - 1] + room / 4.0);
        let high = cuts[cuts.len() - 1] + room;
        let at = |k: u32| low + (high - low) * f64::from(k) / f64::from(PLACES);
        let mut places: Vec<(usize, f64, f64)> =
            (0..=PLACES).map(at).map(|x| (crossing(x), ((x - even).abs() * 10.0).round(), x)).collect();
        places.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let parts = |x: f64| parts_before(&forwards, x, width) + parts_before(&backwards, -x, width);
        places.truncate(LOOKED_AT);
        let looked: Vec<(usize, f64)> = places.par_iter().map(|(_, _, x)| (parts(*x), *x)).collect();
        // Of equals the first.
        let best = looked.into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a });
        cuts.push(best.map_or(even, |(_, x)| x));
    }
    cuts.push(to);
    cuts
}

/// True if a design has these lines, end for end.
fn same_lines(design: &Design, lines: &[BezPath]) -> bool {
    let ends = |line: &BezPath| {
        let first = line.segments().next().map(|s| s.start());
        first.zip(line.segments().last().map(|s| s.end()))
    };
    let near = |(a, b): (&BezPath, &BezPath)| match (ends(a), ends(b)) {
        (Some((p, q)), Some((r, s))) => p.distance(r).max(q.distance(s)) < SAME_LENGTH_MM,
        _ => false,
    };
    let drawn = design.drawn.as_ref().map_or(&[][..], |d| &d.lines);
    drawn.len() == lines.len() && drawn.iter().zip(lines).all(near)
}

/// The longest strip of a height that any hoop takes, mm.
fn longest(height: f64, hoops: &[Hoop]) -> Option<f64> {
    let fields = hoops.iter().flat_map(|h| [(h.width_mm, h.height_mm), (h.height_mm, h.width_mm)]);
    // A grid's width is lost where the holes are rounded.
    let room = |mm: f64| mm - 2.0 * CLEARANCE_MM + CEIL_GUARD;
    fields.filter(|f| room(f.1) >= height).map(|f| room(f.0) - 0.2).reduce(f64::max)
}

/// Adds a design of a ring.
fn push(
    layout: &mut Layout,
    (name, place): (&str, Place),
    block: Block,
    (ring, course, drawn): (&Ring, &Course, Option<Drawing>),
    at: Vec<Affine>,
) {
    let name = free_name(&layout.designs, name);
    let chosen = pinned(ring, &course.settings);
    // Along its margins travel would show, and not in every hooping.
    let travel = false;
    layout.designs.push(Design {
        name,
        place,
        block,
        chosen,
        pose: Pose::default(),
        fill: None,
        drawn,
        travel,
        at,
    });
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

    #[test]
    fn a_side_is_cut_where_the_fewest_lines_cross() {
        // Two lines run from end to end, and loops stand over all but a gap from 140 to 150.
        let lines: Vec<BezPath> = ["M0,0 H290", "M0,5 H290", "M3,20 H140", "M150,20 H287"]
            .iter()
            .map(|d| BezPath::from_svg(d).unwrap())
            .collect();
        let cuts = quiet_cuts(&lines, (0.0, 290.0), (160.0, 50.0));
        assert_eq!((cuts.len(), cuts[0], cuts[2]), (3, 0.0, 290.0));
        assert!((140.0..150.0).contains(&cuts[1]), "{cuts:?}");
        let left = piece_of(&boxed(&lines), (0.0, cuts[1]), 50.0);
        let right = piece_of(&boxed(&lines), (cuts[1], 290.0), 50.0);
        assert_eq!((left.len(), right.len()), (3, 3));
        let long = |lines: &[BezPath]| lines.iter().map(crate::base::curve::path_length).sum::<f64>();
        assert!((long(&left) + long(&right) - long(&lines)).abs() < 1e-6);
    }
}
