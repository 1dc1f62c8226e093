//! What cables and the other motifs of strands promise beyond what every motif does.

use kurbo::{BezPath, ParamCurve, Point};

use super::runs_on;
use crate::base::curve::flatten;
use crate::block::region::{Region, Ring};
use crate::block::shape::Shape;
use crate::block::{Block, outline};
use crate::drawing::constructions::board::Ground;
use crate::drawing::settings::resolve;
use crate::drawing::{DrawError, draw, library};

const MARGIN_MM: f64 = 6.35;

fn block(key: &str, value: &str) -> Block {
    outline(&Shape::from_words(key, value).unwrap(), MARGIN_MM).unwrap()
}

fn drawn(name: &str, settings: &[&str], block: &Block) -> Result<Vec<BezPath>, DrawError> {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, name).unwrap();
    let asked: Vec<String> = settings.iter().map(|s| (*s).to_owned()).collect();
    let settings = resolve(name, &motif.settings, &asked).unwrap();
    draw(motif, &settings, block).map(|drawing| drawing.lines)
}

/// How often lines cross; a line that ends on another does not cross it.
fn crossings(lines: &[BezPath]) -> usize {
    const SAME_MM: f64 = 0.1;
    let chains: Vec<Vec<Point>> = lines.iter().flat_map(|l| flatten(l, 1e-3)).map(|f| f.points).collect();
    let mut found = 0;
    for (n, a) in chains.iter().enumerate() {
        for b in &chains[n + 1..] {
            let ends = [a[0], a[a.len() - 1], b[0], b[b.len() - 1]];
            let mut seen: Vec<Point> = Vec::new();
            for p in a.windows(2).flat_map(|s| b.windows(2).filter_map(|t| cross(s, t))) {
                if seen.iter().chain(&ends).all(|q| q.distance(p) > SAME_MM) {
                    seen.push(p);
                }
            }
            found += seen.len();
        }
    }
    found
}

/// Where two pieces cross or touch.
fn cross(s: &[Point], t: &[Point]) -> Option<Point> {
    let (d, e) = (s[1] - s[0], t[1] - t[0]);
    let turn = d.cross(e);
    let (along, across) = ((t[0] - s[0]).cross(e) / turn, (t[0] - s[0]).cross(d) / turn);
    let within = |x: f64| (-1e-9..=1.0 + 1e-9).contains(&x);
    (within(along) && within(across)).then(|| s[0] + d * along)
}

#[test]
fn the_lines_of_a_cable_never_cross_unless_asked_to() {
    let strip = block("strip", "5in,20in");
    for (name, through) in [("cable", 48), ("cable-three", 52)] {
        let over = drawn(name, &[], &strip).unwrap();
        assert_eq!(crossings(&over), 0, "{name}");
        // Three repeats of sixteen crossings; places with four.
        let across = drawn(name, &["crossing=through"], &strip).unwrap();
        assert_eq!(crossings(&across), through, "{name}");
    }
}

#[test]
fn every_line_that_goes_under_ends_on_the_strand_above_it() {
    let strip = block("strip", "5in,20in");
    // Three crossings with eight ends each, and four lines of two loops, whose ends lie on those of the strands; thirteen
    // crossings with four ends each, the ends of two lines tucked under each loop, and those of two loops.
    for (name, ends_under) in [("cable", 3 * 8 + 2 * 4 * 2), ("cable-three", 13 * 4 + 4 + 8)] {
        let lines = drawn(name, &[], &strip).unwrap();
        let chains: Vec<Vec<Point>> = lines.iter().flat_map(|l| flatten(l, 1e-3)).map(|f| f.points).collect();
        let edge = (20.0 * 25.4 - 2.0 * MARGIN_MM) / 2.0;
        let mut met = 0;
        let ends = chains.iter().flat_map(|c| [c[0], c[c.len() - 1]]);
        for end in ends.filter(|p| p.x.abs() < edge - 0.01) {
            let near = |c: &&Vec<Point>| crate::base::chain::distance_to_chain(end, c) < 0.01;
            // Its own line, and the one that it ends on.
            assert!(chains.iter().filter(near).count() >= 2, "{name}: {end:?} hangs loose");
            met += 1;
        }
        assert_eq!(met, ends_under, "{name}");
    }
}

