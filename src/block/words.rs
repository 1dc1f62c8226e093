//! Words as typed → a [`Shape`]: `square`, `8in`. The same words are flags of the program and keys of a quilt file.
//!
//! A drawn outline is not read here, because it is a file: see [`super::drawn::svg_outline`].

use kurbo::Point;

use super::shape::Shape;
use super::{BlockError, LEAST_MM, MOST_CORNERS};
use crate::base::units::{LONGEST_MM, LengthError, read_length};

/// The keys of all shapes that are given in words, as flags without their dashes.
pub const KEYS: [&str; 15] = [
    "square",
    "rectangle",
    "half-square",
    "quarter-square",
    "side-triangle",
    "corner-triangle",
    "equilateral",
    "hexagon",
    "octagon",
    "diamond",
    "circle",
    "strip",
    "corner",
    "sides",
    "corners",
];

impl Shape {
    /// Reads a shape from its key and its figures, such as `rectangle` and `6in,9in`.
    ///
    /// `sides` reads three sides of a triangle; for four, which need a diagonal, see [`Shape::from_sides`].
    ///
    /// # Errors
    /// [`BlockError::UnknownShape`], [`BlockError::Figures`], [`BlockError::Length`], or [`BlockError::Size`] for a size that
    /// cannot be quilted. Whether the figures fit together is found by [`super::outline`].
    pub fn from_words(key: &str, value: &str) -> Result<Self, BlockError> {
        let one = |key, example| lengths(key, value, example).map(|[mm]| mm);
        Ok(match key {
            "square" => Self::Square { side: one("square", "8in")? },
            "half-square" => Self::HalfSquare { leg: one("half-square", "8in")? },
            "quarter-square" => Self::QuarterSquare { long: one("quarter-square", "8in")? },
            "side-triangle" => Self::SideTriangle { block: one("side-triangle", "8in")? },
            "corner-triangle" => Self::CornerTriangle { block: one("corner-triangle", "8in")? },
            "equilateral" => Self::Equilateral { side: one("equilateral", "8in")? },
            "hexagon" => Self::Hexagon { side: one("hexagon", "4in")? },
            "octagon" => Self::Octagon { across: one("octagon", "8in")? },
            "circle" => Self::Circle { diameter: one("circle", "7in")? },
            "rectangle" => {
                let [width, height] = lengths("rectangle", value, "6in,9in")?;
                Self::Rectangle { width, height }
            }
            "strip" => {
                let [width, length] = lengths("strip", value, "5in,40in")?;
                Self::Strip { width, length }
            }
            "corner" => Self::Corner { width: one("corner", "5in")? },
            "diamond" => diamond(value)?,
            "sides" => Self::from_sides(value, None, None)?,
            "corners" => Self::Corners { corners: corners(value)? },
            _ => return Err(BlockError::UnknownShape { key: key.into() }),
        })
    }

    /// Reads measured sides: three (bottom, right, left), or four (bottom, right, top, left) with one or both diagonals.
    ///
    /// # Errors
    /// As [`Shape::from_words`], and [`BlockError::SideCount`], [`BlockError::NoDiagonal`],
    /// [`BlockError::TriangleDiagonal`].
    pub fn from_sides(sides: &str, diagonal: Option<&str>, other: Option<&str>) -> Result<Self, BlockError> {
        let sides = sides.split(',').map(|s| size("side", s)).collect::<Result<Vec<f64>, _>>()?;
        let diagonal = diagonal.map(|d| size("diagonal", d)).transpose()?;
        let other_diagonal = other.map(|d| size("diagonal", d)).transpose()?;
        match (sides.len(), diagonal) {
            (3, None) if other_diagonal.is_none() => {}
            (3, _) => return Err(BlockError::TriangleDiagonal),
            (4, None) => return Err(BlockError::NoDiagonal),
            (4, Some(_)) => {}
            (count, _) => return Err(BlockError::SideCount { count }),
        }
        Ok(Self::Sides { sides, diagonal, other_diagonal })
    }
}

