//! A piece → the live picture of it: an SVG in mm, whose parts the page shows, hides and colours.

use std::fmt::Write;

use kurbo::{Affine, BezPath, Point, Rect, Shape};
use serde_json::{Value, json};
use thrice::base::chain;
use thrice::base::curve::path_through;
use thrice::block::Block;
use thrice::block::region::Region;
use thrice::stitches::Stitches;
use thrice::survey::verdict::Mark;
use thrice::tailor::Piece;
use thrice::views::svg;

/// Digits behind the point that coordinates are written with.
const DECIMALS: i32 = 2;
/// Room round the block, as a part of its larger side.
const ROUND: f64 = 0.02;
/// Room round stitches alone, as a part of their larger side.
const SEWN_ROUND: f64 = 0.05;
/// Radius of the marks where sewing begins and ends, mm.
const MARK_MM: f64 = 1.2;

/// What the picture shows, in its own coordinates: mm, the block's centre at 0,0, y down.
pub fn shown(block: &Block) -> Rect {
    let bounds = block.outline.bounds();
    let round = bounds.size().max_side() * ROUND;
    let Rect { x0, y0, x1, y1 } = bounds.inflate(round, round);
    Rect::new(x0, -y1, x1, -y0)
}

/// The hoop's field as the block lies in the quilt, if one was named.
pub fn field(piece: &Piece) -> Option<Rect> {
    let hoop = piece.order.sandwich.hoop?;
    let (w, h) = (hoop.width_mm, hoop.height_mm);
    let size = if piece.is_turned() { (h, w) } else { (w, h) };
    let centre = piece.survey.centre;
    Some(Rect::from_center_size(Point::new(centre.x, -centre.y), size))
}

/// The block's width and height.
pub fn size(block: &Block) -> [f64; 2] {
    let bounds = block.outline.bounds();
    [round(bounds.width()), round(bounds.height())]
}

/// The corners of a block that has four, in order round it; none of any other.
pub fn corners(block: &Block) -> Vec<[f64; 2]> {
    let points = block.outline.outer.points();
    if points.len() == 4 { points.iter().map(|p| point(*p)).collect() } else { Vec::new() }
}

/// What there is to see of lines of which nothing is made yet.
pub fn lines(block: &Block, lines: &[BezPath]) -> Value {
    let mut text = begun(shown(block));
    ground(&mut text, block, true);
    path(&mut text, "line", lines);
    json!({ "svg": text + "</svg>", "box": boxed(shown(block)), "size_mm": size(block) })
}

/// The picture; a card is the outline and the lines alone.
pub fn svg(piece: &Piece, card: bool) -> String {
    let block = &piece.order.block;
    let mut text = begun(shown(block));
    ground(&mut text, block, !card);
    path(&mut text, "line", &piece.drawing.lines);
    if !card {
        marks(&mut text, piece);
    }
    text + "</svg>"
}

fn begun(frame: Rect) -> String {
    let [x, y, w, h] = boxed(frame);
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{x} {y} {w} {h}\">")
}

/// The block's outline, and what is left inside its margin.
fn ground(text: &mut String, block: &Block, inside: bool) {
    let rings = |regions: &[Region]| -> Vec<BezPath> {
        regions.iter().flat_map(|region| region.rings().map(|ring| ring.path().clone())).collect()
    };
    path(text, "outline", &rings(std::slice::from_ref(&block.outline)));
    if inside {
        path(text, "inside", &rings(&block.inside));
    }
}

fn marks(text: &mut String, piece: &Piece) {
    if let Some(field) = field(piece) {
        let [x, y, w, h] = boxed(field);
        let _ = write!(
            text,
            "<rect class=\"hoop\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" fill=\"none\" {SCALING}/>"
        );
    }
    if let Some(gap) = piece.survey.gap {
        circle(text, "gap", gap.at, gap.widest_mm / 2.0);
    }
    let mut points = piece.stitches.points();
    if let Some(first) = points.next() {
        circle(text, "start", first, MARK_MM);
        circle(text, "end", points.last().unwrap_or(first), MARK_MM);
    }
}

/// Stitches alone, about their own origin, with what is wrong marked.
pub fn sewn(stitches: &Stitches, faults: &[&Mark]) -> (String, Rect) {
    let points: Vec<Point> = stitches.points().collect();
    let bounds = chain::bounds(&points);
    let round = bounds.size().max_side().max(1.0) * SEWN_ROUND;
    let frame = Rect::new(bounds.x0, -bounds.y1, bounds.x1, -bounds.y0).inflate(round, round);
    let mut text = begun(frame);
    let runs: Vec<BezPath> = stitches.pieces.iter().map(|run| path_through(&run.points, false)).collect();
    path(&mut text, "line", &runs);
    for fault in faults {
        match fault {
            Mark::Area(area) => path(&mut text, "fault", &[area.to_path(1.0)]),
            Mark::Circle(at, width) => circle(&mut text, "fault", *at, width / 2.0),
            Mark::Stitches(all) => {
                let lines: Vec<BezPath> = all.iter().map(|(a, b)| path_through(&[*a, *b], false)).collect();
                path(&mut text, "fault", &lines);
            }
        }
    }
    (text + "</svg>", frame)
}

/// Lines are as wide on the screen however far the picture is enlarged.
const SCALING: &str = "vector-effect=\"non-scaling-stroke\"";

fn circle(text: &mut String, class: &str, at: Point, radius: f64) {
    let (x, y, r) = (round(at.x), round(-at.y), round(radius));
    let _ =
        write!(text, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"none\" {SCALING}/>");
}

fn path(text: &mut String, class: &str, lines: &[BezPath]) {
    let _ = write!(text, "<path class=\"{class}\" fill=\"none\" {SCALING} d=\"");
    text.push_str(&data(lines.iter().map(|line| Affine::FLIP_Y * line)));
    text.push_str("\"/>");
}

/// Path data of all lines together, as they stand, y down.
pub fn data(lines: impl IntoIterator<Item = BezPath>) -> String {
    let together: BezPath = lines.into_iter().flatten().collect();
    svg::data(&together, DECIMALS)
}

/// Left, top, width, height.
pub fn boxed(r: Rect) -> [f64; 4] {
    [r.x0, r.y0, r.width(), r.height()].map(round)
}

/// A needle point in the picture's coordinates.
pub fn point(p: Point) -> [f64; 2] {
    [round(p.x), round(-p.y)]
}

/// To a hundredth of a millimetre; never minus zero.
pub fn round(mm: f64) -> f64 {
    let parts = 10_f64.powi(DECIMALS);
    (mm * parts).round() / parts + 0.0
}
