//! SVG text → an XML tree that is safe to resolve: small enough even when everything it refers to is copied out.
//!
//! SVG can say little that stands for much: a `use` of a group of `use`s, a marker on every corner of a long path, a pattern
//! within patterns, an entity within entities, a style rule for every element. So every reference is counted as a copy of
//! what it refers to, and the sum is held against `MOST_COPIES` before anything is resolved. Nothing outside the text is
//! ever opened: pictures and fonts are no lines.

use std::collections::{BTreeMap, HashMap};

use usvg::roxmltree::{Document, Node, NodeId, ParsingOptions};

/// The longest SVG text that is read, bytes: a hundred times what a detailed drawing needs.
pub const MOST_BYTES: usize = 20_000_000;

/// The most elements, counted with every copy that a reference makes.
const MOST_COPIES: f64 = 100_000.0;

/// The longest path data, with every copy of it, characters: about a million numbers.
const MOST_PATH_DATA: f64 = 10_000_000.0;

/// The most style rules times elements that are matched.
const MOST_MATCHES: f64 = 3_000_000.0;

/// The most entities, the longest one, and how often they may be referred to: drawing programs name their namespaces so.
const MOST_ENTITIES: usize = 50;
const LONGEST_ENTITY: usize = 500;
const MOST_ENTITY_REFERENCES: usize = 1000;

/// Parses the text as XML and checks that it stays small when all references are resolved.
///
/// # Errors
/// Why it cannot be used, with the figure that is too large and the limit.
pub fn parse(svg_text: &str) -> Result<Document<'_>, String> {
    if svg_text.len() > MOST_BYTES {
        return Err(format!(
            "it is {} MB long; at most {} MB are read",
            svg_text.len() / 1_000_000,
            MOST_BYTES / 1_000_000
        ));
    }
    few_entities(svg_text)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small constant")]
    let options =
        ParsingOptions { allow_dtd: true, nodes_limit: 4 * MOST_COPIES as u32, ..ParsingOptions::default() };
    let document = Document::parse_with_options(svg_text, options).map_err(|e| e.to_string())?;
    few_copies(&document)?;
    whole_paths(&document)?;
    Ok(document)
}

/// No path breaks off: what follows a mistake in its data would be left out without a word.
fn whole_paths(document: &Document<'_>) -> Result<(), String> {
    for path in document.descendants().filter(|node| node.tag_name().name() == "path") {
        let Some(data) = path.attribute_node("d") else { continue };
        if let Some(mistake) = svgtypes::PathParser::from(data.value()).find_map(Result::err) {
            let line = document.text_pos_at(data.range_value().start).row;
            return Err(format!("the data of the path on line {line} breaks off ({mistake})"));
        }
    }
    Ok(())
}

/// Entities may stand for short plain words only, and not too often.
fn few_entities(svg_text: &str) -> Result<(), String> {
    let values: Vec<&str> = svg_text.split("<!ENTITY").skip(1).map(quoted).collect();
    let longest = values.iter().map(|v| v.len()).max().unwrap_or(0);
    let nested = values.iter().any(|v| v.contains(['&', '%', '<']));
    let references = svg_text.matches('&').count();
    let many = values.len() > MOST_ENTITIES || references > MOST_ENTITY_REFERENCES;
    if values.is_empty() || !(many || nested || longest > LONGEST_ENTITY) {
        return Ok(());
    }
    Err(format!(
        "it has {} entities, the longest of {longest} letters, and {references} references; at most {MOST_ENTITIES} plain ones \
         of {LONGEST_ENTITY} letters with {MOST_ENTITY_REFERENCES} references are read",
        values.len()
    ))
}

/// What stands in the first pair of quotes; all of the text if there is none.
fn quoted(text: &str) -> &str {
    let value =
        text.find(['"', '\'']).and_then(|at| text[at + 1..].split(char::from(text.as_bytes()[at])).next());
    value.unwrap_or(text)
}

