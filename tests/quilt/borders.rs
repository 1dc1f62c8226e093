//! Random quilts: every border's lines run on across its joins and round its corners, in whole repeats.

use kurbo::{Affine, BezPath, ParamCurve, Point, Vec2};
use oorandom::Rand64;
use thrice::base::angle::turn_deg;
use thrice::base::chain::nearest_on_segment;
use thrice::base::curve::{end_tangent, flatten, start_tangent, subpaths};
use thrice::drawing;
use thrice::top::lay_out;
use thrice::top::layout::{Design, Layout};
use thrice::top::place::Place;

use super::{quilt, read};

/// A line's end on a short side of a border piece, on the quilt.
struct End {
    at: Point,
    way: Vec2,
    /// The direction across the border, for ends on its long edges, where a zigzag turns back.
    edge: Option<Vec2>,
    piece: usize,
}

fn ends(design: &Design, at: Affine, piece: usize, found: &mut Vec<End>) {
    let fresh = || drawing::draw(&design.chosen.motif, &design.chosen.settings, &design.block).unwrap();
    let lines = design.drawn.clone().unwrap_or_else(fresh).lines;
    let inside = design.block.inside[0].bounds();
    let corner = matches!(design.place, Place::BorderCorner(_));
    let ways = |p: Point| {
        let (x, y) = ((p.x.abs() - inside.x1).abs() < 1e-3, (p.y.abs() - inside.y1).abs() < 1e-3);
        // A corner unit meets its neighbours on its left and on its upper side.
        let (left, top) = (x && p.x < 0.0, y && p.y > 0.0);
        let meets = if corner { left || top } else { x };
        let edge = if corner && top && !left {
            x.then_some(Vec2::new(1.0, 0.0))
        } else {
            y.then_some(Vec2::new(0.0, 1.0))
        };
        (meets, edge)
    };
    for segments in lines.iter().flat_map(BezSubpaths::parts) {
        let (first, last) = (segments[0], segments[segments.len() - 1]);
        for (p, way) in [(first.start(), start_tangent(&first)), (last.end(), end_tangent(&last))] {
            let (meets, edge) = ways(p);
            // A line that runs along the join from edge to edge does not cross it.
            let crosses = edge.is_none_or(|across| bend(way, across) > 0.1);
            if meets && crosses {
                let turned = |v: Vec2| (at * v.to_point()) - (at * Point::ZERO);
                found.push(End { at: at * p, way: turned(way), edge: edge.map(turned), piece });
            }
        }
    }
}

trait BezSubpaths {
    fn parts(&self) -> Vec<Vec<kurbo::PathSeg>>;
}

impl BezSubpaths for BezPath {
    fn parts(&self) -> Vec<Vec<kurbo::PathSeg>> {
        subpaths(self).into_iter().filter(|s| !s.is_empty()).collect()
    }
}

fn bend(a: Vec2, b: Vec2) -> f64 {
    let turn = turn_deg(a, b).abs();
    turn.min(180.0 - turn)
}

fn along_the_edge(end: &End) -> bool {
    end.edge.is_some_and(|across| bend(end.way, across) > 89.9)
}

/// The worst gap, mm, and the worst bend, degrees, over all joins of a border; the number of ends that were looked at.
fn worst(layout: &Layout, number: usize) -> (f64, f64, usize) {
    let mut found = Vec::new();
    let mut piece = 0;
    for design in &layout.designs {
        if matches!(design.place, Place::Border(n) | Place::BorderCorner(n) if n == number) {
            for at in &design.at {
                ends(design, *at, piece, &mut found);
                piece += 1;
            }
        }
    }
    let (mut gap, mut bent): (f64, f64) = (0.0, 0.0);
    for end in &found {
        let others = || found.iter().filter(|o| o.piece != end.piece);
        let nearest = others().map(|o| o.at.distance(end.at)).fold(f64::INFINITY, f64::min);
        gap = gap.max(nearest);
        let met = others().filter(|o| o.at.distance(end.at) <= 0.1);
        let straightest = met.map(|o| {
            let mirrored = end.edge.map(|n| end.way - 2.0 * end.way.dot(n) / n.hypot2() * n);
            let straight = mirrored.map_or(f64::INFINITY, |m| bend(m, o.way)).min(bend(end.way, o.way));
            // Lines along the edge turn with it.
            if along_the_edge(end) && along_the_edge(o) { 0.0 } else { straight }
        });
        bent = bent.max(straightest.fold(f64::INFINITY, f64::min));
    }
    (gap, bent, found.len())
}

