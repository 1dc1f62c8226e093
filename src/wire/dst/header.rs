//! The header of a .dst file ⇄ its name and figures.

use crate::stitches::grid::millimetres;
use crate::wire::WireError;
use crate::wire::record::Record;

use super::HEADER_BYTES;

/// Letters of a name that are kept: by custom no more are shown.
const NAME_LETTERS: usize = 8;
const NAMELESS: &str = "design";
/// What five and seven digits hold.
const LARGEST: i64 = 99_999;
const MOST: usize = 9_999_999;
const CARRIAGE_RETURN: u8 = 0x0D;
const END_OF_HEADER: char = '\x1A';

/// What a header says of the body, lengths in 0.1 mm from the start point; `None` where it cannot be read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Figures {
    /// Records, jumps and colour changes included.
    pub records: Option<i64>,
    /// Colour changes.
    pub colour_changes: Option<i64>,
    /// How far the design reaches to the right.
    pub right: Option<i64>,
    /// How far to the left.
    pub left: Option<i64>,
    /// How far up.
    pub up: Option<i64>,
    /// How far down.
    pub down: Option<i64>,
    /// Where it ends, to the right.
    pub end_x: Option<i64>,
    /// Where it ends, up.
    pub end_y: Option<i64>,
}

impl Figures {
    /// The figures of a body.
    #[must_use]
    pub fn of(records: &[Record]) -> Self {
        let (mut x, mut y) = (0, 0);
        let (mut right, mut left, mut up, mut down) = (0, 0, 0, 0);
        for record in records {
            (x, y) = (x + record.dx, y + record.dy);
            (right, left) = (right.max(x), left.max(-x));
            (up, down) = (up.max(y), down.max(-y));
        }
        let stops = records.iter().filter(|r| r.kind == crate::wire::record::Kind::Stop).count();
        Figures {
            records: i64::try_from(records.len()).ok(),
            colour_changes: i64::try_from(stops).ok(),
            right: Some(right),
            left: Some(left),
            up: Some(up),
            down: Some(down),
            end_x: Some(x),
            end_y: Some(y),
        }
    }

    /// A sentence for every figure that is not as the body has it, and one for all that are no numbers.
    #[must_use]
    pub fn disagreements(&self, body: &Figures) -> Vec<String> {
        let counts = [
            ("ST", "records", self.records, body.records),
            ("CO", "colour changes", self.colour_changes, body.colour_changes),
        ];
        let lengths = [
            ("+X", "to the right", self.right, body.right),
            ("-X", "to the left", self.left, body.left),
            ("+Y", "up", self.up, body.up),
            ("-Y", "down", self.down, body.down),
            ("AX", "to the right at the end", self.end_x, body.end_x),
            ("AY", "up at the end", self.end_y, body.end_y),
        ];
        let all = counts.iter().chain(&lengths);
        let unread: Vec<&str> = all.filter(|(.., given, _)| given.is_none()).map(|(tag, ..)| *tag).collect();
        let mut said = Vec::from_iter(unreadable(&unread, counts.len() + lengths.len()));
        for (tag, what, given, found) in counts {
            if let (Some(given), Some(found)) = (given, found)
                && given != found
                && !(tag == "ST" && given == found + 1)
            {
                said.push(format!("the header says {given} {what}, the design has {found}"));
            }
        }
        for (_, way, given, found) in lengths {
            if let (Some(given), Some(found)) = (given, found)
                && given != found
            {
                let (given, found) = (millimetres(given), millimetres(found));
                said.push(format!("the header says {given:.1} mm {way}, the design goes {found:.1}"));
            }
        }
        said
    }
}

/// That the figures of some tags cannot be read, of `all` that there are.
fn unreadable(tags: &[&str], all: usize) -> Option<String> {
    match tags {
        [] => None,
        [one] => Some(format!("the header's {one} is not a number")),
        _ if tags.len() == all => Some(
            "the header has no figures to hold the stitches against; they are read all the same".to_owned(),
        ),
        [first @ .., last] => Some(format!("the header's {} and {last} are not numbers", first.join(", "))),
    }
}

/// The 512 bytes of a header.
pub fn write(name: &str, figures: &Figures) -> Result<Vec<u8>, WireError> {
    let get = |figure: Option<i64>| figure.unwrap_or(0);
    let records = usize::try_from(get(figures.records)).unwrap_or(usize::MAX);
    if records == 0 {
        return Err(WireError::NoStitches);
    }
    if records > MOST {
        return Err(WireError::TooMany { records, most: MOST });
    }
    let [right, left, up, down] = [figures.right, figures.left, figures.up, figures.down].map(get);
    let reach = right.max(left).max(up).max(down);
    if reach > LARGEST {
        return Err(WireError::TooLarge { reach_mm: millimetres(reach), longest_mm: millimetres(LARGEST) });
    }
    let [end_x, end_y] = [figures.end_x, figures.end_y].map(|end| signed(get(end)));
    let lines = [
        format!("LA:{:<16}", plain_name(name)),
        format!("ST:{records:>7}"),
        format!("CO:{:>3}", get(figures.colour_changes)),
        format!("+X:{right:>5}"),
        format!("-X:{left:>5}"),
        format!("+Y:{up:>5}"),
        format!("-Y:{down:>5}"),
        format!("AX:{end_x}"),
        format!("AY:{end_y}"),
        format!("MX:{}", signed(0)),
        format!("MY:{}", signed(0)),
        "PD:******".to_owned(),
    ];
    let mut text: String = lines.iter().flat_map(|line| [line.as_str(), "\r"]).collect();
    text.push(END_OF_HEADER);
    let mut bytes = text.into_bytes();
    bytes.resize(HEADER_BYTES, b' ');
    Ok(bytes)
}

