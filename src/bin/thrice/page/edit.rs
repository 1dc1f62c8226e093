//! A quilt file with some keys changed, its comments and order kept.

use serde::Deserialize;
use serde_json::{Value, json};
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table};

use super::answer::{Answer, Refusal};

/// The most keys that are changed at once.
const MOST_CHANGES: usize = 1000;
/// The deepest place in a file.
const DEEPEST: usize = 8;

/// A quilt file and what is to be changed in it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    toml: String,
    #[serde(default)]
    set: Vec<Change>,
}

/// A key by its path, and its new value; null removes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Change {
    at: Vec<Step>,
    value: Value,
}

/// A step of a path: a key, or a place in a list.
#[derive(Clone, Deserialize)]
#[serde(untagged)]
enum Step {
    Index(usize),
    Key(String),
}

/// Changes a quilt file.
pub fn change(asked: &Asked) -> Result<Answer, Refusal> {
    if asked.set.len() > MOST_CHANGES {
        return Err(Refusal::new(
            400,
            &format!("{} changes at once; send at most {MOST_CHANGES}", asked.set.len()),
        ));
    }
    let mut file: DocumentMut = asked.toml.parse().map_err(|error: toml_edit::TomlError| {
        let line = error.span().map(|span| 1 + asked.toml[..span.start].matches('\n').count());
        let refusal =
            Refusal::new(400, &format!("the quilt file cannot be read: {}", error.message().trim()));
        match line {
            Some(line) => refusal.at(format!("line {line}")),
            None => refusal,
        }
    })?;
    for change in &asked.set {
        set(file.as_table_mut(), change)?;
    }
    let text = file.to_string();
    let read: toml::Table =
        text.parse().map_err(|error: toml::de::Error| Refusal::new(400, error.message()))?;
    Answer::json(&json!({ "toml": text, "quilt": read }))
}

fn set(root: &mut Table, change: &Change) -> Result<(), Refusal> {
    if change.at.len() > DEEPEST {
        return Err(nowhere(change));
    }
    let value = item(&change.value, change)?;
    let Some((last, way)) = change.at.split_last() else { return Err(nowhere(change)) };
    let mut table = root;
    let mut steps = way.iter().peekable();
    while let Some(step) = steps.next() {
        let Step::Key(key) = step else { return Err(nowhere(change)) };
        let next = steps.peek().copied().or(Some(last));
        if let Some(Step::Index(index)) = next {
            let missing = Item::ArrayOfTables(ArrayOfTables::new());
            let list = table.entry(key).or_insert(missing).as_array_of_tables_mut();
            let list = list.ok_or_else(|| nowhere(change))?;
            // The whole table of a list is set or removed.
            if steps.peek().is_none() {
                return set_listed(list, *index, value, change);
            }
            steps.next();
            if *index == list.len() {
                list.push(Table::new());
            }
            table = list.get_mut(*index).ok_or_else(|| nowhere(change))?;
        } else {
            let missing = Item::Table(Table::new());
            table = table.entry(key).or_insert(missing).as_table_mut().ok_or_else(|| nowhere(change))?;
        }
    }
    let Step::Key(key) = last else { return Err(nowhere(change)) };
    match (value, table.get_mut(key)) {
        (None, _) => drop(table.remove(key)),
        (Some(Item::Value(new)), Some(Item::Value(old))) => {
            // What is said beside the value stays beside it.
            let beside = old.decor().clone();
            *old = new;
            *old.decor_mut() = beside;
        }
        (Some(new), _) => drop(table.insert(key, new)),
    }
    Ok(())
}

fn set_listed(
    list: &mut ArrayOfTables,
    index: usize,
    value: Option<Item>,
    change: &Change,
) -> Result<(), Refusal> {
    match value {
        None if index < list.len() => drop(list.remove(index)),
        None => return Err(nowhere(change)),
        Some(item) => {
            let table = item.into_table().map_err(|_| nowhere(change))?;
            if index == list.len() {
                list.push(table);
            } else {
                *list.get_mut(index).ok_or_else(|| nowhere(change))? = table;
            }
        }
    }
    Ok(())
}

