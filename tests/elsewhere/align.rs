//! Marks: what follows from them, and what is written.
//!
//! 200 cases are also left for a judge in Python that shares nothing with the crate: `tests/outside/align_scipy.py`.

use std::fs;
use std::path::Path;

use kurbo::{Affine, Point, Vec2};
use serde_json::json;
use thrice::stitches::align::{Mark, align, expected_error_mm};
use thrice::wire::Format;

use super::program::{names, thrice, told, with_wave};

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    /// From 0 to 1, neither quite.
    fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as f64 + 0.5) / f64::from(1_u32 << 31)
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.part()
    }

    /// An error of 1 in the root of the mean square, half of it either way.
    fn error(&mut self) -> Vec2 {
        let reach = (-2.0 * self.part().ln()).sqrt() / std::f64::consts::SQRT_2;
        Vec2::from_angle(std::f64::consts::TAU * self.part()) * reach
    }

    fn place(&mut self) -> Point {
        Point::new(self.between(-150.0, 150.0), self.between(-100.0, 100.0))
    }
}

/// Marks anywhere in a field, hooped crooked, each measured with an error.
fn case(dice: &mut Dice, count: usize) -> Vec<Mark> {
    let hooped = Affine::translate((dice.between(-8.0, 8.0), dice.between(-8.0, 8.0)))
        * Affine::rotate(dice.between(-0.3, 0.3));
    loop {
        let marks: Vec<Mark> = (0..count)
            .map(|_| {
                let design = dice.place();
                Mark { design, hoop: hooped * design + dice.error() * 0.7 }
            })
            .collect();
        if align(&marks, false).is_ok() {
            return marks;
        }
    }
}

#[test]
fn cases_are_left_for_the_judge() {
    let mut dice = Dice(11);
    let xy = |p: Point| [p.x, p.y];
    let cases: Vec<serde_json::Value> = (0..200)
        .map(|i| {
            let marks = case(&mut dice, 2 + i % 3);
            let scaled = i % 5 == 0;
            let got = align(&marks, scaled).unwrap();
            let far = dice.place();
            json!({
                "design": marks.iter().map(|m| xy(m.design)).collect::<Vec<_>>(),
                "hoop": marks.iter().map(|m| xy(m.hoop)).collect::<Vec<_>>(),
                "scaled": scaled,
                "turn": got.turn_deg,
                "scale": got.scale,
                "shift": [got.shift.x, got.shift.y],
                "misfits": got.misfits_mm,
                "far": xy(far),
                "mark_error": 0.5,
                "expected_error": expected_error_mm(&marks, far, 0.5, scaled).unwrap(),
            })
        })
        .collect();
    assert_eq!(cases.len(), 200);
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("align");
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("cases.json"), serde_json::to_string(&cases).unwrap()).unwrap();
}

#[test]
fn the_error_to_expect_is_that_of_many_hoopings() {
    let mut dice = Dice(3);
    for count in 2..=4 {
        let marks = case(&mut dice, count);
        let design: Vec<Point> = marks.iter().map(|m| m.design).collect();
        let far = Point::new(180.0, 100.0);
        for scaled in [false, true] {
            let expected = expected_error_mm(&marks, far, 0.5, scaled).unwrap();
            let trials = 20_000;
            let squares: f64 = (0..trials)
                .map(|_| {
                    let hooped: Vec<Mark> =
                        design.iter().map(|p| Mark { design: *p, hoop: *p + dice.error() * 0.5 }).collect();
                    (align(&hooped, scaled).unwrap().map() * far).distance_squared(far)
                })
                .sum();
            let found = (squares / f64::from(trials)).sqrt();
            assert!((found / expected - 1.0).abs() < 0.02, "{count} {scaled}: {found} for {expected}");
        }
    }
}

