//! [`Work`] → what she should know of the whole quilt before she sews: whole sentences, each said once.

use super::Work;
use super::hoopings::{self, Extension, FRAME_MM, Hooping};
use super::layout::Design;
use super::names::{MOST_NAMES, few};
use super::place::Place;
use super::scale::{self, STRETCH_TOLD};
use super::units::apart;
use crate::base::units::{Units, show_length};
use crate::survey::remedy::Warning;
use crate::survey::warnings::{self, NOT_CHECKED};

/// How far a seam may lie from its place on a shared template, mm: an eighth of an inch, half the usual margin.
pub const SEAM_OFF_MM: f64 = 3.175;
/// So many kinds of pieces are read at once.
const MOST_PLACES: usize = 5;

/// The extension strips of the whole quilt: basted on once, before the first hooping.
#[must_use]
pub fn strips(work: &Work) -> Vec<Extension> {
    let all: Vec<Hooping> = work.all().cloned().collect();
    hoopings::strips(&all, &work.sewn)
}

/// All that is to be said of a quilt; `uneven` is what is said of pieces denser or opener than the rest.
#[must_use]
pub fn warnings(work: &Work, uneven: Vec<Warning>) -> Vec<Warning> {
    let mut said = work.layout.notes.clone();
    let units = work.quilt.units;
    let worst = worst_stretch(work);
    if worst > STRETCH_TOLD {
        let told = format!(
            "To get whole repeats everywhere, a motif is stretched by {:.0} %; up to {:.0} % hardly shows.",
            worst * 100.0,
            STRETCH_TOLD * 100.0
        );
        said.push(told.into());
    }
    said.extend(apart(work));
    if (work.look.factor - 1.0).abs() > scale::FLEX / 2.0 {
        let told = format!(
            "All motifs are made {}: at that size their repeats come nearest to whole ones in all pieces together.",
            scale::told(work.look.factor)
        );
        said.push(told.into());
    }
    said.extend(uneven);
    said.extend(by_sentence(work));
    said.extend(hooping_words(work, units).into_iter().map(Warning::from));
    said.iter().map(|warning| warning.in_units(units)).collect()
}

/// What the pieces' own reports say, each sentence once with the pieces it is said of.
fn by_sentence(work: &Work) -> Vec<Warning> {
    let mut said: Vec<(Warning, Vec<usize>)> = Vec::new();
    for (number, made) in work.made.iter().enumerate() {
        let report = made.whole.report();
        let split = made.split.as_ref();
        // The whole of a piece that is sewn in parts has no hoop and no jumps of its own; its parts have theirs.
        let of_whole = split.and_then(|_| warnings::jumps(made.whole.survey.jumps()));
        let own = report
            .warnings
            .into_iter()
            .filter(|w| w.text != NOT_CHECKED && Some(&w.text) != of_whole.as_ref());
        let parts = split
            .iter()
            .flat_map(|s| &s.parts)
            .filter_map(|p| Some(warnings::jumps(p.piece.survey.jumps())?.into()));
        for warning in own.chain(parts) {
            match said
                .iter_mut()
                .find(|(known, _)| (&known.text, &known.remedy) == (&warning.text, &warning.remedy))
            {
                Some((known, _)) if known.pieces.contains(&report.name) => {}
                Some((known, those)) => {
                    known.pieces.push(report.name.clone());
                    those.push(number);
                }
                None => said.push((Warning { pieces: vec![report.name.clone()], ..warning }, vec![number])),
            }
        }
    }
    let gathered = |those: &[usize]| Some(gathered(&work.layout.designs, those));
    said.into_iter().map(|(known, those)| Warning { said_of: gathered(&those), ..known }).collect()
}

/// Some of the designs in words: by their names where those are few, else by their places.
fn gathered(designs: &[Design], those: &[usize]) -> String {
    if those.len() <= MOST_NAMES {
        return few(those.iter().map(|i| designs[*i].name.as_str()));
    }
    let mut places: Vec<&Place> = Vec::new();
    for i in those {
        if !places.contains(&&designs[*i].place) {
            places.push(&designs[*i].place);
        }
    }
    let of_place = |place: &&Place| {
        let named = || those.iter().map(|i| &designs[*i]).filter(|d| d.place == **place);
        let all = named().count() == designs.iter().filter(|d| d.place == **place).count();
        let count: usize = named().map(|d| d.at.len()).sum();
        match place {
            Place::Odd(name) | Place::Patch(name) => name.clone(),
            Place::Border(n) if all => format!("all of border {n}"),
            Place::Border(n) => {
                format!("{count} stretches of border {n} ({})", few(named().map(|d| d.name.as_str())))
            }
            _ if all => format!("all {place}"),
            _ => format!("{count} of the {place} ({})", few(named().map(|d| d.name.as_str()))),
        }
    };
    let words: Vec<String> = places.iter().map(of_place).collect();
    if words.len() <= MOST_PLACES { words.join(", ") } else { few(words.iter().map(String::as_str)) }
}

/// The largest stretch of any motif.
#[must_use]
pub fn worst_stretch(work: &Work) -> f64 {
    let pieces = work.made.iter().map(|m| m.whole.drawing.stretch);
    pieces.chain(work.courses.iter().map(|c| c.stretch)).fold(0.0, f64::max)
}

/// What shared hoopings ask of her, and which strips to cut.
fn hooping_words(work: &Work, units: Units) -> Vec<String> {
    let mut said = Vec::new();
    let shared = work.hoopings.iter().filter(|h| h.items.len() > 1).count();
    if shared > 0 {
        said.push(format!(
            "{} several pieces. Seams are never pieced exactly: where one lies more than {} from its place on \
             the template, hoop its pieces one at a time; share = false under [hooping], [[piece]] or [[border]] makes their files.",
            if shared == 1 { "1 hooping sews".to_owned() } else { format!("{shared} hoopings sew") },
            show_length(SEAM_OFF_MM, units)
        ));
    }
    let strips = strips(work);
    if !strips.is_empty() {
        let show = |mm: f64| show_length(mm, units);
        let each: Vec<String> = strips
            .iter()
            .map(|s| format!("{} {} by {}", s.edge, show(s.width_mm), show(s.length_mm)))
            .collect();
        said.push(format!(
            "The hoop reaches past the quilt's edge: leave batting and backing so far beyond it, or baste on extension strips once, \
             before the first hooping: {}. {} for the hoop's frame beside its field are counted in: frames differ, so measure yours.",
            each.join("; "),
            show(FRAME_MM)
        ));
    }
    said
}
