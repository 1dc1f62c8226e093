//! [`Stitches`] ⇄ records: the moves of the machine in tenths of a millimetre, whatever bytes they become.

use kurbo::Point;

use super::{MOST_RECORDS, WireError};
use crate::stitches::grid::{cells, millimetres};
use crate::stitches::{Run, Stitches};

/// Moves in a row between two runs, at least: a run of several, often three or more, makes many machines trim.
pub const TRIM_MOVES: i64 = 3;

/// What the machine does in one record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Moves, then the needle goes down.
    Stitch,
    /// Moves without sewing.
    Jump,
    /// Stops for another thread; may move as well.
    Stop,
    /// Cuts the thread; may move as well.
    Trim,
}

/// One record: what is done, and the move in tenths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Record {
    /// What is done.
    pub kind: Kind,
    /// The move to the right, 0.1 mm.
    pub dx: i64,
    /// The move up, 0.1 mm.
    pub dy: i64,
}

/// The records that sew `stitches`, starting from its centre; no move is longer than `longest` either way.
///
/// Moves that are too long are split evenly: the running position is rounded, never the parts. A stitch that is too
/// long becomes several, as a needle hole more is better than a loose thread.
#[must_use]
pub fn plan(stitches: &Stitches, longest: i64) -> Vec<Record> {
    let mut records = Vec::new();
    let origin = in_cells(stitches.centre);
    let mut at = origin;
    for run in stitches.pieces.iter().filter(|run| !run.points.is_empty()) {
        let fewest = if records.is_empty() { 0 } else { TRIM_MOVES };
        for (i, point) in run.points.iter().enumerate() {
            let to = in_cells(*point);
            if i == 0 {
                travel(&mut records, Kind::Jump, (at, to), longest, fewest);
                // The needle goes down where the run begins.
                records.push(Record { kind: Kind::Stitch, dx: 0, dy: 0 });
            } else {
                travel(&mut records, Kind::Stitch, (at, to), longest, 1);
            }
            at = to;
        }
    }
    records
}

/// What lies between two runs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Break {
    /// Moves without sewing, in records.
    pub moves: usize,
    /// A record cuts the thread.
    pub cut: bool,
    /// Stops for another thread.
    pub stops: usize,
}

impl Break {
    /// True if a machine trims the thread there: told to, or by a row of [`TRIM_MOVES`] moves and more.
    #[must_use]
    pub fn trims(&self) -> bool {
        self.cut || i64::try_from(self.moves).is_ok_and(|moves| moves >= TRIM_MOVES)
    }

    fn add(&mut self, kind: Kind) {
        match kind {
            Kind::Stitch => {}
            Kind::Jump => self.moves += 1,
            Kind::Trim => self.cut = true,
            Kind::Stop => self.stops += 1,
        }
    }
}

/// What records sew.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gathered {
    /// The stitches, from 0,0.
    pub stitches: Stitches,
    /// What lies between each of its runs and the next.
    pub breaks: Vec<Break>,
    /// What was odd about them.
    pub findings: Vec<String>,
}

/// What `records` sew, with what was odd about them.
///
/// A run begins where the machine stands when it takes its first stitch; a first stitch that goes nowhere is that
/// beginning. Anything but a stitch ends the run.
///
/// # Errors
/// [`WireError::TooManyToRead`] if there are more than [`MOST_RECORDS`].
pub fn gather(records: &[Record]) -> Result<Gathered, WireError> {
    if records.len() > MOST_RECORDS {
        return Err(WireError::TooManyToRead { records: records.len() });
    }
    let (mut x, mut y) = (0_i64, 0_i64);
    let (mut pieces, mut breaks) = (Vec::new(), Vec::new());
    let mut open: Vec<Point> = Vec::new();
    let (mut moved, mut bare, mut now) = (false, 0_usize, Break::default());
    for record in records {
        let from = Point::new(millimetres(x), millimetres(y));
        (x, y) = (x + record.dx, y + record.dy);
        let stays = record.dx == 0 && record.dy == 0;
        if record.kind != Kind::Stitch {
            if !open.is_empty() {
                pieces.push(Run::from_points(std::mem::take(&mut open)));
                now = Break::default();
            }
            now.add(record.kind);
            moved |= !stays;
            continue;
        }
        if open.is_empty() {
            if !pieces.is_empty() {
                breaks.push(now);
            }
            open.push(from);
            bare += usize::from(moved && !stays);
            moved = false;
            if stays {
                continue;
            }
        }
        open.push(Point::new(millimetres(x), millimetres(y)));
    }
    pieces.push(Run::from_points(open));
    let findings = match bare {
        0 => Vec::new(),
        1 => vec!["1 run has no stitch where its jump ends; it is taken to begin there".to_owned()],
        n => vec![format!("{n} runs have no stitch where their jump ends; they are taken to begin there")],
    };
    Ok(Gathered { stitches: Stitches::new(pieces), breaks, findings })
}

fn in_cells(p: Point) -> (i64, i64) {
    (cells(p.x), cells(p.y))
}

type Cell = (i64, i64);

