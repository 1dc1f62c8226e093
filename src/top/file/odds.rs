//! `[[odd]]` of a quilt file: blocks with measures of their own.

use super::Odd;
use super::top::{Set, Top};
use crate::base::form::{Form, Problems};
use crate::block::shape::Shape;
use crate::block::words;
use crate::top::place::Place;

pub fn read(form: &mut Form<'_>, top: Option<&Top>, problems: &mut Problems<'_>) -> Vec<Odd> {
    let mut odds: Vec<Odd> = Vec::new();
    for table in form.forms("odd", problems) {
        let offset = table.offset();
        let Some(odd) = odd(table, top, problems) else { continue };
        if odds.iter().any(|o| o.at == odd.at || o.name == odd.name) {
            problems.add(offset, format!("`{}` has the name or the place of another odd block", odd.name));
        }
        odds.push(odd);
    }
    odds
}

fn odd(mut table: Form<'_>, top: Option<&Top>, problems: &mut Problems<'_>) -> Option<Odd> {
    let offset = table.offset();
    let name = table.text_at("name", problems);
    if name.is_none() {
        table.missing("name", "\"the one that came out wide\"", problems);
    }
    let name = name.and_then(|(name, at)| {
        let taken = Place::NAMED.iter().any(|p| p.to_string() == name);
        if taken || super::path_safe(&name).is_empty() {
            problems.add(at, format!("`{name}` cannot name an odd block; give it words of its own"));
            return None;
        }
        Some(name)
    });
    if !table.has("at") {
        table.missing("at", "[2, 1]", problems);
    }
    let at: Option<(f64, f64)> = table.value("at", problems);
    if let (Some(at), Some(top)) = (at, top)
        && !is_a_place(at, top)
    {
        let (columns, rows) = (top.columns.len(), top.rows.len());
        let message = if rows == 0 {
            "a drawn top has no odd blocks; draw the patch as it came out".to_owned()
        } else {
            format!(
                "there is no block at row {}, column {}; rows go from 1 to {rows}, columns from 1 to {columns}, \
                 with halves between them on point",
                at.0, at.1
            )
        };
        problems.add(offset, message);
    }
    let shape = shape(&mut table, problems);
    let mut allowed = vec!["name", "at", "diagonal", "other-diagonal"];
    allowed.extend(words::KEYS);
    table.finish(&allowed, problems);
    Some(Odd { name: name?, at: at?, shape: shape? })
}

/// True for the row and column of a block; halves, both at once, for the blocks between the rows on point.
fn is_a_place((row, column): (f64, f64), top: &Top) -> bool {
    #[expect(clippy::cast_precision_loss, reason = "a few dozen")]
    let (columns, rows) = (top.columns.len() as f64, top.rows.len() as f64);
    let between = top.set == Set::OnPoint && column.fract() == 0.5 && row.fract() == 0.5;
    let whole = column.fract() == 0.0 && row.fract() == 0.0;
    (whole || between) && (1.0..=columns).contains(&column) && (1.0..=rows).contains(&row)
}

fn shape(table: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<Shape> {
    let offset = table.offset();
    let keys: Vec<&str> = words::KEYS.into_iter().filter(|k| table.has(k)).collect();
    let diagonal = table.text("diagonal", problems);
    let other = table.text("other-diagonal", problems);
    let [key] = keys[..] else {
        let all = words::KEYS.join(", ");
        problems.add(offset, format!("an odd block needs one shape, such as sides = \"…\"; there are {all}"));
        for key in keys {
            table.text(key, problems);
        }
        return None;
    };
    let (text, at) = table.text_at(key, problems)?;
    let read = match key {
        "sides" => Shape::from_sides(&text, diagonal.as_deref(), other.as_deref()),
        _ => Shape::from_words(key, &text),
    };
    match read.and_then(|shape| crate::block::outline(&shape, 0.0).map(|_| shape)) {
        Ok(shape) => Some(shape),
        Err(error) => {
            problems.add(at, format!("{key}: {error}"));
            None
        }
    }
}
