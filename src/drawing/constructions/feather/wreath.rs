//! Feather wreath: a closed spine with plumes outside and inside, round or following the inner outline.
//!
//! Round: the outer plumes touch the largest circle in the outline; the quilters' rule has the inner curve begin a third of the
//! way from the centre [173]; it begins nearer to it where that leaves no inner plume long and thin, so that less of the
//! middle is open. Fitted: the spine is the outline moved inwards and rounded nearly to a circle, the inner plumes stand evenly
//! in it, and the outer plumes reach to the outline, into its corners, the wider the longer they are.

use kurbo::{Point, Vec2};
use serde::Deserialize;
use std::f64::consts::{PI, TAU};

use super::feet::{self, Head, Row};
use super::heads::Wanted;
use super::plume::Hand;
use super::settle::settle;
use super::{Look, NARROWEST_MM, Placed, closed, heads, no_room, within};
use crate::base::chain;
use crate::block::Block;
use crate::block::corners::is_convex;
use crate::block::region::Region;
use crate::drawing::constructions::plume::guide::Guide;
use crate::drawing::constructions::plume::hull;
use crate::drawing::settings::Need;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The settings that a wreath reads.
pub const NEEDS: &[Need] =
    &[("plume", "length"), ("angle", "angle"), ("fullness", "ratio"), ("form", "choice")];

const WREATH: &str = "a feather wreath";

/// The fewest plumes of a wreath: fewer make a flower.
const FEWEST: f64 = 9.0;

/// Where the open middle of a wreath ends by the quilters' rule [173], as a share of the way from the centre.
const THIRD: f64 = 1.0 / 3.0;

/// The longest plume of a fitted wreath, in depths of its spine: the more, the farther it reaches into sharp corners.
const LONGEST: f64 = 3.3;

/// The widest plume of a fitted wreath, in widths of those that are as long as the spine is deep.
const WIDEST: f64 = 1.6;

/// Over how much of its rounding a fitted spine is evened out.
const EVENED: f64 = 0.25;

/// How often the feet of a fitted wreath are evened out each time before they are moved clear of the spine.
const EVENINGS: [usize; 7] = [6, 6, 6, 6, 6, 6, 1];

/// Distances that differ by less are alike, mm.
const NEARLY_MM: f64 = 0.01;

/// The numbers of a wreath.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// By how much a stem turns from its foot to its head, degrees.
    curl: f64,
    /// Where the open middle ends, as a share of the way from the centre to the outline.
    inner: f64,
    /// Where the spine runs, likewise.
    spine: f64,
    /// How far a fitted spine is rounded in corners, as a share of the largest circle's radius; and how far in
    /// blocks with inward corners, whose arms would be left out else.
    rounding: [f64; 2],
    /// The width of the inner plumes as a share of the outer ones'.
    inner_width: f64,
    /// The longest inner plume of a round wreath, in its widths, unless the middle would be more open than a third.
    longest: f64,
    /// `inner`, `spine` and `inner_width` where the wreath follows the outline.
    fitted: [f64; 3],
    /// The widest plume, as a share of its height.
    stoutest: f64,
    /// The narrowest plume, likewise.
    slimmest: f64,
}

impl Numbers {
    /// The numbers for a wreath that follows the outline.
    fn fitted(&self) -> Self {
        let [inner, spine, inner_width] = self.fitted;
        Self { inner, spine, inner_width, ..self.clone() }
    }
}

/// Draws a wreath in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if the plumes would be too narrow to sew.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let look = Look::new(settings, numbers.curl);
    let mut drawing = Drawing::default();
    for region in &within(block) {
        let round = match settings.word("form") {
            "round" => true,
            "fitted" => false,
            _ => is_even(region),
        };
        settle(&look, region, &mut drawing, |look, drawing| {
            if round {
                self::round(numbers, look, region, drawing)
            } else {
                fitted(&numbers.fitted(), look, region, drawing)
            }
        })?;
    }
    Ok(drawing)
}

/// True if a round wreath fills the outline well: its corners lie at most half as far again from the centre as its sides.
fn is_even(region: &Region) -> bool {
    const SQUARE: f64 = 1.45;
    let (centre, radius) = hull::largest_circle(region);
    region.outer.points().iter().all(|p| p.distance(centre) < SQUARE * radius)
}