/// Everything copied out is few elements with little path data, and few style rules to hold against them.
fn few_copies(document: &Document<'_>) -> Result<(), String> {
    let mut copies = Copies::new(document);
    // References out of a style sheet may come to any element.
    let styled: Vec<Node<'_, '_>> =
        styles(document).flat_map(references).filter_map(|id| copies.by_id.get(id).copied()).collect();
    let styled: f64 = styled.into_iter().map(|node| copies.size(node, 0).elements).sum();
    let own = document.descendants().filter(Node::is_element).count() as f64;
    let Size { elements, path_data } = copies.size(document.root(), 0);
    let elements = elements + styled * own;
    if elements > MOST_COPIES {
        return Err(format!(
            "it has {elements:.0} elements, counted with all that they refer to; at most {MOST_COPIES} are read"
        ));
    }
    if path_data > MOST_PATH_DATA {
        return Err(format!(
            "it has {path_data:.0} letters of path data, counted with all that is drawn again; at most {MOST_PATH_DATA} are read"
        ));
    }
    let rules: usize = styles(document).map(|text| text.matches(['{', ',']).count()).sum();
    if rules as f64 * elements > MOST_MATCHES {
        return Err(format!(
            "it has {rules} style rules for {elements:.0} elements; at most {MOST_MATCHES} pairs of them are tried"
        ));
    }
    Ok(())
}

fn styles<'d>(document: &'d Document<'_>) -> impl Iterator<Item = &'d str> {
    let sheets = document.descendants().filter(|n| n.has_tag_name("style"));
    sheets.flat_map(|n| n.descendants()).filter(Node::is_text).filter_map(|n| n.text())
}

/// How large an element becomes once all below it and all that it refers to is copied out.
#[derive(Debug, Clone, Copy, Default)]
struct Size {
    elements: f64,
    path_data: f64,
}

impl Size {
    fn add(&mut self, other: Size, times: f64) {
        self.elements += times * other.elements;
        self.path_data += times * other.path_data;
    }
}

struct Copies<'d, 'i> {
    by_id: BTreeMap<&'d str, Node<'d, 'i>>,
    // By the element's place in the document; nothing while it is being worked out, as in a circle of references.
    sizes: HashMap<NodeId, Size>,
}

impl<'d, 'i> Copies<'d, 'i> {
    fn new(document: &'d Document<'i>) -> Self {
        let mut by_id = BTreeMap::new();
        for node in document.descendants() {
            if let Some(id) = node.attribute("id") {
                by_id.entry(id).or_insert(node);
            }
        }
        Self { by_id, sizes: HashMap::new() }
    }

    /// The size of a node; a circle of references is gone round once, as it is by those who follow it.
    fn size(&mut self, node: Node<'d, 'i>, depth: usize) -> Size {
        /// As deep as elements may lie in each other, here and in what reads the tree on.
        const DEEPEST: usize = 900;
        if let Some(known) = self.sizes.get(&node.id()) {
            return *known;
        }
        if depth > DEEPEST {
            return Size { elements: f64::INFINITY, path_data: 0.0 };
        }
        self.sizes.insert(node.id(), Size::default());
        let data = node.attributes().filter(|a| matches!(a.name(), "d" | "points"));
        let data = data.map(|a| a.value().len()).sum::<usize>() as f64;
        let mut size = Size { elements: f64::from(u8::from(node.is_element())), path_data: data };
        for child in node.children().filter(Node::is_element) {
            let below = self.size(child, depth + 1);
            size.add(below, 1.0);
        }
        for attribute in node.attributes() {
            let value = attribute.value();
            // A marker is drawn at every corner, and a corner takes two letters at least.
            let marker = attribute.name().starts_with("marker") || value.contains("marker");
            let times = if marker { 1.0 + data / 2.0 } else { 1.0 };
            let href = (attribute.name() == "href").then(|| value.strip_prefix('#')).flatten();
            let there: Vec<_> = href.into_iter().chain(references(value)).collect();
            for node in there.into_iter().filter_map(|id| self.by_id.get(id).copied()).collect::<Vec<_>>() {
                let there = self.size(node, depth + 1);
                size.add(there, times);
            }
        }
        self.sizes.insert(node.id(), size);
        size
    }
}

