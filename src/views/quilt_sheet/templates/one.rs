//! One hooping as its pages show it.

use kurbo::{Affine, Rect};

use super::crooked::Crooked;
use crate::top::Work;
use crate::top::hoopings::Hooping;
use crate::top::plan::HoopingPart;
use crate::views::from_stages::{self, Names};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::picture::Picture;
use crate::views::template::tiles;

/// The head of a page, mm.
pub const HEAD_MM: f64 = 20.0;
/// The foot of a page: bars and words, mm.
pub const FOOT_MM: f64 = 23.0;
/// Shown round the box that the machine traces where there is room, mm.
const ROUND_MM: f64 = 45.0;
/// The least shown round it, mm: with so little, a block of 8 in fits a page.
const LEAST_ROUND_MM: f64 = 0.3;
/// Paper beyond the line of the field, where all of it is shown, mm.
const BEYOND_FIELD_MM: f64 = 1.0;

/// One hooping as it is shown.
pub struct One<'a> {
    /// Which.
    pub hooping: &'a Hooping,
    /// What the plan says of it.
    pub part: &'a HoopingPart,
    /// Its file.
    pub picture: Picture,
    /// From the quilt to the file.
    pub to_file: Affine,
    /// The page's size, mm.
    pub size: (f64, f64),
    /// What of the file is on which page.
    pub shown: tiles::Tiles,
    /// How crooked is too crooked.
    pub crooked: Crooked,
}

impl<'a> One<'a> {
    /// Reads it off the work.
    pub fn of(work: &Work, hooping: &'a Hooping, part: &'a HoopingPart, paper: Paper) -> Self {
        let sewn = &work.sewn[hooping.sewn];
        let names = Names { title: &part.file, motif: "", size: "", units: work.quilt.units };
        let picture = Picture {
            field: Some((sewn.hoop.width_mm, sewn.hoop.height_mm)),
            joins: sewn.joins.clone(),
            ..from_stages::picture(None, &sewn.piece.for_machine(), names)
        };
        let (size, shown) = laid(&picture, paper);
        let to_file = hooping.at.inverse();
        let crooked = Crooked::of(work, &picture, to_file);
        Self { hooping, part, picture, to_file, size, shown, crooked }
    }

    /// True if the other is shown on the same pages: several to join, of the same file, the quilt lying alike.
    pub fn shares(&self, other: &Self) -> bool {
        let lies = |one: &Self| (one.hooping.quilt_turn_deg * 1e3).round();
        let same = self.hooping.sewn == other.hooping.sewn && lies(self) == lies(other);
        self.shown.tiles.len() > 1 && same
    }

    /// All that its pages show.
    pub fn whole(&self) -> Rect {
        let tiles = self.shown.tiles.iter().map(|t| t.shown);
        tiles.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
    }
}

/// The page's size, upright or on its side, and the parts that are shown on pages.
fn laid(picture: &Picture, paper: Paper) -> ((f64, f64), tiles::Tiles) {
    let trace = picture.trace();
    let room = |(w, h): (f64, f64)| (w - 2.0 * EDGE_MM, h - 2.0 * EDGE_MM - HEAD_MM - FOOT_MM);
    let pages = |size| {
        let least = trace.inflate(LEAST_ROUND_MM, LEAST_ROUND_MM);
        let (across, up) = tiles::count((least.width(), least.height()), room(size));
        across * up
    };
    let (w, h) = paper.size();
    let size = if pages((h, w)) < pages((w, h)) { (h, w) } else { (w, h) };
    let (wide, high) = room(size);
    let field = picture.field_rect().unwrap_or(trace);
    let round = |room: f64, trace: f64, field: f64| {
        let most = ROUND_MM.max((field - trace) / 2.0 + BEYOND_FIELD_MM);
        ((room - trace) / 2.0).clamp(LEAST_ROUND_MM, most)
    };
    let across = round(wide, trace.width(), field.width());
    let up = round(high, trace.height(), field.height());
    (size, tiles::cut(trace.inflate(across, up), (wide, high), picture.centre))
}
