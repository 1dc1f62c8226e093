//! A [`Scene`] → pixels: the block or the quilt as quilted cloth, lit from the upper left.
//!
//! Batting pushes the cloth up, stitches and seams hold it down ([`height`]); the cloth is shaded by its slope
//! ([`cloth`]), and every stitch lies on it as a rounded strand with a pit at each hole ([`thread`]). One drawing for a
//! block, a piece and a whole quilt; [`scenes`] makes them. Not shown: how wool, cotton and polyester crease, and prints.
//!
//! The picture is drawn in bands of rows, in parallel; the result does not depend on the threads.

pub mod cloth;
pub mod height;
pub mod scenes;
pub mod thread;
pub mod yarn;

use kurbo::{Affine, BezPath, PathEl, Point, Rect};
use rayon::iter::{IndexedParallelIterator, ParallelIterator};
use rayon::slice::ParallelSliceMut;
use resvg::tiny_skia::{Color, FillRule, Paint, PathBuilder, Pixmap, Transform};

use crate::base::colour::Colour;
use crate::views::pixels::Pixels;
use crate::views::png::PngError;
use cloth::{Linear, shade, to_linear, to_screen, weave};
use height::Pins;
use thread::{Band, Drawn};
use yarn::Strand;

/// How far a stitch's pull reaches, mm: λ of the height's equation. From memory, no source.
pub const REACH_MM: f64 = 5.0;
/// The most pixels of a relief: about 900 MB while it is drawn.
pub const MOST_PIXELS: f64 = 24e6;
/// Rows of a band.
const BAND: usize = 48;
/// Curved seams are followed within this much, pixels.
const SEAM_PX: f64 = 0.2;
/// How wide the shade in a seam is, mm, and how dark.
const SEAM_MM: f32 = 0.3;
const SEAM_DARK: f32 = 0.45;

/// What is to be seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// What the picture shows, mm, y up.
    pub shown: Rect,
    /// Colour of the cloth outside all patches.
    pub ground: Colour,
    /// The patches, the lowest first.
    pub patches: Vec<Patch>,
    /// The stitches that show, in sewing order.
    pub strands: Vec<Strand>,
    /// How high the batting lifts cloth that nothing holds, mm above the stitched plane.
    pub loft_mm: f64,
}

/// A piece of cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its edge; a ring inside is a hole.
    pub edge: BezPath,
    /// Its colour.
    pub colour: Colour,
    /// True if its edge is a seam, which holds the cloth down.
    pub seam: bool,
}

/// Draws a scene `width_px` wide.
///
/// # Errors
/// [`PngError::Width`] for no pixels, [`PngError::Relief`] for more than [`MOST_PIXELS`].
pub fn draw(scene: &Scene, width_px: u32) -> Result<Pixels, PngError> {
    let scale = f64::from(width_px) / scene.shown.width();
    let height = (scene.shown.height() * scale).round().max(1.0);
    if width_px == 0 || !height.is_finite() {
        return Err(PngError::Width { width_px });
    }
    if f64::from(width_px) * height > MOST_PIXELS {
        return Err(PngError::Relief { width_px, most_px: widest(scene.shown) });
    }
    let drawing = Drawing::new(scene, scale, [width_px as usize, whole(height) as usize]);
    let colours = drawing.colours(scene)?;
    let heights = drawing.heights(scene);
    let bands = drawing.bands(scene);
    let [width, rows] = drawing.size;
    let mut rgb = vec![0_u8; width * rows * 3];
    rgb.par_chunks_mut(width * BAND * 3).enumerate().for_each(|(i, out)| {
        drawing.band(i * BAND, &colours, &heights, &bands[i], out);
    });
    Ok(Pixels { width: width_px, height: whole(height), rgb })
}

