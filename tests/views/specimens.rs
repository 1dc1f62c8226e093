//! Blocks with hand-made stitches, for looking at every view without the stages before it.

use std::f64::consts::{PI, TAU};

use kurbo::{BezPath, Circle, Point, Rect, Shape, Vec2};
use thrice::base::units::Units;
use thrice::views::picture::{Fact, Picture};

/// Every specimen, with the name of its files.
pub fn all() -> Vec<(&'static str, Picture)> {
    vec![
        ("peel-8in", orange_peel()),
        ("spiral-2in", small_spiral()),
        ("concave", concave()),
        ("hole", with_a_hole()),
        ("strip-60in", strip()),
        ("large-16in", large()),
        ("long-names", long_names()),
        ("file-only", without_a_block()),
        (
            "turned-peel",
            turned(orange_peel(), "the top of the block is on the left, its right side at the top"),
        ),
        ("turned-strip", turned(strip(), "the strip stands upright, its right end at the top")),
    ]
}

fn orange_peel() -> Picture {
    let block = Rect::from_center_size((0.0, 0.0), (203.2, 203.2));
    let cell = 190.5 / 4.0;
    let mut run = Vec::new();
    // Rows of arcs there, columns of arcs back: one line, whole cells.
    for row in 0..=4 {
        wave(&mut run, row, cell, row % 2 == 0, Point::new);
    }
    for column in (0..=4).rev() {
        wave(&mut run, column, cell, column % 2 == 1, |along, across| Point::new(across, along));
    }
    Picture {
        title: "Orange peel for the kitchen table".into(),
        facts: facts("4,212", "7", "0", "1 5/8 in (41.3 mm)"),
        field: Some((200.0, 200.0)),
        ..picture("orange peel", "square, 8 in (203.2 mm)", vec![block.to_path(0.1)], 6.35, vec![run])
    }
}

/// One wavy line through four cells, sewn three times; `place` turns along and across into x and y.
fn wave(run: &mut Vec<Point>, line: i32, cell: f64, forward: bool, place: impl Fn(f64, f64) -> Point) {
    let across = (f64::from(line) - 2.0) * cell;
    let outermost = line == 0 || line == 4;
    let mut points = Vec::new();
    for i in 0..=80 {
        let t = f64::from(i) / 20.0;
        let side = if (t.floor() as i32 + line) % 2 == 0 { 1.0 } else { -1.0 };
        let inward = if line == 0 { 1.0 } else { -1.0 };
        let bulge = 0.2071 * cell * (1.0 - (2.0 * (t - t.floor()) - 1.0).powi(2));
        let shift = if outermost { inward * bulge } else { side * bulge };
        points.push(place((t - 2.0) * cell, across + shift));
    }
    if !forward {
        points.reverse();
    }
    thrice_over(run, &points);
}

fn thrice_over(run: &mut Vec<Point>, points: &[Point]) {
    let on_grid: Vec<Point> =
        points.iter().map(|p| Point::new((p.x * 10.0).round() / 10.0, (p.y * 10.0).round() / 10.0)).collect();
    run.extend(on_grid.first());
    for pair in on_grid.windows(2) {
        run.extend([pair[1], pair[0], pair[1]]);
    }
}

fn small_spiral() -> Picture {
    let block = Rect::from_center_size((0.0, 0.0), (50.8, 50.8));
    let run = spiral(Point::new(0.8, -0.6), 18.0, 3.0);
    Picture {
        facts: facts("612", "1", "0", "1/4 in (6.4 mm)"),
        ..picture("spiral", "square, 2 in (50.8 mm)", vec![block.to_path(0.1)], 6.35, vec![run])
    }
}

fn spiral(centre: Point, radius: f64, turns: f64) -> Vec<Point> {
    let steps = (turns * TAU * radius / 2.0 / 1.6) as i32;
    let points: Vec<Point> = (0..=steps)
        .map(|i| {
            let t = (f64::from(i) / f64::from(steps)).sqrt();
            centre + Vec2::from_angle(t * turns * TAU) * radius * t
        })
        .collect();
    let mut run = Vec::new();
    thrice_over(&mut run, &points);
    run
}

fn concave() -> Picture {
    let outline =
        BezPath::from_svg("M-76.2,-101.6 L76.2,-101.6 L76.2,0 L0,0 L0,101.6 L-76.2,101.6 Z").unwrap();
    let mut runs =
        vec![spiral(Point::new(-38.0, 50.0), 30.0, 4.0), spiral(Point::new(-20.0, -50.0), 40.0, 5.0)];
    runs.push(spiral(Point::new(48.0, -60.0), 20.0, 3.0));
    Picture {
        warnings: vec![
            "Three pieces: the machine moves twice without sewing; cut the threads between them.".into(),
        ],
        facts: facts("1,904", "4", "2", "2 in (50.8 mm)"),
        field: Some((200.0, 300.0)),
        ..picture("spirals", "outline, 6 in × 8 in (152.4 × 203.2 mm)", vec![outline], 6.35, runs)
    }
}