/// Reads exactly `N` sizes with commas between them.
fn lengths<const N: usize>(
    key: &'static str,
    value: &str,
    example: &'static str,
) -> Result<[f64; N], BlockError> {
    let parts: Vec<&str> = value.split(',').collect();
    // `8,5in` is one figure where commas are decimal points.
    let is_bare = |part: &&str| !part.is_empty() && part.chars().all(|c| c.is_ascii_digit());
    if parts.len() > N && parts.iter().any(is_bare) {
        return Err(BlockError::DecimalComma { value: value.into() });
    }
    let parts: [&str; N] =
        parts.try_into().map_err(|_| BlockError::Figures { key, value: value.into(), example })?;
    let mut sizes = [0.0; N];
    for (mm, part) in sizes.iter_mut().zip(parts) {
        *mm = size(key, part)?;
    }
    Ok(sizes)
}

fn size(what: &'static str, text: &str) -> Result<f64, BlockError> {
    let mm = read_length(text)?;
    if (LEAST_MM..=LONGEST_MM).contains(&mm) { Ok(mm) } else { Err(BlockError::Size { what, mm }) }
}

fn diamond(value: &str) -> Result<Shape, BlockError> {
    let wrong = || BlockError::Figures { key: "diamond", value: value.into(), example: "6in,60" };
    let (side, angle) = value.split_once(',').ok_or_else(wrong)?;
    let side = size("diamond", side)?;
    let angle = angle.trim();
    let number = ["°", "degrees", "deg"].iter().find_map(|u| angle.strip_suffix(u)).unwrap_or(angle).trim();
    if !number.chars().all(|c| c.is_ascii_digit() || c == '.') {
        return Err(wrong());
    }
    let angle_deg: f64 = number.parse().map_err(|_| wrong())?;
    if !super::plan::DIAMOND_DEG.contains(&angle_deg) {
        return Err(BlockError::Angle { angle_deg });
    }
    Ok(Shape::Diamond { side, angle_deg })
}

fn corners(value: &str) -> Result<Vec<Point>, BlockError> {
    let wrong =
        || BlockError::Figures { key: "corners", value: value.into(), example: "0in,0in; 8in,0in; 8in,8in" };
    let count = value.split(';').count();
    if count > MOST_CORNERS {
        return Err(BlockError::TooManyCorners { count });
    }
    let pairs = value.split(';').map(str::trim).filter(|pair| !pair.is_empty());
    pairs
        .map(|pair| {
            let (x, y) = pair.split_once(',').ok_or_else(wrong)?;
            if y.contains(',') {
                return Err(wrong());
            }
            Ok(Point::new(place(x)?, place(y)?))
        })
        .collect()
}

