use super::*;
use std::f64::consts::PI;

/// An arc of `radius` mm through `degrees`, as a chain within 0.01 mm.
fn arc(radius: f64, degrees: f64) -> Vec<Point> {
    let turn = degrees * PI / 180.0;
    let count = (turn / (2.0 * (1.0_f64 - 0.01 / radius).acos())).ceil();
    let at = |i: usize| Point::ORIGIN + kurbo::Vec2::from_angle(turn * i as f64 / count) * radius;
    (0..=count as usize).map(at).collect()
}

fn lengths(stops: &[f64]) -> Vec<f64> {
    stops.windows(2).map(|w| w[1] - w[0]).collect()
}

fn steps_of(chain: &[Point], step_mm: f64) -> Vec<f64> {
    lengths(&needle_points(&Stretch::new(chain), step_mm, [false; 2]))
}

#[test]
fn the_count_is_the_nearest_in_ratio() {
    // Between n and n + 1 the turning point is √(n(n + 1)): 1.414, 2.449, 3.464.
    for (quotient, count) in [(0.0, 1.0), (0.3, 1.0), (1.41, 1.0), (1.42, 2.0), (2.44, 2.0), (2.46, 3.0)] {
        assert_eq!(nearest_count(quotient, 0.0), count, "{quotient}");
    }
    let ratio = |q: f64, n: f64| (q / n).ln().abs();
    for q in (1..400).map(|i| f64::from(i) * 0.1003) {
        for halves in [0.0, 0.5, 1.0] {
            let counts = (1..50).map(f64::from);
            let best = counts.min_by(|a, b| ratio(q, a + halves).total_cmp(&ratio(q, b + halves)));
            assert_eq!(Some(nearest_count(q, halves)), best, "{q}");
        }
    }
}

#[test]
fn steps_at_an_open_end_are_half_as_long() {
    let line = [Point::ORIGIN, Point::new(10.0, 0.0)];
    let at = |open| needle_points(&Stretch::new(&line), 2.5, open);
    let near = |found: Vec<f64>, wanted: &[f64]| {
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-9), "{found:?}");
    };
    // 10 mm are 4½ steps of 2.222, or ½ + 3 + ½ of 2.5.
    let step = 10.0 / 4.5;
    near(at([true, false]), &[0.0, 0.5 * step, 1.5 * step, 2.5 * step, 3.5 * step, 10.0]);
    near(at([false, true]), &[0.0, step, 2.0 * step, 3.0 * step, 4.0 * step, 10.0]);
    near(at([true, true]), &[0.0, 1.25, 3.75, 6.25, 8.75, 10.0]);
}

#[test]
fn steps_on_a_straight_line_are_equal() {
    for length in (1..300).map(|i| f64::from(i) * 0.37) {
        let steps = steps_of(&[Point::ORIGIN, Point::new(length * 0.6, length * 0.8)], 2.5);
        let mean = length / steps.len() as f64;
        assert!(steps.iter().all(|s| (s - mean).abs() < 1e-6), "{length}: {steps:?}");
        assert!(
            (2.5 / 2_f64.sqrt()..=2.5 * 2_f64.sqrt()).contains(&mean) || steps.len() == 1,
            "{length}: {mean}"
        );
    }
}

#[test]
fn steps_on_a_circle_are_those_of_the_formula() {
    // 2√(2Re − e²) at e = 0.06 mm, and never longer than asked; the chain itself is off by 0.01 mm.
    for radius in [2.5, 4.0, 8.0, 12.0, 20.0, 100.0_f64] {
        let steps = steps_of(&arc(radius, 170.0), 2.5);
        let formula = (2.0 * (2.0 * radius * SAG_MM - SAG_MM * SAG_MM).sqrt()).min(2.5);
        let mean = steps.iter().sum::<f64>() / steps.len() as f64;
        assert!(mean / formula > 0.85 && mean / formula < 1.1, "radius {radius}: {mean} for {formula}");
        assert!(steps.iter().all(|s| (s / mean - 1.0).abs() < 0.12), "radius {radius}: {steps:?}");
    }
}

#[test]
fn no_step_leaves_the_line_by_more_than_its_share() {
    for radius in [0.6, 0.8, 1.0, 1.5, 2.0, 3.0, 5.0, 9.0, 30.0] {
        let chain = arc(radius, 300.0);
        let stretch = Stretch::new(&chain);
        let stops = needle_points(&stretch, 2.5, [false; 2]);
        let worst = stops.windows(2).map(|w| stretch.sag(w[0], w[1])).fold(0.0, f64::max);
        // Where the bend is too tight even for the shortest whole number of steps, those it is: s²/8R.
        let step = TIGHTEST_MM.max(stretch.length() / (stretch.length() / SHORTEST_MM).floor());
        let tight = 1.1 * step * step / (8.0 * radius);
        assert!(worst <= TIGHT_SAG_MM.max(tight), "radius {radius}: {worst}");
        let shortest = lengths(&stops).into_iter().fold(9.0, f64::min);
        assert!(shortest >= 0.95 * SHORTEST_MM, "radius {radius}: {shortest}");
    }
}

#[test]
fn steps_shorten_smoothly_into_a_tight_bend() {
    // 30 mm straight into a half circle of 2 mm and straight on.
    let mut chain = vec![Point::new(2.0, -30.0)];
    chain.extend(arc(2.0, 180.0));
    chain.push(Point::new(-2.0, -30.0));
    let steps = steps_of(&chain, 2.5);
    assert!(steps[0] > 2.3 && steps.iter().fold(9.0, |a: f64, b| a.min(*b)) < 1.2, "{steps:?}");
    let jump = steps.windows(2).map(|w| (w[0] / w[1]).max(w[1] / w[0])).fold(1.0, f64::max);
    assert!(jump < 1.45, "{steps:?}");
}

#[test]
fn short_steps_asked_for_stay_over_a_millimetre_and_long_ones_under_five() {
    for length in (10..400).map(|i| f64::from(i) * 0.1) {
        let line = [Point::ORIGIN, Point::new(length, 0.0)];
        let (short, long) = (steps_of(&line, 1.0), steps_of(&line, 5.0));
        assert!(short.iter().all(|s| *s > 1.0 - 1e-6), "{length}: {short:?}");
        assert!(long.iter().all(|s| *s < 5.0 + 1e-6), "{length}: {long:?}");
    }
}

#[test]
fn a_line_reversed_has_the_same_steps() {
    let mut chain = arc(4.0, 200.0);
    chain.push(Point::new(-20.0, 7.0));
    let there = steps_of(&chain, 2.5);
    chain.reverse();
    let mut back = steps_of(&chain, 2.5);
    back.reverse();
    assert_eq!(there.len(), back.len());
    assert!(there.iter().zip(&back).all(|(a, b)| (a - b).abs() < 1e-3), "{there:?} {back:?}");
}
