//! The colours, pens and letter sizes that all sheets share, so that they look like one family.

use crate::base::colour::Colour;
use crate::views::sheet::{Ink, Pen, Weight};

/// What is read first, and the lines of a design on paper.
pub const INK: Ink = Ink::new(0x25_2a_31);
/// Labels and second thoughts; still dark enough to read (contrast 5.5 : 1 on white).
pub const QUIET: Ink = Ink::new(0x66_6c_73);
/// Hairlines between parts of a sheet.
pub const HAIR: Ink = Ink::new(0xcf_c9_be);
/// The page of a picture that is looked at on a screen.
pub const PAGE: Ink = Ink::new(0xfd_fc_fa);
/// Cotton, unbleached.
pub const FABRIC: Ink = Ink::new(0xf3_ed_e1);
/// The edge of a block, where its seam is.
pub const SEAM: Ink = Ink::new(0xcd_c0_aa);
/// Hairlines between the patches of a quilt and under its lines.
pub const SHADE: Ink = Ink::new(0x9a_80_5c);
/// Thread a shade darker than the cotton.
pub const THREAD: Ink = Ink::new(0x86_74_58);
/// The first needle point. Blue and orange can be told apart by everyone; the shapes differ as well.
pub const START: Ink = Ink::new(0x0b_5c_8a);
/// The last needle point, and what needs care.
pub const END: Ink = Ink::new(0xb8_50_1a);
/// The cross at the design's centre.
pub const CROSS: Ink = Ink::new(0x0b_5c_8a);
/// White, for clear ground under words.
pub const CLEAR: Ink = Ink::new(0xff_ff_ff);

/// The width of a line sewn three times with one thread, as it shows on the quilt, mm.
pub const THREAD_MM: f64 = 0.5;

/// How words look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style {
    /// Size of the letters, mm.
    pub size: f64,
    /// How heavy they are.
    pub weight: Weight,
    /// Their colour.
    pub ink: Ink,
    /// From baseline to baseline, as a part of the size.
    pub leading: f64,
}

impl Style {
    /// The same, larger or smaller.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { size: self.size * factor, ..self }
    }
}

/// The name of a sheet.
pub const TITLE: Style = Style { size: 6.4, weight: Weight::Light, ink: INK, leading: 1.2 };
/// The line under it.
pub const SUBTITLE: Style = Style { size: 3.4, weight: Weight::Regular, ink: QUIET, leading: 1.35 };
/// The name of a part.
pub const HEADING: Style = Style { size: 2.9, weight: Weight::Bold, ink: INK, leading: 1.4 };
/// Running words.
pub const BODY: Style = Style { size: 2.75, weight: Weight::Regular, ink: INK, leading: 1.38 };
/// A figure.
pub const VALUE: Style = Style { size: 3.5, weight: Weight::Regular, ink: INK, leading: 1.25 };
/// What a figure is.
pub const LABEL: Style = Style { size: 2.5, weight: Weight::Regular, ink: QUIET, leading: 1.35 };

/// A hairline.
#[must_use]
pub fn hairline() -> Pen {
    Pen::flat(0.18, HAIR)
}

/// The colours of cloth and thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cotton {
    /// The cloth.
    pub cloth: Ink,
    /// The thread.
    pub thread: Ink,
}

impl Default for Cotton {
    fn default() -> Self {
        Self { cloth: FABRIC, thread: THREAD }
    }
}

/// The pens that draw the valley that a line of quilting makes, lit from the upper left: its upper left side falls
/// away from the light, its lower right side faces it. `times` as wide as life.
#[must_use]
pub fn valley(cotton: Cotton, times: f64) -> Vec<Pen> {
    // On dark cloth as much white would be a glow.
    let (deep, white) = match (Colour { rgb: cotton.cloth.rgb }).is_dark() {
        true => (Ink::new(0), 0.22),
        false => (SHADE_DEEP, 0.8),
    };
    let shade = mixed(cotton.cloth, deep, 0.72);
    let light = mixed(cotton.cloth, CLEAR, white);
    let side =
        |width: f64, ink: Ink, away: f64| Pen::new(width * times, ink).shifted(-away * times, away * times);
    if times > MUCH_REDUCED {
        return vec![side(2.0, shade.thin(0.2), 0.6), side(2.2, light.thin(0.35), -0.8)];
    }
    vec![
        side(4.7, shade.thin(0.022), 1.25),
        side(3.9, shade.thin(0.026), 1.08),
        side(3.1, shade.thin(0.032), 0.92),
        side(2.4, shade.thin(0.04), 0.76),
        side(1.8, shade.thin(0.05), 0.6),
        side(1.25, shade.thin(0.065), 0.44),
        side(0.8, shade.thin(0.09), 0.3),
        side(3.5, light.thin(0.08), -1.1),
        side(2.7, light.thin(0.1), -0.94),
        side(2.0, light.thin(0.13), -0.78),
        side(1.3, light.thin(0.17), -0.6),
        side(0.5, shade.thin(0.5), -0.14),
    ]
}

/// The pens that draw a strand of thread with the light on it, `times` as wide as life.
#[must_use]
pub fn strand(cotton: Cotton, times: f64) -> Vec<Pen> {
    let gleam = mixed(cotton.thread, CLEAR, 0.6);
    vec![
        Pen::new(THREAD_MM * times, cotton.thread),
        Pen::new(0.17 * times, gleam.thin(0.7)).shifted(-0.07 * times, 0.08 * times),
    ]
}

/// Of a picture whose thread is drawn more than this many times as wide as life neither the valley's soft edge nor single
/// stitches can be seen: the valley is drawn with two pens, the thread as one line.
pub const MUCH_REDUCED: f64 = 1.5;

/// A strand ends this far before its hole, mm.
pub const STRAND_SHORT_MM: f64 = 0.3;

/// What shade makes of any colour.
const SHADE_DEEP: Ink = Ink::new(0x3a_2c_1c);

fn mixed(ink: Ink, other: Ink, part: f64) -> Ink {
    let mixed = Colour { rgb: ink.rgb }.towards(Colour { rgb: other.rgb }, part);
    Ink { rgb: mixed.rgb, opacity: 1.0 }
}
