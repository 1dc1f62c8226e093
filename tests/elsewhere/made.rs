//! Designs made up here: what they are is known, and has to be found.

use kurbo::{Point, Rect};
use thrice::base::units::Units;
use thrice::stitches::{Run, Stitches};
use thrice::survey::Sandwich;
use thrice::survey::kind::Sewn;
use thrice::survey::kind::areas::Cover;
use thrice::survey::verdict::{Moves, Verdict, Weight, judge};
use thrice::tailor::refit::{self, RefitError};
use thrice::wire::{Format, Reading};

type Line = Vec<(f64, f64)>;

/// A wave 120 mm long in steps of about 2.5 mm.
pub fn wave(y: f64) -> Line {
    (0..=48).map(|i| f64::from(i) * 2.5).map(|x| (x, y + 10.0 * (x / 15.0).sin())).collect()
}

fn passes(line: &Line, passes: usize) -> Line {
    let mut sewn = vec![line[0]];
    for w in line.windows(2) {
        for pass in 0..passes {
            sewn.push(w[(pass + 1) % 2]);
        }
    }
    sewn
}

/// A satin column `wide` mm across, upright from 0 to `high`, with a stitch every `spacing` mm on either side.
fn satin(x: f64, wide: f64, high: f64, spacing: f64) -> Line {
    let count = (2.0 * high / spacing) as i32;
    (0..count).map(|i| (x + wide * f64::from(i % 2), spacing / 2.0 * f64::from(i))).collect()
}

/// Rows `spacing` mm apart in a box, in stitches of 4 mm set off by a third from row to row.
fn fill(place: Rect, spacing: f64) -> Line {
    let rows = (place.height() / spacing) as i32;
    let mut line = Vec::new();
    for row in 0..rows {
        let y = place.y0 + spacing * f64::from(row);
        let shift = f64::from(row % 3) * 4.0 / 3.0;
        let mut xs = vec![place.x0];
        xs.extend(
            (0..)
                .map(|k| place.x0 + shift + 4.0 * f64::from(k))
                .skip_while(|x| *x <= place.x0)
                .take_while(|x| *x < place.x1),
        );
        xs.push(place.x1);
        if row % 2 == 1 {
            xs.reverse();
        }
        line.extend(xs.into_iter().map(|x| (x, y)));
    }
    line
}

pub fn stitches(lines: &[Line]) -> Stitches {
    let on_grid = |(x, y): &(f64, f64)| Point::new((x * 10.0).round() / 10.0, (y * 10.0).round() / 10.0);
    Stitches::new(lines.iter().map(|line| Run::from_points(line.iter().map(on_grid).collect())).collect())
}

pub fn judged(reading: &Reading) -> Verdict {
    let moves =
        Moves { jumps: reading.jumps(), trims: reading.trims(), colour_stops: reading.colour_changes };
    judge(&reading.stitches, None, &Sandwich::default(), moves, Units::Inches).unwrap().1
}

/// Written and read in both formats; what is said is the same.
fn checked(lines: &[Line]) -> Verdict {
    let [dst, exp] = Format::ALL
        .map(|format| judged(&format.read(&format.write(&stitches(lines), "x").unwrap()).unwrap()));
    assert_eq!(dst, exp);
    dst
}

fn said(verdict: &Verdict) -> String {
    verdict.findings.iter().map(|f| f.sentence.as_str()).collect::<Vec<_>>().join(" ")
}

fn refused(lines: &[Line], word: &str) {
    let error = refit::lines(&stitches(lines), Units::Inches).unwrap_err();
    assert!(matches!(&error, RefitError::NotRunning { what, .. } if *what == word), "{error}");
}

#[test]
fn running_lines_are_told_by_their_passes() {
    for (count, word, weight) in
        [(1, Sewn::Single, Weight::Care), (2, Sewn::Double, Weight::Care), (3, Sewn::Triple, Weight::Good)]
    {
        // There and back as a whole for two passes, stitch by stitch for three.
        let line = match count {
            2 => [wave(0.0), wave(0.0).into_iter().rev().skip(1).collect()].concat(),
            _ => passes(&wave(0.0), count),
        };
        let verdict = checked(&[line]);
        assert_eq!((verdict.kind.word(), verdict.weight), (Some(word), weight), "{}", said(&verdict));
        assert!(verdict.kind.areas.is_empty());
    }
    let mixed = checked(&[passes(&wave(0.0), 3), wave(40.0)]);
    assert_eq!((mixed.kind.word(), mixed.weight), (Some(Sewn::Mixed), Weight::Care));
    assert!(
        said(&mixed).contains("Mixed: 50 % of the line is sewn once, 0 % twice, 50 % three or four times"),
        "{}",
        said(&mixed)
    );
}