/// Reads a coordinate, which unlike a length may be negative.
fn place(text: &str) -> Result<f64, LengthError> {
    match text.trim().strip_prefix(['-', '−']) {
        Some(rest) => read_length(rest).map(|mm| -mm),
        None => read_length(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_reads_its_figures() {
        let side = 203.2;
        for (key, value, shape) in [
            ("square", "8in", Shape::Square { side }),
            ("rectangle", "8in, 9in", Shape::Rectangle { width: side, height: 228.6 }),
            ("half-square", "8in", Shape::HalfSquare { leg: side }),
            ("quarter-square", "8in", Shape::QuarterSquare { long: side }),
            ("side-triangle", "8in", Shape::SideTriangle { block: side }),
            ("corner-triangle", "8in", Shape::CornerTriangle { block: side }),
            ("equilateral", "8in", Shape::Equilateral { side }),
            ("hexagon", "8in", Shape::Hexagon { side }),
            ("octagon", "8in", Shape::Octagon { across: side }),
            ("diamond", "8in,60", Shape::Diamond { side, angle_deg: 60.0 }),
            ("diamond", "8in, 22.5°", Shape::Diamond { side, angle_deg: 22.5 }),
            ("circle", "8in", Shape::Circle { diameter: side }),
            ("corner", "8in", Shape::Corner { width: side }),
            ("strip", "5cm,8in", Shape::Strip { width: 50.0, length: side }),
        ] {
            assert_eq!(Shape::from_words(key, value), Ok(shape), "{key} {value}");
        }
    }

    #[test]
    fn more_corners_than_can_be_followed_are_refused() {
        let told = Shape::from_words("corners", &"0in,0in;".repeat(5000)).unwrap_err().to_string();
        assert_eq!(told, "the outline has 5001 corners; draw it with at most 2000, or with curves");
    }

    #[test]
    fn corners_may_be_negative() {
        let got = Shape::from_words("corners", "-4in,-10mm; 4in,0mm; 0in,50mm;");
        let corners = [(-101.6, -10.0), (101.6, 0.0), (0.0, 50.0)].map(Point::from).to_vec();
        assert_eq!(got, Ok(Shape::Corners { corners }));
    }

    #[test]
    fn figures_that_do_not_suit_say_how_to_write_them() {
        let words = |key, value| Shape::from_words(key, value).unwrap_err().to_string();
        assert_eq!(words("rectangle", "6in"), "`6in` does not suit rectangle; write it like `6in,9in`");
        assert_eq!(words("square", "6in,6in"), "`6in,6in` does not suit square; write it like `8in`");
        assert_eq!(
            words("square", "8,5in"),
            "`8,5in` has a comma, which separates two figures; write decimals with a point, such as 8.5in"
        );
        assert_eq!(words("diamond", "6in,6e1"), "`6in,6e1` does not suit diamond; write it like `6in,60`");
        assert_eq!(
            words("corners", "1in;2in"),
            "`1in;2in` does not suit corners; write it like `0in,0in; 8in,0in; 8in,8in`"
        );
        assert!(words("square", "8").starts_with("`8` has no unit"));
        assert!(
            words("oval", "8in")
                .starts_with("`oval` is no shape; the shapes are square, rectangle, half-square")
        );
    }

    #[test]
    fn sizes_that_cannot_be_quilted_are_refused() {
        assert_eq!(Shape::from_words("square", "0in"), Err(BlockError::Size { what: "square", mm: 0.0 }));
        assert_eq!(Shape::from_words("strip", "5in,9mm"), Err(BlockError::Size { what: "strip", mm: 9.0 }));
        assert!(matches!(Shape::from_words("square", "-8in"), Err(BlockError::Length(_))));
        assert!(matches!(Shape::from_words("circle", "900in"), Err(BlockError::Length(_))));
        assert!(matches!(Shape::from_words("diamond", "8in,181"), Err(BlockError::Angle { .. })));
        assert!(Shape::from_words("strip", "5in,20000mm").is_ok());
    }

    #[test]
    fn sides_need_the_diagonals_that_fix_them() {
        let four = "8 1/8in, 8in, 7 7/8in, 8 1/16in";
        assert_eq!(Shape::from_sides(four, None, None), Err(BlockError::NoDiagonal));
        assert_eq!(Shape::from_sides("8in,8in,8in", Some("9in"), None), Err(BlockError::TriangleDiagonal));
        assert_eq!(Shape::from_sides("8in,8in", None, None), Err(BlockError::SideCount { count: 2 }));
        let got = Shape::from_sides(four, Some("11 3/8in"), Some("11 1/4in")).unwrap();
        let sides = vec![206.375, 203.2, 200.025, 204.7875];
        let close = |a: &f64, b: &f64| (a - b).abs() < 1e-9;
        let Shape::Sides { sides: got, diagonal, other_diagonal } = got else { panic!("not sides") };
        assert!(got.iter().zip(&sides).all(|(a, b)| close(a, b)));
        assert!(close(&diagonal.unwrap(), &288.925) && close(&other_diagonal.unwrap(), &285.75));
    }
}
