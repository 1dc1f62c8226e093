//! How curls change along a row: as little as it takes, but so that no stem leans on its neighbour's.
//!
//! Where the outline leaves no room for a stem of the asked curl, a straighter one is taken. Beside one that still curls, it
//! would run into that one's bend; so where that happens, its neighbours are drawn straighter, too, step by step.

use kurbo::BezPath;

use super::plume::Line;
use super::settle::CLEAR_MM;
use super::{slivers, sound};

/// By how many levels the curls of neighbours may differ, in the order in which that is tried.
const STEPS: [usize; 3] = [2, 1, 0];

/// The row of `count` plumes as woven with the least levels, if it is clear of slivers, or else with curls that change more and
/// more evenly; the former if none is clear. In a `ring` the last plume is the first one's neighbour.
///
/// `None` if it cannot be woven with the least levels.
pub fn easiest(count: usize, ring: bool, weave: impl Fn(&[usize]) -> Option<Vec<Line>>) -> Option<Vec<Line>> {
    let woven = weave(&vec![0; count])?;
    let needed: Vec<usize> = woven[woven.len() - count..].iter().map(Line::level).collect();
    let alike = needed.windows(2).all(|w| w[0] == w[1]);
    if alike || is_clear(&woven) {
        return Some(woven);
    }
    let mut eased = STEPS.iter().filter_map(|step| weave(&eased(&needed, *step, ring)));
    eased.find(|lines| is_clear(lines)).or(Some(woven))
}

/// True if no two lines cross or leave a sliver.
fn is_clear(lines: &[Line]) -> bool {
    let paths: Vec<BezPath> = lines.iter().map(Line::path).collect();
    sound::is_clean(&paths) && slivers::narrowest(&paths).is_none_or(|s| s.0 >= CLEAR_MM)
}

/// The least levels, none below what is needed, of which neighbours differ by at most `step`.
fn eased(needed: &[usize], step: usize, ring: bool) -> Vec<usize> {
    let n = needed.len();
    let apart = |i: usize, j: usize| if ring { i.abs_diff(j).min(n - i.abs_diff(j)) } else { i.abs_diff(j) };
    let level = |i: usize| (0..n).map(|j| needed[j].saturating_sub(step * apart(i, j))).max().unwrap_or(0);
    (0..n).map(level).collect()
}

#[cfg(test)]
mod tests {
    use super::eased;

    #[test]
    fn neighbours_of_a_straight_stem_are_straighter_step_by_step() {
        assert_eq!(eased(&[0, 0, 0, 0, 5, 1], 2, false), [0, 0, 1, 3, 5, 3]);
        assert_eq!(eased(&[0, 0, 0, 0, 5, 1], 2, true), [1, 0, 1, 3, 5, 3]);
        assert_eq!(eased(&[0, 3, 0], 0, false), [3, 3, 3]);
    }
}