/// Draws with this look; gives the width drawn with, mm.
fn round(n: &Numbers, look: &Look, region: &Region, drawing: &mut Drawing) -> Result<f64, DrawError> {
    let (centre, outer) = hull::largest_circle(region);
    let width = roomy(look, n, outer, drawing)?;
    let spine = Guide::closed(&hull::circle(centre, n.spine * outer))
        .ok_or_else(|| no_room(WREATH, "the block has no width"))?;
    let hand = Hand::new(look.curl_deg, &[]);
    let half = look.fullness * PI;
    // The open middle is as small as it may be unless that makes the inner plumes long and thin.
    let slender = n.spine - n.longest * n.inner_width * width / outer;
    let inner = n.inner.max(slender.min(THIRD));
    let (folds, begin) = folds(region, centre);
    let rows =
        [(-1.0, outer, width), (1.0, inner * outer, width * n.inner_width)].map(|(side, edge, width)| {
            // The radius of the heads such that a whole number of them closes the ring just inside, or outside, the edge.
            let count = heads::whole(TAU * (edge + side * width / 2.0) / width, folds, FEWEST);
            let radius = half * edge / (count - side * half);
            let line = edge + side * radius;
            drawing.stretch = drawing.stretch.max((TAU * line / count / width - 1.0).abs());
            // One foot is looked for and the others follow, so that all plumes are alike.
            let row = Row { side, way: 1.0 };
            let first = Head { centre: centre + Vec2::new(line, 0.0), radius };
            let mut foot = feet::feet(&[first], row, &spine, hand.spiral(), look.angle_deg);
            feet::clear(&mut foot, &[first], row, &spine, hand.spiral());
            let lead = foot[0] / spine.length() * TAU;
            let turns = (0..count as usize).map(|i| begin + i as f64 / count * TAU);
            let heads: Vec<Head> = turns
                .clone()
                .map(|turn| Head { centre: centre + Vec2::from_angle(turn) * line, radius })
                .collect();
            (row, heads, turns.map(|turn| (turn + lead) / TAU * spine.length()).collect())
        });
    drawing
        .lines
        .extend(closed(&spine, &hand, share_feet(rows, &spine)).ok_or_else(|| look.apart(width, WREATH))?);
    Ok(width)
}

/// The width of the plumes: as asked for, or what leaves them longer than wide.
fn roomy(look: &Look, n: &Numbers, reach: f64, drawing: &mut Drawing) -> Result<f64, DrawError> {
    let most =
        ((1.0 - n.spine) * reach * n.stoutest).min((n.spine - n.inner) * reach * n.stoutest / n.inner_width);
    look.width_within(
        [n.slimmest * (1.0 - n.spine) * reach, most],
        NARROWEST_MM / n.inner_width,
        WREATH,
        drawing,
    )
}

/// How often the block repeats round its centre, as far as its corners tell, and the direction in which its edge is nearest.
fn folds(region: &Region, centre: Point) -> (f64, f64) {
    let ring = region.outer.points();
    let nearest = chain::sides(ring)
        .map(|(a, b)| chain::nearest_on_segment(centre, a, b))
        .min_by(|p, q| p.distance(centre).total_cmp(&(q.distance(centre) - 1e-6)));
    let begin = nearest.map_or(0.0, |p| (p - centre).atan2());
    (region.outer.corners().len().max(1) as f64, begin)
}

fn share_feet(mut rows: [Placed; 2], spine: &Guide) -> [Placed; 2] {
    let [(_, _, left), (_, _, right)] = &mut rows;
    let length = spine.length();
    left.iter_mut().chain(right.iter_mut()).for_each(|s| *s = s.rem_euclid(length));
    feet::share(left, right);
    rows
}

