//! What every motif of the library promises, on every block it suits.

use kurbo::{BezPath, ParamCurve, ParamCurveArclen, Point, Vec2};
use rayon::prelude::*;
use thrice::base::angle::turn_deg;
use thrice::base::curve::{end_tangent, flatten, path_length, start_tangent, subpaths};
use thrice::base::tolerance::FLATTEN_MM;
use thrice::block::shape::Shape;
use thrice::block::suit::Suit;
use thrice::block::{Block, outline};
use thrice::drawing::background::Background;
use thrice::drawing::construction::Construction;
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::{Kind, Settings, Value, resolve};
use thrice::drawing::{DrawError, draw, library};
use thrice::network::connect;
use thrice::route::{WalkOptions, walk};
use thrice::tailor::{Design, Order, Piece, make};

/// Kept clear inside the seam, mm: a quarter of an inch.
const MARGIN_MM: f64 = 6.35;
/// How far a line may stand outside the inner outline, mm.
const OUTSIDE_MM: f64 = 0.02;
/// The most that may be walked twice, as a share of the drawing, unless the motif's file says why.
const DOUBLED: f64 = 0.1;
/// The widest gap that a border leaves, mm: two inches, the least that the maker of a batting allows.
const GAP_MM: f64 = 51.0;
/// How closely both ends of a border agree.
const END_MM: f64 = 0.1;
const END_DEG: f64 = 1.0;

fn motifs() -> Vec<Motif> {
    library::read_all(&[]).unwrap()
}

fn defaults(motif: &Motif) -> Settings {
    resolve(&motif.name, &motif.settings, &[]).unwrap()
}

fn block(key: &str, value: &str) -> Block {
    outline(&Shape::from_words(key, value).unwrap(), MARGIN_MM).unwrap()
}

/// Blocks without inward corners, and one that is crooked.
fn convex() -> Vec<Block> {
    [
        ("square", "8in"),
        ("square", "2in"),
        ("square", "14in"),
        ("rectangle", "6in,9in"),
        ("half-square", "8in"),
        ("quarter-square", "8in"),
        ("equilateral", "8in"),
        ("corners", "0in,0in; 8 1/8in,1/4in; 7 1/2in,8in; 0in,7 1/2in"),
        ("diamond", "6in,60"),
        ("hexagon", "4in"),
        ("octagon", "8in"),
        ("circle", "7in"),
        ("strip", "5in,40in"),
        ("strip", "2in,8in"),
    ]
    .map(|(key, value)| block(key, value))
    .into()
}

/// An L.
fn bent() -> Block {
    block("corners", "0in,0in; 8in,0in; 8in,4in; 4in,4in; 4in,8in; 0in,8in")
}

fn points(lines: &[BezPath]) -> impl Iterator<Item = Point> + '_ {
    lines.iter().flat_map(|l| flatten(l, FLATTEN_MM)).flat_map(|flat| flat.points)
}

/// How far the farthest point of the lines stands outside, mm.
fn outside(lines: &[BezPath], block: &Block) -> f64 {
    let deepest = |p: Point| block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max);
    points(lines).map(|p| -deepest(p)).fold(0.0, f64::max)
}

/// The drawing, or nothing where there is no room for it.
fn lines(motif: &Motif, settings: &Settings, block: &Block) -> Option<Vec<BezPath>> {
    match draw(motif, settings, block) {
        Ok(drawing) => Some(drawing.lines),
        Err(DrawError::NoRoom { why, .. }) => {
            assert!(why.contains("; ask for "), "{}: `{why}` does not say what to do", motif.name);
            None
        }
        Err(error) => panic!("{}: {error}", motif.name),
    }
}

fn sewn(motif: &Motif, block: Block) -> Piece {
    let order = Order::new(&motif.name, block, Design::Motif(Box::new(motif.clone()), defaults(motif)));
    make(order).unwrap_or_else(|e| panic!("{}: {e}", motif.name))
}

