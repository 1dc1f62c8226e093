//! [`Survey`] → what she should know before she sews, as whole sentences with the numbers in her units.

use super::Survey;
use super::gap::Gap;
use super::holes::{DISC_MM, MOST_HOLES};
use super::steps::{LONGEST_MM, SHORTEST_MM};
use crate::base::units::{Units, show_length, show_mm};

/// A motif may be stretched this far before it is worth a word: ±10 % in common practice.
pub const STRETCH: f64 = 0.10;

/// How often a line is passed at most: three times, and once more where it has to be walked again.
pub const MOST_PASSES: usize = 4;

/// What is said where no hoop is named.
pub const NOT_CHECKED: &str =
    "Not checked against a hoop: name its sewing field across and up, such as --hoop 200x200mm.";

/// All warnings about `survey`; `stretch` is how far the fit had to leave the motif's asked size, 0.1 for 10 %.
#[must_use]
pub fn warnings(survey: &Survey, stretch: f64, units: Units) -> Vec<String> {
    let mut all = Vec::new();
    all.extend(gap(survey, units));
    all.extend(clear_gap(survey, units));
    all.extend(holes(survey, units));
    all.extend(past(survey, units));
    all.extend(stretched(stretch));
    all.extend(jumps(survey.jumps()));
    all.extend(steps(survey).into_iter().flatten());
    all.extend(passes(survey));
    all.extend(hoop(survey));
    all
}

pub(super) fn gap(survey: &Survey, units: Units) -> Option<String> {
    let gap = survey.gap.filter(|_| !survey.is_held())?;
    Some(format!(
        "The widest gap is {} at {}, but the batting allows {}; ask for a closer design.",
        show_length(gap.widest_mm, units),
        place(gap, units),
        show_length(survey.gap_limit_mm, units)
    ))
}

pub(super) fn clear_gap(survey: &Survey, units: Units) -> Option<String> {
    let gap = survey.clear_gap.filter(|g| g.widest_mm > survey.gap_limit_mm)?;
    Some(format!(
        "The part kept clear at {} is {} wide, but the batting allows {}; quilt it by other means.",
        place(gap, units),
        show_length(gap.widest_mm, units),
        show_length(survey.gap_limit_mm, units)
    ))
}

pub(super) fn holes(survey: &Survey, units: Units) -> Option<String> {
    let heaviest = survey.holes;
    (heaviest.holes > MOST_HOLES).then(|| {
        format!(
            "The needle goes down {} times within {} at {}, more than the {MOST_HOLES} that sew well; \
             thread piles up there.",
            heaviest.holes,
            show_mm(DISC_MM),
            point(heaviest.at.x, heaviest.at.y, units)
        )
    })
}

pub(super) fn past(survey: &Survey, units: Units) -> Option<String> {
    let (mm, at) = survey.past?;
    Some(format!(
        "The design goes {} past the block's edge at {}; make it smaller, or check that it belongs to this block.",
        show_length(mm, units),
        point(at.x, at.y, units)
    ))
}

fn stretched(stretch: f64) -> Option<String> {
    // 10.4 % would be told as 10 %, which is said to be no harm.
    let over = (stretch.abs() * 100.0).round() > STRETCH * 100.0;
    over.then(|| {
        format!(
            "The motif had to be stretched by {:.0} % to fit; more than {:.0} % begins to show.",
            stretch.abs() * 100.0,
            STRETCH * 100.0
        )
    })
}

/// What is said of jumps.
#[must_use]
pub fn jumps(jumps: usize) -> Option<String> {
    match jumps {
        0 => None,
        1 => Some("The design is sewn in 2 pieces with 1 jump between them; trim the thread there.".into()),
        n => Some(format!(
            "The design is sewn in {} pieces with {n} jumps between them; trim the thread there.",
            n + 1
        )),
    }
}

/// What is said of short stitches and of long ones.
pub(super) fn steps(survey: &Survey) -> [Option<String>; 2] {
    let steps = &survey.steps;
    let all = steps.stitches();
    let short = (steps.too_short > 0).then(|| {
        format!(
            "{} of {all} stitches are shorter than {}, the shortest {}; a needle may strike its own hole.",
            steps.too_short,
            show_mm(SHORTEST_MM),
            show_mm(steps.shortest_mm)
        )
    });
    let long = (steps.too_long > 0).then(|| {
        format!(
            "{} of {all} stitches are longer than {}, the longest {}; long stitches snag.",
            steps.too_long,
            show_mm(LONGEST_MM),
            show_mm(steps.longest_mm)
        )
    });
    [short, long]
}

