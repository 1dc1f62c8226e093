//! Background: a drawing's lines + a filling motif → the same lines with the open places round and inside them filled.
//!
//! Echoes run round the drawing; meanders and pebbles are drawn in each open place by itself, a little clear of the
//! drawing; any other motif is drawn over the whole block and kept where it is open, cut at an echo of the drawing
//! ([`channel`]), so that it runs on behind that. What hangs on nothing is joined to the rest by the shortest straight line.
//!
//! Limits: a place counts as open by its width alone ([`open`]), not by what the drawing shows.

pub mod channel;
pub mod ends;
pub mod join;
pub mod open;

#[cfg(test)]
mod tests;

use kurbo::{BezPath, ParamCurve, Point};

use super::construction::Construction;
use super::constructions::clip::cut;
use super::constructions::echo;
use super::constructions::echo::around::echo_around;
use super::motif::Motif;
use super::settings::Settings;
use super::{DrawError, Drawing};
use crate::base::curve::path_through;
use crate::base::tolerance::JOIN_MM;
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::deepest::deepest;
use crate::block::region::Region;
use crate::block::suit::Suit;

/// A motif that fills what another leaves open, with its settings.
#[derive(Debug, Clone, PartialEq)]
pub struct Background {
    /// What fills.
    pub motif: Box<Motif>,
    /// Its settings.
    pub settings: Settings,
}

/// How far a line drawn in an open place keeps from the drawing, in parts of its own scale: as far as its passes from each other.
const CLEAR: f64 = 0.5;

/// A line drawn in an open place leaves out what is narrower than this, in parts of its own scale: it would only wiggle there.
const NARROW: f64 = 0.7;

/// A place left narrower than this all over gets no drawing of its own, in parts of its scale: it would be one small blob.
const ROOMY: f64 = 1.25;

/// Echoes inside a place closed in go round past notches narrower than this, in spacings, or than this share of what is left
/// inside the first echo.
const ROUND: f64 = 4.0;
const ROUNDEST: f64 = 0.8;

/// A place closed in gets echoes if it is wider than this, in spacings: the first takes two.
const LEAST_IN: f64 = 2.8;

/// An echo cut off at the edge is left out if it is shorter than this, in spacings: it would stand there as a bit.
const BIT: f64 = 2.5;

/// The channel between the drawing and a motif that runs on behind it is as wide as this, mm, or this share of the motif's own
/// scale if that is less: wide enough to be seen as one, and so narrow that the background is still even (chosen by eye).
const CHANNEL_MM: f64 = 4.76;
const CHANNEL: f64 = 0.4;

/// A line cut at the channel is left out if it is no longer than this, mm: one stitch in a cleft holds nothing.
const STUB_MM: f64 = 3.0;

impl Background {
    /// A background of `motif`.
    ///
    /// # Errors
    /// [`DrawError::NoBackground`] if the motif does not suit any outline: open places have every shape.
    pub fn new(motif: &Motif, settings: Settings) -> Result<Self, DrawError> {
        let fills = matches!(
            motif.construction,
            Construction::Echo(_)
                | Construction::Fan(_)
                | Construction::Lattice(_)
                | Construction::Lines(_)
                | Construction::Meander(_)
                | Construction::Pebbles(_)
                | Construction::Strand(_)
        );
        if !fills || !motif.suits(Suit::Outline) {
            return Err(DrawError::NoBackground { motif: motif.name.clone() });
        }
        Ok(Self { motif: Box::new(motif.clone()), settings })
    }

    /// True if its lines run on from piece to piece of a quilt.
    #[must_use]
    pub fn runs_through(&self) -> bool {
        self.motif.construction.runs_through(&self.settings)
    }

    /// How far apart its lines are, mm.
    fn scale(&self) -> f64 {
        self.motif.scale.as_ref().map_or(0.0, |name| self.settings.number(name))
    }
}

/// How much wider than its own parts a motif's open places are, for [`fill`].
#[must_use]
pub fn wider(motif: Option<&Motif>) -> f64 {
    match motif.map(|m| &m.construction) {
        Some(Construction::Lattice(_)) => open::WIDER_IN_CELLS,
        Some(
            Construction::FeatherHalfWreath(_) | Construction::FeatherSpray(_) | Construction::FeatherVine(_),
        ) => open::WIDER_IN_PLUMES,
        _ => open::WIDER,
    }
}

/// `drawing` with its background, in all places [`wider`] than its own parts. `by_edge` is true if the line may travel along the inner outline.
///
/// # Errors
/// [`DrawError::NoRoom`] if no place is open, or none is large enough for the background's settings.
pub fn fill(
    drawing: Drawing,
    wider: f64,
    background: &Background,
    block: &Block,
    by_edge: bool,
) -> Result<Drawing, DrawError> {
    let open = open::places(&drawing.lines, block, wider);
    if open.is_empty() {
        let why = "the motif leaves no place open; ask for no background".into();
        return Err(DrawError::NoRoom { motif: format!("a background of {}", background.motif.name), why });
    }
    let mut filled = match &background.motif.construction {
        Construction::Echo(numbers) => echoes(&drawing.lines, numbers, background, &open, block),
        Construction::Meander(_) | Construction::Pebbles(_) => {
            apart(&drawing.lines, background, &open, block)?
        }
        _ => behind(&drawing.lines, background, &open, block)?,
    };
    let lines = join::joined(&drawing.lines, std::mem::take(&mut filled.lines), block, by_edge);
    Ok(Drawing {
        lines,
        stretch: drawing.stretch.max(filled.stretch),
        grown: drawing.grown,
        notes: drawing.notes.into_iter().chain(filled.notes).collect(),
    })
}

