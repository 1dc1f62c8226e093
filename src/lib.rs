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

use top::piece::{Order, Piece, PieceError};
use views::sewn::{Looks, ViewError};
use wire::{Format, WireError};

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
    let mut files = Vec::new();
    for format in formats {
        let bytes = format.write(&piece.stitches, &piece.order.name)?;
        files.push(Made { ending: format!(".{}", format.extension()), bytes });
    }
    files.push(Made { ending: ".json".into(), bytes: serde_json::to_vec_pretty(&piece.report())? });
    let views = views::sewn::files(&views::sewn::of_piece(&piece), looks)?;
    files.extend(views.into_iter().map(|(ending, bytes)| Made { ending: ending.into(), bytes }));
    Ok((piece, files))
}
