//! What a view needs to know of one sewn block, whatever stage it came from.

use kurbo::{BezPath, Point, Rect, Shape as _};

use crate::base::chain;
use crate::base::units::Units;
use crate::survey::lie;

/// One block with its stitches as they will be sewn: everything looked at is made from it. Lengths in mm, block centre at
/// 0,0, y towards the top of the machine's screen.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The name that she gave it, or the one made from motif and size.
    pub title: String,
    /// The motif in words.
    pub motif: String,
    /// Shape and size in words, in her units.
    pub size: String,
    /// The edge of the block, then its holes; empty if the block is not known.
    pub outline: Vec<BezPath>,
    /// The edge of what is quilted, inside the margin; with holes, and several parts where it falls apart.
    pub inside: Vec<BezPath>,
    /// Needle points, one run a piece.
    pub runs: Vec<Vec<Point>>,
    /// Needle holes that it shares with the hoopings beside it; none for a piece in one hooping.
    pub joins: Vec<Point>,
    /// Places measured in the hoop, with their names.
    pub marks: Vec<(Point, String)>,
    /// The design's centre, which is the machine file's origin.
    pub centre: Point,
    /// True if block and stitches are shown turned a quarter to the left against the block as it was asked for, because
    /// the design is sewn so.
    pub turned: bool,
    /// How the block lies in the hoop, one sentence; empty if the block is not known.
    pub lie: String,
    /// Width and height of the hoop's sewing field as it is mounted, mm; none if no hoop was named.
    pub field: Option<(f64, f64)>,
    /// Figures to print, in order.
    pub facts: Vec<Fact>,
    /// What she should know before she sews; whole sentences.
    pub warnings: Vec<String>,
    /// Which unit is printed first.
    pub units: Units,
}

/// What the figure is called that says how often each stitch was sewn.
pub const PASSES: &str = "passes";

/// What the figure is called that stands for the stitches of the machine file.
pub const FINGERPRINT: &str = "fingerprint";

/// A figure and what it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What it is: `stitches`.
    pub label: String,
    /// The figure with its unit: `4,210`.
    pub value: String,
}

impl Fact {
    /// A figure and what it is.
    #[must_use]
    pub fn new(label: &str, value: &str) -> Self {
        Self { label: label.into(), value: value.into() }
    }
}

impl Picture {
    /// How often each line is sewn, as measured, if it was: `each line sewn 3 or 4 times`.
    #[must_use]
    pub fn passes(&self) -> Option<String> {
        let passes = &self.facts.iter().find(|f| f.label == PASSES)?.value;
        let times = if passes == "1" { "once".to_owned() } else { format!("{passes} times") };
        Some(format!("each line sewn {times}"))
    }

    /// What stands for the stitches of the machine file, if it was worked out.
    #[must_use]
    pub fn fingerprint(&self) -> Option<&str> {
        let fact = self.facts.iter().find(|f| f.label == FINGERPRINT)?;
        Some(&fact.value)
    }

    /// The bounding box of the block, or of the stitches where the block is not known.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        match self.outline.first() {
            Some(outer) => outer.bounding_box(),
            None => self.trace(),
        }
    }

    /// The box that the machine traces before sewing: the stitches' bounding box; of no size if nothing is sewn.
    #[must_use]
    pub fn trace(&self) -> Rect {
        let points: Vec<Point> = self.runs.iter().flatten().copied().collect();
        if points.is_empty() { Rect::from_points(self.centre, self.centre) } else { chain::bounds(&points) }
    }

    /// Block and stitches together, should a design reach beyond its block.
    #[must_use]
    pub fn extent(&self) -> Rect {
        if self.runs.is_empty() { self.bounds() } else { self.bounds().union(self.trace()) }
    }

    /// The hoop's sewing field, about the design's centre.
    #[must_use]
    pub fn field_rect(&self) -> Option<Rect> {
        self.field.map(|(w, h)| Rect::from_center_size(self.centre, (w, h)))
    }

    /// The hoop in words: its field or that none was named, and how the block lies in it.
    #[must_use]
    pub fn in_hoop(&self) -> String {
        let field = match self.field {
            Some((w, h)) => format!("Sewing field {w:.0} × {h:.0} mm, across × up as the hoop is mounted."),
            None => "Not checked against a hoop.".to_owned(),
        };
        format!("{field} {} {}", self.lie, if self.turned { lie::ARROW } else { "" }).trim_end().to_owned()
    }

    /// The first and the last needle point.
    #[must_use]
    pub fn ends(&self) -> Option<(Point, Point)> {
        Some((*self.runs.iter().flatten().next()?, *self.runs.iter().flatten().next_back()?))
    }

    /// From the end of each run to the start of the next: moves without sewing.
    #[must_use]
    pub fn moves(&self) -> Vec<(Point, Point)> {
        self.runs.windows(2).filter_map(|w| Some((*w[0].last()?, *w[1].first()?))).collect()
    }

    /// What is sewn and how large, as its heading; the name of the design where no motif is known.
    #[must_use]
    pub fn heading(&self) -> String {
        let parts = [self.motif.as_str(), self.size.as_str()].into_iter().filter(|part| !part.is_empty());
        if self.motif.is_empty() { self.title.clone() } else { parts.collect::<Vec<_>>().join(", ") }
    }

    /// What stands under the heading: the name that its files have, or else the size.
    #[must_use]
    pub fn under_heading(&self) -> &str {
        if self.motif.is_empty() { &self.size } else { &self.title }
    }

    /// Motif and size in one line, without an empty half.
    #[must_use]
    pub fn subtitle(&self) -> String {
        let parts = [self.motif.as_str(), self.size.as_str()];
        parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join("  ·  ")
    }
}
