//! A design as the page holds it → the words of `thrice block`, read by the program's own parser, and the files handed in.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;
use serde_json::Value;
use thrice::base::plain::{self, LONGEST_NAME};
use thrice::block::words::KEYS;

use super::answer::Refusal;
use super::typed::{LOOKS, MORE, in_a_shell, option, options_of, pairs, parsed, typed_words};
use crate::block;
use crate::reading::Files;

/// What the address of the page holds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Design {
    motif: Option<String>,
    shape: Option<ShapeWords>,
    more: BTreeMap<String, String>,
    settings: BTreeMap<String, Value>,
    background: Option<String>,
    background_settings: BTreeMap<String, Value>,
    options: BTreeMap<String, Value>,
    outline_svg: Option<String>,
    outline_name: Option<String>,
    drawing_svg: Option<String>,
    drawing_name: Option<String>,
}

/// A shape by its option and what was typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct ShapeWords {
    option: String,
    value: String,
}

/// A motif stands in every command; which, matters not where only the block is asked for.
const ANY_MOTIF: &str = "grid";

/// Files that are handed in: names and bytes.
pub type Given = Vec<(PathBuf, Vec<u8>)>;

/// A design read: the command that makes it, and what it reads.
pub struct Ordered {
    /// The command's own arguments.
    pub args: block::Args,
    /// The words of the command.
    pub words: Vec<String>,
    /// The files that were handed in.
    given: Given,
    key: String,
}

impl Ordered {
    /// The files that were handed in, which are all there are.
    pub fn files(&self) -> Files<'_> {
        Files::Given(&self.given)
    }

    /// What its stitches are made from: designs of one key differ in pictures alone.
    pub fn key(&self) -> &str {
        &self.key
    }

    /// The command as she could type it.
    pub fn command(&self) -> String {
        in_a_shell(&self.words)
    }

    /// An error of this design, with the part of it that is wrong.
    pub fn refusal(&self, error: &anyhow::Error, design: &Design) -> Refusal {
        let refusal = Refusal::of(error);
        match field(self, design) {
            Some(field) => refusal.at(field),
            None => refusal,
        }
    }
}

impl Design {
    /// The design with other colours, for a picture.
    pub fn coloured(mut self, cloth: Option<String>, thread: Option<String>) -> Self {
        for (name, colour) in [("cloth", cloth), ("thread", thread)] {
            if let Some(colour) = colour {
                self.options.insert(name.into(), Value::String(colour));
            }
        }
        self
    }

    /// What the values of one setting are tried on: the motif in its block without that setting, and nothing that changes no line.
    pub fn but(&self, setting: &str) -> Self {
        let kept = |name: &str| ["margin", "seed", "show-in"].contains(&name);
        let options = self.options.iter().filter(|(name, _)| kept(name));
        let settings = self.settings.iter().filter(|(name, _)| *name != setting);
        Self {
            motif: self.motif.clone(),
            settings: settings.map(|(n, v)| (n.clone(), v.clone())).collect(),
            options: options.map(|(n, v)| (n.clone(), v.clone())).collect(),
            ..self.without_motif()
        }
    }

    /// The block alone, with any motif to be named for it.
    pub fn without_motif(&self) -> Self {
        Self {
            motif: Some(ANY_MOTIF.into()),
            shape: self.shape.clone(),
            more: self.more.clone(),
            options: self
                .options
                .iter()
                .filter(|(name, _)| *name == "margin")
                .map(|(n, v)| (n.clone(), v.clone()))
                .collect(),
            outline_svg: self.outline_svg.clone(),
            outline_name: self.outline_name.clone(),
            ..Self::default()
        }
    }

    /// The words of another command for the block and for those options that it has too, and the files they name.
    ///
    /// # Errors
    /// As [`Design::read`].
    pub fn words(&self, command: &str) -> Result<(Vec<String>, Given), Refusal> {
        let (outline, _) = self.names()?;
        let mut words = self.shape_words(outline.as_deref())?;
        let known = options_of(command);
        for (name, value) in self.options.iter().filter(|(name, _)| known.contains(&name.as_str())) {
            words.extend(option(name, value)?);
        }
        let given = outline.zip(self.outline_svg.clone());
        let given = given.map(|(name, text)| (PathBuf::from(name), text.into_bytes()));
        Ok((words, given.into_iter().collect()))
    }

