//! What is answered: a status, a kind, bytes; refusals as JSON that says what is wrong and what to do.

use serde_json::json;

use crate::words::{self, NotHandedIn};

/// What goes back to the page.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The status: 200, or why not.
    pub status: u16,
    /// The kind of its bytes.
    pub kind: &'static str,
    /// Headers beside those that every answer has.
    pub headers: Vec<(&'static str, String)>,
    /// Its bytes.
    pub body: Vec<u8>,
}

/// The kind of an answer that is data.
pub const JSON: &str = "application/json";

impl Answer {
    /// An answer of some kind.
    pub fn new(kind: &'static str, body: Vec<u8>) -> Self {
        Self { status: 200, kind, headers: Vec::new(), body }
    }

    /// Data.
    pub fn json(value: &impl serde::Serialize) -> Result<Self, Refusal> {
        Ok(Self::new(JSON, serde_json::to_vec(value).map_err(|error| Refusal::broke(&error.to_string()))?))
    }

    /// The same with one header more.
    pub fn with(mut self, name: &'static str, value: String) -> Self {
        self.headers.push((name, value));
        self
    }
}

/// Why a request is not done.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// The status.
    pub status: u16,
    /// What is wrong.
    pub error: String,
    /// What to do.
    pub hint: Option<String>,
    /// The part of the design that it lies in.
    pub field: Option<String>,
    /// The files that are missing, by their names.
    pub missing: Box<[String]>,
    /// What is wrong in a quilt file, each with the key that it lies in.
    pub problems: Box<[KeyProblem]>,
}

/// What is wrong at a key of a quilt file, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct KeyProblem {
    /// The key by its path, such as `border.0.width`; none where no key stands on the line.
    pub at: Option<String>,
    /// What is wrong.
    pub error: String,
    /// What to do.
    pub hint: Option<String>,
}

impl Refusal {
    /// A refusal by its status; the words read "what is wrong; what to do".
    pub fn new(status: u16, told: &str) -> Self {
        let (error, hint) = told.split_once("; ").map_or((told, None), |(e, h)| (e, Some(h.to_owned())));
        Self {
            status,
            error: error.to_owned(),
            hint,
            field: None,
            missing: Box::default(),
            problems: Box::default(),
        }
    }

    /// What a command would have told: 400 where it was typed wrong, 422 where it could not be done.
    pub fn of(error: &anyhow::Error) -> Self {
        let status = if words::exit_code(error) == 2 { 400 } else { 422 };
        let (wrong, hint) = words::parts(error);
        let missing = error.chain().find_map(|e| e.downcast_ref::<NotHandedIn>());
        let missing = missing.into_iter().map(|file| file.name.clone()).collect();
        Self { status, error: wrong, hint, field: None, missing, problems: Box::default() }
    }

    /// A part of the program broke.
    pub fn broke(told: &str) -> Self {
        Self::new(
            500,
            &format!(
                "the program broke at this input: {}; that is a fault of the program: keep the design and report it",
                told.replace("; ", ", ").replace('\n', " ")
            ),
        )
    }

    /// The same, lying in a part of the design.
    pub fn at(self, field: impl Into<String>) -> Self {
        Self { field: Some(field.into()), ..self }
    }

    /// As data.
    pub fn value(&self) -> serde_json::Value {
        let mut value = json!({ "error": self.error, "hint": self.hint, "field": self.field });
        if !self.missing.is_empty() {
            value["missing"] = json!(self.missing);
        }
        if !self.problems.is_empty() {
            value["problems"] = json!(self.problems);
        }
        value
    }
}

impl From<anyhow::Error> for Refusal {
    fn from(error: anyhow::Error) -> Self {
        Self::of(&error)
    }
}

impl From<Refusal> for Answer {
    fn from(refusal: Refusal) -> Self {
        let body = refusal.value().to_string().into_bytes();
        let answer = Answer { status: refusal.status, ..Answer::new(JSON, body) };
        if refusal.status == 503 { answer.with("Retry-After", "1".into()) } else { answer }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::typed;

    #[test]
    fn a_refusal_says_what_is_wrong_and_what_to_do() {
        let refusal = Refusal::of(&typed("no shape is given; give one")).at("shape");
        assert_eq!(refusal.status, 400);
        let answer = Answer::from(refusal);
        let told = r#"{"error":"no shape is given","field":"shape","hint":"give one"}"#;
        assert_eq!(String::from_utf8(answer.body).unwrap(), told);
        assert_eq!(Refusal::of(&anyhow::anyhow!("it does not fit")).status, 422);
        assert_eq!(Answer::from(Refusal::new(503, "busy; wait")).headers, [("Retry-After", "1".to_owned())]);
    }
}