#[test]
fn a_nearly_square_block_gets_two_cables_rather_than_a_cross() {
    let odd = block("corners", "0in,0in; 8 1/8in,1/4in; 7 1/2in,8in; 0in,7 1/2in");
    // Two rows of three crossings of four lines by four, and the rows touch where a strand of each comes to the middle.
    let found = crossings(&drawn("cable", &["crossing=through"], &odd).unwrap());
    assert!((96..=104).contains(&found), "{found}");
}

#[test]
fn the_shortest_repeats_that_are_offered_can_be_drawn() {
    let strip = block("strip", "5in,40in");
    let motifs = library::read_all(&[]).unwrap();
    for name in ["cable", "cable-three", "hearts", "leaf-vine", "ribbon", "seed-chain", "swag"] {
        let settings = &library::find(&motifs, name).unwrap().settings;
        let repeat = settings.iter().find(|s| s.name == "repeat").unwrap();
        for value in [repeat.range.0, repeat.range.1] {
            let told = drawn(name, &[&format!("repeat={value}")], &strip);
            assert!(told.is_ok(), "{name} repeat={value}: {told:?}");
        }
    }
}

#[test]
fn narrow_borders_are_spared_the_small_parts() {
    let lines = |width: &str| drawn("swag", &[], &block("strip", width)).unwrap();
    // Swags of four lines between bows of five; in wide ones two folds more, and a smaller loop in each loop.
    let (narrow, wide) = (lines("2in,8in"), lines("5in,20in"));
    assert_eq!((narrow.len(), wide.len()), (3 * 4 + 4 * 5, 2 * 6 + 3 * 7));
}

#[test]
fn keys_end_with_a_bar_where_the_border_ends() {
    let bars = |lines: &[BezPath]| -> Vec<f64> {
        let mut at: Vec<f64> = lines
            .iter()
            .flat_map(BezPath::segments)
            .filter(|s| (s.start().x - s.end().x).abs() < 1e-6)
            .map(|s| (s.start().x * 100.0).round() / 100.0)
            .collect();
        at.sort_by(f64::total_cmp);
        at.dedup();
        at
    };
    let half = (16.0 * 25.4 - 2.0 * MARGIN_MM) / 2.0;
    let ended = bars(&drawn("piano-keys", &[], &block("strip", "5in,16in")).unwrap());
    // Two bars between neighbours of sixteen keys, and the edge at both ends.
    assert_eq!((ended.len(), ended[0], ended[ended.len() - 1]), (32, -half, half));
    let widths: Vec<f64> = ended.chunks(2).map(|key| key[1] - key[0]).collect();
    assert!(widths.iter().all(|mm| (mm - widths[0]).abs() < 0.03), "{widths:?}");
    let length = 16.0 * 25.4;
    let shared = bars(&drawn("piano-keys", &[], &open_strip(length)).unwrap());
    let key = length / 16.0;
    assert_eq!(shared.len(), 32);
    assert!((shared[0] - (0.77 * key - length) / 2.0).abs() < 0.01, "{shared:?}");
}

/// A stretch of border, `length` mm long, that runs on at both ends.
fn open_strip(length: f64) -> Block {
    let width = 5.0 * 25.4;
    let ring = |h: f64| {
        let (x, y) = (length / 2.0, h / 2.0);
        Ring::from_points(&[(-x, -y), (x, -y), (x, y), (-x, y)].map(Point::from)).unwrap()
    };
    let region = |h: f64| Region { outer: ring(h), holes: Vec::new() };
    Block {
        outline: region(width),
        inside: vec![region(width - 2.0 * MARGIN_MM)],
        ..block("strip", "5in,16in")
    }
}

