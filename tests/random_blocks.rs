//! What every motif promises, on blocks and with settings drawn at random: every shape it suits in four sizes with settings
//! drawn eight times, 300 measured quadrilaterals and 100 polygons with inward corners.
//!
//! Of the eight settings two are looked at, others for each motif and block, a quarter of those cases;
//! `RANDOM_BLOCKS=all` looks at all eight. `RANDOM_MOTIFS=cable,rope` takes these motifs alone.

use std::collections::BTreeMap;
use std::fmt::Write;

use kurbo::{BezPath, PathEl, Point, Vec2};
use oorandom::Rand64;
use rayon::prelude::*;
use thrice::base::curve::flatten;
use thrice::base::fnv::fnv_1a;
use thrice::base::tolerance::FLATTEN_MM;
use thrice::block::shape::Shape;
use thrice::block::suit::Suit;
use thrice::block::{Block, outline};
use thrice::drawing::background::{Background, fill, wider};
use thrice::drawing::construction::Construction;
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::{Kind, Setting, Settings, Value, resolve};
use thrice::drawing::{DrawError, Drawing, draw, library};
use thrice::network::connect;
use thrice::route::{WalkOptions, walk};

#[path = "support/crossed.rs"]
mod crossed;

/// Kept clear inside the seam, mm: a quarter of an inch.
const MARGIN_MM: f64 = 6.35;
/// A line that ends on another may miss it by this much, mm.
const TOUCH_MM: f64 = 0.05;
/// How far a line may stand outside the inner outline, mm.
const OUTSIDE_MM: f64 = 0.02;
const INCH: f64 = 25.4;

/// One block and one choice of settings.
struct Case<'a> {
    motif: &'a Motif,
    settings: Settings,
    block: &'a Block,
    /// What it is, to find it again.
    words: String,
}

fn motifs() -> Vec<Motif> {
    let mut motifs = library::read_all(&[]).unwrap();
    if let Ok(asked) = std::env::var("RANDOM_MOTIFS") {
        let asked: Vec<&str> = asked.split(',').collect();
        motifs.retain(|m| asked.contains(&m.name.as_str()));
        assert_eq!(motifs.len(), asked.len(), "one of {asked:?} is no motif");
    }
    motifs
}

/// A value anywhere in the setting's range.
fn any(setting: &Setting, random: &mut Rand64) -> Value {
    let (least, most) = setting.range;
    match &setting.kind {
        Kind::Choice(words) => Value::Word(words[random.rand_range(0..words.len() as u64) as usize].clone()),
        Kind::Count | Kind::Seed => {
            setting.value((least + (most - least + 1.0) * random.rand_float()).floor().min(most))
        }
        _ => setting.value(least + (most - least) * random.rand_float()),
    }
}

fn with_any_settings(motif: &Motif, random: &mut Rand64) -> Settings {
    let start = resolve(&motif.name, &motif.settings, &[]).unwrap();
    motif.settings.iter().fold(start, |all, s| all.with(&s.name, any(s, random)))
}

/// Blocks of one size: `x` mm across, more or less.
fn shapes(x: f64) -> Vec<Shape> {
    vec![
        Shape::Square { side: x },
        Shape::Rectangle { width: 0.7 * x, height: x },
        Shape::HalfSquare { leg: x },
        Shape::QuarterSquare { long: 1.4 * x },
        Shape::Equilateral { side: x },
        Shape::Hexagon { side: x / 2.0 },
        Shape::Octagon { across: x },
        Shape::Diamond { side: x, angle_deg: 60.0 },
        Shape::Circle { diameter: x },
        Shape::Strip { width: x / 2.0, length: 3.5 * x },
        crooked(x),
    ]
}

fn crooked(x: f64) -> Shape {
    let corners = [(0.0, 0.0), (1.02, 0.03), (0.94, 1.0), (0.0, 0.94)];
    Shape::Corners { corners: corners.map(|(u, v)| Point::new(u * x, v * x)).into() }
}

/// Four sides and a diagonal as a tape would give them: 2 to 12 in, each corner up to an eighth off.
fn measured(random: &mut Rand64) -> Shape {
    let (w, h) = (2.0 + 10.0 * random.rand_float(), 2.0 + 10.0 * random.rand_float());
    let off = w.min(h) / 8.0;
    let mut corner = |u: f64, v: f64| {
        Point::new(u + off * (2.0 * random.rand_float() - 1.0), v + off * (2.0 * random.rand_float() - 1.0))
            .to_vec2()
            * INCH
    };
    let [a, b, c, d] = [corner(0.0, 0.0), corner(w, 0.0), corner(w, h), corner(0.0, h)];
    let sides = vec![(b - a).hypot(), (c - b).hypot(), (d - c).hypot(), (a - d).hypot()];
    Shape::Sides { sides, diagonal: Some((c - a).hypot()), other_diagonal: None }
}

