//! A sewn block with its figures → the files that a person looks at.

use std::borrow::Cow;

use kurbo::{Affine, BezPath, Point};

use super::cloth::Options;
use super::faults::Fault;
use super::from_stages::{self, Names};
use super::look::Cotton;
use super::page::{self, Page};
use super::paper::Paper;
use super::picture::{FINGERPRINT, Fact, PASSES, Picture};
use super::png::PngError;
use super::relief::scenes::{self, Stuff};
use super::sewing_sheet::{self, Words};
use super::sheet::Sheet;
use super::template::TemplateError;
use super::{heat, lines, moving, pdf, png, preview, relief, svg, template};
use crate::base::angle::QUARTER_LEFT;
use crate::base::units::{Units, in_units, show_length, show_mm};
use crate::block::Block;
use crate::stitches::unpick::seam::Passes;
use crate::stitches::unpick::{Line, unpick};
use crate::stitches::{Stitches, fingerprint};
use crate::survey::cautions::{CAUTIONS, ON_TEMPLATE};
use crate::survey::hoop::Hoop;
use crate::survey::lie;
use crate::survey::verdict::{Finding, Verdict, Weight};
use crate::survey::{Sandwich, Survey};
use crate::tailor::Piece;

/// A sewn design, with or without the block it was made for.
#[derive(Debug, Clone, PartialEq)]
pub struct Sewn<'a> {
    /// The name that she gave it.
    pub title: &'a str,
    /// The motif in words; empty if unknown.
    pub motif: String,
    /// The block as it lies in the hoop, if known.
    pub block: Option<Cow<'a, Block>>,
    /// The needle points as they will be sewn.
    pub stitches: Cow<'a, Stitches>,
    /// True if both are turned a quarter to the left against the block that was asked for, so that they fit the hoop.
    pub turned: bool,
    /// Their figures.
    pub survey: &'a Survey,
    /// What they were held against.
    pub sandwich: &'a Sandwich,
    /// The curves that it was drawn from, in the block's own coordinates; worked out from the stitches if not known.
    pub lines: Option<&'a [BezPath]>,
    /// What she should know: whole sentences.
    pub warnings: Vec<String>,
    /// Which unit is printed first.
    pub units: Units,
}

/// What to make besides the preview and the template.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extra {
    /// The preview as PNG.
    Png,
    /// The block as quilted cloth, as PNG.
    Relief,
    /// One page with everything to look at, to send.
    Page,
    /// A page that sews the line in order.
    Moving,
    /// The block's sewing sheet.
    SewingSheet,
    /// The lines alone, as curves to change in a drawing program.
    Lines,
}

/// What a preview shows beside the thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// The thread coloured by the order of sewing.
    Order,
    /// The needle holes.
    Holes,
    /// The widest gap as a circle.
    Gap,
    /// A map of how wide the gaps are.
    GapMap,
    /// A map of needle holes.
    HoleMap,
    /// Nothing but cloth and thread: no marks.
    Unmarked,
}

/// How to look at it.
#[derive(Debug, Clone, PartialEq)]
pub struct Looks {
    /// The paper of template and sewing sheet.
    pub paper: Paper,
    /// What the preview shows beside the thread.
    pub layers: Vec<Layer>,
    /// What to make besides.
    pub extras: Vec<Extra>,
    /// Width of a PNG, pixels.
    pub width_px: u32,
    /// Cloth, thread and batting of the relief.
    pub stuff: Stuff,
    /// Cloth and thread of the preview.
    pub cotton: Cotton,
}

impl Default for Looks {
    fn default() -> Self {
        Looks {
            paper: Paper::default(),
            layers: Vec::new(),
            extras: Vec::new(),
            width_px: WIDTH_PX,
            stuff: Stuff::default(),
            cotton: Cotton::default(),
        }
    }
}

/// The width of a PNG unless another is asked for, pixels: sharp on a screen, small enough to send.
pub const WIDTH_PX: u32 = 1600;

/// The width of the relief on a page to send, pixels.
const PAGE_RELIEF_PX: u32 = 1200;

/// What was made to look at.
#[derive(Debug, Clone, PartialEq)]
pub struct Views {
    /// The ending of each file's name, and its bytes.
    pub files: Vec<(&'static str, Vec<u8>)>,
    /// Why there is no template, if there is none; everything else says so too.
    pub no_template: Option<TemplateError>,
}

/// Why a view cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ViewError {
    /// The PNG.
    #[error(transparent)]
    Png(#[from] PngError),
}

/// A made piece as views see it.
#[must_use]
pub fn of_piece(piece: &Piece) -> Sewn<'_> {
    Sewn {
        title: &piece.order.name,
        motif: piece.title(),
        block: Some(piece.block_in_hoop()),
        stitches: piece.for_machine(),
        turned: piece.is_turned(),
        survey: &piece.survey,
        sandwich: &piece.order.sandwich,
        lines: Some(&piece.drawing.lines),
        warnings: piece.report().warnings.iter().map(ToString::to_string).collect(),
        units: piece.order.units,
    }
}

