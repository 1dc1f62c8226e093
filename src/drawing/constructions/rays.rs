//! Rays: straight points round a hub, as on a compass or round the sun.
//!
//! All are drawn in the largest circle of the outline, so that they are the same whichever way the block lies. Points come in
//! levels: the first as many as asked for, the second midway between them, each further one midway between all before it.
//! A point is a triangle on the hub; those of earlier levels lie in front. A split point has a line down its middle and
//! another one down the middle of one half, which shows as its shaded side; the two meet at the tip, so that each leads back
//! from where the other went.

use kurbo::{BezPath, Line, ParamCurve, PathSeg, Point, Vec2};
use serde::Deserialize;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::clip::cut;
use super::part::Part;
use super::plume::hull;
use super::wedge::{Round, circle};
use crate::base::curve::path_through;
use crate::base::tolerance::CLEAR_MM;
use crate::base::units::{Units, show_length};
use crate::block::{Block, further_in};
use crate::drawing::settings::{Need, Settings};
use crate::drawing::{DrawError, Drawing};

/// The settings that rays read.
pub const NEEDS: &[Need] = &[("points", "count"), ("hub", "ratio")];

/// The narrowest base of a point, and of a quarter of one, mm.
const NARROWEST_MM: f64 = 3.0;
const LEAST_PART_MM: f64 = 1.6;
/// What is left of a line of a point that is hidden is left out if it is shorter than this, mm.
const BIT_MM: f64 = 1.5;

/// The numbers of a motif of rays.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// How far the points of each level reach, as shares of the circle.
    reach: Vec<f64>,
    /// Half the base of each level's points, in half turns from one point of the first level to the next.
    base: Vec<f64>,
    /// Whether points are split down their middle.
    #[serde(default)]
    split: bool,
    /// Circles round all, as shares of the circle.
    #[serde(default)]
    rings: Vec<f64>,
    /// The lines of a petal inside the hub, in its wedge; one for every point of the first level.
    #[serde(default)]
    petal: Vec<Part>,
    /// The ring on which petals begin, as a share of the hub.
    #[serde(default)]
    eye: f64,
}

/// A point: its tip, and the two ends of its base, right and left.
#[derive(Clone, Copy)]
struct Spike {
    tip: Point,
    base: [Point; 2],
    way: f64,
    half: f64,
}

/// Draws the rays in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if points would be too narrow to sew.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in block.inside.iter().flat_map(|region| further_in(region, CLEAR_MM)) {
        let (middle, radius) = hull::largest_circle(&region);
        let (first, hub) = (settings.whole("points").max(3), settings.number("hub") * radius);
        let half = PI / f64::from(first);
        let narrowest = numbers.base.iter().copied().fold(f64::INFINITY, f64::min) * half * hub * 2.0;
        if narrowest < NARROWEST_MM {
            let told = |mm: f64| show_length(mm, Units::Inches);
            let why = format!(
                "a point would be {} wide at its base and needs {}; ask for fewer points or a larger hub",
                told(narrowest),
                told(NARROWEST_MM)
            );
            return Err(DrawError::NoRoom { motif: "a ring of points".into(), why });
        }
        let levels = spikes(numbers, (middle, radius, hub), first);
        for (k, level) in levels.iter().enumerate() {
            let over: Vec<Spike> = levels[..k].concat();
            for spike in level {
                drawing.lines.extend(shown(&spike.lines(numbers.split, middle, hub), &over));
            }
        }
        drawing.lines.push(circle(middle, hub));
        drawing.lines.extend(numbers.rings.iter().map(|share| circle(middle, share * radius)));
        if !numbers.petal.is_empty() {
            let eye = numbers.eye * hub;
            let round = Round { middle, radii: [eye, hub], begin: FRAC_PI_2, count: first };
            drawing.lines.extend(round.lines(&numbers.petal));
            drawing.lines.push(circle(middle, eye));
        }
    }
    Ok(drawing)
}