fn travel(records: &mut Vec<Record>, kind: Kind, (from, to): (Cell, Cell), longest: i64, fewest: i64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let furthest = dx.abs().max(dy.abs());
    let parts = ((furthest + longest - 1) / longest).max(fewest);
    let mut done = (0, 0);
    for part in 1..=parts {
        let now = (share(dx, part, parts), share(dy, part, parts));
        records.push(Record { kind, dx: now.0 - done.0, dy: now.1 - done.1 });
        done = now;
    }
}

/// `part`/`parts` of `whole`, rounded towards zero, so that no part is longer than the quotient rounded up.
fn share(whole: i64, part: i64, parts: i64) -> i64 {
    whole * part / parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runs(all: &[&[(f64, f64)]]) -> Stitches {
        let run = |points: &&[(f64, f64)]| Run::from_points(points.iter().map(|p| Point::from(*p)).collect());
        Stitches::new(all.iter().map(run).collect())
    }

    fn text(records: &[Record]) -> String {
        let word = |r: &Record| format!("{:?} {},{}", r.kind, r.dx, r.dy);
        records.iter().map(word).collect::<Vec<_>>().join("; ")
    }

    #[test]
    fn a_design_opens_with_moves_from_its_centre() {
        // 40 mm wide: from the centre 200 units to the left, in two even moves.
        let records = plan(&runs(&[&[(0.0, 0.0), (10.0, 0.0), (20.0, 0.0), (30.0, 0.0), (40.0, 0.0)]]), 121);
        assert_eq!(
            text(&records),
            "Jump -100,0; Jump -100,0; Stitch 0,0; Stitch 100,0; Stitch 100,0; Stitch 100,0; Stitch 100,0"
        );
    }

    #[test]
    fn runs_are_parted_by_three_moves_even_where_they_touch() {
        let records = plan(&runs(&[&[(0.0, 0.0), (1.0, 0.0)], &[(1.0, 0.0), (0.0, 0.0)]]), 121);
        assert_eq!(
            text(&records),
            "Jump -5,0; Stitch 0,0; Stitch 10,0; Jump 0,0; Jump 0,0; Jump 0,0; Stitch 0,0; Stitch -10,0"
        );
    }

    #[test]
    fn a_long_move_is_split_evenly_and_loses_nothing() {
        for whole in [-1000_i64, -122, -121, 0, 1, 121, 122, 243, 5000] {
            let mut records = Vec::new();
            travel(&mut records, Kind::Jump, ((0, 0), (whole, -whole / 3)), 121, 3);
            assert_eq!(records.iter().map(|r| r.dx).sum::<i64>(), whole);
            assert_eq!(records.iter().map(|r| r.dy).sum::<i64>(), -whole / 3);
            let (least, most) =
                (records.iter().map(|r| r.dx.abs()).min(), records.iter().map(|r| r.dx.abs()).max());
            assert!(
                most.unwrap() <= 121 && most.unwrap() - least.unwrap() <= 1,
                "{whole}: {}",
                text(&records)
            );
        }
    }

    #[test]
    fn planned_records_gather_to_the_same_stitches() {
        let stitches = runs(&[
            &[(-2.0, 0.0), (-1.2, 0.0), (-0.4, 0.0), (-1.2, 0.0), (-2.0, 0.0), (2.0, 0.0)],
            &[(0.3, 0.2)],
            &[(0.0, 0.2), (0.0, 0.2), (0.5, -0.2)],
        ]);
        let Gathered { stitches: back, breaks, findings } = gather(&plan(&stitches, 121)).unwrap();
        assert_eq!(back, stitches);
        assert_eq!(back.pieces[0].tie_in, 4);
        assert_eq!(breaks, [Break { moves: 3, cut: false, stops: 0 }; 2]);
        assert!(findings.is_empty() && breaks.iter().all(Break::trims), "{findings:?}");
    }

    #[test]
    fn a_run_without_a_stitch_where_its_jump_ends_is_said_so() {
        let jump = Record { kind: Kind::Jump, dx: 50, dy: 0 };
        let stitch = Record { kind: Kind::Stitch, dx: 20, dy: 0 };
        let got = gather(&[jump, stitch, jump, jump]).unwrap();
        assert_eq!(got.stitches.pieces[0].points, vec![Point::new(5.0, 0.0), Point::new(7.0, 0.0)]);
        assert_eq!((got.stitches.pieces.len(), got.breaks.len(), got.findings.len()), (1, 0, 1));
    }

    #[test]
    fn a_trim_is_told_from_a_move_and_a_stop() {
        let record = |kind| Record { kind, dx: 0, dy: 0 };
        let stitch = Record { kind: Kind::Stitch, dx: 20, dy: 0 };
        let between = |kinds: &[Kind]| {
            let all: Vec<Record> = kinds.iter().map(|k| record(*k)).collect();
            let got = gather(&[&[stitch][..], &all, &[stitch]].concat()).unwrap();
            (got.breaks.len(), got.breaks[0].trims(), got.breaks[0].stops)
        };
        assert_eq!(between(&[Kind::Jump]), (1, false, 0));
        assert_eq!(between(&[Kind::Jump, Kind::Jump, Kind::Jump]), (1, true, 0));
        assert_eq!(between(&[Kind::Trim]), (1, true, 0));
        assert_eq!(between(&[Kind::Stop, Kind::Jump, Kind::Stop]), (1, false, 2));
    }
}
