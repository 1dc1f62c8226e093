//! The page's own files, built in.

use super::answer::{Answer, Refusal};

/// Name, kind and bytes of each.
const ASSETS: &[(&str, &str, &[u8])] =
    &[("index.html", "text/html; charset=utf-8", include_bytes!("assets/index.html"))];

/// The asset called `name`.
pub fn asset(name: &str) -> Result<Answer, Refusal> {
    let found = ASSETS.iter().find(|(known, ..)| *known == name);
    let (_, kind, bytes) = found.ok_or_else(|| Refusal::new(404, "there is nothing at this address"))?;
    Ok(Answer::new(kind, bytes.to_vec()))
}

/// The text of the asset called `name`.
pub fn text(name: &str) -> Result<&'static str, Refusal> {
    let found = ASSETS.iter().find(|(known, ..)| *known == name);
    let text = found.and_then(|(.., bytes)| std::str::from_utf8(bytes).ok());
    text.ok_or_else(|| Refusal::broke(&format!("{name} is not built in")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_page_is_built_in() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/bin/thrice/page/assets");
        let names = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<String> = names.collect();
        names.sort();
        let mut built_in: Vec<&str> = ASSETS.iter().map(|(name, ..)| *name).collect();
        built_in.sort_unstable();
        assert_eq!(built_in, names);
    }
}
