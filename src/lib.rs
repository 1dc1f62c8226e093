//! Quilting designs made to measure, as one continuous triple (bean) stitch line for the hoop.
//!
//! The stages, in the order the data flows; each uses only those before it:
//!
//! | module | from → to |
//! | --- | --- |
//! | [`base`] | lengths, tolerances, chains and curves |
//! | [`block`] | sizes → [`block::Block`] |
//! | [`drawing`] | block + motif + settings → [`drawing::Drawing`] |
//! | [`network`] | drawing → [`network::Network`] |
//! | [`route`] | network → [`route::Route`] |
//! | [`stitches`] | route → [`stitches::Stitches`] |
//! | [`survey`] | stitches + block → figures and findings |
//! | [`tailor`] | an order → one piece, with everything made on the way |
//! | [`top`] | quilt file → all pieces, placed |
//! | [`views`] | any of these → what a person looks at |
//! | [`wire`] | stitches ⇄ bytes for the machine |
//!
//! The library touches no files, clock, terminal, network or environment. Same input, same bytes.

pub mod base;
pub mod block;
pub mod drawing;
pub mod network;
pub mod route;
pub mod stitches;
pub mod survey;
pub mod tailor;
pub mod top;
pub mod views;
pub mod wire;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use tailor::{Order, Piece, PieceError};
use top::advice::{self, Asked};
use top::sewing::Sewn;
use top::{TopError, Work};
use views::paper::Paper;
use views::png::PngError;
use views::sewn::{Looks, ViewError};
use wire::{Format, WireError};

/// How wide the picture of a quilt's map is, pixels; narrower for a very long quilt.
pub const MAP_WIDTH_PX: u32 = 2000;

/// How wide the picture of a quilt as quilted cloth is, pixels; narrower for one that is longer than wide, so that it has no
/// more pixels than that of a square one.
pub const RELIEF_WIDTH_PX: u32 = 3000;

/// A file that belongs to a design: how its name ends, and its bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// `.dst`, `.svg`, `.pdf`, `.json` …, to be put behind the design's name.
    pub ending: String,
    /// What goes into the file.
    pub bytes: Vec<u8>,
}

