//! A motif's settings: what can be asked for, within which range, and what was asked for.

use std::collections::BTreeMap;
use std::str::FromStr;

use serde::Serialize;

use crate::base::units::{Units, read_length, show_length};

/// A setting that a construction reads: its name and the word of its kind.
pub type Need = (&'static str, &'static str);

/// What kind of value a setting takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Kind {
    /// A length, kept as mm.
    Length,
    /// An angle, degrees.
    Angle,
    /// A whole number.
    Count,
    /// A plain number.
    Ratio,
    /// One of some words.
    Choice(Vec<String>),
    /// A whole number that picks one of many equally good drawings.
    Seed,
}

/// The value of a setting.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A length (mm), angle (degrees) or plain number.
    Number(f64),
    /// A count or seed.
    Whole(u32),
    /// A chosen word.
    Word(String),
}

/// One setting of a motif.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// The word it is asked for by.
    pub name: String,
    /// One line for her.
    pub help: String,
    /// What it takes.
    pub kind: Kind,
    /// The smallest and largest value; of no meaning for a choice.
    pub range: (f64, f64),
    /// What it is if not asked for.
    pub default: Value,
}

/// All settings of one drawing, by name. Past [`resolve`] every value is in range.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Settings {
    values: BTreeMap<String, Value>,
}

/// Why settings cannot be used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SettingError {
    /// No such setting.
    #[error("`{motif}` has no setting `{name}`; it has {known}")]
    Unknown {
        /** The motif. */
        motif: String,
        /** What was asked for. */
        name: String,
        /** What there is. */
        known: String,
    },
    /// Not `NAME=VALUE`.
    #[error("`{text}` is not a setting; write NAME=VALUE, such as `{example}`")]
    NotAPair {
        /** What was typed. */
        text: String,
        /** One that works. */
        example: String,
    },
    /// Asked for more than once.
    #[error("{name} is set more than once, {first} and {second}; leave one of them out")]
    Twice {
        /** The setting. */
        name: String,
        /** What was asked for first. */
        first: String,
        /** What was asked for after it. */
        second: String,
    },
    /// A value that cannot be read.
    #[error("{name}: {message}")]
    Unreadable {
        /** The setting. */
        name: String,
        /** Why. */
        message: String,
    },
    /// A value outside its range.
    #[error("{name} is {value}; it goes from {least} to {most}")]
    OutOfRange {
        /** The setting. */
        name: String,
        /** What was asked for. */
        value: String,
        /** The smallest. */
        least: String,
        /** The largest. */
        most: String,
    },
}

impl Setting {
    /// Reads a value as typed.
    ///
    /// # Errors
    /// [`SettingError::Unreadable`] if it is not of this setting's kind, [`SettingError::OutOfRange`] if outside its range.
    pub fn read(&self, text: &str) -> Result<Value, SettingError> {
        let unreadable = |message: String| SettingError::Unreadable { name: self.name.clone(), message };
        let text = text.trim();
        let number = match &self.kind {
            Kind::Choice(words) if words.iter().any(|w| w == text) => {
                return Ok(Value::Word(text.to_owned()));
            }
            Kind::Choice(words) => {
                return Err(unreadable(format!("`{text}` is not one of {}", words.join(", "))));
            }
            Kind::Length => read_length(text).map_err(|e| unreadable(e.to_string()))?,
            Kind::Count | Kind::Seed => {
                let whole = u32::from_str(text);
                f64::from(whole.map_err(|_| unreadable(format!("`{text}` is not a whole number")))?)
            }
            Kind::Angle | Kind::Ratio => {
                f64::from_str(text.trim_end_matches("deg").trim_end_matches('°').trim())
                    .map_err(|_| unreadable(format!("`{text}` is not a number")))?
            }
        };
        if !(self.range.0..=self.range.1).contains(&number) {
            return Err(SettingError::OutOfRange {
                name: self.name.clone(),
                value: self.show(number),
                least: self.show(self.range.0),
                most: self.show(self.range.1),
            });
        }
        Ok(self.value(number))
    }

    /// A number as this setting's value.
    #[must_use]
    pub fn value(&self, number: f64) -> Value {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "saturates, and ranges are whole"
        )]
        match self.kind {
            Kind::Count | Kind::Seed => Value::Whole(number as u32),
            _ => Value::Number(number),
        }
    }

    /// A number in this setting's unit.
    #[must_use]
    pub fn show(&self, number: f64) -> String {
        match self.kind {
            Kind::Length => show_length(number, Units::Inches),
            Kind::Angle => format!("{number}°"),
            _ => format!("{number}"),
        }
    }

    /// A value in this setting's unit.
    #[must_use]
    pub fn show_value(&self, value: &Value) -> String {
        match value {
            Value::Number(x) => self.show(*x),
            Value::Whole(n) => n.to_string(),
            Value::Word(word) => word.clone(),
        }
    }
}

