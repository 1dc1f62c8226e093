//! Feathers that grow from the middle of an open spine towards both its ends, alike on both sides.
//!
//! In the middle of each side one plume stands upright and shows all round; the others tuck behind it, one after the other,
//! to both ends. Along an end the heads go on from the corner down to the spine, so that the end is closed and meets its
//! mirror image.

use kurbo::{BezPath, Point};

use super::feet::{self, Head, Row};
use super::guide::Guide;
use super::plume::{Hand, Line, Plume};
use super::{Look, plumes, sound};

/// The least distance from the spine to the centre of the last head at an end, in head radii.
const LAST: f64 = 1.5;

/// Half a side of the feather's shape, from the middle to an end: the line `radius` inside it, on which the heads stand.
pub struct Half<'a> {
    /// The line for a radius, from the middle to the corner at the end.
    pub along: &'a dyn Fn(f64) -> Option<Guide>,
    /// The straight line from that corner towards the spine's end, for a radius.
    pub down: &'a dyn Fn(f64) -> (Point, Point),
}

/// Heads evenly along half a side: whole steps to the corner, where one stands, and on down the end.
///
/// The first stands in the middle. The step is returned as well.
pub fn heads(half: &Half<'_>, width: f64, fullness: f64) -> Option<(Vec<Head>, f64)> {
    let (mut radius, mut step) = (width * fullness / 2.0, width);
    let mut heads = Vec::new();
    for _ in 0..4 {
        let line = (half.along)(radius)?;
        let count = (line.length() / width).round().max(2.0);
        step = line.length() / count;
        radius = step * fullness / 2.0;
        heads = (0..=count as usize).map(|i| Head { centre: line.at(i as f64 * step).0, radius }).collect();
        let (corner, end) = (half.down)(radius);
        let room = corner.distance(end);
        let more = ((room - LAST * radius) / step).floor().max(0.0);
        heads.extend(
            (1..=more as usize).map(|i| Head { centre: corner.lerp(end, i as f64 * step / room), radius }),
        );
    }
    Some((heads, step))
}

/// One side of a feather: its two halves, and the side of the spine on which it stands.
pub struct Side {
    /// 1 left of the spine, −1 right.
    pub side: f64,
    /// Heads from the middle towards the spine's end; the first is the middle's.
    pub ahead: Vec<Head>,
    /// Heads from the middle towards the spine's start, without the middle's.
    pub behind: Vec<Head>,
}

/// The lines of a feather that grows from the middle of `spine`, the spine first.
pub fn draw(spine: &Guide, look: &Look, hand: &Hand, sides: [Side; 2]) -> Option<Vec<BezPath>> {
    let middle = spine.length() / 2.0;
    let mut placed = sides.map(|s| {
        let [ahead, behind] = [(1.0, &s.ahead[1..]), (-1.0, &s.behind[..])].map(|(way, heads)| {
            let row = Row { side: s.side, way };
            let mut feet = feet::feet(heads, row, spine, hand.spiral(), look.angle_deg);
            feet.insert(0, middle);
            let end = if way > 0.0 { spine.length() } else { 0.0 };
            feet::even_open(&mut feet, 60);
            feet::clear(&mut feet[1..], heads, row, spine, hand.spiral());
            feet::even_open(&mut feet, 2);
            feet::hold(&mut feet, way, end, feet::least_gap(look.angle_deg));
            feet.remove(0);
            (row, heads.to_vec(), feet)
        });
        (s.ahead[0], ahead, behind)
    });
    let [left, right] = &mut placed;
    feet::share(&mut left.1.2, &mut right.1.2);
    feet::share(&mut left.2.2, &mut right.2.2);
    let knots: Vec<f64> =
        placed.iter().flat_map(|p| p.1.2.iter().chain(&p.2.2).copied()).chain([middle]).collect();
    let mut lines = vec![spine.curve(&knots)];
    for (first, ahead, behind) in placed {
        let foot = spine.at(middle).0;
        let upright = Plume { centre: first.centre, radius: first.radius, foot };
        let whole = Line::whole(&upright, hand, ahead.0.turn(), foot)?;
        let mut front = Line::row(&plumes(&ahead.1, &ahead.2, spine), hand, ahead.0.turn(), whole)?;
        let whole = front.remove(0);
        let back = Line::row(&plumes(&behind.1, &behind.2, spine), hand, behind.0.turn(), whole)?;
        lines.extend(back.iter().chain(&front).map(Line::path));
    }
    sound::is_clean(&lines).then_some(lines)
}
