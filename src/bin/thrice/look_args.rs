//! The words for how to look at a design, shared by the commands that draw one.

use clap::ValueEnum;
use thrice::base::colour::{self, Colour, ColourError};
use thrice::views::look::Cotton;
use thrice::views::paper::Paper;
use thrice::views::png::WIDEST_PX;
use thrice::views::relief::scenes::{Stuff, THREAD};
use thrice::views::sewn::{Extra, Layer, Looks, WIDTH_PX};
use thrice::views::sheet::Ink;

/// How to look at it.
#[derive(clap::Args)]
pub struct LookArgs {
    /// Paper of the template
    #[arg(long, value_enum, default_value = "letter")]
    paper: PaperSize,
    /// What the preview shows beside the thread, separated by commas
    #[arg(long, value_name = "LIST", value_enum, value_delimiter = ',')]
    show: Vec<Shown>,
    /// What to make besides preview and template, separated by commas
    #[arg(long, value_name = "LIST", value_enum, value_delimiter = ',')]
    also: Vec<Also>,
    /// Width of the PNG, pixels
    #[arg(long, value_name = "PIXELS", default_value_t = WIDTH_PX, value_parser = clap::value_parser!(u32).range(100..=i64::from(WIDEST_PX)))]
    png_width: u32,
    #[command(flatten)]
    stuff: StuffArgs,
}

/// What pictures show the quilt made of.
#[derive(clap::Args)]
pub struct StuffArgs {
    /// Colour of the cloth in pictures: six digits such as #f2ead8, or a word such as natural, grey or charcoal
    #[arg(long, value_name = "COLOUR")]
    cloth: Option<Colour>,
    /// Colour of the thread in pictures; several, separated by commas, for variegated thread
    #[arg(long, value_name = "COLOUR", value_parser = thread)]
    thread: Option<Thread>,
}

/// The colours of a thread in turn.
#[derive(Debug, Clone, PartialEq)]
pub struct Thread(pub Vec<Colour>);

fn thread(text: &str) -> Result<Thread, ColourError> {
    colour::list(text).map(Thread)
}

/// A paper on the command line.
#[derive(Clone, Copy, ValueEnum)]
pub enum PaperSize {
    /// 8 1/2 × 11 in
    Letter,
    /// 210 × 297 mm
    A4,
}

#[derive(Clone, Copy, ValueEnum)]
enum Shown {
    /// Thread coloured by the order of sewing
    Order,
    /// Needle holes
    Holes,
    /// The widest gap, as a circle
    Gap,
    /// A map of how wide the gaps are
    GapMap,
    /// A map of needle holes
    HoleMap,
    /// Nothing but cloth and thread: no marks
    Unmarked,
}

#[derive(Clone, Copy, ValueEnum)]
enum Also {
    /// The preview as PNG
    Png,
    /// The block as quilted cloth, as PNG
    Relief,
    /// One page with everything to look at, to send
    Page,
    /// A page that sews the line in order
    Moving,
    /// The sewing sheet, to print
    SewingSheet,
    /// The lines alone as SVG curves at true size, to change in a drawing program and bring back with --drawing
    Lines,
}

impl PaperSize {
    /// The paper itself.
    pub fn paper(self) -> Paper {
        match self {
            Self::Letter => Paper::Letter,
            Self::A4 => Paper::A4,
        }
    }
}

impl LookArgs {
    /// The looks that were asked for; `loft_mm` is how high the batting lifts the cloth.
    pub fn looks(&self, loft_mm: f64) -> Looks {
        let layers = self.show.iter().map(|shown| match shown {
            Shown::Order => Layer::Order,
            Shown::Holes => Layer::Holes,
            Shown::Gap => Layer::Gap,
            Shown::GapMap => Layer::GapMap,
            Shown::HoleMap => Layer::HoleMap,
            Shown::Unmarked => Layer::Unmarked,
        });
        let extras = self.also.iter().map(|also| match also {
            Also::Png => Extra::Png,
            Also::Relief => Extra::Relief,
            Also::Page => Extra::Page,
            Also::Moving => Extra::Moving,
            Also::SewingSheet => Extra::SewingSheet,
            Also::Lines => Extra::Lines,
        });
        Looks {
            paper: self.paper.paper(),
            layers: layers.collect(),
            extras: extras.collect(),
            width_px: self.png_width,
            stuff: self.stuff.stuff(loft_mm),
            cotton: self.stuff.cotton(),
        }
    }
}

impl StuffArgs {
    /// What the picture of the quilted cloth is made of.
    pub fn stuff(&self, loft_mm: f64) -> Stuff {
        let usual = Stuff::default();
        Stuff {
            cloth: self.cloth.unwrap_or(usual.cloth),
            thread: self.thread.clone().map_or(usual.thread, |t| t.0),
            loft_mm,
        }
    }

    /// The colours of the preview; of variegated thread the first. On dark cloth the thread is pale unless named.
    pub fn cotton(&self) -> Cotton {
        let ink = |colour: Colour| Ink { rgb: colour.rgb, opacity: 1.0 };
        let mut usual = Cotton::default();
        if self.cloth.is_some_and(Colour::is_dark) {
            usual.thread = ink(THREAD);
        }
        let thread = self.thread.as_ref().and_then(|t| t.0.first());
        Cotton {
            cloth: self.cloth.map_or(usual.cloth, ink),
            thread: thread.map_or(usual.thread, |colour| ink(*colour)),
        }
    }
}
