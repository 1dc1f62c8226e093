//! The motif library: every file of `motifs/`, built in.

use super::motif::{self, Motif};
use crate::base::form::Problem;

/// The text of every motif file, by name, in the order of the alphabet.
pub const FILES: &[(&str, &str)] = &[
    ("baptist-fan", include_str!("../../motifs/baptist-fan.toml")),
    ("basket-weave", include_str!("../../motifs/basket-weave.toml")),
    ("bishops-fan", include_str!("../../motifs/bishops-fan.toml")),
    ("cable", include_str!("../../motifs/cable.toml")),
    ("cable-three", include_str!("../../motifs/cable-three.toml")),
    ("clamshell", include_str!("../../motifs/clamshell.toml")),
    ("compass", include_str!("../../motifs/compass.toml")),
    ("continuous-curve", include_str!("../../motifs/continuous-curve.toml")),
    ("cross-hatch", include_str!("../../motifs/cross-hatch.toml")),
    ("diagonals", include_str!("../../motifs/diagonals.toml")),
    ("dogwood", include_str!("../../motifs/dogwood.toml")),
    ("echo", include_str!("../../motifs/echo.toml")),
    ("echoed-seeds", include_str!("../../motifs/echoed-seeds.toml")),
    ("feather-half-wreath", include_str!("../../motifs/feather-half-wreath.toml")),
    ("feather-spray", include_str!("../../motifs/feather-spray.toml")),
    ("feather-vine", include_str!("../../motifs/feather-vine.toml")),
    ("feather-wreath", include_str!("../../motifs/feather-wreath.toml")),
    ("feathered-heart", include_str!("../../motifs/feathered-heart.toml")),
    ("flower", include_str!("../../motifs/flower.toml")),
    ("grid", include_str!("../../motifs/grid.toml")),
    ("hanging-diamonds", include_str!("../../motifs/hanging-diamonds.toml")),
    ("heart-ring", include_str!("../../motifs/heart-ring.toml")),
    ("hearts", include_str!("../../motifs/hearts.toml")),
    ("knot", include_str!("../../motifs/knot.toml")),
    ("knot-border", include_str!("../../motifs/knot-border.toml")),
    ("leaf-meander", include_str!("../../motifs/leaf-meander.toml")),
    ("leaf-rosette", include_str!("../../motifs/leaf-rosette.toml")),
    ("leaf-vine", include_str!("../../motifs/leaf-vine.toml")),
    ("loops", include_str!("../../motifs/loops.toml")),
    ("meander", include_str!("../../motifs/meander.toml")),
    ("orange-peel", include_str!("../../motifs/orange-peel.toml")),
    ("pebbles", include_str!("../../motifs/pebbles.toml")),
    ("piano-keys", include_str!("../../motifs/piano-keys.toml")),
    ("pumpkin-seed", include_str!("../../motifs/pumpkin-seed.toml")),
    ("ribbon", include_str!("../../motifs/ribbon.toml")),
    ("rope", include_str!("../../motifs/rope.toml")),
    ("scroll", include_str!("../../motifs/scroll.toml")),
    ("seed-chain", include_str!("../../motifs/seed-chain.toml")),
    ("spiral", include_str!("../../motifs/spiral.toml")),
    ("star", include_str!("../../motifs/star.toml")),
    ("stipple", include_str!("../../motifs/stipple.toml")),
    ("sunburst", include_str!("../../motifs/sunburst.toml")),
    ("swag", include_str!("../../motifs/swag.toml")),
    ("teacup-circles", include_str!("../../motifs/teacup-circles.toml")),
    ("wave", include_str!("../../motifs/wave.toml")),
    ("wreath-hatched", include_str!("../../motifs/wreath-hatched.toml")),
    ("wreath-heart", include_str!("../../motifs/wreath-heart.toml")),
    ("wreath-ribbed", include_str!("../../motifs/wreath-ribbed.toml")),
    ("wreath-rosette", include_str!("../../motifs/wreath-rosette.toml")),
    ("wreath-separate", include_str!("../../motifs/wreath-separate.toml")),
];

