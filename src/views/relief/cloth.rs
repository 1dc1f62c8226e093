//! Height and colour of the cloth → how it looks, lit from the upper left.
//!
//! Light is reckoned with as it adds up (linear), and only then written as a screen shows it. The slope is taken with
//! Scharr's weights (3, 10, 3), which also smooth it across one cell.

use std::sync::LazyLock;

/// Towards the light: from the upper left, a little more from above; x right, y up, z to the eye.
pub const LIGHT: [f32; 3] = [-0.48, 0.58, 0.66];
/// What reaches every slope alike.
const AMBIENT: f32 = 0.3;
/// Near the thread less of the sky is seen: 1 − 0.35 e^(−h), h in mm.
const VALLEY: f32 = 0.35;
/// Slopes are lit as if they were this much steeper: a picture has no second eye to see them with.
const STEEPER: f32 = 1.45;
/// Level cloth shows its colour times this, so that slopes to the light can be brighter.
const LEVEL: f32 = 0.86;
/// Above this the light is pressed together rather than cut off.
const KNEE: f32 = 0.78;
/// Even black cotton gives back this much of the light where it is level, and more where it faces the light: by it dark
/// cloth shows its puff.
const SHEEN: f32 = 0.016;
/// How much the threads of the cloth differ in tone.
const WEAVE: f32 = 0.045;
/// From thread to thread of the cloth, mm: 60 to the inch. From memory, no source.
const WEAVE_MM: f32 = 0.42;
/// How long a thread of the cloth keeps its tone, mm.
const SLUB_MM: f32 = 2.6;

/// Red, green and blue as light adds up, 0 to 1.
pub type Linear = [f32; 3];

static TO_LINEAR: LazyLock<Vec<f32>> = LazyLock::new(|| (0..=255_u8).map(linear).collect());
const FINE: usize = 4096;
static TO_SCREEN: LazyLock<Vec<u8>> = LazyLock::new(|| (0..=FINE).map(screen).collect());

