//! Quilting designs made to measure for a hooped block: one line, every stitch gone over three times.
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
pub mod top;
pub mod views;
pub mod wire;

use rayon::prelude::*;

use stitches::Stitches;
use top::piece::{Order, Piece, PieceError};
use top::{TopError, Work};
use views::png::PngError;
use views::sewn::{Looks, Sewn, ViewError};
use wire::{Format, WireError};

/// How wide the picture of a quilt's map is, pixels.
pub const MAP_WIDTH_PX: u32 = 2000;

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
    /// A picture.
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

/// Makes one piece with all its files: machine files, report, preview, template and what else is asked for.
///
/// # Errors
/// [`Error`] of the stage that could not go on; a design that does not fit its hoop is refused.
pub fn make(order: Order, formats: &[Format], looks: &Looks) -> Result<(Piece, Vec<Made>), Error> {
    let piece = top::piece::make_to_fit(order)?;
    let files = files(&piece, &piece.stitches, &[], formats, looks)?;
    Ok((piece, files))
}

/// The files of one piece: machine files of `stitches`, which may be turned for the hoop; report, preview, template with
/// the needle holes of `joins` ringed, and what else is asked for.
fn files(
    piece: &Piece,
    stitches: &Stitches,
    joins: &[kurbo::Point],
    formats: &[Format],
    looks: &Looks,
) -> Result<Vec<Made>, Error> {
    let mut files = Vec::new();
    for format in formats {
        let bytes = format.write(stitches, &piece.order.name)?;
        files.push(Made { ending: format!(".{}", format.extension()), bytes });
    }
    files.push(Made { ending: ".json".into(), bytes: serde_json::to_vec_pretty(&piece.report())? });
    let sewn = Sewn { marks: views::quilt_sheet::rings(joins), ..views::sewn::of_piece(piece) };
    let views = views::sewn::files(&sewn, looks)?;
    files.extend(views.into_iter().map(|(ending, bytes)| Made { ending: ending.into(), bytes }));
    Ok(files)
}

/// All files of a quilt: a folder a piece, the map, the work sheet and the plan; by their names within its folder.
///
/// # Errors
/// [`Error`] of the first file that cannot be made.
pub fn write_quilt(work: &Work, formats: &[Format], looks: &Looks) -> Result<Vec<(String, Vec<u8>)>, Error> {
    let each = work.sewn.par_iter().map(|sewn| {
        let made = files(&sewn.piece, &sewn.for_machine(), &sewn.joins, formats, looks)?;
        let name = |ending: &str| format!("{}/{}{ending}", sewn.folder, sewn.piece.order.name);
        Ok(made.into_iter().map(|f| (name(&f.ending), f.bytes)).collect::<Vec<_>>())
    });
    let each = each.collect::<Result<Vec<_>, Error>>()?;
    let mut all: Vec<(String, Vec<u8>)> = each.into_iter().flatten().collect();
    let plan = top::plan::plan(work);
    let map = views::quilt_map::draw(work);
    all.push(("map.svg".into(), views::svg::write(&map).into_bytes()));
    all.push(("map.png".into(), views::png::write(&map, MAP_WIDTH_PX)?));
    let pages = views::quilt_sheet::draw(work, &plan, looks.paper);
    all.push(("work-sheet.pdf".into(), views::pdf::write(&work.quilt.title, &pages)));
    all.push(("plan.json".into(), serde_json::to_vec_pretty(&plan)?));
    Ok(all)
}
