use super::*;

#[test]
fn three_sides_make_their_triangle() {
    let [a, b, c] = triangle(60.0, 80.0, 100.0).unwrap();
    assert_eq!((a, b), (Point::ZERO, Point::new(60.0, 0.0)));
    assert!(c.distance(Point::new(60.0, 80.0)) < 1e-9);
}

#[test]
fn a_true_square_needs_no_correction() {
    let across = 200.0 * 2f64.sqrt();
    let got = spread([200.0; 4], across, across).unwrap();
    assert!(got.largest().1 < 1e-9);
    assert!(got.corners[2].distance(Point::new(200.0, 200.0)) < 1e-9);
}

#[test]
fn an_error_on_a_diagonal_is_spread_over_all_six() {
    // On a square each side takes an eighth of the misfit (times 1/√2 for a diagonal's error), each diagonal a quarter.
    let across = 200.0 * 2f64.sqrt();
    let got = spread([200.0; 4], across + 0.4, across).unwrap();
    let corrections: Vec<f64> = got.fitted.iter().zip(got.measured).map(|(f, m)| f - m).collect();
    for side in &corrections[..4] {
        assert!((side - 0.4 / 32f64.sqrt()).abs() < 1e-3, "{corrections:?}");
    }
    assert!(corrections[4..].iter().all(|d| (d + 0.1).abs() < 1e-3), "{corrections:?}");
}

#[test]
fn the_result_does_not_depend_on_which_side_is_at_the_bottom() {
    let got = spread([206.4, 203.2, 203.0, 204.8], 289.5, 288.1).unwrap();
    let turned = spread([203.2, 203.0, 204.8, 206.4], 288.1, 289.5).unwrap();
    let expected = [1, 2, 3, 0, 5, 4].map(|i| got.fitted[i]);
    assert!(turned.fitted.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-9), "{turned:?}");
}

#[test]
fn no_small_move_of_a_corner_fits_better() {
    let got = spread([206.4, 203.2, 203.0, 204.8], 289.5, 288.1).unwrap();
    let error = |c: &[Point; 4]| residuals(c, &got.measured).iter().map(|r| r * r).sum::<f64>();
    for corner in 0..4 {
        for way in 0..8 {
            let mut moved = got.corners;
            moved[corner] += 1e-3 * Vec2::from_angle(f64::from(way) * std::f64::consts::FRAC_PI_4);
            assert!(error(&moved) > error(&got.corners));
        }
    }
}

#[test]
fn lengths_that_cannot_reach_are_named() {
    let words = leaning([203.2, 76.2, 200.0, 200.0], 288.925).unwrap_err().to_string();
    assert_eq!(
        words,
        "the bottom of 8 in (203.2 mm) and the right side of 3 in (76.2 mm) cannot reach across the diagonal of \
             11 3/8 in (288.9 mm); measure these three again"
    );
    assert!(matches!(
        triangle(50.0, 60.0, 110.0),
        Err(BlockError::CannotReach { long: (Measure::Left, _), .. })
    ));
}

#[test]
fn a_corner_that_points_inwards_is_named() {
    let got = leaning([60.0, 250.0, 250.0, 60.0], 200.0);
    assert_eq!(got, Err(BlockError::NotConvex { corner: "bottom left", diagonal_mm: 200.0 }));
    let got = leaning([250.0, 60.0, 60.0, 250.0], 200.0);
    assert_eq!(got, Err(BlockError::NotConvex { corner: "top right", diagonal_mm: 200.0 }));
}

#[test]
fn a_block_that_leans_far_is_told_with_its_corner() {
    // Sides of 200 mm with a diagonal of 320: the angle at its ends has cosine 0.8, so 2 · 36.87 = 73.7°.
    let said = skew(&leaning([200.0; 4], 320.0).unwrap()).unwrap();
    assert!(said.starts_with("By these measures the bottom left corner is 74°, 16° off square"), "{said}");
    // A quarter inch too long on the diagonal of an 8 in square is 3.6° off.
    assert_eq!(skew(&leaning([203.2; 4], 203.2 * 2f64.sqrt() + 6.35).unwrap()), None);
}

#[test]
fn a_misread_inch_is_refused_and_a_sixteenth_is_not() {
    let across = 203.2 * 2f64.sqrt();
    for wrong in 0..6 {
        let mut m = [203.2, 203.2, 203.2, 203.2, across, across];
        m[wrong] += 25.4;
        let got = spread([m[0], m[1], m[2], m[3]], m[4], m[5]);
        assert!(matches!(got, Err(BlockError::Misfit { .. })), "{wrong}: {got:?}");
        m[wrong] -= 25.4 - 1.5875;
        let got = spread([m[0], m[1], m[2], m[3]], m[4], m[5]).unwrap();
        assert!(!got.sentence().contains("measure again"), "{}", got.sentence());
    }
}
