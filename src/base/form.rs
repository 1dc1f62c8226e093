//! Forms: TOML text → values, with the line of every mistake, all of them at once.
//!
//! A [`Form`] is one table. Each value is taken by its key; what nobody took is an unknown key. Mistakes gather in
//! [`Problems`], so that a reader can go on to the end of the text and report everything together.

use std::ops::RangeInclusive;

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

use super::plain;
use super::units::read_length;

/// The longest list of texts: more is no list that a person wrote.
const LONGEST_LIST: usize = 500;

/// One mistake in a text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    /// The line it stands on, from 1.
    pub line: usize,
    /// What is wrong and what is allowed; lower case, no full stop.
    pub message: String,
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "line {}: {}", self.line, self.message)
    }
}

/// The mistakes found so far in one text.
#[derive(Debug)]
pub struct Problems<'t> {
    // Invariant: rising byte offsets at which a line of the text begins, the first line left out.
    line_starts: Vec<usize>,
    found: Vec<Problem>,
    text: std::marker::PhantomData<&'t str>,
}

impl<'t> Problems<'t> {
    /// None yet.
    #[must_use]
    pub fn new(text: &'t str) -> Self {
        let ends = text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
        Self {
            line_starts: ends.map(|(i, _)| i + 1).collect(),
            found: Vec::new(),
            text: std::marker::PhantomData,
        }
    }

    /// Adds a mistake at a byte offset of the text.
    pub fn add(&mut self, offset: usize, message: impl Into<String>) {
        let line = 1 + self.line_starts.partition_point(|start| *start <= offset);
        self.found.push(Problem { line, message: plain::escaped(&message.into()).into_owned() });
    }

    /// All mistakes, by line.
    #[must_use]
    pub fn sorted(mut self) -> Vec<Problem> {
        self.found.sort();
        self.found.dedup();
        self.found
    }

    /// True if nothing was wrong so far.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.found.is_empty()
    }
}

/// One table of a TOML text.
#[derive(Debug)]
pub struct Form<'t> {
    table: DeTable<'t>,
    offset: usize,
    place: String,
}

/// What stands below a key, without tables and flags.
#[derive(Debug, Clone, PartialEq)]
pub enum Leaf {
    /// A number, whole or not.
    Number(f64),
    /// A text of so many letters.
    Text(usize),
    /// A list of so many values, which follow.
    List(usize),
}

fn gather(place: &str, value: &Spanned<DeValue<'_>>, leaves: &mut Vec<(String, usize, Leaf)>) {
    let at = value.span().start;
    match value.get_ref() {
        DeValue::Table(table) => {
            for (key, value) in table.iter() {
                let below = if place.is_empty() {
                    key.get_ref().to_string()
                } else {
                    format!("{place}.{}", key.get_ref())
                };
                gather(&below, value, leaves);
            }
        }
        DeValue::Array(items) => {
            leaves.push((place.to_owned(), at, Leaf::List(items.len())));
            items.iter().for_each(|item| gather(place, item, leaves));
        }
        DeValue::String(text) => leaves.push((place.to_owned(), at, Leaf::Text(text.len()))),
        other => leaves.extend(number(other).map(|x| (place.to_owned(), at, Leaf::Number(x)))),
    }
}

fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(n) => i64::from_str_radix(n.as_str(), n.radix()).ok().map(|n| n as f64),
        DeValue::Float(x) => x.as_str().parse().ok(),
        _ => None,
    }
}

/// Reads a whole text; mistakes of syntax are added to `problems` and what could be read is returned.
#[must_use]
pub fn read<'t>(text: &'t str, problems: &mut Problems<'_>) -> Form<'t> {
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        problems.add(error.span().map_or(0, |s| s.start), error.message().trim().replace('\n', ", "));
    }
    Form { table: table.into_inner(), offset: 0, place: String::new() }
}

impl<'t> Form<'t> {
    /// The byte offset at which this table begins.
    #[must_use]
    pub fn offset(&self) -> usize {
        self.offset
    }

