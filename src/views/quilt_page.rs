//! A quilt's [`Work`] → one HTML page: the map, the quilt as quilted cloth, and every piece with its moving preview.

use crate::base::units::show_length;
use crate::top::Work;
use crate::top::plan::Plan;
use crate::views::cloth::Options;
use crate::views::page::{self, Page, Part};
use crate::views::picture::{Fact, Picture};
use crate::views::png::PngError;
use crate::views::relief::{self, scenes};
use crate::views::sewn::{of_piece, picture};
use crate::views::{moving, preview, quilt_map};

/// The width of the relief on the page, pixels.
const RELIEF_PX: u32 = 1600;

/// Writes the page of a quilt.
///
/// # Errors
/// As of [`relief::draw`].
pub fn write(work: &Work, plan: &Plan) -> Result<String, PngError> {
    let scene = scenes::quilt(work);
    let width_px = RELIEF_PX.min(relief::widest(scene.shown));
    let map = quilt_map::draw(work);
    let page = Page {
        title: work.quilt.title.clone(),
        subtitle: map.description.clone(),
        lead: vec![
            Fact::new("hours at the machine", &format!("{:.1}", plan.totals.minutes / 60.0)),
            Fact::new("hoopings", &plan.totals.hoopings.to_string()),
            Fact::new("thread in the needle", &format!("{:.0} m", plan.totals.needle_thread_m)),
        ],
        facts: facts(work, plan),
        warnings: plan.warnings.iter().map(ToString::to_string).collect(),
        lines: map,
        relief: relief::draw(&scene, width_px)?.jpeg()?,
        moving: None,
        pieces: work.layout.designs.iter().zip(&work.made).flat_map(|(d, m)| parts(d.at.len(), m)).collect(),
    };
    Ok(page::write(&page))
}

fn facts(work: &Work, plan: &Plan) -> Vec<Fact> {
    let totals = &plan.totals;
    vec![
        Fact::new("across", &show_length(work.layout.size.0, work.quilt.units)),
        Fact::new("up", &show_length(work.layout.size.1, work.quilt.units)),
        Fact::new("machine files", &totals.files.to_string()),
        Fact::new("thread in the bobbin", &format!("{:.0} m", totals.bobbin_thread_m)),
        Fact::new("bobbins", &totals.bobbins.to_string()),
        Fact::new("lines, each once", &format!("{:.0} m", totals.drawn_m)),
    ]
}

/// The files that one design of the quilt is sewn from.
fn parts(times: usize, made: &crate::top::sewing::Made) -> Vec<Part> {
    let part = |sewn: &crate::top::sewing::Sewn| {
        let seen = of_piece(&sewn.piece);
        let mut picture: Picture = picture(&seen);
        picture.joins.clone_from(&sewn.joins);
        let mut facts = vec![Fact::new("times", &times.to_string())];
        facts.extend(picture.facts.iter().cloned());
        Part {
            title: picture.title.clone(),
            subtitle: picture.subtitle(),
            facts,
            warnings: picture.warnings.clone(),
            lines: preview::bare(&Picture { field: None, ..picture.clone() }, &Options::default()),
            moving: moving::write(&picture, seen.survey.estimate.minutes),
        }
    };
    made.sewn.iter().map(part).collect()
}
