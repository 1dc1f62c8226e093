//! Places that are hooped → the order to sew them in.
//!
//! From the centre outwards: the centre in rings as thick as a hooping, then border by border. Within a ring what needs no
//! change comes first: of how the quilt lies, then of the hoop, then of the file; then the nearest. A border is sewn round in the
//! direction of the clock, so that ends that join follow each other, beginning where it takes the fewest changes.
//! Starting in the middle and working outwards is published [132] [135]. Limits: good orders, not always the best.

use std::collections::BTreeSet;

use kurbo::Point;

use super::file::hooping::Order;

/// What the order looks at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// 0 for the centre, else the border's number.
    pub layer: usize,
    /// Its middle on the quilt.
    pub at: Point,
    /// How the quilt lies, which hoop and which file: what is changed, the most trouble first.
    pub set_up: [i64; 3],
}

/// How often the set-up changes along an order: how the quilt lies, the hoop, the file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Changes {
    /// The quilt is turned.
    pub turns: usize,
    /// Another hoop.
    pub hoops: usize,
    /// Another file.
    pub files: usize,
}

/// The changes along an order.
#[must_use]
pub fn changes(stops: &[Stop]) -> Changes {
    let mut changes = Changes::default();
    for pair in stops.windows(2) {
        let [turn, hoop, file] = [0, 1, 2].map(|i| usize::from(pair[0].set_up[i] != pair[1].set_up[i]));
        changes.turns += turn;
        changes.hoops += hoop;
        changes.files += file;
    }
    changes
}

/// The stops in the order to sew them; `step_mm` is how thick a ring or a row is.
#[must_use]
pub fn sequence(stops: &[Stop], order: Order, step_mm: f64) -> Vec<usize> {
    match order {
        Order::CentreOutwards => outwards(stops, step_mm),
        Order::RowByRow => rows(stops, step_mm),
    }
}

fn whole(mm: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a few hundred")]
    let whole = (mm - 1e-6).round() as i64;
    whole
}

fn outwards(stops: &[Stop], step_mm: f64) -> Vec<usize> {
    let ring = |s: &Stop| if s.layer == 0 { whole(s.at.x.abs().max(s.at.y.abs()) / step_mm) } else { 0 };
    let key = |i: &usize| (stops[*i].layer, ring(&stops[*i]));
    let mut all: Vec<usize> = (0..stops.len()).collect();
    all.sort_by_key(key);
    let mut done: Vec<usize> = Vec::new();
    for part in all.chunk_by(|a, b| key(a) == key(b)) {
        let last = done.last().map(|i| stops[*i]);
        let next =
            if stops[part[0]].layer == 0 { nearest(stops, part, last) } else { round(stops, part, last) };
        done.extend(next);
    }
    done
}

/// One after the other, the one that takes the least changes, then the nearest.
fn nearest(stops: &[Stop], part: &[usize], last: Option<Stop>) -> Vec<usize> {
    let mut left = part.to_vec();
    let mut done = Vec::new();
    let mut last = last;
    while !left.is_empty() {
        let trouble = |i: &usize| {
            let stop = &stops[*i];
            let Some(last) = last else {
                return ([false; 3], [0; 3], whole(stop.at.to_vec2().hypot() * 2.0));
            };
            let changed = [0, 1, 2].map(|k| stop.set_up[k] != last.set_up[k]);
            // Where the file has to change, to the lower one: whatever is left of it then follows.
            (changed, stop.set_up, whole(stop.at.distance(last.at) * 2.0))
        };
        let place = (0..left.len()).min_by_key(|k| {
            let at = stops[left[*k]].at;
            (trouble(&left[*k]), clockwise(at), left[*k])
        });
        let next = left.remove(place.unwrap_or(0));
        last = Some(stops[next]);
        done.push(next);
    }
    done
}

/// The direction from the top in the direction of the clock, in thousandths of a radian.
fn clockwise(p: Point) -> i64 {
    let angle = p.x.atan2(p.y);
    whole(1e3 * if angle < -1e-6 { angle + std::f64::consts::TAU } else { angle.max(0.0) })
}