/// Rings round the drawing out to the block's edge, and rings inside the places that it closes in.
fn echoes(
    lines: &[BezPath],
    numbers: &echo::Numbers,
    background: &Background,
    open: &[open::Place],
    block: &Block,
) -> Drawing {
    let spacing = background.scale();
    let mut echoes = Drawing::default();
    for region in &block.inside {
        let no_edges = std::iter::empty();
        let rings = echo_around(lines, region, spacing);
        let keep = |p| open.iter().any(|place| !place.closed_in && place.region.contains(p));
        echoes.lines.extend(cut(&rings, no_edges, &keep, BIT * spacing));
    }
    let grown = open::grown(lines, spacing);
    for place in open.iter().filter(|place| place.closed_in && place.width > LEAST_IN * spacing) {
        let round = (ROUND * spacing).min(ROUNDEST * (place.width - 2.0 * spacing));
        let inside = Block { inside: place.clear_of(&grown, round), ..block.clone() };
        match echo::draw(numbers, &background.settings, &inside) {
            Ok(rings) => echoes.lines.extend(rings.lines),
            // Room for one.
            Err(_) => echoes.lines.extend(
                inside.inside.iter().flat_map(Region::rings).map(|ring| path_through(ring.points(), true)),
            ),
        }
    }
    echoes
}

/// A drawing of its own in each open place.
fn apart(
    lines: &[BezPath],
    background: &Background,
    open: &[open::Place],
    block: &Block,
) -> Result<Drawing, DrawError> {
    let scale = background.scale();
    let takes = 2.0 * CLEAR + ROOMY;
    let widest = open.iter().map(|place| place.width).fold(0.0, f64::max);
    if widest < takes * scale {
        let show = |mm| show_length(mm, Units::Inches);
        let name = background.motif.scale.as_deref().unwrap_or("scale");
        let why = format!(
            "the widest place that the motif leaves open is {} across, too little for a {name} of {}; ask for a {name} of {} or less",
            show(widest),
            show(scale),
            show(widest / takes)
        );
        return Err(DrawError::NoRoom { motif: format!("a background of {}", background.motif.name), why });
    }
    let grown = open::grown(lines, CLEAR * scale);
    let roomy = |region: &Region| 2.0 * deepest(region).1 >= ROOMY * scale;
    let inside: Vec<Region> = open
        .iter()
        .filter(|place| place.width >= takes * scale)
        .flat_map(|place| place.clear_of(&grown, NARROW * scale))
        .filter(roomy)
        .collect();
    background.motif.construction.draw(&background.settings, &Block { inside, ..block.clone() })
}

/// One drawing over the whole block, seen where the block is open, behind an echo of the motif.
fn behind(
    lines: &[BezPath],
    background: &Background,
    open: &[open::Place],
    block: &Block,
) -> Result<Drawing, DrawError> {
    let whole = background.motif.construction.draw(&background.settings, block)?;
    let away = match background.scale() {
        0.0 => CHANNEL_MM,
        scale => CHANNEL_MM.min(CHANNEL * scale),
    };
    let channel = channel::around(lines, open, block, away);
    if channel.pockets.is_empty() {
        let [away, pocket] = [away, channel::POCKET_MM].map(|mm| show_length(mm, Units::Inches));
        let why = format!(
            "beside a channel of {away} round the motif no place {pocket} wide is left open; ask for a finer background or \
             for none"
        );
        return Err(DrawError::NoRoom { motif: format!("a background of {}", background.motif.name), why });
    }
    let keep = |p| channel.pockets.iter().any(|pocket| pocket.depth(p) > -JOIN_MM);
    // A line along the block's edge frames the motif as well: no channel interrupts it.
    let (frame, filling): (Vec<BezPath>, Vec<BezPath>) =
        whole.lines.into_iter().partition(|line| is_on_edge(line, block));
    let mut seen = cut(&filling, channel.cuts().into_iter(), &keep, STUB_MM);
    seen.retain(|line| !channel.is_grazed_by(line));
    let known: Vec<BezPath> = lines.iter().chain(&channel.walls).cloned().collect();
    let mut lines = ends::gathered(seen, &known, block);
    lines.extend(channel.walls);
    lines.extend(frame);
    Ok(Drawing { lines, stretch: whole.stretch, grown: whole.grown, notes: whole.notes })
}

/// True if a line runs along the edge of what may be sewn.
fn is_on_edge(line: &BezPath, block: &Block) -> bool {
    let on_edge =
        |p: Point| block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max) < JOIN_MM;
    line.segments().all(|side| [0.0, 0.5, 1.0].into_iter().all(|part| on_edge(side.eval(part))))
}
