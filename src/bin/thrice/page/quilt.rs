//! A quilt file as text → the quilt worked out for the page, and its files; the bytes that the command writes.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use serde::Deserialize;
use serde_json::json;
use thrice::base::form::Problem;
use thrice::top::Work;
use thrice::top::file::path_safe;
use thrice::top::plan::{Plan, plan};
use thrice::views::relief::{self, scenes};

use super::answer::{Answer, KeyProblem, Refusal};
use super::cache::Cache;
use super::files::{cautions, download, zipped};
use super::keys::key_at;
use super::typed::command;
use super::{assets, quilt_map};
use crate::Command;
use crate::quilt;
use crate::reading::Files;
use crate::words::{Unusable, in_her_units};

/// What the quilt file is called among the files that are handed in.
const NAME: &str = "quilt.toml";
/// Pictures of cloth are at most this wide, pixels.
const WIDEST_PX: u32 = 3000;

/// A quilt, and what is wanted of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    toml: String,
    /// Drawings that the quilt file names.
    #[serde(default)]
    files: BTreeMap<String, String>,
    #[serde(default)]
    formats: Vec<String>,
    paper: Option<String>,
    #[serde(default)]
    also: Vec<String>,
    px: Option<u32>,
    what: Option<String>,
}

/// What a new quilt file begins as.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Starter {
    family: Option<String>,
    #[serde(default)]
    demo: bool,
}

/// A quilt worked out.
pub struct Worked {
    work: Work,
    plan: Plan,
}

/// Files by their names.
pub type Written = Vec<(String, Vec<u8>)>;

/// The quilts that were worked out last, and what was written of the last.
pub struct Latest {
    worked: Cache<Worked>,
    written: Cache<Written>,
}

impl Default for Latest {
    fn default() -> Self {
        Self { worked: Cache::new(3), written: Cache::new(1) }
    }
}

impl Asked {
    /// The command's own arguments.
    fn args(&self) -> Result<quilt::Args, Refusal> {
        let list = |name: &str, words: &[String]| {
            (!words.is_empty()).then(|| format!("--{name}={}", words.join(",")))
        };
        let paper = self.paper.as_ref().map(|paper| format!("--paper={paper}"));
        let more = [list("formats", &self.formats), list("also", &self.also), paper];
        let words = ["thrice", "quilt"].map(str::to_owned).into_iter().chain(more.into_iter().flatten());
        let words: Vec<String> = words.chain(["--".to_owned(), NAME.to_owned()]).collect();
        match command(&words)? {
            Command::Quilt(args) => Ok(args),
            _ => Err(Refusal::new(400, "the request is no quilt; send a quilt")),
        }
    }

    fn worked(&self, latest: &Latest) -> Result<Arc<Worked>, Refusal> {
        let key = format!("{:?}", (&self.toml, &self.files));
        latest.worked.get(&key, || {
            let args = self.args()?;
            let mut given = vec![(PathBuf::from(NAME), self.toml.clone().into_bytes())];
            given.extend(
                self.files.iter().map(|(name, text)| (PathBuf::from(name), text.clone().into_bytes())),
            );
            let quilt =
                quilt::read(&args, Files::Given(&given)).map_err(|error| unread(&error, &self.toml))?;
            let work = quilt::worked(&args, &quilt, &|_, _| ()).map_err(|error| Refusal::of(&error))?;
            let plan = plan(&work);
            Ok(Worked { work, plan })
        })
    }

    /// Everything that the command writes, by the names within the quilt's folder.
    fn written(&self, latest: &Latest) -> Result<(String, Arc<Written>), Refusal> {
        let worked = self.worked(latest)?;
        let key = format!("{:?}", (&self.toml, &self.files, &self.formats, &self.paper, &self.also));
        let written = latest
            .written
            .get(&key, || quilt::made(&self.args()?, &worked.work).map_err(|error| Refusal::of(&error)))?;
        Ok((path_safe(&worked.work.quilt.title), written))
    }
}

/// A quilt file that cannot be used: every mistake by its line.
fn unread(error: &anyhow::Error, text: &str) -> Refusal {
    let Some(file) = error.downcast_ref::<Unusable>() else { return Refusal::of(error) };
    Refusal {
        status: 400,
        error: in_her_units(&file.lines()),
        hint: None,
        field: file.problems.first().map(|problem| format!("line {}", problem.line)),
        missing: file.missing.iter().map(|file| file.name.clone()).collect(),
        problems: file.problems.iter().map(|problem| at_its_key(problem, text)).collect(),
    }
}

