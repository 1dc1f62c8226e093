#![doc = include_str!("dst.md")]

use header::Figures;

use super::record::{Gathered, Kind, Record, gather, plan};
use super::{Reading, WireError};
use crate::stitches::Stitches;

pub mod header;

/// Length of the header, bytes.
pub const HEADER_BYTES: usize = 512;
/// The longest move either way, 0.1 mm: 1 + 3 + 9 + 27 + 81.
pub const LONGEST: i64 = 121;

const RECORD_BYTES: usize = 3;
/// Where each weight stands: (weight, byte, bit that adds it, bit that takes it off).
const X_BITS: [(i64, usize, u8, u8); 5] =
    [(81, 2, 2, 3), (27, 1, 2, 3), (9, 0, 2, 3), (3, 1, 0, 1), (1, 0, 0, 1)];
const Y_BITS: [(i64, usize, u8, u8); 5] =
    [(81, 2, 5, 4), (27, 1, 5, 4), (9, 0, 5, 4), (3, 1, 7, 6), (1, 0, 7, 6)];
const SET: u8 = 0b0000_0011;
const JUMP: u8 = 0b1000_0000;
const STOP: u8 = 0b1100_0000;
const SEQUIN: u8 = 0b0100_0000;
const KIND: u8 = 0b1100_0000;
const END: u8 = 0xF3;
/// Fewer records than this do not show that they are some.
const FEWEST_SOUND: usize = 8;
/// Bytes that files are filled up with: none, end of text, blank. None of them has a record's two bits.
const FILLERS: [u8; 3] = [0x00, 0x1A, 0x20];
/// The one byte that some files add after the end record.
const AFTER_END: u8 = 0x1A;

/// The bytes of a .dst file. Only the first letters of the name fit; see the table above.
///
/// # Errors
/// [`WireError::NoStitches`] if there are none; [`WireError::TooLarge`] and [`WireError::TooMany`] if the header's
/// digits do not suffice.
pub fn write(stitches: &Stitches, name: &str) -> Result<Vec<u8>, WireError> {
    let records = plan(stitches, LONGEST);
    let mut bytes = header::write(name, &Figures::of(&records))?;
    for record in &records {
        bytes.extend(encode(*record));
    }
    bytes.extend([0, 0, END]);
    Ok(bytes)
}

/// What a .dst file holds.
///
/// # Errors
/// [`WireError::TooShort`] if the header is cut off, [`WireError::NoHeader`] if it is none and the records behind it are
/// not sound either, [`WireError::Sequins`] if the design drops sequins, [`WireError::TooManyToRead`] if it has more
/// stitches and moves than are read.
pub fn read(bytes: &[u8]) -> Result<Reading, WireError> {
    let (head, body) =
        bytes.split_at_checked(HEADER_BYTES).ok_or(WireError::TooShort { length: bytes.len() })?;
    let known = header::read(head);
    if known.is_err() && !is_sound(body) {
        return Err(WireError::NoHeader);
    }
    let (records, mut findings) = read_records(body)?;
    let (name, header) = match known {
        Ok((name, given)) => {
            findings.extend(given.disagreements(&Figures::of(&records)));
            (name, Some(given))
        }
        Err(_) => {
            let odd = "the header is none of a .dst file; the stitches behind it are sound and are read";
            findings.insert(0, odd.to_owned());
            (None, None)
        }
    };
    let Gathered { stitches, breaks, findings: odd } = gather(&records)?;
    findings.extend(odd);
    let colour_changes = records.iter().filter(|r| r.kind == Kind::Stop).count();
    Ok(Reading { stitches, breaks, name, colour_changes, header, findings })
}

/// True if bytes are records beyond doubt: the two bits that every record has set are set in nearly all of them, where text
/// and chance have them in one of four.
fn is_sound(body: &[u8]) -> bool {
    let records = body.chunks_exact(RECORD_BYTES).take_while(|r| r[2] & END != END);
    let (all, set) = records.fold((0, 0), |(all, set), r| (all + 1, set + usize::from(r[2] & SET == SET)));
    all >= FEWEST_SOUND && set * 20 >= all * 19
}

