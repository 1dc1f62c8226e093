//! A quilt file: TOML text → [`Quilt`], read to the end with every mistake told by its line.
//!
//! | table | keys |
//! | --- | --- |
//! | – | `title`, `show` (`"in"` or `"mm"`) |
//! | `[machine]` | `hoops` (sewing fields), `speed`, `formats` |
//! | `[hooping]` | `share`, `order`, `minutes`, `turn` |
//! | `[sandwich]` | `batting` or `gap`, `thickness`, `bobbin` |
//! | `[stitch]` | `length`, `margin`, `ties`, `travel` |
//! | `[look]` | `family`, `scale`, `cloth`, `thread` |
//! | `[top]` | `setting`, `rows`, `columns`, `block`, `sashing`, `posts`, `outer-sashing`, `drawing` |
//! | `[[piece]]` | `where`, `at`, `motif` or `drawing`, `repeat`, `mirrored`, `settings`, `turn`, `mirror`, `seed`, `margin`, `background`, `background-settings`, `cloth`, `thread`, `share` |
//! | `[[border]]` | `width`, `motif` or `drawing`, `repeat`, `mirrored`, `settings`, `corner`, `corner-motif`, `corner-settings`, `cloth`, `thread`, `share` |
//! | `[[odd]]` | `name`, `at`, and one shape |

mod borders;
mod chosen;
mod families;
pub mod hooping;
mod odds;
pub mod pieces;
mod sewing;
pub mod top;

use kurbo::BezPath;

use super::place::Place;
use super::setting;
use crate::base::colour::Colour;
use crate::base::form::{self, Form, Problem, Problems};
use crate::base::plain::{unfit_file_name, unfit_to_show};
use crate::base::units::{Units, most_used};
use crate::block::shape::Shape;
use crate::drawing::background::Background;
use crate::drawing::motif::Motif;
use crate::drawing::settings::Settings;
use crate::stitches::SewOptions;
use crate::survey::estimate::Pace;
use crate::survey::hoop::Hoop;
use crate::survey::remedy::Warning;
use top::Top;

/// The most blocks along a side: more than any bed.
pub const MOST_BLOCKS: u32 = 60;
/// The most borders round one quilt.
pub const MOST_BORDERS: usize = 12;
/// Without a word from her, kept clear inside every seam, mm: a quarter inch, published [195].
pub const MARGIN_MM: f64 = 6.35;

/// The longest title, letters,
const LONGEST_TITLE: usize = 80;
/// and the longest name of a folder that is made of it, bytes: letters of some scripts take three or four.
const LONGEST_FOLDER: usize = 160;

/// A quilt as asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Quilt {
    /// Its title, also of its folder.
    pub title: String,
    /// Which unit is printed first.
    pub units: Units,
    /// The sewing fields of her hoops, the smallest first.
    pub hoops: Vec<Hoop>,
    /// Machine files to write, by their endings.
    pub formats: Vec<String>,
    /// What is wished of the hoopings.
    pub hooping: hooping::Wishes,
    /// Speed, thickness and bobbin.
    pub pace: Pace,
    /// The widest gap that the batting allows, mm.
    pub gap_limit_mm: f64,
    /// How to sew.
    pub sew: SewOptions,
    /// Kept clear inside every seam, mm.
    pub margin_mm: f64,
    /// True if lines may travel along the inner outline where that is shorter.
    pub travel: bool,
    /// The one scale of all motifs, mm; each motif's own default if not asked for.
    pub scale_mm: Option<f64>,
    /// The family that fills what nothing is named for.
    pub family: Option<String>,
    /// Colours for pictures, wherever a place has none of its own.
    pub dress: Dress,
    /// How high the batting lifts the cloth between lines far apart, mm, for pictures.
    pub loft_mm: f64,
    /// How the blocks are set.
    pub top: Top,
    /// Which motif goes where.
    pub fills: Vec<Fill>,
    /// The borders, the innermost first.
    pub borders: Vec<Border>,
    /// Blocks with measures of their own.
    pub odds: Vec<Odd>,
    /// What is to be told with the plan.
    pub notes: Vec<Warning>,
}

/// A motif with its settings.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The motif.
    pub motif: Motif,
    /// What was asked for, and defaults.
    pub settings: Settings,
    /// True if its scale was asked for by itself, so that the quilt's scale leaves it alone.
    pub pinned: bool,
    /// What fills the places that it leaves open, if anything.
    pub background: Option<Background>,
    /// Its cloth and thread in pictures, where they are not those of the whole quilt.
    pub dress: Dress,
}

