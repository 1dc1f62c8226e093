//! A design → what is hooped for it: the piece itself where a hoop takes it, else its parts; each with its hoop.

use kurbo::{Affine, ParamCurve, Point, Rect};

use super::TopError;
use super::advice::{self, Asked};
use super::file::Quilt;
use super::layout::Design;
use super::place::Place;
use super::split::{self, Split};
use super::window;
use crate::base::curve::subpaths;
use crate::base::tolerance::GRID_MM;
use crate::base::units::Units;
use crate::block::Block;
use crate::survey::Sandwich;
use crate::survey::hoop::{self, Fit, Hoop};
use crate::survey::remedy::Remedy;
use crate::tailor::{self, Order, Piece};

/// One machine file and where it is sewn.
#[derive(Debug, Clone, PartialEq)]
pub struct Sewn {
    /// The folder that its files go into.
    pub folder: String,
    /// What is sewn, held in its hoop.
    pub piece: Piece,
    /// Her hoop.
    pub hoop: Hoop,
    /// Which hooping of how many, from 1, where the piece is larger than every hoop.
    pub part: Option<(usize, usize)>,
    /// Needle holes shared with other hoopings, in block coordinates.
    pub joins: Vec<Point>,
    /// From block coordinates to the quilt, for each time it is sewn.
    pub at: Vec<Affine>,
}

/// A design with all that is sewn for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The whole piece.
    pub whole: Piece,
    /// Its machine files.
    pub sewn: Vec<Sewn>,
    /// How it was split, if it was.
    pub split: Option<Split>,
}

impl Sewn {
    /// True if it is sewn turned a quarter to the left, so that it fits the hoop as that is mounted.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        self.piece.is_turned()
    }
}

/// Makes a design with the settings it has by now.
///
/// # Errors
/// [`TopError::Piece`] if it cannot be made, and the errors of [`split::split`].
pub fn make(design: &Design, quilt: &Quilt) -> Result<Made, TopError> {
    let name = design.name.clone();
    let block = Block {
        within: match &design.drawn {
            Some(_) => None,
            None => window::of(&design.chosen.motif, &design.chosen.settings, &design.block, &quilt.hoops),
        },
        ..design.block.clone()
    };
    let sandwich = Sandwich { gap_limit_mm: quilt.gap_limit_mm, hoop: None, pace: quilt.pace };
    let order = Order {
        name: name.clone(),
        // Lines in windows hang together by nothing: a way between them would be no part of the drawing.
        travel: design.travel && block.within.is_none(),
        block,
        design: tailor::Design::Motif(Box::new(design.chosen.motif.clone()), design.chosen.settings.clone()),
        pose: design.pose,
        drawn: design.drawn.clone(),
        background: design.chosen.background.clone(),
        start: None,
        sew: quilt.sew.clone(),
        sandwich,
        units: quilt.units,
        notes: Vec::new(),
    };
    let mut whole = tailor::make(order).map_err(|error| TopError::Piece { name: name.clone(), error })?;
    if design.block.open.is_empty() {
        let help = advice::on_gap(&whole, Asked::QuiltFile);
        whole.order.notes.extend(help.filter(|help| has_the_key(&design.place, help.remedy.as_ref())));
    }
    let one = |piece: Piece, fit: Fit, part, joins| Sewn {
        folder: name.clone(),
        piece: piece.held(fit),
        hoop: fit.hoop,
        part,
        joins,
        at: design.at.clone(),
    };
    if let Some(choice) = choose(&quilt.hoops, whole.stitches.bounds()) {
        let sewn = vec![one(whole.clone(), choice, None, joins(design, &whole))];
        let whole = sewn[0].piece.clone();
        return Ok(Made { whole, sewn, split: None });
    }
    let split = split::split(&whole, &quilt.hoops)?;
    let count = split.parts.len();
    let mut sewn = Vec::new();
    for (i, part) in split.parts.iter().enumerate() {
        let choice = choose(&quilt.hoops, part.piece.stitches.bounds());
        let choice = choice.ok_or_else(|| TopError::HoopTooSmall { name: name.clone() })?;
        let mut piece = part.piece.clone();
        piece.order.name = format!("{name}-part-{}", i + 1);
        let joins = match part.joins.len() {
            0 => format!("Hooping {} of {count} of this piece; its lines meet none of the others'.", i + 1),
            n => format!(
                "Hooping {} of {count} of this piece; it shares {n} needle holes with the others, ringed on the template.",
                i + 1
            ),
        };
        piece.order.notes.push(joins.into());
        sewn.push(one(piece, choice, Some((i + 1, count)), part.joins.clone()));
    }
    Ok(Made { whole, sewn, split: Some(split) })
}

/// True if the table of the quilt file that names a place can hold a remedy: one of a border has no background.
fn has_the_key(place: &Place, remedy: Option<&Remedy>) -> bool {
    let border = matches!(place, Place::Border(_) | Place::BorderCorner(_));
    !(border && matches!(remedy, Some(Remedy::Background { .. })))
}

/// The needle holes on the sides across which a design's lines run on.
fn joins(design: &Design, piece: &Piece) -> Vec<Point> {
    let inside =
        design.block.inside.iter().map(|r| r.bounds()).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    let ends = piece.drawing.lines.iter().flat_map(subpaths).flat_map(|s| {
        let ends = [s.first().map(|f| f.start()), s.last().map(|l| l.end())];
        ends.into_iter().flatten().collect::<Vec<_>>()
    });
    // The hole nearest to each end: the network may have moved an end a little where lines meet.
    let hole = |p: Point| {
        let away = |q: &Point| q.distance_squared(p);
        piece.stitches.points().min_by(|a, b| away(a).total_cmp(&away(b)))
    };
    let open = ends.filter(|p| design.block.open.iter().any(|side| side.beyond(*p, inside).abs() <= GRID_MM));
    let mut joins: Vec<Point> = open.filter_map(hole).collect();
    joins.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    joins.dedup();
    joins
}

/// The smallest hoop that takes a design, and how.
fn choose(hoops: &[Hoop], bounds: Rect) -> Option<Fit> {
    hoops.iter().find_map(|h| hoop::admit(*h, bounds, Units::default()).ok())
}