/// Why a piece or its files cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The piece itself.
    #[error(transparent)]
    Piece(#[from] PieceError),
    /// What a person looks at.
    #[error(transparent)]
    View(#[from] ViewError),
    /// What the machine reads.
    #[error(transparent)]
    Wire(#[from] WireError),
    /// The quilt.
    #[error(transparent)]
    Top(#[from] TopError),
    /// The picture of a map.
    #[error(transparent)]
    Png(#[from] PngError),
    /// The report.
    #[error(transparent)]
    Report(#[from] serde_json::Error),
}

impl Error {
    /// What to do about it, where that needs more than the message's own words.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Piece(error) => error.hint(),
            _ => None,
        }
    }
}

/// Makes one piece with all its files: machine files, report, preview, template and what else is asked for. A template of too
/// many pages is left out, and the piece's notes say so.
///
/// # Errors
/// [`Error`] of the stage that could not go on; a design that does not fit its hoop is refused.
pub fn make(order: Order, formats: &[Format], looks: &Looks) -> Result<(Piece, Vec<Made>), Error> {
    let made = tailor::make_to_fit(order.clone());
    let mut piece = made.map_err(|error| advice::on_misfit(error, &order))?;
    piece.order.notes.extend(advice::on_gap(&piece, Asked::Options));
    let mut files = machine_files(&piece, formats)?;
    let views = views::sewn::files(&views::sewn::of_piece(&piece), looks)?;
    piece.order.notes.extend(views.no_template.map(|error| error.to_string().into()));
    files.push(report(&piece)?);
    files.extend(views.files.into_iter().map(|(ending, bytes)| Made { ending: ending.into(), bytes }));
    Ok((piece, files))
}

/// What is made of a quilt only if it is asked for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Besides {
    /// One page with everything to look at.
    pub page: bool,
    /// The map on pages to join.
    pub large_map: bool,
}

/// All files of a quilt: the machine files, sheets, maps and plan, a folder a piece, and what is asked for besides; by their
/// names within its folder.
///
/// # Errors
/// [`Error`] of the first file that cannot be made.
pub fn write_quilt(
    work: &Work,
    formats: &[Format],
    paper: Paper,
    besides: Besides,
) -> Result<Vec<(String, Vec<u8>)>, Error> {
    let plan = top::plan::plan(work);
    let map = views::quilt_map::draw(work);
    let ((sewn, picture), relief) = rayon::join(
        || {
            rayon::join(
                || {
                    let machine = work.sewn.par_iter().map(|s| sewn_files(s, formats));
                    let pieces = work.made.par_iter().flat_map(|m| &m.sewn).map(piece_files);
                    machine.chain(pieces).collect::<Result<Vec<_>, Error>>()
                },
                || views::png::write(&map, MAP_WIDTH_PX.min(views::png::widest(&map))),
            )
        },
        || relief(work),
    );
    let mut all: Vec<(String, Vec<u8>)> = sewn?.into_iter().flatten().collect();
    all.push(("map.svg".into(), views::svg::write(&map).into_bytes()));
    all.push(("map.png".into(), picture?));
    all.push(("relief.png".into(), relief?));
    all.push(("map.pdf".into(), views::pdf::write(&work.quilt.title, &[map])));
    let book = views::quilt_sheet::templates::draw(work, paper);
    all.push(("templates.pdf".into(), views::pdf::write(&work.quilt.title, &book.sheets)));
    let pages = views::quilt_sheet::draw(work, &plan, &book, paper);
    all.push(("sewing-sheet.pdf".into(), views::pdf::write(&work.quilt.title, &pages)));
    if besides.large_map {
        let pages = views::quilt_map::large::draw(work, paper);
        all.push(("map-large.pdf".into(), views::pdf::write(&work.quilt.title, &pages)));
    }
    if besides.page {
        all.push(("page.html".into(), views::quilt_page::write(work, &plan)?.into_bytes()));
    }
    let written = all.iter().map(|(name, _)| name.as_str()).collect();
    let plan = serde_json::to_vec_pretty(&PlanFile { plan: &plan, written })?;
    all.push(("plan.json".into(), plan));
    Ok(all)
}

/// The whole quilt as quilted cloth.
fn relief(work: &Work) -> Result<Vec<u8>, PngError> {
    let scene = views::relief::scenes::quilt(work);
    let (width, height) = (scene.shown.width(), scene.shown.height());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
    let as_many = (f64::from(RELIEF_WIDTH_PX) * (width / height).sqrt()).ceil() as u32;
    let most = RELIEF_WIDTH_PX.min(views::relief::widest(scene.shown));
    views::relief::draw(&scene, as_many.min(most))?.png()
}

/// The plan as it is written: with the names of all files written beside it, so that the next run knows its own.
#[derive(serde::Serialize)]
struct PlanFile<'a> {
    #[serde(flatten)]
    plan: &'a top::plan::Plan,
    written: Vec<&'a str>,
}

/// What the machine reads of a quilt.
fn sewn_files(sewn: &Sewn, formats: &[Format]) -> Result<Vec<(String, Vec<u8>)>, Error> {
    let (stitches, name) = (sewn.piece.for_machine(), &sewn.piece.order.name);
    let file = |format: &Format| {
        Ok((format!("{}/{name}.{}", sewn.folder, format.extension()), format.write(&stitches, name)?))
    };
    formats.iter().map(file).collect()
}

/// Preview and report of a piece of a quilt, or of a part of it.
fn piece_files(sewn: &Sewn) -> Result<Vec<(String, Vec<u8>)>, Error> {
    let name = format!("pieces/{}/{}", sewn.folder, sewn.piece.order.name);
    let report = serde_json::to_vec_pretty(&sewn.piece.report())?;
    Ok(vec![
        (format!("{name}.svg"), views::quilt_sheet::piece_preview(sewn)),
        (format!("{name}.json"), report),
    ])
}

/// What the machine reads.
fn machine_files(piece: &Piece, formats: &[Format]) -> Result<Vec<Made>, Error> {
    let mut files = Vec::new();
    let stitches = piece.for_machine();
    for format in formats {
        let bytes = format.write(&stitches, &piece.order.name)?;
        files.push(Made { ending: format!(".{}", format.extension()), bytes });
    }
    Ok(files)
}

fn report(piece: &Piece) -> Result<Made, Error> {
    Ok(Made { ending: ".json".into(), bytes: serde_json::to_vec_pretty(&piece.report())? })
}