/// A value as TOML has it; none for null.
fn item(value: &Value, change: &Change) -> Result<Option<Item>, Refusal> {
    Ok(match value {
        Value::Null => None,
        Value::Object(map) => {
            let mut table = Table::new();
            for (key, value) in map {
                if let Some(item) = item(value, change)? {
                    table.insert(key, item);
                }
            }
            Some(Item::Table(table))
        }
        plain => Some(Item::Value(plain_value(plain, change)?)),
    })
}

fn plain_value(value: &Value, change: &Change) -> Result<toml_edit::Value, Refusal> {
    Ok(match value {
        Value::Bool(flag) => (*flag).into(),
        Value::String(text) => text.as_str().into(),
        Value::Number(number) => match number.as_i64() {
            Some(whole) => whole.into(),
            None => number.as_f64().unwrap_or(0.0).into(),
        },
        Value::Array(all) => {
            let all: Result<Array, Refusal> = all.iter().map(|value| plain_value(value, change)).collect();
            toml_edit::Value::Array(all?)
        }
        Value::Null | Value::Object(_) => return Err(nowhere(change)),
    })
}

fn nowhere(change: &Change) -> Refusal {
    let step = |step: &Step| match step {
        Step::Index(index) => index.to_string(),
        Step::Key(key) => key.clone(),
    };
    let path: Vec<String> = change.at.iter().map(step).collect();
    Refusal::new(
        400,
        &format!("nothing can be set at `{}` of the quilt file; name a key that is there", path.join(".")),
    )
    .at(path.join("."))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str =
        "# Mine.\ntitle = \"A\" # so far\n[top]\nrows = 2\n[[piece]]\nwhere = \"blocks\"\nmotif = \"grid\"\n";

    fn changed(at: Value, value: Value) -> Result<String, u16> {
        let asked: Asked =
            serde_json::from_value(json!({"toml": FILE, "set": [{"at": at, "value": value}]})).unwrap();
        let answer = change(&asked).map_err(|refusal| refusal.status)?;
        let answer: Value = serde_json::from_slice(&answer.body).unwrap();
        Ok(answer["toml"].as_str().unwrap().to_owned())
    }

    #[test]
    fn one_key_changes_and_all_else_stays() {
        let to = |from: &str, to: &str| Ok(FILE.replace(from, to));
        assert_eq!(changed(json!(["title"]), json!("B")), to("\"A\"", "\"B\""));
        assert_eq!(
            changed(json!(["top", "rows"]), json!(["6in", "8in"])),
            to("rows = 2", "rows = [\"6in\", \"8in\"]")
        );
        assert_eq!(changed(json!(["piece", 0, "motif"]), json!("echo")), to("\"grid\"", "\"echo\""));
        assert_eq!(changed(json!(["piece", 0, "motif"]), Value::Null), to("motif = \"grid\"\n", ""));
        assert_eq!(
            changed(json!(["look", "family"]), json!("hearts")),
            Ok(format!("{FILE}\n[look]\nfamily = \"hearts\"\n"))
        );
        assert_eq!(
            changed(json!(["piece", 0]), Value::Null),
            to("[[piece]]\nwhere = \"blocks\"\nmotif = \"grid\"\n", "")
        );
        let more = changed(json!(["piece", 1]), json!({"where": "posts", "motif": "echo"})).unwrap();
        assert!(
            more.starts_with(FILE) && more.ends_with("[[piece]]\nmotif = \"echo\"\nwhere = \"posts\"\n"),
            "{more}"
        );
        assert!(
            changed(json!(["border", 0, "width"]), json!("5in"))
                .unwrap()
                .ends_with("[[border]]\nwidth = \"5in\"\n")
        );
    }

    #[test]
    fn a_path_that_leads_nowhere_is_refused() {
        for at in [
            json!([]),
            json!([0]),
            json!(["title", "x"]),
            json!(["piece", 3, "motif"]),
            json!(["top", 0, "x"]),
        ] {
            assert_eq!(changed(at.clone(), json!("x")), Err(400), "{at}");
        }
        let broken: Asked = serde_json::from_value(json!({"toml": "a = 1\nb = \n"})).unwrap();
        assert_eq!(change(&broken).unwrap_err().field.as_deref(), Some("line 2"));
    }
}
