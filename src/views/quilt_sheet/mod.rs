//! A quilt's [`Work`] → its sewing sheet, to print: the numbered map with its figures, a row a hooping in sewing order with a box
//! to tick, the pieces and their files, what to cut, and the cautions. Also the views of one piece.

pub mod lies;
mod pages;
pub mod templates;

use kurbo::Affine;

use crate::base::angle::QUARTER_LEFT;
use crate::base::units::show_length;
use crate::survey::cautions::CAUTIONS;
use crate::top::Work;
use crate::top::hoopings::FRAME_MM;
use crate::top::plan::{HoopingPart, Plan};
use crate::top::sewing::Sewn;
use crate::views::column::Column;
use crate::views::look::{self, Style};
use crate::views::paper::Paper;
use crate::views::picture::Picture;
use crate::views::sewn::{of_piece, picture};
use crate::views::sheet::{Group, Item, Sheet};
use crate::views::{cloth, preview, quilt_map, svg};
use lies::up;
use pages::Pages;
use templates::Book;

/// The map's share of the first page's height.
const MAP_SHARE: f64 = 0.68;
/// How high the figures below it are, mm.
const FIGURES_MM: f64 = 46.0;

/// The preview of one piece or part, the needle holes that it shares with others ringed.
#[must_use]
pub fn piece_preview(sewn: &Sewn) -> Vec<u8> {
    let mut picture: Picture = picture(&of_piece(&sewn.piece));
    let turn = if picture.turned { QUARTER_LEFT } else { Affine::IDENTITY };
    picture.joins = sewn.joins.iter().map(|p| turn * *p).collect();
    svg::write(&preview::draw(&picture, &cloth::Options::default())).into_bytes()
}

/// Draws the sewing sheet, as many pages as it takes; `book` has the templates that it names.
#[must_use]
pub fn draw(work: &Work, plan: &Plan, book: &Book, paper: Paper) -> Vec<Sheet> {
    let mut pages = Pages::new(&work.quilt.title, paper);
    first(&mut pages, work, plan);
    warnings(&mut pages, plan);
    hoopings(&mut pages, work, plan, book);
    pieces(&mut pages, work, plan);
    files(&mut pages, plan);
    cutting(&mut pages, work, plan);
    said(&mut pages);
    pages.finish()
}

/// Title, numbered map and figures.
fn first(pages: &mut Pages, work: &Work, plan: &Plan) {
    let (w, h) = work.layout.size;
    let units = work.quilt.units;
    let scale = (pages.width() / w).min(pages.height() * MAP_SHARE / h).min(1.0);
    pages.block(h * scale + 5.0, |items, at, width| {
        let middle = (at.x + width / 2.0, at.y - h * scale / 2.0 - 1.0);
        let placed = Affine::translate(middle) * Affine::scale(scale);
        items.push(Item::Group(Group::new("map", placed, quilt_map::quilt(work, scale, true))));
    });
    pages.block(FIGURES_MM, |items, at, width| {
        let mut column = Column::new(at.x, at.y, width);
        figures(&mut column, plan, [w, h].map(|mm| show_length(mm, units)));
        items.append(&mut column.items);
    });
    let least = work.least.told(plan.totals.hoopings);
    let bobbin = "New bobbins are counted from a full one: begin with it; a tenth of each is kept in reserve (common practice, no \
                  source).";
    let count = plan.totals.hoopings;
    let word = if count == 1 { "hooping" } else { "hoopings" };
    let signs: String = quilt_map::signs(work).iter().map(|sign| format!(" On the map, {sign}.")).collect();
    pages.text(&format!("{count} {word} {least}. {bobbin}{signs}"), look::LABEL);
}

fn figures(column: &mut Column, plan: &Plan, [width, height]: [String; 2]) {
    let t = &plan.totals;
    let hours = |minutes: f64| match minutes {
        ..60.0 => format!("{minutes:.0} min"),
        _ => format!("{:.1} h", minutes / 60.0),
    };
    let size = format!("{width} by {height}");
    let hoopings = t.hoopings.to_string();
    let machine = format!("{}, {} of it trims", hours(t.minutes), hours(t.trim_minutes));
    let turns = if t.changes.turns == 1 { "turn" } else { "turns" };
    let changes =
        format!("{} of file, {} of hoop, {} {turns}", t.changes.files, t.changes.hoops, t.changes.turns);
    let thread = format!("{:.0} m", t.needle_thread_m);
    let bobbin = format!("{:.0} m, {} bobbins", t.bobbin_thread_m, t.bobbins);
    let facts: [(&str, &str); 9] = [
        ("across by up", &size),
        ("hoopings", &hoopings),
        ("changes", &changes),
        ("sewing", &machine),
        ("hooping", &hours(t.hooping_minutes)),
        ("changing bobbins", &hours(t.bobbin_minutes)),
        ("together", &hours(t.all_minutes)),
        ("needle thread", &thread),
        ("bobbin thread", &bobbin),
    ];
    column.figures(&facts, 55.0, 1.0);
}