/// Settles every setting of `motif`: what was asked for (`NAME=VALUE`), else the default.
///
/// # Errors
/// [`SettingError`] for the first that cannot be used.
pub fn resolve(motif: &str, known: &[Setting], asked: &[String]) -> Result<Settings, SettingError> {
    let mut values: BTreeMap<_, _> = known.iter().map(|s| (s.name.clone(), s.default.clone())).collect();
    let mut set: BTreeMap<&str, &str> = BTreeMap::new();
    for text in asked {
        let Some((name, value)) = text.split_once('=') else {
            let example = known.first().map_or("NAME=VALUE".into(), |s| {
                format!("{}={}", s.name, s.show_value(&s.default).split(" (").next().unwrap_or_default())
            });
            return Err(SettingError::NotAPair { text: text.clone(), example });
        };
        let setting = known.iter().find(|s| s.name == name.trim()).ok_or_else(|| SettingError::Unknown {
            motif: motif.to_owned(),
            name: name.trim().to_owned(),
            known: match known {
                [] => "none".to_owned(),
                _ => known.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", "),
            },
        })?;
        if let Some(first) = set.insert(&setting.name, value.trim()) {
            return Err(SettingError::Twice {
                name: setting.name.clone(),
                first: first.to_owned(),
                second: value.trim().to_owned(),
            });
        }
        values.insert(setting.name.clone(), setting.read(value)?);
    }
    Ok(Settings { values })
}

impl Settings {
    /// A length (mm), angle (degrees) or plain number; 0 for a name that the motif's file does not have
    /// (the reader of motif files has checked that all that its construction asks for are there).
    #[must_use]
    pub fn number(&self, name: &str) -> f64 {
        match self.values.get(name) {
            Some(Value::Number(x)) => *x,
            Some(Value::Whole(n)) => f64::from(*n),
            _ => 0.0,
        }
    }

    /// A count or seed; 0 for a name that is not there.
    #[must_use]
    pub fn whole(&self, name: &str) -> u32 {
        match self.values.get(name) {
            Some(Value::Whole(n)) => *n,
            _ => 0,
        }
    }

    /// A chosen word; empty for a name that is not there.
    #[must_use]
    pub fn word(&self, name: &str) -> &str {
        match self.values.get(name) {
            Some(Value::Word(word)) => word,
            _ => "",
        }
    }

    /// All of them, by name.
    #[must_use]
    pub fn values(&self) -> &BTreeMap<String, Value> {
        &self.values
    }

    /// The same with another seed, if it has one: the one asked for and `number` more.
    #[must_use]
    pub fn seeded(mut self, known: &[Setting], number: usize) -> Self {
        for setting in known.iter().filter(|s| s.kind == Kind::Seed) {
            #[expect(clippy::cast_possible_truncation, reason = "a few thousand")]
            let more = number as u32;
            if let Some(Value::Whole(seed)) = self.values.get(&setting.name) {
                let seed = seed.wrapping_add(more);
                self = self.with(&setting.name, Value::Whole(seed));
            }
        }
        self
    }

    /// The same with one value changed; the caller has seen to its range.
    #[must_use]
    pub fn with(mut self, name: &str, value: Value) -> Self {
        self.values.insert(name.to_owned(), value);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spacing() -> Setting {
        Setting {
            name: "spacing".into(),
            help: "distance between lines".into(),
            kind: Kind::Length,
            range: (6.35, 50.8),
            default: Value::Number(25.4),
        }
    }

    #[test]
    fn a_setting_asked_for_replaces_the_default() {
        let settings = resolve("grid", &[spacing()], &["spacing=1/2in".into()]).unwrap();
        assert_eq!(settings.number("spacing"), 12.7);
        assert_eq!(resolve("grid", &[spacing()], &[]).unwrap().number("spacing"), 25.4);
    }

    #[test]
    fn what_cannot_be_used_is_told_with_what_can() {
        let told = |asked: &str| resolve("grid", &[spacing()], &[asked.into()]).unwrap_err().to_string();
        assert_eq!(
            told("spacing=9in"),
            "spacing is 9 in (228.6 mm); it goes from 1/4 in (6.4 mm) to 2 in (50.8 mm)"
        );
        assert_eq!(told("spacin=1in"), "`grid` has no setting `spacin`; it has spacing");
        assert_eq!(told("spacing"), "`spacing` is not a setting; write NAME=VALUE, such as `spacing=1 in`");
        assert_eq!(told("spacing=1"), "spacing: `1` has no unit; write `1in` or `1mm`");
    }

    #[test]
    fn a_setting_asked_for_twice_is_refused() {
        let asked = ["spacing=1in", " spacing = 2in"].map(String::from);
        assert_eq!(
            resolve("grid", &[spacing()], &asked).unwrap_err().to_string(),
            "spacing is set more than once, 1in and 2in; leave one of them out"
        );
    }

    #[test]
    fn not_a_number_is_out_of_range() {
        let ratio = Setting { kind: Kind::Ratio, range: (0.0, 1.0), ..spacing() };
        assert!(matches!(ratio.read("NaN"), Err(SettingError::OutOfRange { .. })));
    }
}
