//! The page's own files, built in.

use super::answer::{Answer, Refusal};

/// A file of the page by its name, built in.
macro_rules! built_in {
    ($($name:literal)*) => { &[$(($name, include_bytes!(concat!("assets/", $name)))),*] };
}

/// Name and bytes of each.
const ASSETS: &[(&str, &[u8])] = built_in![
    "align.js"
    "api.js"
    "block.js"
    "cards.js"
    "carry.html"
    "diagram.js"
    "drop.js"
    "figures.js"
    "file.js"
    "files.js"
    "first.js"
    "gallery.js"
    "h.js"
    "homography.js"
    "hooping.css"
    "hooping.js"
    "index.html"
    "lengths.js"
    "live.js"
    "main.js"
    "mark.svg"
    "measure.js"
    "page.css"
    "parts.css"
    "parts.js"
    "photo.js"
    "picture.css"
    "picture.js"
    "questions.js"
    "quilt.css"
    "quilt.js"
    "quilt_border.js"
    "quilt_field.js"
    "quilt_groups.js"
    "quilt_layout.js"
    "quilt_map.js"
    "quilt_odd.js"
    "quilt_places.js"
    "quilt_sure.js"
    "sandwich.js"
    "sentence.js"
    "settings.js"
    "sewing.js"
    "shape_fields.js"
    "shapes.js"
    "slider.js"
    "state.js"
    "tape.js"
    "tomachine.js"
];

/// What a browser has to be told a file is, by the ending of its name.
fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        _ => "image/svg+xml",
    }
}

/// The asset called `name`.
pub fn asset(name: &str) -> Result<Answer, Refusal> {
    let found = ASSETS.iter().find(|(known, ..)| *known == name);
    let (name, bytes) = found.ok_or_else(|| Refusal::new(404, "there is nothing at this address"))?;
    Ok(Answer::new(kind(name), bytes.to_vec()))
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
