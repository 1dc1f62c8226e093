//! The table of the constructions: the word of a motif file → its numbers, the settings it reads, its drawing.

use kurbo::BezPath;

use super::constructions::feather::{half_wreath, spray, wreath};
use super::constructions::plume::{heart, ring, vine};
use super::constructions::strand::plait;
use super::constructions::{echo, fan, lattice, lines, meander, pebbles, petals, rays, spiral, strand};
use super::repeated::Repeated;
use super::settings::{Need, Settings};
use super::{DrawError, Drawing, mapped, own, ranges, repeated};
use crate::base::form::{Form, Problems};
use crate::block::Block;

/// How a motif is drawn, with its numbers.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// Rings inside the outline.
    Echo(echo::Numbers),
    /// Concentric arcs in rows of fans.
    Fan(fan::Numbers),
    /// An arc of plumes across a triangle.
    FeatherHalfWreath(half_wreath::Numbers),
    /// Plumes round a spine in the form of a heart.
    FeatherHeart(heart::Numbers),
    /// Plumes round a circle, with something in the middle.
    FeatherRing(ring::Numbers),
    /// Plumes along a spine that sweeps from corner to corner.
    FeatherSpray(spray::Numbers),
    /// Plumes along an undulating spine.
    FeatherVine(vine::Numbers),
    /// A wreath of plumes round a closed spine.
    FeatherWreath(wreath::Numbers),
    /// A cell of parts, repeated.
    Lattice(Box<lattice::numbers::Numbers>),
    /// Families of parallel lines.
    Lines(lines::Numbers),
    /// One wandering line.
    Meander(meander::Numbers),
    /// Circles that touch.
    Pebbles(pebbles::Numbers),
    /// Petals round the middle.
    Petals(petals::Numbers),
    /// Bands that cross on a grid.
    Plait(plait::Numbers),
    /// Straight points round a hub.
    Rays(rays::Numbers),
    /// Lines drawn by hand, as large as the block allows.
    Own(Vec<BezPath>),
    /// Lines drawn by hand, in whole copies.
    OwnRepeated(Repeated),
    /// The lines of a finished design.
    Design(Vec<BezPath>),
    /// Turns to the centre.
    Spiral(spiral::Numbers),
    /// Lines along a border in whole repeats.
    Strand(Box<strand::numbers::Numbers>),
}

const WORDS: &[&str] = &[
    "echo",
    "fan",
    "feather-half-wreath",
    "feather-heart",
    "feather-ring",
    "feather-spray",
    "feather-vine",
    "feather-wreath",
    "lattice",
    "lines",
    "meander",
    "pebbles",
    "petals",
    "plait",
    "rays",
    "spiral",
    "strand",
];

