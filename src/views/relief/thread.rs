//! Strands → light on a band of pixels: shadow, pit at every hole, and the rounded strand with its own highlight.

use super::cloth::{LIGHT, Linear, lit, to_linear};
use super::yarn::Strand;

/// How wide a triple stitch lies, mm.
const WIDE_MM: f32 = 0.72;
/// Thread is drawn at least this wide, pixels, so that it can be seen on a whole quilt.
const LEAST_PX: f32 = 1.6;
/// The strand dives into the cloth this far before the hole, mm.
const DIVE_MM: f32 = 0.1;
/// Half the width of the pit at a hole, mm.
const PIT_MM: f32 = 0.38;
const PIT_DARK: f32 = 0.55;
/// How far the shadow falls, mm.
const SHADOW_MM: f32 = 0.3;
const SHADOW_DARK: f32 = 0.42;
/// One turn of the thread's plies, mm of its length.
const PLY_MM: f32 = 0.85;
const PLY_TONE: f32 = 0.1;
/// Holes and rounded ends begin to show from this many pixels a millimetre on, and show in full at the second figure:
/// on a smaller picture they would be single dark pixels along every line.
const HOLES_FROM: (f32, f32) = (1.8, 4.0);
/// Plies are drawn from this half width on, pixels.
const PLY_FROM_PX: f32 = 2.0;

/// A strand in pixels, y down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn {
    from: [f32; 2],
    to: [f32; 2],
    colour: Linear,
}

impl Drawn {
    /// A strand between two places in pixels.
    #[must_use]
    pub fn new(strand: &Strand, pixel: impl Fn(kurbo::Point) -> (f64, f64)) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "a fraction of a pixel")]
        let place = |p| {
            let (x, y) = pixel(p);
            [x as f32, y as f32]
        };
        Drawn { from: place(strand.from), to: place(strand.to), colour: to_linear(strand.colour.rgb) }
    }

    /// The rows that it and its shadow touch.
    #[must_use]
    pub fn rows(&self, per_mm: f32) -> (f32, f32) {
        let reach = reach(per_mm);
        (self.from[1].min(self.to[1]) - reach, self.from[1].max(self.to[1]) + reach)
    }
}

fn reach(per_mm: f32) -> f32 {
    (WIDE_MM + SHADOW_MM + PIT_MM) * per_mm + 2.0
}

/// A band of pixel rows, from `top` on.
pub struct Band<'a> {
    /// Number of the first row.
    pub top: usize,
    /// Pixels across.
    pub width: usize,
    /// Light of every pixel.
    pub light: &'a mut [Linear],
    /// Pixels to a millimetre.
    pub per_mm: f32,
}