/// The preview, the template and what else was asked for. A template of too many pages is left out.
///
/// # Errors
/// [`ViewError`] for a PNG too large.
pub fn files(sewn: &Sewn, looks: &Looks) -> Result<Views, ViewError> {
    let picture = picture(sewn);
    match template::draw(&picture, looks.paper, &ON_TEMPLATE) {
        Ok(pages) => {
            let mut files = vec![(".pdf", pdf::write(&picture.title, &pages))];
            files.extend(without_template(sewn, &picture, looks)?);
            Ok(Views { files, no_template: None })
        }
        Err(error) => {
            let mut sewn = sewn.clone();
            sewn.warnings.push(error.to_string());
            let picture = Picture { warnings: sewn.warnings.clone(), ..picture };
            let files = without_template(&sewn, &picture, looks)?;
            Ok(Views { files, no_template: Some(error) })
        }
    }
}

/// The preview and what else was asked for.
fn without_template(
    sewn: &Sewn,
    picture: &Picture,
    looks: &Looks,
) -> Result<Vec<(&'static str, Vec<u8>)>, ViewError> {
    let sheet = preview::draw(picture, &options(sewn, looks));
    let mut files = vec![(".svg", svg::write(&sheet).into_bytes())];
    for extra in &looks.extras {
        files.push(match extra {
            Extra::Png => (".png", png::write(&sheet, looks.width_px)?),
            Extra::Relief => {
                let scene = scenes::block(picture, &looks.stuff);
                ("-relief.png", relief::draw(&scene, looks.width_px)?.png()?)
            }
            Extra::Moving => (".html", moving::write(picture, sewn.survey.estimate.minutes).into_bytes()),
            Extra::Page => ("-page.html", page(sewn, picture, looks)?.into_bytes()),
            Extra::Lines => ("-lines.svg", lines_of(sewn).into_bytes()),
            Extra::SewingSheet => ("-sewing-sheet.pdf", sewing_sheet(sewn, picture, looks.paper)),
        });
    }
    Ok(files)
}

/// A turned design: its preview and its template, the block as it lies in the hoop (`lie`, one sentence) and the `marks` that
/// were measured there. A template of too many pages is left out.
#[must_use]
pub fn aligned(sewn: &Sewn, lie: &str, marks: Vec<(Point, String)>, looks: &Looks) -> Views {
    let mut picture = Picture { lie: lie.into(), marks, ..picture(sewn) };
    let template = template::draw(&picture, looks.paper, &ON_TEMPLATE);
    picture.warnings.extend(template.as_ref().err().map(TemplateError::to_string));
    let sheet = preview::draw(&picture, &options(sewn, looks));
    let mut files = vec![(".svg", svg::write(&sheet).into_bytes())];
    files.extend(template.as_ref().ok().map(|pages| (".pdf", pdf::write(&picture.title, pages))));
    Views { files, no_template: template.err() }
}

/// The lines as an SVG file.
fn lines_of(sewn: &Sewn) -> String {
    match sewn.lines {
        Some(known) => lines::write(sewn.title, known),
        None => {
            let unpicked = unpick(&sewn.stitches, Passes::SharedHoles, &|_, _, _| true).lines;
            lines::write(sewn.title, &unpicked.iter().map(Line::path).collect::<Vec<_>>())
        }
    }
}

/// A checked design with its faults marked and numbered.
#[must_use]
pub fn checked(sewn: &Sewn, verdict: &Verdict) -> Sheet {
    let wrong: Vec<&Finding> = verdict.findings.iter().filter(|f| f.weight > Weight::Good).collect();
    let marked = wrong.iter().filter_map(|finding| finding.mark.clone());
    let faults: Vec<Fault> = (1..).zip(marked).map(|(number, mark)| Fault { number, mark }).collect();
    let mut number = 0;
    let told = wrong.iter().map(|finding| {
        number += usize::from(finding.mark.is_some());
        let at = if finding.mark.is_some() { format!("({number}) ") } else { String::new() };
        format!("{at}{}", in_units(&finding.sentence, sewn.units))
    });
    let mut told: Vec<String> = told.collect();
    told.insert(0, verdict.sentence().replace("above", "below"));
    let picture = Picture { warnings: told, ..picture(sewn) };
    let options = Options { faults, ..options(sewn, &Looks::default()) };
    preview::draw(&picture, &options)
}

/// What views need to know of it.
#[must_use]
pub fn picture(sewn: &Sewn) -> Picture {
    let block = sewn.block.as_deref();
    let size = block.map_or_else(String::new, |b| b.shape.describe(sewn.units));
    let names = Names { title: sewn.title, motif: &sewn.motif, size: &size, units: sewn.units };
    Picture {
        field: sewn.sandwich.hoop.map(|h: Hoop| (h.width_mm, h.height_mm)),
        turned: sewn.turned,
        lie: block.map_or_else(String::new, |b| lie::words(&b.shape, sewn.turned)),
        facts: facts(sewn),
        warnings: sewn.warnings.clone(),
        ..from_stages::picture(block, &sewn.stitches, names)
    }
}