#[test]
fn every_motif_stays_inside_in_one_piece_and_comes_out_the_same_twice() {
    let blocks = convex();
    for motif in &motifs() {
        for block in blocks.iter().filter(|b| motif.suits(b.shape.suit())) {
            let at = format!("{} on {}", motif.name, block.shape.name());
            let Some(drawn) = lines(motif, &defaults(motif), block) else {
                assert!(block.outline.area() < 4000.0, "{at}: no room");
                continue;
            };
            let out = outside(&drawn, block);
            assert!(out <= OUTSIDE_MM, "{at} stands {out} mm outside");
            assert_eq!(
                lines(motif, &defaults(motif), block).as_ref(),
                Some(&drawn),
                "{at} came out otherwise"
            );
            let drawing = draw(motif, &defaults(motif), block).unwrap();
            let network = connect(&drawing, &block.inside).unwrap();
            let route = walk(&network, &WalkOptions::default()).unwrap();
            assert_eq!(route.pieces.len(), 1, "{at} is not one piece");
        }
    }
}

#[test]
fn every_motif_that_suits_any_polygon_stays_inside_an_inward_corner() {
    let bent = bent();
    for motif in motifs().iter().filter(|m| m.suits(Suit::Polygon)) {
        let drawn = lines(motif, &defaults(motif), &bent).unwrap_or_default();
        let out = outside(&drawn, &bent);
        assert!(!drawn.is_empty() && out <= OUTSIDE_MM, "{} stands {out} mm outside", motif.name);
    }
}

#[test]
fn little_is_walked_twice() {
    for (key, value) in [("square", "8in"), ("strip", "5in,40in")] {
        let block = block(key, value);
        for motif in motifs().iter().filter(|m| m.suits(block.shape.suit())) {
            let piece = sewn(motif, block.clone());
            let share = piece.route.doubled_mm / piece.route.drawn_mm;
            let told = motif.doubling.is_some();
            assert!(share <= DOUBLED || told, "{} on a {key} doubles {share:.3}", motif.name);
            if matches!(motif.construction, Construction::Strand(_)) {
                let gap = piece.survey.gap.as_ref().map_or(f64::INFINITY, |gap| gap.widest_mm);
                assert!(gap <= GAP_MM, "{} on a {key} leaves a gap of {gap:.1} mm", motif.name);
            }
        }
    }
}

#[test]
fn lines_behind_a_motif_need_no_stitch_too_short_to_sew() {
    let motifs = motifs();
    for by in ["cross-hatch", "diagonals", "grid", "hanging-diamonds", "clamshell", "baptist-fan", "wave"] {
        for name in ["feather-wreath", "heart-ring", "flower"] {
            let [motif, by] = [name, by].map(|n| library::find(&motifs, n).unwrap());
            // Plumes and lines at their defaults, and finer ones where both can be.
            let fine = name == "feather-wreath" && by.name == "cross-hatch";
            let (own, behind) = match fine {
                true => (
                    defaults(motif).with("plume", Value::Number(15.875)),
                    defaults(by).with("spacing", Value::Number(12.7)),
                ),
                false => (defaults(motif), defaults(by)),
            };
            let design = Design::Motif(Box::new(motif.clone()), own);
            let mut order = Order::new(name, block("square", "8in"), design);
            order.background = Some(Background::new(by, behind).unwrap());
            let steps = make(order).unwrap().survey.steps;
            assert_eq!((steps.too_short, steps.too_long), (0, 0), "{name} on {}", by.name);
            assert!(
                steps.passes.keys().all(|p| *p <= 4),
                "{name} on {} is passed {:?}",
                by.name,
                steps.passes
            );
        }
    }
}

#[test]
fn the_edge_leaves_no_ticks_of_fans_and_shells() {
    // What is left of an inner arc at the edge is at least 0.6 pitches long, of a shell at least 0.16 of it; a pitch is
    // never below 12 mm on these blocks, nor a shell below 30 mm from foot to foot.
    let blocks = convex();
    for (name, least) in [("baptist-fan", 0.6 * 12.0), ("clamshell", 0.16 * 30.0)] {
        let motifs = motifs();
        let motif = library::find(&motifs, name).unwrap();
        for block in blocks.iter().filter(|b| b.outline.area() > 4000.0) {
            for line in lines(motif, &defaults(motif), block).unwrap() {
                let length = path_length(&line);
                assert!(length > least, "{name} on {} has a line of {length} mm", block.shape.name());
            }
        }
    }
}