    /// Reads the design as the command would; `more` are words of the request itself, such as `--formats=dst`.
    ///
    /// # Errors
    /// What is wrong with it, and where.
    pub fn read(&self, more: &[String]) -> Result<Ordered, Refusal> {
        let (outline, drawing) = self.names()?;
        let mut given = Vec::new();
        let mut words = vec!["thrice".to_owned(), "block".to_owned()];
        let mut looks = more.to_vec();
        words.extend(self.shape_words(outline.as_deref())?);
        if let (Some(name), Some(text)) = (outline, &self.outline_svg) {
            given.push((PathBuf::from(name), text.clone().into_bytes()));
        }
        if let (Some(name), Some(text)) = (drawing, &self.drawing_svg) {
            words.push(format!("--drawing={name}"));
            given.push((PathBuf::from(name), text.clone().into_bytes()));
        }
        words.extend(pairs("setting", "settings", &self.settings)?);
        words.extend(self.background.iter().map(|motif| format!("--background={motif}")));
        words.extend(pairs("background-setting", "background_settings", &self.background_settings)?);
        for (name, value) in &self.options {
            let of = if LOOKS.contains(&name.as_str()) { &mut looks } else { &mut words };
            of.extend(option(name, value)?);
        }
        let files: Vec<&str> =
            given.iter().map(|(_, bytes)| std::str::from_utf8(bytes).unwrap_or("")).collect();
        let key = format!("{words:?} {:?} {files:?}", self.motif);
        words.extend(looks);
        if let Some(motif) = &self.motif {
            words.extend(["--".to_owned(), motif.clone()]);
        }
        let args = parsed(&words)?;
        Ok(Ordered { args, words: typed_words(&words, self.motif.as_deref()), given, key })
    }

    /// The names of the files that are handed in: what a file on her disk would be called.
    fn names(&self) -> Result<(Option<String>, Option<String>), Refusal> {
        let name = |text: &Option<String>, asked: &Option<String>, usual: &str, field: &str| {
            if text.is_none() {
                return Ok(None);
            }
            let stem = asked.as_deref().unwrap_or(usual);
            let stem = stem.strip_suffix(".svg").unwrap_or(stem);
            match plain::unfit_file_name(stem) {
                None if stem.chars().count() <= LONGEST_NAME => Ok(Some(format!("{stem}.svg"))),
                why => {
                    let why = why.unwrap_or_else(|| format!("it is longer than {LONGEST_NAME} letters"));
                    Err(Refusal::new(400, &format!("`{stem}` cannot name a file, as {why}; rename the file"))
                        .at(field))
                }
            }
        };
        let outline = name(&self.outline_svg, &self.outline_name, "outline", "outline_name")?;
        let drawing = name(&self.drawing_svg, &self.drawing_name, "drawing", "drawing_name")?;
        match (&outline, &drawing) {
            (Some(a), Some(b)) if a == b => Err(Refusal::new(
                400,
                &format!("outline and drawing are both called {a}; rename one of them"),
            )
            .at("drawing_name")),
            _ => Ok((outline, drawing)),
        }
    }

    fn shape_words(&self, outline: Option<&str>) -> Result<Vec<String>, Refusal> {
        if let Some(name) = outline {
            return Ok(vec![format!("--outline={name}")]);
        }
        let Some(shape) = &self.shape else { return Ok(Vec::new()) };
        if !KEYS.contains(&shape.option.as_str()) {
            return Err(Refusal::new(
                400,
                &format!("`{}` is no shape; there are {}", shape.option, KEYS.join(", ")),
            )
            .at("shape"));
        }
        let mut words = vec![format!("--{}={}", shape.option, shape.value)];
        for (name, value) in &self.more {
            if !MORE.contains(&name.as_str()) {
                return Err(Refusal::new(
                    400,
                    &format!("`{name}` is no measure of a shape; there are {}", MORE.join(", ")),
                )
                .at(format!("more.{name}")));
            }
            words.push(format!("--{name}={value}"));
        }
        Ok(words)
    }
}

