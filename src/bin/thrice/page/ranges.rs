//! Over which values a setting changes the drawing in this very block: the stops of its slider.
//!
//! Every mark of a ruler within the setting's range is drawn, the other settings as they are; values that draw the same
//! lines are one stop, and a value that cannot be drawn is none.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use rayon::iter::{IntoParallelIterator, ParallelIterator};
use serde::{Deserialize, Serialize};
use serde_json::json;
use thrice::base::fnv::fnv_1a;
use thrice::base::units::{MM_PER_INCH, Units, option, read_length};
use thrice::drawing::settings::{Kind, Setting, Settings, Value};
use thrice::drawing::{admit, draw_posed};
use thrice::tailor::Design as Drawn;

use super::answer::{Answer, Refusal};
use super::cache::Cache;
use super::design::Design;
use crate::{block, motifs};

/// So many values of a setting are drawn at most.
const MOST_VALUES: usize = 48;
/// Lines nearer than this look the same, mm.
const SAME_MM: f64 = 0.05;
/// After so long the settings that are left keep the range of the motif's file.
const PATIENCE: Duration = Duration::from_secs(6);

/// A design whose settings are to be tried.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    design: Design,
}

/// What a slider spans.
#[derive(Serialize)]
struct Stops {
    /// False if every value draws the same.
    changes: bool,
    /// False if the values were not drawn, for want of time.
    measured: bool,
    least: Option<f64>,
    most: Option<f64>,
    /// The values as numbers: mm, degrees, counts.
    values: Vec<f64>,
    /// The same as they are typed.
    texts: Vec<String>,
}

/// What the values of a setting draw, by how they are typed; none where they cannot be drawn.
type Marks = BTreeMap<String, Option<u64>>;

/// What was drawn of late: a slider moves, and what its own values draw stays.
pub type Latest = Cache<Marks>;

/// The stops of every setting of the design's motif.
pub fn ranges(asked: &Asked, latest: &Latest) -> Result<Answer, Refusal> {
    let design = &asked.design;
    let ordered = design.read(&[])?;
    let order = block::order(&ordered.args, ordered.files()).map_err(|e| ordered.refusal(&e, design))?;
    let mut found = serde_json::Map::new();
    if let Drawn::Motif(motif, settings) = &order.design {
        let begun = Instant::now();
        for setting in &motif.settings {
            let draw = |value: &Value| {
                let settings = settings.clone().with(&setting.name, value.clone());
                let drawing = draw_posed(motif, &settings, &order.block, order.pose).ok()?;
                Some(mark(&drawing.lines))
            };
            let known = match begun.elapsed() < PATIENCE {
                true => {
                    let of = design.but(&setting.name).read(&[])?;
                    let key = format!("{} {}", setting.name, of.key());
                    Some(latest.get(&key, || Ok::<_, Refusal>(marks_of(setting, order.units, &draw)))?)
                }
                false => None,
            };
            let stops = stops(setting, settings, order.units, known.as_deref(), &draw);
            found.insert(setting.name.clone(), json!(stops));
        }
    }
    Answer::json(&json!({ "settings": found }))
}

/// What every value worth drawing draws.
fn marks_of(setting: &Setting, units: Units, draw: &(impl Fn(&Value) -> Option<u64> + Sync)) -> Marks {
    values(setting, None, units).into_par_iter().map(|(value, text)| (text, draw(&value))).collect()
}

fn stops(
    setting: &Setting,
    settings: &Settings,
    units: Units,
    known: Option<&Marks>,
    draw: &impl Fn(&Value) -> Option<u64>,
) -> Stops {
    let measured = known.is_some();
    let now = settings.values().get(&setting.name);
    let values = values(setting, now, units);
    let marks = values.iter().map(|(value, text)| {
        let known = known?;
        known.get(text).copied().unwrap_or_else(|| draw(value))
    });
    let mut kept: Vec<(&(Value, String), Option<u64>)> = Vec::new();
    for (value, mark) in values.iter().zip(marks) {
        match kept.last_mut() {
            _ if measured && mark.is_none() => {}
            // Of those that draw the same, the one that she has, or the shortest to say.
            Some((last, known)) if measured && *known == mark => {
                let hers = now == Some(&value.0);
                let shorter = value.1.len() < last.1.len() && now != Some(&last.0);
                if hers || shorter {
                    *last = value;
                }
            }
            _ => kept.push((value, mark)),
        }
    }
    let numbers: Vec<f64> = kept.iter().filter_map(|((value, _), _)| number(value)).collect();
    Stops {
        changes: kept.len() > 1 || setting.kind == Kind::Seed,
        measured,
        least: numbers.first().copied(),
        most: numbers.last().copied(),
        values: numbers,
        texts: kept.iter().map(|((_, text), _)| text.clone()).collect(),
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(x) => Some(*x),
        Value::Whole(n) => Some(f64::from(*n)),
        Value::Word(_) => None,
    }
}

