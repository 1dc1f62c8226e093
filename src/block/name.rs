//! A [`Shape`] → its name in file names and its description for people.

use super::shape::Shape;
use crate::base::units::{MM_PER_INCH, Units, show_length};

impl Shape {
    /// A short name for files, such as `square-8in`, `rectangle-6x9in`, `square-8-1-2in` or `circle-178mm`.
    ///
    /// Lower-case ASCII letters, digits and hyphens only. Sizes on a sixteenth of an inch are named in inches, others in
    /// millimetres to the tenth. Corners and drawn outlines are named by the size of their box.
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::Square { side } => format!("square-{}", sizes(&[*side])),
            Self::Rectangle { width, height } => format!("rectangle-{}", sizes(&[*width, *height])),
            Self::HalfSquare { leg } => format!("half-square-{}", sizes(&[*leg])),
            Self::QuarterSquare { long } => format!("quarter-square-{}", sizes(&[*long])),
            Self::SideTriangle { block } => format!("side-triangle-{}", sizes(&[*block])),
            Self::CornerTriangle { block } => format!("corner-triangle-{}", sizes(&[*block])),
            Self::Equilateral { side } => format!("equilateral-{}", sizes(&[*side])),
            Self::Hexagon { side } => format!("hexagon-{}", sizes(&[*side])),
            Self::Octagon { across } => format!("octagon-{}", sizes(&[*across])),
            Self::Diamond { side, angle_deg } => {
                format!(
                    "diamond-{}-{}",
                    sizes(&[*side]),
                    format!("{angle_deg:.1}").trim_end_matches(".0").replace('.', "-")
                )
            }
            Self::Circle { diameter } => format!("circle-{}", sizes(&[*diameter])),
            Self::Strip { width, length } => format!("strip-{}", sizes(&[*width, *length])),
            Self::Corner { width } => format!("corner-{}", sizes(&[*width])),
            Self::Sides { sides, .. } => format!("sides-{}", sizes(sides)),
            Self::Corners { .. } | Self::Outline { .. } => {
                let (width, height) = self.drawn_size();
                let kind = if matches!(self, Self::Corners { .. }) { "corners" } else { "outline" };
                format!("{kind}-{}", sizes(&[tenth(width), tenth(height)]))
            }
        }
    }

    /// Says what it is and how large, such as `8 in (203.2 mm) square`.
    #[must_use]
    pub fn describe(&self, units: Units) -> String {
        let show = |mm: &f64| show_length(*mm, units);
        match self {
            Self::Square { side } => format!("{} square", show(side)),
            Self::Rectangle { width, height } => {
                format!("rectangle, {} across, {} up", show(width), show(height))
            }
            Self::HalfSquare { leg } => format!("half-square triangle, legs {}", show(leg)),
            Self::QuarterSquare { long } => format!("quarter-square triangle, long side {}", show(long)),
            Self::SideTriangle { block } => format!("side setting triangle for {} blocks", show(block)),
            Self::CornerTriangle { block } => format!("corner setting triangle for {} blocks", show(block)),
            Self::Equilateral { side } => format!("equilateral triangle, sides {}", show(side)),
            Self::Hexagon { side } => format!("hexagon, sides {}", show(side)),
            Self::Octagon { across } => format!("octagon, {} across the flats", show(across)),
            Self::Diamond { side, angle_deg } => format!("{angle_deg}° diamond, sides {}", show(side)),
            Self::Circle { diameter } => format!("{} circle", show(diameter)),
            Self::Strip { width, length } => format!("strip, {} wide, {} long", show(width), show(length)),
            Self::Corner { width } => format!("corner of a border {} wide", show(width)),
            Self::Sides { sides, diagonal, other_diagonal } => {
                let kind = if sides.len() == 3 { "triangle" } else { "block" };
                let across: Vec<String> = diagonal.iter().chain(other_diagonal).map(show).collect();
                let sides: Vec<String> = sides.iter().map(show).collect();
                let across = if across.is_empty() {
                    String::new()
                } else {
                    format!(", diagonal {}", across.join(" and "))
                };
                format!("{kind} as measured, sides {}{across}", sides.join(", "))
            }
            Self::Corners { corners } => {
                let (width, height) = self.drawn_size();
                format!(
                    "block by its {} corners, {} across, {} up",
                    corners.len(),
                    show(&width),
                    show(&height)
                )
            }
            Self::Outline { .. } => {
                let (width, height) = self.drawn_size();
                format!("drawn outline, {} across, {} up", show(&width), show(&height))
            }
        }
    }

    /// Width and height of the box round the corners or the first drawn path, mm; 0 for other shapes.
    fn drawn_size(&self) -> (f64, f64) {
        let bounds = match self {
            Self::Corners { corners } => crate::base::chain::bounds(corners),
            Self::Outline { paths } => paths.first().map_or(kurbo::Rect::ZERO, kurbo::Shape::bounding_box),
            _ => kurbo::Rect::ZERO,
        };
        (bounds.width(), bounds.height())
    }
}

