//! Families: motifs that belong together, one for every place of a quilt, as data (`motifs/families/*.toml`, built in).
//!
//! A family file holds `name`, `title`, `about` and a list of `[[member]]`: the `place` as a quilt file names it (or
//! `borders`), a `motif`, its `settings`, a `background`, and the `least` width of a sash or border that it is for. Of the
//! members of a place the first that suits its shape and width is taken.

use serde::Deserialize;

use crate::base::units::read_length;

/// The family files, built in.
const FILES: &[&str] = &[
    include_str!("../../motifs/families/cables.toml"),
    include_str!("../../motifs/families/feathers.toml"),
    include_str!("../../motifs/families/hearts.toml"),
    include_str!("../../motifs/families/leaves.toml"),
    include_str!("../../motifs/families/orange-peel.toml"),
    include_str!("../../motifs/families/shells.toml"),
    include_str!("../../motifs/families/straight-lines.toml"),
];

/// Motifs that belong together.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Family {
    /// The word it is asked for by.
    pub name: String,
    /// Its name for her.
    pub title: String,
    /// One line for her.
    pub about: String,
    /// Its members, place by place.
    #[serde(rename = "member")]
    pub members: Vec<Member>,
}

/// One motif of a family, for one place.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Member {
    /// The place, as a quilt file names it, or `borders`.
    pub place: String,
    /// The motif.
    pub motif: String,
    /// Its settings, as a quilt file has them.
    #[serde(default)]
    pub settings: Vec<String>,
    /// What fills the places that it leaves open.
    pub background: Option<String>,
    /// The least width of a sash or border that it is for.
    least: Option<String>,
}

impl Member {
    /// The least width of a sash or border that it is for, mm.
    #[must_use]
    pub fn least_mm(&self) -> f64 {
        self.least.as_deref().and_then(|text| read_length(text).ok()).unwrap_or(0.0)
    }
}

/// All families, by name.
#[must_use]
pub fn all() -> Vec<Family> {
    let mut all: Vec<Family> = FILES.iter().filter_map(|text| toml::from_str(text).ok()).collect();
    all.sort_by(|a, b| a.name.cmp(&b.name));
    all
}

/// The family of that name.
#[must_use]
pub fn find(name: &str) -> Option<Family> {
    all().into_iter().find(|f| f.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{library, settings};

    #[test]
    fn every_family_file_is_right_and_names_motifs_and_settings_that_there_are() {
        let motifs = library::read_all(&[]).unwrap();
        assert_eq!(all().len(), FILES.len());
        for text in FILES {
            let family: Family = toml::from_str(text).unwrap();
            for place in [
                "blocks",
                "alternate blocks",
                "side triangles",
                "corner triangles",
                "sashes",
                "posts",
                "borders",
            ] {
                assert!(family.members.iter().any(|m| m.place == place), "{}: {place}", family.name);
            }
            for member in &family.members {
                let motif = library::find(&motifs, &member.motif).unwrap();
                settings::resolve(&motif.name, &motif.settings, &member.settings).unwrap();
                if let Some(background) = &member.background {
                    library::find(&motifs, background).unwrap();
                }
                assert!(member.least.is_none() || member.least_mm() > 0.0, "{member:?}");
            }
        }
    }
}
