//! Families of parallel lines: cross-hatch, diagonals, hanging diamonds.
//!
//! Lines are ruled on a [`Board`] of whole columns and rows, so that they meet the corners and divide every side evenly:
//! on an odd block the sides are divided, and the marks joined with a ruler, as a quilter would. Framed, they end on a line
//! along the inner outline, along which the thread also goes from line to line.

use kurbo::{BezPath, Line, ParamCurve, Point, Shape, Vec2};
use serde::Deserialize;

use super::board::{Board, Ground, is_upright};
use super::clip::clip;
use super::counts::{Counts, Fit, counts};
use super::frame::frame;
use super::through;
use crate::base::angle::{left_of, unit};
use crate::base::chain::sides;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;
use crate::block::side::Side;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The settings that lines read.
pub const NEEDS: &[Need] =
    &[("spacing", "length"), ("angle", "angle"), ("lines", "count"), ("gap", "length"), ("edge", "choice")];

/// Lines nearer than this to each other sew as one thick line, mm.
const LEAST_GAP_MM: f64 = 1.5;

/// The numbers of a motif of lines.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// One entry a family: the lines a·x + b·y = whole number, in columns and rows.
    families: Vec<[f64; 2]>,
    /// Families on a block with three sides, if others; the first corner is the widest.
    three_sides: Option<Vec<[f64; 2]>>,
    /// Families on a block with three sides and no right angle, if others again; the first corner is across from the side
    /// that lies most level.
    no_right_angle: Option<Vec<[f64; 2]>>,
    /// Families on a hexagon, if others.
    six_sides: Option<Vec<[f64; 2]>>,
}

/// Draws the families across every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if lines would come too close to each other, or no line falls inside.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let (lines, spacing) = (settings.whole("lines").max(1), settings.number("spacing"));
    let gap = gap(settings)?;
    let mut drawing = Drawing::default();
    if gap < settings.number("gap") {
        let gap = show_length(gap, Units::Inches);
        drawing
            .notes
            .push(format!("Lines of a group are drawn {gap} apart, so that the next group keeps clear."));
    }
    if let Some(lie) = &block.lie {
        let angle = settings.number("angle").to_radians();
        let apart = through::Apart { spacing, slope: angle.tan(), lines, gap };
        let fit = through::rule(&numbers.families, &apart, (block, lie), &mut drawing.lines);
        drawing.fitted(fit);
        return Ok(drawing);
    }
    for region in &block.inside {
        let (board, fit) = lay(numbers, settings, region);
        drawing.fitted(fit);
        drawing.notes.extend(fit.told("spacing", spacing));
        if board.spread() > 2.0 {
            drawing.notes.push(format!(
                "The sides of this block differ so much that the widest spacing is {:.1} times the narrowest.",
                board.spread()
            ));
        }
        let framed = settings.word("edge") == "framed";
        for family in families(numbers, board.ground, region) {
            let before = drawing.lines.len();
            rule(family, &board, (lines, gap), region, &mut drawing.lines);
            if framed && lines > 1 {
                let ruled = drawing.lines.split_off(before);
                drawing.lines.extend(ruled.into_iter().filter(|line| !grazes(line, gap, region)));
            }
            rule_joins(family, &board, (lines, gap), &block.open, region, &mut drawing.lines);
        }
        if framed {
            drawing.lines.extend(frame(block, region));
        }
    }
    if drawing.lines.is_empty() {
        let spacing = show_length(spacing, Units::Inches);
        let why = format!("no line {spacing} from the next falls inside; ask for a smaller spacing");
        return Err(DrawError::NoRoom { motif: "a set of lines".into(), why });
    }
    Ok(drawing)
}

/// True if a line runs beside the frame, nearer than half the `gap` of a group: the rest of a group that lies on a side.
fn grazes(line: &BezPath, gap: f64, region: &Region) -> bool {
    /// Half a gap, and what a machine's grid may add.
    const NEAR: f64 = 0.55;
    line.segments().all(|s| [0.1, 0.5, 0.9].into_iter().all(|t| region.depth(s.eval(t)) < NEAR * gap))
}

/// How far apart the lines of a group are, mm: no further than they would be if all lines were evenly apart.
fn gap(settings: &Settings) -> Result<f64, DrawError> {
    let (lines, spacing) = (settings.whole("lines").max(1), settings.number("spacing"));
    let most = spacing / f64::from(lines);
    if lines > 1 && most < LEAST_GAP_MM {
        let why = format!(
            "{lines} lines to every {} come closer than {}; ask for a larger spacing, or fewer lines",
            show_length(spacing, Units::Inches),
            show_length(LEAST_GAP_MM, Units::Inches)
        );
        return Err(DrawError::NoRoom { motif: "a group of lines".into(), why });
    }
    Ok(settings.number("gap").min(most))
}

