//! `--vary`: a setting and its values → the designs to try.

use thrice::drawing::background::Background;
use thrice::drawing::library;
use thrice::drawing::motif::Motif;
use thrice::drawing::settings::{Kind, resolve};
use thrice::views::trial::make::Wish;

use super::words::typed;

/// The most designs in one picture: more cannot be compared, and each takes its time.
pub const MOST: usize = 60;

/// A setting, or the background, with the values to try.
#[derive(Debug, PartialEq)]
pub struct Vary {
    /// The setting's name.
    pub name: String,
    /// Its values as typed.
    pub values: Vec<String>,
}

impl Vary {
    /// Reads `petal=1in,2in`, `seed=1..12` or `background=none,echo`.
    ///
    /// # Errors
    /// What is wrong with it, for the motif that is varied.
    pub fn read(text: &str, motif: &Motif) -> anyhow::Result<Self> {
        let example = motif.settings.first().map_or("seed".to_owned(), |s| s.name.clone());
        let (name, values) = text.split_once('=').ok_or_else(|| {
            typed(format!(
                "`{text}` names no values; write it like {example}=1,2,3, with commas between them"
            ))
        })?;
        let name = name.trim();
        let setting = motif.settings.iter().find(|s| s.name == name);
        if setting.is_none() && name != "background" {
            let all: Vec<&str> =
                motif.settings.iter().map(|s| s.name.as_str()).chain(["background"]).collect();
            return Err(typed(format!("{} has no `{name}` to vary; it has {}", motif.name, all.join(", "))));
        }
        let mut found = Vec::new();
        for value in values.split(',').map(str::trim) {
            match value.split_once("..") {
                Some((first, last))
                    if setting.is_some_and(|s| matches!(s.kind, Kind::Seed | Kind::Count)) =>
                {
                    found.extend(range(value, first, last)?);
                }
                _ if value.is_empty() => {
                    return Err(typed(format!("`{text}` has a value that is empty; leave it out")));
                }
                _ => found.push(value.to_owned()),
            }
        }
        bounded(found.len())?;
        Ok(Vary { name: name.to_owned(), values: found })
    }
}

/// Refuses more designs than one picture takes.
pub fn bounded(count: usize) -> anyhow::Result<()> {
    match count {
        1..=MOST => Ok(()),
        0 => Err(typed("no motif suits this block; name one to see why")),
        _ => {
            Err(typed(format!("{count} designs are too many for one picture; try at most {MOST} at a time")))
        }
    }
}

fn range(text: &str, first: &str, last: &str) -> anyhow::Result<Vec<String>> {
    let wrong = || typed(format!("`{text}` is no range; write it like 1..12, the smaller first"));
    let (first, last): (u32, u32) =
        (first.trim().parse().map_err(|_| wrong())?, last.trim().parse().map_err(|_| wrong())?);
    if first > last {
        return Err(wrong());
    }
    bounded((last - first) as usize + 1)?;
    Ok((first..=last).map(|n| n.to_string()).collect())
}

/// One design a value; `asked` are the motif's other settings.
pub fn wishes(vary: &Vary, motif: &Motif, asked: &[String], all: &[Motif]) -> anyhow::Result<Vec<Wish>> {
    vary.values.iter().map(|value| wish(vary, value, motif, asked, all)).collect()
}

fn wish(vary: &Vary, value: &str, motif: &Motif, asked: &[String], all: &[Motif]) -> anyhow::Result<Wish> {
    let mut asked = asked.to_vec();
    let mut background = None;
    let mut title = format!("{} {value}", vary.name);
    if vary.name == "background" {
        title = if value == "none" { "no background".into() } else { format!("on {value}") };
        if value != "none" {
            let by = library::find(all, value).map_err(typed)?;
            let settings = resolve(&by.name, &by.settings, &[]).map_err(typed)?;
            background = Some(Background::new(by, settings).map_err(typed)?);
        }
    } else {
        asked.push(format!("{}={value}", vary.name));
    }
    let settings = resolve(&motif.name, &motif.settings, &asked).map_err(typed)?;
    Ok(Wish { title, motif: motif.clone(), settings, background })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(name: &str, text: &str) -> Result<Vec<String>, String> {
        let all = library::read_all(&[]).unwrap();
        let motif = library::find(&all, name).unwrap();
        Vary::read(text, motif).map(|v| v.values).map_err(|e| e.to_string())
    }

    #[test]
    fn values_ranges_and_backgrounds_are_read() {
        assert_eq!(read("meander", "seed=1..3, 9"), Ok(["1", "2", "3", "9"].map(String::from).to_vec()));
        assert_eq!(
            read("orange-peel", "background=none,echo"),
            Ok(["none", "echo"].map(String::from).to_vec())
        );
    }

    #[test]
    fn what_cannot_be_varied_is_refused_with_what_can() {
        assert!(read("orange-peel", "blob=1in").unwrap_err().contains("has no `blob` to vary; it has petal"));
        assert!(read("meander", "seed=1..100").unwrap_err().contains("100 designs are too many"));
        assert!(read("meander", "seed=9..1").unwrap_err().contains("no range"));
        assert!(read("meander", "seed").unwrap_err().contains("names no values"));
    }
}