/// The three bytes of a record; moves are at most [`LONGEST`] either way, and trims are jumps.
#[must_use]
pub fn encode(record: Record) -> [u8; RECORD_BYTES] {
    let kind = match record.kind {
        Kind::Stitch => 0,
        Kind::Jump | Kind::Trim => JUMP,
        Kind::Stop => STOP,
    };
    let mut bytes = [0, 0, SET | kind];
    for (bits, mut left) in [(X_BITS, record.dx), (Y_BITS, record.dy)] {
        for (weight, byte, plus, minus) in bits {
            // What the smaller weights reach together.
            let rest = (weight - 1) / 2;
            if left > rest {
                bytes[byte] |= 1 << plus;
                left -= weight;
            } else if left < -rest {
                bytes[byte] |= 1 << minus;
                left += weight;
            }
        }
    }
    bytes
}

/// The record of three bytes, unless they are the end or switch sequins.
#[must_use]
pub fn decode(bytes: [u8; RECORD_BYTES]) -> Option<Record> {
    let kind = match bytes[2] & KIND {
        0 => Kind::Stitch,
        JUMP => Kind::Jump,
        STOP if bytes[2] & END != END => Kind::Stop,
        _ => return None,
    };
    let sum = |bits: [(i64, usize, u8, u8); 5]| {
        let one = |(weight, byte, plus, minus): (i64, usize, u8, u8)| {
            weight * (i64::from(bytes[byte] >> plus & 1) - i64::from(bytes[byte] >> minus & 1))
        };
        bits.into_iter().map(one).sum()
    };
    Some(Record { kind, dx: sum(X_BITS), dy: sum(Y_BITS) })
}

fn read_records(body: &[u8]) -> Result<(Vec<Record>, Vec<String>), WireError> {
    let mut records = Vec::new();
    let mut findings = Vec::new();
    let filled = body.len() - padding(body);
    let (body, filling) = body.split_at(filled);
    if !filling.is_empty() {
        findings.push(format!("{} bytes fill up the end of the file; left out", filling.len()));
    }
    let (mut unset, mut both_ways, mut end) = (0_usize, 0_usize, None);
    for (i, bytes) in body.chunks_exact(RECORD_BYTES).enumerate() {
        let bytes = [bytes[0], bytes[1], bytes[2]];
        let Some(record) = decode(bytes) else {
            if bytes[2] & KIND == SEQUIN {
                return Err(WireError::Sequins { record: i + 1 });
            }
            end = Some((i + 1) * RECORD_BYTES);
            break;
        };
        unset += usize::from(bytes[2] & SET != SET);
        both_ways += usize::from(goes_both_ways(bytes));
        records.push(record);
    }
    match end {
        Some(end) => match &body[end..] {
            [] | [AFTER_END] => {}
            rest => findings.push(format!("{} bytes follow the end of the design; left out", rest.len())),
        },
        None => {
            findings.push("the end of the design is not marked; the file may be cut off".to_owned());
            let rest = body.len() % RECORD_BYTES;
            if rest > 0 && body[body.len() - rest..] != [AFTER_END] {
                findings.push(format!("the last record has {rest} of its 3 bytes; left out"));
            }
        }
    }
    let odd = [(unset, "do not have their two lowest bits set"), (both_ways, "move both ways at once")];
    let odd = odd.into_iter().filter(|(count, _)| *count > 0);
    findings.extend(odd.map(|(count, what)| {
        format!("{count} of {} records {what}; the file may be damaged", records.len())
    }));
    Ok((records, findings))
}

/// How many bytes at the end fill up the file: two records and more of one of the bytes that are used for that.
fn padding(body: &[u8]) -> usize {
    let Some(last) = body.last().filter(|b| FILLERS.contains(b)) else { return 0 };
    let row = body.iter().rev().take_while(|b| *b == last).count();
    if row < 2 * RECORD_BYTES { 0 } else { row }
}

