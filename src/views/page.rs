//! A sewn design or a whole quilt → one HTML page with everything to look at, to send to a friend.
//!
//! Lines and quilted cloth, the moving preview, figures, warnings and cautions; light or dark as her screen is. The page
//! holds all it shows and loads nothing. Its words stand in `page.html` beside this file.

use std::fmt::Write as _;

use crate::survey::cautions::CAUTIONS;
use crate::views::base64::jpeg_address;
use crate::views::moving::{escaped, fill};
use crate::views::picture::Fact;
use crate::views::sheet::Sheet;
use crate::views::svg;

const PAGE: &str = include_str!("page.html");

/// What a page shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The design's name or the quilt's.
    pub title: String,
    /// Motif and size, or size and setting.
    pub subtitle: String,
    /// The figures that are read first.
    pub lead: Vec<Fact>,
    /// All others.
    pub facts: Vec<Fact>,
    /// What she should know: whole sentences.
    pub warnings: Vec<String>,
    /// The design as lines.
    pub lines: Sheet,
    /// The design as quilted cloth, a JPEG file.
    pub relief: Vec<u8>,
    /// The moving preview, a page of its own; none for a quilt.
    pub moving: Option<String>,
    /// The pieces of a quilt; none for a block.
    pub pieces: Vec<Part>,
}

/// One piece of a quilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its name.
    pub title: String,
    /// Motif and size.
    pub subtitle: String,
    /// Its figures.
    pub facts: Vec<Fact>,
    /// What she should know: whole sentences.
    pub warnings: Vec<String>,
    /// It as lines.
    pub lines: Sheet,
    /// The moving preview, a page of its own.
    pub moving: String,
}

/// Writes the page.
#[must_use]
pub fn write(page: &Page) -> String {
    let lead: String = page
        .lead
        .iter()
        .map(|f| format!("<li><b>{}</b><span>{}</span></li>", escaped(&f.value), escaped(&f.label)))
        .collect();
    let mut pieces = String::new();
    if !page.pieces.is_empty() {
        pieces.push_str("<h2>The pieces</h2>");
    }
    for (i, part) in page.pieces.iter().enumerate() {
        pieces.push_str(&piece(part, i + 1));
    }
    let whole = page.moving.as_ref().map_or(String::new(), |moving| watch(&page.title, moving, 0));
    let words = [
        ("title", escaped(&page.title)),
        ("subtitle", escaped(&page.subtitle)),
        ("lead", lead),
        ("facts", facts(&page.facts)),
        ("warnings", warnings(&page.warnings)),
        ("cautions", cautions()),
        ("lines", svg::write(&page.lines)),
        ("relief", jpeg_address(&page.relief)),
        ("watch", whole),
        ("pieces", pieces),
    ];
    fill(PAGE, &words)
}

fn facts(facts: &[Fact]) -> String {
    let row = |f: &Fact| format!("<div><dt>{}</dt><dd>{}</dd></div>", escaped(&f.label), escaped(&f.value));
    facts.iter().map(row).collect()
}

fn warnings(warnings: &[String]) -> String {
    if warnings.is_empty() {
        return String::new();
    }
    let items: String = warnings.iter().map(|w| format!("<li>{}</li>", escaped(w))).collect();
    format!("<ul class=\"care\" aria-label=\"Worth knowing\">{items}</ul>")
}

/// The cautions, each group at the step where she acts.
fn cautions() -> String {
    let mut text = String::from("<div style=\"margin-top:24px\">");
    for group in CAUTIONS {
        let sentences: String = group.sentences.iter().map(|s| format!("<li>{}</li>", escaped(s))).collect();
        let _ = write!(
            text,
            "<details><summary>{}</summary><div class=\"in\"><ul>{sentences}</ul></div></details>",
            escaped(group.when)
        );
    }
    text + "</div>"
}

fn piece(part: &Part, number: usize) -> String {
    format!(
        "<article class=\"piece\"><div>{}</div><div><h3>{}</h3><p class=\"under\">{}</p><dl>{}</dl>{}</div>{}</article>",
        svg::write(&part.lines),
        escaped(&part.title),
        escaped(&part.subtitle),
        facts(&part.facts),
        warnings(&part.warnings),
        watch(&part.title, &part.moving, number)
    )
}

/// The moving preview, closed; its page waits in a script that no browser runs.
fn watch(title: &str, moving: &str, number: usize) -> String {
    format!(
        "<details class=\"watch\" data-page=\"moving-{number}\" data-title=\"{title}, sewn stitch by stitch\"><summary>Watch it sew</summary>\
         <div class=\"in\"></div></details><script type=\"text/plain\" id=\"moving-{number}\">{}</script>",
        moving.replace("</", "<\\/"),
        title = escaped(title)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page() -> Page {
        Page {
            title: "Rose & \"thorn\"".into(),
            subtitle: "rose".into(),
            lead: vec![Fact::new("minutes", "7.5")],
            facts: vec![Fact::new("jumps", "0")],
            warnings: vec!["A gap is <wide>.".into()],
            lines: Sheet {
                title: "t".into(),
                description: "d".into(),
                width: 10.0,
                height: 10.0,
                items: Vec::new(),
            },
            relief: vec![1, 2, 3],
            moving: Some("<html><script>1</script></html>".into()),
            pieces: Vec::new(),
        }
    }

    #[test]
    fn everything_is_on_the_page_and_nothing_is_loaded() {
        let text = write(&page());
        for part in [
            "<h1>Rose &amp; &quot;thorn&quot;</h1>",
            "<b>7.5</b><span>minutes</span>",
            "<li>A gap is &lt;wide&gt;.</li>",
            "src=\"data:image/jpeg;base64,AQID\"",
            "<html><script>1<\\/script><\\/html></script>",
        ] {
            assert!(text.contains(part), "{part} is missing");
        }
        for loads in ["src=\"http", "href=\"http", "url(http", "@import", "<link", "{{"] {
            assert!(!text.contains(loads), "{loads}");
        }
    }
}
