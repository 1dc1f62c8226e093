//! Names of pieces in a sentence: never more than are read at once.

/// So many names are read at once.
pub const MOST_NAMES: usize = 3;

/// Names one after the other; of many the first, and how many more there are.
#[must_use]
pub fn few<'n>(names: impl Iterator<Item = &'n str>) -> String {
    let names: Vec<&str> = names.collect();
    match names.len() {
        0..=MOST_NAMES => names.join(", "),
        count => format!("{} and {} more", names[..MOST_NAMES].join(", "), count - MOST_NAMES),
    }
}

#[cfg(test)]
mod tests {
    use super::few;

    #[test]
    fn of_many_names_three_are_said() {
        assert_eq!(few(["a", "b", "c"].into_iter()), "a, b, c");
        assert_eq!(few(["a", "b", "c", "d", "e"].into_iter()), "a, b, c and 2 more");
    }
}
