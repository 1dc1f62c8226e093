//! An order → a piece made to measure: block + motif → drawing → network → route → stitches → survey, all kept.

pub mod marks;
pub mod refit;

use std::borrow::Cow;
use std::collections::BTreeMap;

use kurbo::BezPath;

use crate::base::angle::QUARTER_RIGHT;
use crate::base::curve::path_through;
use crate::base::units::Units;
use crate::block::Block;
use crate::block::pose::Pose;
use crate::block::region::Region;
use crate::drawing::background::{self, Background};
use crate::drawing::construction::Construction;
use crate::drawing::motif::Motif;
use crate::drawing::settings::Settings;
use crate::drawing::{self, DrawError, Drawing};
use crate::network::{self, Network, NetworkError};
use crate::route::certificate::{Proof, verify};
use crate::route::start::Start;
use crate::route::{self, Route, RouteError, WalkOptions};
use crate::stitches::fingerprint::{self, Fingerprint};
use crate::stitches::spread::CROWDED_DEGREE;
use crate::stitches::turn::quarter_left;
use crate::stitches::{self, SewError, SewOptions, Stitches};
use crate::survey::hoop::Fit;
use crate::survey::remedy::Warning;
use crate::survey::report::{self, Report, RouteFigures};
use crate::survey::{self, Sandwich, Survey, SurveyError};

/// What is to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Design {
    /// A motif with its settings.
    Motif(Box<Motif>, Settings),
    /// A line drawing of her own: its name and its lines, scaled into the inner outline.
    Own(String, Vec<BezPath>),
}

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Order {
    /// The piece's name, also of its files.
    pub name: String,
    /// The block to fill.
    pub block: Block,
    /// What to fill it with.
    pub design: Design,
    /// How that is turned and mirrored.
    pub pose: Pose,
    /// Its lines, if they were drawn with those of other pieces and only cut.
    pub drawn: Option<Drawing>,
    /// What fills the places that the design leaves open, if anything.
    pub background: Option<Background>,
    /// True if the line may travel along the inner outline where that is shorter.
    pub travel: bool,
    /// Where to begin, if she minds.
    pub start: Option<Start>,
    /// How to sew.
    pub sew: SewOptions,
    /// What the stitches are held against.
    pub sandwich: Sandwich,
    /// Which unit is printed first.
    pub units: Units,
    /// What is to be told with the report.
    pub notes: Vec<Warning>,
}

/// A piece with everything that was made on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What was asked for.
    pub order: Order,
    /// Its lines.
    pub drawing: Drawing,
    /// Its plane graph.
    pub network: Network,
    /// Its walk.
    pub route: Route,
    /// What is proven of the walk.
    pub proof: Proof,
    /// Its needle points in block coordinates; [`Piece::for_machine`] has them as they will be sewn.
    pub stitches: Stitches,
    /// Its figures.
    pub survey: Survey,
    /// Holes in the heaviest millimetre if crowded junctions were not spread.
    pub unspread_holes: usize,
}

