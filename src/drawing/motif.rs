//! Motif files: TOML text → [`Motif`], read to the end with every mistake told.
//!
//! A motif file holds no code, and the code holds no motif's numbers. `motifs/README` is the recipe; in short:
//!
//! ```toml
//! name = "cross-hatch"            # the word it is asked for by
//! title = "Cross-hatch"           # for sheets
//! about = "Two sets of lines …"   # one line for her
//! suits = ["square", "triangle"]  # kinds of shapes, or ["any"]; "corner" if it turns the corner of a border
//! family = "lattice"              # motifs made to go together (optional)
//! scale = "spacing"                 # the setting that a quilt's shared scale sets (optional)
//! doubling = "why …"              # why it has to be walked twice for more than a tenth (optional)
//! mitred = "sewn"                 # at a border's corner its lines are cut along the mitre, which is a line, or "bare" (optional)
//! construction = "lines"          # how it is drawn
//!
//! [[setting]]
//! name = "spacing"
//! help = "distance between lines"
//! kind = "length"                 # length, angle, count, ratio, choice, seed
//! least = "1/4in"
//! most = "4in"
//! default = "1in"
//!
//! [numbers]                       # the construction's own numbers
//! …
//! ```

use super::construction::Construction;
use super::ranges;
use super::repeated::Repeated;
use super::settings::{Kind, Setting, Value};
use crate::base::form::{self, Form, Problem, Problems};
use crate::base::plain::{self, LONGEST_WORD, is_word};
use crate::block::suit::Suit;

/// What becomes of the mitre on which lines are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Mitre {
    /// It is a line of the drawing.
    Sewn,
    /// It is none: the lines of both sides meet there.
    Bare,
}

/// A design that can be drawn to measure.
#[derive(Debug, Clone, PartialEq)]
pub struct Motif {
    /// The word it is asked for by.
    pub name: String,
    /// Its name on sheets.
    pub title: String,
    /// One line for her.
    pub about: String,
    /// The kinds of shapes it suits.
    pub suits: Vec<Suit>,
    /// Motifs of one family go together.
    pub family: Option<String>,
    /// The setting that a quilt's shared scale sets.
    pub scale: Option<String>,
    /// Why more than a tenth of its line has to be walked twice, if so.
    pub doubling: Option<String>,
    /// Its settings, in the order of the file.
    pub settings: Vec<Setting>,
    /// Whether at a border's corner its lines are cut along the mitre, and the mitre itself is a line.
    pub mitred: Option<Mitre>,
    /// How it is drawn.
    pub construction: Construction,
    /// Letters of path data in its file: how much it draws in a cell.
    pub path_data: usize,
}

/// The longest title or help line, letters: three lines of a sheet.
const LONGEST_SENTENCE: usize = 300;

const KEYS: [&str; 11] = [
    "name",
    "title",
    "about",
    "suits",
    "family",
    "scale",
    "doubling",
    "mitred",
    "construction",
    "[[setting]]",
    "[numbers]",
];
const SETTING_KEYS: [&str; 7] = ["name", "help", "kind", "least", "most", "default", "choices"];

/// Reads a motif file.
///
/// # Errors
/// Every mistake in the text, with its line.
pub fn read(text: &str) -> Result<Motif, Vec<Problem>> {
    let mut problems = Problems::new(text);
    let mut form = form::read(text, &mut problems);
    let motif = read_form(&mut form, &mut problems);
    form.finish(&KEYS, &mut problems);
    match motif {
        Some(motif) if problems.is_empty() => Ok(motif),
        _ => Err(problems.sorted()),
    }
}

impl Motif {
    /// Lines drawn by hand, as a motif without settings that suits everything.
    #[must_use]
    pub fn of_lines(name: &str, lines: Vec<kurbo::BezPath>) -> Self {
        Self {
            name: name.to_owned(),
            title: name.to_owned(),
            about: String::new(),
            suits: Suit::any().collect(),
            family: None,
            scale: None,
            doubling: None,
            mitred: None,
            settings: Vec::new(),
            construction: Construction::Own(lines),
            path_data: 0,
        }
    }

    /// Lines drawn by hand, repeated, as a motif without settings that suits everything.
    #[must_use]
    pub fn of_repeats(name: &str, repeated: Repeated) -> Self {
        Self { construction: Construction::OwnRepeated(repeated), ..Self::of_lines(name, Vec::new()) }
    }

    /// The lines of a finished design as a motif: bent to four sides where they are nearly alike.
    #[must_use]
    pub fn of_design(name: &str, lines: Vec<kurbo::BezPath>) -> Self {
        Self { construction: Construction::Design(lines), ..Self::of_lines(name, Vec::new()) }
    }

    /// True if the motif is made for this kind of shape.
    #[must_use]
    pub fn suits(&self, suit: Suit) -> bool {
        self.suits.contains(&suit)
    }
}

