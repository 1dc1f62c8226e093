//! A warning: its words, the pieces or the place that they are said of, and what would mend it as data, for whoever acts on it.
//!
//! In a report or plan: `{"text": "…"}`, with `pieces` and `remedy` only where there are some.

use std::fmt;

use serde::Serialize;

use crate::base::units::{Units, in_units};

/// Something that she should know before she sews.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// The pieces, the place or the drawing that it is said of, by their names; none if it is of everything at hand.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pieces: Vec<String>,
    /// The pieces in words, where they are too many to be read one by one.
    #[serde(skip)]
    pub said_of: Option<String>,
    /// What is said: sentences, the first of which may go on from the names of the pieces.
    pub text: String,
    /// What would mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub remedy: Option<Remedy>,
}

/// What is to be changed in how a piece is asked for; in a report `{"setting": "spacing", "value": "1/2in"}`,
/// `{"background": "cross-hatch"}` or `{"without": "spacing"}`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(untagged)]
pub enum Remedy {
    /// A setting of its motif.
    Setting {
        /// The setting's name.
        setting: String,
        /// Its value, as it can be typed.
        value: String,
    },
    /// A motif that fills the open places.
    Background {
        /// The motif's name.
        background: String,
    },
    /// A setting that is better left out.
    Without {
        /// The setting's name.
        without: String,
    },
}

impl Warning {
    /// Words without a remedy, said of some pieces.
    #[must_use]
    pub fn of(pieces: &[&str], text: impl Into<String>) -> Self {
        let pieces = pieces.iter().map(ToString::to_string).collect();
        Self { pieces, said_of: None, text: text.into(), remedy: None }
    }

    /// The same with its lengths in the unit that is told first.
    #[must_use]
    pub fn in_units(&self, units: Units) -> Self {
        Self { text: in_units(&self.text, units), ..self.clone() }
    }
}

impl<T: Into<String>> From<T> for Warning {
    fn from(text: T) -> Self {
        Self::of(&[], text)
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.said_of {
            Some(words) => write!(f, "{words}: ")?,
            None if self.pieces.is_empty() => {}
            None => write!(f, "{}: ", self.pieces.join(", "))?,
        }
        f.write_str(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_warning_is_told_with_its_pieces_and_written_with_its_remedy() {
        let remedy =
            |remedy: Remedy| serde_json::to_string(&Warning { remedy: Some(remedy), .."A.".into() }).unwrap();
        let setting = Remedy::Setting { setting: "spacing".into(), value: "1/2in".into() };
        assert_eq!(remedy(setting), r#"{"text":"A.","remedy":{"setting":"spacing","value":"1/2in"}}"#);
        let background = Remedy::Background { background: "grid".into() };
        assert_eq!(remedy(background), r#"{"text":"A.","remedy":{"background":"grid"}}"#);
        let without = Remedy::Without { without: "spacing".into() };
        assert_eq!(remedy(without), r#"{"text":"A.","remedy":{"without":"spacing"}}"#);
        let told = Warning::of(&["blocks", "sashes"], "A gap of 2 in (50.8 mm).");
        assert_eq!(told.in_units(Units::Millimetres).to_string(), "blocks, sashes: A gap of 50.8 mm (2 in).");
        assert_eq!(
            serde_json::to_string(&Warning::of(&["blocks"], "A.")).unwrap(),
            r#"{"pieces":["blocks"],"text":"A."}"#
        );
    }
}