    /// True if the key is there and not yet taken.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.table.keys().any(|k| k.get_ref() == key)
    }

    /// True if the key is there, not yet taken, and a list.
    #[must_use]
    pub fn is_list(&self, key: &str) -> bool {
        self.table.iter().any(|(k, v)| k.get_ref() == key && matches!(v.get_ref(), DeValue::Array(_)))
    }

    /// True if the key is there, not yet taken, and a text.
    #[must_use]
    pub fn is_text(&self, key: &str) -> bool {
        self.table.iter().any(|(k, v)| k.get_ref() == key && matches!(v.get_ref(), DeValue::String(_)))
    }

    /// The keys not yet taken, in the order of the text.
    #[must_use]
    pub fn keys(&self) -> Vec<String> {
        let mut keys: Vec<_> = self.table.keys().map(|k| (k.span().start, k.get_ref().to_string())).collect();
        keys.sort();
        keys.into_iter().map(|(_, key)| key).collect()
    }

    /// Everything under a key that is not yet taken: the place of each value below it, its byte offset, and what it is.
    ///
    /// A value in a list has its list's place.
    #[must_use]
    pub fn leaves(&self, key: &str) -> Vec<(String, usize, Leaf)> {
        let mut leaves = Vec::new();
        if let Some((_, value)) = self.table.iter().find(|(k, _)| k.get_ref() == key) {
            gather("", value, &mut leaves);
        }
        leaves
    }

    /// Takes a text.
    pub fn text(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<String> {
        self.text_at(key, problems).map(|(text, _)| text)
    }

    /// Takes a text together with its byte offset.
    pub fn text_at(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<(String, usize)> {
        let value = self.take(key)?;
        let offset = value.span().start;
        match value.into_inner() {
            DeValue::String(text) => Some((text.into_owned(), offset)),
            other => {
                problems.add(offset, self.wrong(key, "a text in quotes", &other));
                None
            }
        }
    }

    /// Takes a length such as `"8 1/2in"`, mm.
    pub fn length(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<f64> {
        let (text, offset) = self.text_at(key, problems)?;
        match read_length(&text) {
            Ok(mm) => Some(mm),
            Err(error) => {
                problems.add(offset, format!("{}: {error}", self.full(key)));
                None
            }
        }
    }

    /// Takes a number, whole or not, within `range`.
    pub fn number(
        &mut self,
        key: &str,
        range: RangeInclusive<f64>,
        problems: &mut Problems<'_>,
    ) -> Option<f64> {
        let value = self.take(key)?;
        let offset = value.span().start;
        match number(value.get_ref()) {
            Some(x) if range.contains(&x) => Some(x),
            Some(x) => {
                let full = self.full(key);
                problems
                    .add(offset, format!("{full} is {x}; it goes from {} to {}", range.start(), range.end()));
                None
            }
            None => {
                problems.add(offset, self.wrong(key, "a number", value.get_ref()));
                None
            }
        }
    }

    /// Takes a whole number within `range`.
    pub fn count(
        &mut self,
        key: &str,
        range: RangeInclusive<u32>,
        problems: &mut Problems<'_>,
    ) -> Option<u32> {
        let offset = self.table.iter().find(|(k, _)| k.get_ref() == key).map_or(0, |(_, v)| v.span().start);
        let x = self.number(key, f64::from(*range.start())..=f64::from(*range.end()), problems)?;
        if x.fract() != 0.0 {
            problems.add(offset, format!("{} is {x}; it has to be a whole number", self.full(key)));
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and in range")]
        Some(x as u32)
    }

    /// Takes `true` or `false`.
    pub fn flag(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<bool> {
        let value = self.take(key)?;
        let read = value.get_ref().as_bool();
        if read.is_none() {
            problems.add(value.span().start, self.wrong(key, "true or false", value.get_ref()));
        }
        read
    }

    /// Takes a list of texts.
    pub fn texts(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<Vec<String>> {
        Some(self.texts_at(key, problems)?.into_iter().map(|(text, _)| text).collect())
    }

    /// Takes a list of texts, each with its byte offset.
    pub fn texts_at(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<Vec<(String, usize)>> {
        let value = self.take(key)?;
        let offset = value.span().start;
        let DeValue::Array(items) = value.into_inner() else {
            problems
                .add(offset, format!("{} has to be a list of texts, such as [\"a\", \"b\"]", self.full(key)));
            return None;
        };
        if items.len() > LONGEST_LIST {
            let (full, length) = (self.full(key), items.len());
            problems.add(offset, format!("{full} has {length} entries; it has at most {LONGEST_LIST}"));
            return None;
        }
        let mut texts = Vec::new();
        for item in items.iter() {
            match item.get_ref().as_str() {
                Some(text) => texts.push((text.to_owned(), item.span().start)),
                None => problems.add(item.span().start, self.wrong(key, "a list of texts", item.get_ref())),
            }
        }
        Some(texts)
    }

    /// Takes a table below this one.
    pub fn form(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<Form<'t>> {
        let value = self.take(key)?;
        let offset = value.span().start;
        match value.into_inner() {
            DeValue::Table(table) => Some(Form { table, offset, place: format!("[{}]", self.full(key)) }),
            other => {
                problems.add(offset, self.wrong(key, "a table", &other));
                None
            }
        }
    }

    /// Takes a list of tables, written `[[key]]`; empty if there is none.
    pub fn forms(&mut self, key: &str, problems: &mut Problems<'_>) -> Vec<Form<'t>> {
        let Some(value) = self.take(key) else { return Vec::new() };
        let offset = value.span().start;
        let DeValue::Array(items) = value.into_inner() else {
            problems.add(offset, format!("{key} has to be written as [[{key}]]"));
            return Vec::new();
        };
        let mut forms = Vec::new();
        for item in items {
            let offset = item.span().start;
            match item.into_inner() {
                DeValue::Table(table) => forms.push(Form { table, offset, place: format!("[[{key}]]") }),
                _ => problems.add(offset, format!("{key} has to be written as [[{key}]]")),
            }
        }
        forms
    }

    /// Takes a table and reads it as a type of its own; its unknown keys are refused by that type.
    pub fn value<T: DeserializeOwned>(&mut self, key: &str, problems: &mut Problems<'_>) -> Option<T> {
        let value = self.take(key)?;
        let offset = value.span().start;
        match T::deserialize(ValueDeserializer::from(value)) {
            Ok(read) => Some(read),
            Err(error) => {
                let at = error.span().map_or(offset, |s| s.start);
                problems.add(at, format!("{}: {}", self.full(key), error.message().trim()));
                None
            }
        }
    }

    /// Says that a key has to be there.
    pub fn missing(&self, key: &str, example: &str, problems: &mut Problems<'_>) {
        let place = if self.place.is_empty() { String::new() } else { format!(" in {}", self.place) };
        let written =
            if key.starts_with('[') { format!("{key} {example}") } else { format!("{key} = {example}") };
        problems.add(self.offset, format!("`{key}` is missing{place}; write it like `{written}`"));
    }

    /// Ends the reading of this table: every key not taken is unknown, and told with what is allowed.
    pub fn finish(self, allowed: &[&str], problems: &mut Problems<'_>) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            let place = if self.place.is_empty() { String::new() } else { format!(" in {}", self.place) };
            let list = allowed.join(", ");
            problems.add(key.span().start, format!("`{name}` is not known{place}; allowed are {list}"));
        }
    }

    fn take(&mut self, key: &str) -> Option<Spanned<DeValue<'t>>> {
        self.table.remove(key)
    }

    fn full(&self, key: &str) -> String {
        if self.place.is_empty() { key.to_owned() } else { format!("{key} in {}", self.place) }
    }

    fn wrong(&self, key: &str, wanted: &str, found: &DeValue<'_>) -> String {
        let kind = found.type_str();
        let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{} has to be {wanted}, not {article} {kind}", self.full(key))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mistake_is_told_with_its_line() {
        let text = "title = 3\nsize = \"8\"\ncount = 2.5\nodd = 1\n[below]\nx = 700\n";
        let mut problems = Problems::new(text);
        let mut form = read(text, &mut problems);
        assert_eq!(form.text("title", &mut problems), None);
        assert_eq!(form.length("size", &mut problems), None);
        assert_eq!(form.count("count", 1..=9, &mut problems), None);
        let mut below = form.form("below", &mut problems).unwrap();
        assert_eq!(below.number("x", 0.0..=1.0, &mut problems), None);
        below.missing("y", "\"1in\"", &mut problems);
        below.finish(&["x"], &mut problems);
        form.finish(&["title", "size"], &mut problems);
        let told: Vec<String> = problems.sorted().iter().map(Problem::to_string).collect();
        assert_eq!(
            told,
            [
                "line 1: title has to be a text in quotes, not an integer",
                "line 2: size: `8` has no unit; write `8in` or `8mm`",
                "line 3: count is 2.5; it has to be a whole number",
                "line 4: `odd` is not known; allowed are title, size",
                "line 5: `y` is missing in [below]; write it like `y = \"1in\"`",
                "line 6: x in [below] is 700; it goes from 0 to 1",
            ]
        );
    }

    #[test]
    fn broken_text_is_told_and_does_not_panic() {
        let text = "a = \n[[b\n";
        let mut problems = Problems::new(text);
        let _ = read(text, &mut problems);
        assert!(!problems.is_empty());
    }

    #[test]
    fn right_values_are_read() {
        let text = "title = \"a\"\nsize = \"1in\"\nlist = [\"x\", \"y\"]\nyes = true\n[[row]]\nn = 3\n[[row]]\nn = 4\n";
        let mut problems = Problems::new(text);
        let mut form = read(text, &mut problems);
        assert_eq!(form.text("title", &mut problems).as_deref(), Some("a"));
        assert_eq!(form.length("size", &mut problems), Some(25.4));
        assert_eq!(form.texts("list", &mut problems), Some(vec!["x".into(), "y".into()]));
        assert_eq!(form.flag("yes", &mut problems), Some(true));
        let rows = form.forms("row", &mut problems);
        let n: Vec<_> = rows.into_iter().map(|mut r| r.count("n", 0..=9, &mut problems).unwrap()).collect();
        assert_eq!(n, [3, 4]);
        form.finish(&[], &mut problems);
        assert!(problems.is_empty());
    }
}