fn facts(sewn: &Sewn) -> Vec<Fact> {
    let survey = sewn.survey;
    let mut facts = vec![
        Fact::new("stitches", &thousands(survey.steps.penetrations)),
        Fact::new("minutes", &format!("{:.1}", survey.estimate.minutes)),
        Fact::new("jumps", &survey.jumps().to_string()),
        Fact::new("stitch length", &show_mm(survey.steps.median_mm)),
        Fact::new(PASSES, &survey.steps.passes_in_words()),
    ];
    if let Some(gap) = survey.gap {
        facts.push(Fact::new("widest gap", &gap.words(sewn.units)));
    }
    facts.push(Fact::new(FINGERPRINT, &fingerprint::of(&sewn.stitches).to_string()));
    facts
}

fn options(sewn: &Sewn, looks: &Looks) -> Options {
    let layers = &looks.layers;
    let survey = sewn.survey;
    let turn = if sewn.turned { QUARTER_LEFT } else { Affine::IDENTITY };
    let heat = if layers.contains(&Layer::GapMap) {
        Some(heat::gaps(&sewn.stitches, sewn.block.as_deref(), survey.gap_limit_mm))
    } else {
        layers.contains(&Layer::HoleMap).then(|| heat::holes(&sewn.stitches))
    };
    Options {
        holes: layers.contains(&Layer::Holes),
        order: layers.contains(&Layer::Order),
        marks: !layers.contains(&Layer::Unmarked),
        cotton: looks.cotton,
        gap: survey.gap.filter(|_| layers.contains(&Layer::Gap)).map(|g| (turn * g.at, g.widest_mm)),
        heat,
        ..Options::default()
    }
}

/// One page with everything to look at.
fn page(sewn: &Sewn, picture: &Picture, looks: &Looks) -> Result<String, PngError> {
    let (survey, e) = (sewn.survey, sewn.survey.estimate);
    let mut lead = vec![
        Fact::new("minutes at the machine", &format!("{:.1}", e.minutes)),
        Fact::new("thread in the needle", &format!("{:.0} m", e.needle_thread_m.max(1.0))),
    ];
    if let Some(gap) = survey.gap {
        lead.push(Fact::new("widest gap", &gap.words(sewn.units)));
    }
    let told: Vec<&str> = vec!["minutes", "widest gap"];
    let mut facts: Vec<Fact> =
        picture.facts.iter().filter(|f| !told.contains(&f.label.as_str())).cloned().collect();
    facts.push(Fact::new("widest gap allowed", &show_length(survey.gap_limit_mm, sewn.units)));
    facts.push(Fact::new("thread in the bobbin", &format!("{:.0} m", e.bobbin_thread_m.max(1.0))));
    facts.push(Fact::new("bobbins", &e.bobbins.to_string()));
    facts.push(Fact::new("speed", &format!("{} stitches a minute", per_minute(sewn.sandwich))));
    let scene = scenes::block(picture, &looks.stuff);
    let page = Page {
        title: picture.heading(),
        subtitle: picture.under_heading().to_owned(),
        lead,
        facts,
        warnings: sewn.warnings.clone(),
        lines: preview::bare(picture, &options(sewn, looks)),
        relief: relief::draw(&scene, PAGE_RELIEF_PX)?.jpeg()?,
        moving: Some(moving::write(picture, e.minutes)),
        pieces: Vec::new(),
    };
    Ok(page::write(&page))
}

fn sewing_sheet(sewn: &Sewn, picture: &Picture, paper: Paper) -> Vec<u8> {
    let e = sewn.survey.estimate;
    let needs = [
        Fact::new("needle thread", &format!("{:.1} m", e.needle_thread_m)),
        Fact::new("bobbin thread", &format!("{:.1} m", e.bobbin_thread_m)),
        Fact::new("bobbins", &format!("{}, a tenth in reserve", e.bobbins)),
        Fact::new("speed", &format!("{} stitches a minute", per_minute(sewn.sandwich))),
    ];
    let cautions: Vec<(&str, &[&str])> = CAUTIONS.iter().map(|c| (c.when, c.sentences)).collect();
    let said = Words { needs: &needs, steps: sewing_sheet::STEPS, cautions: &cautions };
    pdf::write(&picture.title, &[sewing_sheet::draw(picture, paper, &said)])
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "saturates, and speeds are in range"
)]
fn per_minute(sandwich: &Sandwich) -> u32 {
    sandwich.pace.speed_per_minute.round() as u32
}

/// A count with commas between thousands.
fn thousands(count: usize) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::thousands;

    #[test]
    fn counts_get_commas() {
        assert_eq!(["0", "999", "1,000", "12,345,678"], [0, 999, 1000, 12_345_678].map(thousands)[..]);
    }
}