#[test]
fn a_design_meets_its_marks_and_keeps_the_hoops_middle_as_its_origin() {
    let dir = with_wave();
    let before = Format::Dst.read(&fs::read(dir.path().join("wave.dst")).unwrap()).unwrap().stitches;
    let words = ["align", "wave.dst", "--out", ".", "--json", "--hoop", "200x200mm"];
    let hooped = Affine::translate((2.1, -1.4)) * Affine::rotate(3_f64.to_radians());
    let mark = |p: Point| {
        let q = hooped * p;
        format!("{:.4}mm,{:.4}mm={:.4}mm,{:.4}mm", p.x, p.y, q.x, q.y)
    };
    let marks = [Point::ORIGIN, Point::new(50.0, 8.0), Point::new(-55.0, 3.0)].map(mark);
    let mut all: Vec<&str> = words.to_vec();
    marks.iter().for_each(|m| all.extend(["--mark", m]));
    let output = thrice(dir.path(), &all);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let report: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!((report["turn"].as_f64().unwrap() - 3.0).abs() < 1e-4, "{report}");
    assert!((report["shift"][0].as_f64().unwrap() - 2.1).abs() < 1e-4, "{report}");
    assert_eq!(report["file"], "wave-aligned.dst");
    let expected = ["wave-aligned.dst", "wave-aligned.pdf", "wave-aligned.svg", "wave.dst"];
    assert_eq!(names(dir.path()), expected);
    let after = Format::Dst.read(&fs::read(dir.path().join("wave-aligned.dst")).unwrap()).unwrap().stitches;
    let off = before.points().zip(after.points()).map(|(p, q)| (hooped * p).distance(q)).fold(0.0, f64::max);
    // Rounded to the grid once.
    assert!(off <= 0.071, "{off}");
    assert_eq!(before.penetrations(), after.penetrations());
}

#[test]
fn names_are_places_of_the_block_in_the_report() {
    let dir = tempfile::tempdir().unwrap();
    let made =
        thrice(dir.path(), &["block", "orange-peel", "--square", "6in", "--out", ".", "--name", "peel"]);
    assert_eq!(made.status.code(), Some(0), "{}", told(&made));
    // The corners of a 6 in block are 76.2 mm from its middle; one is met, the other is 1 mm further.
    let words = ["align", "peel.dst", "--out", ".", "--mark", "bottom-left=-76.2mm,-76.2mm"];
    let output = thrice(dir.path(), &[&words[..], &["--mark", "top-right=76.9mm,76.9mm"]].concat());
    let text = told(&output);
    assert_eq!(output.status.code(), Some(0), "{text}");
    assert!(
        text.contains("not turned, moved ") && text.contains("bottom-left 0.5 mm, top-right 0.5 mm"),
        "{text}"
    );
    assert!(text.contains("not checked against a hoop"), "{text}");
}

#[test]
fn a_hooping_too_crooked_for_the_field_is_refused_with_what_is_missing() {
    let dir = tempfile::tempdir().unwrap();
    let words =
        ["block", "orange-peel", "--square", "8in", "--out", ".", "--name", "peel", "--hoop", "200x200mm"];
    assert_eq!(thrice(dir.path(), &words).status.code(), Some(0));
    let before = names(dir.path());
    let output = thrice(dir.path(), &["align", "peel.dst", "--out", ".", "--mark", "centre=12mm,0mm"]);
    let text = told(&output);
    assert_eq!(output.status.code(), Some(1), "{text}");
    assert!(text.contains("past what a field of 200 x 200 mm takes with 1 mm kept free"), "{text}");
    assert!(text.contains("hoop again nearer to the marks"), "{text}");
    assert_eq!(names(dir.path()), before);
    for (mark, wanted) in [
        ("middle=1mm,1mm", "is no place of a design"),
        ("centre", "is no mark"),
        ("centre=1mm", "is no place"),
        ("centre=1,2", "has no unit"),
    ] {
        let output = thrice(dir.path(), &["align", "peel.dst", "--mark", mark]);
        assert_eq!(output.status.code(), Some(2), "{mark}");
        assert!(told(&output).contains(wanted), "{mark}: {}", told(&output));
    }
}
