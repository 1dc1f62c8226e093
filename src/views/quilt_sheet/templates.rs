//! A quilt's hoopings in sewing order → their templates at true size: what is sewn, its neighbours in grey, the seams, and
//! how far the cross is from the nearest of them.
//!
//! One page a hooping where the box that the machine traces fits the paper, else pages to join.

use std::fmt::Write;

use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Point, Rect, Vec2};

use super::up;
use crate::base::chain;
use crate::base::curve::path_through;
use crate::base::units::{Units, show_length};
use crate::top::Work;
use crate::top::plan::{HoopingPart, Plan, SEAM_OFF_MM};
use crate::top::share;
use crate::views::column::{Column, words};
use crate::views::from_stages::{self, Names};
use crate::views::letters;
use crate::views::look::{self, Style};
use crate::views::paper::{EDGE_MM, Paper};
use crate::views::picture::Picture;
use crate::views::sheet::{self, Anchor, Group, Item, Pen, Sheet, Weight};
use crate::views::template::{joins, marks, notes, tiles};
use crate::views::thread;

/// The head of a page, mm.
const HEAD_MM: f64 = 20.0;
/// The foot of a page: bars and words, mm.
const FOOT_MM: f64 = 20.0;
/// Shown round the box that the machine traces where there is room, mm.
const ROUND_MM: f64 = 45.0;
/// The least shown round it, mm.
const LEAST_ROUND_MM: f64 = 0.4;

/// The templates of all hoopings, and the page on which each begins, from 1.
#[must_use]
pub fn draw(work: &Work, plan: &Plan, paper: Paper) -> (Vec<Sheet>, Vec<usize>) {
    let lines = Lines::of(work);
    let (mut sheets, mut begin) = (Vec::new(), Vec::new());
    for (index, part) in plan.hoopings.iter().enumerate() {
        begin.push(sheets.len() + 1);
        sheets.extend(hooping(work, index, part, &lines, paper));
    }
    (sheets, begin)
}

/// The lines of every piece and part once, with their boxes, in block coordinates.
struct Lines(Vec<Vec<(BezPath, Rect)>>);

impl Lines {
    fn of(work: &Work) -> Self {
        let path = |sewn: &crate::top::sewing::Sewn| {
            let stitches = &sewn.piece.stitches;
            let runs: Vec<Vec<Point>> = stitches.pieces.iter().map(|r| r.body().to_vec()).collect();
            (thread::lines(&runs), stitches.bounds())
        };
        Self(work.made.iter().map(|made| made.sewn.iter().map(path).collect()).collect())
    }
}