/// A polygon round a centre with at least one inward corner.
fn inward(random: &mut Rand64) -> Shape {
    let count = 5 + random.rand_range(0..6);
    let way = |k: u64| Vec2::from_angle(std::f64::consts::TAU * k as f64 / count as f64);
    let dent = random.rand_range(0..count);
    let mut corners = Vec::new();
    for k in 0..count {
        let reach = if k == dent { 45.0 } else { 90.0 + 60.0 * random.rand_float() };
        corners.push(Point::ZERO + way(k) * reach);
    }
    Shape::Corners { corners }
}

/// The drawing, or nothing where there is no room and the words say what to do.
fn drawn(case: &Case<'_>, wrong: &mut String) -> Option<Drawing> {
    match draw(case.motif, &case.settings, case.block) {
        Ok(drawing) => Some(drawing),
        Err(DrawError::NoRoom { why, .. }) if why.contains("; ask for ") => None,
        Err(error) => {
            writeln!(wrong, "{}: {error}", case.words).unwrap();
            None
        }
    }
}

/// How far the farthest point of the lines stands outside, mm. Points nearer to the last one looked at than that one is to
/// the edge are inside without a look.
fn outside(drawing: &Drawing, block: &Block) -> f64 {
    let depth = |p: Point| block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max);
    let mut worst: f64 = 0.0;
    for flat in drawing.lines.iter().flat_map(|l| flatten(l, FLATTEN_MM)) {
        let mut looked: Option<(Point, f64)> = None;
        for p in flat.points {
            if looked.is_none_or(|(at, deep)| at.distance(p) >= deep) {
                let deep = depth(p);
                worst = worst.max(-deep);
                looked = Some((p, deep));
            }
        }
    }
    worst
}

/// What is wrong with a drawing's place and pieces, a line each.
fn misplaced(drawing: &Drawing, block: &Block, words: &str) -> String {
    let mut wrong = String::new();
    let outside = outside(drawing, block);
    if outside > OUTSIDE_MM {
        writeln!(wrong, "{words} stands {outside:.3} mm outside").unwrap();
    }
    let network = connect(drawing, &block.inside).unwrap();
    let pieces = walk(&network, &WalkOptions::default()).unwrap().pieces.len();
    if pieces == 0 || pieces > block.inside.len() {
        writeln!(wrong, "{words} is in {pieces} pieces").unwrap();
    }
    wrong
}

/// What is wrong with one drawing, a line each; and whether there was room for it.
fn faults(case: &Case<'_>) -> (String, bool) {
    let mut wrong = String::new();
    let Some(drawing) = drawn(case, &mut wrong) else { return (wrong, false) };
    // One case in four is drawn twice; chosen by its words, so that all motifs and shapes have their turn.
    if case.words.bytes().map(u32::from).sum::<u32>().is_multiple_of(4)
        && drawn(case, &mut wrong).as_ref() != Some(&drawing)
    {
        writeln!(wrong, "{} came out otherwise", case.words).unwrap();
    }
    wrong += &misplaced(&drawing, case.block, &case.words);
    // A meander meets itself nowhere; a spiral only where it ends on its own frame.
    let ends_meet = match &case.motif.construction {
        Construction::Meander(_) if case.motif.name != "loops" => Some(false),
        Construction::Spiral(_) => Some(true),
        _ => None,
    };
    if let Some(ends_meet) = ends_meet {
        let ends: Vec<Point> = drawing.lines.iter().filter(|_| ends_meet).flat_map(line_ends).collect();
        let places = crossed::places(&drawing.lines);
        if let Some(at) = places.iter().find(|p| ends.iter().all(|e| e.distance(**p) > TOUCH_MM)) {
            writeln!(wrong, "{} meets itself at {at:.2}", case.words).unwrap();
        }
    }
    (wrong, true)
}

fn line_ends(line: &BezPath) -> Vec<Point> {
    line.elements().iter().filter_map(PathEl::end_point).enumerate().fold(Vec::new(), |mut ends, (i, p)| {
        if i > 1 {
            ends.pop();
        }
        ends.push(p);
        ends
    })
}

/// How many settings are drawn for a motif on a block, and how many of them are looked at unless all are asked for.
const DRAWN: (u32, u32) = (8, 2);

/// True if every case is to be looked at.
fn all_asked() -> bool {
    std::env::var_os("RANDOM_BLOCKS").is_some_and(|asked| asked == "all")
}

