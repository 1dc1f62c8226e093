//! A line of a quilt file → the key that stands on it, by its path: what is told of a line can stand beside that key.

use std::ops::Range;

use toml_edit::{Document, Item, Table};

/// The path of the key whose value stands on a line, counted from 1, such as `border.0.width`; of a table's own line, the table.
pub fn key_at(text: &str, line: usize) -> Option<String> {
    let file = Document::parse(text).ok()?;
    let begins = text.split_inclusive('\n').take(line.checked_sub(1)?).map(str::len).sum::<usize>();
    let length = text[begins..].split_inclusive('\n').next()?.len();
    within(file.as_table(), &(begins..begins + length), "")
}

/// The innermost key that begins on those bytes.
fn within(table: &Table, on: &Range<usize>, path: &str) -> Option<String> {
    for (key, item) in table.iter() {
        let name = if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") };
        let here = table.key(key).and_then(toml_edit::Key::span).is_some_and(|span| on.contains(&span.start));
        let found = match item {
            Item::Table(inner) => own(inner, on, &name),
            Item::ArrayOfTables(list) => {
                list.iter().enumerate().find_map(|(i, inner)| own(inner, on, &format!("{name}.{i}")))
            }
            _ => here.then_some(name),
        };
        if found.is_some() {
            return found;
        }
    }
    None
}

fn own(table: &Table, on: &Range<usize>, path: &str) -> Option<String> {
    let header = table.span().is_some_and(|span| on.contains(&span.start));
    within(table, on, path).or_else(|| header.then(|| path.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_found_by_its_key() {
        let text = "title = \"a\"\n# rows\n[top]\nrows = 2\n\n[[border]]\nwidth = \"2in\"\n[[border]]\nwidth = \"x\"\n";
        let found: Vec<Option<String>> = (0..11).map(|line| key_at(text, line)).collect();
        let found: Vec<&str> = found.iter().map(|path| path.as_deref().unwrap_or("-")).collect();
        let keys = [
            "-",
            "title",
            "-",
            "top",
            "top.rows",
            "-",
            "border.0",
            "border.0.width",
            "border.1",
            "border.1.width",
            "-",
        ];
        assert_eq!(found, keys);
        assert_eq!(key_at("a = \n", 1), None);
    }
}