fn random(dice: &mut Rand64, motif: &str) -> thrice::top::file::Quilt {
    let pick = |dice: &mut Rand64, n: u64| dice.rand_range(0..n);
    let setting = ["straight", "on point"][pick(dice, 2) as usize];
    let (rows, columns) = (2 + pick(dice, 5), 2 + pick(dice, 5));
    let block = 5.0 + pick(dice, 29) as f64 / 4.0;
    let mut text = format!(
        "[top]\nsetting = \"{setting}\"\nrows = {rows}\ncolumns = {columns}\nblock = \"{block}in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n"
    );
    for _ in 0..1 + pick(dice, 3) {
        let width = 2.0 + pick(dice, 21) as f64 / 4.0;
        text.push_str(&format!("[[border]]\nwidth = \"{width}in\"\nmotif = \"{motif}\"\n"));
    }
    quilt(&text)
}

#[test]
fn the_lines_of_fifty_random_quilts_run_on_round_their_borders() {
    let mut dice = Rand64::new(20);
    let mut joins = 0;
    for i in 0..50 {
        let quilt = random(&mut dice, "orange-peel");
        let (layout, _, courses) = lay_out(&quilt).unwrap();
        assert_eq!(courses.len(), quilt.borders.len());
        for course in &courses {
            assert!(course.turns(), "quilt {i}: {course:?}");
            let (gap, bend, ends) = worst(&layout, course.number);
            assert!(gap <= 0.1 && bend <= 1.0, "quilt {i}, border {}: {gap} mm, {bend}°", course.number);
            joins += ends;
            for run in 0..course.lanes.len() {
                // Whole repeats: those of the hoopings are all there are, and fill the run.
                assert_eq!(course.hoopings[run].iter().sum::<u32>(), course.counts[run]);
                let filled = course.repeats_mm[run] * f64::from(course.counts[run]);
                assert!((filled - course.lanes[run].length).abs() < 1e-9);
            }
        }
    }
    assert!(joins > 5000, "{joins} ends were looked at");
}

#[test]
fn straight_lines_run_on_or_their_bend_is_told() {
    let mut dice = Rand64::new(21);
    let mut running = 0;
    for i in 0..30 {
        let quilt = random(&mut dice, ["cross-hatch", "grid", "pumpkin-seed"][i % 3]);
        let (layout, _, courses) = lay_out(&quilt).unwrap();
        for course in &courses {
            let (gap, bend, _) = worst(&layout, course.number);
            assert!(gap <= 0.1, "quilt {i}, border {}: {gap} mm", course.number);
            let told =
                layout.notes.iter().any(|n| n.text.contains(&format!("border {} bend", course.number)));
            assert_eq!(bend <= 1.0, !told, "quilt {i}, border {}: {bend}°", course.number);
            running += usize::from(bend <= 1.0);
        }
    }
    assert!(running > 10, "{running} borders run on");
}

const TOP: &str = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"8in\"\n";

#[test]
fn a_corner_that_the_motif_cannot_do_is_refused_with_the_motifs_that_can() {
    let told = |motif: &str, corner: &str| {
        let border =
            format!("{TOP}[[border]]\nwidth = \"5in\"\nmotif = \"{motif}\"\ncorner = \"{corner}\"\n");
        read(&format!("title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n{border}")).map(|_| ())
    };
    let turn = told("meander", "turn").unwrap_err().join("\n");
    assert!(
        turn.contains("meander has no turn for its corners; take corner = \"butt\" or \"mitre\", or a motif that has: cable, "),
        "{turn}"
    );
    assert!(turn.contains("feather-vine") && !turn.contains("piano-keys"), "{turn}");
    let mitre = told("cable", "mitre").unwrap_err().join("\n");
    assert!(mitre.contains("cable has no mitre") && mitre.contains("piano-keys"), "{mitre}");
    for (motif, corner) in [
        ("cable", "turn"),
        ("piano-keys", "mitre"),
        ("meander", "mitre"),
        ("cable", "butt"),
        ("hearts", "square"),
    ] {
        assert_eq!(told(motif, corner), Ok(()), "{motif} {corner}");
    }
}

#[test]
fn a_border_goes_round_its_corners_as_its_motif_does_best() {
    for (motif, corners) in [("cable", 1), ("feather-vine", 1), ("piano-keys", 1), ("diagonals", 0)] {
        let quilt = quilt(&format!("{TOP}[[border]]\nwidth = \"5in\"\nmotif = \"{motif}\"\n"));
        let (layout, ..) = lay_out(&quilt).unwrap();
        let units = layout.designs.iter().filter(|d| matches!(d.place, Place::BorderCorner(_)));
        assert_eq!(units.map(|d| d.at.len() / 4).collect::<Vec<_>>(), vec![1; corners], "{motif}");
        assert!(layout.notes.iter().all(|n| !n.text.contains("border 1")), "{:?}", layout.notes);
    }
}

