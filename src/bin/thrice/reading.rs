//! Files out of the world: read whole, up to a limit, and only if they are files.
//!
//! A device or a pipe may never end, and a file may be larger than any design: both are refused before anything is made of
//! them. The page hands its files in with a request: then those are all the files there are, and none is read from a folder.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};
use thrice::base::plain;
use thrice::block::drawn;

use super::words::{NotHandedIn, typed, unreadable};

/// The longest motif or quilt file, bytes: a hundred times the longest that is useful.
pub const MOST_TEXT: u64 = 1_000_000;

/// The longest drawing, bytes.
pub const MOST_DRAWING: u64 = thrice::block::svg_bounds::MOST_BYTES as u64;

/// The longest machine file, bytes.
pub const MOST_MACHINE: u64 = thrice::wire::MOST_BYTES as u64;

/// Where files come from.
#[derive(Debug, Clone, Copy)]
pub enum Files<'f> {
    /// From the folders of this machine.
    World,
    /// From a request: names and bytes, and nothing else.
    Given(&'f [(PathBuf, Vec<u8>)]),
}

impl Files<'_> {
    /// The bytes of a file.
    ///
    /// # Errors
    /// If there is none, it is longer than `most` bytes, or cannot be read.
    pub fn bytes(self, path: &Path, most: u64) -> anyhow::Result<Vec<u8>> {
        match self {
            Self::World => bytes(path, most),
            Self::Given(files) => match files.iter().find(|(name, _)| name == path) {
                None => Err(NotHandedIn { name: path.display().to_string() }.into()),
                Some((_, bytes)) if bytes.len() as u64 > most => {
                    Err(too_long(path, &format!("{:.1}", bytes.len() as f64 / 1e6), most))
                }
                Some((_, bytes)) => Ok(bytes.clone()),
            },
        }
    }

    /// The text of a file.
    ///
    /// # Errors
    /// As [`Files::bytes`], or if it is no text in UTF-8.
    pub fn text(self, path: &Path, most: u64) -> anyhow::Result<String> {
        in_utf_8(path, self.bytes(path, most)?)
    }

    /// The text of a drawing, and what is to be told of letters in it, which are no lines.
    ///
    /// # Errors
    /// As [`Files::text`].
    pub fn drawing(self, path: &Path) -> anyhow::Result<(String, Option<String>)> {
        let text = self.text(path, MOST_DRAWING)?;
        // What is no drawing is told by whoever makes something of it.
        let note = letters_left_out(&drawn::svg_words(&text).unwrap_or_default());
        Ok((text, note))
    }
}

fn too_long(path: &Path, length: &str, most: u64) -> anyhow::Error {
    let most = most as f64 / 1e6;
    typed(format!("{} is {length} MB long; at most {most} MB are read", path.display()))
}

fn in_utf_8(path: &Path, bytes: Vec<u8>) -> anyhow::Result<String> {
    let text = String::from_utf8(bytes);
    text.map_err(|_| typed(format!("{} is no text in UTF-8; save it as one", path.display())))
}

/// The bytes of a file.
///
/// # Errors
/// If it is no file, longer than `most` bytes, or cannot be read.
pub fn bytes(path: &Path, most: u64) -> anyhow::Result<Vec<u8>> {
    let found = std::fs::metadata(path).with_context(|| unreadable(path))?;
    if !found.is_file() {
        bail!("{} is no file; name a file", path.display());
    }
    if found.len() > most {
        return Err(too_long(path, &format!("{:.1}", found.len() as f64 / 1e6), most));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).with_context(|| unreadable(path))?;
    file.take(most + 1).read_to_end(&mut bytes).with_context(|| unreadable(path))?;
    if bytes.len() as u64 > most {
        return Err(too_long(path, &format!("more than {:.1}", most as f64 / 1e6), most));
    }
    Ok(bytes)
}

/// The text of a file.
///
/// # Errors
/// As [`bytes`], or if it is no text in UTF-8.
pub fn text(path: &Path, most: u64) -> anyhow::Result<String> {
    in_utf_8(path, bytes(path, most)?)
}

/// What is told of letters in a drawing.
fn letters_left_out(words: &[String]) -> Option<String> {
    let quoted: Vec<String> =
        words.iter().map(|w| format!("\u{201c}{}\u{201d}", plain::escaped(w))).collect();
    (!quoted.is_empty()).then(|| {
        format!(
            "Letters are left out: {}; turn them into paths in the drawing program if they are to be sewn.",
            quoted.join(", ")
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::exit_code;

    #[test]
    fn what_is_no_file_or_too_long_is_refused_at_once() {
        let dir = tempfile::tempdir().unwrap();
        let told = |path: &Path| bytes(path, 8).unwrap_err().to_string();
        assert!(told(dir.path()).ends_with("is no file; name a file"));
        assert!(told(Path::new("/no/such")).starts_with("cannot read /no/such"));
        if cfg!(unix) {
            assert_eq!(told(Path::new("/dev/zero")), "/dev/zero is no file; name a file");
        }
        let path = dir.path().join("long");
        std::fs::write(&path, "1234567").unwrap();
        assert_eq!(bytes(&path, 8).unwrap(), b"1234567");
        std::fs::write(&path, "123456789").unwrap();
        assert!(told(&path).ends_with("MB long; at most 0.000008 MB are read"), "{}", told(&path));
        std::fs::write(&path, [0xFF, 0xFE]).unwrap();
        assert_eq!(exit_code(&text(&path, 8).unwrap_err()), 2);
    }

    #[test]
    fn files_handed_in_are_all_there_are() {
        let given = [(PathBuf::from("rose.svg"), b"1234567".to_vec())];
        let files = Files::Given(&given);
        assert_eq!(files.text(Path::new("rose.svg"), 8).unwrap(), "1234567");
        assert!(
            files.bytes(Path::new("rose.svg"), 6).unwrap_err().to_string().contains("at most 0.000006 MB")
        );
        let told = files.bytes(Path::new("Cargo.toml"), 1000).unwrap_err().to_string();
        assert_eq!(told, "Cargo.toml was not handed in; add that file");
        assert!(Files::World.text(Path::new("Cargo.toml"), 100_000).unwrap().contains("[package]"));
    }
}
