//! [`Stitches`] ⇄ bytes for the machine.
//!
//! In: stitches and a name. Out: the bytes of a file, and back. Both formats count tenths of a millimetre, x right,
//! y up, from an origin that is the stitches' centre; files open with moves from there to the first needle point.
//! Each format follows the byte table beside it. Reading is lenient: what is odd but can be read becomes a finding.
//! Limits: no colours, no hoop and no preview are kept; a stitch longer than the format allows is split.

pub mod dst;
pub mod exp;
pub mod record;

use crate::stitches::Stitches;

/// The longest machine file that is read, bytes.
pub const MOST_BYTES: usize = 1_000_000;

/// The most stitches and moves that are read: eight hours of sewing at 600 a minute.
pub const MOST_RECORDS: usize = 300_000;

/// What a machine file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The stitches, mm from the file's origin.
    pub stitches: Stitches,
    /// What lies between each run of the stitches and the next.
    pub breaks: Vec<record::Break>,
    /// The name inside the file, if there is one.
    pub name: Option<String>,
    /// How often the machine stops for another thread.
    pub colour_changes: usize,
    /// The figures its header gives, if it has one.
    pub header: Option<dst::header::Figures>,
    /// What was odd about the file, though it could be read; one sentence each.
    pub findings: Vec<String>,
}

/// A machine file's format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Format {
    /// Three bytes a record, with a header.
    Dst,
    /// Two bytes a stitch, no header.
    Exp,
}

impl Format {
    /// Every format, the usual one first.
    pub const ALL: [Format; 2] = [Format::Dst, Format::Exp];

    /// The file name's ending, without the dot.
    #[must_use]
    pub fn extension(self) -> &'static str {
        match self {
            Format::Dst => "dst",
            Format::Exp => "exp",
        }
    }

    /// The format of a file name's ending, with or without its dot, in any case.
    #[must_use]
    pub fn from_extension(extension: &str) -> Option<Format> {
        let bare = extension.strip_prefix('.').unwrap_or(extension);
        Format::ALL.into_iter().find(|format| bare.eq_ignore_ascii_case(format.extension()))
    }

    /// The bytes of a file in this format.
    ///
    /// # Errors
    /// As [`dst::write`] and [`exp::write`].
    pub fn write(self, stitches: &Stitches, name: &str) -> Result<Vec<u8>, WireError> {
        match self {
            Format::Dst => dst::write(stitches, name),
            Format::Exp => exp::write(stitches),
        }
    }

    /// What a file in this format holds; a file with the other format's header is read by its header.
    ///
    /// # Errors
    /// As [`dst::read`] and [`exp::read`], and [`WireError::Text`] for text.
    pub fn read(self, bytes: &[u8]) -> Result<Reading, WireError> {
        if is_text(bytes) {
            return Err(WireError::Text);
        }
        match self {
            Format::Dst => dst::read(bytes),
            Format::Exp if bytes.starts_with(b"LA:") && bytes.len() >= dst::HEADER_BYTES => {
                let mut reading = dst::read(bytes)?;
                reading
                    .findings
                    .insert(0, "by its header the file is a .dst file, and is read as one".to_owned());
                Ok(reading)
            }
            Format::Exp => exp::read(bytes),
        }
    }
}

impl Reading {
    /// How often a machine trims the thread between two runs.
    #[must_use]
    pub fn trims(&self) -> usize {
        self.breaks.iter().filter(|b| b.trims()).count()
    }

    /// How often it moves on to another run without sewing; a stop alone is no such move.
    #[must_use]
    pub fn jumps(&self) -> usize {
        self.breaks.iter().filter(|b| b.moves > 0 || b.cut).count()
    }
}

/// Fewer bytes than this are not told from text.
const SHORTEST_TEXT: usize = 8;

/// True if bytes are words: no design moves up and to the right only, and hardly a millimetre less than three each time.
fn is_text(bytes: &[u8]) -> bool {
    let plain = |text: &str| text.chars().all(|c| !c.is_control() || matches!(c, '\t' | '\n' | '\r'));
    bytes.len() >= SHORTEST_TEXT && std::str::from_utf8(bytes).is_ok_and(plain)
}

/// Why stitches cannot be written, or bytes not read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WireError {
    /// There is nothing to write.
    #[error("there are no stitches to write; draw a line first")]
    NoStitches,
    /// Further from the centre than the header has digits for.
    #[error(
        "the design reaches {reach_mm:.1} mm from its centre, and the format has room for {longest_mm:.1}; make it smaller or split it"
    )]
    TooLarge {
        /** How far it reaches, mm. */
        reach_mm: f64,
        /** How far it may, mm. */
        longest_mm: f64,
    },
    /// More records than the header has digits for.
    #[error("the design has {records} stitches and moves, and the format has room for {most}; split it")]
    TooMany {
        /** How many there are. */
        records: usize,
        /** How many there may be. */
        most: usize,
    },
    /// More stitches and moves than are read.
    #[error(
        "the file has {records} stitches and moves, and at most {MOST_RECORDS} are read; split the design"
    )]
    TooManyToRead {
        /** How many there are. */
        records: usize,
    },
    /// Too few bytes for the header.
    #[error(
        "the file has {length} bytes, and a .dst header alone has {}; it is cut off or no .dst file",
        dst::HEADER_BYTES
    )]
    TooShort {
        /** How many bytes there are. */
        length: usize,
    },
    /// Words.
    #[error("the file is text, not stitches; check that it is the right file")]
    Text,
    /// The header is not one.
    #[error(
        "the file does not begin like a .dst file: none of LA:, ST:, CO:, +X: is in its first {} bytes; check that it is one",
        dst::HEADER_BYTES
    )]
    NoHeader,
    /// Records that drop sequins, after which jumps mean something else.
    #[error("record {record} switches sequins on, which are not read; leave them out of the design")]
    Sequins {
        /** Which record, from 1. */
        record: usize,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_format_is_known_by_its_ending() {
        assert_eq!(Format::from_extension("DST"), Some(Format::Dst));
        assert_eq!(Format::from_extension(".exp"), Some(Format::Exp));
        assert_eq!(Format::from_extension("txt"), None);
        assert_eq!(Format::from_extension(""), None);
    }
}