fn goes_both_ways(bytes: [u8; RECORD_BYTES]) -> bool {
    let clash = |(_, byte, plus, minus): &(i64, usize, u8, u8)| {
        bytes[*byte] >> plus & 1 == 1 && bytes[*byte] >> minus & 1 == 1
    };
    X_BITS.iter().chain(&Y_BITS).any(clash)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// (dx, dy, bytes): the first published [141], the rest computed from the published table.
    const VECTORS: [(i64, i64, [u8; 3]); 19] = [
        (-12, 64, [0xA8, 0x12, 0x23]),
        (0, 0, [0x00, 0x00, 0x03]),
        (1, 0, [0x01, 0x00, 0x03]),
        (-1, 0, [0x02, 0x00, 0x03]),
        (0, 1, [0x80, 0x00, 0x03]),
        (0, -1, [0x40, 0x00, 0x03]),
        (2, 0, [0x02, 0x01, 0x03]),
        (-2, 0, [0x01, 0x02, 0x03]),
        (10, 0, [0x05, 0x00, 0x03]),
        (25, -25, [0x41, 0x96, 0x03]),
        (121, 0, [0x05, 0x05, 0x07]),
        (-121, 0, [0x0A, 0x0A, 0x0B]),
        (0, 121, [0xA0, 0xA0, 0x23]),
        (0, -121, [0x50, 0x50, 0x13]),
        (121, 121, [0xA5, 0xA5, 0x27]),
        (-121, -121, [0x5A, 0x5A, 0x1B]),
        (40, 41, [0x55, 0x55, 0x23]),
        (100, -100, [0x69, 0x14, 0x17]),
        (0, 25, [0x80, 0x60, 0x03]),
    ];

    fn record(kind: Kind, dx: i64, dy: i64) -> Record {
        Record { kind, dx, dy }
    }

    #[test]
    fn published_records_are_written_and_read() {
        for (dx, dy, bytes) in VECTORS {
            assert_eq!(encode(record(Kind::Stitch, dx, dy)), bytes, "{dx},{dy}");
            assert_eq!(decode(bytes), Some(record(Kind::Stitch, dx, dy)));
        }
        // Jump [141]; colour change at rest [141]; end (memory).
        assert_eq!(encode(record(Kind::Jump, -12, 64)), [0xA8, 0x12, 0xA3]);
        assert_eq!(encode(record(Kind::Stop, 0, 0)), [0x00, 0x00, 0xC3]);
        assert_eq!(decode([0xA8, 0x12, 0xA3]), Some(record(Kind::Jump, -12, 64)));
        assert_eq!(decode([0x00, 0x00, 0xC3]), Some(record(Kind::Stop, 0, 0)));
        assert_eq!(decode([0x00, 0x00, 0xF3]), None);
    }

    #[test]
    fn every_move_is_read_as_written() {
        let mut seen = std::collections::BTreeSet::new();
        for dx in -LONGEST..=LONGEST {
            for dy in -LONGEST..=LONGEST {
                for kind in [Kind::Stitch, Kind::Jump, Kind::Stop] {
                    let bytes = encode(record(kind, dx, dy));
                    assert_eq!(decode(bytes), Some(record(kind, dx, dy)));
                    assert!(!goes_both_ways(bytes));
                    seen.insert(bytes);
                }
            }
        }
        assert_eq!(seen.len(), 3 * 59_049);
    }

    #[test]
    fn sequins_are_refused_by_their_place() {
        let body = [0x00, 0x00, 0x03, 0x00, 0x00, 0x43];
        assert_eq!(read_records(&body), Err(WireError::Sequins { record: 2 }));
    }

    #[test]
    fn the_end_and_what_is_odd_about_it_are_told_apart() {
        let findings = |body: &[u8]| read_records(body).unwrap().1.join(". ");
        assert_eq!(findings(&[0x01, 0, 0x03, 0, 0, 0xF3]), "");
        assert_eq!(findings(&[0x01, 0, 0x03, 0, 0, 0xF3, 0x1A]), "");
        assert!(findings(&[0x01, 0, 0x03, 0, 0, 0xF3, 0, 0]).starts_with("2 bytes follow"));
        assert!(findings(&[0x01, 0, 0x03]).starts_with("the end of the design is not marked"));
        assert!(findings(&[0x01, 0, 0x03, 0, 0]).ends_with("the last record has 2 of its 3 bytes; left out"));
        assert!(findings(&[0x03, 0, 0x03, 0, 0, 0xF3]).starts_with("1 of 1 records move both ways"));
        assert!(findings(&[0x01, 0, 0x00, 0, 0, 0xF3]).starts_with("1 of 1 records do not have"));
    }
}