fn families<'n>(numbers: &'n Numbers, ground: Ground, region: &Region) -> &'n [[f64; 2]] {
    let others = match ground {
        Ground::Three(corners) if !is_upright(corners) && numbers.no_right_angle.is_some() => {
            &numbers.no_right_angle
        }
        Ground::Three(_) => &numbers.three_sides,
        Ground::Around(_) if hexagon(region).is_some() => &numbers.six_sides,
        _ => &None,
    };
    others.as_ref().unwrap_or(&numbers.families)
}

/// The board whose first family comes nearest to the spacing and angle asked for, and how they come out.
fn lay(numbers: &Numbers, settings: &Settings, region: &Region) -> (Board, Fit) {
    let ground = most_level(Ground::of(region));
    let slope = settings.number("angle").to_radians().tan();
    let [a, b] = families(numbers, ground, region).first().copied().unwrap_or([1.0, 1.0]);
    let column = settings.number("spacing") * (a * a + (b / slope) * (b / slope)).sqrt();
    let (width, height) = ground.size();
    if let Some(side) = hexagon(region)
        && a != 0.0
        && b != 0.0
    {
        // Lines along the sides of a hexagon are √3/2 of a side apart if two columns make a side; they meet the corners
        // whenever columns come in fours and rows are half as many.
        let (n, fit) = even(side * 3f64.sqrt(), 4.0 * settings.number("spacing"));
        return (Board { ground, columns: 4 * n, rows: 2 * n }, fit);
    }
    if let Ground::Three(corners) = ground {
        // One count serves all families, so that they meet: the one at which they are as far apart as asked, on average.
        let families = families(numbers, ground, region);
        let apart: Vec<f64> = families.iter().map(|family| apart_on_three_sides(*family, corners)).collect();
        let mean = apart.iter().map(|mm| mm.ln()).sum::<f64>() / apart.len().max(1) as f64;
        let (n, fit) = even(mean.exp(), settings.number("spacing"));
        return (Board { ground, columns: n, rows: n }, fit);
    }
    let Counts { columns, rows, fit } = counts((width, height), (column, column * slope), 1);
    (Board { ground, columns, rows }, fit)
}

/// How many repeats of `target` mm fit `length` mm best, the same both ways, and how they come out.
fn even(length: f64, target: f64) -> (u32, Fit) {
    let n = counts((length, length), (target, target), 1).columns;
    let grown = length / (f64::from(n) * target);
    (n, Fit::of(grown, grown))
}

/// Three sides without a right angle, with the corner first that lies across from the most level side.
fn most_level(ground: Ground) -> Ground {
    let Ground::Three(mut corners) = ground else { return ground };
    if is_upright(corners) {
        return ground;
    }
    let climb = |i: usize| {
        let way = corners[(i + 2) % 3] - corners[(i + 1) % 3];
        (way.y.abs() / way.hypot() * 1e6).round()
    };
    let first = (0..3).min_by(|i, j| climb(*i).total_cmp(&climb(*j)));
    corners.rotate_left(first.unwrap_or(0));
    Ground::Three(corners)
}

/// How far apart the lines of a family are on three sides that are not divided, mm.
fn apart_on_three_sides([a, b]: [f64; 2], [p, q, r]: [Point; 3]) -> f64 {
    let (across, up) = (q - p, r - p);
    // a·x + b·y does not change along b·across − a·up.
    across.cross(up) / (across * b - up * a).hypot()
}

/// The side of a region that is a hexagon of equal sides with two of them level, mm.
fn hexagon(region: &Region) -> Option<f64> {
    /// How much sides may differ in length or in level, mm.
    const EQUAL_MM: f64 = 0.01;
    let corners = region.outer.corners();
    if corners.len() != 6 || !region.outer.is_polygon() {
        return None;
    }
    let bounds = region.bounds();
    let side = bounds.width() / 2.0;
    let equal = sides(&corners).all(|(p, q)| (p.distance(q) - side).abs() < EQUAL_MM);
    let level = (bounds.height() - side * 3f64.sqrt()).abs() < EQUAL_MM;
    (equal && level).then_some(side)
}

