//! A piece that does not fit its hoop, or leaves too wide a gap → what would help, tried out before it is said.
//!
//! Every margin, block, setting and count of hoopings named here was made by the whole pipeline and measured. At most a
//! few are tried; what the first of them do not mend is left to her.

use kurbo::{Rect, Size};

use super::{split, window};
use crate::base::units::{MM_PER_INCH, option, ruler_step, show_length};
use crate::block::shape::Shape;
use crate::block::{self, Block};
use crate::drawing::background::Background;
use crate::drawing::library;
use crate::drawing::settings::{Value, resolve};
use crate::survey::SurveyError;
use crate::survey::hoop::{self, Hoop};
use crate::survey::remedy::{Remedy, Warning};
use crate::tailor::{self, Design, Order, Piece, PieceError};

/// A margin may grow by this much, mm: an inch; a block that needs more wants a larger hoop.
const MOST_MARGIN_MM: f64 = MM_PER_INCH;
/// A block is not made smaller than this part of what was asked for: it would be another quilt.
const LEAST_BLOCK: f64 = 0.5;
/// So many values are tried.
const TRIES: u32 = 4;
/// Hoopings are counted exactly up to about this many, so that a refusal does not take long.
const MOST_HOOPINGS: u32 = 40;
/// A background that closes the gaps of most motifs.
const BACKGROUND: &str = "cross-hatch";

/// Where advice is followed: as options of the program, or in a quilt file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// As options.
    Options,
    /// Under the piece in a quilt file.
    QuiltFile,
}

/// The error of an order; if the design does not fit its hoop, with what would.
#[must_use]
pub fn on_misfit(error: PieceError, order: &Order) -> PieceError {
    let PieceError::Survey(SurveyError::TooLarge(mut misfit)) = error else { return error };
    let hoop = misfit.hoop;
    misfit.margin = margin(order, hoop).map(|mm| option(mm, order.units));
    misfit.smaller = smaller(order, hoop);
    if misfit.hoopings.0 * misfit.hoopings.1 <= MOST_HOOPINGS {
        misfit.counted = hoopings(order, hoop);
    }
    PieceError::Survey(SurveyError::TooLarge(misfit))
}

/// What brings the widest gap within the batting's limit, in words and as data; nothing if it is, or if no value tried does.
#[must_use]
pub fn on_gap(piece: &Piece, asked: Asked) -> Option<Warning> {
    if piece.survey.is_held() {
        return None;
    }
    let (remedy, gap_mm) = closer(piece).or_else(|| filled(piece))?;
    let (option, gap) = (worded(asked, &remedy), show_length(gap_mm, piece.order.units));
    let text = format!("With {option} its widest gap would be {gap}, within what the batting allows.");
    Some(Warning { remedy: Some(remedy), ..text.into() })
}

/// The least margin, in steps of a ruler, with which an order fits.
fn margin(order: &Order, hoop: Hoop) -> Option<f64> {
    let (step, asked) = (ruler_step(order.units), order.block.margin_mm);
    let first = (asked / step).floor() + 1.0;
    let margins = (0..).map(|i| (first + f64::from(i)) * step).take_while(|mm| *mm <= asked + MOST_MARGIN_MM);
    let with = |mm: f64| block::outline(&order.block.shape, mm).ok();
    // A design reaches its inner outline, or may: a margin that leaves too much is not worth a try.
    let takes = |block: &Block| hoop::admit(hoop, inside(block), order.units).is_ok();
    let held = margins.filter_map(|mm| Some((mm, with(mm).filter(|b| takes(b))?))).take(TRIES as usize);
    held.into_iter().find(|(_, block)| fits(order, block.clone())).map(|(mm, _)| mm)
}