/// Colours for pictures.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Dress {
    /// The cloth's colour.
    pub cloth: Option<Colour>,
    /// The thread's colour, or its colours in turn.
    pub thread: Option<Vec<Colour>>,
}

impl Chosen {
    /// Nothing at all, for a border without quilting.
    #[must_use]
    pub fn nothing() -> Self {
        let motif = Motif::of_lines("nothing", Vec::new());
        Self { motif, settings: Settings::default(), pinned: true, background: None, dress: Dress::default() }
    }

    /// True if its lines run on from piece to piece of a quilt.
    #[must_use]
    pub fn runs_through(&self) -> bool {
        self.motif.construction.runs_through(&self.settings)
    }
}

/// A place and its motif.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// Where.
    pub place: Place,
    /// Only at these rows and columns.
    pub at: Option<Vec<(f64, f64)>>,
    /// What.
    pub chosen: Chosen,
    /// How it is turned.
    pub turn: Turn,
    /// How it is mirrored.
    pub mirror: Mirror,
    /// Every block its own drawing.
    pub each_seed: bool,
    /// Kept clear inside the seam, mm, if not as everywhere.
    pub margin: Option<f64>,
    /// True if it may share a hooping with other pieces.
    pub share: bool,
}

/// How a motif is turned in its block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// By quarters to the left.
    Quarters(u8),
    /// So that what grows to the upper right grows away from the quilt's middle.
    Outwards,
}

/// How a motif is mirrored in its block, left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mirror {
    /// Not.
    None,
    /// In every block.
    All,
    /// In every other block.
    Alternate,
}

/// How the quilting goes round a border's corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    /// The lines run round the corner without a break.
    Turn,
    /// A square of its own.
    Square,
    /// Top and bottom run out to the edge; the sides end at them.
    Butt,
    /// The sides meet on a slant, each drawn to its mitre.
    Mitre,
}

/// One border.
#[derive(Debug, Clone, PartialEq)]
pub struct Border {
    /// Finished widths, mm: top, right, bottom, left; 0 on a side without.
    pub widths: [f64; 4],
    /// What goes along it; nothing is quilted there without.
    pub chosen: Option<Chosen>,
    /// How it goes round the corner.
    pub corner: Corner,
    /// True if that was asked for; otherwise it is the best that its motif can.
    pub asked: bool,
    /// What goes into the corner squares, if not the same.
    pub corner_chosen: Option<Chosen>,
    /// True if its pieces may share a hooping with others.
    pub share: bool,
}

/// A block that did not come out as the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Odd {
    /// What she calls it.
    pub name: String,
    /// Its measures.
    pub shape: Shape,
    /// Row and column, counted from 1 from the top left; halves lie between the rows of a setting on point.
    pub at: (f64, f64),
}

/// What a quilt file is read with.
pub struct Sources<'a> {
    /// The motifs that it may name.
    pub motifs: &'a [Motif],
    /// The endings of machine files that can be written.
    pub formats: &'a [&'a str],
    /// The text of a drawing that it names, or why there is none.
    pub drawing: &'a dyn Fn(&str) -> Result<String, String>,
    /// The lines of a machine file that it names, or why there are none.
    pub design: &'a dyn Fn(&str) -> Result<Vec<BezPath>, String>,
}

const KEYS: [&str; 10] = [
    "title",
    "show",
    "[machine]",
    "[hooping]",
    "[sandwich]",
    "[stitch]",
    "[look]",
    "[top]",
    "[[piece]]",
    "[[border]] and [[odd]]",
];

/// Reads a quilt file that names no drawing; `motifs` are those it may name, `formats` the endings of machine files that can
/// be written.
///
/// # Errors
/// Every mistake in the text, with its line and what is allowed.
pub fn read(text: &str, motifs: &[Motif], formats: &[&str]) -> Result<Quilt, Vec<Problem>> {
    let drawing = |name: &str| Err(format!("{name} cannot be read here"));
    let design = |name: &str| Err(format!("{name} cannot be read here"));
    read_with(text, &Sources { motifs, formats, drawing: &drawing, design: &design })
}