/// Rules one family, each line as a group of `lines` lines `gap` apart.
fn rule(family: &[f64; 2], board: &Board, (count, gap): (u32, f64), region: &Region, out: &mut Vec<BezPath>) {
    let [a, b] = *family;
    let ends = [(0, 0), (board.columns, 0), (0, board.rows), (board.columns, board.rows)];
    let values = ends.map(|(x, y)| a * f64::from(x) + b * f64::from(y));
    let least = values.iter().copied().fold(f64::INFINITY, f64::min).ceil();
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max).floor();
    let mut k = least;
    while k <= most {
        if let Some((p, q)) = board.ruled(a, b, k) {
            let side = left_of(unit(q - p)) * gap;
            for i in 0..count {
                let off = side * (f64::from(i) - f64::from(count - 1) / 2.0);
                push(p, q, off, board, region, out);
            }
        }
        k += 1.0;
    }
}

/// Rules what a family has along open sides, left and right: of the group there, the lines that lie inside, and of those on
/// the side itself the left one, so that of two pieces side by side one draws it.
fn rule_joins(
    family: &[f64; 2],
    board: &Board,
    (count, gap): (u32, f64),
    open: &[Side],
    region: &Region,
    out: &mut Vec<BezPath>,
) {
    let (columns, rows) = (f64::from(board.columns), f64::from(board.rows));
    for (side, x, inwards) in [(Side::Left, 0.0, 1.0), (Side::Right, columns, -1.0)] {
        if family[1] != 0.0 || !open.contains(&side) || (family[0] * x).fract() != 0.0 {
            continue;
        }
        let (p, q) = (board.at(x, 0.0), board.at(x, rows));
        for i in 0..count {
            let off = gap * (f64::from(i) - f64::from(count - 1) / 2.0);
            if off > 0.0 || off == 0.0 && side == Side::Left {
                push(p, q, unit(board.at(x + inwards, 0.0) - p) * off, board, region, out);
            }
        }
    }
}