/// Draws with this look; gives the width drawn with, mm.
fn fitted(n: &Numbers, look: &Look, region: &Region, drawing: &mut Drawing) -> Result<f64, DrawError> {
    let outline = hull::simple(region.outer.points());
    let (centre, reach) = hull::largest_circle(region);
    let width = roomy(look, n, reach, drawing)?;
    let none = || {
        no_room(
            WREATH,
            format!(
                "there are only {reach:.1} mm from the middle to the edge; ask for narrower plumes or the round form"
            ),
        )
    };
    let depth = (1.0 - n.spine) * reach;
    let convex = is_convex(&outline);
    let rounding = n.rounding[usize::from(!convex)] * reach;
    let spine = hull::inset(&outline, depth + rounding)
        .and_then(|r| Guide::closed(&hull::outset(&r, rounding)?)?.smoothed(rounding * EVENED))
        .ok_or_else(none)?;
    let away = |p: &Point| p.distance(centre);
    let begin = outline.iter().copied().reduce(|p, q| if away(&q) > away(&p) + NEARLY_MM { q } else { p });
    let outer = Wanted {
        width,
        fullness: look.fullness,
        rounding: 0.0,
        fewest: FEWEST,
        folds: folds(region, centre).0,
        begin: begin.unwrap_or(centre),
    };
    let inner = Wanted { width: width * n.inner_width, ..outer };
    let hollow = (n.spine - n.inner) * reach - inner.width / 2.0 * look.fullness;
    // As round as the spine, and in its corners at least as round as a plume is wide, which arms of a block have no room for.
    let round = (rounding - hollow).max(if convex { inner.width } else { 0.0 });
    let inner = around(&outline, depth + hollow, round, &inner).ok_or_else(none)?;
    let outer = reaching(&outline, &outer, &spine, depth).ok_or_else(none)?;
    let hand = Hand::new(look.curl_deg, &outline);
    let rows = [(-1.0, outer), (1.0, inner)].map(|(side, heads)| {
        let row = Row { side, way: 1.0 };
        let mut feet = feet::feet(&heads, row, &spine, hand.spiral(), look.angle_deg);
        for times in EVENINGS {
            feet::even_closed(&mut feet, spine.length(), times);
            feet::clear(&mut feet, &heads, row, &spine, hand.spiral());
        }
        feet::part_closed(&mut feet, &heads, row, &spine, hand.spiral());
        (row, heads, feet)
    });
    drawing
        .lines
        .extend(closed(&spine, &hand, share_feet(rows, &spine)).ok_or_else(|| look.apart(width, WREATH))?);
    Ok(width)
}

/// The outer heads: their line is rounded as little as keeps every plume shorter than [`LONGEST`] depths of the spine; the
/// longer plumes are, the wider, too.
fn reaching(outline: &[Point], wanted: &Wanted, spine: &Guide, depth: f64) -> Option<Vec<Head>> {
    const ROUNDINGS: [f64; 6] = [0.6, 1.0, 1.5, 2.0, 3.0, 4.0];
    let longest = |heads: &Vec<Head>| {
        let height = |h: &Head| spine.nearest_to(h.centre).distance(h.centre) + h.radius;
        heads.iter().map(height).fold(0.0, f64::max)
    };
    let size = |p: Point| (spine.nearest_to(p).distance(p) / depth).sqrt().clamp(1.0, WIDEST);
    let tries =
        ROUNDINGS.iter().filter_map(|r| heads::inside(outline, &Wanted { rounding: *r, ..*wanted }, &size));
    let mut last = None;
    for heads in tries {
        if longest(&heads) < LONGEST * depth {
            return Some(heads);
        }
        last = Some(heads);
    }
    last
}

/// The inner heads: evenly on a line `depth` mm inside the outline with its corners rounded to `round` mm.
fn around(outline: &[Point], depth: f64, round: f64, wanted: &Wanted) -> Option<Vec<Head>> {
    let line = hull::inset(outline, depth + round).and_then(|r| hull::outset(&r, round))?;
    let guide = Guide::closed(&line)?;
    let count = heads::whole(guide.length() / wanted.width, wanted.folds, wanted.fewest);
    let step = guide.length() / count;
    let begin = guide.nearest(wanted.begin);
    let head =
        |i: usize| Head { centre: guide.at(begin + i as f64 * step).0, radius: step / 2.0 * wanted.fullness };
    Some((0..count as usize).map(head).collect())
}
