//! Echo: an outline → rings inside it, all the same distance apart, joined into one line.
//!
//! Rings lie at whole steps of depth under the inner outline, holes included, and the outline is the first of them. The
//! spacing is flexed so that the last ring is half a spacing from the deepest place. Rings are joined by short steps on
//! one ray, or become one spiral where there is one ring at every depth.
//!
//! Limits: in a corner of angle a the largest circle between two rings s apart is 2s / (1 + sin(a/2)) across, which the
//! notes say; where rings fall apart further in, the steps to all but one of the parts may have to be walked twice.

pub mod around;
pub mod lift;
pub mod rings;
pub mod spiral;
pub mod steps;

use kurbo::BezPath;
use serde::Deserialize;

use super::meander::fence::whole;
use crate::base::angle::turn_deg;
use crate::base::curve::path_through;
use crate::base::units::{Units, show_at_most, show_length};
use crate::block::Block;
use crate::block::deepest;
use crate::block::region::Region;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};
use rings::Ring;

/// The settings that echoes read.
pub const NEEDS: &[Need] = &[("spacing", "length"), ("form", "choice")];

/// The numbers of an echo motif; lengths in spacings.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// How far the last ring is from the deepest place.
    centre: f64,
    /// Rings shorter than this are left out.
    least: f64,
    /// A corner is spoken of in the notes if the open circle in it is wider than this.
    tell: f64,
}

/// How far apart the points of rings are, in spacings: steps begin and end at points.
const FINE: f64 = 0.2;

/// Draws rings in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if not even two rings fit.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let spacing = settings.number("spacing");
    let mut drawing = Drawing::default();
    let mut narrow: f64 = 0.0;
    for region in &block.inside {
        let (_, deepest) = deepest::deepest(region);
        narrow = narrow.max(deepest);
        // Rings at 0, s, 2s, … with `centre` spacings left over.
        let count = (deepest / spacing - numbers.centre).round() + 1.0;
        if count < 2.0 {
            continue;
        }
        let step = deepest / (count - 1.0 + numbers.centre);
        drawing.sized(step / spacing);
        let all = rings::rings(region, step, whole(count), numbers.least * step, FINE * step);
        let spiral = settings.word("form") == "spiral";
        drawing.lines.extend(join(&all, step, region, spiral, &mut drawing.notes));
        tell_corner(region, step, numbers.tell, &mut drawing.notes);
    }
    if drawing.lines.is_empty() {
        let fits = narrow / (numbers.centre + 0.5);
        let why = format!(
            "the inner outline is {} deep, which is too little for two rings {} apart; ask for a spacing of {} or less",
            show_length(narrow, Units::Inches),
            show_length(spacing, Units::Inches),
            show_at_most(fits, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "an echo".into(), why });
    }
    Ok(drawing)
}

/// The rings as lines, joined by steps, or by a spiral as far in as there is one ring at every depth.
fn join(all: &[Ring], step: f64, region: &Region, spiral: bool, notes: &mut Vec<String>) -> Vec<BezPath> {
    let alone = |level: usize| all.iter().filter(|r| r.level == level).count() == 1;
    let deep = (0..all.len()).take_while(|level| alone(*level)).count();
    let mut lines = Vec::new();
    let mut from = 0;
    if spiral && deep >= 2 {
        let line = spiral::spiral(&all[..deep], deep < all.len(), step, region);
        lines.push(path_through(&line, false));
        from = deep - 1;
        if deep < all.len() {
            notes.push("The rings fall apart further in; those of each part are joined by steps.".into());
        }
    } else if spiral {
        notes
            .push("The holes in this block leave no way for a spiral; its rings are joined by steps.".into());
    }
    if from + 1 < all.len() || lines.is_empty() {
        let rest = steps::lines(&all[from..], !lines.is_empty(), step, region);
        lines.extend(rest.iter().map(|(points, closed)| path_through(points, *closed)));
    }
    lines
}

/// Says how wide the circle in the sharpest corner is, if it is wider than `tell` spacings.
fn tell_corner(region: &Region, step: f64, tell: f64, notes: &mut Vec<String>) {
    let corners = region.outer.corners();
    let n = corners.len();
    let angle =
        |i: usize| 180.0 - turn_deg(corners[i] - corners[(i + n - 1) % n], corners[(i + 1) % n] - corners[i]);
    let sharpest = (0..n).map(angle).fold(f64::INFINITY, f64::min);
    let circle = open_circle(step, sharpest);
    if sharpest < 180.0 && circle > tell * step {
        notes.push(format!(
            "Between rings {} apart a corner of {sharpest:.0}° leaves a circle of {} open.",
            show_length(step, Units::Inches),
            show_length(circle, Units::Inches)
        ));
    }
}

