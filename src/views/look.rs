//! The colours, pens and letter sizes that all sheets share, so that they look like one family.

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
/// The shade in the valley that a line of quilting draws in.
pub const SHADE: Ink = Ink::new(0x9a_80_5c);
/// Thread a shade darker than the cotton.
pub const THREAD: Ink = Ink::new(0x86_74_58);
/// Where light falls on the thread.
pub const SHINE: Ink = Ink::new(0xcf_bf_a2);
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

/// The pens that draw thread lying in the valley it makes, the widest first, `times` as wide as life.
#[must_use]
pub fn thread(times: f64) -> Vec<Pen> {
    let pens = [
        Pen::new(5.6, SHADE.thin(0.035)),
        Pen::new(4.6, SHADE.thin(0.035)),
        Pen::new(3.7, SHADE.thin(0.045)),
        Pen::new(2.9, SHADE.thin(0.055)),
        Pen::new(2.2, SHADE.thin(0.07)),
        Pen::new(1.6, SHADE.thin(0.1)),
        Pen::new(1.1, SHADE.thin(0.15)),
        Pen::new(0.75, SHADE.thin(0.3)),
        Pen::new(THREAD_MM, THREAD),
        Pen::new(0.22, SHINE.thin(0.5)),
    ];
    pens.map(|pen| Pen { width: pen.width * times, ..pen }).to_vec()
}