fn hooping(work: &Work, index: usize, part: &HoopingPart, lines: &Lines, paper: Paper) -> Vec<Sheet> {
    let hooping = &work.hoopings[index];
    let sewn = &work.sewn[hooping.sewn];
    let stitches = sewn.piece.for_machine();
    let names = Names { title: &part.file, motif: "", size: "", units: work.quilt.units };
    let picture = Picture {
        field: Some((sewn.hoop.width_mm, sewn.hoop.height_mm)),
        joins: sewn.joins.clone(),
        ..from_stages::picture(None, &stitches, names)
    };
    let trace = picture.trace();
    let room = |(w, h): (f64, f64)| (w - 2.0 * EDGE_MM, h - 2.0 * EDGE_MM - HEAD_MM - FOOT_MM);
    let pages = |size| {
        let (across, up) = tiles::count((trace.width() + 1.0, trace.height() + 1.0), room(size));
        across * up
    };
    let (w, h) = paper.size();
    let size = if pages((h, w)) < pages((w, h)) { (h, w) } else { (w, h) };
    let (wide, high) = room(size);
    let round = |room: f64, trace: f64| ((room - trace) / 2.0).clamp(LEAST_ROUND_MM, ROUND_MM);
    let (across, up) = (round(wide, trace.width()), round(high, trace.height()));
    let shown = tiles::cut(trace.inflate(across, up), (wide, high), picture.centre);
    let to_file = hooping.at.inverse();
    let design = thread::lines(&picture.runs);
    let count = shown.tiles.len();
    let mind_text = mind(work.quilt.units, hooping.items.len() > 1);
    let page = |(number, tile): (usize, &tiles::Tile)| {
        let fingerprint = sewn.piece.fingerprint().to_string();
        let mut items = head(work, part, (&picture, &fingerprint), size, (number + 1, count));
        let floor = EDGE_MM + FOOT_MM;
        let middle = Point::new(size.0 / 2.0, f64::midpoint(floor, size.1 - EDGE_MM - HEAD_MM));
        let mut drawn = around(work, index, to_file, lines, tile.shown);
        drawn.extend(marks::draw(&picture, thread::near(&design, tile.shown)));
        drawn.extend(to_seams(work, to_file, &picture, tile.shown));
        drawn.extend(joins::draw(&shown, tile, ("sheet", number + 1)));
        let placed = Affine::translate(middle - tile.shown.center());
        items.push(Item::Group(Group {
            label: "template".into(),
            placed,
            clip: Some(tile.shown),
            items: drawn,
        }));
        items.append(&mut notes::foot(Point::new(EDGE_MM, EDGE_MM + 11.5), size.0 - 2.0 * EDGE_MM));
        let mut mind = Column::new(EDGE_MM, floor - 1.0, size.0 - 2.0 * EDGE_MM);
        mind.text(&mind_text, Style { size: 2.2, ..look::LABEL }, 2);
        items.append(&mut mind.items);
        let title = format!("{}: templates", work.quilt.title);
        let description = format!("Hooping {}, file {}, true size", part.number, part.file);
        Sheet { title, description, width: size.0, height: size.1, items }
    };
    shown.tiles.iter().enumerate().map(page).collect()
}

/// What is printed on every template; more where several pieces lie in one hooping.
fn mind(units: Units, is_shared: bool) -> String {
    let mut text = "Tell the machine which hoop is on it, and trace the box with the needle up: a needle that strikes the hoop \
                    breaks. Heavy lines are seams."
        .to_owned();
    if is_shared {
        let far = show_length(SEAM_OFF_MM, units);
        let _ = write!(
            text,
            " Where one lies more than {far} from its printed place, hoop these pieces one at a time (share = false)."
        );
    }
    text
}

/// Number, file and fingerprint, where, hoop and how the quilt lies.
fn head(
    work: &Work,
    part: &HoopingPart,
    (picture, fingerprint): (&Picture, &str),
    size: (f64, f64),
    (page, of): (usize, usize),
) -> Vec<Item> {
    let top = size.1 - EDGE_MM;
    let number = Style { size: 11.0, weight: Weight::Bold, ink: look::INK, leading: 1.0 };
    let text = part.number.to_string();
    let mut items = vec![words(&text, Point::new(EDGE_MM, top - 9.6), number, Anchor::Start)];
    let x = EDGE_MM + letters::width(&text, number.size) + 5.0;
    let mut column = Column::new(x, top, size.0 - EDGE_MM - x);
    let sheet =
        if of > 1 { format!("  ·  sheet {page} of {of}, to join with the others") } else { String::new() };
    column.text(
        &format!("file {}  ·  fingerprint {fingerprint}{sheet}", part.file),
        Style { size: 3.6, weight: Weight::Bold, ..look::BODY },
        1,
    );
    column.text(&part.place, look::BODY, 2);
    let edge = up(part.quilt_turn_deg).unwrap_or_else(|| "top edge up".to_owned());
    let [w, h] = part.hoop;
    let trace = picture.trace();
    let spare = [(w - trace.width()) / 2.0, (h - trace.height()) / 2.0];
    let box_ = [trace.width(), trace.height()].map(|mm| show_length(mm, work.quilt.units));
    column.text(
        &format!(
            "Hoop {w:.0} × {h:.0} mm as mounted; quilt: {edge}. Traced box {} across, {} up; to the edge of the field {} and \
             {} mm.",
            box_[0],
            box_[1],
            spare[0].floor(),
            spare[1].floor()
        ),
        look::LABEL,
        2,
    );
    items.append(&mut column.items);
    items
}

