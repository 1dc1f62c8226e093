//! The promises of meanders, on many blocks: no pass too near another, no gap too wide, one closed line.

use super::*;
use crate::block::region::Ring;
use crate::block::shape::Shape;
use crate::block::{Block, outline};
use crate::drawing::construction::Construction;
use crate::drawing::{library, settings};

/// The least distance between passes and the widest gap, in spacings.
const EVEN: (f64, f64) = (0.8, 1.8);

/// The part that may be flat, with the first seed and with any.
const FLAT: (f64, f64) = (0.12, 0.16);

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
    let hole = Ring::from_points(&[(-30.0, -20.0), (25.0, -25.0), (30.0, 30.0)].map(Point::from)).unwrap();
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
fn check(motif: &str, spacing: f64, block: &Block, seeds: std::ops::RangeInclusive<u32>, even: (f64, f64)) {
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
        assert!(gap < even.1, "seed {seed}: a gap {gap} spacings wide");
        let (flat, run) = bend::flat(&bend::even_by(&points, wind::STEP * spacing), spacing);
        let most = if seed == 1 { FLAT.0 } else { FLAT.1 };
        assert!(flat < most, "seed {seed}: {:.1} % is flat", 100.0 * flat);
        assert!(run as f64 * wind::STEP < 2.0, "seed {seed}: {run} steps are flat");
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

/// What is checked of lines in windows: how many there are, and that each is closed and fits; that none crosses itself
/// or another; their distances and gaps, in spacings.
fn check_windows(motif: &str, spacing: f64, block: &Block, seed: u32, even: (f64, f64)) -> usize {
    let size = Size::new(190.0, 150.0);
    let block = Block { within: Some(size), ..block.clone() };
    let asked = [format!("spacing={spacing}mm"), format!("seed={seed}")];
    let drawing = drawn(motif, &block, &[&asked[0], &asked[1]]).unwrap();
    assert_eq!(drawing.notes, Vec::<String>::new());
    let lines: Vec<Vec<Point>> = drawing
        .lines
        .iter()
        .map(|line| {
            let (points, closed) = fine(line, spacing / 20.0);
            assert!(closed && fits(chain::bounds(&points), size), "{:?}", chain::bounds(&points));
            points
        })
        .collect();
    assert!(simple::are_simple(&lines), "seed {seed}");
    let own = lines.iter().map(|line| simple::nearest_passes(line, true, 2.0 * spacing, spacing));
    let least = own.fold(simple::nearest_lines(&lines, spacing), f64::min) / spacing;
    assert!(least > even.0, "seed {seed}: passes {least} spacings apart");
    let gap = gap::widest_gap(&lines.concat(), spacing, &block.inside[0]) / spacing;
    assert!(gap < even.1, "seed {seed}: a gap {gap} spacings wide");
    lines.len()
}

#[test]
fn a_block_of_many_hoopings_is_filled_by_a_closed_line_for_each() {
    for seed in 1..=4 {
        assert_eq!(check_windows("meander", 18.0, &square(460.0), seed, (0.75, 1.9)), 12);
    }
    assert_eq!(check_windows("meander", 12.7, &square(340.0), 1, (0.75, 1.9)), 6);
    let mut ell = ell();
    ell.within = None;
    assert!(check_windows("stipple", 8.0, &ell, 1, (0.75, 1.9)) >= 2);
    assert_eq!(check_windows("meander", 12.7, &square(140.0), 1, EVEN), 1);
}

#[test]
fn a_line_that_has_to_be_cut_where_hoopings_meet_is_said_to_be() {
    let notes = |within: f64| {
        let block = Block { within: Some(Size::new(within, within)), ..square(150.0) };
        drawn("meander", &block, &["spacing=18mm"]).unwrap().notes
    };
    // No line at all is as small as the first; the last holds the whole block.
    assert_eq!((notes(30.0), notes(160.0)), (vec![CUT.to_owned()], Vec::new()));
}

#[test]
fn the_same_seed_draws_the_same_line_and_another_draws_another() {
    let line = |seed: &str| drawn("meander", &square(120.0), &[seed]).unwrap().lines;
    assert_eq!(line("seed=3"), line("seed=3"));
    assert_ne!(line("seed=3"), line("seed=4"));
}

#[test]
fn loops_cross_themselves_steeply_and_nothing_else() {
    for seed in 1..=10 {
        let block = square(203.2);
        let drawing = drawn("loops", &block, &[&format!("seed={seed}")]).unwrap();
        let (points, closed) = fine(&drawing.lines[0], 0.4);
        let crossings = simple::crossings(&points, closed);
        assert!(crossings.len() > 9, "seed {seed}: {} loops", crossings.len());
        for (i, j) in crossings {
            let along = (j - i).min(points.len() - (j - i)) as f64 * 0.4;
            assert!(along < 85.0, "seed {seed}: a crossing {along} mm round");
            let way = |k: usize| points[(k + 1) % points.len()] - points[k];
            let steep = crate::base::angle::turn_deg(way(i), way(j)).abs();
            assert!(steep > 46.0, "seed {seed}: a loop crosses itself at {steep:.0}°");
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