pub(super) fn passes(survey: &Survey) -> Option<String> {
    let over: usize = survey.steps.passes.range(MOST_PASSES + 1..).map(|(_, stitches)| stitches).sum();
    let most = survey.steps.passes.keys().next_back()?;
    (over > 0).then(|| {
        format!(
            "{over} of {} stitches are passed more than {MOST_PASSES} times, up to {most} times; thread piles up there.",
            survey.steps.stitches()
        )
    })
}

pub(super) fn hoop(survey: &Survey) -> Vec<String> {
    let Some(fit) = survey.fit else { return vec![NOT_CHECKED.into()] };
    let mut said = Vec::new();
    if !fit.fits {
        let way = if fit.turned {
            "it does when it is turned a quarter turn"
        } else {
            "do not sew it in this hoop"
        };
        said.push(format!("The design does not fit the hoop's field of {} as it lies; {way}.", fit.hoop));
    }
    if fit.hoop.in_inches {
        said.push(format!(
            "The hoop was given in inches and taken as a field of {}; a hoop named in inches often has a smaller \
             field, so look it up in the machine's manual in millimetres.",
            fit.hoop
        ));
    }
    said
}

fn place(gap: Gap, units: Units) -> String {
    point(gap.at.x, gap.at.y, units)
}

/// A place as seen from the block's centre.
fn point(x: f64, y: f64, units: Units) -> String {
    let (x, y) = ((x * 10.0).round() / 10.0, (y * 10.0).round() / 10.0);
    let side = |mm: f64, more: &str, less: &str| match mm {
        0.0 => None,
        _ => Some(format!("{} {}", show_length(mm.abs(), units), if mm > 0.0 { more } else { less })),
    };
    let sides = [side(x, "right of", "left of"), side(y, "above", "below")];
    let named: Vec<String> = sides.into_iter().flatten().collect();
    let way = named.join(" and ");
    format!("{way} the block's centre").trim_start().to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::steps::Steps;
    use crate::survey::{Survey, holes::Heaviest, hoop};
    use kurbo::{Point, Rect};
    use std::collections::BTreeMap;

    /// A survey with nothing to say about it.
    fn quiet() -> Survey {
        Survey {
            pieces: 1,
            centre: Point::ZERO,
            steps: Steps {
                penetrations: 301,
                shortest_mm: 1.0,
                median_mm: 2.5,
                longest_mm: 5.0,
                passes: BTreeMap::from([(3, 100)]),
                too_short: 0,
                too_long: 0,
                bounds: Rect::new(-95.0, -95.0, 95.0, 95.0),
            },
            gap: Some(Gap { widest_mm: 50.8, at_most: false, at: Point::new(25.4, -50.8) }),
            clear_gap: None,
            gap_limit_mm: 50.8,
            past: None,
            holes: Heaviest { holes: MOST_HOLES, at: Point::ZERO },
            fit: Some(hoop::fit("200x200mm".parse().unwrap(), Rect::new(-95.0, -95.0, 95.0, 95.0))),
            estimate: crate::survey::estimate::Estimate {
                minutes: 3.0,
                needle_thread_m: 9.0,
                bobbin_thread_m: 9.0,
                bobbins: 1,
            },
        }
    }

    fn said(survey: &Survey) -> Vec<String> {
        warnings(survey, 0.1, Units::Inches)
    }

    #[test]
    fn a_sound_block_is_passed_over_in_silence() {
        assert_eq!(said(&quiet()), Vec::<String>::new());
    }

    #[test]
    fn a_gap_over_the_limit_is_named_with_its_place() {
        let gap = Gap { widest_mm: 76.2, at_most: false, at: Point::new(25.4, -50.8) };
        assert_eq!(
            said(&Survey { gap: Some(gap), ..quiet() }),
            [
                "The widest gap is 3 in (76.2 mm) at 1 in (25.4 mm) right of and 2 in (50.8 mm) below the block's centre, \
              but the batting allows 2 in (50.8 mm); ask for a closer design."
            ]
        );
    }

    #[test]
    fn a_gap_over_the_limit_by_the_rounding_of_holes_is_let_pass() {
        let at = Point::ZERO;
        assert!(Survey { gap: Some(Gap { widest_mm: 50.9, at_most: false, at }), ..quiet() }.is_held());
        assert!(!Survey { gap: Some(Gap { widest_mm: 50.91, at_most: false, at }), ..quiet() }.is_held());
    }

    #[test]
    fn a_large_part_kept_clear_is_named() {
        let clear = Gap { widest_mm: 63.5, at_most: false, at: Point::new(0.0, 12.7) };
        assert_eq!(
            said(&Survey { clear_gap: Some(clear), ..quiet() }),
            [
                "The part kept clear at 1/2 in (12.7 mm) above the block's centre is 2 1/2 in (63.5 mm) wide, but the batting \
              allows 2 in (50.8 mm); quilt it by other means."
            ]
        );
    }

    #[test]
    fn thread_that_piles_up_is_named() {
        let holes = Heaviest { holes: 13, at: Point::ZERO };
        assert_eq!(
            said(&Survey { holes, ..quiet() }),
            [
                "The needle goes down 13 times within 1 mm at the block's centre, more than the 12 that sew well; \
              thread piles up there."
            ]
        );
    }

    #[test]
    fn a_stretch_over_a_tenth_is_named_either_way() {
        for stretch in [0.124, -0.124] {
            let said = warnings(&quiet(), stretch, Units::Inches);
            assert_eq!(
                said,
                ["The motif had to be stretched by 12 % to fit; more than 10 % begins to show."]
            );
        }
    }

    #[test]
    fn a_design_past_its_block_is_named() {
        let past = Some((12.7, Point::new(0.0, 114.3)));
        assert_eq!(
            said(&Survey { past, ..quiet() }),
            [
                "The design goes 1/2 in (12.7 mm) past the block's edge at 4 1/2 in (114.3 mm) above the block's centre; make it \
                 smaller, or check that it belongs to this block."
            ]
        );
    }

    #[test]
    fn jumps_are_counted() {
        let said = said(&Survey { pieces: 3, ..quiet() });
        assert_eq!(
            said,
            ["The design is sewn in 3 pieces with 2 jumps between them; trim the thread there."]
        );
    }

    #[test]
    fn steps_out_of_range_are_counted_with_the_worst() {
        let steps = Steps { too_short: 2, shortest_mm: 0.4, too_long: 1, longest_mm: 6.21, ..quiet().steps };
        assert_eq!(
            said(&Survey { steps, ..quiet() }),
            [
                "2 of 100 stitches are shorter than 1 mm, the shortest 0.4 mm; a needle may strike its own hole.",
                "1 of 100 stitches are longer than 5 mm, the longest 6.2 mm; long stitches snag."
            ]
        );
    }

    #[test]
    fn stitches_passed_too_often_are_counted_with_the_most() {
        let passes = BTreeMap::from([(3, 90), (4, 8), (5, 1), (6, 1)]);
        let steps = Steps { passes, ..quiet().steps };
        assert_eq!(
            said(&Survey { steps, ..quiet() }),
            ["2 of 100 stitches are passed more than 4 times, up to 6 times; thread piles up there."]
        );
        let steps = Steps { passes: BTreeMap::from([(3, 90), (4, 10)]), ..quiet().steps };
        assert_eq!(said(&Survey { steps, ..quiet() }), Vec::<String>::new());
    }

    #[test]
    fn a_hoop_that_is_too_small_or_named_in_inches_is_said_so() {
        let fit = |text: &str| Some(hoop::fit(text.parse().unwrap(), quiet().steps.bounds));
        let said = said(&Survey { fit: fit("7x8in"), ..quiet() });
        assert_eq!(said.len(), 2);
        assert!(
            said[0].contains("field of 177.8 x 203.2 mm as it lies; do not sew it in this hoop"),
            "{}",
            said[0]
        );
        assert!(said[1].contains("look it up"), "{}", said[1]);
        let unnamed = warnings(&Survey { fit: None, ..quiet() }, 0.0, Units::Inches);
        assert_eq!(unnamed, [NOT_CHECKED]);
    }

    #[test]
    fn millimetres_come_first_where_she_measures_in_them() {
        let survey = Survey { gap_limit_mm: 25.0, ..quiet() };
        let said = warnings(&survey, 0.0, Units::Millimetres);
        assert!(
            said[0].starts_with("The widest gap is 50.8 mm (2 in) at 25.4 mm (1 in) right of"),
            "{}",
            said[0]
        );
    }
}