/// Looks at all cases: all that is wrong in any, and for each motif how many had room, of how many.
fn judge(cases: &[Case<'_>]) -> (String, BTreeMap<String, (u32, u32)>) {
    let found: Vec<(String, bool)> = cases.par_iter().map(faults).collect();
    let mut room: BTreeMap<String, (u32, u32)> = BTreeMap::new();
    for (case, (_, had)) in cases.iter().zip(&found) {
        let count = room.entry(case.motif.name.clone()).or_default();
        *count = (count.0 + u32::from(*had), count.1 + 1);
    }
    (found.into_iter().map(|(wrong, _)| wrong).collect(), room)
}

fn words(motif: &Motif, block: &Block, settings: &Settings) -> String {
    let asked: Vec<String> = motif
        .settings
        .iter()
        .map(|s| {
            format!(
                "{}={}",
                s.name,
                match &settings.values()[&s.name] {
                    Value::Number(x) if s.kind == Kind::Length => format!("{x}mm"),
                    Value::Number(x) => x.to_string(),
                    Value::Whole(n) => n.to_string(),
                    Value::Word(word) => word.clone(),
                }
            )
        })
        .collect();
    format!(
        "{} on {} ({:?}), {}",
        motif.name,
        block.shape.name(),
        block.outline.outer.corners(),
        asked.join(" ")
    )
}

/// Every motif on every block that it suits, with settings drawn so many times, and so many of them looked at. What is drawn
/// for a motif on a block hangs on these two alone: a new motif leaves the cases of the others as they are.
fn cases<'a>(motifs: &'a [Motif], blocks: &'a [Block], (drawn, looked_at): (u32, u32)) -> Vec<Case<'a>> {
    let mut cases = Vec::new();
    for (turn, block) in (0_u32..).zip(blocks) {
        for motif in motifs.iter().filter(|m| m.suits(block.shape.suit())) {
            let seed = fnv_1a(motif.name.bytes().chain(turn.to_le_bytes()));
            let mut random = Rand64::new(u128::from(seed));
            let first = (seed % u64::from(drawn)) as u32;
            for k in 0..drawn {
                let settings = with_any_settings(motif, &mut random);
                if (k + first + turn) % drawn < looked_at {
                    let words = words(motif, block, &settings);
                    cases.push(Case { motif, settings, block, words });
                }
            }
        }
    }
    cases
}

/// Of the cases of these motifs a share has no room, as plumes or rings at the largest settings in the smallest blocks: the
/// share that has, as measured on the quarter that is looked at; of all other motifs every case has.
const ROOM_AT_RANDOM_SETTINGS: [(&str, f64); 15] = [
    ("clamshell", 0.98),
    ("cross-hatch", 0.98),
    ("echo", 0.81),
    ("feather-half-wreath", 0.79),
    ("feather-spray", 0.92),
    ("feather-vine", 0.87),
    ("feather-wreath", 0.92),
    ("grid", 0.92),
    ("hanging-diamonds", 0.97),
    ("knot", 0.81),
    ("knot-border", 0.93),
    ("loops", 0.98),
    ("orange-peel", 0.95),
    ("spiral", 0.84),
    ("sunburst", 0.9),
];
const ROOM_ROUND_INWARD_CORNERS: [(&str, f64); 5] = [
    ("clamshell", 0.98),
    ("feather-spray", 0.93),
    ("feather-wreath", 0.95),
    ("loops", 0.99),
    ("orange-peel", 0.91),
];

/// No case is at fault, and all have room but for the share that `few` allows.
fn assert_kept(cases: &[Case<'_>], few: &[(&str, f64)]) {
    let (wrong, room) = judge(cases);
    assert!(wrong.is_empty(), "{} faults:\n{wrong}", wrong.lines().count());
    let least = |name: &str| few.iter().find(|(n, _)| *n == name).map_or(1.0, |(_, share)| *share);
    let share = |(had, of): (u32, u32)| f64::from(had) / f64::from(of);
    let fewer: Vec<String> = room
        .iter()
        .filter(|(name, count)| share(**count) < least(name))
        .map(|(name, (had, of))| format!("{name} {had} of {of}"))
        .collect();
    assert!(fewer.is_empty(), "had room: {}", fewer.join(", "));
}

#[test]
fn every_motif_keeps_its_promises_on_every_shape_at_any_settings() {
    let motifs = motifs();
    let blocks: Vec<Block> = [3.0, 5.0, 8.0, 13.0]
        .iter()
        .flat_map(|inches| shapes(inches * INCH))
        .map(|shape| outline(&shape, MARGIN_MM).unwrap())
        .collect();
    let (drawn, some) = DRAWN;
    let looked_at = if all_asked() { drawn } else { some };
    assert_kept(&cases(&motifs, &blocks, (drawn, looked_at)), &ROOM_AT_RANDOM_SETTINGS);
}

/// Four and a half inches to fourteen by halves; three of them unless all are asked for.
#[test]
fn every_motif_has_room_at_its_defaults_in_blocks_of_any_size() {
    let motifs = motifs();
    let halves = 9..=28_u8;
    let sizes = halves.filter(|n| all_asked() || [10, 16, 21].contains(n)).map(|n| f64::from(n) / 2.0);
    let blocks: Vec<Block> = sizes
        .flat_map(|inches| shapes(inches * INCH))
        .map(|shape| outline(&shape, MARGIN_MM).unwrap())
        .collect();
    let all: Vec<(&Block, &Motif)> = blocks
        .iter()
        .flat_map(|b| motifs.iter().filter(|m| m.suits(b.shape.suit())).map(move |m| (b, m)))
        .collect();
    let refused = all.par_iter().filter_map(|(block, motif)| {
        let settings = resolve(&motif.name, &motif.settings, &[]).unwrap();
        let error = draw(motif, &settings, block).err()?;
        Some(format!("{} on {}: {error}\n", motif.name, block.shape.name()))
    });
    let refused: Vec<String> = refused.collect();
    assert!(refused.is_empty(), "{} of {} refused:\n{}", refused.len(), all.len(), refused.concat());
}

#[test]
fn every_motif_keeps_its_promises_on_measured_blocks() {
    let motifs = motifs();
    let mut random = Rand64::new(300);
    let blocks: Vec<Block> = (0..300).map(|_| outline(&measured(&mut random), MARGIN_MM).unwrap()).collect();
    // About three motifs a block, chosen for each motif by itself.
    let mut all = Vec::new();
    for (i, block) in (0_u32..).zip(&blocks) {
        let its = |m: &&Motif| fnv_1a(m.name.bytes().chain(i.to_le_bytes())) % 14 == 0;
        for motif in motifs.iter().filter(|m| m.suits(Suit::Quadrilateral)).filter(its) {
            let settings = resolve(&motif.name, &motif.settings, &[]).unwrap();
            let words = words(motif, block, &settings);
            all.push(Case { motif, settings, block, words });
        }
    }
    assert_kept(&all, &[]);
}

#[test]
fn every_motif_keeps_its_promises_round_inward_corners() {
    let motifs = motifs();
    let mut random = Rand64::new(100);
    let blocks: Vec<Block> = (0..100).map(|_| outline(&inward(&mut random), MARGIN_MM).unwrap()).collect();
    assert_kept(&cases(&motifs, &blocks, (1, 1)), &ROOM_ROUND_INWARD_CORNERS);
}

#[test]
fn every_background_fills_any_motif_on_every_shape() {
    let motifs = motifs();
    let blocks: Vec<Block> =
        shapes(8.0 * INCH).iter().map(|shape| outline(shape, MARGIN_MM).unwrap()).collect();
    let library = library::read_all(&[]).unwrap();
    let grounds = ["cross-hatch", "clamshell", "echo", "meander", "pebbles"];
    let defaults = |motif: &Motif| resolve(&motif.name, &motif.settings, &[]).unwrap();
    let mut all = Vec::new();
    for (i, block) in blocks.iter().enumerate() {
        for (k, motif) in motifs.iter().filter(|m| m.suits(block.shape.suit())).enumerate() {
            all.push((block, motif, library::find(&library, grounds[(i + k) % grounds.len()]).unwrap()));
        }
    }
    let look = |(block, motif, ground): &(&Block, &Motif, &Motif)| {
        let background = Background::new(ground, defaults(ground)).unwrap();
        let words = format!("{} on {} on {}", motif.name, ground.name, block.shape.name());
        let Ok(drawing) = draw(motif, &defaults(motif), block) else { return (String::new(), Some(false)) };
        match fill(drawing.clone(), wider(Some(motif)), &background, block, true) {
            Ok(filled) if filled.lines[..drawing.lines.len()] != drawing.lines => {
                (format!("{words} changed the motif\n"), Some(true))
            }
            Ok(filled) => (misplaced(&filled, block, &words), Some(true)),
            Err(DrawError::NoRoom { why, .. }) if why.contains("no place open; ask for ") => {
                (String::new(), None)
            }
            Err(DrawError::NoRoom { why, .. }) if why.contains("; ask for ") => (String::new(), Some(false)),
            Err(error) => (format!("{words}: {error}\n"), Some(false)),
        }
    };
    let found: Vec<(String, Option<bool>)> = all.par_iter().map(look).collect();
    let open: Vec<bool> = found.iter().filter_map(|(_, filled)| *filled).collect();
    let filled = open.iter().filter(|filled| **filled).count();
    let wrong: String = found.into_iter().map(|(wrong, _)| wrong).collect();
    assert!(wrong.is_empty(), "{} faults, {filled} filled:\n{wrong}", wrong.lines().count());
    // Of the motifs that leave a place open; the others fill their block themselves.
    assert!(2 * filled > open.len() && filled > 100, "only {filled} of {} filled", open.len());
}