#[test]
fn a_vine_without_room_to_turn_butts_unless_it_was_asked_to_turn() {
    let border = |corner: &str| {
        let text = TOP.replace("8in", "4in");
        quilt(&format!("{text}[[border]]\nwidth = \"5in\"\nmotif = \"feather-vine\"\n{corner}"))
    };
    let (layout, ..) = lay_out(&border("")).unwrap();
    let told: Vec<String> = layout.notes.iter().map(ToString::to_string).collect();
    let told = told.join("\n");
    assert!(told.contains("do not run round its corners: ") && told.contains("too short"), "{told}");
    let refused = lay_out(&border("corner = \"turn\"\n")).unwrap_err().to_string();
    assert!(refused.contains("ask for a narrower border"), "{refused}");
}

/// The layout of a quilt of `rows` by `columns` blocks with one border, how far its repeats are stretched, and what is said.
fn stretched(top: &str, width: &str, motif: &str) -> (Layout, f64, String) {
    let text =
        format!("[top]\nsetting = \"straight\"\n{top}[[border]]\nwidth = \"{width}\"\nmotif = \"{motif}\"\n");
    let (layout, _, courses) = lay_out(&quilt(&text)).unwrap();
    let told: Vec<String> = layout.notes.iter().map(ToString::to_string).collect();
    assert!(courses[0].turns(), "{motif} {width}: {:?}", courses[0].join);
    (layout, courses[0].stretch, told.join("\n"))
}

#[test]
fn the_row_of_a_wide_border_gives_way_so_that_its_repeats_keep_their_shape() {
    let small = "rows = 2\ncolumns = 2\nblock = \"9in\"\n";
    for (width, motif) in [("5in", "hearts"), ("10in", "hearts"), ("10in", "swag")] {
        let (layout, stretch, told) = stretched(small, width, motif);
        assert!(stretch <= 0.1, "{motif} {width}: {stretch}");
        assert!(told.contains("Border 1 keeps ") && told.contains(" instead of 1/4 in"), "{told}");
        let unit = layout.designs.iter().find(|d| matches!(d.place, Place::BorderCorner(_))).unwrap();
        assert!(unit.block.margin_mm > 7.0, "{}", unit.block.margin_mm);
        assert!(worst(&layout, 1).0 < 0.1, "{motif} {width}: {:?}", worst(&layout, 1));
    }
    // Where the asked margin does, it stays.
    let (layout, _, told) = stretched(small, "2in", "hearts");
    assert!(!told.contains("Border 1 keeps "), "{told}");
    assert!(layout.designs.iter().all(|d| (d.block.margin_mm - 6.35).abs() < 1e-9));
}

#[test]
fn a_border_whose_repeats_lose_their_shape_is_told_the_width_that_would_do() {
    let top = "rows = 4\ncolumns = 3\nblock = \"10 1/2in\"\n";
    let (_, stretch, told) = stretched(top, "12in", "hearts");
    assert!(stretch > 0.1 && told.contains("No margin keeps the repeats of border 1 in shape"), "{told}");
    let at = told.split("width = \"").nth(1).unwrap();
    let (_, stretch, told) = stretched(top, at.split('"').next().unwrap(), "hearts");
    assert!(stretch <= 0.1, "{stretch}: {told}");
}

#[test]
fn a_join_that_is_off_is_noticed() {
    let text = "[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 4\nblock = \"8in\"\n[[border]]\nwidth = \"4in\"\nmotif = \"orange-peel\"\n";
    let (mut layout, _, _) = lay_out(&quilt(text)).unwrap();
    assert!(worst(&layout, 1).0 < 1e-6);
    let moved = layout.designs.iter_mut().find(|d| d.place == Place::Border(1)).unwrap();
    moved.at[0] = Affine::translate((0.3, 0.0)) * moved.at[0];
    assert!(worst(&layout, 1).0 > 0.25);
}

#[test]
fn a_square_quilt_uses_one_file_for_all_four_sides() {
    let text = "[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 3\nblock = \"8in\"\n[[border]]\nwidth = \"4in\"\nmotif = \"orange-peel\"\n";
    let (layout, _, courses) = lay_out(&quilt(text)).unwrap();
    assert_eq!((courses[0].counts.len(), courses[0].lanes[0].sides.len()), (1, 4));
    let sides: Vec<usize> =
        layout.designs.iter().filter(|d| d.place == Place::Border(1)).map(|d| d.at.len()).collect();
    assert_eq!(sides.iter().sum::<usize>(), 4 * courses[0].hoopings[0].len());
    assert!(sides.len() <= 2, "{sides:?}");
}

