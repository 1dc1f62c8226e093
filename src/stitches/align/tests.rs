use super::*;

fn points(all: &[(f64, f64)]) -> Vec<Point> {
    all.iter().map(|p| Point::from(*p)).collect()
}

fn marks(design: &[Point], hoop: &[Point]) -> Vec<Mark> {
    design.iter().zip(hoop).map(|(design, hoop)| Mark { design: *design, hoop: *hoop }).collect()
}

#[test]
fn marks_give_back_their_placing() {
    let design = points(&[(-60.0, -40.0), (60.0, -40.0), (60.0, 45.0), (-55.0, 40.0)]);
    for turn in [-179.0, -90.0, -3.2, 0.0, 0.4, 12.0, 135.0] {
        for (scaled, scale) in [(false, 1.0), (true, 1.0), (true, 0.97), (true, 1.06)] {
            let wanted =
                Alignment { turn_deg: turn, scale, shift: Vec2::new(4.5, -7.25), misfits_mm: vec![] };
            let hoop: Vec<Point> = design.iter().map(|p| wanted.map() * *p).collect();
            for count in 2..=4 {
                let got = align(&marks(&design[..count], &hoop), scaled).unwrap();
                assert!((got.turn_deg - turn).abs() < 1e-9 && (got.scale - scale).abs() < 1e-9, "{got:?}");
                assert!((got.shift - wanted.shift).hypot() < 1e-9 && got.misfit_mm() < 1e-9, "{got:?}");
            }
        }
    }
}

#[test]
fn misfits_tell_the_error_of_the_marks() {
    // Each of 2 mm more apart than in the design: 1 mm off at either end, one coordinate left over to tell by.
    let apart = marks(&points(&[(-50.0, 0.0), (50.0, 0.0)]), &points(&[(-51.0, 0.0), (51.0, 0.0)]));
    let placed = align(&apart, false).unwrap();
    assert!((placed.told_error_mm(false).unwrap() - 2.0).abs() < 1e-12, "{placed:?}");
    assert_eq!(align(&apart, true).unwrap().told_error_mm(true), None);
    // Over many hoopings the mean of its square is that of the error.
    let mut dice = oorandom::Rand64::new(5);
    let mut normal = || {
        (-2.0 * dice.rand_float().max(1e-300).ln()).sqrt() * (std::f64::consts::TAU * dice.rand_float()).cos()
    };
    let design = points(&[(-60.0, -40.0), (60.0, -40.0), (60.0, 45.0)]);
    for scaled in [false, true] {
        let mut told = || {
            let hoop: Vec<Point> = design
                .iter()
                .map(|p| *p + Vec2::new(normal(), normal()) * (0.5 / std::f64::consts::SQRT_2))
                .collect();
            align(&marks(&design, &hoop), scaled).unwrap().told_error_mm(scaled).unwrap().powi(2)
        };
        let mean = (0..20_000).map(|_| told()).sum::<f64>() / 20_000.0;
        assert!((mean.sqrt() / 0.5 - 1.0).abs() < 0.02, "{mean}");
    }
}

#[test]
fn one_mark_is_a_shift() {
    let got = align(&marks(&points(&[(3.0, 4.0)]), &points(&[(5.1, 2.6)])), false).unwrap();
    assert_eq!((got.turn_deg, got.scale, got.misfit_mm()), (0.0, 1.0, 0.0));
    assert!((got.shift - Vec2::new(2.1, -1.4)).hypot() < 1e-12);
    assert_eq!(
        expected_error_mm(&marks(&points(&[(3.0, 4.0)]), &points(&[(5.1, 2.6)])), Point::ZERO, 0.5, false),
        None
    );
}

#[test]
fn marks_that_do_not_agree_share_their_misfit() {
    // The places are 2 mm further apart than the marks: each stays 1 mm off, or is reached by 2 % more.
    let apart = marks(&points(&[(-50.0, 0.0), (50.0, 0.0)]), &points(&[(0.0, -51.0), (0.0, 51.0)]));
    let fit = align(&apart, false).unwrap();
    assert!((fit.turn_deg - 90.0).abs() < 1e-9 && fit.misfits_mm.iter().all(|mm| (mm - 1.0).abs() < 1e-9));
    let fit = align(&apart, true).unwrap();
    assert!((fit.scale - 1.02).abs() < 1e-9 && fit.misfit_mm() < 1e-9, "{fit:?}");
}

#[test]
fn marks_that_tell_nothing_are_refused() {
    let two = points(&[(0.0, 0.0), (50.0, 0.0)]);
    assert_eq!(align(&[], false), Err(AlignError::Count { marks: 0 }));
    let close = points(&[(0.0, 0.0), (9.0, 0.0)]);
    assert_eq!(align(&marks(&two, &close), false), Err(AlignError::TooClose { apart_mm: 9.0 }));
    let far = points(&[(0.0, 0.0), (60.0, 0.0)]);
    assert!(matches!(align(&marks(&two, &far), true), Err(AlignError::Scale { .. })));
    assert!(align(&marks(&two, &points(&[(0.0, 0.0), (f64::NAN, 0.0)])), false).is_err());
    assert_eq!(align(&marks(&two[..1], &two), true), Err(AlignError::NoScale));
}

#[test]
fn marks_far_apart_leave_a_small_error() {
    // A field of 360 × 200 mm: two marks 100 mm apart, and marks in opposite corners.
    let corner = Point::new(180.0, 100.0);
    let error = |design: &[Point]| expected_error_mm(&marks(design, design), corner, 0.5, false).unwrap();
    assert!((error(&points(&[(-50.0, 0.0), (50.0, 0.0)])) - 1.09).abs() < 0.005);
    assert!((error(&points(&[(-180.0, -100.0), (180.0, 100.0)])) - 0.43).abs() < 0.005);
}
