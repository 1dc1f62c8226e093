//! A quilt's [`Work`] → its sewing sheet, to print: the map with its figures, what to cut, the pieces, every hooping in order
//! with a box to tick, and the cautions. Also the views of one hooping.

mod pages;

use kurbo::Affine;

use crate::base::angle::QUARTER_LEFT;
use crate::base::units::show_length;
use crate::survey::cautions::{CAUTIONS, ON_TEMPLATE};
use crate::top::Work;
use crate::top::plan::{HoopingPart, Plan};
use crate::top::sewing::Sewn;
use crate::views::column::Column;
use crate::views::look::{self, Style};
use crate::views::paper::Paper;
use crate::views::picture::Picture;
use crate::views::sewn::{ViewError, of_piece, picture};
use crate::views::sheet::{Group, Item, Sheet};
use crate::views::{cloth, pdf, preview, quilt_map, svg, template};
use pages::Pages;

/// The map's share of the first page's height.
const MAP_SHARE: f64 = 0.5;
/// How high the column of figures is at least, mm.
const FIGURES_MM: f64 = 100.0;

/// Preview and template of one hooping, the needle holes that it shares with others ringed.
///
/// # Errors
/// [`ViewError`] for a template of too many pages.
pub fn piece_files(sewn: &Sewn, paper: Paper) -> Result<Vec<(&'static str, Vec<u8>)>, ViewError> {
    let mut picture: Picture = picture(&of_piece(&sewn.piece));
    let turn = if picture.turned { QUARTER_LEFT } else { Affine::IDENTITY };
    picture.joins = sewn.joins.iter().map(|p| turn * *p).collect();
    let shown = preview::draw(&picture, &cloth::Options::default());
    let pages = template::draw(&picture, paper, &ON_TEMPLATE)?;
    Ok(vec![(".svg", svg::write(&shown).into_bytes()), (".pdf", pdf::write(&picture.title, &pages))])
}

/// Draws the sewing sheet, as many pages as it takes.
#[must_use]
pub fn draw(work: &Work, plan: &Plan, paper: Paper) -> Vec<Sheet> {
    let mut pages = Pages::new(&work.quilt.title, paper);
    first(&mut pages, work, plan);
    pieces(&mut pages, work, plan);
    hoopings(&mut pages, work, plan);
    cutting(&mut pages, plan);
    warnings(&mut pages, plan);
    said(&mut pages);
    pages.finish()
}

/// Title, map and figures.
fn first(pages: &mut Pages, work: &Work, plan: &Plan) {
    let (w, h) = work.layout.size;
    let units = work.quilt.units;
    let room = pages.height() * MAP_SHARE;
    let scale = (pages.width() * 0.62 / w).min(room / h).min(1.0);
    let high = h * scale;
    pages.block(high.max(FIGURES_MM) + 4.0, |items, at, width| {
        let middle = (at.x + w * scale / 2.0 + 1.0, at.y - high / 2.0 - 1.0);
        let placed = Affine::translate(middle) * Affine::scale(scale);
        items.push(Item::Group(Group::new("map", placed, quilt_map::quilt(work, scale, false))));
        let left = at.x + w * scale + 10.0;
        let mut side = Column::new(left, at.y, at.x + width - left);
        figures(&mut side, plan, &show_length(w, units), &show_length(h, units));
        items.append(&mut side.items);
    });
}

fn figures(side: &mut Column, plan: &Plan, width: &str, height: &str) {
    let t = &plan.totals;
    let hours = format!("{:.1}", t.minutes / 60.0);
    let thread = format!("{:.0} m", t.needle_thread_m);
    let bobbin = format!("{:.0} m, {} bobbins", t.bobbin_thread_m, t.bobbins);
    let line = format!("{:.0} m", t.drawn_m);
    let (hoopings, files) = (t.hoopings.to_string(), t.files.to_string());
    let stretch = format!("{:.1} %", plan.look.worst_stretch * 100.0);
    side.text("The quilt", look::HEADING, 1);
    side.gap(1.0);
    let facts: [(&str, &str); 9] = [
        ("across", width),
        ("up", height),
        ("hoopings", &hoopings),
        ("machine files", &files),
        ("hours at the machine", &hours),
        ("needle thread", &thread),
        ("bobbin thread", &bobbin),
        ("lines, each once", &line),
        ("worst stretch", &stretch),
    ];
    side.figures(&facts, side.width, 1.0);
}