fn linear(byte: u8) -> f32 {
    let c = f32::from(byte) / 255.0;
    if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
fn screen(step: usize) -> u8 {
    let c = step as f32 / FINE as f32;
    let c = if c <= 0.003_130_8 { c * 12.92 } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
    (c * 255.0).round() as u8
}

/// A colour as light adds up.
#[must_use]
pub fn to_linear(rgb: [u8; 3]) -> Linear {
    rgb.map(|byte| TO_LINEAR[usize::from(byte)])
}

/// Light as a screen shows it; what is too bright is pressed together.
#[must_use]
pub fn to_screen(light: Linear) -> [u8; 3] {
    light.map(|c| {
        let c = if c > KNEE { KNEE + (1.0 - KNEE) * (1.0 - (-(c - KNEE) / (1.0 - KNEE)).exp()) } else { c };
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        let step = (c.clamp(0.0, 1.0) * FINE as f32) as usize;
        TO_SCREEN[step]
    })
}

/// How bright a surface with this normal is, level cloth being 1.
#[must_use]
pub fn lit(normal: [f32; 3]) -> f32 {
    let [x, y, z] = normal;
    let long = (x * x + y * y + z * z).sqrt();
    let facing = (x * LIGHT[0] + y * LIGHT[1] + z * LIGHT[2]) / long;
    AMBIENT + (1.0 - AMBIENT) * (facing / LIGHT[2]).max(0.0)
}

/// The cloth's light where it is `height` mm above the stitched plane with a slope to the right and upwards.
#[must_use]
pub fn shade(colour: Linear, height: f32, slope: [f32; 2], weave: f32) -> Linear {
    let lit = lit([-slope[0] * STEEPER, -slope[1] * STEEPER, 1.0]);
    let open = 1.0 - VALLEY * (-height.max(0.0)).exp();
    let tone = LEVEL * lit * open * weave;
    let sheen = SHEEN * lit.powi(5) * open;
    // Half of it in the cloth's own colour, half white as the light is.
    let brightest = colour.into_iter().fold(1e-3, f32::max);
    colour.map(|c| c * tone + sheen * (0.5 + 0.5 * c / brightest))
}

/// The tones of the cloth's own threads along a row of `count` pixels from x, y in mm; `cell` is the size of a pixel, mm.
/// Weave fades away where a thread of the cloth is two pixels wide, and is gone at one.
#[must_use]
pub fn weave([x, y]: [f32; 2], cell: f32, count: usize) -> Vec<f32> {
    let mut tones = vec![1.0; count];
    let seen = WEAVE * (WEAVE_MM / cell - 1.0).clamp(0.0, 1.0);
    if seen > 0.0 {
        add_noise(&mut tones, [x / WEAVE_MM, y / SLUB_MM], cell / WEAVE_MM, (0x9e37_79b9, seen));
        add_noise(&mut tones, [x / SLUB_MM, y / WEAVE_MM], cell / SLUB_MM, (0x85eb_ca6b, seen));
    }
    tones
}

/// Adds smooth noise, at most half of `most`, to a row that begins at `from` and goes on in steps of `step`.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "no picture is 2e9 threads wide")]
fn add_noise(tones: &mut [f32], from: [f32; 2], step: f32, (seed, most): (u32, f32)) {
    let ease = |t: f32| t * t * (3.0 - 2.0 * t);
    let [left, low] = from.map(f32::floor);
    let up = ease(from[1] - low);
    // The noise at whole places along the row.
    let knots = (tones.len() as f32 * step) as usize + 3;
    let knots: Vec<f32> = (0..knots)
        .map(|i| {
            let at = |y: i32| hash(left as i32 + i as i32, low as i32 + y, seed);
            at(0) + (at(1) - at(0)) * up
        })
        .collect();
    for (i, tone) in tones.iter_mut().enumerate() {
        let along = from[0] - left + i as f32 * step;
        let knot = along as usize;
        let (a, b) = (knots[knot], knots[knot + 1]);
        *tone += most * (a + (b - a) * ease(along - knot as f32));
    }
}

/// A number from −0.5 to 0.5 that is always the same for the same place.
#[expect(clippy::cast_sign_loss, reason = "bits are mixed, not counted")]
fn hash(x: i32, y: i32, seed: u32) -> f32 {
    let mut h = (x as u32).wrapping_mul(0x27d4_eb2d) ^ (y as u32).wrapping_mul(0x1656_67b1) ^ seed;
    h = (h ^ (h >> 15)).wrapping_mul(0x2c1b_3c6d);
    h = (h ^ (h >> 12)).wrapping_mul(0x297a_2d39);
    h ^= h >> 15;
    (h >> 8) as f32 / 16_777_216.0 - 0.5
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_to_the_upper_left_are_brighter() {
        let grey = to_linear([150, 150, 150]);
        let tone = |slope| shade(grey, 2.0, slope, 1.0)[0];
        // Cloth that rises to the right faces left, and cloth that rises downwards faces up.
        assert!(tone([0.4, -0.4]) > 1.2 * tone([0.0, 0.0]));
        assert!(tone([-0.4, 0.4]) < 0.8 * tone([0.0, 0.0]));
    }

    #[test]
    fn a_colour_goes_to_light_and_back() {
        for rgb in [[0, 0, 0], [12, 100, 200]] {
            let back = to_screen(to_linear(rgb));
            assert!(rgb.iter().zip(back).all(|(a, b)| a.abs_diff(b) <= 1), "{rgb:?} {back:?}");
        }
        assert!(to_screen([1.4; 3])[0] > to_screen([1.0; 3])[0] && to_screen([9.0; 3])[0] == 255);
    }

    #[test]
    fn the_weave_is_faint_and_level_on_average() {
        let rows = (0..66).flat_map(|y| weave([-3.0, y as f32 * 0.73], 0.1, 60));
        let tones: Vec<f32> = rows.collect();
        let mean = tones.iter().sum::<f32>() / tones.len() as f32;
        assert!((mean - 1.0).abs() < 0.003, "{mean}");
        assert!(tones.iter().all(|t| (t - 1.0).abs() <= WEAVE), "{tones:?}");
        let spread = tones.iter().map(|t| (t - 1.0).powi(2)).sum::<f32>() / tones.len() as f32;
        assert!(spread.sqrt() > WEAVE / 8.0, "{spread}");
        assert_eq!(weave([0.0, 0.0], 0.5, 3), [1.0; 3]);
    }
}