/// A mistake with the key that it lies in; messages of a file read "what is wrong; what to do".
fn at_its_key(problem: &Problem, text: &str) -> KeyProblem {
    let (error, hint) =
        problem.message.split_once("; ").map_or((&*problem.message, None), |(e, h)| (e, Some(h)));
    KeyProblem { at: key_at(text, problem.line), error: in_her_units(error), hint: hint.map(in_her_units) }
}

/// The quilt as the page shows it.
pub fn quilt(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let worked = asked.worked(latest)?;
    Answer::json(&quilt_map::shown(&worked.work, &worked.plan, pieces_named(&asked.toml)))
}

/// How many pieces the file names; what comes after them was filled by a family.
fn pieces_named(text: &str) -> usize {
    let file: Option<toml::Table> = text.parse().ok();
    file.and_then(|file| Some(file.get("piece")?.as_array()?.len())).unwrap_or(0)
}

/// The whole quilt as quilted cloth, edge to edge.
pub fn relief(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let worked = asked.worked(latest)?;
    let (w, h) = worked.work.layout.size;
    let whole = kurbo::Rect::from_center_size(kurbo::Point::ZERO, (w, h));
    let scene = relief::Scene { shown: whole, ..scenes::quilt(&worked.work) };
    let px = asked.px.unwrap_or(1400).clamp(1, WIDEST_PX).min(relief::widest(scene.shown));
    let drawn = relief::draw(&scene, px).and_then(|pixels| pixels.jpeg());
    let bytes = drawn.map_err(|error| Refusal::new(422, &error.to_string()))?;
    Ok(Answer::new("image/jpeg", bytes))
}

/// All files of the quilt in one zip, with the cautions to read first.
pub fn files(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let (name, written) = asked.written(latest)?;
    let mut files = written.to_vec();
    files.push(("read-me-first.txt".into(), cautions().into_bytes()));
    zipped(&name, &files)
}

/// The machine files in one zip, or one of the papers.
pub fn file(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let (name, written) = asked.written(latest)?;
    let what = asked.what.as_deref().unwrap_or("machine");
    if what == "machine" {
        let stripped = |(path, bytes): &(String, Vec<u8>)| {
            Some((path.strip_prefix("machine/")?.to_owned(), bytes.clone()))
        };
        return zipped(&format!("{name}-machine"), &written.iter().filter_map(stripped).collect::<Vec<_>>());
    }
    let path = match what {
        "templates" | "sewing-sheet" | "map" => format!("{what}.pdf"),
        _ => {
            let all = "machine, templates, sewing-sheet, map";
            return Err(Refusal::new(400, &format!("`{what}` is no part of a quilt; there are {all}")));
        }
    };
    let found = written.iter().find(|(known, _)| *known == path);
    let (_, bytes) = found.ok_or_else(|| Refusal::new(404, &format!("the quilt has no {path}")))?;
    Ok(download(&format!("{name}-{path}"), "application/pdf", bytes.clone()))
}

/// A page of its own to carry to the machine, which keeps its ticks.
pub fn machine(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let worked = asked.worked(latest)?;
    let shown = quilt_map::shown(&worked.work, &worked.plan, pieces_named(&asked.toml));
    let page = assets::text("carry.html")?
        .replacen("/*HOOPING_CSS*/", assets::text("hooping.css")?, 1)
        .replacen("/*HOOPING_JS*/", assets::text("hooping.js")?, 1)
        // A title of hers must not end the script that it stands in.
        .replacen(
            "{\"carry\":null}",
            &shown.to_string().replace("</", "<\\/").replace("<!--", "<\\u0021--"),
            1,
        );
    let name = path_safe(&worked.work.quilt.title);
    Ok(download(&format!("{name}-at-the-machine.html"), "text/html; charset=utf-8", page.into_bytes()))
}

/// A quilt file to begin from.
pub fn starter(asked: &Starter) -> Result<Answer, Refusal> {
    let text = if asked.demo {
        quilt::DEMO.to_owned()
    } else {
        quilt::starter(asked.family.as_deref()).map_err(|error| Refusal::of(&error).at("family"))?
    };
    Answer::json(&json!({ "toml": text }))
}
