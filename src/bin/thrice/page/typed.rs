//! The words of a command: options of a design as words, read by the program's own parser, and written as she could type them.

use std::collections::BTreeMap;

use clap::error::{ContextKind, ContextValue};
use clap::{CommandFactory, Parser};
use serde_json::Value;
use thrice::block::words::KEYS;

use super::answer::Refusal;
use crate::words::tell_first;
use crate::{Cli, Command, block};

/// The options of `block` that a design may have: none of them names a file or a folder.
pub const OPTIONS: [&str; 20] = [
    "batting",
    "bobbin",
    "cloth",
    "gap",
    "hoop",
    "margin",
    "mirrored",
    "name",
    "no-ties",
    "png-width",
    "repeat",
    "seed",
    "show",
    "show-in",
    "speed",
    "start",
    "stitch",
    "thickness",
    "thread",
    "travel",
];
/// Options that change nothing but pictures.
pub const LOOKS: [&str; 4] = ["cloth", "png-width", "show", "thread"];
/// What belongs to the shape.
pub const MORE: [&str; 2] = ["diagonal", "other-diagonal"];

/// The options of a design that a command has as well.
pub fn options_of(command: &str) -> Vec<&'static str> {
    let mut cli = Cli::command();
    cli.build();
    let Some(command) = cli.find_subcommand(command) else { return Vec::new() };
    let has = |name: &&str| command.get_arguments().any(|arg| arg.get_long() == Some(*name));
    OPTIONS.into_iter().filter(has).collect()
}

/// Settings as words.
pub fn pairs(option: &str, field: &str, settings: &BTreeMap<String, Value>) -> Result<Vec<String>, Refusal> {
    let pair = |(name, value): (&String, &Value)| match value {
        Value::String(text) => Ok(format!("--{option}={name}={text}")),
        Value::Number(number) => Ok(format!("--{option}={name}={number}")),
        _ => Err(Refusal::new(400, &format!("{name} is neither text nor number; give one of them"))
            .at(format!("{field}.{name}"))),
    };
    settings.iter().filter(|(_, value)| !value.is_null()).map(pair).collect()
}

/// An option as a word; none if it is off.
pub fn option(name: &str, value: &Value) -> Result<Option<String>, Refusal> {
    let at = format!("options.{name}");
    if !OPTIONS.contains(&name) {
        return Err(Refusal::new(
            400,
            &format!("`{name}` is no option of a design; there are {}", OPTIONS.join(", ")),
        )
        .at(at));
    }
    match value {
        Value::Null | Value::Bool(false) => Ok(None),
        Value::Bool(true) => Ok(Some(format!("--{name}"))),
        Value::String(text) => Ok(Some(format!("--{name}={text}"))),
        Value::Number(number) => Ok(Some(format!("--{name}={number}"))),
        _ => Err(Refusal::new(400, &format!("{name} is neither text nor number; give one of them")).at(at)),
    }
}

/// The words read by the program's own parser.
pub fn command(words: &[String]) -> Result<Command, Refusal> {
    let cli = Cli::try_parse_from(words).map_err(|error| unread(&error))?;
    if let Some(unit) = cli.show_in {
        crate::words::show_in(unit);
    }
    Ok(cli.command)
}

pub fn parsed(words: &[String]) -> Result<block::Args, Refusal> {
    match command(words)? {
        Command::Block(args) => {
            tell_first(args.shape.units());
            Ok(*args)
        }
        _ => Err(Refusal::new(400, "the request is no design; send a design")),
    }
}

/// What the parser did not understand, in its words, and which part of the design that was.
fn unread(error: &clap::Error) -> Refusal {
    use std::error::Error;
    let told = match error.source() {
        Some(cause) => cause.to_string(),
        None => {
            let text = error.to_string();
            let first = text.lines().take_while(|line| !line.is_empty()).collect::<Vec<_>>().join(" ");
            first.strip_prefix("error: ").unwrap_or(&first).to_owned()
        }
    };
    let refusal = Refusal::new(400, &told);
    let option = match error.get(ContextKind::InvalidArg) {
        Some(ContextValue::String(arg)) => arg.clone(),
        Some(ContextValue::Strings(args)) => args.first().cloned().unwrap_or_default(),
        _ => return refusal,
    };
    let name = option.trim_start_matches("--").split([' ', '=', '[']).next().unwrap_or_default().to_owned();
    match name.as_str() {
        "" => refusal,
        name if KEYS.contains(&name) || name == "outline" => refusal.at("shape"),
        name if MORE.contains(&name) => refusal.at(format!("more.{name}")),
        name => refusal.at(format!("options.{name}")),
    }
}

/// The words as she could type them in a shell.
pub fn in_a_shell(words: &[String]) -> String {
    words.iter().map(|word| quoted(word)).collect::<Vec<_>>().join(" ")
}

/// The words as she would type them: the motif first, an option and its value apart.
pub fn typed_words(words: &[String], first: Option<&str>) -> Vec<String> {
    let mut typed: Vec<String> = words[..2].to_vec();
    typed.extend(first.map(str::to_owned));
    for word in words[2..].iter().take_while(|word| *word != "--") {
        match word.split_once('=') {
            Some((name, value)) if !value.starts_with('-') => {
                typed.extend([name.to_owned(), value.to_owned()]);
            }
            _ => typed.push(word.clone()),
        }
    }
    typed
}

/// A word as a shell reads it.
fn quoted(word: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_./,=:%+".contains(c);
    if !word.is_empty() && word.chars().all(plain) {
        word.to_owned()
    } else if word.contains(['"', '$', '`', '\\', '!']) {
        format!("'{}'", word.replace('\'', "'\\''"))
    } else {
        format!("\"{word}\"")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_option_of_a_design_names_a_file_or_a_folder() {
        let mut cli = Cli::command();
        cli.build();
        let block = cli.find_subcommand("block").unwrap();
        for name in &OPTIONS {
            let arg = block.get_arguments().find(|arg| arg.get_long() == Some(name));
            let arg = arg.unwrap_or_else(|| panic!("block has no --{name}"));
            let path = arg.get_value_parser().type_id() == clap::builder::ValueParser::path_buf().type_id();
            assert!(!path, "--{name} names a path");
        }
        // What else the command has: files and folders, what is printed, and what a design holds under names of its own.
        let elsewhere = [
            "also",
            "background",
            "background-setting",
            "design",
            "drawing",
            "formats",
            "help",
            "json",
            "motifs",
            "out",
            "paper",
            "setting",
            "version",
        ];
        let known = |name: &str| {
            OPTIONS.contains(&name) || KEYS.contains(&name) || MORE.contains(&name) || name == "outline"
        };
        let unknown = block
            .get_arguments()
            .filter_map(clap::Arg::get_long)
            .filter(|name| !known(name) && !elsewhere.contains(name));
        assert_eq!(unknown.collect::<Vec<_>>(), [""; 0]);
        for name in ["out", "outline", "drawing", "motifs", "json", "formats", "also", "help", "design"] {
            let told = option(name, &Value::String("/tmp/x".into())).unwrap_err();
            assert_eq!(told.field, Some(format!("options.{name}")));
        }
    }

    #[test]
    fn a_command_gets_the_options_that_it_has() {
        assert_eq!(
            options_of("check"),
            [
                "batting",
                "bobbin",
                "gap",
                "hoop",
                "margin",
                "name",
                "png-width",
                "show-in",
                "speed",
                "thickness"
            ]
        );
        assert!(options_of("refit").contains(&"stitch") && !options_of("refit").contains(&"seed"));
        assert!(options_of("align").contains(&"hoop") && !options_of("align").contains(&"speed"));
    }
}