/// The widest relief that can be made of what is shown, pixels.
#[must_use]
pub fn widest(shown: Rect) -> u32 {
    whole((MOST_PIXELS * shown.width() / shown.height()).sqrt().floor())
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
fn whole(n: f64) -> u32 {
    n as u32
}

/// Where everything lies in pixels.
struct Drawing {
    to_pixels: Affine,
    per_mm: f32,
    cell_mm: f32,
    size: [usize; 2],
    origin: [f32; 2],
}

/// Height of every cell, with seams.
struct Heights {
    mm: Vec<f32>,
}

impl Drawing {
    fn new(scene: &Scene, scale: f64, size: [usize; 2]) -> Self {
        let shown = scene.shown;
        let to_pixels = Affine::new([scale, 0.0, 0.0, -scale, -shown.x0 * scale, shown.y1 * scale]);
        #[expect(clippy::cast_possible_truncation, reason = "seven digits are enough for a picture")]
        let single = |n: f64| n as f32;
        Drawing {
            to_pixels,
            per_mm: single(scale),
            cell_mm: single(1.0 / scale),
            size,
            origin: [single(shown.x0), single(shown.y1)],
        }
    }

    fn pixel(&self, p: Point) -> (f64, f64) {
        let at = self.to_pixels * p;
        (at.x, at.y)
    }

    /// The cloth's colour in every pixel.
    fn colours(&self, scene: &Scene) -> Result<Pixmap, PngError> {
        let [width, rows] = self.size.map(|n| u32::try_from(n).unwrap_or(u32::MAX));
        let too_large = PngError::Width { width_px: width };
        let mut pixmap = Pixmap::new(width, rows).ok_or(too_large)?;
        let [r, g, b] = scene.ground.rgb;
        pixmap.fill(Color::from_rgba8(r, g, b, 255));
        for patch in &scene.patches {
            let [r, g, b] = patch.colour.rgb;
            let mut paint = Paint::default();
            paint.set_color_rgba8(r, g, b, 255);
            if let Some(path) = skia(&(self.to_pixels * patch.edge.clone())) {
                pixmap.fill_path(&path, &paint, FillRule::EvenOdd, Transform::identity(), None);
            }
        }
        Ok(pixmap)
    }

    fn heights(&self, scene: &Scene) -> Heights {
        let [width, rows] = self.size;
        let mut pins = Pins::new(width, rows);
        for strand in &scene.strands {
            pins.line(self.pixel(strand.from), self.pixel(strand.to));
        }
        for (from, to) in self.seams(scene) {
            pins.line(from, to);
        }
        #[expect(clippy::cast_possible_truncation, reason = "a few millimetres")]
        let (loft, reach) = (scene.loft_mm as f32, (REACH_MM as f32) * self.per_mm);
        Heights { mm: height::solve(&pins, loft, reach.max(1.0)) }
    }

    /// The seams as straight lines, pixels.
    fn seams(&self, scene: &Scene) -> Vec<((f64, f64), (f64, f64))> {
        let mut lines = Vec::new();
        let (mut start, mut at) = ((0.0, 0.0), (0.0, 0.0));
        for patch in scene.patches.iter().filter(|p| p.seam) {
            kurbo::flatten(self.to_pixels * patch.edge.clone(), SEAM_PX, |element| match element {
                PathEl::MoveTo(p) => (start, at) = ((p.x, p.y), (p.x, p.y)),
                PathEl::LineTo(p) => {
                    lines.push((at, (p.x, p.y)));
                    at = (p.x, p.y);
                }
                _ => lines.push((at, start)),
            });
        }
        lines
    }

    /// For each band the strands and seams that touch it, in order.
    fn bands(&self, scene: &Scene) -> Vec<Content> {
        let count = self.size[1].div_ceil(BAND);
        let mut bands = vec![Content::default(); count];
        let touched = |low: f32, high: f32| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
            let band = |y: f32| (y.max(0.0) as usize) / BAND;
            band(low)..(band(high) + 1).min(count)
        };
        for strand in &scene.strands {
            let drawn = Drawn::new(strand, |p| self.pixel(p));
            let (low, high) = drawn.rows(self.per_mm);
            if high >= 0.0 {
                touched(low, high).for_each(|i| bands[i].strands.push(drawn));
            }
        }
        for (from, to) in self.seams(scene) {
            #[expect(clippy::cast_possible_truncation, reason = "a fraction of a pixel")]
            let seam = [from.0 as f32, from.1 as f32, to.0 as f32, to.1 as f32];
            let reach = SEAM_MM * self.per_mm + 1.0;
            if seam[1].max(seam[3]) + reach >= 0.0 {
                let rows = touched(seam[1].min(seam[3]) - reach, seam[1].max(seam[3]) + reach);
                rows.for_each(|i| bands[i].seams.push(seam));
            }
        }
        bands
    }

    /// The pixels of one band, from row `top` on.
    fn band(&self, top: usize, colours: &Pixmap, heights: &Heights, content: &Content, out: &mut [u8]) {
        let width = self.size[0];
        let mut light: Vec<Linear> = Vec::with_capacity(out.len() / 3);
        for y in top..top + out.len() / 3 / width {
            self.cloth(y, colours, heights, &mut light);
        }
        let mut band = Band { top, width, light: &mut light, per_mm: self.per_mm };
        for seam in &content.seams {
            band.seam(*seam, SEAM_MM, SEAM_DARK);
        }
        band.lay(&content.strands);
        for (pixel, light) in out.chunks_exact_mut(3).zip(&light) {
            pixel.copy_from_slice(&to_screen(*light));
        }
    }

    /// The light of the cloth along one row of pixels.
    fn cloth(&self, y: usize, colours: &Pixmap, heights: &Heights, light: &mut Vec<Linear>) {
        let [width, rows] = self.size;
        let row = |y: usize| &heights.mm[y * width..(y + 1) * width];
        let (above, own, below) = (row(y.saturating_sub(1)), row(y), row((y + 1).min(rows - 1)));
        let weave = weave([self.origin[0], self.origin[1] - y as f32 * self.cell_mm], self.cell_mm, width);
        let per = 32.0 * self.cell_mm;
        let colours = &colours.pixels()[y * width..(y + 1) * width];
        for (x, (colour, weave)) in colours.iter().zip(weave).enumerate() {
            let (l, r) = (x.saturating_sub(1), (x + 1).min(width - 1));
            let across = 3.0 * (above[r] - above[l] + below[r] - below[l]) + 10.0 * (own[r] - own[l]);
            let up = 3.0 * (above[l] - below[l] + above[r] - below[r]) + 10.0 * (above[x] - below[x]);
            let colour = to_linear([colour.red(), colour.green(), colour.blue()]);
            light.push(shade(colour, own[x], [across / per, up / per], weave));
        }
    }
}

/// What touches a band.
#[derive(Clone, Default)]
struct Content {
    strands: Vec<Drawn>,
    seams: Vec<[f32; 4]>,
}

fn skia(path: &BezPath) -> Option<resvg::tiny_skia::Path> {
    let mut builder = PathBuilder::new();
    #[expect(clippy::cast_possible_truncation, reason = "a fraction of a pixel")]
    let xy = |p: Point| (p.x as f32, p.y as f32);
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => builder.move_to(xy(p).0, xy(p).1),
            PathEl::LineTo(p) => builder.line_to(xy(p).0, xy(p).1),
            PathEl::QuadTo(p, q) => builder.quad_to(xy(p).0, xy(p).1, xy(q).0, xy(q).1),
            PathEl::CurveTo(p, q, r) => {
                builder.cubic_to(xy(p).0, xy(p).1, xy(q).0, xy(q).1, xy(r).0, xy(r).1)
            }
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}