/// Why a piece cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PieceError {
    /// The motif does not fit.
    #[error(transparent)]
    Draw(#[from] DrawError),
    /// The lines do not make a network.
    #[error(transparent)]
    Network(#[from] NetworkError),
    /// The network cannot be walked.
    #[error(transparent)]
    Route(#[from] RouteError),
    /// The route cannot be sewn.
    #[error(transparent)]
    Sew(#[from] SewError),
    /// The stitches cannot be surveyed, or do not fit the hoop.
    #[error(transparent)]
    Survey(#[from] SurveyError),
}

/// Makes a piece, whether or not it fits its hoop.
///
/// # Errors
/// The error of the stage that could not go on.
pub fn make(order: Order) -> Result<Piece, PieceError> {
    let drawing = draw(&order)?;
    make_of(order, drawing)
}

/// The lines of an order and of what lies behind them: what there is to look at before anything is sewn.
///
/// Parts that do not hang together are joined only when the piece is made.
///
/// # Errors
/// [`PieceError::Draw`] if there is no room for them.
pub fn draw(order: &Order) -> Result<Drawing, PieceError> {
    let drawing = match (&order.drawn, &order.design) {
        (Some(drawn), _) => drawn.clone(),
        (None, Design::Motif(motif, settings)) => {
            drawing::draw_posed(motif, settings, &order.block, order.pose)?
        }
        (None, Design::Own(_, lines)) => drawing::draw_posed(
            &Motif::of_lines("", lines.clone()),
            &Settings::default(),
            &order.block,
            order.pose,
        )?,
    };
    let Some(background) = &order.background else { return Ok(drawing) };
    let motif = match &order.design {
        Design::Motif(motif, _) => Some(&**motif),
        Design::Own(..) => None,
    };
    let seam = order.to_seam();
    let ground = seam.as_ref().unwrap_or(&order.block);
    Ok(background::fill(drawing, background::wider(motif), background, ground, order.travel)?)
}

/// Makes a piece from its lines, as [`draw`] has them.
///
/// # Errors
/// As [`make`].
pub fn make_of(order: Order, drawing: Drawing) -> Result<Piece, PieceError> {
    let seam = order.to_seam();
    let ground = seam.as_ref().unwrap_or(&order.block);
    // No line that she has not drawn shows.
    let may_join = order.travel && (!order.is_own() || ground.margin_mm == 0.0);
    let (drawing, network) = connected(drawing, ground, may_join)?;
    let route = route::walk(&network, &WalkOptions { start: order.start })?;
    sewn(order, drawing, network, route)
}

/// The network of a drawing, with ways to travel where they lie in the ditch, and the drawing that it is the network of.
///
/// Inside a margin a single thread would show beside the triple ones: there, parts of a drawing that do not hang together
/// are joined by lines along the edge that belong to the drawing, the fewest and shortest that the router finds.
fn connected(mut drawing: Drawing, block: &Block, may_join: bool) -> Result<(Drawing, Network), PieceError> {
    if !may_join {
        let network = network::connect(&drawing, &[])?;
        return Ok((drawing, network));
    }
    if block.margin_mm == 0.0 {
        let network = network::connect(&drawing, &block.inside)?;
        return Ok((drawing, network));
    }
    let network = network::connect(&drawing, &[])?;
    if network.joined_pieces().len() < 2 {
        return Ok((drawing, network));
    }
    let along = network::connect(&drawing, &block.inside)?;
    let route = route::walk(&along, &WalkOptions::default())?;
    let mut used: Vec<usize> =
        route.pieces.iter().flat_map(|piece| &piece.steps).map(|step| step.edge).collect();
    used.sort_unstable();
    used.dedup();
    let joins = used.iter().map(|e| &along.edges[*e]).filter(|edge| !edge.is_drawn());
    drawing.lines.extend(joins.map(|edge| path_through(&edge.chain, false)));
    let network = network::connect(&drawing, &[])?;
    Ok((drawing, network))
}

/// A piece from its walk, which is verified first.
///
/// # Errors
/// [`RouteError::Unproven`] for a walk that leaves something out or is not proven to be among the shortest; else the error
/// of the stage that could not go on.
pub fn sewn(order: Order, drawing: Drawing, network: Network, route: Route) -> Result<Piece, PieceError> {
    let proof = verify(&network, &route).map_err(RouteError::from)?;
    let stitches = stitches::sew(&route, &network, &order.sew)?;
    let survey = survey::survey(&stitches, Some(&order.block), &order.sandwich)?;
    let unspread_holes = match is_crowded(&network) {
        true => unspread_holes(&route, &network, &order.sew)?,
        false => survey.holes.holes,
    };
    Ok(Piece { order, drawing, network, route, proof, stitches, survey, unspread_holes })
}

/// True if there is a junction that stitches are spread over.
#[must_use]
pub fn is_crowded(network: &Network) -> bool {
    network.drawn_degrees().into_iter().any(|degree| degree >= CROWDED_DEGREE)
}

/// Holes in the heaviest millimetre if every visit of a crowded junction went down in it.
///
/// # Errors
/// As of sewing and surveying.
pub fn unspread_holes(route: &Route, network: &Network, sew: &SewOptions) -> Result<usize, PieceError> {
    let plain = SewOptions { spread_junctions: false, ..sew.clone() };
    Ok(survey::most_holes(&stitches::sew(route, network, &plain)?)?)
}

/// Makes a piece for its hoop: turned a quarter if only that fits, refused if neither way does.
///
/// # Errors
/// As [`make`], and [`SurveyError::TooLarge`] with what would fit.
pub fn make_to_fit(order: Order) -> Result<Piece, PieceError> {
    let piece = make(order)?;
    match piece.order.sandwich.hoop {
        Some(hoop) => {
            let fit = survey::admit(&piece.stitches, hoop, piece.order.units)?;
            Ok(piece.held(fit))
        }
        None => Ok(piece),
    }
}

impl Order {
    /// True if it is a drawing of her own.
    fn is_own(&self) -> bool {
        match &self.design {
            Design::Own(..) => true,
            Design::Motif(motif, _) => {
                matches!(motif.construction, Construction::Own(_) | Construction::OwnRepeated(_))
            }
        }
    }

    /// The edges along which the needle may travel unseen, as they are seams: none where a margin is kept.
    #[must_use]
    pub fn ditches(&self) -> Vec<Region> {
        let seam = self.to_seam();
        let ground = seam.as_ref().unwrap_or(&self.block);
        if self.travel && ground.margin_mm == 0.0 { ground.inside.clone() } else { Vec::new() }
    }

    /// The block up to its seams, if a background runs through them.
    fn to_seam(&self) -> Option<Block> {
        let runs = self.background.as_ref().is_some_and(Background::runs_through);
        let block = &self.block;
        let seam = || Block { inside: vec![block.outline.clone()], margin_mm: 0.0, ..block.clone() };
        (runs && block.lie.is_some()).then(seam)
    }

    /// A piece at its defaults: travel along the edge, no hoop, the usual step and sandwich.
    #[must_use]
    pub fn new(name: &str, block: Block, design: Design) -> Self {
        Order {
            name: name.to_owned(),
            block,
            design,
            pose: Pose::default(),
            drawn: None,
            background: None,
            travel: true,
            start: None,
            sew: SewOptions::default(),
            sandwich: Sandwich::default(),
            units: Units::Inches,
            notes: Vec::new(),
        }
    }
}

impl PieceError {
    /// What to do about it, where that needs more than the message's own words.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            Self::Survey(error) => error.hint(),
            _ => None,
        }
    }
}

impl Piece {
    /// The piece in the hoop that it is sewn in, as that is mounted.
    #[must_use]
    pub fn held(mut self, fit: Fit) -> Self {
        self.order.sandwich.hoop = Some(fit.hoop);
        self.survey.fit = Some(fit);
        if self.is_turned() {
            self.survey.centre = QUARTER_RIGHT * self.for_machine().centre;
        }
        self
    }

    /// True if it is sewn turned a quarter to the left against its block, because only so it fits its hoop.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        self.survey.is_turned()
    }

    /// Its needle points as they will be sewn: what the machine file holds and everything printed shows.
    #[must_use]
    pub fn for_machine(&self) -> Cow<'_, Stitches> {
        match self.is_turned() {
            true => Cow::Owned(quarter_left(&self.stitches)),
            false => Cow::Borrowed(&self.stitches),
        }
    }

    /// What stands for its needle points as they will be sewn.
    #[must_use]
    pub fn fingerprint(&self) -> Fingerprint {
        fingerprint::of(&self.for_machine())
    }

    /// Its block as it lies in the hoop.
    #[must_use]
    pub fn block_in_hoop(&self) -> Cow<'_, Block> {
        match self.is_turned() {
            true => Cow::Owned(self.order.block.turned_left()),
            false => Cow::Borrowed(&self.order.block),
        }
    }

    /// The motif's title, or the name of her own drawing, and what its background is.
    #[must_use]
    pub fn title(&self) -> String {
        let title = match &self.order.design {
            Design::Motif(motif, _) => &motif.title,
            Design::Own(name, _) => name,
        };
        match &self.order.background {
            None => title.clone(),
            Some(background) => format!("{title} on {}", background.motif.title.to_lowercase()),
        }
    }

    /// How the line was laid.
    #[must_use]
    pub fn route_figures(&self) -> RouteFigures {
        let pieces = self.route.pieces.len();
        RouteFigures {
            pieces,
            jumps: pieces.saturating_sub(1),
            fewest_jumps: self.network.joined_pieces().len().saturating_sub(1),
            drawn: self.route.drawn_mm,
            travelled: self.route.travelled_mm,
            doubled: self.route.doubled_mm,
            least_doubled: self.proof.holds_for_all().then(|| self.proof.bound_mm()),
            certificate: self.proof.bound_mm(),
        }
    }

    /// Everything about the piece, with keys that stay the same.
    #[must_use]
    pub fn report(&self) -> Report {
        let (motif, settings) = match &self.order.design {
            Design::Motif(motif, settings) => (motif.name.as_str(), as_json(settings)),
            Design::Own(name, _) => (name.as_str(), BTreeMap::new()),
        };
        let before =
            self.order.block.notes.iter().chain(&self.drawing.notes).map(|note| note.as_str().into());
        let notes: Vec<Warning> = self.order.notes.iter().cloned().chain(before).collect();
        let background = self.order.background.as_ref();
        let background = background.map(|b| (b.motif.name.as_str(), as_json(&b.settings)));
        let piece = report::Piece {
            name: &self.order.name,
            fingerprint: self.fingerprint(),
            motif,
            settings: &settings,
            background,
            target_step_mm: self.order.sew.step_mm,
            stretch: self.drawing.stretch,
            route: self.route_figures(),
            unspread_holes: self.unspread_holes,
            notes: &notes,
            units: self.order.units,
        };
        report::report(&piece, &self.order.block, &self.survey)
    }
}

fn as_json(settings: &Settings) -> BTreeMap<String, serde_json::Value> {
    let values = settings.values().iter();
    values.map(|(name, value)| (name.clone(), serde_json::to_value(value).unwrap_or_default())).collect()
}
