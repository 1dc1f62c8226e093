#![doc = include_str!("exp.md")]

use super::record::{Gathered, Kind, Record, gather, plan};
use super::{Reading, WireError};
use crate::stitches::Stitches;

/// The longest move either way, 0.1 mm; −128 in the place of x is the escape.
pub const LONGEST: i64 = 127;

const ESCAPE: u8 = 0x80;
const STOP: u8 = 0x01;
const JUMP: u8 = 0x04;
const JUMP_OR_STITCH: u8 = 0x02;
const END_OR_TRIM: u8 = 0x80;
/// Bytes that files are filled up with: none, end of text, blank.
const FILLERS: [u8; 3] = [0x00, 0x1A, 0x20];
/// A row this long at the end fills up the file: as stitches it would be eight in one place, or eight alike.
const FILLED_UP: usize = 16;
/// Of such a row the first bytes may belong to the last stitch.
const KEPT: usize = 2;

/// The bytes of an .exp file; the format holds no name.
///
/// # Errors
/// [`WireError::NoStitches`] if there are none.
pub fn write(stitches: &Stitches) -> Result<Vec<u8>, WireError> {
    let records = plan(stitches, LONGEST);
    if records.is_empty() {
        return Err(WireError::NoStitches);
    }
    Ok(records.into_iter().flat_map(encode).collect())
}

/// What an .exp file holds.
///
/// # Errors
/// [`WireError::TooManyToRead`]; any other bytes are moves, and what is odd about them is in the findings.
pub fn read(bytes: &[u8]) -> Result<Reading, WireError> {
    let body = &bytes[..bytes.len() - padding(bytes)];
    let (records, mut findings) = read_records(body);
    if body.len() < bytes.len() {
        findings.push(format!("{} bytes fill up the end of the file; left out", bytes.len() - body.len()));
    }
    let Gathered { stitches, breaks, findings: odd } = gather(&records)?;
    findings.extend(odd);
    let colour_changes = records.iter().filter(|r| r.kind == Kind::Stop).count();
    Ok(Reading { stitches, breaks, name: None, colour_changes, header: None, findings })
}

/// The bytes of a record; moves are at most [`LONGEST`] either way, and trims are jumps.
fn encode(record: Record) -> Vec<u8> {
    // Two's complement: the low byte of a number from −127 to 127.
    let [dx, dy] = [record.dx, record.dy].map(|d| d.to_le_bytes()[0]);
    match record.kind {
        Kind::Stitch => vec![dx, dy],
        Kind::Jump | Kind::Trim => vec![ESCAPE, JUMP, dx, dy],
        Kind::Stop => vec![ESCAPE, STOP, dx, dy],
    }
}

/// How many bytes at the end fill up the file: a long row of one of the bytes that are used for that, an even count of them.
fn padding(bytes: &[u8]) -> usize {
    let Some(last) = bytes.last().filter(|b| FILLERS.contains(b)) else { return 0 };
    let row = bytes.iter().rev().take_while(|b| *b == last).count();
    if row < FILLED_UP { 0 } else { (row - KEPT) / 2 * 2 }
}

fn read_records(bytes: &[u8]) -> (Vec<Record>, Vec<String>) {
    let mut records = Vec::new();
    let (mut disputed, mut trims, mut unknown) = (0_usize, 0_usize, 0_usize);
    let mut findings = Vec::new();
    let mut rest = bytes;
    loop {
        rest = match rest {
            [] => break,
            [ESCAPE, END_OR_TRIM] | [ESCAPE, END_OR_TRIM, _] | [ESCAPE, END_OR_TRIM, _, _] => {
                findings.push("an end is marked by 80 80, which not every machine knows".to_owned());
                break;
            }
            [ESCAPE, code, dx, dy, after @ ..] => {
                let kind = match *code {
                    STOP => Kind::Stop,
                    END_OR_TRIM => Kind::Trim,
                    _ => Kind::Jump,
                };
                disputed += usize::from(*code == JUMP_OR_STITCH);
                trims += usize::from(kind == Kind::Trim);
                unknown += usize::from(![STOP, JUMP, JUMP_OR_STITCH, END_OR_TRIM].contains(code));
                records.push(record(kind, *dx, *dy));
                after
            }
            [dx, dy, after @ ..] if *dx != ESCAPE => {
                records.push(record(Kind::Stitch, *dx, *dy));
                after
            }
            short => {
                findings.push(format!("the last record is cut short after {} bytes; left out", short.len()));
                break;
            }
        };
    }
    let odd = [
        (disputed, "80 02, which some take for a jump and some for a stitch; read as jumps"),
        (trims, "80 80, read as cutting the thread"),
        (unknown, "a code that is not known; read as moves without sewing"),
    ];
    let odd = odd.into_iter().filter(|(count, _)| *count > 0);
    findings.extend(odd.map(|(count, what)| format!("{count} records have {what}")));
    (records, findings)
}

fn record(kind: Kind, dx: u8, dy: u8) -> Record {
    let signed = |byte: u8| i64::from(i8::from_le_bytes([byte]));
    Record { kind, dx: signed(dx), dy: signed(dy) }
}
