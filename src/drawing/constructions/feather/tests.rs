//! The promises of feathers, on many blocks.

use kurbo::{BezPath, ParamCurve, Point, Vec2};

use crate::base::angle::turn_deg;
use crate::base::curve::{flatten, path_length, start_tangent};
use crate::base::tolerance::{FLATTEN_MM, OUTSIDE_MM, TOUCH_MM};
use crate::block::shape::Shape;
use crate::block::{Block, outline};
use crate::drawing::{DrawError, Drawing, library, settings};

const BLOCKS: [(&str, &str); 22] = [
    ("square", "4 1/2in"),
    ("square", "8in"),
    ("square", "14in"),
    ("rectangle", "6in,9in"),
    ("rectangle", "3in,11in"),
    ("half-square", "8in"),
    ("quarter-square", "10in"),
    ("side-triangle", "8in"),
    ("corner-triangle", "8in"),
    ("equilateral", "8in"),
    ("hexagon", "4in"),
    ("octagon", "8in"),
    ("diamond", "6in,60"),
    ("diamond", "6in,45"),
    ("circle", "7in"),
    ("strip", "5in,20in"),
    ("strip", "2in,14in"),
    ("corners", "0in,0in; 8 1/8in,0in; 8in,8in; 0in,7 7/8in"),
    ("corners", "0in,0in; 9in,0in; 7in,5in; 2in,5in"),
    ("corners", "0in,0in; 8in,1in; 3in,7in"),
    ("corners", "0in,0in; 8in,0in; 9in,5in; 4in,9in; -1in,5in"),
    ("corners", "0in,0in; 14in,0in; 14in,7in; 7in,7in; 7in,14in; 0in,14in"),
];

const MOTIFS: [&str; 3] = ["feather-half-wreath", "feather-spray", "feather-wreath"];

pub fn block(key: &str, words: &str) -> Block {
    outline(&Shape::from_words(key, words).unwrap(), 6.35).unwrap()
}

pub fn draw(motif: &str, asked: &[&str], block: &Block) -> Result<Drawing, DrawError> {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, motif).unwrap();
    let asked: Vec<String> = asked.iter().map(|s| (*s).to_owned()).collect();
    let settings = settings::resolve(&motif.name, &motif.settings, &asked).unwrap();
    motif.construction.draw(&settings, block)
}

/// Every feather with its default settings on every block that it suits.
pub fn every_feather() -> Vec<(String, Block, Drawing)> {
    let motifs = library::read_all(&[]).unwrap();
    let mut all = Vec::new();
    for name in MOTIFS {
        let motif = library::find(&motifs, name).unwrap();
        for (key, words) in BLOCKS {
            let block = block(key, words);
            if motif.suits(block.shape.suit()) {
                let drawing =
                    draw(name, &[], &block).unwrap_or_else(|e| panic!("{name} in {key} {words}: {e}"));
                all.push((format!("{name} in {key} {words}"), block, drawing));
            }
        }
    }
    all
}

#[test]
fn a_spray_finds_its_way_across_circles_of_any_size() {
    for tenths in (50..=120).step_by(5) {
        let block = block("circle", &format!("{}in", f64::from(tenths) / 10.0));
        let drawing = draw("feather-spray", &[], &block);
        assert!(drawing.is_ok(), "{tenths} tenths of an inch: {drawing:?}");
    }
}

fn chains(lines: &[BezPath]) -> Vec<Vec<Point>> {
    lines.iter().flat_map(|l| flatten(l, FLATTEN_MM)).map(|f| f.points).collect()
}

#[test]
fn every_feather_stays_inside_and_touches_the_outline() {
    for (name, block, drawing) in every_feather() {
        let parts = drawing.lines.iter().map(|l| flatten(l, FLATTEN_MM).len());
        assert!(parts.into_iter().all(|n| n == 1), "{name} has a line in parts");
        let depths = chains(&drawing.lines).concat().into_iter().map(|p| block.inside[0].depth(p));
        let depths: Vec<f64> = depths.collect();
        let least = depths.iter().copied().fold(f64::INFINITY, f64::min);
        assert!(least > -OUTSIDE_MM, "{name} is {} mm outside", -least);
        assert!(least < TOUCH_MM, "{name} keeps {least} mm from the outline");
    }
}