impl Construction {
    /// Takes `construction` and `[numbers]` out of a motif file; gives the letters of path data as well.
    pub fn read(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<(Self, usize)> {
        let Some((word, at)) = form.text_at("construction", problems) else {
            form.missing("construction", "\"lines\"", problems);
            return None;
        };
        if WORDS.contains(&word.as_str()) && !form.has("numbers") {
            form.missing("[numbers]", "… with the numbers of this construction", problems);
            return None;
        }
        let path_data = ranges::check(&word, form, problems);
        let read = match word.as_str() {
            "fan" => form.value("numbers", problems).map(Self::Fan),
            "lattice" => form.value("numbers", problems).map(Self::Lattice),
            "feather-half-wreath" => form.value("numbers", problems).map(Self::FeatherHalfWreath),
            "feather-heart" => form.value("numbers", problems).map(Self::FeatherHeart),
            "feather-ring" => form.value("numbers", problems).map(Self::FeatherRing),
            "plait" => form.value("numbers", problems).map(Self::Plait),
            "rays" => form.value("numbers", problems).map(Self::Rays),
            "feather-spray" => form.value("numbers", problems).map(Self::FeatherSpray),
            "feather-vine" => form.value("numbers", problems).map(Self::FeatherVine),
            "feather-wreath" => form.value("numbers", problems).map(Self::FeatherWreath),
            "lines" => form.value("numbers", problems).map(Self::Lines),
            "meander" => form.value("numbers", problems).map(Self::Meander),
            "echo" => form.value("numbers", problems).map(Self::Echo),
            "spiral" => form.value("numbers", problems).map(Self::Spiral),
            "pebbles" => form.value("numbers", problems).map(Self::Pebbles),
            "petals" => form.value("numbers", problems).map(Self::Petals),
            "strand" => form.value("numbers", problems).map(Self::Strand),
            _ => {
                problems.add(at, format!("`{word}` is no construction; there are {}", WORDS.join(", ")));
                None
            }
        };
        read.map(|construction| (construction, path_data))
    }

    /// The word that it is asked for by.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Echo(_) => "echo",
            Self::Fan(_) => "fan",
            Self::FeatherHalfWreath(_) => "feather-half-wreath",
            Self::FeatherHeart(_) => "feather-heart",
            Self::FeatherRing(_) => "feather-ring",
            Self::Plait(_) => "plait",
            Self::Rays(_) => "rays",
            Self::FeatherSpray(_) => "feather-spray",
            Self::FeatherVine(_) => "feather-vine",
            Self::FeatherWreath(_) => "feather-wreath",
            Self::Lattice(_) => "lattice",
            Self::Lines(_) => "lines",
            Self::Meander(_) => "meander",
            Self::Pebbles(_) => "pebbles",
            Self::Petals(_) => "petals",
            Self::Own(_) | Self::OwnRepeated(_) => "own",
            Self::Design(_) => "design",
            Self::Spiral(_) => "spiral",
            Self::Strand(_) => "strand",
        }
    }

    /// The settings that it reads.
    #[must_use]
    pub fn needs(&self) -> Vec<(String, &'static str)> {
        match self {
            Self::Fan(_) => owned(fan::NEEDS),
            Self::Lattice(numbers) => numbers.needs(),
            Self::FeatherHalfWreath(_) => owned(half_wreath::NEEDS),
            Self::FeatherHeart(_) => owned(heart::NEEDS),
            Self::FeatherRing(_) => owned(ring::NEEDS),
            Self::Plait(_) => owned(plait::NEEDS),
            Self::Rays(_) => owned(rays::NEEDS),
            Self::FeatherSpray(_) => owned(spray::NEEDS),
            Self::FeatherVine(_) => owned(vine::NEEDS),
            Self::FeatherWreath(_) => owned(wreath::NEEDS),
            Self::Lines(_) => owned(lines::NEEDS),
            Self::Meander(_) => owned(meander::NEEDS),
            Self::Echo(_) => owned(echo::NEEDS),
            Self::Own(_) | Self::OwnRepeated(_) | Self::Design(_) => Vec::new(),
            Self::Spiral(_) => owned(spiral::NEEDS),
            Self::Pebbles(_) => owned(pebbles::NEEDS),
            Self::Petals(_) => owned(petals::NEEDS),
            Self::Strand(numbers) => numbers.needs(),
        }
    }

    /// True if its lines run on from piece to piece of a quilt, on one ground for all of them.
    #[must_use]
    pub fn runs_through(&self, settings: &Settings) -> bool {
        match self {
            Self::Lines(_) => true,
            Self::Lattice(numbers) => numbers.runs_through(settings),
            _ => false,
        }
    }

    /// True if its lines wander over whatever place there is: they are never larger, smaller or more stretched than asked.
    #[must_use]
    pub fn wanders(&self) -> bool {
        matches!(self, Self::Meander(_) | Self::Pebbles(_))
    }

    /// Draws it inside a block.
    ///
    /// # Errors
    /// [`DrawError`] if it cannot be fitted.
    pub fn draw(&self, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
        match self {
            Self::Fan(numbers) => fan::draw(numbers, settings, block),
            Self::Lattice(numbers) => lattice::draw(numbers, settings, block),
            Self::FeatherHalfWreath(numbers) => half_wreath::draw(numbers, settings, block),
            Self::FeatherHeart(numbers) => heart::draw(numbers, settings, block),
            Self::FeatherRing(numbers) => ring::draw(numbers, settings, block),
            Self::Plait(numbers) => plait::draw(numbers, settings, block),
            Self::Rays(numbers) => rays::draw(numbers, settings, block),
            Self::FeatherSpray(numbers) => spray::draw(numbers, settings, block),
            Self::FeatherVine(numbers) => vine::draw(numbers, settings, block),
            Self::FeatherWreath(numbers) => wreath::draw(numbers, settings, block),
            Self::Lines(numbers) => lines::draw(numbers, settings, block),
            Self::Meander(numbers) => meander::draw(numbers, settings, block),
            Self::Echo(numbers) => echo::draw(numbers, settings, block),
            Self::Own(lines) => own::draw(lines, block),
            Self::OwnRepeated(repeated) => repeated::draw(repeated, block),
            Self::Design(lines) => mapped::draw(lines, block),
            Self::Spiral(numbers) => spiral::draw(numbers, settings, block),
            Self::Pebbles(numbers) => pebbles::draw(numbers, settings, block),
            Self::Petals(numbers) => petals::draw(numbers, settings, block),
            Self::Strand(numbers) => strand::draw(numbers, settings, block),
        }
    }
}

fn owned(needs: &[Need]) -> Vec<(String, &'static str)> {
    needs.iter().map(|(name, kind)| ((*name).to_owned(), *kind)).collect()
}
