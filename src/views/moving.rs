//! [`Picture`] → one HTML page that sews the block stitch by stitch, with nothing to load from elsewhere.
//!
//! The page itself is `moving.html` beside this file; here its words and its stitches are filled in. Needle points
//! are written as steps in tenths of a millimetre, about six bytes a stitch.

use kurbo::{BezPath, Point, Rect};

use crate::base::plain;
use crate::base::tolerance::GRID_MM;
use crate::views::cloth::together;
use crate::views::picture::Picture;

const PAGE: &str = include_str!("moving.html");
/// Clear cloth round the block, as a part of its larger side.
const ROUND: f64 = 0.015;

/// Writes the page; `minutes` is how long the machine takes, as the report says.
///
/// It counts as the report does: every needle hole is a stitch, ties and repeats included.
#[must_use]
pub fn write(picture: &Picture, minutes: f64) -> String {
    let facts: Vec<String> = picture.facts.iter().map(|f| format!("{}: {}", f.label, f.value)).collect();
    let description = format!("{}, sewn stitch by stitch. {}", picture.subtitle(), facts.join("; "));
    let words = [
        ("title", escaped(&picture.heading())),
        ("subtitle", escaped(picture.under_heading())),
        ("lie", escaped(&picture.in_hoop())),
        ("description", escaped(description.trim())),
        ("data", data(picture, minutes)),
    ];
    fill(PAGE, &words)
}

/// The stitches and outlines as the page's script reads them.
fn data(picture: &Picture, minutes: f64) -> String {
    let field = picture.field_rect();
    let block = picture.bounds().union(picture.trace());
    let bounds = field.map_or(block, |field| field.union(block));
    let view = bounds.inflate(bounds.size().max_side() * ROUND, bounds.size().max_side() * ROUND);
    let minutes = if minutes.is_finite() { minutes.max(0.001) } else { 0.001 };
    let runs: Vec<String> = picture.runs.iter().map(|run| steps(run)).collect();
    format!(
        "{{\"minutes\":{minutes:.3},\"view\":{},\"field\":{},\"outline\":\"{}\",\"inside\":\"{}\",\n\"runs\":[{}]}}",
        corners(view),
        field.map_or_else(|| "null".to_owned(), corners),
        path(&picture.outline),
        path(&picture.inside),
        runs.join(",\n")
    )
}

fn corners(rect: Rect) -> String {
    format!("[{:.2},{:.2},{:.2},{:.2}]", rect.x0, rect.y0, rect.x1, rect.y1)
}

fn path(outlines: &[BezPath]) -> String {
    crate::views::svg::data(&together(outlines), 3)
}

/// The first needle point, then the step to each next one, in tenths of a millimetre.
fn steps(run: &[Point]) -> String {
    let mut at = (0, 0);
    let mut numbers = Vec::new();
    for p in run {
        let to = (tenths(p.x), tenths(p.y));
        numbers.push(format!("{},{}", to.0 - at.0, to.1 - at.1));
        at = to;
    }
    format!("[{}]", numbers.join(","))
}

#[expect(clippy::cast_possible_truncation, reason = "no design is 9e14 m wide")]
fn tenths(mm: f64) -> i64 {
    (mm / GRID_MM).round() as i64
}

/// Puts each word in place of its name in double braces, in one pass, so that no word can stand for another.
#[must_use]
pub fn fill(page: &str, words: &[(&str, String)]) -> String {
    let mut filled = String::new();
    let mut rest = page;
    while let Some((before, after)) = rest.split_once("{{") {
        filled.push_str(before);
        let (name, after) = after.split_once("}}").unwrap_or((after, ""));
        let word = words.iter().find(|w| w.0 == name).map_or("", |w| w.1.as_str());
        filled.push_str(word);
        rest = after;
    }
    filled.push_str(rest);
    filled
}

/// Words as they may stand on a page.
#[must_use]
pub fn escaped(text: &str) -> String {
    let signs = [('&', "&amp;"), ('<', "&lt;"), ('>', "&gt;"), ('"', "&quot;")];
    signs.iter().fold(plain::escaped(text).into_owned(), |text, (sign, name)| text.replace(*sign, name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stitches_are_written_as_steps_in_tenths() {
        let run = [Point::new(-1.0, 2.0), Point::new(1.5, 2.0), Point::new(1.5, -0.4)];
        assert_eq!(steps(&run), "[-10,20,25,0,0,-24]");
    }

    #[test]
    fn no_name_can_break_out_of_its_place() {
        let page = "<h1>{{title}}</h1><p>{{data}}</p>";
        let words = [("title", escaped("{{data}}<b>\"&")), ("data", "x".to_owned())];
        assert_eq!(fill(page, &words), "<h1>{{data}}&lt;b&gt;&quot;&amp;</h1><p>x</p>");
    }

    #[test]
    fn every_place_of_the_page_is_filled_and_nothing_is_loaded() {
        for (start, _) in PAGE.match_indices("{{") {
            let name = PAGE[start + 2..].split("}}").next().unwrap();
            assert!(["title", "subtitle", "lie", "description", "data"].contains(&name), "{name}");
        }
        for word in ["http:", "https:", "src=", "url(", "@import", "<link"] {
            assert!(!PAGE.contains(word), "the page has {word}");
        }
    }
}
