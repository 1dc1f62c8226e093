//! How the quilt lies in the hoop, in words.

/// Which edge or corner of the quilt points to the top of the screen when the quilt lies turned to the left by so many
/// degrees; nothing where that is its top edge.
#[must_use]
pub fn up(turn_deg: f64) -> Option<String> {
    let named = [
        (45.0, "top right corner"),
        (90.0, "right edge"),
        (135.0, "bottom right corner"),
        (180.0, "bottom edge"),
        (225.0, "bottom left corner"),
        (270.0, "left edge"),
        (315.0, "top left corner"),
    ];
    match named.iter().find(|(deg, _)| (turn_deg - deg).abs() < 0.05) {
        Some((_, up)) => Some(format!("{up} up")),
        None if !(0.05..=359.95).contains(&turn_deg) => None,
        None if turn_deg < 180.0 => Some(format!("quilt turned {turn_deg:.1}° to the left")),
        None => Some(format!("quilt turned {:.1}° to the right", 360.0 - turn_deg)),
    }
}

#[cfg(test)]
mod tests {
    use super::up;
    use kurbo::{Affine, Point};

    #[test]
    fn the_edge_that_is_named_is_the_one_that_points_up() {
        let named = [
            ("right edge up", Point::new(1.0, 0.0)),
            ("left edge up", Point::new(-1.0, 0.0)),
            ("bottom edge up", Point::new(0.0, -1.0)),
            ("top left corner up", Point::new(-1.0, 1.0)),
            ("top right corner up", Point::new(1.0, 1.0)),
            ("bottom left corner up", Point::new(-1.0, -1.0)),
            ("bottom right corner up", Point::new(1.0, -1.0)),
        ];
        let mut found = 0;
        for deg in (45..360).step_by(45).map(f64::from) {
            let said = up(deg).unwrap();
            let (_, towards) = named.iter().find(|(name, _)| *name == said).unwrap();
            let turned = Affine::rotate(deg.to_radians()) * *towards;
            assert!(turned.x.abs() < 1e-9 && turned.y > 0.9, "{said}: {turned}");
            found += 1;
        }
        assert_eq!((found, up(0.0)), (7, None));
        assert_eq!(up(357.6).unwrap(), "quilt turned 2.4° to the right");
    }
}