#[test]
fn a_border_runs_on_only_where_it_has_no_margin_at_its_ends() {
    let on = |b: &Block| runs_on(Ground::of(&b.inside[0]), b);
    assert_eq!((on(&open_strip(16.0 * 25.4)), on(&block("strip", "5in,16in"))), (true, false));
    // Without any margin nothing tells the ends from the sides: it counts as ended.
    let bare = outline(&Shape::from_words("strip", "5in,16in").unwrap(), 0.0).unwrap();
    assert!(!on(&bare));
}

#[test]
fn a_stretch_of_one_repeat_runs_along_the_border_like_a_long_one() {
    // A repeat of the plait is shorter than the border is wide.
    for (name, repeat, ends_met) in [("cable", 114.3, 8), ("cable-three", 68.58, 6)] {
        for count in [1.0, 3.0] {
            let half = repeat * count / 2.0;
            // Where strands pass over each other at the join, some of their lines are hidden there.
            let lines = drawn(name, &["crossing=through"], &open_strip(2.0 * half)).unwrap();
            let segments = lines.iter().map(|l| l.segments().collect::<Vec<_>>());
            let ends = segments.flat_map(|s| [s[0].start(), s[s.len() - 1].end()]);
            let met = ends.filter(|p| (p.x - half).abs() < 0.01).count();
            assert_eq!(met, ends_met, "{name} of {count}");
        }
    }
}

#[test]
fn seeds_lie_in_the_eyes_of_wide_cables_only() {
    let count = |width: &str| drawn("cable", &[], &block("strip", width)).unwrap().len();
    // Two buds of one line at each of three crossings; two seeds and two in the loops, of two lines each.
    assert_eq!(count("10in,40in") - count("5in,20in"), 3 * 2 + 4 * 2);
}

#[test]
fn rows_of_ribbon_stand_apart_and_swags_hang_down() {
    let rect = block("rectangle", "6in,9in");
    let heights = |name: &str| -> Vec<(f64, f64)> {
        let boxes = drawn(name, &[], &rect).unwrap();
        boxes.iter().map(kurbo::Shape::bounding_box).map(|b| (b.x0, b.x1)).collect()
    };
    let ribbon = heights("ribbon");
    let gap = ribbon.iter().map(|b| b.0).filter(|x| *x > 0.0).fold(f64::INFINITY, f64::min) * 2.0;
    // Two rows of 2.75 in, the space between them 0.08 times the height of one.
    assert!((gap - 0.08 * (5.5 * 25.4) / 2.08).abs() < 0.01, "{gap}");
    // One row of swags in a border: a tail hangs down by three fifths of it.
    let boxes = drawn("swag", &[], &block("strip", "6in,20in")).unwrap();
    let longest = boxes.iter().map(|l| kurbo::Shape::bounding_box(l).height()).fold(0.0, f64::max);
    assert!(longest > 0.6 * (6.0 * 25.4 - 2.0 * MARGIN_MM), "{longest}");
}

#[test]
fn the_rows_of_a_ribbon_wind_on_where_they_end() {
    let square = block("square", "12in");
    let lines = drawn("ribbon", &[], &square).unwrap();
    let half = 6.0 * 25.4 - MARGIN_MM;
    let ends = |side: f64| -> Vec<f64> {
        let all = lines.iter().flat_map(|l| flatten(l, 0.01)).map(|f| f.points);
        let met = all.flat_map(|c| [c[0], c[c.len() - 1]]).filter(|p| (p.x - side * half).abs() < 0.01);
        let mut at: Vec<f64> = met.map(|p| p.y).collect();
        at.sort_by(f64::total_cmp);
        at
    };
    // Three rows with a space of 0.08 of one between them: up on the right, and then on the left.
    let space = 0.08 * 2.0 * half / 3.16;
    let (right, left) = (ends(1.0), ends(-1.0));
    assert!((right[1] - right[0] - space).abs() < 0.01, "{right:?}");
    assert!((left[2] - left[1] - space).abs() < 0.01, "{left:?}");
}
