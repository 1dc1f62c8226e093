//! Words typed and words told: lengths on the command line, and errors as two lines.

use std::cell::Cell;
use std::path::Path;

use thrice::base::form::Problem;
use thrice::base::plain;
use thrice::base::units::{LengthError, Units, in_units, read_length};

/// Words that were typed wrong: the program ends with code 2, as for an unknown flag.
#[derive(Debug, PartialEq, thiserror::Error)]
#[error("{0}")]
pub struct Typed(pub String);

/// A file that was not handed in with a request, where only such files are read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{name} was not handed in; add that file")]
pub struct NotHandedIn {
    /// The file's name, as it was asked for.
    pub name: String,
}

/// A file of hers that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unusable {
    /// What it is called.
    pub name: String,
    /// What is wrong in it, by its lines.
    pub problems: Vec<Problem>,
    /// The files that it names and that were not handed in.
    pub missing: Vec<NotHandedIn>,
}

impl Unusable {
    /// Its mistakes, each a line.
    pub fn lines(&self) -> String {
        let lines: Vec<String> = self.problems.iter().map(Problem::to_string).collect();
        lines.join("\n").replace("; ", ": ")
    }
}

impl std::fmt::Display for Unusable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} cannot be used\n  {}", self.name, self.lines().replace('\n', "\n  "))
    }
}

impl std::error::Error for Unusable {}

/// A unit on the command line.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub enum Unit {
    /// Inches
    In,
    /// Millimetres
    Mm,
}

thread_local! {
    /// Which unit is told first, once that is known: a thread works for one command at a time.
    static TOLD_FIRST: Cell<Option<Units>> = const { Cell::new(None) };
}

/// Before a thread begins with another command.
pub fn begin_anew() {
    TOLD_FIRST.set(None);
}

/// What --show-in asks for, which nothing later overrules.
pub fn show_in(unit: Unit) {
    tell_first(match unit {
        Unit::In => Units::Inches,
        Unit::Mm => Units::Millimetres,
    });
}

/// The unit that is told first from here on: this one, unless another was asked for before.
pub fn tell_first(units: Units) -> Units {
    let told = TOLD_FIRST.get().unwrap_or(units);
    TOLD_FIRST.set(Some(told));
    told
}

/// A text with its lengths in the unit that is told first.
pub fn in_her_units(text: &str) -> String {
    in_units(text, TOLD_FIRST.get().unwrap_or_default())
}

/// Marks an error as typed wrong.
pub fn typed(error: impl std::fmt::Display) -> anyhow::Error {
    anyhow::Error::new(Typed(error.to_string()))
}

/// 2 for what was typed wrong, 1 for anything else.
pub fn exit_code(error: &anyhow::Error) -> u8 {
    let typed = |e: &(dyn std::error::Error + 'static)| {
        e.is::<Typed>() || e.is::<NotHandedIn>() || e.is::<Unusable>()
    };
    if error.chain().any(typed) { 2 } else { 1 }
}

/// An error as told: a line what is wrong, a line what to do.
pub fn told(error: &anyhow::Error) -> String {
    let (wrong, remedy) = parts(error);
    let remedy = remedy.map_or_else(String::new, |remedy| format!("  {remedy}\n"));
    plain::escaped(&format!("error: {wrong}\n{remedy}")).into_owned()
}

/// What is wrong, and what to do, in her units.
///
/// Messages of the library read "what is wrong; what to do"; causes are told in brackets.
pub fn parts(error: &anyhow::Error) -> (String, Option<String>) {
    let whole = error.to_string();
    let (wrong, remedy) = whole.split_once("; ").unwrap_or((&whole, ""));
    let causes: Vec<String> = error.chain().skip(1).map(|cause| plain_cause(&cause.to_string())).collect();
    let causes = if causes.is_empty() { String::new() } else { format!(" ({})", causes.join(": ")) };
    let hint = error.chain().find_map(|e| e.downcast_ref::<thrice::Error>()?.hint());
    let remedy = hint.as_deref().unwrap_or(remedy);
    (in_her_units(&format!("{wrong}{causes}")), (!remedy.is_empty()).then(|| in_her_units(remedy)))
}

/// A cause without the system's number for it, which says nothing to her.
fn plain_cause(cause: &str) -> String {
    cause.split_once(" (os error ").map_or(cause, |(words, _)| words).to_owned()
}

/// What is told when a part of the program broke: a fault of the program, whatever was asked for.
pub fn broke(panic: &(dyn std::any::Any + Send)) -> anyhow::Error {
    let words = panic.downcast_ref::<String>().map(String::as_str);
    let words = words.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no words");
    anyhow::anyhow!(
        "the program broke at this input, and nothing was written: {}; that is a fault of the program: keep the words you \
         typed and the files they name, and report them with this message",
        words.replace("; ", ", ").replace('\n', " ")
    )
}

/// Tells something on stderr; one that is closed or full is no reason to stop.
pub fn warn(text: &str) {
    use std::io::Write;
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// What is told of a file or folder that cannot be read.
pub fn unreadable(path: &Path) -> String {
    format!("cannot read {}; check its name, and that it is in this folder", path.display())
}

/// Prints on stdout; a reader that has gone away, as in a pipe to `head`, ends the program quietly.
pub fn say(text: &str) -> anyhow::Result<()> {
    use std::io::{ErrorKind, Write};
    let text = in_her_units(text);
    let mut out = std::io::stdout().lock();
    match out.write_all(plain::escaped(&text).as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => std::process::exit(0),
        result => Ok(result?),
    }
}

/// A length on the command line, mm.
pub fn length(text: &str) -> Result<f64, LengthError> {
    read_length(text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use anyhow::Context;

    #[test]
    fn an_error_is_told_in_two_lines() {
        let error = std::fs::read("/no/such/file").context("cannot read it; look elsewhere").unwrap_err();
        assert_eq!(told(&error), "error: cannot read it (No such file or directory)\n  look elsewhere\n");
        assert_eq!(exit_code(&error), 1);
        assert_eq!(exit_code(&typed("x; y").context("z")), 2);
    }
}