#[test]
fn every_line_ends_on_another_and_all_hang_together() {
    for (name, _, drawing) in every_feather() {
        let knots: Vec<Vec<Point>> =
            drawing.lines.iter().map(|l| l.segments().flat_map(|s| [s.start(), s.end()]).collect()).collect();
        let mut reached = vec![false; knots.len()];
        let mut next = vec![0];
        while let Some(i) = next.pop() {
            reached[i] = true;
            let ends = |k: &[Point]| [k[0], k[k.len() - 1]];
            let meet = |a: &[Point], b: &[Point]| a.iter().any(|p| b.iter().any(|q| p.distance(*q) < 1e-4));
            for j in 0..knots.len() {
                let met = meet(&ends(&knots[i]), &knots[j]) || meet(&ends(&knots[j]), &knots[i]);
                if !reached[j] && met {
                    next.push(j);
                }
            }
        }
        assert!(reached.iter().all(|r| *r), "{name} is in pieces");
        for k in &knots[1..] {
            let on_other = |p: Point| knots.iter().flatten().filter(|q| q.distance(p) < 1e-4).count() > 1;
            assert!(on_other(k[0]) && on_other(k[k.len() - 1]), "{name} has a loose end");
        }
    }
}

#[test]
fn no_line_crosses_another() {
    for (name, _, drawing) in every_feather() {
        let chains = chains(&drawing.lines);
        let sides: Vec<(Point, Point)> =
            chains.iter().flat_map(|c| c.windows(2)).map(|w| (w[0], w[1])).collect();
        for (i, (a, b)) in sides.iter().enumerate() {
            for (c, d) in &sides[i + 1..] {
                let far = a.x.max(b.x) < c.x.min(d.x) || a.x.min(b.x) > c.x.max(d.x);
                // A crossing as deep as a tenth of a stitch width is one.
                let splits = |a: Point, b: Point, c: Point, d: Point| {
                    let way = b - a;
                    let (f, g) = (way.cross(c - a) / way.hypot(), way.cross(d - a) / way.hypot());
                    f * g < 0.0 && f.abs().min(g.abs()) > 0.03
                };
                assert!(far || !(splits(*a, *b, *c, *d) && splits(*c, *d, *a, *b)), "{name} crosses at {a}");
            }
        }
    }
}

#[test]
fn the_same_block_gives_the_same_feather() {
    let block = block("corners", "0in,0in; 8 1/8in,0in; 8in,8in; 0in,7 7/8in");
    for motif in ["feather-wreath", "feather-spray"] {
        assert_eq!(draw(motif, &[], &block).unwrap(), draw(motif, &[], &block).unwrap());
    }
}

#[test]
fn nothing_tells_where_a_round_wreath_began() {
    for (key, words) in [("square", "8in"), ("circle", "8in"), ("hexagon", "5in")] {
        let drawing = draw("feather-wreath", &["form=round"], &block(key, words)).unwrap();
        // Feet that nearly coincide are shared, which moves them by less than 1.5 mm; the heads stay where they are.
        let mut heads: Vec<f64> = drawing.lines[1..]
            .iter()
            .map(|l| {
                chains(std::slice::from_ref(l))[0].iter().map(|p| p.to_vec2().hypot()).fold(0.0, f64::max)
            })
            .collect();
        heads.sort_by(f64::total_cmp);
        let most = heads[heads.len() - 1];
        let outer: Vec<f64> = heads.iter().copied().filter(|h| *h > 0.9 * most).collect();
        assert!(outer.len() >= 9 && most - outer[0] < 0.01, "{key}: heads reach {outer:?}");
    }
}

#[test]
fn stems_leave_the_spine_as_asked() {
    for (asked, least, most) in [("angle=36", 33.0, 41.0), ("angle=45", 41.0, 49.0)] {
        let drawing = draw("feather-wreath", &["form=round", asked], &block("square", "10in")).unwrap();
        for line in &drawing.lines[1..] {
            let stem = line.segments().next().unwrap();
            let (foot, way) = (stem.start(), start_tangent(&stem));
            let along = Vec2::new(-foot.y, foot.x);
            let angle = turn_deg(along, way).abs();
            assert!((least..most).contains(&angle), "{asked}: a stem leaves at {angle}°");
        }
    }
}