/// The largest smaller block, in twice the steps of a ruler, that fits: as an option.
fn smaller(order: &Order, hoop: Hoop) -> Option<String> {
    let (key, lengths) = key_and_lengths(&order.block.shape)?;
    let part = hoop::largest_part(hoop, inside(&order.block).size());
    if part < LEAST_BLOCK {
        return None;
    }
    let step = 2.0 * ruler_step(order.units);
    let sizes = (0..TRIES).map(|less| {
        let shown = lengths.iter().map(|mm| ((mm * part / step).floor() - f64::from(less)) * step);
        shown.map(|mm| option(mm, order.units)).collect::<Vec<_>>().join(",")
    });
    let tried = sizes.filter_map(|value| {
        let shape = Shape::from_words(key, &value).ok()?;
        Some((value, block::outline(&shape, order.block.margin_mm).ok()?))
    });
    let (value, _) = tried.into_iter().find(|(_, block)| fits(order, block.clone()))?;
    Some(format!("--{key} {value}"))
}

/// The words and sizes of a shape that can be made smaller as a whole; a border or a measured block is what it is.
fn key_and_lengths(shape: &Shape) -> Option<(&'static str, Vec<f64>)> {
    Some(match shape {
        Shape::Square { side } => ("square", vec![*side]),
        Shape::Rectangle { width, height } => ("rectangle", vec![*width, *height]),
        Shape::HalfSquare { leg } => ("half-square", vec![*leg]),
        Shape::QuarterSquare { long } => ("quarter-square", vec![*long]),
        Shape::SideTriangle { block } => ("side-triangle", vec![*block]),
        Shape::CornerTriangle { block } => ("corner-triangle", vec![*block]),
        Shape::Equilateral { side } => ("equilateral", vec![*side]),
        Shape::Hexagon { side } => ("hexagon", vec![*side]),
        Shape::Octagon { across } => ("octagon", vec![*across]),
        Shape::Circle { diameter } => ("circle", vec![*diameter]),
        _ => return None,
    })
}

fn hoopings(order: &Order, hoop: Hoop) -> Option<usize> {
    let mut order = order.clone();
    if let Design::Motif(motif, settings) = &order.design {
        order.block.within = window::of(motif, settings, &order.block, &[hoop]);
        order.travel &= order.block.within.is_none();
    }
    split::count(&tailor::make(order).ok()?, hoop)
}

fn fits(order: &Order, block: Block) -> bool {
    tailor::make_to_fit(Order { block, ..order.clone() }).is_ok()
}

/// The box of what is quilted.
fn inside(block: &Block) -> Rect {
    let boxes = block.inside.iter().map(|region| region.bounds());
    boxes.reduce(|all, one| all.union(one)).unwrap_or(Rect::from_origin_size((0.0, 0.0), Size::ZERO))
}

/// The motif's own scale, smaller, and the gap that it then leaves.
fn closer(piece: &Piece) -> Option<(Remedy, f64)> {
    let Design::Motif(motif, settings) = &piece.order.design else { return None };
    let name = motif.scale.as_ref()?;
    let range = motif.settings.iter().find(|s| s.name == *name)?.range;
    let (step, limit) = (ruler_step(piece.order.units), piece.survey.gap_limit_mm);
    let mut value = settings.number(name);
    let mut widest = piece.survey.gap?.widest_mm;
    for _ in 0..TRIES {
        value = (value / step - 1.0).floor().min((value * limit / widest / step).floor()) * step;
        if !(range.0..=range.1).contains(&value) {
            return None;
        }
        let settings = settings.clone().with(name, Value::Number(value));
        let design = Design::Motif(motif.clone(), settings);
        let Ok(tried) = tailor::make(Order { design, ..piece.order.clone() }) else { continue };
        widest = tried.survey.gap.map_or(0.0, |gap| gap.widest_mm);
        if tried.survey.is_held() {
            let value = option(value, piece.order.units);
            return Some((Remedy::Setting { setting: name.clone(), value }, widest));
        }
    }
    None
}

/// A background in the open places, and the gap that it leaves.
fn filled(piece: &Piece) -> Option<(Remedy, f64)> {
    if piece.order.background.is_some() {
        return None;
    }
    let motifs = library::read_all(&[]).ok()?;
    let motif = library::find(&motifs, BACKGROUND).ok()?;
    let settings = resolve(&motif.name, &motif.settings, &[]).ok()?;
    let background = Some(Background::new(motif, settings).ok()?);
    let tried = tailor::make(Order { background, ..piece.order.clone() }).ok()?;
    let widest = tried.survey.gap.map_or(0.0, |gap| gap.widest_mm);
    tried.survey.is_held().then(|| (Remedy::Background { background: BACKGROUND.into() }, widest))
}