fn read_form(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Motif> {
    let name = required_word(form, "\"cross-hatch\"", problems);
    let title = required(form, "title", "\"Cross-hatch\"", problems);
    let about = required(form, "about", "\"two sets of lines\"", problems);
    let suits = read_suits(form, problems);
    let family = form.text("family", problems);
    let doubling = form.text("doubling", problems);
    let mitred = form.value("mitred", problems);
    let scale = form.text_at("scale", problems);
    let settings: Vec<Setting> =
        form.forms("setting", problems).into_iter().filter_map(|f| read_setting(f, problems)).collect();
    if let Some((scale, at)) = &scale
        && !settings.iter().any(|s| s.name == *scale && s.kind == Kind::Length)
    {
        problems.add(*at, format!("scale names `{scale}`, which is no setting of kind length"));
    }
    let construction = Construction::read(form, problems);
    if let Some((construction, _)) = &construction {
        check_needs(construction, &settings, problems);
    }
    let (construction, path_data) = construction?;
    Some(Motif {
        name: name?,
        title: title?,
        about: about?,
        suits: suits?,
        family,
        scale: scale.map(|(name, _)| name),
        doubling,
        mitred,
        settings,
        construction,
        path_data,
    })
}

fn check_needs(construction: &Construction, settings: &[Setting], problems: &mut Problems<'_>) {
    for (name, kind) in construction.needs() {
        let found = settings.iter().find(|s| s.name == name);
        if found.is_none_or(|s| kind_word(&s.kind) != kind) {
            let message = format!("this construction needs a setting `{name}` of kind {kind}");
            problems.add(0, message);
        }
    }
}

/// The name of a motif or a setting: it is typed, and motifs name files.
fn required_word(form: &mut Form<'_>, example: &str, problems: &mut Problems<'_>) -> Option<String> {
    if !form.has("name") {
        form.missing("name", example, problems);
    }
    let (name, at) = form.text_at("name", problems)?;
    if !is_word(&name) {
        let name = plain::escaped(&name);
        problems.add(
            at,
            format!(
                "`{name}` cannot be a name; give up to {LONGEST_WORD} letters a to z, digits and hyphens"
            ),
        );
        return None;
    }
    Some(name)
}

fn required(form: &mut Form<'_>, key: &str, example: &str, problems: &mut Problems<'_>) -> Option<String> {
    if !form.has(key) {
        form.missing(key, example, problems);
    }
    let (text, at) = form.text_at(key, problems)?;
    let why = match plain::unfit_to_show(&text) {
        None if text.chars().count() > LONGEST_SENTENCE => {
            Some(format!("it is longer than {LONGEST_SENTENCE} letters"))
        }
        why => why,
    };
    match why {
        None => Some(text),
        Some(why) => {
            problems.add(at, format!("{key} cannot be shown, as {why}; write it in plain letters"));
            None
        }
    }
}

fn read_suits(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Vec<Suit>> {
    let Some(words) = form.texts_at("suits", problems) else {
        form.missing("suits", "[\"square\", \"triangle\"]", problems);
        return None;
    };
    let mut suits = Vec::new();
    for (word, at) in words {
        match word.parse() {
            Ok(suit) => suits.push(suit),
            Err(_) if word == "any" => suits.extend(Suit::any()),
            Err(_) => {
                let all = Suit::ALL.map(Suit::word).join(", ");
                problems.add(at, format!("`{word}` is no kind of shape; there are any, {all}"));
            }
        }
    }
    suits.sort();
    suits.dedup();
    Some(suits)
}

fn read_setting(mut form: Form<'_>, problems: &mut Problems<'_>) -> Option<Setting> {
    let name = required_word(&mut form, "\"spacing\"", problems);
    let help = required(&mut form, "help", "\"distance between lines\"", problems);
    let choices = form.texts("choices", problems);
    let kind = read_kind(&mut form, choices, problems);
    let setting = read_range(&mut form, name?, help?, kind?, problems);
    form.finish(&SETTING_KEYS, problems);
    setting
}

fn read_kind(form: &mut Form<'_>, choices: Option<Vec<String>>, problems: &mut Problems<'_>) -> Option<Kind> {
    let offset = form.offset();
    let (word, at) = match form.text_at("kind", problems) {
        Some(found) => found,
        None => {
            problems.add(offset, "`kind` is missing in [[setting]]; write it like `kind = \"length\"`");
            return None;
        }
    };
    match (word.as_str(), choices) {
        ("length", _) => Some(Kind::Length),
        ("angle", _) => Some(Kind::Angle),
        ("count", _) => Some(Kind::Count),
        ("ratio", _) => Some(Kind::Ratio),
        ("seed", _) => Some(Kind::Seed),
        ("choice", Some(words)) if !words.is_empty() => Some(Kind::Choice(words)),
        ("choice", _) => {
            problems.add(at, "a choice needs its words; write them like `choices = [\"a\", \"b\"]`");
            None
        }
        _ => {
            problems.add(
                at,
                format!(
                    "`{word}` is no kind of setting; there are length, angle, count, ratio, choice, seed"
                ),
            );
            None
        }
    }
}

/// The word of a kind of setting.
#[must_use]
pub fn kind_word(kind: &Kind) -> &'static str {
    match kind {
        Kind::Length => "length",
        Kind::Angle => "angle",
        Kind::Count => "count",
        Kind::Ratio => "ratio",
        Kind::Choice(_) => "choice",
        Kind::Seed => "seed",
    }
}

fn read_range(
    form: &mut Form<'_>,
    name: String,
    help: String,
    kind: Kind,
    problems: &mut Problems<'_>,
) -> Option<Setting> {
    let at = form.offset();
    let mut setting = Setting { name, help, kind, range: (0.0, 0.0), default: Value::Whole(0) };
    if matches!(setting.kind, Kind::Choice(_)) {
        let (word, at) = form.text_at("default", problems)?;
        match setting.read(&word) {
            Ok(value) => setting.default = value,
            Err(error) => problems.add(at, error.to_string()),
        }
        return Some(setting);
    }
    if setting.kind == Kind::Seed {
        setting.range = (0.0, f64::from(u32::MAX));
        let default = form.count("default", 0..=u32::MAX, problems).unwrap_or(1);
        setting.default = Value::Whole(default);
        return Some(setting);
    }
    let least = read_bound(form, "least", &setting.kind, problems)?;
    let most = read_bound(form, "most", &setting.kind, problems)?;
    let default = read_bound(form, "default", &setting.kind, problems)?;
    let range = ranges::of_setting(&setting.name, &setting.kind);
    for (key, bound) in [("least", least), ("most", most)] {
        if !range.contains(&bound) {
            let [bound, from, to] = [bound, *range.start(), *range.end()].map(|x| setting.show(x));
            problems.add(at, format!("{key} of {} is {bound}; it goes from {from} to {to}", setting.name));
        }
    }
    if !(least..=most).contains(&default) {
        problems.add(at, format!("the default of {} does not lie between least and most", setting.name));
    }
    setting.range = (least, most);
    setting.default = setting.value(default);
    Some(setting)
}

fn read_bound(form: &mut Form<'_>, key: &str, kind: &Kind, problems: &mut Problems<'_>) -> Option<f64> {
    if !form.has(key) {
        form.missing(key, if *kind == Kind::Length { "\"1in\"" } else { "3" }, problems);
        return None;
    }
    match kind {
        Kind::Length => form.length(key, problems),
        Kind::Count => form.count(key, 0..=100_000, problems).map(f64::from),
        _ => form.number(key, -1e6..=1e6, problems),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_lead_elsewhere_and_titles_that_hide_something_are_told_with_their_line() {
        let (_, text) = crate::drawing::library::FILES.iter().find(|(name, _)| *name == "grid").unwrap();
        let told = |from: &str, to: &str| {
            let problems = read(&text.replacen(from, to, 1)).unwrap_err();
            problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("; ")
        };
        for name in ["../../x", "/tmp/x", "con", "my grid", ""] {
            let told = told("\"grid\"", &format!("\"{name}\""));
            assert_eq!(
                told,
                format!(
                    "line 1: `{name}` cannot be a name; give up to 40 letters a to z, digits and hyphens"
                )
            );
        }
        let told = told("title = \"", "title = \"\\u202e");
        assert!(told.contains("title cannot be shown, as it holds the hidden character \\u202e"), "{told}");
    }

    #[test]
    fn a_broken_file_tells_everything_that_is_wrong() {
        let text = "name = \"x\"\nsuits = [\"square\", \"blob\"]\nconstruction = \"magic\"\n[[setting]]\nname = \"a\"\nhelp = \"h\"\nkind = \"length\"\nleast = \"1in\"\nmost = \"2in\"\ndefault = \"3in\"\ncolour = \"red\"\n";
        let problems = read(text).unwrap_err();
        let told: Vec<String> = problems.iter().map(Problem::to_string).collect();
        assert_eq!(told.len(), 6, "{told:#?}");
        assert!(told[0].contains("`about` is missing"));
        assert!(told[1].contains("`title` is missing"));
        assert!(told[2].starts_with("line 2: `blob` is no kind of shape"));
        assert!(told[3].starts_with("line 3: `magic` is no construction; there are "));
        assert_eq!(told[4], "line 4: the default of a does not lie between least and most");
        assert!(told[5].starts_with("line 11: `colour` is not known in [[setting]]"));
    }
}
