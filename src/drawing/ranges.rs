//! The range of every number that a motif file may hold, in one place, and how much may be drawn with them.
//!
//! Numbers are looked up by the construction and by their place under `[numbers]`; numbers in lists have their list's
//! place. Settings are looked up by their kind, some by their name. Ranges are wide enough for any look that a motif can
//! have, and narrow enough that no number makes a drawing endless or empty. All are from memory of what draws well.

use std::ops::RangeInclusive;

use super::settings::{Kind, Settings};
use crate::base::form::{Form, Leaf, Problems};
use crate::block::Block;
use crate::block::region::Region;

/// The longest list in a motif file, and the most letters of path data in all of one.
const LONGEST_LIST: usize = 200;
const MOST_PATH_DATA: usize = 20_000;

/// A cell with so many letters of path data is as much work as a plain one.
const PLAIN_CELL: f64 = 500.0;

/// How far path data may reach from the cell that it is drawn for, in cells.
pub const PATH_REACH: f64 = 20.0;

/// (construction, place, least, most); `feather` stands for all constructions of feathers.
const NUMBERS: &[(&str, &str, f64, f64)] = &[
    ("echo", "centre", 0.1, 3.0),
    ("echo", "least", 0.0, 50.0),
    ("echo", "tell", 0.0, 50.0),
    ("fan", "tick", 0.0, 10.0),
    ("feather", "centre.hatch", 0.0, 2.0),
    ("feather", "centre.ring", 0.02, 0.8),
    ("feather", "crown", 0.1, 3.0),
    ("feather", "crown_height", 0.5, 10.0),
    ("feather", "crowns", -0.5, 1.0),
    ("feather", "curl", 0.0, 180.0),
    ("feather", "double", 0.0, 0.2),
    ("feather", "drops", -0.5, 1.0),
    ("feather", "fitted", 0.01, 1.0),
    ("feather", "form", 0.3, 1.0),
    ("feather", "inner", 0.0, 0.95),
    ("feather", "inner_width", 0.1, 2.0),
    ("feather", "inside", 0.5, 1.2),
    ("feather", "longest", 1.0, 10.0),
    ("feather", "lowest", 0.5, 5.0),
    ("feather", "pairs", 1.0, 2.0),
    ("feather", "plumes", 0.01, 0.5),
    ("feather", "pointed", 0.0, 5.0),
    ("feather", "quill", 0.0, 10.0),
    ("feather", "reach", 0.02, 0.5),
    ("feather", "rounding", 0.0, 3.0),
    ("feather", "side", 10.0, 90.0),
    ("feather", "slimmest", 0.05, 2.0),
    ("feather", "smallest", 0.1, 1.0),
    ("feather", "spine", 0.05, 1.0),
    ("feather", "stoutest", 0.05, 2.0),
    ("feather", "swell", 0.0, 1.0),
    ("feather", "taller", 0.5, 3.0),
    ("feather", "taper", 0.1, 1.5),
    ("feather", "turning", 0.0, 5.0),
    ("lattice", "below", 0.0, 8.0),
    ("lattice", "height", 0.2, 10.0),
    ("lattice", "least", 1.0, 20.0),
    ("lattice", "tick", 0.0, 1.0),
    ("lattice", "triangle_side", 0.2, 10.0),
    ("lattice", "width", 0.2, 10.0),
    ("lattice", "cell.bows", -2.0, 3.0),
    ("lattice", "cell.eye", 0.0, 0.4),
    ("lattice", "cell.rise", 0.0, 0.5),
    ("lines", "families", -6.0, 6.0),
    ("lines", "no_right_angle", -6.0, 6.0),
    ("lines", "six_sides", -6.0, 6.0),
    ("lines", "three_sides", -6.0, 6.0),
    ("meander", "cell", 2.0, 12.0),
    ("meander", "flat", 0.0, 1.0),
    ("meander", "gap", 1.0, 4.0),
    ("meander", "loops.apart", 0.5, 50.0),
    ("meander", "loops.chord", 0.3, 4.0),
    ("meander", "loops.clear", 0.1, 2.0),
    ("meander", "loops.crossing", 0.0, 90.0),
    ("meander", "loops.radius", 0.1, 2.0),
    ("meander", "near", 0.0, 1.5),
    ("pebbles", "fill", 0.1, 3.0),
    ("pebbles", "sizes", 0.2, 5.0),
    ("pebbles", "small", 0.2, 5.0),
    ("petals", "ring", 0.0, 0.6),
    ("petals", "taper", 0.0, 1.0),
    ("plait", "fewest", 1.0, 20.0),
    ("plait", "parted", 0.0, 100.0),
    ("rays", "base", 0.05, 2.0),
    ("rays", "eye", 0.02, 0.9),
    ("rays", "reach", 0.1, 1.0),
    ("rays", "rings", 0.1, 1.0),
    ("spiral", "centre", 0.1, 3.0),
    ("spiral", "corner", 0.05, 1.0),
    ("spiral", "left", 0.1, 5.0),
    ("spiral", "uneven", 1.0, 100.0),
    ("strand", "apart", 0.0, 1.0),
    ("strand", "corner.phase", 0.0, 1.0),
    ("strand", "corner.reach", 0.0, 1.0),
    ("strand", "corner.repeat", 0.1, 5.0),
    ("strand", "end.phase", 0.0, 1.0),
    ("strand", "end.repeats", -0.5, 5.0),
    ("strand", "end.widths", 0.05, 5.0),
    ("strand", "fewest", 1.0, 20.0),
];