fn with_a_hole() -> Picture {
    let block = Rect::from_center_size((0.0, 0.0), (152.4, 152.4));
    let hole = Circle::new((0.0, 0.0), 25.4);
    let mut run = Vec::new();
    for (ring, radius) in [33.0, 41.0, 49.0, 57.0, 65.0].into_iter().enumerate() {
        let around: Vec<Point> = (0..=120)
            .map(|i| {
                let turn = f64::from(i) / 120.0 * TAU;
                let ripple = 1.0 + 0.02 * ring as f64 * (turn * 8.0).cos();
                Point::ZERO + Vec2::from_angle(turn) * radius * ripple
            })
            .collect();
        thrice_over(&mut run, &around);
    }
    Picture {
        facts: facts("1,812", "3", "0", "2 1/8 in (54 mm)"),
        ..picture(
            "ripples",
            "6 in (152.4 mm), a circle kept clear",
            vec![block.to_path(0.1), hole.to_path(0.01)],
            6.35,
            vec![run],
        )
    }
}

fn strip() -> Picture {
    let block = Rect::from_center_size((0.0, 0.0), (1524.0, 127.0));
    let points: Vec<Point> = (0..=640)
        .map(|i| {
            let x = -755.0 + 1510.0 * f64::from(i) / 640.0;
            Point::new(x, 40.0 * (x / 1510.0 * 12.0 * PI).sin())
        })
        .collect();
    let mut run = Vec::new();
    thrice_over(&mut run, &points);
    let mirrored: Vec<Point> = points.iter().rev().map(|p| Point::new(p.x, -p.y)).collect();
    thrice_over(&mut run, &mirrored);
    Picture {
        facts: facts("3,842", "7", "0", "3 1/8 in (79.4 mm)"),
        ..picture("twist", "strip, 5 in × 60 in (127 × 1,524 mm)", vec![block.to_path(0.1)], 6.35, vec![run])
    }
}

fn large() -> Picture {
    let block = Rect::from_center_size((0.0, 0.0), (406.4, 406.4));
    let run = spiral(Point::new(1.0, -2.0), 190.0, 9.0);
    Picture {
        facts: facts("7,310", "13", "0", "7/8 in (22.2 mm)"),
        ..picture("spiral", "square, 16 in (406.4 mm)", vec![block.to_path(0.1)], 6.35, vec![run])
    }
}

/// A machine file of which nothing but its stitches is known.
fn without_a_block() -> Picture {
    Picture {
        title: "ROSE_04.DST".into(),
        motif: String::new(),
        size: "stitches 4 in × 3 7/8 in (101.6 × 98.4 mm)".into(),
        facts: facts("1,904", "4", "0", "unknown"),
        ..picture("rose", "", Vec::new(), 0.0, vec![spiral(Point::new(3.0, 2.0), 50.0, 6.0)])
    }
}

fn long_names() -> Picture {
    let long = "The one that came out a good deal wider at the bottom than at the top, second from the left in the \
                third row of the guest-room quilt, and its neighbour Donaudampfschifffahrtsgesellschaftskapitänsmütze";
    Picture {
        title: long.into(),
        motif: "orange peel with pebbles, echo and a very long addition to its name".into(),
        size: "four measured sides, 8 1/8 in × 8 in × 7 7/8 in × 8 1/16 in (206.4 × 203.2 × 200 × 204.8 mm)"
            .into(),
        warnings: vec![
            "This quilt gets 14 needle holes within 1 mm; the limit is 12: move the petals apart.".into(),
        ],
        ..orange_peel()
    }
}

fn picture(motif: &str, size: &str, outline: Vec<BezPath>, margin: f64, runs: Vec<Vec<Point>>) -> Picture {
    let inside = outline
        .iter()
        .enumerate()
        .map(|(i, ring)| {
            let size = ring.bounding_box().size();
            let grow = if i == 0 { -2.0 * margin } else { 2.0 * margin };
            let scale = ((size.width + grow) / size.width, (size.height + grow) / size.height);
            kurbo::Affine::scale_non_uniform(scale.0, scale.1) * ring.clone()
        })
        .collect();
    let mut picture = Picture {
        title: format!("{} {}", motif[..1].to_uppercase() + &motif[1..], ""),
        motif: motif.into(),
        size: size.into(),
        outline,
        inside,
        runs,
        joins: Vec::new(),
        marks: Vec::new(),
        centre: Point::ZERO,
        turned: false,
        lie: "Hoop the quilt so that the top of the block is at the top.".into(),
        field: None,
        facts: Vec::new(),
        warnings: Vec::new(),
        units: Units::Inches,
    };
    picture.title = picture.title.trim().to_owned();
    let centre = picture.trace().center();
    picture.centre = Point::new((centre.x * 10.0).round() / 10.0, (centre.y * 10.0).round() / 10.0);
    picture
}

/// A specimen as it is shown where its file is turned a quarter to the left to fit the hoop.
fn turned(upright: Picture, lies: &str) -> Picture {
    let left = kurbo::Affine::new([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]);
    let all = |paths: &[BezPath]| paths.iter().map(|p| left * p.clone()).collect();
    Picture {
        outline: all(&upright.outline),
        inside: all(&upright.inside),
        runs: upright.runs.iter().map(|run| run.iter().map(|p| left * *p).collect()).collect(),
        centre: left * upright.centre,
        turned: true,
        lie: format!(
            "To fit the hoop, the file is turned a quarter turn to the left: hoop the quilt so that {lies}."
        ),
        field: Some((200.0, 300.0)),
        ..upright
    }
}

fn facts(stitches: &str, minutes: &str, jumps: &str, gap: &str) -> Vec<Fact> {
    vec![
        Fact::new("stitches", stitches),
        Fact::new("minutes", minutes),
        Fact::new("jumps", jumps),
        Fact::new("widest gap", gap),
        Fact::new("needle thread", "9.8 m"),
    ]
}