/// The pieces; where some are sewn already, those of which something is left.
fn pieces(pages: &mut Pages, work: &Work, plan: &Plan) {
    let widths = [0.25, 0.3, 0.33, 0.12];
    let (heading, times) = match work.done.is_empty() {
        true => ("Pieces", "times"),
        false => ("Pieces of which something is still to be sewn", "left"),
    };
    pages.heading(heading);
    pages.row(&["piece", "motif", "size", times], &widths, look::LABEL);
    for piece in plan.pieces.iter().filter(|piece| piece.left > 0) {
        let times = piece.left.to_string();
        pages.row(&[&piece.name, &piece.motif, &piece.size, &times], &widths, look::BODY);
    }
}

fn files(pages: &mut Pages, plan: &Plan) {
    let widths = [0.15, 0.17, 0.14, 0.2, 0.14, 0.2];
    pages.heading("Machine files, in the order in which they are first sewn");
    pages.row(&["file", "pieces in one", "times", "hoop", "minutes", "fingerprint"], &widths, look::LABEL);
    for file in plan.files.iter().filter(|file| file.times > 0) {
        let hoop = format!("{:.0} × {:.0}", file.hoop[0], file.hoop[1]);
        let (times, minutes) = (file.times.to_string(), format!("{:.1}", file.minutes));
        let (count, fingerprint) = (file.pieces.to_string(), file.fingerprint.to_string());
        let cells = [&file.name, &count, &times, &hoop, &minutes, &fingerprint].map(String::as_str);
        pages.row(&cells, &widths, look::BODY);
    }
}

fn hoopings(pages: &mut Pages, work: &Work, plan: &Plan, book: &Book) {
    pages.heading("Hoopings, in order: tick each when it is sewn");
    if !work.done.is_empty() {
        let kept = "What is sewn already is left out. Numbers, files and template pages are those of the whole quilt, so that papers \
                    printed before still agree.";
        pages.text(kept, look::BODY);
    }
    let meant = "Hoops by their sewing fields, across × up in mm, as they are mounted. “Right edge up”: hoop the quilt so that this edge \
                 or corner of it points to the top of the machine’s screen. Rows and columns are counted from the top left; what \
                 lies between blocks has halves.";
    pages.text(meant, look::LABEL);
    let head = ["", "file", "where", "hoop", "quilt", "min", "template", ""];
    pages.row(&head, &SHARES, look::LABEL);
    for hooping in &plan.hoopings {
        hooping_row(pages, hooping, &book.told(hooping.number));
    }
}

/// Of the page's width, for each cell of a hooping.
const SHARES: [f64; 8] = [0.085, 0.105, 0.36, 0.1, 0.13, 0.05, 0.08, 0.09];

fn hooping_row(pages: &mut Pages, hooping: &HoopingPart, page: &str) {
    let [w, h] = hooping.hoop;
    let edge = up(hooping.quilt_turn_deg).unwrap_or_else(|| "top edge up".to_owned());
    let bobbin = if hooping.new_bobbins > 0 { "new bobbin first" } else { "" };
    let cells = [
        hooping.number.to_string(),
        hooping.file.clone(),
        hooping.place.clone(),
        format!("{w:.0} × {h:.0}"),
        edge,
        format!("{:.1}", hooping.minutes),
        format!("page {page}"),
        bobbin.to_owned(),
    ];
    pages.tick_row(&cells.each_ref().map(String::as_str), &SHARES, look::BODY);
}

/// What to cut, and the strips to baste on; nothing where sewing has begun.
fn cutting(pages: &mut Pages, work: &Work, plan: &Plan) {
    if !work.done.is_empty() {
        return;
    }
    let widths = [0.34, 0.12, 0.54];
    pages.heading("Cutting, seams of 1/4 in included (a courtesy: measure the top before cutting borders)");
    pages.row(&["patch", "to cut", "size"], &widths, look::LABEL);
    for cut in &plan.cutting {
        let count = cut.cut.to_string();
        pages.row(&[&cut.what, &count, &cut.how], &widths, look::BODY);
    }
    let show = |mm: f64| show_length(mm, work.quilt.units);
    for (edge, wide, long) in &plan.strips {
        let what = format!("extension strip, {edge} edge");
        let size = format!(
            "{} by {}, no seam; {} of it for the hoop’s frame",
            show(*wide),
            show(*long),
            show(FRAME_MM)
        );
        pages.row(&[&what, "1", &size], &widths, look::BODY);
    }
}

fn warnings(pages: &mut Pages, plan: &Plan) {
    if plan.warnings.is_empty() {
        return;
    }
    pages.heading("What to know first");
    for warning in &plan.warnings {
        pages.point(&warning.to_string(), Style { ink: look::END, ..look::BODY });
    }
}

fn said(pages: &mut Pages) {
    for group in CAUTIONS {
        pages.heading(group.when);
        for sentence in group.sentences {
            pages.point(sentence, look::BODY);
        }
    }
}