/// The names in every `url(#name)` of a text.
fn references(text: &str) -> impl Iterator<Item = &str> {
    text.split("url(").skip(1).filter_map(|rest| {
        let name = rest.split(')').next()?.trim().trim_matches(['"', '\'']);
        name.strip_prefix('#')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(body: &str) -> String {
        let text = format!(r#"<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">{body}</svg>"#);
        parse(&text).err().unwrap_or_default()
    }

    #[test]
    fn little_that_stands_for_much_is_refused_before_it_is_copied_out() {
        let tower = |open: &str, use_: &str, close: &str| {
            let storey = |n: usize| {
                format!(
                    "<{open} id='a{}'>{}</{close}>",
                    n + 1,
                    use_.replace('#', &format!("#a{n}")).repeat(10)
                )
            };
            format!(
                "<{open} id='a0'><path d='M0 0L1 1'/></{close}>{}",
                (0..9).map(storey).collect::<String>()
            )
        };
        let uses = told(&tower("g", "<use href='#'/>", "g"));
        assert!(uses.contains("elements, counted with all"), "{uses}");
        let patterns = tower("pattern", "<path d='M0 0H1' fill='url(#)'/>", "pattern");
        assert!(told(&patterns).contains("elements, counted with all"));
        let marked = format!(
            "<marker id='m'>{}</marker><path style='marker:url(#m)' d='{}'/>",
            "<g/>".repeat(50),
            "M0 0H9V9".repeat(1000)
        );
        assert!(told(&marked).contains("elements, counted with all"));
        let drawn = format!("<path id='p' d='{}'/>{}", "M0 0".repeat(30_000), "<use href='#p'/>".repeat(99));
        assert_eq!(
            told(&drawn),
            "it has 12000000 letters of path data, counted with all that is drawn again; at most 10000000 are read"
        );
        let rules = format!("<style>{}</style>{}", ".a{fill:red}".repeat(4000), "<g/>".repeat(1000));
        assert_eq!(
            told(&rules),
            "it has 4000 style rules for 1002 elements; at most 3000000 pairs of them are tried"
        );
        let entities = format!("<!DOCTYPE svg [<!ENTITY a '>{}'>]><svg/>", "a".repeat(600));
        assert!(parse(&entities).unwrap_err().starts_with("it has 1 entities, the longest of 601 letters"));
        assert!(told(&"<g/>".repeat(400_001)).contains("limit"));
    }

    #[test]
    fn a_path_that_breaks_off_is_refused_with_its_line() {
        let said = told("<path d=''/>\n<path d='M0 0H9V9Z'/>\n<path d='M0 0 L 100 1x0'/>");
        assert!(said.starts_with("the data of the path on line 3 breaks off ("), "{said}");
        assert!(told("<path d='M0 0 C 1 2 3'/>").contains("line 1 breaks off"));
        assert_eq!(told("<path d='m1-2.5.5,3e1zM 0,0a1 1 0 019 9'/>"), "");
    }

    #[test]
    fn what_drawing_programs_write_is_read() {
        let body = "<style>.a{fill:url(#g)}</style><linearGradient id='g'><stop/></linearGradient><path class='a' d='M0 0H9V9'/>
            <symbol id='s'><path d='M0 0H9'/></symbol><use href='#s'/><g id='self'><use href='#self'/></g>";
        assert_eq!(told(body), "");
        let named = "<!DOCTYPE svg [<!ENTITY ns 'http://www.w3.org/2000/svg'>]><svg xmlns='&ns;'/>";
        assert!(parse(named).is_ok());
    }
}