/// How a remedy is asked for.
fn worded(asked: Asked, remedy: &Remedy) -> String {
    match (asked, remedy) {
        (Asked::Options, Remedy::Setting { setting, value }) => format!("--setting {setting}={value}"),
        (Asked::Options, Remedy::Background { background }) => format!("--background {background}"),
        (Asked::QuiltFile, Remedy::Setting { setting, value }) => {
            format!("settings = [\"{setting}={value}\"]")
        }
        (Asked::QuiltFile, Remedy::Background { background }) => format!("background = \"{background}\""),
        (_, Remedy::Without { without }) => format!("{without} left out"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::units::Units;

    fn order(motif: &str, asked: &[&str], key: &str, value: &str, hoop: Option<&str>) -> Order {
        let motifs = library::read_all(&[]).unwrap();
        let motif = library::find(&motifs, motif).unwrap();
        let asked: Vec<String> = asked.iter().map(ToString::to_string).collect();
        let settings = resolve(&motif.name, &motif.settings, &asked).unwrap();
        let block = block::outline(&Shape::from_words(key, value).unwrap(), 6.35).unwrap();
        let mut order = Order::new("piece", block, Design::Motif(Box::new(motif.clone()), settings));
        order.sandwich.hoop = hoop.map(|h| h.parse().unwrap());
        order
    }

    fn hint(order: &Order) -> String {
        let error = tailor::make_to_fit(order.clone()).unwrap_err();
        on_misfit(error, order).hint().unwrap()
    }

    #[test]
    fn a_block_a_little_too_large_is_offered_a_margin_a_size_a_hoop_and_hoopings() {
        // The inner outline of an 8 1/2 in block is 203.2 mm wide; 198 mm leave 6.35 + 2.6 mm, so 3/8 in.
        let order = order("cross-hatch", &[], "square", "8 1/2in", Some("200x200mm"));
        assert_eq!(
            hint(&order),
            "keep more clear inside the seam: --margin 3/8in, or make a smaller block: --square 8-1/4in, \
             or take a larger hoop: --hoop 230x230mm, or let `thrice quilt` sew it in 4 hoopings"
        );
    }

    #[test]
    fn what_is_offered_fits_when_it_is_asked_for() {
        let asked = order("cross-hatch", &[], "side-triangle", "8in", Some("200x200mm"));
        let said = hint(&asked);
        let size = said.split("--side-triangle ").nth(1).and_then(|s| s.split(',').next()).expect(&said);
        let smaller = order("cross-hatch", &[], "side-triangle", size, Some("200x200mm"));
        assert!(tailor::make_to_fit(smaller).is_ok(), "{said}");
        if let Some(mm) = margin(&asked, asked.sandwich.hoop.unwrap()) {
            assert!(fits(&asked, block::outline(&asked.block.shape, mm).unwrap()), "{said}");
        }
    }

    #[test]
    fn a_gap_that_is_too_wide_is_closed_by_the_setting_that_is_named() {
        let wide = order("cross-hatch", &["spacing=3in"], "square", "9in", None);
        let piece = tailor::make(wide).unwrap();
        assert!(!piece.survey.is_held());
        let Warning { text: said, remedy, .. } = on_gap(&piece, Asked::Options).unwrap();
        let Some(Remedy::Setting { setting, value }) = remedy else { panic!("{said}: {remedy:?}") };
        let pair = format!("{setting}={value}");
        assert!(said.starts_with(&format!("With --setting {pair} ")), "{said}");
        let closer = tailor::make(order("cross-hatch", &[&pair], "square", "9in", None)).unwrap();
        assert!(closer.survey.is_held(), "{said}");
        let gap = show_length(closer.survey.gap.unwrap().widest_mm, Units::Inches);
        assert!(said.contains(&gap), "{said}: it is {gap}");
        let in_file = on_gap(&piece, Asked::QuiltFile).unwrap().text;
        assert!(in_file.starts_with(&format!("With settings = [\"{pair}\"]")), "{in_file}");
        assert_eq!(on_gap(&closer, Asked::Options), None);
    }
}
