//! A silhouette → heads that touch it from inside, evenly apart, round by round.
//!
//! The centres lie on the silhouette moved inwards by the radius wanted at each place. Along that line lengths are measured
//! in radii, and heads stand a whole number of equal steps apart; radii are then scaled until neighbours overlap as asked.

use kurbo::{Point, Vec2};

use super::guide::Guide;
use crate::base::angle::left_of;

/// A plume's head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    /// The centre of its circle.
    pub centre: Point,
    /// Its radius, mm.
    pub radius: f64,
    /// The way from its centre to the silhouette that it touches.
    pub out: Vec2,
}

/// How far apart places on a silhouette are measured, mm.
const STEP_MM: f64 = 1.0;

/// A stretch of silhouette on which heads stand.
#[derive(Clone, Copy)]
pub struct Stretch<'a> {
    /// The silhouette.
    pub touch: &'a Guide,
    /// 1 if the heads are on its left, −1 on its right.
    pub inward: f64,
    /// From where to where, mm along it; to the same place again on a closed one.
    pub from: f64,
    /// See `from`.
    pub to: f64,
}

impl Stretch<'_> {
    /// The head of this radius that touches the silhouette `s` mm along.
    pub fn head(&self, s: f64, radius: f64) -> Head {
        let (p, way): (Point, Vec2) = self.touch.at(s);
        let into = left_of(way) * self.inward;
        Head { centre: p + into * radius, radius, out: -into }
    }

    /// How many steps there are from one end to the other with heads of these radii, `closeness` apart.
    pub fn steps(&self, radius: &dyn Fn(f64) -> f64, closeness: f64) -> f64 {
        self.measure(radius).last().map_or(0.0, |m| m.1) / closeness
    }

    /// `count` + 1 heads, and how far apart neighbours stand, in sums of their radii.
    pub fn even(&self, radius: &dyn Fn(f64) -> f64, count: usize) -> (Vec<Head>, f64) {
        let table = self.measure(radius);
        let whole = table.last().map_or(0.0, |m| m.1);
        let mut steps = vec![whole / count as f64; count];
        let place = |steps: &[f64]| {
            let mut at = 0.0;
            let mut heads = vec![self.head(self.from, radius(self.from))];
            for step in steps {
                at += step;
                let s = find(&table, at);
                heads.push(self.head(s, radius(s)));
            }
            heads
        };
        let mut heads = place(&steps);
        // On bends chords are shorter than the way along: even those out.
        for _ in 0..5 {
            let apart: Vec<f64> = heads.windows(2).map(gap).collect();
            steps.iter_mut().zip(&apart).for_each(|(step, gap)| *step /= gap.max(1e-9));
            let total: f64 = steps.iter().sum();
            steps.iter_mut().for_each(|step| *step *= whole / total);
            heads = place(&steps);
        }
        let mean = heads.windows(2).map(gap).sum::<f64>() / count as f64;
        (heads, mean)
    }

    /// Places along the stretch with the way to them along the centres, in sums of radii.
    fn measure(&self, radius: &dyn Fn(f64) -> f64) -> Vec<(f64, f64)> {
        let pieces = ((self.to - self.from).abs() / STEP_MM).ceil().max(2.0) as usize;
        let mut table = Vec::with_capacity(pieces + 1);
        let (mut before, mut gone): (Option<Head>, f64) = (None, 0.0);
        for i in 0..=pieces {
            let s = self.from + (self.to - self.from) * i as f64 / pieces as f64;
            let head = self.head(s, radius(s));
            gone += before.map_or(0.0, |b| gap(&[b, head]));
            table.push((s, gone));
            before = Some(head);
        }
        table
    }
}

/// How far apart two heads stand, in sums of their radii.
pub fn gap(pair: &[Head]) -> f64 {
    pair[0].centre.distance(pair[1].centre) / (pair[0].radius + pair[1].radius)
}

fn find(table: &[(f64, f64)], at: f64) -> f64 {
    let i = table.partition_point(|m| m.1 < at).clamp(1, table.len() - 1);
    let (a, b) = (table[i - 1], table[i]);
    let t = if b.1 > a.1 { ((at - a.1) / (b.1 - a.1)).clamp(0.0, 1.0) } else { 0.0 };
    a.0 + (b.0 - a.0) * t
}