/// The name and the figures of a header; lines are known by their tags, wherever they stand.
pub fn read(head: &[u8]) -> Result<(Option<String>, Figures), WireError> {
    let value = |tag: &str| {
        let line = head
            .split(|b| *b == CARRIAGE_RETURN || *b == b'\n')
            .find_map(|line| line.strip_prefix(tag.as_bytes())?.strip_prefix(b":"))?;
        Some(String::from_utf8_lossy(line).replace('\0', " ").trim().to_owned())
    };
    let number = |tag: &str| number(&value(tag)?);
    let blank = head.iter().all(|b| *b == b' ' || *b == 0);
    if !blank && ["LA", "ST", "CO", "+X"].iter().all(|tag| value(tag).is_none()) {
        return Err(WireError::NoHeader);
    }
    let figures = Figures {
        records: number("ST"),
        colour_changes: number("CO"),
        right: number("+X"),
        left: number("-X"),
        up: number("+Y"),
        down: number("-Y"),
        end_x: number("AX"),
        end_y: number("AY"),
    };
    Ok((value("LA").filter(|name| !name.is_empty()), figures))
}

/// Reads `   12`, `00012`, `+  12` and `-00012`.
fn number(text: &str) -> Option<i64> {
    let close: String = text.chars().filter(|c| *c != ' ').collect();
    close.parse().ok()
}

fn signed(value: i64) -> String {
    let sign = if value < 0 { '-' } else { '+' };
    format!("{sign}{:>5}", value.abs())
}

fn plain_name(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' || c == '_' { c } else { '_' };
    let kept: String = name.trim().chars().map(plain).take(NAME_LETTERS).collect();
    if kept.is_empty() { NAMELESS.to_owned() } else { kept }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::record::Kind;

    fn figures() -> Figures {
        let jump = Record { kind: Kind::Jump, dx: -100, dy: 0 };
        let stitch = Record { kind: Kind::Stitch, dx: 25, dy: -3 };
        Figures::of(&[jump, stitch, stitch])
    }

    #[test]
    fn a_header_has_every_figure_in_its_place() {
        let bytes = write("wreath", &figures()).unwrap();
        let used = "LA:wreath          \rST:      3\rCO:  0\r+X:    0\r-X:  100\r+Y:    0\r-Y:    6\r\
                    AX:-   50\rAY:-    6\rMX:+    0\rMY:+    0\rPD:******\r\x1A";
        assert_eq!(bytes.len(), 512);
        assert_eq!(std::str::from_utf8(&bytes[..125]).unwrap(), used);
        assert!(bytes[125..].iter().all(|b| *b == 0x20));
    }

    #[test]
    fn a_header_is_read_as_written() {
        let bytes = write("wreath", &figures()).unwrap();
        assert_eq!(read(&bytes).unwrap(), (Some("wreath".to_owned()), figures()));
    }

    #[test]
    fn numbers_filled_up_either_way_are_read() {
        assert_eq!(number("    685"), Some(685));
        assert_eq!(number("0000685"), Some(685));
        assert_eq!(number("+  685"), Some(685));
        assert_eq!(number("-00685"), Some(-685));
        assert_eq!(number("******"), None);
        assert_eq!(number(""), None);
    }

    #[test]
    fn a_blank_header_is_read_and_another_file_is_refused() {
        assert_eq!(read(&[b' '; 512]).unwrap(), (None, Figures::default()));
        assert_eq!(read(&[b'x'; 512]), Err(WireError::NoHeader));
    }

    #[test]
    fn a_header_that_disagrees_says_where() {
        let given = Figures { records: Some(9), right: Some(7), end_y: None, ..figures() };
        assert_eq!(
            given.disagreements(&figures()),
            [
                "the header's AY is not a number",
                "the header says 9 records, the design has 3",
                "the header says 0.7 mm to the right, the design goes 0.0"
            ]
        );
        let with_the_end = Figures { records: Some(4), ..figures() };
        assert!(with_the_end.disagreements(&figures()).is_empty());
    }

    #[test]
    fn figures_that_are_missing_are_told_in_one_sentence() {
        let some = Figures { records: None, left: None, end_x: None, ..figures() };
        assert_eq!(some.disagreements(&figures()), ["the header's ST, -X and AX are not numbers"]);
        assert_eq!(
            Figures::default().disagreements(&figures()),
            ["the header has no figures to hold the stitches against; they are read all the same"]
        );
    }

    #[test]
    fn names_keep_eight_plain_letters() {
        assert_eq!(plain_name("orange-peel-square-8in"), "orange-p");
        assert_eq!(plain_name("blåbær 2"), "bl_b_r_2");
        assert_eq!(plain_name("  "), "design");
    }

    #[test]
    fn a_design_beyond_the_headers_digits_is_refused() {
        let far = Figures { right: Some(100_000), ..figures() };
        assert!(matches!(write("far", &far), Err(WireError::TooLarge { reach_mm: 10_000.0, .. })));
        let long = Figures { records: Some(10_000_000), ..figures() };
        assert!(matches!(write("long", &long), Err(WireError::TooMany { records: 10_000_000, .. })));
        assert_eq!(write("none", &Figures::of(&[])), Err(WireError::NoStitches));
    }
}
