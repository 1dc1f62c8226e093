//! Every tolerance of the library, in one place, each with its unit and its reason.

/// How far a flattened chain may leave its curve, mm.
///
/// A tenth of the machine's 0.1 mm step, so that rounding a needle point to the grid is the only visible error.
pub const FLATTEN_MM: f64 = 0.01;

/// Points closer than this are one point, mm: half a tenth of the machine's step.
pub const WELD_MM: f64 = 0.005;

/// A line's end or corner this close to another line is joined to it, mm: a fifth of the machine's step.
pub const JOIN_MM: f64 = 0.02;

/// Lines that run along each other this closely are one line, mm.
///
/// Two flattenings of one curve lie up to 2 × [`FLATTEN_MM`] apart; the rest is for curves that were fitted twice.
pub const TWIN_MM: f64 = 0.025;

/// The grid on which lines are split, mm: far below anything that can be sewn, and exact in whole numbers.
pub const GRAIN_MM: f64 = 0.0001;

/// How far inside the inner outline a line keeps that meets it, mm: close enough to be joined to it, so that a walk can
/// begin there, and no closer, so that it does not run along it.
pub const CLEAR_MM: f64 = JOIN_MM / 2.0;

/// The longest bit of line that a stage may lose or invent, mm.
pub const LOST_MM: f64 = 0.05;

/// Ends, crossings and other features nearer to each other than this along a line are one, mm: half the shortest stitch.
pub const FEATURE_MM: f64 = 0.5;

/// Over how much of a line it is bent where its end is moved to another feature, mm: a step or two, so that it does not show.
pub const BEND_MM: f64 = 4.0;

/// The machine's step, mm: both file formats count tenths of a millimetre.
pub const GRID_MM: f64 = 0.1;

/// Needle points closer than this are one hole, mm: a tenth of the machine's step.
pub const SAME_HOLE_MM: f64 = 0.01;

/// How far a stitch may leave the curve it follows, mm.
pub const CHORD_MM: f64 = 0.1;

/// How closely a motif meets the inner outline where it should, mm.
pub const TOUCH_MM: f64 = 0.2;

/// How far a needle hole may stand outside the inner outline, mm: one step of the machine, lost in rounding.
pub const OUTSIDE_MM: f64 = 0.1;

/// How exactly the widest gap is known, mm: far finer than a line of thread is wide.
pub const GAP_MM: f64 = 0.01;

/// Lengths that differ by less are the same but for rounding, mm: a box fits a field that is as wide as it is.
pub const DUST_MM: f64 = 1e-6;

/// Accuracy asked of arc lengths, mm.
pub const ARC_LENGTH_MM: f64 = 1e-6;

/// A turn of the tangent above this is a corner and gets a needle hole of its own, degrees.
///
/// Below it a step across the joint stays within [`CHORD_MM`] for every step length in use.
pub const CORNER_DEG: f64 = 12.0;

/// Guard taken off a quotient before it is rounded up, so that 8.000000001 is 8.
pub const CEIL_GUARD: f64 = 1e-9;

/// Rounds up, but not across [`CEIL_GUARD`].
#[must_use]
pub fn ceil_guarded(quotient: f64) -> f64 {
    (quotient - CEIL_GUARD).ceil()
}

#[cfg(test)]
mod tests {
    use super::ceil_guarded;

    #[test]
    fn a_whole_number_with_dust_is_not_rounded_up() {
        assert_eq!(ceil_guarded(8.000_000_000_1), 8.0);
        assert_eq!(ceil_guarded(8.001), 9.0);
    }
}