#[test]
fn interlocking_petals_are_sewn_without_doubling() {
    for name in ["orange-peel", "pumpkin-seed", "continuous-curve"] {
        let motifs = motifs();
        let motif = library::find(&motifs, name).unwrap();
        let route = sewn(motif, block("square", "8in")).route;
        assert_eq!((route.doubled_mm, route.travelled_mm), (0.0, 0.0), "{name}");
    }
}

#[test]
fn the_ends_of_every_setting_draw_well_or_say_why_not() {
    let blocks = [block("square", "8in"), block("half-square", "8in"), block("strip", "5in,40in")];
    for motif in &motifs() {
        for block in blocks.iter().filter(|b| motif.suits(b.shape.suit())) {
            for (name, value) in extremes(motif) {
                let settings = defaults(motif).with(&name, value.clone());
                let Some(drawn) = lines(motif, &settings, block) else { continue };
                let out = outside(&drawn, block);
                assert!(!drawn.is_empty() && out <= OUTSIDE_MM, "{} {name}={value:?}: {out} mm", motif.name);
            }
        }
    }
}

/// Every setting at its ends, all others left alone.
fn extremes(motif: &Motif) -> Vec<(String, Value)> {
    let mut all = Vec::new();
    for setting in &motif.settings {
        let values = match &setting.kind {
            Kind::Choice(words) => words.iter().cloned().map(Value::Word).collect(),
            Kind::Seed => vec![Value::Whole(0), Value::Whole(u32::MAX)],
            _ => vec![setting.value(setting.range.0), setting.value(setting.range.1)],
        };
        all.extend(values.into_iter().map(|value| (setting.name.clone(), value)));
    }
    all
}

#[test]
fn borders_continue_at_both_ends() {
    let strip = block("strip", "5in,40in");
    let half = (40.0 * 25.4 - 2.0 * MARGIN_MM) / 2.0;
    let mut continued = 0;
    for motif in motifs().iter().filter(|m| matches!(m.construction, Construction::Strand(_))) {
        let drawn = lines(motif, &defaults(motif), &strip).unwrap();
        let (left, right) = (ends(&drawn, -half), ends(&drawn, half));
        assert_eq!(left.len(), right.len(), "{}", motif.name);
        for ((y, way), (z, onward)) in left.iter().zip(&right) {
            assert!((y - z).abs() < END_MM, "{}: {y} and {z}", motif.name);
            assert!(turn_deg(*way, *onward).abs() < END_DEG, "{}: {way:?} and {onward:?}", motif.name);
        }
        continued += usize::from(!left.is_empty());
    }
    // On a strip alone cables, hearts, swags and seeds end in whole units; the others run on.
    assert!(continued >= 3, "only {continued} borders have lines to continue");
}