fn pieces(pages: &mut Pages, work: &Work, plan: &Plan) {
    let widths = [0.19, 0.15, 0.25, 0.07, 0.13, 0.08, 0.13];
    pages.heading("Pieces and their files");
    pages.row(&["file", "motif", "piece", "times", "hoop", "minutes", "fingerprint"], &widths, look::LABEL);
    for (file, sewn) in plan.files.iter().zip(&work.sewn) {
        let turned = if file.turned { ", turned" } else { "" };
        let hoop = format!("{:.0} × {:.0}{turned}", file.hoop[0], file.hoop[1]);
        let size = sewn.piece.order.block.shape.describe(work.quilt.units);
        let (times, minutes) = (file.times.to_string(), format!("{:.1}", file.minutes));
        let motif = sewn.piece.title();
        let fingerprint = file.fingerprint.to_string();
        let cells = [&file.name, &motif, &size, &times, &hoop, &minutes, &fingerprint].map(String::as_str);
        pages.row(&cells, &widths, look::BODY);
    }
    if plan.files.iter().any(|file| file.turned) {
        let meant = "Hoops by their sewing fields, across × up in mm, as they are mounted. Turned: the file is turned a quarter \
                     turn to the left against its piece so that it fits; its template shows it so.";
        pages.text(meant, look::LABEL);
    }
}

fn hoopings(pages: &mut Pages, work: &Work, plan: &Plan) {
    pages.heading("Hoopings, in order: tick each when it is sewn");
    let meant = "“Right edge up”: hoop the quilt so that this edge or corner of it points to the top of the machine’s screen; \
                 where nothing is said, its top edge does. Extension strip: a strip of batting and backing, or of scrap, beyond that edge \
                 of the quilt, for the hoop to hold.";
    pages.text(meant, look::LABEL);
    let words: Vec<String> = plan.hoopings.iter().map(|h| hooping_words(h, work)).collect();
    pages.ticks(&words);
}

fn hooping_words(hooping: &HoopingPart, work: &Work) -> String {
    let show = |mm: f64| show_length(mm, work.quilt.units);
    let mut text = format!("{}  {}", hooping.number, hooping.file);
    if let Some(up) = up(hooping.quilt_turn_deg) {
        text.push_str(&format!(", {up}"));
    }
    for (edge, width, _) in &hooping.extensions {
        let short = show(*width);
        let short = short.split(" (").next().unwrap_or(&short);
        text.push_str(&format!(", extension strip {short} {edge}"));
    }
    text
}

/// Which edge or corner of the quilt points to the top of the screen when the quilt lies turned to the left by so many
/// degrees; nothing where that is its top edge.
fn up(turn_deg: f64) -> Option<String> {
    let named = [
        (45.0, "top right corner"),
        (90.0, "right edge"),
        (135.0, "bottom right corner"),
        (180.0, "bottom edge"),
        (225.0, "bottom left corner"),
        (270.0, "left edge"),
        (315.0, "top left corner"),
    ];
    match named.iter().find(|(deg, _)| (turn_deg - deg).abs() < 0.05) {
        Some((_, up)) => Some(format!("{up} up")),
        None if !(0.05..=359.95).contains(&turn_deg) => None,
        None if turn_deg < 180.0 => Some(format!("quilt turned {turn_deg:.1}° to the left")),
        None => Some(format!("quilt turned {:.1}° to the right", 360.0 - turn_deg)),
    }
}

fn cutting(pages: &mut Pages, plan: &Plan) {
    let widths = [0.34, 0.12, 0.54];
    pages.heading("Cutting, seams of 1/4 in included (a courtesy: measure the top before cutting borders)");
    pages.row(&["patch", "to cut", "size"], &widths, look::LABEL);
    for cut in &plan.cutting {
        let count = cut.cut.to_string();
        pages.row(&[&cut.what, &count, &cut.how], &widths, look::BODY);
    }
}

fn warnings(pages: &mut Pages, plan: &Plan) {
    if plan.warnings.is_empty() {
        return;
    }
    pages.heading("What to know first");
    for warning in &plan.warnings {
        pages.point(warning, Style { ink: look::END, ..look::BODY });
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

#[cfg(test)]
mod tests {
    use super::up;
    use kurbo::{Affine, Point};

    #[test]
    fn the_edge_that_is_named_is_the_one_that_points_up() {
        let named = [
            ("right edge up", Point::new(1.0, 0.0)),
            ("left edge up", Point::new(-1.0, 0.0)),
            ("bottom edge up", Point::new(0.0, -1.0)),
            ("top left corner up", Point::new(-1.0, 1.0)),
            ("top right corner up", Point::new(1.0, 1.0)),
            ("bottom left corner up", Point::new(-1.0, -1.0)),
            ("bottom right corner up", Point::new(1.0, -1.0)),
        ];
        let mut found = 0;
        for deg in (45..360).step_by(45).map(f64::from) {
            let said = up(deg).unwrap();
            let (_, towards) = named.iter().find(|(name, _)| *name == said).unwrap();
            let turned = Affine::rotate(deg.to_radians()) * *towards;
            assert!(turned.x.abs() < 1e-9 && turned.y > 0.9, "{said}: {turned}");
            found += 1;
        }
        assert_eq!((found, up(0.0)), (7, None));
        assert_eq!(up(357.6).unwrap(), "quilt turned 2.4° to the right");
    }
}