/// All lines of a border as points on the quilt, close together.
fn points(layout: &Layout) -> Vec<Point> {
    let mut points = Vec::new();
    for design in layout.designs.iter().filter(|d| d.place == Place::Border(1)) {
        for line in design.drawn.as_ref().unwrap().lines.iter().flat_map(|l| flatten(l, 0.01)) {
            for w in line.points.windows(2) {
                let steps = (w[0].distance(w[1]) / 2.0).ceil().max(1.0);
                let along = (0..=steps as u32).map(|i| w[0].lerp(w[1], f64::from(i) / steps));
                points.extend(along.flat_map(|p| design.at.iter().map(move |at| *at * p)));
            }
        }
    }
    points
}

/// How far the worst of some points lies from the nearest of others, both drawn close together.
fn off(some: &[Point], others: &[Point]) -> f64 {
    let tree = rstar::RTree::bulk_load(others.iter().map(|p| [p.x, p.y]).collect());
    let away = |p: &Point| {
        tree.nearest_neighbor(&[p.x, p.y]).map_or(f64::INFINITY, |q| p.distance((q[0], q[1]).into()))
    };
    some.iter().map(away).fold(0.0, f64::max)
}

#[test]
fn a_border_is_the_same_drawing_whatever_the_hoop() {
    for (motif, corner) in [("feather-vine", "butt"), ("wave", "butt"), ("orange-peel", "turn")] {
        let drawn = |hoop: &str| {
            let text = format!(
                "title = \"Test\"\n[machine]\nhoops = [\"{hoop}\"]\n[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 2\nblock = \"10in\"\n\
                 [[border]]\nwidth = \"5in\"\nmotif = \"{motif}\"\ncorner = \"{corner}\"\n"
            );
            let (layout, _, courses) = lay_out(&read(&text).unwrap()).unwrap();
            (points(&layout), courses[0].hoopings.concat().len())
        };
        let (reference, least) = drawn("1000 x 1000 mm");
        assert!(least <= 2 && reference.len() > 1000);
        for hoop in ["200 x 200 mm", "140 x 300 mm", "360 x 200 mm"] {
            let (points, hoopings) = drawn(hoop);
            assert!(hoopings > least, "{motif}: {hoopings}");
            let worst = off(&points, &reference).max(off(&reference, &points));
            assert!(worst < 1.1, "{motif} in {hoop} strays by {worst} mm");
        }
    }
}

#[test]
fn a_line_that_does_not_repeat_keeps_to_its_side() {
    let text = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"6in\"\n[[border]]\nwidth = \"3in\"\nmotif = \"meander\"\n";
    let (layout, _, courses) = lay_out(&quilt(text)).unwrap();
    assert!(!courses[0].turns() && courses[0].hoopings.iter().all(|h| h.iter().all(|n| *n == 1)));
    let sides: usize = courses[0].lanes.iter().map(|l| l.sides.len()).sum();
    assert_eq!(sides, 4);
    assert!(!layout.designs.iter().any(|d| matches!(d.place, Place::BorderCorner(_))));
}

#[test]
fn on_wide_borders_what_lies_in_the_eyes_of_a_cable_goes_on_into_its_corners() {
    for motif in ["cable", "cable-three"] {
        let text = format!(
            "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"9in\"\n[[border]]\nwidth = \"10in\"\nmotif = \"{motif}\"\n"
        );
        let (layout, _, courses) = lay_out(&quilt(&text)).unwrap();
        assert!(courses[0].turns(), "{motif}: {:?}", courses[0].join);
        // No line ends in the open: each end lies on the edge of the unit or on another line, within what parallels of a band
        // that is carried into the corner are off.
        let corner = layout.designs.iter().find(|d| d.place == Place::BorderCorner(1)).unwrap();
        let lines = &corner.drawn.as_ref().unwrap().lines;
        let chains: Vec<Vec<Point>> = lines.iter().flat_map(|l| flatten(l, 0.02)).map(|f| f.points).collect();
        let near = |p: Point, w: &[Point]| p.distance(nearest_on_segment(p, w[0], w[1])) < 0.15;
        let ends = chains.iter().enumerate().flat_map(|(i, c)| [(i, c[0]), (i, c[c.len() - 1])]);
        let inner: Vec<(usize, Point)> =
            ends.filter(|(_, p)| corner.block.inside[0].depth(*p) > 0.05).collect();
        assert!(inner.len() >= 4, "{motif}: {inner:?}");
        let meets = |c: &Vec<Point>, p: Point| c.windows(2).any(|w| near(p, w));
        let met = |i: usize, p: Point| (0..chains.len()).any(|k| k != i && meets(&chains[k], p));
        let open = inner.iter().filter(|(i, p)| !met(*i, *p));
        let open: Vec<&(usize, Point)> = open.collect();
        assert!(open.is_empty(), "{motif}: {open:?}");
    }
}