fn push(p: Point, q: Point, off: Vec2, board: &Board, region: &Region, out: &mut Vec<BezPath>) {
    let whole = off == Vec2::ZERO && !board.ground.overhangs() && region.holes.is_empty();
    if whole {
        out.push(Line::new(p, q).to_path(0.1));
        return;
    }
    // A line moved aside is drawn too long and cut to the outline.
    let more = unit(q - p) * off.hypot() * 4.0;
    let line = Line::new(p + off - more, q + off + more).to_path(0.1);
    out.extend(clip(&[line], std::slice::from_ref(region)));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape as Outline;
    use crate::drawing::settings::Value;

    fn drawn(families: &[[f64; 2]], shape: &Outline) -> (Vec<BezPath>, Region) {
        let block = outline(shape, 6.35).unwrap();
        let numbers =
            Numbers { families: families.to_vec(), three_sides: None, no_right_angle: None, six_sides: None };
        let settings = Settings::default()
            .with("spacing", Value::Number(25.4))
            .with("angle", Value::Number(45.0))
            .with("lines", Value::Whole(1))
            .with("gap", Value::Number(3.0))
            .with("edge", Value::Word("open".into()));
        (draw(&numbers, &settings, &block).unwrap().lines, block.inside[0].clone())
    }

    fn ends(lines: &[BezPath]) -> Vec<Point> {
        lines.iter().flat_map(BezPath::segments).flat_map(|s| [s.start(), s.end()]).collect()
    }

    #[test]
    fn on_a_hexagon_lines_run_along_its_sides_and_meet_its_corners() {
        let (lines, region) = drawn(&[[1.0, 1.0], [1.0, -1.0]], &Outline::Hexagon { side: 101.6 });
        let ends = ends(&lines);
        for corner in region.outer.corners() {
            assert!(ends.iter().any(|p| p.distance(corner) < 1e-6), "no line meets {corner:?}");
        }
        for segment in lines.iter().flat_map(BezPath::segments) {
            let way = segment.end() - segment.start();
            assert!(((way.y / way.x).abs() - 3f64.sqrt()).abs() < 1e-9, "{way:?}");
        }
    }

    #[test]
    fn no_line_of_a_pair_runs_beside_the_frame() {
        let block = outline(&Outline::Hexagon { side: 101.6 }, 6.35).unwrap();
        let families = vec![[1.0, -1.0]];
        let numbers = Numbers { families, three_sides: None, no_right_angle: None, six_sides: None };
        let settings = Settings::default()
            .with("spacing", Value::Number(31.75))
            .with("angle", Value::Number(45.0))
            .with("lines", Value::Whole(2))
            .with("gap", Value::Number(6.35))
            .with("edge", Value::Word("framed".into()));
        let drawing = draw(&numbers, &settings, &block).unwrap();
        let (frame, pairs) = drawing.lines.split_last().unwrap();
        assert_eq!((frame.segments().count(), pairs.len()), (6, 6));
        for line in pairs {
            let depth = line.segments().map(|s| block.inside[0].depth(s.eval(0.5))).fold(0.0, f64::max);
            assert!(depth > 12.0, "a line runs {depth} mm off the frame");
        }
    }

    #[test]
    fn on_a_square_lines_meet_the_corners_and_divide_the_sides_evenly() {
        // 190.5 mm inside: lines 25.4 mm apart at 45° are 35.9 mm apart along the sides; five make 38.1 mm.
        let (lines, region) = drawn(&[[1.0, -1.0]], &Outline::Square { side: 203.2 });
        assert_eq!(lines.len(), 9);
        let bottom = region.bounds().y0;
        let mut along: Vec<f64> = ends(&lines)
            .iter()
            .filter(|p| (p.y - bottom).abs() < 1e-9)
            .map(|p| p.x - region.bounds().x0)
            .collect();
        along.sort_by(f64::total_cmp);
        for (i, x) in along.iter().enumerate() {
            assert!((x - 38.1 * i as f64).abs() < 1e-9, "{along:?}");
        }
        assert_eq!(along.len(), 5);
    }

    #[test]
    fn framed_lines_end_on_the_line_along_the_edge_which_comes_last() {
        let motifs = crate::drawing::library::read_all(&[]).unwrap();
        for name in ["cross-hatch", "diagonals", "grid", "hanging-diamonds"] {
            let motif = crate::drawing::library::find(&motifs, name).unwrap();
            let settings = crate::drawing::settings::resolve(name, &motif.settings, &[]).unwrap();
            let block = outline(&Outline::Octagon { across: 203.2 }, 6.35).unwrap();
            let mut lines = motif.construction.draw(&settings, &block).unwrap().lines;
            assert_eq!(lines.pop().as_ref(), Some(block.inside[0].outer.path()), "{name}");
            for p in ends(&lines) {
                assert!(block.inside[0].depth(p).abs() < 1e-6, "{name} ends at {p:?}");
            }
        }
    }

    #[test]
    fn pieces_side_by_side_share_the_line_between_them() {
        let drawn = |asked: &[&str], open: &[Side]| -> Vec<f64> {
            let motifs = crate::drawing::library::read_all(&[]).unwrap();
            let motif = crate::drawing::library::find(&motifs, "grid").unwrap();
            let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
            let settings = crate::drawing::settings::resolve("grid", &motif.settings, &asked).unwrap();
            let strip = outline(&Outline::Rectangle { width: 80.0, height: 40.0 }, 0.0).unwrap();
            let lines =
                motif.construction.draw(&settings, &Block { open: open.to_vec(), ..strip }).unwrap().lines;
            let upright = lines.iter().flat_map(BezPath::segments).filter(|s| s.start().x == s.end().x);
            upright.map(|s| s.start().x).collect()
        };
        let both = [Side::Left, Side::Right];
        assert_eq!(drawn(&["spacing=20mm"], &both), [-20.0, 0.0, 20.0, -40.0]);
        assert_eq!(drawn(&["spacing=20mm", "edge=open"], &[]), [-20.0, 0.0, 20.0]);
        let doubled = drawn(&["spacing=40mm", "lines=2", "gap=4mm"], &both);
        assert_eq!(doubled.len(), 4);
        for x in [-38.0, -2.0, 2.0, 38.0] {
            assert!(doubled.iter().any(|d| (d - x).abs() < 1e-9), "{doubled:?}");
        }
    }

    #[test]
    fn a_group_of_lines_closes_up_where_the_next_is_near_and_is_refused_where_it_would_be_one_line() {
        let settings = |spacing: f64| {
            Settings::default()
                .with("spacing", Value::Number(spacing))
                .with("lines", Value::Whole(3))
                .with("gap", Value::Number(6.35))
        };
        assert_eq!(gap(&settings(25.4)), Ok(6.35));
        assert_eq!(gap(&settings(12.0)), Ok(4.0));
        let told = gap(&settings(4.0)).unwrap_err().to_string();
        assert!(told.ends_with("ask for a larger spacing, or fewer lines"), "{told}");
    }
}
