//! Plain readers of machine files, from the tables in `src/wire/dst.md` and `src/wire/exp.md`.
//!
//! They share nothing with the library's own readers, know only what well-made files hold, and panic on the rest.

/// What the machine does, and where the needle then stands, 0.1 mm from the start.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// The needle goes down.
    Down(i32, i32),
    /// The hoop moves.
    Move(i32, i32),
}

/// The table of a three-byte record as it is printed: bit 7 first.
const BITS: [&str; 24] = [
    "y+1", "y-1", "y+9", "y-9", "x-9", "x+9", "x-1", "x+1", //
    "y+3", "y-3", "y+27", "y-27", "x-27", "x+27", "x-3", "x+3", //
    "jump", "colour", "y+81", "y-81", "x-81", "x+81", "set", "set",
];

/// The acts of a .dst file up to its end record, which has to be the last.
pub fn read_dst(bytes: &[u8]) -> Vec<Act> {
    let (mut x, mut y) = (0, 0);
    let mut acts = Vec::new();
    let records: Vec<&[u8]> = bytes[512..].chunks(3).collect();
    for (i, record) in records.iter().enumerate() {
        if *record == [0x00, 0x00, 0xF3] {
            assert_eq!(i, records.len() - 1, "the end is not the last record");
            return acts;
        }
        let mut jump = false;
        let mut set = 0;
        for (bit, name) in BITS.iter().enumerate() {
            if record[bit / 8] & (0x80 >> (bit % 8)) == 0 {
                continue;
            }
            match (&name[..1], name[1..].parse::<i32>()) {
                ("x", Ok(move_by)) => x += move_by,
                ("y", Ok(move_by)) => y += move_by,
                ("j", _) => jump = true,
                ("s", _) => set += 1,
                _ => panic!("record {i} has the bit {name}"),
            }
        }
        assert_eq!(set, 2, "record {i} lacks a set bit");
        acts.push(if jump { Act::Move(x, y) } else { Act::Down(x, y) });
    }
    panic!("there is no end record");
}

/// A value of a .dst header by its offset and width, without its spaces.
pub fn dst_value(bytes: &[u8], offset: usize, tag: &str, width: usize) -> String {
    let end = offset + tag.len() + width;
    assert_eq!(&bytes[offset..offset + tag.len()], tag.as_bytes());
    assert_eq!(bytes[end], 0x0D, "{tag} does not end with a carriage return");
    String::from_utf8(bytes[offset + tag.len()..end].to_vec()).unwrap().replace(' ', "")
}

/// The acts of an .exp file made of stitches and jumps only.
pub fn read_exp(bytes: &[u8]) -> Vec<Act> {
    let (mut x, mut y) = (0, 0);
    let mut acts = Vec::new();
    let mut i = 0;
    while i < bytes.len() {
        let jump = bytes[i] == 0x80;
        if jump {
            assert_eq!(bytes[i + 1], 0x04, "byte {} is no jump", i + 1);
            i += 2;
        }
        let signed = |byte: u8| if byte > 127 { i32::from(byte) - 256 } else { i32::from(byte) };
        x += signed(bytes[i]);
        y += signed(bytes[i + 1]);
        i += 2;
        acts.push(if jump { Act::Move(x, y) } else { Act::Down(x, y) });
    }
    acts
}

/// The runs of needle points among the acts: any move parts them.
pub fn runs(acts: &[Act]) -> Vec<Vec<(i32, i32)>> {
    let mut all: Vec<Vec<(i32, i32)>> = vec![Vec::new()];
    for act in acts {
        match act {
            Act::Down(x, y) => all.last_mut().unwrap().push((*x, *y)),
            Act::Move(..) => all.push(Vec::new()),
        }
    }
    all.retain(|run| !run.is_empty());
    all
}