/// Which part of a design is wrong: the first that cannot be used by itself.
fn field(ordered: &Ordered, design: &Design) -> Option<String> {
    let (args, files) = (&ordered.args, ordered.files());
    let Ok(shape) = args.shape.shape(files) else { return Some("shape".into()) };
    if thrice::block::outline(&shape, args.sewing().sewn.margin).is_err() {
        let asked = design.options.contains_key("margin");
        return Some(if asked { "options.margin" } else { "shape" }.into());
    }
    let alone = |change: &dyn Fn(&mut Design)| {
        let mut plain = Design {
            motif: design.motif.clone(),
            shape: design.shape.clone(),
            more: design.more.clone(),
            outline_svg: design.outline_svg.clone(),
            outline_name: design.outline_name.clone(),
            drawing_svg: design.drawing_svg.clone(),
            drawing_name: design.drawing_name.clone(),
            ..Design::default()
        };
        change(&mut plain);
        plain.read(&[]).is_ok_and(|ordered| block::order(&ordered.args, ordered.files()).is_ok())
    };
    if !alone(&|_| ()) {
        return Some("motif".into());
    }
    for (name, value) in &design.settings {
        if !alone(&|plain| drop(plain.settings.insert(name.clone(), value.clone()))) {
            return Some(format!("settings.{name}"));
        }
    }
    let ground = |plain: &mut Design| plain.background.clone_from(&design.background);
    if !alone(&ground) {
        return Some("background".into());
    }
    for (name, value) in &design.background_settings {
        let set = |plain: &mut Design| {
            ground(plain);
            plain.background_settings.insert(name.clone(), value.clone());
        };
        if !alone(&set) {
            return Some(format!("background_settings.{name}"));
        }
    }
    let wrong = |(name, value): &(&String, &Value)| {
        !alone(&|plain| drop(plain.options.insert((*name).clone(), (*value).clone())))
    };
    design.options.iter().find(wrong).map(|(name, _)| format!("options.{name}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn read(design: Value) -> Result<String, (u16, Option<String>, String)> {
        let design: Design = serde_json::from_value(design).unwrap();
        let told = |refusal: Refusal| (refusal.status, refusal.field, refusal.error);
        let ordered = design.read(&[]).map_err(told)?;
        let made = block::order(&ordered.args, ordered.files());
        made.map_err(|error| told(ordered.refusal(&error, &design)))?;
        Ok(ordered.command())
    }

    fn field_of(design: Value) -> Option<String> {
        read(design).unwrap_err().1
    }

    #[test]
    fn a_design_is_the_command_that_makes_it() {
        let design = json!({
            "motif": "feather-wreath", "shape": {"option": "sides", "value": "8 1/8in, 8in, 7 7/8in, 8 1/16in"},
            "more": {"diagonal": "11 3/8in"}, "settings": {"plume": "5/8in"}, "background": "cross-hatch",
            "background_settings": {"spacing": "1/2in"}, "options": {"no-ties": true, "speed": 700, "seed": null},
        });
        let command = read(design).unwrap();
        assert_eq!(
            command,
            "thrice block feather-wreath --sides \"8 1/8in, 8in, 7 7/8in, 8 1/16in\" --diagonal \"11 3/8in\" \
             --setting plume=5/8in --background cross-hatch --background-setting spacing=1/2in --no-ties --speed 700"
        );
    }

    #[test]
    fn no_word_of_a_design_becomes_an_option() {
        let square = json!({"option": "square", "value": "8in"});
        let told = read(json!({"motif": "--out=/tmp/x", "shape": square})).unwrap_err();
        assert_eq!((told.0, told.1.as_deref()), (400, Some("motif")));
        assert_eq!(
            field_of(json!({"motif": "grid", "shape": {"option": "outline", "value": "/etc/x.svg"}}))
                .unwrap(),
            "shape"
        );
        assert_eq!(
            field_of(json!({"motif": "grid", "shape": {"option": "square", "value": "--out"}})).unwrap(),
            "shape"
        );
        let drawing = json!({"shape": square, "drawing_svg": "<svg/>", "drawing_name": "../../x"});
        assert_eq!(field_of(drawing).unwrap(), "drawing_name");
    }

    #[test]
    fn what_is_wrong_is_told_where_it_is_wrong() {
        let with = |key: &str, value: Value| {
            let mut design = json!({"motif": "orange-peel", "shape": {"option": "square", "value": "8in"}});
            design[key] = value;
            field_of(design).unwrap()
        };
        assert_eq!(with("shape", json!({"option": "square", "value": "8"})), "shape");
        assert_eq!(with("shape", json!({"option": "sides", "value": "8in,8in,8in,8in"})), "shape");
        assert_eq!(with("motif", json!("orange-pel")), "motif");
        assert_eq!(with("settings", json!({"petal": "90in"})), "settings.petal");
        assert_eq!(with("background", json!("no-such")), "background");
        assert_eq!(with("options", json!({"margin": "8"})), "options.margin");
        assert_eq!(with("options", json!({"margin": "4in"})), "options.margin");
        assert_eq!(with("options", json!({"hoop": "200"})), "options.hoop");
        assert_eq!(with("options", json!({"batting": "wol"})), "options.batting");
    }
}
