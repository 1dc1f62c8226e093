//! The papers that sheets are printed on.

/// A paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 8 1/2 × 11 in (215.9 × 279.4 mm).
    #[default]
    Letter,
    /// 210 × 297 mm (ISO 216).
    A4,
}

/// Kept clear at the paper's edge, mm: home printers cannot print the outer 3 to 5 mm.
pub const EDGE_MM: f64 = 6.0;
/// Kept white at the edge of sheets that are kept together, mm: more, for holes and a thumb.
pub const BOUND_EDGE_MM: f64 = EDGE_MM + 7.0;

impl Paper {
    /// Width and height, upright, mm.
    #[must_use]
    pub fn size(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }
}