#[test]
fn narrower_plumes_are_more() {
    let block = block("square", "10in");
    for motif in ["feather-wreath", "feather-spray"] {
        let count = |asked| draw(motif, &[asked], &block).unwrap().lines.len();
        assert!(count("plume=3/4in") > count("plume=1 1/4in"), "{motif}");
    }
}

#[test]
fn the_ends_of_every_setting_are_drawn_or_refused_with_a_remedy() {
    let motifs = library::read_all(&[]).unwrap();
    let blocks = [("square", "8in"), ("half-square", "7in"), ("strip", "4in,15in"), ("circle", "6in")];
    for name in MOTIFS {
        let motif = library::find(&motifs, name).unwrap();
        let default = settings::resolve(name, &motif.settings, &[]).unwrap();
        for setting in motif.settings.iter().filter(|s| s.range.1 > s.range.0) {
            for end in [setting.range.0, setting.range.1] {
                let settings = default.clone().with(&setting.name, setting.value(end));
                for (key, words) in blocks {
                    let block = block(key, words);
                    if !motif.suits(block.shape.suit()) {
                        continue;
                    }
                    match motif.construction.draw(&settings, &block) {
                        Ok(drawing) => {
                            let length: f64 = drawing.lines.iter().map(path_length).sum();
                            assert!(length.is_finite() && length > 200.0, "{name} {} {end}", setting.name);
                        }
                        Err(error) => {
                            let told = error.to_string();
                            assert!(told.contains("mm") && told.contains("ask for"), "{told}");
                        }
                    }
                }
            }
        }
    }
}

#[test]
fn a_block_too_small_is_refused_with_its_figures() {
    let told = draw("feather-wreath", &[], &block("square", "2in")).unwrap_err().to_string();
    assert!(told.starts_with("a feather wreath does not fit: there is room for plumes "), "{told}");
    assert!(told.contains(" mm wide"), "{told}");
}

#[test]
fn plumes_made_narrower_for_a_small_block_are_noted() {
    let drawing = draw("feather-wreath", &["plume=2in"], &block("square", "5in")).unwrap();
    assert!(drawing.notes[0].contains("longer than wide"), "{:?}", drawing.notes);
    assert!(
        (drawing.grown - (14.2 / 50.8 - 1.0)).abs() < 0.01,
        "stretch {} grown {}",
        drawing.stretch,
        drawing.grown
    );
}

#[test]
fn feathers_in_a_triangle_reach_into_all_its_corners() {
    for (motif, key, words) in [
        ("feather-half-wreath", "half-square", "8in"),
        ("feather-spray", "half-square", "8in"),
        ("feather-half-wreath", "equilateral", "8in"),
    ] {
        let block = block(key, words);
        let drawing = draw(motif, &[], &block).unwrap();
        let points = chains(&drawing.lines).concat();
        let side = block.inside[0].bounds().width();
        for corner in block.inside[0].outer.corners() {
            let away = points.iter().map(|p| p.distance(corner)).fold(f64::INFINITY, f64::min);
            assert!(
                away < 0.28 * side,
                "{motif} in {key}: nothing within {away} mm of the corner at {corner}"
            );
        }
    }
}

#[test]
fn half_wreaths_end_in_the_same_crown_at_both_edges() {
    for (key, words) in [("half-square", "8in"), ("quarter-square", "10in"), ("side-triangle", "8in")] {
        let block = block(key, words);
        let drawing = draw("feather-half-wreath", &[], &block).unwrap();
        let corners = block.inside[0].outer.corners();
        let points = chains(&drawing.lines).concat();
        let nearest = |c: &Point| points.iter().map(|p| p.distance(*c)).fold(f64::INFINITY, f64::min);
        let mut away: Vec<f64> = corners.iter().map(nearest).collect();
        away.sort_by(f64::total_cmp);
        let alike = (away[0] - away[1]).abs().min((away[1] - away[2]).abs());
        assert!(alike < 0.3, "{key}: the ends keep {away:?} mm from the corners");
    }
}

#[test]
fn the_middle_of_a_wreath_is_held() {
    let drawing = draw("feather-wreath", &[], &block("square", "8in")).unwrap();
    let open =
        chains(&drawing.lines).concat().iter().map(|p| p.to_vec2().hypot()).fold(f64::INFINITY, f64::min);
    assert!((15.0..25.4).contains(&open), "the middle is open {open} mm to all sides");
}