/// Reads a quilt file.
///
/// # Errors
/// As [`read`].
pub fn read_with(text: &str, sources: &Sources<'_>) -> Result<Quilt, Vec<Problem>> {
    let mut problems = Problems::new(text);
    let mut form = form::read(text, &mut problems);
    let broken = !problems.is_empty();
    let units_are_said = form.has("show");
    let mut quilt = read_form(&mut form, sources, &mut problems);
    if let Some(quilt) = quilt.as_mut().filter(|_| !units_are_said) {
        quilt.units = usual_units(text);
    }
    form.finish(&KEYS, &mut problems);
    match quilt {
        Some(quilt) if problems.is_empty() => Ok(quilt),
        // What a slip of syntax hides would only be told as missing.
        _ if broken => {
            let mut syntax = Problems::new(text);
            let _ = form::read(text, &mut syntax);
            Err(syntax.sorted())
        }
        _ => Err(problems.sorted()),
    }
}

fn read_form(form: &mut Form<'_>, sources: &Sources<'_>, problems: &mut Problems<'_>) -> Option<Quilt> {
    let title = read_title(form, problems);
    let units = read_units(form, problems);
    let machine = sewing::machine(form, sources.formats, problems);
    let hooping = hooping::read(form, problems);
    let sandwich = sewing::sandwich(form, problems);
    let stitch = sewing::stitch(form, problems);
    let look = sewing::look(form, problems);
    let top = top::read(form, sources, units, problems);
    let odds = odds::read(form, top.as_ref(), problems);
    let spots = top.as_ref().map_or_else(Vec::new, |top| setting::set(top, &odds).spots);
    let ground = pieces::Ground { top: top.as_ref(), odds: &odds, spots: &spots };
    let mut fills = pieces::read(form, sources, &ground, problems);
    let (mut borders, lines) = borders::read(form, sources, problems);
    if let Some(family) = &look.family {
        families::fill(family, sources.motifs, (&ground, stitch.margin_mm), &mut fills, &mut borders);
    }
    for (border, line) in borders.iter_mut().zip(lines) {
        borders::go_round(border, line, sources.motifs, problems);
    }
    if fills.is_empty() && borders.is_empty() && problems.is_empty() {
        problems.add(0, "no piece is quilted; name a motif under [[piece]], such as where = \"blocks\"");
    }
    let machine = machine?;
    let pace = Pace {
        speed_per_minute: machine.speed,
        thickness_mm: sandwich.thickness_mm,
        bobbin_m: sandwich.bobbin_m,
    };
    Some(Quilt {
        title: title?,
        units,
        hoops: machine.hoops,
        formats: machine.formats,
        hooping,
        pace,
        gap_limit_mm: sandwich.gap_limit_mm,
        sew: stitch.sew,
        margin_mm: stitch.margin_mm,
        travel: stitch.travel,
        scale_mm: look.scale_mm,
        family: look.family.map(|f| f.name),
        dress: look.dress,
        loft_mm: sandwich.loft_mm,
        top: top?,
        fills,
        borders,
        odds,
        notes: Vec::new(),
    })
}

fn read_title(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Option<String> {
    let Some((title, at)) = form.text_at("title", problems) else {
        form.missing("title", "\"My quilt\"", problems);
        return None;
    };
    let folder = path_safe(&title);
    if let Some(why) = unfit_to_show(&title).or_else(|| unfit_file_name(&folder)) {
        let why = format!("the title names the folder, but {why}; give it letters and digits");
        problems.add(at, why);
        return None;
    }
    if title.chars().count() > LONGEST_TITLE || folder.len() > LONGEST_FOLDER {
        let long = title.chars().count().max(folder.len().div_ceil(LONGEST_FOLDER / LONGEST_TITLE));
        problems.add(
            at,
            format!(
                "the title names the folder; it counts as {long} letters, so shorten it to {LONGEST_TITLE}"
            ),
        );
        return None;
    }
    Some(title)
}

fn read_units(form: &mut Form<'_>, problems: &mut Problems<'_>) -> Units {
    match form.text_at("show", problems) {
        Some((word, _)) if word == "mm" => Units::Millimetres,
        Some((word, at)) if word != "in" => {
            problems.add(at, format!("show is `{word}`; it is \"in\" or \"mm\""));
            Units::Inches
        }
        _ => Units::Inches,
    }
}

/// The unit that most lengths of the top are written in; hoops, stitches and layers are in millimetres for everyone.
fn usual_units(text: &str) -> Units {
    let of_the_top = |line: &&str| {
        let key = line.split('=').next().unwrap_or("").trim();
        ["block", "rows", "columns", "sashing", "width", "sides", "diagonal", "corners", "scale"]
            .contains(&key)
    };
    most_used(text.lines().filter(of_the_top))
}

/// A title or name as the name of a folder: lower-case letters, digits and hyphens; other scripts are kept.
#[must_use]
pub fn path_safe(text: &str) -> String {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("-")
}