/// All points, level by level.
fn spikes(numbers: &Numbers, (middle, radius, hub): (Point, f64, f64), first: u32) -> Vec<Vec<Spike>> {
    let half = PI / f64::from(first);
    let mut levels = Vec::new();
    for (k, (reach, base)) in numbers.reach.iter().zip(&numbers.base).enumerate() {
        let all = first << k.min(8);
        let places = (0..all).filter(|i| k == 0 || i % 2 == 1);
        let spike = |i: u32| {
            let way = FRAC_PI_2 + TAU * f64::from(i) / f64::from(all);
            let at = |angle: f64, r: f64| middle + Vec2::from_angle(angle) * r;
            let half = base * half;
            Spike {
                tip: at(way, reach * radius),
                base: [at(way - half, hub), at(way + half, hub)],
                way,
                half,
            }
        };
        levels.push(places.map(spike).collect());
    }
    levels
}

impl Spike {
    /// Its sides, and what splits it.
    fn lines(&self, split: bool, middle: Point, hub: f64) -> Vec<BezPath> {
        let to = |p: Point| path_through(&[self.tip, p], false);
        let mut lines = vec![to(self.base[0]), to(self.base[1])];
        if split {
            let at = |share: f64| middle + Vec2::from_angle(self.way + share * self.half) * hub;
            lines.push(to(at(0.0)));
            if self.half / 2.0 * hub > LEAST_PART_MM {
                lines.push(to(at(0.5)));
            }
        }
        lines
    }

    fn covers(&self, p: Point) -> bool {
        let [a, b] = self.base;
        let left = |from: Point, to: Point| (to - from).cross(p - from) > 0.0;
        left(a, self.tip) == left(self.tip, b) && left(self.tip, b) == left(b, a)
    }

    fn sides(&self) -> [PathSeg; 2] {
        self.base.map(|end| PathSeg::Line(Line::new(self.tip, end)))
    }
}

/// What shows of lines behind some points, from their tips on.
fn shown(lines: &[BezPath], over: &[Spike]) -> Vec<BezPath> {
    if over.is_empty() {
        return lines.to_vec();
    }
    let keep = |p: Point| !over.iter().any(|spike| spike.covers(p));
    let from_tip = |line: &BezPath| {
        let tip = line.segments().next()?.start();
        let parts = cut(std::slice::from_ref(line), over.iter().flat_map(Spike::sides), &keep, BIT_MM);
        parts.into_iter().find(|part| part.segments().next().is_some_and(|s| s.start() == tip))
    };
    lines.iter().filter_map(from_tip).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_point_behind_another_shows_from_its_tip_to_where_it_is_hidden() {
        let spike = |way: f64, reach: f64| {
            let at = |angle: f64, r: f64| Point::ZERO + Vec2::from_angle(angle) * r;
            Spike { tip: at(way, reach), base: [at(way - 0.7, 20.0), at(way + 0.7, 20.0)], way, half: 0.7 }
        };
        let (front, behind) = (spike(0.0, 90.0), spike(0.75, 70.0));
        let lines = shown(&behind.lines(true, Point::ZERO, 20.0), &[front]);
        // Only its right side runs into the other point.
        assert_eq!(lines.len(), 4);
        let length = |line: &BezPath| crate::base::curve::path_length(line);
        assert!(length(&lines[0]) < behind.tip.distance(behind.base[0]) - 5.0);
        assert!((length(&lines[1]) - behind.tip.distance(behind.base[1])).abs() < 1e-6);
        assert!(lines.iter().flat_map(BezPath::segments).all(|s| !front.covers(s.eval(0.5))));
    }

    #[test]
    fn levels_lie_midway_between_those_before() {
        let numbers = Numbers {
            reach: vec![1.0, 0.8, 0.6],
            base: vec![1.0, 1.0, 0.6],
            split: true,
            rings: Vec::new(),
            petal: Vec::new(),
            eye: 0.0,
        };
        let levels = spikes(&numbers, (Point::ZERO, 100.0, 20.0), 4);
        assert_eq!(levels.iter().map(Vec::len).collect::<Vec<_>>(), [4, 4, 8]);
        assert!(levels[1][0].tip.distance(Point::ZERO + Vec2::new(-1.0, 1.0) * (80.0 / 2f64.sqrt())) < 1e-9);
    }
}
