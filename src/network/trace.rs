//! Lines that meet only in knots → strands: runs of spots from junction to junction, each piece once.

use kurbo::Vec2;

use crate::base::angle::turn_deg;
use crate::base::tolerance::CORNER_DEG;
use crate::network::EdgeKind;
use crate::network::lines::Lines;
use crate::network::spots::Spots;

/// A tangent this far off a line is not that line's, degrees: flattening turns a chord off its tangent by far less.
const ASTRAY_DEG: f64 = 45.0;

/// So many pieces over each other, on average, are a crowd: a drawing whose parts are all drawn twice is none.
const CROWD: usize = 3;

/// A run of spots between two junctions, or round a loop whose first spot is repeated.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strand {
    pub(super) spots: Vec<u32>,
    pub(super) kind: EdgeKind,
}

impl Strand {
    pub(super) fn first(&self) -> u32 {
        self.spots[0]
    }

    pub(super) fn last(&self) -> u32 {
        self.spots[self.spots.len() - 1]
    }

    /// The length, in grains.
    pub(super) fn length(&self, spots: &Spots) -> f64 {
        self.spots.windows(2).map(|w| spots.at[w[0] as usize].distance(spots.at[w[1] as usize])).sum()
    }
}

/// The pieces round each spot.
struct Web {
    // Invariant: sorted, lower spot first, each pair once; drawn where anything is drawn there.
    pieces: Vec<(u32, u32, EdgeKind)>,
    // Invariant: the pieces of spot s are around[start[s]..start[s + 1]].
    start: Vec<u32>,
    around: Vec<u32>,
}

/// Follows every piece from junction to junction; what then is left are loops.
pub(super) fn trace(lines: &Lines, spots: &Spots) -> Vec<Strand> {
    let web = Web::of(lines, spots.at.len());
    let mut used = vec![false; web.pieces.len()];
    let mut strands = Vec::new();
    for spot in (0..spots.at.len() as u32).filter(|s| web.is_junction(*s)) {
        for piece in web.at(spot) {
            if !used[*piece as usize] {
                strands.push(web.follow(spot, *piece, &mut used));
            }
        }
    }
    for piece in 0..web.pieces.len() {
        if !used[piece] {
            let round = web.follow(web.pieces[piece].0, piece as u32, &mut used);
            strands.push(anchored(round, spots));
        }
    }
    strands
}

/// The lines with each piece once, if most pieces lie under others; else as they are.
///
/// A crowd of lines over each other would be compared piece by piece, again and again. Where few coincide the lines stay
/// whole, so that they can be followed through junctions.
pub(super) fn thinned(lines: Lines, spots: &Spots) -> Lines {
    let pieces = (0..lines.len()).filter(|k| lines.is_piece(*k)).count();
    if pieces < CROWD * Web::of(&lines, spots.at.len()).pieces.len() {
        return lines;
    }
    let mut thin = Lines::new();
    trace(&lines, spots).iter().for_each(|s| thin.add(&s.spots, s.kind));
    thin
}

impl Web {
    fn of(lines: &Lines, spots: usize) -> Self {
        let mut pieces: Vec<(u32, u32, EdgeKind)> = (0..lines.len())
            .filter(|k| lines.is_piece(*k))
            .map(|k| {
                let (a, b) = (lines.spot[k as usize], lines.spot[lines.next[k as usize] as usize]);
                (a.min(b), a.max(b), lines.kind[k as usize])
            })
            .collect();
        pieces.sort_unstable();
        pieces.dedup_by_key(|p| (p.0, p.1));
        let mut start = vec![0_u32; spots + 1];
        for (a, b, _) in &pieces {
            start[*a as usize] += 1;
            start[*b as usize] += 1;
        }
        let mut sum = 0;
        for s in &mut start {
            sum += *s;
            *s = sum;
        }
        let mut around = vec![0_u32; sum as usize];
        for (i, (a, b, _)) in pieces.iter().enumerate().rev() {
            for s in [*b, *a] {
                start[s as usize] -= 1;
                around[start[s as usize] as usize] = i as u32;
            }
        }
        Self { pieces, start, around }
    }

    fn at(&self, spot: u32) -> &[u32] {
        &self.around[self.start[spot as usize] as usize..self.start[spot as usize + 1] as usize]
    }

    /// True unless exactly two pieces of one kind meet here.
    fn is_junction(&self, spot: u32) -> bool {
        match self.at(spot) {
            [] => false,
            [a, b] => self.pieces[*a as usize].2 != self.pieces[*b as usize].2,
            _ => true,
        }
    }

    fn follow(&self, from: u32, piece: u32, used: &mut [bool]) -> Strand {
        let mut strand = Strand { spots: vec![from], kind: self.pieces[piece as usize].2 };
        let (mut here, mut piece) = (from, piece);
        loop {
            used[piece as usize] = true;
            let (a, b, _) = self.pieces[piece as usize];
            here = if a == here { b } else { a };
            strand.spots.push(here);
            if here == from || self.is_junction(here) {
                return strand;
            }
            match self.at(here).iter().find(|p| !used[**p as usize]) {
                Some(next) => piece = *next,
                None => return strand,
            }
        }
    }
}

/// A loop without junction, turned to begin at its corner nearest the lower left, or without corners at its spot there.
fn anchored(mut round: Strand, spots: &Spots) -> Strand {
    round.spots.pop();
    let n = round.spots.len();
    let rank = |i: usize| {
        let spot = round.spots[i];
        let turns = turns_at(spots, round.spots[(i + n - 1) % n], spot, round.spots[(i + 1) % n]);
        let at = spots.at[spot as usize];
        (!turns, i64::from(at.x) + i64::from(at.y), at)
    };
    let anchor = (0..n).min_by_key(|i| rank(*i)).unwrap_or(0);
    round.spots.rotate_left(anchor);
    round.spots.push(round.spots[0]);
    round
}

/// True if the line turns a corner at `spot`, coming from `before` and going to `after`.
pub(super) fn turns_at(spots: &Spots, before: u32, spot: u32, after: u32) -> bool {
    if spots.corner[spot as usize] {
        return true;
    }
    let first = spots.leaving.partition_point(|l| l.0 < spot);
    let leaving: Vec<_> = spots.leaving[first..].iter().take_while(|l| l.0 == spot).map(|l| l.1).collect();
    // Where two lines end at each other, their tangents tell a corner from a smooth joint; chords would not.
    let tangent = |to: u32| {
        let way = spots.at[to as usize].point() - spots.at[spot as usize].point();
        let off = |v: &Vec2| turn_deg(way, *v).abs();
        leaving.iter().copied().filter(|v| off(v) < ASTRAY_DEG).min_by(|a, b| off(a).total_cmp(&off(b)))
    };
    // Where only one side has a line that ends, another line passes, smoothly.
    let (Some(back), Some(on)) = (tangent(before), tangent(after)) else { return false };
    turn_deg(-back, on).abs() > CORNER_DEG
}