/// (construction, the smaller number, the larger one); the same place twice for a list of which no number is below the last.
const RISING: &[(&str, &str, &str)] =
    &[("feather", "plumes", "plumes"), ("feather", "slimmest", "stoutest"), ("pebbles", "sizes", "sizes")];

/// (construction, how many cells as large as its motif's scale are drawn in one block). Measured as processor time of the
/// whole command with its files, a square of so many of the smallest cells takes ten seconds or a little more: echo 3.1, a fan 6.4,
/// lattices 9.3 and 9.4, lines 6.2 and 9.1, meanders 8.9, pebbles 11.7, a spiral 2.2 (in step with the cells, from the times
/// of up to twice as many). Feathers, petals and strands have few cells in any block; theirs are estimated.
const MOST_CELLS: &[(&str, f64)] = &[
    ("echo", 60_000.0),
    ("fan", 40_000.0),
    ("feather", 10_000.0),
    ("lattice", 7_000.0),
    ("lines", 60_000.0),
    ("meander", 30_000.0),
    ("pebbles", 12_000.0),
    ("petals", 1.0e9),
    ("plait", 4_000.0),
    ("rays", 1.0e9),
    ("spiral", 60_000.0),
    ("strand", 20_000.0),
];

fn kind_of(construction: &str) -> &str {
    if construction.starts_with("feather") { "feather" } else { construction }
}

fn range_of(construction: &str, place: &str) -> Option<RangeInclusive<f64>> {
    // Every cell of a lattice holds the same numbers.
    let place = match place.split_once('.') {
        Some((_, last)) if construction == "lattice" => format!("cell.{last}"),
        _ => place.to_owned(),
    };
    let row = NUMBERS.iter().find(|(c, p, ..)| *c == kind_of(construction) && *p == place)?;
    Some(row.2..=row.3)
}

/// Checks every number of a construction; gives the letters of path data that its motif draws with.
pub fn check(construction: &str, form: &Form<'_>, problems: &mut Problems<'_>) -> usize {
    let leaves = form.leaves("numbers");
    let mut path_data = 0;
    for (place, at, leaf) in &leaves {
        match leaf {
            Leaf::Number(x) => {
                if let Some(range) = range_of(construction, place)
                    && !range.contains(x)
                {
                    let (least, most) = (range.start(), range.end());
                    problems.add(*at, format!("{place} is {x}; it goes from {least} to {most}"));
                }
            }
            Leaf::List(length) if *length > LONGEST_LIST => {
                problems.add(*at, format!("{place} has {length} entries; it has at most {LONGEST_LIST}"));
            }
            Leaf::List(_) => {}
            Leaf::Text(length) => path_data += length,
        }
    }
    if path_data > MOST_PATH_DATA {
        let at = leaves.first().map_or(0, |(_, at, _)| *at);
        problems
            .add(at, format!("the path data is {path_data} letters long; it has at most {MOST_PATH_DATA}"));
    }
    for (_, small, large) in RISING.iter().filter(|(c, ..)| *c == kind_of(construction)) {
        let of = |place: &'static str| leaves.iter().filter(move |l| l.0 == place);
        let pairs = of(small).zip(of(large).skip(usize::from(small == large)));
        for (one, other) in pairs {
            if let (Leaf::Number(x), Leaf::Number(y)) = (&one.2, &other.2)
                && x > y
            {
                problems.add(
                    one.1,
                    format!("{small} is {x}, more than {large} with {y}; give it the smaller number"),
                );
            }
        }
    }
    path_data
}

