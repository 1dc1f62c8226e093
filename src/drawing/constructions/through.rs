//! Straight lines on the ground of a quilt → the parts of them in one block, which meet those of its neighbours at the seams.
//!
//! Families of parallel lines divide the module of the ground into whole repeats. A line is drawn on the planned block,
//! cut at its outline, and its ends are carried to where the block came out; between them it is straight, as with a ruler.
//! Limits: what a line leaves in a corner is left out if it is too short to sew; the neighbour's line then has no partner there.

use kurbo::{BezPath, Line, ParamCurve, Point, Rect, Shape, Vec2};

use super::board::repeats;
use super::clip::clip;
use super::counts::Fit;
use crate::base::tolerance::TOUCH_MM;
use crate::block::Block;
use crate::block::lie::Lie;
use crate::block::region::{Region, Ring};

/// How far apart lines are.
pub struct Apart {
    /// From one group to the next, mm.
    pub spacing: f64,
    /// How steeply the first family climbs: up for each across.
    pub slope: f64,
    /// Lines in a group.
    pub lines: u32,
    /// From line to line of a group, mm.
    pub gap: f64,
}

/// Rules the families [a, b] of lines a·x + b·y = whole number, in columns and rows; returns how they come out.
pub fn rule(
    families: &[[f64; 2]],
    apart: &Apart,
    (block, lie): (&Block, &Lie),
    out: &mut Vec<BezPath>,
) -> Fit {
    let [a, b] = families.first().copied().unwrap_or([1.0, 1.0]);
    let column = apart.spacing * a.hypot(b / apart.slope);
    let (columns, rows) = (repeats(lie.module.0, column).0, repeats(lie.module.1, column * apart.slope).0);
    let cell = Vec2::new(lie.module.0 / f64::from(columns), lie.module.1 / f64::from(rows));
    let reach = lie.reach(block.outline.outer.points());
    for [a, b] in families {
        let normal = Vec2::new(a / cell.x, b / cell.y);
        for line in family(normal, apart, reach) {
            let line = Line::new(lie.planned(line.p0), lie.planned(line.p1));
            out.extend(cut(line, block, lie));
        }
    }
    Fit::of(cell.x / column, cell.y / (column * apart.slope))
}

/// The lines n·p = k of all groups that come near a box, on the ground, longer than it.
fn family(normal: Vec2, apart: &Apart, reach: Rect) -> Vec<Line> {
    let corners = [(reach.x0, reach.y0), (reach.x1, reach.y0), (reach.x1, reach.y1), (reach.x0, reach.y1)];
    let values = corners.map(|p| normal.dot(Point::from(p).to_vec2()));
    let half = f64::from(apart.lines - 1) / 2.0;
    let step = apart.gap * normal.hypot();
    let least = values.iter().copied().fold(f64::INFINITY, f64::min) - half * step;
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max) + half * step;
    let along = Vec2::new(-normal.y, normal.x) / normal.hypot();
    let more = along * (reach.width() + reach.height());
    let middle = reach.center();
    let mut lines = Vec::new();
    let mut k = least.ceil();
    while k <= most {
        for i in 0..apart.lines {
            let value = k + (f64::from(i) - half) * step;
            let foot = middle + normal * ((value - normal.dot(middle.to_vec2())) / normal.hypot2());
            lines.push(Line::new(foot - more, foot + more));
        }
        k += 1.0;
    }
    lines
}

/// What a straight line leaves in the block; lines along its edge lie in the ditch and are left out.
fn cut(line: Line, block: &Block, lie: &Lie) -> Vec<BezPath> {
    let line = [line.to_path(0.1)];
    let Some(ring) = lie.planned_corners().and_then(|corners| Ring::from_points(&corners)) else {
        return within(&line, &block.inside);
    };
    let planned = Region { outer: ring, holes: Vec::new() };
    let bent = within(&line, std::slice::from_ref(&planned)).into_iter().flat_map(|part| {
        let ends =
            part.segments().next().map(|first| first.start()).zip(part.segments().last().map(|l| l.end()));
        ends.map(|(p, q)| Line::new(lie.bent(p), lie.bent(q)).to_path(0.1))
    });
    let bent: Vec<BezPath> = bent.collect();
    if block.outline.holes.is_empty() && block.inside.len() == 1 && block.inside[0] == block.outline {
        return bent;
    }
    within(&bent, &block.inside)
}