/// Round the border in the direction of the clock, from where it takes the fewest changes.
fn round(stops: &[Stop], part: &[usize], last: Option<Stop>) -> Vec<usize> {
    let most = |way: fn(Point) -> f64| part.iter().map(|i| way(stops[*i].at).abs()).fold(1.0, f64::max);
    let (half_x, half_y) = (most(|p| p.x), most(|p| p.y));
    let mut ring = part.to_vec();
    ring.sort_by(|a, b| {
        let along = |i: usize| along_edge(stops[i].at.x / half_x, stops[i].at.y / half_y);
        along(*a).total_cmp(&along(*b)).then(a.cmp(b))
    });
    let cost = |from: usize| {
        let mut way: Vec<Stop> = last.into_iter().collect();
        way.extend((0..ring.len()).map(|k| stops[ring[(from + k) % ring.len()]]));
        let Changes { turns, hoops, files } = changes(&way);
        (turns, hoops, files, from)
    };
    let from = (0..ring.len()).min_by_key(|from| cost(*from)).unwrap_or(0);
    ring.rotate_left(from);
    ring
}

/// How far along the edge of a square a direction points, from the top left corner in the direction of the clock: 0 to 4.
fn along_edge(u: f64, v: f64) -> f64 {
    let part = |way: f64| f64::midpoint(way.clamp(-1.0, 1.0), 1.0);
    // The corner belongs to the side that begins at it.
    match () {
        () if v >= u.abs() - 1e-9 && u < v - 1e-9 => part(u),
        () if u >= v.abs() - 1e-9 && -v < u - 1e-9 => 1.0 + part(-v),
        () if -v >= u.abs() - 1e-9 && -u < -v - 1e-9 => 2.0 + part(-u),
        () => 3.0 + part(v),
    }
}

fn rows(stops: &[Stop], step_mm: f64) -> Vec<usize> {
    let top = stops.iter().map(|s| s.at.y).fold(f64::NEG_INFINITY, f64::max);
    let level = |i: &usize| whole((top - stops[*i].at.y) / step_mm);
    let mut all: Vec<usize> = (0..stops.len()).collect();
    let levels: BTreeSet<i64> = all.iter().map(level).collect();
    let row = |i: &usize| levels.range(..level(i)).count();
    let across = |i: &usize| {
        let x = whole(stops[*i].at.x * 10.0);
        if row(i) % 2 == 0 { x } else { -x }
    };
    all.sort_by_cached_key(|i| (row(i), across(i), whole(-stops[*i].at.y * 10.0), *i));
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stops as "layer x y turn hoop file", and their order as numbers.
    fn ordered(text: &str, order: Order) -> String {
        let stops: Vec<Stop> = text
            .split(';')
            .map(|one| {
                let n: Vec<i64> = one.split_whitespace().map(|n| n.parse().unwrap()).collect();
                #[expect(clippy::cast_precision_loss, clippy::cast_sign_loss, reason = "small")]
                let (layer, at) = (n[0] as usize, Point::new(n[1] as f64, n[2] as f64));
                Stop { layer, at, set_up: [n[3], n[4], n[5]] }
            })
            .collect();
        sequence(&stops, order, 200.0).iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_ring_is_sewn_file_by_file_and_each_to_the_nearest() {
        let ring =
            "0 -200 200 0 0 1; 0 0 200 0 0 0; 0 200 200 0 0 1; 0 200 0 0 0 0; 0 0 0 0 0 0; 0 200 -200 0 0 1";
        assert_eq!(ordered(ring, Order::CentreOutwards), "4 1 3 2 5 0");
    }

    #[test]
    fn the_quilt_is_turned_last_of_all_changes() {
        let ring = "0 0 0 0 0 0; 0 190 10 1 0 0; 0 -190 10 0 1 1; 0 10 190 0 0 2";
        assert_eq!(ordered(ring, Order::CentreOutwards), "0 3 2 1");
    }

    #[test]
    fn a_border_is_sewn_round_its_corners() {
        let border = "1 -300 300 0 0 0; 1 300 -300 0 0 0; 1 0 300 0 0 1; 1 300 0 90 0 1; 1 300 300 0 0 0; 1 -300 0 90 0 1; \
                      1 0 -300 0 0 1; 1 -300 -300 0 0 0; 0 0 0 0 0 1";
        assert_eq!(ordered(border, Order::CentreOutwards), "8 0 2 4 3 1 6 7 5");
    }

    #[test]
    fn rows_go_to_and_fro() {
        let square = "0 -200 -200 0 0 0; 0 200 -200 0 0 0; 0 -200 200 0 0 0; 0 200 200 0 0 0";
        assert_eq!(ordered(square, Order::RowByRow), "2 3 1 0");
    }

    #[test]
    fn changes_are_counted_between_neighbours() {
        let stop = |set_up| Stop { layer: 0, at: Point::ZERO, set_up };
        let got = changes(&[[0, 0, 0], [0, 1, 1], [0, 1, 1], [90, 1, 2]].map(stop));
        assert_eq!(got, Changes { turns: 1, hoops: 1, files: 2 });
    }
}