/// The values worth drawing, as they are typed: marks of a ruler, whole numbers, words; and the one she has.
fn values(setting: &Setting, now: Option<&Value>, units: Units) -> Vec<(Value, String)> {
    let mut texts: Vec<String> = match &setting.kind {
        Kind::Choice(words) => words.clone(),
        Kind::Seed => Vec::new(),
        Kind::Length => {
            let (unit, steps): (f64, &[f64]) = match units {
                Units::Inches => (MM_PER_INCH / 16.0, &[1.0, 2.0, 4.0, 8.0, 16.0, 32.0]),
                Units::Millimetres => (1.0, &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0]),
            };
            marks(setting.range, steps, unit).into_iter().map(|mm| option(mm, units)).collect()
        }
        Kind::Count => marks(setting.range, &[1.0, 2.0, 5.0, 10.0], 1.0).iter().map(f64::to_string).collect(),
        Kind::Angle => marks(setting.range, &[1.0, 2.0, 5.0, 10.0], 1.0).iter().map(f64::to_string).collect(),
        Kind::Ratio => marks(setting.range, &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0], 0.01)
            .iter()
            .map(|x| ((x * 1000.0).round() / 1000.0).to_string())
            .collect(),
    };
    texts.retain(|text| setting.read(text).is_ok());
    let mut values: Vec<(Value, String)> =
        texts.into_iter().filter_map(|text| Some((setting.read(&text).ok()?, text))).collect();
    if let Some(now) = now.filter(|now| !values.iter().any(|(value, _)| value == *now)) {
        let text = match now {
            Value::Number(mm) if setting.kind == Kind::Length => typed_back(*mm, units),
            Value::Number(x) => x.to_string(),
            Value::Whole(n) => n.to_string(),
            Value::Word(word) => word.clone(),
        };
        values.push((now.clone(), text));
    }
    if !matches!(setting.kind, Kind::Choice(_)) {
        values.sort_by(|(a, _), (b, _)| number(a).unwrap_or(0.0).total_cmp(&number(b).unwrap_or(0.0)));
    }
    values
}

/// A length so that it is read as the same again.
fn typed_back(mm: f64, units: Units) -> String {
    let text = option(mm, units);
    if read_length(&text).is_ok_and(|read| read == mm) { text } else { format!("{mm}mm") }
}

/// The multiples of a step within a range, with its ends: of the smallest step that gives few enough.
fn marks((least, most): (f64, f64), steps: &[f64], unit: f64) -> Vec<f64> {
    let count = |step: f64| (most - least) / (step * unit) + 2.0;
    let fits = steps.iter().copied().find(|step| count(*step) <= MOST_VALUES as f64);
    let step = fits.or(steps.last().copied()).unwrap_or(1.0) * unit;
    let first = (least / step).ceil();
    let inner = (0..MOST_VALUES).map(|i| (first + i as f64) * step).take_while(|x| *x < most);
    let mut marks: Vec<f64> = std::iter::once(least).chain(inner).chain([most]).collect();
    marks.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    marks
}

/// What stands for lines as they look.
fn mark(lines: &[kurbo::BezPath]) -> u64 {
    let mut bytes = Vec::new();
    let mut push = |p: kurbo::Point| {
        for x in [p.x, p.y] {
            bytes.extend_from_slice(&((x / SAME_MM).round() + 0.0).to_le_bytes());
        }
    };
    for segment in lines.iter().flat_map(|line| line.segments()) {
        let cubic = segment.to_cubic();
        [cubic.p0, cubic.p1, cubic.p2, cubic.p3].into_iter().for_each(&mut push);
    }
    fnv_1a(bytes)
}

/// Which motifs are made for the design's kind of block; nothing is drawn.
pub fn suits(asked: &Asked) -> Result<Answer, Refusal> {
    let plain = asked.design.without_motif();
    let ordered = plain.read(&[])?;
    let shape = ordered.args.shape.shape(ordered.files()).map_err(|e| Refusal::of(&e).at("shape"))?;
    let outlined = thrice::block::outline(&shape, ordered.args.sewing().sewn.margin);
    outlined.map_err(|error| Refusal::new(400, &error.to_string()).at("shape"))?;
    let all = motifs::read(None, &[])?;
    let told = all.iter().map(|motif| {
        let why = admit(motif, shape.suit()).err().map(|error| error.to_string());
        json!({ "name": motif.name, "suits": why.is_none(), "why": why })
    });
    Answer::json(&json!({ "suit": shape.suit().word(), "motifs": told.collect::<Vec<_>>() }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stops_of(motif: &str, shape: (&str, &str), setting: &str) -> Vec<String> {
        let design = json!({"motif": motif, "shape": {"option": shape.0, "value": shape.1}});
        let asked = Asked { design: serde_json::from_value(design).unwrap() };
        let answer = ranges(&asked, &Cache::new(1)).unwrap();
        let answer: serde_json::Value = serde_json::from_slice(&answer.body).unwrap();
        let stops = &answer["settings"][setting];
        assert_eq!(stops["measured"], true);
        let texts: Vec<String> = serde_json::from_value(stops["texts"].clone()).unwrap();
        assert_eq!(stops["changes"], texts.len() > 1);
        texts
    }

    #[test]
    fn a_slider_stops_where_the_drawing_changes() {
        // Whole petals: six inches less the margins hold two to five of them.
        let texts = stops_of("orange-peel", ("square", "6in"), "petal");
        let all = stops_of("orange-peel", ("square", "40in"), "petal");
        assert!(texts.len() > 2 && texts.len() < all.len(), "{texts:?} {all:?}");
        assert!(texts.iter().all(|text| read_length(text).is_ok()));
    }

    #[test]
    fn marks_are_those_of_a_ruler_and_few() {
        assert_eq!(marks((1.0, 3.5), &[1.0], 1.0), [1.0, 2.0, 3.0, 3.5]);
        let marks = marks((6.35, 101.6), &[1.0, 2.0, 4.0], MM_PER_INCH / 16.0);
        assert!(
            marks.len() <= MOST_VALUES && marks[0] == 6.35 && marks[marks.len() - 1] == 101.6,
            "{marks:?}"
        );
    }
}