/// The parts of lines inside, without those that only run along the edge.
pub fn within(lines: &[BezPath], regions: &[Region]) -> Vec<BezPath> {
    let mut kept = clip(lines, regions);
    let depth = |p: Point| regions.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max);
    kept.retain(|line| line.segments().any(|s| [0.3, 0.5, 0.7].iter().any(|t| depth(s.eval(*t)) > TOUCH_MM)));
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::shape::Shape as Outline;
    use kurbo::{Affine, ParamCurve};

    /// A block of 80 by 60 mm whose middle lies at x, y of the ground, which repeats every 90 by 70 mm.
    fn block(shape: &Outline, x: f64, y: f64) -> Block {
        let lie = Lie { to_block: Affine::translate((-x, -y)), module: (90.0, 70.0), bend: None };
        Block { lie: Some(lie), ..outline(shape, 0.0).unwrap() }
    }

    fn ruled(block: &Block, lines: u32) -> Vec<(Point, Point)> {
        let apart = Apart { spacing: 20.0, slope: 1.2, lines, gap: 3.0 };
        let mut drawn = Vec::new();
        rule(&[[1.0, 1.0], [1.0, -1.0]], &apart, (block, block.lie.as_ref().unwrap()), &mut drawn);
        let ends = |l: &BezPath| (l.segments().next().unwrap().start(), l.segments().last().unwrap().end());
        drawn.iter().map(ends).collect()
    }

    /// Heights at which lines end on the upright x.
    fn ends_at(lines: &[(Point, Point)], x: f64) -> Vec<f64> {
        let ends = lines.iter().flat_map(|(p, q)| [*p, *q]).filter(|p| (p.x - x).abs() < 1e-6);
        let mut ys: Vec<f64> = ends.map(|p| p.y).collect();
        ys.sort_by(f64::total_cmp);
        ys.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        ys
    }

    #[test]
    fn lines_meet_at_the_seam_whatever_the_sizes_of_the_pieces() {
        for lines in [1, 2] {
            let left = block(&Outline::Rectangle { width: 78.0, height: 60.0 }, 45.0, 35.0);
            let sash = block(&Outline::Rectangle { width: 12.0, height: 60.0 }, 90.0, 35.0);
            let (a, b) = (ends_at(&ruled(&left, lines), 39.0), ends_at(&ruled(&sash, lines), -6.0));
            // Of the outer pairs one line each is out of reach.
            assert_eq!(a.len(), [4, 6][lines as usize - 1], "{a:?}");
            assert_eq!(a.len(), b.len(), "{a:?} {b:?}");
            assert!(a.iter().zip(&b).all(|(p, q)| (p - q).abs() < 1e-9), "{a:?} {b:?}");
        }
    }

    #[test]
    fn an_odd_block_has_its_lines_at_the_same_shares_of_its_sides() {
        let usual = block(&Outline::Rectangle { width: 80.0, height: 60.0 }, 45.0, 35.0);
        let planned = [(-40.0, -30.0), (40.0, -30.0), (40.0, 30.0), (-40.0, 30.0)].map(Point::from);
        let came_out = [(-40.0, -31.0), (40.0, -31.0), (40.0, 29.0), (-40.0, 31.0)].map(Point::from);
        let shape = Outline::Corners { corners: came_out.to_vec() };
        let odd = outline(&shape, 0.0).unwrap();
        let lie = Lie { bend: Some([planned, came_out]), ..usual.lie.unwrap() };
        let odd = Block { lie: Some(lie), ..odd };
        let share = |ys: Vec<f64>, low: f64, high: f64| -> Vec<f64> {
            ys.iter().map(|y| (y - low) / (high - low)).collect()
        };
        let a = share(ends_at(&ruled(&usual, 1), 40.0), -30.0, 30.0);
        let b = share(ends_at(&ruled(&odd, 1), 40.0), -31.0, 29.0);
        assert!(a.len() > 3 && a.len() == b.len(), "{a:?} {b:?}");
        assert!(a.iter().zip(&b).all(|(p, q)| (p - q).abs() < 1e-9), "{a:?} {b:?}");
    }

    #[test]
    fn no_line_runs_along_the_seam() {
        let block = block(&Outline::Rectangle { width: 90.0, height: 70.0 }, 45.0, 35.0);
        let apart = Apart { spacing: 30.0, slope: 1.0, lines: 1, gap: 3.0 };
        let mut drawn = Vec::new();
        rule(&[[1.0, 0.0], [0.0, 1.0]], &apart, (&block, block.lie.as_ref().unwrap()), &mut drawn);
        // Three columns and two rows leave two uprights and one level line inside.
        assert_eq!(drawn.len(), 3);
    }
}
