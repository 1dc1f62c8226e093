//! A design → its files: one of them, or all in a zip; the bytes that the command writes.

use std::io::{Cursor, Write};

use serde::Deserialize;
use thrice::survey::cautions::CAUTIONS;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

use super::answer::{Answer, Refusal};
use super::design::Design;
use crate::block;

/// A design and what is to be written of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    design: Design,
    #[serde(default)]
    formats: Vec<String>,
    #[serde(default)]
    also: Vec<String>,
    paper: Option<String>,
    /// Of one file: how its name ends.
    ending: Option<String>,
}

/// What each ending has to be asked for with.
const ASKED: [(&str, &str); 6] = [
    (".png", "png"),
    ("-relief.png", "relief"),
    ("-page.html", "page"),
    (".html", "moving"),
    ("-sewing-sheet.pdf", "sewing-sheet"),
    ("-lines.svg", "lines"),
];

impl Wanted {
    /// The name of the design and its files, by the endings of their names.
    fn made(&self, formats: &[String], also: &[String]) -> Result<(String, Vec<thrice::Made>), Refusal> {
        let list = |name: &str, words: &[String]| {
            (!words.is_empty()).then(|| format!("--{name}={}", words.join(",")))
        };
        let paper = self.paper.as_ref().map(|paper| format!("--paper={paper}"));
        let more: Vec<String> =
            list("formats", formats).into_iter().chain(list("also", also)).chain(paper).collect();
        let ordered = self.design.read(&more)?;
        let refused = |error| ordered.refusal(&error, &self.design);
        let (piece, made) = block::made(&ordered.args, ordered.files()).map_err(refused)?;
        Ok((piece.order.name, made))
    }
}

/// All files of a design in one zip, with the cautions to read first.
pub fn all(wanted: &Wanted) -> Result<Answer, Refusal> {
    let (name, made) = wanted.made(&wanted.formats, &wanted.also)?;
    let mut files: Vec<(String, Vec<u8>)> =
        made.into_iter().map(|made| (format!("{name}{}", made.ending), made.bytes)).collect();
    files.push(("read-me-first.txt".into(), cautions().into_bytes()));
    zipped(&name, &files)
}

/// One file of a design.
pub fn one(wanted: &Wanted) -> Result<Answer, Refusal> {
    let ending = wanted.ending.as_deref().unwrap_or(".dst");
    let also: Vec<String> =
        ASKED.iter().filter(|(known, _)| *known == ending).map(|(_, word)| (*word).to_owned()).collect();
    let formats: Vec<String> = match ending.strip_prefix('.') {
        Some(format @ ("dst" | "exp")) => vec![format.to_owned()],
        _ => Vec::new(),
    };
    let (name, made) = wanted.made(&formats, &also)?;
    let made = made.into_iter().find(|made| made.ending == ending);
    let made =
        made.ok_or_else(|| Refusal::new(400, &format!("`{ending}` ends no file of a design; name another")))?;
    Ok(download(&format!("{name}{ending}"), "application/octet-stream", made.bytes))
}

/// The cautions as a text of their own.
pub fn cautions() -> String {
    let part = |part: &thrice::survey::cautions::Cautions| {
        let sentences: String = part.sentences.iter().map(|sentence| format!("- {sentence}\n")).collect();
        format!("{}\n{sentences}", part.when)
    };
    CAUTIONS.iter().map(part).collect::<Vec<_>>().join("\n")
}

/// Files in a zip: stored, with one date, so that the same files give the same bytes.
pub fn zipped(name: &str, files: &[(String, Vec<u8>)]) -> Result<Answer, Refusal> {
    let broke = |error: &dyn std::fmt::Display| Refusal::broke(&error.to_string());
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Stored)
        .last_modified_time(DateTime::default());
    for (name, bytes) in files {
        zip.start_file(name.as_str(), options).map_err(|error| broke(&error))?;
        zip.write_all(bytes).map_err(|error| broke(&error))?;
    }
    let bytes = zip.finish().map_err(|error| broke(&error))?.into_inner();
    Ok(download(&format!("{name}.zip"), "application/zip", bytes))
}

/// Bytes that the browser keeps as a file. The name is also told by itself, for a page that saves it.
pub fn download(name: &str, kind: &'static str, bytes: Vec<u8>) -> Answer {
    let quoted: String = name
        .bytes()
        .map(|b| match b {
            b if b.is_ascii_alphanumeric() || b".-_".contains(&b) => char::from(b).to_string(),
            b => format!("%{b:02X}"),
        })
        .collect();
    Answer::new(kind, bytes).with("Content-Disposition", format!("attachment; filename*=UTF-8''{quoted}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_files_give_the_same_zip() {
        let files = [("rose.dst".to_owned(), vec![1, 2, 3]), ("rose é.svg".to_owned(), vec![4])];
        let zip = zipped("rose é", &files).unwrap();
        assert_eq!(zip.body, zipped("rose é", &files).unwrap().body);
        assert_eq!(zip.headers[0].1, "attachment; filename*=UTF-8''rose%20%C3%A9.zip");
        let mut read = zip::ZipArchive::new(Cursor::new(zip.body)).unwrap();
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut read.by_name("rose é.svg").unwrap(), &mut bytes).unwrap();
        assert_eq!(bytes, [4]);
    }
}