impl Band<'_> {
    /// Lays the strands on the cloth: first all shadows and pits, then the thread in the order it is sewn.
    pub fn lay(&mut self, strands: &[Drawn]) {
        for strand in strands {
            self.shadow(strand);
        }
        for strand in strands {
            self.thread(strand);
        }
    }

    /// Darkens the fold along a seam from x, y to x, y.
    pub fn seam(&mut self, [x0, y0, x1, y1]: [f32; 4], wide_mm: f32, dark: f32) {
        let reach = (wide_mm * self.per_mm).max(0.8);
        let line = Drawn { from: [x0, y0], to: [x1, y1], colour: [0.0; 3] };
        let dark = dark * (self.per_mm * 0.5).clamp(0.25, 1.0);
        self.each(&line, reach, |light, along, beside, long| {
            if (0.0..=long).contains(&along) {
                let part = 1.0 - dark * (1.0 - beside.abs() / reach);
                *light = light.map(|c| c * part);
            }
        });
    }

    /// How much of holes and rounded ends shows, 0 to 1.
    fn fine(&self) -> f32 {
        ((self.per_mm - HOLES_FROM.0) / (HOLES_FROM.1 - HOLES_FROM.0)).clamp(0.0, 1.0)
    }

    fn half_px(&self) -> f32 {
        (WIDE_MM * self.per_mm).max(LEAST_PX) / 2.0
    }

    /// Calls `paint` for every pixel within `reach` of a strand with its place along and beside it, pixels.
    fn each(&mut self, strand: &Drawn, reach: f32, mut paint: impl FnMut(&mut Linear, f32, f32, f32)) {
        let [dx, dy] = [strand.to[0] - strand.from[0], strand.to[1] - strand.from[1]];
        let long = (dx * dx + dy * dy).sqrt().max(1e-6);
        let (ux, uy) = (dx / long, dy / long);
        let rows = self.light.len() / self.width;
        let range = |a: f32, b: f32, first: usize, count: usize| {
            let low = (a.min(b) - reach - first as f32).floor().clamp(0.0, count as f32);
            let high = (a.max(b) + reach + 1.0 - first as f32).ceil().clamp(0.0, count as f32);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            let range = low as usize..high as usize;
            range
        };
        for row in range(strand.from[1], strand.to[1], self.top, rows) {
            let y = (self.top + row) as f32 + 0.5 - strand.from[1];
            for column in range(strand.from[0], strand.to[0], 0, self.width) {
                let x = column as f32 + 0.5 - strand.from[0];
                let (along, beside) = (x * ux + y * uy, y * ux - x * uy);
                if (-reach..=long + reach).contains(&along) && beside.abs() <= reach {
                    paint(&mut self.light[row * self.width + column], along, beside, long);
                }
            }
        }
    }

    /// The dark of the shadow at the lower right, and of the pits at both holes.
    fn shadow(&mut self, strand: &Drawn) {
        let (per_mm, half) = (self.per_mm, self.half_px());
        let fall = SHADOW_MM * per_mm;
        let mut moved = *strand;
        for p in [&mut moved.from, &mut moved.to] {
            p[0] += fall * 0.6;
            p[1] += fall * 0.8;
        }
        let soft = (fall * 1.2).max(0.7);
        self.each(&moved, half + soft, |light, along, beside, long| {
            let past = (-along).max(along - long).max(0.0);
            let away = (past * past + beside * beside).sqrt();
            let dark = SHADOW_DARK * (1.0 - (away - half * 0.6) / soft).clamp(0.0, 1.0);
            *light = light.map(|c| c * (1.0 - dark));
        });
        let fine = self.fine();
        if fine == 0.0 {
            return;
        }
        let pit = (PIT_MM * per_mm).max(0.8);
        self.each(strand, pit, |light, along, beside, long| {
            let end = along.abs().min((along - long).abs());
            let away = (end * end + beside * beside).sqrt() / pit;
            let dark = PIT_DARK * (1.0 - away * away).max(0.0) * fine;
            *light = light.map(|c| c * (1.0 - dark));
        });
    }

    /// The strand itself: widest in its middle, diving into the holes.
    fn thread(&mut self, strand: &Drawn) {
        let (per_mm, half, fine) = (self.per_mm, self.half_px(), self.fine());
        let dive = DIVE_MM * per_mm * fine;
        let direction = [strand.to[0] - strand.from[0], strand.to[1] - strand.from[1]];
        let colour = strand.colour;
        self.each(strand, half + 1.0, |light, along, beside, long| {
            let middle = long / 2.0;
            let reach = (middle - dive).max(middle * 0.6);
            let part = ((along - middle) / reach).abs();
            let wide = half * (1.0 - fine * part.powi(6)).max(0.0).sqrt();
            let ends = (reach + 0.5 - (along - middle).abs()).clamp(0.0, 1.0);
            let cover = (wide + 0.5 - beside.abs()).clamp(0.0, 1.0).min(2.0 * wide) * ends;
            if cover <= 0.0 {
                return;
            }
            let across = (beside / wide.max(0.5)).clamp(-1.0, 1.0);
            let bend = ((along - middle) / reach).clamp(-1.0, 1.0).powi(3) * 0.75 * fine;
            let [ux, uy] = direction.map(|d| d / long);
            let side = across * 0.85;
            // Pixels run downwards, normals have y up.
            let normal = [
                ux * bend - uy * side,
                -(uy * bend + ux * side),
                (1.0 - 0.72 * across * across).max(0.05).sqrt(),
            ];
            let ply = if half >= PLY_FROM_PX {
                let turn = along / (PLY_MM * per_mm) + across * 0.35;
                1.0 + PLY_TONE * (turn * std::f32::consts::TAU).sin()
            } else {
                1.0
            };
            let tone = 0.96 * lit(normal) * ply;
            let gleam = gleam(normal);
            for (c, thread) in light.iter_mut().zip(colour) {
                let thread = thread * tone + gleam * (0.35 * thread + 0.04);
                *c += (thread - *c) * cover;
            }
        });
    }
}

/// The highlight of a polished thread, half way between the light and the eye.
fn gleam(normal: [f32; 3]) -> f32 {
    let half = [LIGHT[0], LIGHT[1], LIGHT[2] + 1.0];
    let dot = normal.iter().zip(half).map(|(a, b)| a * b).sum::<f32>();
    let size = |v: [f32; 3]| v.iter().map(|a| a * a).sum::<f32>().sqrt();
    (dot / (size(normal) * size(half))).max(0.0).powi(20) * 0.6
}