/// The widest range that a motif file may give a setting, in mm, degrees or plain numbers.
#[must_use]
pub fn of_setting(name: &str, kind: &Kind) -> RangeInclusive<f64> {
    match (kind, name) {
        (Kind::Length, _) => 1.0..=1000.0,
        (Kind::Angle, _) => 5.0..=85.0,
        (Kind::Count, "waves") => 0.0..=100.0,
        (Kind::Count, "petals" | "points") => 3.0..=60.0,
        (Kind::Count, _) => 1.0..=20.0,
        (Kind::Ratio, "sweep") => 0.0..=1.0,
        (Kind::Ratio, "fullness") => 0.01..=2.0,
        (Kind::Ratio, "gap") => 0.01..=0.5,
        _ => 0.05..=20.0,
    }
}

/// How many cells the motif has in this block, and the most that are drawn, if that is fewer.
///
/// `needs` are the settings that its construction reads, the one that sets the size of a cell first; `path_data` the
/// letters of path data in a cell.
#[must_use]
pub fn too_many_cells(
    construction: &str,
    needs: &[(String, &'static str)],
    (settings, path_data): (&Settings, usize),
    block: &Block,
) -> Option<(f64, f64)> {
    let (name, kind) = needs.first()?;
    let size = settings.number(name);
    let cells = |region: &Region| {
        let bounds = region.bounds();
        let cell = match *kind {
            "length" => size,
            "ratio" => size * bounds.width().min(bounds.height()),
            _ => return 1.0,
        };
        bounds.area() / (cell * cell)
    };
    let most =
        MOST_CELLS.iter().find(|(c, _)| *c == kind_of(construction)).map_or(f64::INFINITY, |(_, most)| *most);
    let most = most / (path_data as f64 / PLAIN_CELL).max(1.0);
    let all: f64 = block.inside.iter().map(cells).sum();
    (all > most).then_some((all, most))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::form;
    use crate::drawing::construction::Construction;
    use crate::drawing::library::FILES;
    use crate::drawing::motif;

    fn construction(text: &str) -> &str {
        text.split("construction = \"").nth(1).and_then(|t| t.split('"').next()).unwrap()
    }

    #[test]
    fn every_number_of_every_motif_has_a_range() {
        for (name, text) in FILES {
            let mut problems = Problems::new(text);
            let form = form::read(text, &mut problems);
            for (place, _, leaf) in form.leaves("numbers") {
                if let Leaf::Number(x) = leaf {
                    let range = range_of(construction(text), &place);
                    assert!(range.is_some_and(|r| r.contains(&x)), "{name}: {place} = {x}");
                }
            }
        }
        assert!(NUMBERS.iter().all(|(.., least, most)| least < most));
    }

    #[test]
    fn a_number_out_of_range_is_told_with_its_line_and_range() {
        let told = |name: &str, from: &str, to: &str| {
            let text = FILES.iter().find(|(n, _)| *n == name).unwrap().1;
            assert!(text.contains(from), "{from}");
            let problems = motif::read(&text.replacen(from, to, 1)).unwrap_err();
            problems.iter().map(|p| p.message.clone()).collect::<Vec<_>>().join("; ")
        };
        assert_eq!(
            told("feather-spray", "curl = 85", "curl = 1e9"),
            "curl is 1000000000; it goes from 0 to 180"
        );
        assert_eq!(
            told("cross-hatch", "[1, 1]", "[2147483648, 1]"),
            "families is 2147483648; it goes from -6 to 6"
        );
        assert!(
            told("pebbles", "[0.5, 1.5]", "[1.5, 0.5]").starts_with("sizes is 1.5, more than sizes with 0.5")
        );
        assert!(told("cross-hatch", "least = \"1/4in\"", "least = \"0mm\"").contains("spacing"));
        assert!(told("wave", "\"M0,1 C.1821,1", "\"M0,1 C1e9,1").contains("reaches"));
    }

    #[test]
    fn what_would_take_too_long_is_refused_before_it_is_drawn() {
        let shape = crate::block::shape::Shape::Square { side: 5080.0 };
        let block = crate::block::outline(&shape, 6.35).unwrap();
        let motif = motif::read(FILES.iter().find(|(n, _)| *n == "stipple").unwrap().1).unwrap();
        let settings = crate::drawing::settings::resolve("stipple", &motif.settings, &[]).unwrap();
        let error = crate::drawing::draw(&motif, &settings, &block).unwrap_err().to_string();
        assert!(error.starts_with("stipple has 636804 cells in this block, more than the 30000"), "{error}");
        assert!(matches!(motif.construction, Construction::Meander(_)));
    }
}