/// The diameter of the largest circle between two rings `step` mm apart in a corner of `angle` degrees.
#[must_use]
pub fn open_circle(step: f64, angle: f64) -> f64 {
    2.0 * step / (1.0 + (angle / 2.0).to_radians().sin())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::region::Ring as Outline;
    use crate::block::shape::Shape;
    use crate::drawing::construction::Construction;
    use crate::drawing::{library, settings};
    use kurbo::Point;

    fn square(side: f64) -> Region {
        let half = side / 2.0;
        let corners = [(-half, -half), (half, -half), (half, half), (-half, half)].map(Point::from);
        Region { outer: Outline::from_points(&corners).unwrap(), holes: Vec::new() }
    }

    fn with_hole() -> Region {
        let hole: Vec<Point> = (0..48)
            .map(|i| Point::ZERO + kurbo::Vec2::from_angle(f64::from(i) * 7.5_f64.to_radians()) * 30.0)
            .collect();
        Region { holes: vec![Outline::from_points(&hole).unwrap()], ..square(200.0) }
    }

    fn drawn(inside: Region, asked: &[&str]) -> Result<Drawing, DrawError> {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, "echo").unwrap();
        let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
        let settings = settings::resolve("echo", &motif.settings, &asked).unwrap();
        let Construction::Echo(numbers) = &motif.construction else { panic!("another construction") };
        let block = outline(&Shape::Square { side: 300.0 }, 6.35).unwrap();
        draw(numbers, &settings, &Block { inside: vec![inside], ..block })
    }

    #[test]
    fn rings_lie_at_whole_steps_of_depth() {
        for region in [square(200.0), with_hole()] {
            let all = rings::rings(&region, 10.0, 6, 20.0, 2.0);
            assert!(all.len() >= 6);
            for ring in &all {
                for p in &ring.points {
                    let off = region.depth(*p) - 10.0 * ring.level as f64;
                    assert!(off.abs() < 0.01, "level {} is {off} mm off", ring.level);
                }
            }
        }
    }

    #[test]
    fn the_spacing_is_flexed_so_that_the_last_ring_is_half_a_spacing_from_the_middle() {
        // 100 mm deep: eight rings 100 / 7.5 mm apart.
        let drawing = drawn(square(200.0), &["spacing=13mm"]).unwrap();
        assert!((drawing.grown - (100.0 / 7.5 / 13.0 - 1.0)).abs() < 1e-3, "{}", drawing.grown);
    }

    #[test]
    fn the_turns_of_a_spiral_are_evenly_apart() {
        let drawing = drawn(square(200.0), &["form=spiral", "spacing=13mm"]).unwrap();
        assert_eq!(drawing.lines.len(), 1);
        let points = &crate::base::curve::flatten(&drawing.lines[0], 0.01)[0].points;
        assert!(crate::drawing::constructions::meander::simple::is_simple(points, false));
        let rightwards = |w: &[Point]| (w[0].y > 1.0) != (w[1].y > 1.0) && w[0].x > 0.0;
        let mut x: Vec<f64> =
            points.windows(2).filter(|w| rightwards(w)).map(|w| w[0].midpoint(w[1]).x).collect();
        x.sort_by(f64::total_cmp);
        assert!(x.len() >= 7);
        for w in x.windows(2).skip(1) {
            assert!((w[1] - w[0] - 100.0 / 7.5).abs() < 0.5, "{x:?}");
        }
    }

    #[test]
    fn a_corner_leaves_the_circle_told_between_rings() {
        // 2s / (1 + sin(a/2)) at s = 10 mm, worked out apart from the code: 20 / 1.707107, 20 / 1.5, 20 / 1.258819.
        for (angle, wanted) in [(90.0_f64, 11.715_729), (60.0, 13.333_333), (30.0, 15.887_907)] {
            assert!((open_circle(10.0, angle) - wanted).abs() < 1e-6);
            // The circle as it lies between the corners of two rings, found by halving the way between them: its centre
            // on the middle line is as far from the inner corner as from the outer sides.
            let half = (angle / 2.0).to_radians();
            let (outer, inner) = (0.0, 10.0 / half.sin());
            let (mut near, mut far) = (outer, inner);
            for _ in 0..60 {
                let at = f64::midpoint(near, far);
                if at * half.sin() < inner - at { near = at } else { far = at }
            }
            assert!((2.0 * near * half.sin() - wanted).abs() < 1e-6, "{angle}: {near}");
        }
    }

    #[test]
    fn steps_run_on_from_ring_to_ring_along_one_diagonal() {
        let drawing = drawn(square(200.0), &["spacing=13mm"]).unwrap();
        let (mut rings, mut steps) = (0, Vec::new());
        for line in &drawing.lines {
            let flat = crate::base::curve::flatten(line, 0.01).remove(0);
            rings += usize::from(flat.closed);
            if !flat.closed {
                steps.push((flat.points[0], flat.points[1]));
            }
        }
        assert_eq!((rings, steps.len()), (8, 7));
        let (step, far) = (100.0 / 7.5, 2f64.sqrt());
        for (a, b) in &steps {
            assert!((a.distance(*b) - step * far).abs() < 1e-6, "{a:?} {b:?}");
        }
        for pair in steps.windows(2) {
            assert!(pair[1].1.distance(pair[0].0) < 1e-6, "{pair:?} do not meet");
            let turn = turn_deg(pair[0].0 - pair[0].1, pair[1].0 - pair[1].1).abs();
            assert!(turn < 0.1, "two steps follow each other at {turn}°");
        }
    }

    #[test]
    fn a_sharp_corner_is_told() {
        let corners = [(0.0, 0.0), (200.0, 0.0), (0.0, 120.0)].map(Point::from);
        let triangle = Region { outer: Outline::from_points(&corners).unwrap(), holes: Vec::new() };
        let notes = drawn(triangle, &[]).unwrap().notes;
        assert!(notes[0].contains("a corner of 31° leaves a circle of"), "{notes:?}");
        assert_eq!(drawn(square(200.0), &[]).unwrap().notes, Vec::<String>::new());
    }

    #[test]
    fn too_little_room_is_told_with_what_fits() {
        let told = drawn(square(20.0), &["spacing=1in"]).unwrap_err().to_string();
        assert!(told.contains("ask for a spacing of "), "{told}");
    }
}