/// The heights and directions, from left to right, of the lines that end at `x`; lines along the end do not count.
fn ends(lines: &[BezPath], x: f64) -> Vec<(f64, Vec2)> {
    let mut found: Vec<(f64, Vec2)> = Vec::new();
    for segments in lines.iter().flat_map(subpaths) {
        let (first, last) = (segments[0], segments[segments.len() - 1]);
        for (p, way) in [(first.start(), start_tangent(&first)), (last.end(), end_tangent(&last))] {
            let way = way / way.hypot();
            if (p.x - x).abs() < END_MM && way.x.abs() > 0.1 {
                found.push((p.y, if way.x < 0.0 { -way } else { way }));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.y.total_cmp(&b.1.y)));
    found
}

#[test]
fn shells_are_half_circles_and_stand_on_the_crowns_below() {
    // 7.5 in inside the margin takes four shells of 1 7/8 in: half circles of 15/16 in (23.81 mm), as round a teacup.
    let motifs = motifs();
    let motif = library::find(&motifs, "clamshell").unwrap();
    let drawn = lines(motif, &defaults(motif), &block("square", "8in")).unwrap();
    let (radius, corner) = (7.5 * 25.4 / 8.0, -7.5 * 25.4 / 2.0);
    assert_eq!(drawn.len(), 4 * 4 + 4 * 2 * 4);
    for p in points(&drawn) {
        let (x, y) = ((p.x - corner) / radius, (p.y - corner) / radius);
        // The centre of a shell through p stands on the row below or on p's own, shifted on every other one.
        let row = |row: f64| {
            let first = row.rem_euclid(2.0) + 1.0;
            let centre = first + 2.0 * ((x - first) / 2.0).round();
            ((x - centre).hypot(y - row) - 1.0).abs()
        };
        let off = row(y.floor()).min(row(y.floor() - 1.0)).min(row(y.ceil()));
        assert!(off * radius < 0.02, "{p:?} is {} mm off its circle", off * radius);
    }
}

#[test]
fn arcs_rise_a_quarter_of_an_inch_off_their_seams_and_never_more() {
    let motifs = motifs();
    let motif = library::find(&motifs, "continuous-curve").unwrap();
    let drawn = lines(motif, &defaults(motif), &block("square", "8in")).unwrap();
    assert_eq!(drawn.len(), 3 * 3 * 4);
    for arc in &drawn {
        let chain = &flatten(arc, 1e-3)[0].points;
        let (from, to) = (chain[0], chain[chain.len() - 1]);
        assert!((from.distance(to) - 2.5 * 25.4).abs() < 1e-6);
        let along = (to - from) / from.distance(to);
        let rise = chain.iter().map(|p| along.cross(*p - from)).fold(0.0, f64::max);
        assert!((rise - 6.35).abs() < 0.01, "{rise}");
    }
}

#[test]
fn cables_are_the_same_when_the_quilt_is_turned_round() {
    let motifs = motifs();
    let motif = library::find(&motifs, "cable").unwrap();
    let drawn = lines(motif, &defaults(motif), &block("strip", "5in,40in")).unwrap();
    let turned = |p: Point| Point::new(-p.x, -p.y);
    let chains: Vec<Vec<Point>> =
        drawn.iter().flat_map(|l| flatten(l, 1e-3)).map(|flat| flat.points).collect();
    let away = |p: Point| {
        chains.iter().map(|c| thrice::base::chain::distance_to_chain(p, c)).fold(f64::INFINITY, f64::min)
    };
    let worst = chains.iter().flatten().step_by(7).map(|p| away(turned(*p))).fold(0.0, f64::max);
    assert!(worst < 0.01, "{worst}");
    let half = (5.0 * 25.4 - 2.0 * MARGIN_MM) / 2.0;
    let reach = chains.iter().flatten().map(|p| p.y).fold(0.0, f64::max);
    assert!((reach - half).abs() < 1e-3, "{reach}");
}

#[test]
fn the_library_has_enough_for_blocks_triangles_and_borders() {
    let motifs = motifs();
    let suiting = |suit: Suit| motifs.iter().filter(|m| m.suits(suit)).count();
    assert!(motifs.len() >= 48, "{} motifs", motifs.len());
    assert!(suiting(Suit::Triangle) >= 6 && suiting(Suit::Strip) >= 6);
    let mut families: Vec<&String> = motifs.iter().filter_map(|m| m.family.as_ref()).collect();
    families.sort();
    families.dedup();
    let whole = families.iter().filter(|family| {
        let members: Vec<&Motif> = motifs.iter().filter(|m| m.family.as_ref() == Some(family)).collect();
        members.len() > 1
            && [Suit::Square, Suit::Triangle, Suit::Strip].iter().all(|s| members.iter().any(|m| m.suits(*s)))
    });
    assert!(whole.count() >= 3, "{families:?}");
}

/// Squares, rectangles and borders as they come in quilts.
const PLAIN: [(&str, &str); 18] = [
    ("square", "3in"),
    ("square", "4in"),
    ("square", "5in"),
    ("square", "6in"),
    ("square", "8in"),
    ("square", "10in"),
    ("square", "12in"),
    ("square", "14in"),
    ("rectangle", "6in,9in"),
    ("rectangle", "9in,6in"),
    ("rectangle", "5in,7in"),
    ("rectangle", "8in,12in"),
    ("rectangle", "4in,10in"),
    ("strip", "2in,30in"),
    ("strip", "3in,30in"),
    ("strip", "5in,40in"),
    ("strip", "8in,60in"),
    ("strip", "10in,60in"),
];

/// A stretch that hardly shows.
const HARDLY_SHOWS: f64 = 0.1;

/// Where whole repeats come no nearer to the shape asked for, and how far they are from it: lattices of nearly half to twice
/// the size were tried in all counts, strands in one row of a border and up to three of a block. Plumes of feathers close a ring.
const NO_NEARER: [(&str, &str, f64); 11] = [
    ("baptist-fan", "4in,10in", 0.105),
    ("cable", "4in,10in", 0.167),
    ("dogwood", "4in,10in", 0.105),
    ("feather-vine", "8in,12in", 0.124),
    ("feather-wreath", "14in", 0.137),
    ("hanging-diamonds", "3in", 0.155),
    ("leaf-vine", "8in,12in", 0.11),
    ("orange-peel", "4in,10in", 0.105),
    ("seed-chain", "5in,7in", 0.108),
    ("seed-chain", "4in,10in", 0.179),
    ("wave", "3in", 0.143),
];

#[test]
fn no_motif_is_stretched_by_more_than_shows_on_a_plain_block() {
    let look = |motif: &Motif| {
        let mut wrong = Vec::new();
        for (key, value) in PLAIN {
            let block = block(key, value);
            if !motif.suits(block.shape.suit()) {
                continue;
            }
            let Ok(drawing) = draw(motif, &defaults(motif), &block) else { continue };
            let known = NO_NEARER.iter().find(|k| (k.0, k.1) == (motif.name.as_str(), value)).map(|k| k.2);
            if drawing.stretch > known.unwrap_or(HARDLY_SHOWS) + 0.005 {
                wrong.push(format!("{} on {key} {value}: {:.3}", motif.name, drawing.stretch));
            }
        }
        wrong
    };
    let wrong: Vec<String> = motifs().par_iter().flat_map_iter(look).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn arcs_of_fans_and_petals_stay_round_on_plain_blocks() {
    // A circle's radius at each point of a drawn arc, by three points of it: in an ellipse it varies with the cube of its sides.
    let radius = |a: Point, b: Point, c: Point| {
        let sides = [b - a, c - b, a - c].map(Vec2::hypot);
        sides.iter().product::<f64>() / (2.0 * (b - a).cross(c - a).abs())
    };
    for name in ["orange-peel", "baptist-fan", "clamshell", "teacup-circles"] {
        let motifs = motifs();
        let motif = library::find(&motifs, name).unwrap();
        for (key, value) in PLAIN {
            let drawing = draw(motif, &defaults(motif), &block(key, value)).unwrap();
            let mut worst: f64 = 1.0;
            for line in drawing.lines.iter().flat_map(subpaths) {
                let arcs = line
                    .into_iter()
                    .filter(|s| !matches!(s, kurbo::PathSeg::Line(_)) && s.arclen(0.01) > 2.0);
                let at =
                    |arc: &kurbo::PathSeg, t: f64| radius(arc.eval(t), arc.eval(t + 0.1), arc.eval(t + 0.2));
                let radii: Vec<f64> =
                    arcs.flat_map(|arc| [at(&arc, 0.0), at(&arc, 0.4), at(&arc, 0.8)]).collect();
                let least = radii.iter().copied().fold(f64::INFINITY, f64::min);
                worst = radii.iter().map(|r| r / least).fold(worst, f64::max);
            }
            // Of an ellipse of 1 : 1.105, the most stretched of these, the radius varies by 1.105³.
            assert!(worst < 1.36, "{name} on {key} {value}: radii of one arc differ {worst:.3} times");
        }
    }
}