#[test]
fn satin_columns_are_found_with_their_size_and_spacing() {
    let verdict = checked(&[satin(0.0, 4.0, 30.0, 0.4), satin(30.0, 2.0, 20.0, 0.6)]);
    assert_eq!(verdict.weight, Weight::Against);
    assert!(verdict.kind.satin > 0.95 && verdict.kind.word().is_none(), "{:?}", verdict.kind);
    let [one, two] = verdict.kind.areas.as_slice() else { panic!("{:?}", verdict.kind.areas) };
    assert!(one.cover == Cover::Satin && two.cover == Cover::Satin);
    assert!((one.bounds.width() - 4.0).abs() < 0.11 && (one.spacing_mm - 0.4).abs() < 0.05, "{one:?}");
    assert!((two.bounds.height() - 20.0).abs() < 0.7 && (two.spacing_mm - 0.6).abs() < 0.05, "{two:?}");
    refused(&[satin(0.0, 4.0, 30.0, 0.4)], "satin");
}

#[test]
fn a_fill_is_found_with_its_size_and_spacing() {
    for spacing in [0.4, 0.5, 0.7] {
        let verdict = checked(&[fill(Rect::new(0.0, 0.0, 40.0, 25.0), spacing)]);
        assert_eq!(verdict.weight, Weight::Against, "{}", said(&verdict));
        let [area] = verdict.kind.areas.as_slice() else { panic!("{spacing}: {:?}", verdict.kind.areas) };
        assert!(area.cover == Cover::Fill && verdict.kind.filled > 0.85, "{area:?}");
        assert!(
            (area.bounds.width() - 40.0).abs() < 0.2 && (area.spacing_mm / spacing - 1.0).abs() < 0.25,
            "{area:?}"
        );
        // What is left over at its rim is no line of its own.
        assert!(area.in_rows && verdict.kind.word().is_none(), "{:?}", verdict.kind.passes);
    }
    refused(&[fill(Rect::new(0.0, 0.0, 40.0, 25.0), 0.4)], "fill");
}

#[test]
fn a_scribble_as_thick_as_a_fill_is_told_as_it_runs() {
    let mut dice = oorandom::Rand64::new(7);
    let (mut at, mut line) = ((0.0, 0.0), vec![(0.0, 0.0)]);
    while line.len() < 6000 {
        let step = [(); 2].map(|()| 8.0 * dice.rand_float() - 4.0);
        let to: (f64, f64) = (at.0 + step[0], at.1 + step[1]);
        if to.0.abs() < 25.0 && to.1.abs() < 25.0 {
            line.push(to);
            at = to;
        }
    }
    let verdict = checked(&[line]);
    assert_eq!((verdict.weight, verdict.kind.word()), (Weight::Against, None), "{}", said(&verdict));
    assert!(
        said(&verdict).contains("stitches that run every way over one another")
            && !said(&verdict).contains(" in rows 0"),
        "{}",
        said(&verdict)
    );
}

#[test]
fn a_mixed_design_is_told_part_by_part() {
    let parts =
        [passes(&wave(60.0), 3), satin(0.0, 3.0, 25.0, 0.4), fill(Rect::new(40.0, 0.0, 70.0, 25.0), 0.5)];
    let verdict = checked(&parts);
    assert_eq!((verdict.weight, verdict.kind.word()), (Weight::Against, Some(Sewn::Triple)));
    let covers: Vec<Cover> = verdict.kind.areas.iter().map(|area| area.cover).collect();
    assert_eq!(covers, [Cover::Satin, Cover::Fill]);
    let said = said(&verdict);
    assert!(said.contains("Satin told by ") && said.contains("Fill told by "), "{said}");
}

#[test]
fn quilting_lines_two_millimetres_apart_are_no_fill() {
    let rows: Vec<Line> = (0..15).map(|i| passes(&wave(2.0 * f64::from(i)), 3)).collect();
    let verdict = checked(&rows);
    assert!(
        verdict.kind.areas.is_empty() && verdict.kind.word() == Some(Sewn::Triple),
        "{:?}",
        verdict.kind.areas
    );
}

#[test]
fn forty_trims_are_counted_and_are_a_care() {
    let runs: Vec<Line> = (0..41).map(|i| passes(&wave(12.0 * f64::from(i)), 3)).collect();
    let reading = Format::Dst.read(&Format::Dst.write(&stitches(&runs), "x").unwrap()).unwrap();
    assert_eq!((reading.jumps(), reading.trims(), reading.colour_changes), (40, 40, 0));
    let verdict = judged(&reading);
    assert_eq!(verdict.weight, Weight::Care);
    assert!(
        said(&verdict).contains("moves on without sewing 40 times; the thread is trimmed there"),
        "{}",
        said(&verdict)
    );
}

/// 100,000 stitches: a triple line in rows.
pub fn long() -> Stitches {
    let rows: Vec<Line> =
        (0..170).map(|i| (0..=196).map(|k| (2.0 * f64::from(k), 3.0 * f64::from(i))).collect()).collect();
    let turned = rows.iter().enumerate().flat_map(|(i, row)| {
        let mut row = row.clone();
        if i % 2 == 1 {
            row.reverse();
        }
        row
    });
    stitches(&[passes(&turned.collect(), 3)])
}

#[test]
fn a_hundred_thousand_stitches_are_told_as_a_few_are() {
    let design = long();
    assert!(design.penetrations() > 100_000);
    let verdict = judged(&Format::Dst.read(&Format::Dst.write(&design, "x").unwrap()).unwrap());
    assert_eq!(
        (verdict.weight, verdict.kind.word()),
        (Weight::Good, Some(Sewn::Triple)),
        "{}",
        said(&verdict)
    );
}