fn tenth(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}

/// Sizes with `x` between them and the unit once at the end.
fn sizes(mm: &[f64]) -> String {
    let inches: Option<Vec<String>> = mm.iter().map(|mm| sixteenths(*mm)).collect();
    match inches {
        Some(inches) => format!("{}in", inches.join("x")),
        None => {
            let tenths = mm.iter().map(|mm| format!("{mm:.1}").trim_end_matches(".0").replace('.', "-"));
            format!("{}mm", tenths.collect::<Vec<_>>().join("x"))
        }
    }
}

/// Inches as `8`, `8-1-2` or `1-2`, if they are exact sixteenths.
fn sixteenths(mm: f64) -> Option<String> {
    const EXACT_MM: f64 = 1e-6;
    let count = (mm / MM_PER_INCH * 16.0).round();
    if (count / 16.0 * MM_PER_INCH - mm).abs() > EXACT_MM || !(0.0..1e9).contains(&count) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded just above")]
    let count = count as u64;
    let (whole, part) = (count / 16, count % 16);
    let shift = part.trailing_zeros().min(4);
    Some(match (whole, part) {
        (_, 0) => whole.to_string(),
        (0, _) => format!("{}-{}", part >> shift, 16 >> shift),
        _ => format!("{whole}-{}-{}", part >> shift, 16 >> shift),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(key: &str, value: &str) -> Shape {
        Shape::from_words(key, value).unwrap()
    }

    #[test]
    fn names_are_short_and_safe_in_paths() {
        for (key, value, name) in [
            ("square", "8in", "square-8in"),
            ("square", "8 1/2in", "square-8-1-2in"),
            ("square", "1/2in", "square-1-2in"),
            ("square", "20.35cm", "square-203-5mm"),
            ("square", "200mm", "square-200mm"),
            ("rectangle", "6in,9in", "rectangle-6x9in"),
            ("rectangle", "6in,200mm", "rectangle-152-4x200mm"),
            ("diamond", "6in,60", "diamond-6in-60"),
            ("diamond", "6in,22.5", "diamond-6in-22-5"),
            ("strip", "5in,40in", "strip-5x40in"),
            ("side-triangle", "8in", "side-triangle-8in"),
            ("sides", "8in,8in,9in", "sides-8x8x9in"),
            ("corners", "0in,0in;8in,0in;8in,6in", "corners-8x6in"),
        ] {
            let got = shape(key, value).name();
            assert_eq!(got, name);
            assert!(got.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'));
        }
    }

    #[test]
    fn people_read_the_size_in_their_units() {
        assert_eq!(shape("square", "8in").describe(Units::Inches), "8 in (203.2 mm) square");
        assert_eq!(shape("square", "200mm").describe(Units::Millimetres), "200 mm (7 7/8 in) square");
        assert_eq!(
            shape("rectangle", "6in,9in").describe(Units::Inches),
            "rectangle, 6 in (152.4 mm) across, 9 in (228.6 mm) up"
        );
        let four = Shape::from_sides("8in,8in,8in,8in", Some("11 3/8in"), None).unwrap();
        assert_eq!(
            four.describe(Units::Inches),
            "block as measured, sides 8 in (203.2 mm), 8 in (203.2 mm), 8 in (203.2 mm), 8 in (203.2 mm), \
             diagonal 11 3/8 in (288.9 mm)"
        );
    }
}