/// Why there is no motif.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LibraryError {
    /// No motif of that name.
    #[error("there is no motif `{name}`{}; `thrice motifs` lists them all", nearest_words(.nearest))]
    Unknown {
        /** What was asked for. */
        name: String,
        /** The names most like it. */
        nearest: Vec<String>,
    },
    /// A motif file with mistakes.
    #[error("{file} cannot be used:\n  {}", .problems.iter().map(Problem::to_string).collect::<Vec<_>>().join("\n  "))]
    Broken {
        /** Its name. */
        file: String,
        /** Every mistake. */
        problems: Vec<Problem>,
    },
}

/// The built-in library with `more`, which may replace built-in motifs of the same name.
///
/// # Errors
/// [`LibraryError::Broken`] for a built-in file with mistakes.
pub fn with(more: Vec<Motif>) -> Result<Vec<Motif>, LibraryError> {
    let mut motifs: Vec<Motif> = Vec::new();
    for (name, text) in FILES {
        let file = format!("motifs/{name}.toml");
        motifs.push(motif::read(text).map_err(|problems| LibraryError::Broken { file, problems })?);
    }
    for motif in more {
        motifs.retain(|m| m.name != motif.name);
        motifs.push(motif);
    }
    motifs.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(motifs)
}

/// Reads the built-in library and then `more` (file name, text), which may replace built-in motifs of the same name.
///
/// # Errors
/// [`LibraryError::Broken`] for the first file with mistakes.
pub fn read_all(more: &[(String, String)]) -> Result<Vec<Motif>, LibraryError> {
    let read = |(file, text): &(String, String)| {
        motif::read(text).map_err(|problems| LibraryError::Broken { file: file.clone(), problems })
    };
    with(more.iter().map(read).collect::<Result<_, _>>()?)
}

/// The motif of that name.
///
/// # Errors
/// [`LibraryError::Unknown`] with the names most like it.
pub fn find<'m>(motifs: &'m [Motif], name: &str) -> Result<&'m Motif, LibraryError> {
    motifs
        .iter()
        .find(|m| m.name == name)
        .ok_or_else(|| LibraryError::Unknown { name: name.to_owned(), nearest: nearest(motifs, name) })
}

/// How alike two names have to be to be offered (Jaro–Winkler, 0 to 1).
const ALIKE: f64 = 0.72;

fn nearest(motifs: &[Motif], name: &str) -> Vec<String> {
    let mut alike: Vec<(f64, &str)> = motifs
        .iter()
        .map(|m| (strsim::jaro_winkler(&name.to_lowercase(), &m.name), m.name.as_str()))
        .filter(|(score, _)| *score >= ALIKE)
        .collect();
    alike.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    alike.into_iter().take(3).map(|(_, name)| name.to_owned()).collect()
}

fn nearest_words(nearest: &[String]) -> String {
    if nearest.is_empty() { String::new() } else { format!(", the nearest is {}", nearest.join(" or ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_file_is_right_and_named_like_its_motif() {
        let motifs = read_all(&[]).unwrap();
        let names: Vec<&str> = motifs.iter().map(|m| m.name.as_str()).collect();
        let files: Vec<&str> = FILES.iter().map(|(name, _)| *name).collect();
        assert_eq!(names, files);
    }

    #[test]
    fn a_mistyped_name_gets_the_nearest() {
        let told = find(&read_all(&[]).unwrap(), "orangepeel").unwrap_err().to_string();
        assert_eq!(
            told,
            "there is no motif `orangepeel`, the nearest is orange-peel; `thrice motifs` lists them all"
        );
    }

    #[test]
    fn a_motif_of_hers_replaces_the_built_in_one() {
        let (_, text) = FILES.iter().find(|(name, _)| *name == "cross-hatch").unwrap();
        let text = text.replace("Cross-hatch", "My grid");
        let motifs = read_all(&[("mine.toml".into(), text)]).unwrap();
        assert_eq!(find(&motifs, "cross-hatch").unwrap().title, "My grid");
        assert_eq!(motifs.len(), FILES.len());
    }
}
