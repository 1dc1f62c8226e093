//! A quilt file → all pieces, placed: laid out, drawn to one scale, fitted to the hoops, in the order to sew them.
//!
//! In: a [`Quilt`] as read by [`file::read`]. Out: a [`Work`]: every distinct piece made once, with all its places, and the
//! hoopings from the centre outwards. Quilt coordinates: mm, 0,0 in the centre of the quilt, x right, y up.
//! Same file, same work, however many threads made it.

pub mod advice;
pub mod borders;
pub mod checks;
pub mod course;
pub mod cover;
pub mod cutting;
pub mod drawn;
pub mod file;
pub mod hoopings;
pub mod laying;
pub mod layout;
pub mod look;
pub mod margins;
pub mod names;
pub mod notes;
pub mod on_point;
pub mod pieces;
pub mod place;
pub mod plan;
pub mod repeats;
pub mod ring;
pub mod same;
pub mod scale;
pub mod sequence;
pub mod setting;
pub mod sewing;
pub mod share;
pub mod shelves;
pub mod split;
pub mod stretches;
pub mod totals;
pub mod trade;
pub mod units;
pub mod whereabouts;
pub mod window;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

use crate::block::BlockError;
use crate::drawing::DrawError;
use crate::tailor::PieceError;
use course::Course;
use file::Quilt;
use hoopings::Hooping;
use layout::Layout;
use look::Look;
use sewing::{Made, Sewn};
use totals::{Least, Totals};

/// A quilt with all its work.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// What was asked for.
    pub quilt: Quilt,
    /// Every patch in its place, and every distinct design.
    pub layout: Layout,
    /// The shared scale.
    pub look: Look,
    /// The borders that are quilted as rings.
    pub courses: Vec<Course>,
    /// Every design made, in the order of the layout's designs.
    pub made: Vec<Made>,
    /// Every machine file, in the order in which they are first sewn.
    pub sewn: Vec<Sewn>,
    /// The hoopings in sewing order that are to be sewn.
    pub hoopings: Vec<Hooping>,
    /// The hoopings that are sewn already, in sewing order.
    pub done: Vec<Hooping>,
    /// How few hoopings there can be.
    pub least: Least,
    /// Minutes, thread and bobbins.
    pub totals: Totals,
}

/// Works a quilt out; `done` is told after each piece how many are made, and of how many.
///
/// # Errors
/// [`TopError`] of the first piece that cannot be made.
pub fn work(quilt: &Quilt, done: &(dyn Fn(usize, usize) + Sync)) -> Result<Work, TopError> {
    let (layout, look, courses) = lay_out(quilt)?;
    let made = make_all(&layout, quilt, done)?;
    let shared = share::share(&made, &layout, quilt)?;
    let least = shared.least;
    let (sewn, hoopings) = hoopings::order(shared, &layout, quilt.hooping.order, &quilt.title);
    let totals = totals::add_up(&sewn, &hoopings, quilt);
    Ok(Work {
        quilt: quilt.clone(),
        layout,
        look,
        courses,
        made,
        sewn,
        hoopings,
        done: Vec::new(),
        least,
        totals,
    })
}

impl Work {
    /// What is left when the hoopings of these numbers are sewn; the rest keep their numbers and their order.
    #[must_use]
    pub fn left(mut self, sewn: &std::collections::BTreeSet<usize>) -> Self {
        let (done, left) = self.all().cloned().partition(|h| sewn.contains(&h.number));
        (self.done, self.hoopings) = (done, left);
        self.totals = totals::add_up(&self.sewn, &self.hoopings, &self.quilt);
        self
    }

    /// The hoopings of the whole quilt in sewing order, those that are sewn already included.
    pub fn all(&self) -> impl Iterator<Item = &Hooping> {
        let mut all: Vec<&Hooping> = self.done.iter().chain(&self.hoopings).collect();
        all.sort_by_key(|h| h.number);
        all.into_iter()
    }

    /// Whether a piece, or a part of a large one, is sewn already.
    #[must_use]
    pub fn is_sewn(&self, item: &share::items::Item) -> bool {
        let same = |i: &share::items::Item| i.design == item.design && i.part == item.part && i.at == item.at;
        self.done.iter().any(|h| h.items.iter().any(same))
    }
}

/// Everything that comes before drawing: the layout with its borders in stretches, the shared scale, the borders' courses.
///
/// # Errors
/// As [`work`].
pub fn lay_out(quilt: &Quilt) -> Result<(Layout, Look, Vec<Course>), TopError> {
    let mut layout = laying::lay(quilt)?;
    checks::admit(quilt, &layout)?;
    layout.notes.extend(quilt.notes.iter().cloned());
    let notes = checks::notes(quilt, &layout);
    layout.notes.extend(notes);
    stretches::butt_where_lines_find_no_room(&mut layout);
    margins::settle(&mut layout, quilt.units);
    let look = scale::settle(quilt, &layout)?;
    for design in &mut layout.designs {
        design.chosen.settings = look.settings(&design.chosen, 1.0);
    }
    same::merge(&mut layout);
    let mut courses = Vec::new();
    for ring in layout.rings.clone() {
        courses.push(stretches::lay(&ring, &look, &quilt.hoops, &mut layout)?);
    }
    Ok((layout, look, courses))
}

/// Makes every design, in parallel; the result does not depend on the threads.
fn make_all(
    layout: &Layout,
    quilt: &Quilt,
    done: &(dyn Fn(usize, usize) + Sync),
) -> Result<Vec<Made>, TopError> {
    let count = layout.designs.len();
    let ready = std::sync::atomic::AtomicUsize::new(0);
    let made: Vec<Result<Made, TopError>> = layout
        .designs
        .par_iter()
        .map(|design| {
            let made = sewing::make(design, quilt);
            done(ready.fetch_add(1, std::sync::atomic::Ordering::Relaxed) + 1, count);
            made
        })
        .collect();
    made.into_iter().collect()
}

/// Why a quilt cannot be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TopError {
    /// A block that cannot be.
    #[error("{place}: {error}")]
    Block {
        /** Where in the quilt. */
        place: String,
        /** What is wrong. */
        error: BlockError,
    },
    /// An odd block that is larger than its place.
    #[error("{sizes}: {over}; measure it again, piece it to size{own}")]
    OddBlock {
        /** Its size and that of its place. */
        sizes: String,
        /** What it would be sewn over. */
        over: String,
        /** What else can be done. */
        own: String,
    },
    /// A motif that does not fit.
    #[error("{place}: {error}")]
    Draw {
        /** Where in the quilt. */
        place: String,
        /** What is wrong. */
        error: DrawError,
    },
    /// A piece that cannot be made.
    #[error("{name}: {error}")]
    Piece {
        /** Its name. */
        name: String,
        /** What is wrong. */
        error: PieceError,
    },
    /// A border that no scale fits.
    #[error(
        "border {number} cannot be drawn at any scale near the one asked for; change its motif or its width"
    )]
    NoCourse {
        /** Which border, from 1. */
        number: usize,
    },
    /// No hoop takes even a part of a line.
    #[error("{name} fits no hoop, not even in parts; name a hoop with a larger sewing field")]
    HoopTooSmall {
        /** The piece's name. */
        name: String,
    },
    /// A quilt larger than any.
    #[error(
        "the quilt would be {width_mm:.0} x {height_mm:.0} mm; make it at most {} m long",
        crate::base::units::LONGEST_MM / 1000.0
    )]
    TooLarge {
        /** Its width, mm. */
        width_mm: f64,
        /** Its height, mm. */
        height_mm: f64,
    },
}