/// The lines of other hoopings in grey, and the seams.
fn around(work: &Work, index: usize, to_file: Affine, lines: &Lines, shown: Rect) -> Vec<Item> {
    let mut grey = BezPath::new();
    let own = &work.hoopings[index].items;
    for (number, design) in work.layout.designs.iter().enumerate() {
        for (part, (path, bounds)) in lines.0[number].iter().enumerate() {
            let here = |at: &&Affine| {
                let is_own = |i: &share::items::Item| i.design == number && i.part == part && i.at == **at;
                let box_ = (to_file * **at).transform_rect_bbox(*bounds);
                !own.iter().any(is_own) && box_.overlaps(shown)
            };
            for at in design.at.iter().filter(here) {
                grey.extend(thread::near(&(to_file * *at * path.clone()), shown));
            }
        }
    }
    let mut seams = BezPath::new();
    for patch in &work.layout.patches {
        let outline: Vec<Point> = patch.outline.iter().map(|p| to_file * *p).collect();
        if chain::bounds(&outline).overlaps(shown) {
            seams.extend(path_through(&outline, true));
        }
    }
    vec![
        sheet::line(grey, Pen::new(0.28, look::SEAM)),
        sheet::line(seams, Pen::flat(0.7, look::INK.thin(0.8))),
    ]
}

/// From the cross to the nearest seam on all four sides: the distance, beside the cross's line.
fn to_seams(work: &Work, to_file: Affine, picture: &Picture, shown: Rect) -> Vec<Item> {
    let style = Style { size: 2.5, weight: Weight::Bold, ink: look::CROSS, leading: 1.0 };
    let mut items = Vec::new();
    for way in [Vec2::new(-1.0, 0.0), Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0), Vec2::new(0.0, 1.0)] {
        let Some(away) = nearest_seam(work, to_file, picture.centre, way) else { continue };
        let at = picture.centre + way * away;
        let text = show_length(away, work.quilt.units);
        let text = text.split(" (").next().unwrap_or(&text).to_owned();
        let wide = letters::width(&text, style.size);
        let base = if way.y == 0.0 {
            Point::new(if way.x < 0.0 { at.x + 1.5 } else { at.x - wide - 1.5 }, at.y + 1.0)
        } else {
            Point::new(at.x + 1.2, if way.y < 0.0 { at.y + 2.0 } else { at.y - 4.0 })
        };
        if !shown.contains(at) {
            continue;
        }
        let ground =
            Rect::new(base.x - 0.5, base.y - 0.6, base.x + wide + 0.5, base.y + style.size * 0.8 + 0.4);
        items.push(sheet::fill(sheet::rounded(ground, 0.5), look::CLEAR.thin(0.85)));
        items.push(sheet::fill(sheet::circle(at, 0.8), look::CROSS));
        items.push(words(&text, base, style, Anchor::Start));
    }
    items
}

/// How far the nearest seam is from a place in one direction, if there is one.
fn nearest_seam(work: &Work, to_file: Affine, from: Point, way: Vec2) -> Option<f64> {
    const FAR_MM: f64 = 2000.0;
    let ray = Line::new(from + way * 0.5, from + way * FAR_MM);
    let mut best: Option<f64> = None;
    for patch in &work.layout.patches {
        let outline: Vec<Point> = patch.outline.iter().map(|p| to_file * *p).collect();
        for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
            for hit in PathSeg::Line(Line::new(*a, *b)).intersect_line(ray) {
                let away = from.distance(ray.eval(hit.line_t));
                best = Some(best.map_or(away, |b| b.min(away)));
            }
        }
    }
    best
}
