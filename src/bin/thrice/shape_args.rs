//! The flags that give a block's shape → a [`Shape`]; a drawn outline is read from its file here.

use std::path::PathBuf;

use thrice::base::units::{Units, most_used};
use thrice::block::drawn::svg_outline;
use thrice::block::shape::Shape;
use thrice::block::{Block, BlockError, words};

use super::reading::{self, Files};
use super::words::{Typed, typed};

impl From<BlockError> for Typed {
    fn from(error: BlockError) -> Self {
        Self(error.to_string())
    }
}

/// Where help tells of shapes.
const HEADING: &str = "Shape (one at most; finished sizes, no seam allowance)";

/// The block's shape and finished size; give exactly one.
#[derive(Debug, Default, clap::Args)]
pub struct ShapeArgs {
    /// A square: its side, such as 8in, "8 1/2in" or 216mm
    #[arg(long, help_heading = HEADING, value_name = "SIDE", group = "shape", allow_hyphen_values = true)]
    square: Option<String>,
    /// A rectangle: across and up, such as 6in,9in
    #[arg(long, help_heading = HEADING, value_name = "ACROSS,UP", group = "shape", allow_hyphen_values = true)]
    rectangle: Option<String>,
    /// Half a square: its two equal legs, such as 8in; the right angle lies bottom left
    #[arg(long, help_heading = HEADING, value_name = "LEG", group = "shape", allow_hyphen_values = true)]
    half_square: Option<String>,
    /// A quarter of a square: its long side, such as 8in, which lies at the bottom
    #[arg(long, help_heading = HEADING, value_name = "LONG", group = "shape", allow_hyphen_values = true)]
    quarter_square: Option<String>,
    /// The side setting triangle for blocks on point: the block's finished side, such as 8in
    #[arg(long, help_heading = HEADING, value_name = "BLOCK", group = "shape", allow_hyphen_values = true)]
    side_triangle: Option<String>,
    /// The corner setting triangle for blocks on point: the block's finished side, such as 8in
    #[arg(long, help_heading = HEADING, value_name = "BLOCK", group = "shape", allow_hyphen_values = true)]
    corner_triangle: Option<String>,
    /// A triangle with three equal sides, such as 8in
    #[arg(long, help_heading = HEADING, value_name = "SIDE", group = "shape", allow_hyphen_values = true)]
    equilateral: Option<String>,
    /// A hexagon: its side, such as 4in; two sides lie level
    #[arg(long, help_heading = HEADING, value_name = "SIDE", group = "shape", allow_hyphen_values = true)]
    hexagon: Option<String>,
    /// An octagon: its width across the flats, such as 8in
    #[arg(long, help_heading = HEADING, value_name = "ACROSS", group = "shape", allow_hyphen_values = true)]
    octagon: Option<String>,
    /// A diamond: its side and its angle bottom left in degrees, such as 6in,60
    #[arg(long, help_heading = HEADING, value_name = "SIDE,DEGREES", group = "shape", allow_hyphen_values = true)]
    diamond: Option<String>,
    /// A circle: its diameter, such as 7in
    #[arg(long, help_heading = HEADING, value_name = "DIAMETER", group = "shape", allow_hyphen_values = true)]
    circle: Option<String>,
    /// A border or sash: its width and its length, such as 5in,40in
    #[arg(long, help_heading = HEADING, value_name = "WIDTH,LENGTH", group = "shape", allow_hyphen_values = true)]
    strip: Option<String>,
    /// The corner of a border that turns: the border's width, such as 5in; its lines come in on the left and go on at the top
    #[arg(long, help_heading = HEADING, value_name = "WIDTH", group = "shape", allow_hyphen_values = true)]
    corner: Option<String>,
    /// A block as measured: bottom, right, top, left, such as "8 1/8in, 8in, 7 7/8in, 8 1/16in", with its diagonal; three sides make a triangle
    #[arg(long, help_heading = HEADING, value_name = "LENGTHS", group = "shape", allow_hyphen_values = true)]
    sides: Option<String>,
    /// For four sides: from bottom left to top right, such as "11 3/8in"
    #[arg(long, help_heading = HEADING, value_name = "LENGTH", requires = "sides")]
    diagonal: Option<String>,
    /// For four sides: from bottom right to top left as well, to spread the error of the tape
    #[arg(long, help_heading = HEADING, value_name = "LENGTH", requires = "diagonal")]
    other_diagonal: Option<String>,
    /// Any outline by its corners in order, across and up, such as "0in,0in; 8 1/8in,0in; 8in,8in; 0in,7 7/8in"
    #[arg(long, help_heading = HEADING, value_name = "POINTS", group = "shape", allow_hyphen_values = true)]
    corners: Option<String>,
    /// A drawn outline: the first closed path of an SVG file; closed paths inside it are kept clear
    #[arg(long, help_heading = HEADING, value_name = "FILE.svg", group = "shape", allow_hyphen_values = true)]
    pub outline: Option<PathBuf>,
}

impl ShapeArgs {
    /// The shape that was asked for.
    ///
    /// # Errors
    /// [`Typed`] if no shape is given or its figures cannot be; others if the outline's file cannot be used.
    pub fn shape(&self, files: Files<'_>) -> anyhow::Result<Shape> {
        let flags = || words::KEYS.map(|key| format!("--{key}")).join(", ");
        let missing = || Typed(format!("no shape is given; give one of {}, --outline", flags()));
        Ok(self.shape_if_given(files)?.ok_or_else(missing)?)
    }

    /// The block that was asked for, with what is left inside a margin.
    ///
    /// # Errors
    /// As [`ShapeArgs::shape`], or if nothing is left.
    pub fn block(&self, margin_mm: f64, files: Files<'_>) -> anyhow::Result<Block> {
        self.around(&self.shape(files)?, margin_mm, files)
    }

    /// The block that was asked for, if one was.
    ///
    /// # Errors
    /// As [`ShapeArgs::block`].
    pub fn block_if_given(&self, margin_mm: f64, files: Files<'_>) -> anyhow::Result<Option<Block>> {
        let shape = self.shape_if_given(files)?;
        shape.map(|shape| self.around(&shape, margin_mm, files)).transpose()
    }

    /// A block of that shape; its notes name what of its drawing is left out.
    fn around(&self, shape: &Shape, margin_mm: f64, files: Files<'_>) -> anyhow::Result<Block> {
        let mut block = thrice::block::outline(shape, margin_mm).map_err(typed)?;
        if let Some(file) = &self.outline {
            block.notes.extend(files.drawing(file)?.1);
        }
        Ok(block)
    }

    /// The shape that was asked for, if one was.
    ///
    /// # Errors
    /// As [`ShapeArgs::shape`].
    fn shape_if_given(&self, files: Files<'_>) -> anyhow::Result<Option<Shape>> {
        if self.diagonal.is_some() && self.sides.is_none() {
            return Err(Typed(
                "a diagonal belongs to measured sides; give --sides as well, or leave it out".into(),
            )
            .into());
        }
        if let Some(file) = &self.outline {
            let text = files.text(file, reading::MOST_DRAWING)?;
            let shape =
                svg_outline(&text).map_err(|e| typed(format!("cannot use {}: {e}", file.display())))?;
            return Ok(Some(shape));
        }
        if let Some(sides) = &self.sides {
            let (diagonal, other) = (self.diagonal.as_deref(), self.other_diagonal.as_deref());
            return Ok(Some(Shape::from_sides(sides, diagonal, other).map_err(Typed::from)?));
        }
        let given = self.in_words().into_iter().find_map(|(key, value)| Some((key, value.as_ref()?)));
        let Some((key, value)) = given else { return Ok(None) };
        Ok(Some(Shape::from_words(key, value).map_err(Typed::from)?))
    }

    /// The unit that most of the shape's lengths were typed in.
    pub fn units(&self) -> Units {
        let measured = [&self.sides, &self.diagonal, &self.other_diagonal];
        let typed = self.in_words().into_iter().map(|(_, value)| value).chain(measured);
        most_used(typed.flatten().map(String::as_str))
    }

    /// Every flag that is read by its word alone.
    fn in_words(&self) -> [(&'static str, &Option<String>); 14] {
        [
            ("square", &self.square),
            ("rectangle", &self.rectangle),
            ("half-square", &self.half_square),
            ("quarter-square", &self.quarter_square),
            ("side-triangle", &self.side_triangle),
            ("corner-triangle", &self.corner_triangle),
            ("equilateral", &self.equilateral),
            ("hexagon", &self.hexagon),
            ("octagon", &self.octagon),
            ("diamond", &self.diamond),
            ("circle", &self.circle),
            ("strip", &self.strip),
            ("corner", &self.corner),
            ("corners", &self.corners),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;
    use kurbo::Point;

    #[derive(Debug, Parser)]
    struct Program {
        #[command(flatten)]
        shape: ShapeArgs,
    }

    fn parsed(words: &[&str]) -> Result<anyhow::Result<Shape>, clap::error::ErrorKind> {
        let words = std::iter::once("program").chain(words.iter().copied());
        Program::try_parse_from(words).map(|p| p.shape.shape(Files::World)).map_err(|e| e.kind())
    }

    #[test]
    fn every_word_is_a_flag() {
        for key in words::KEYS {
            let value = match key {
                "rectangle" | "strip" => "6in,9in",
                "diamond" => "6in,60",
                "sides" => "6in,6in,6in",
                "corners" => "-1in,-1in; 6in,0in; 0in,6in",
                _ => "8in",
            };
            let shape = parsed(&[&format!("--{key}"), value]).unwrap().unwrap();
            assert_eq!(Ok(shape), Shape::from_words(key, value));
        }
    }

    #[test]
    fn four_sides_take_their_diagonals() {
        let sides = ["--sides", "8in,8in,8in,8in", "--diagonal", "11 3/8in", "--other-diagonal", "11 1/4in"];
        let shape = parsed(&sides).unwrap().unwrap();
        assert_eq!(Ok(shape), Shape::from_sides("8in,8in,8in,8in", Some("11 3/8in"), Some("11 1/4in")));
        assert_eq!(
            parsed(&["--diagonal", "9in"]).err(),
            Some(clap::error::ErrorKind::MissingRequiredArgument)
        );
    }

    #[test]
    fn most_of_the_lengths_say_which_unit_she_uses() {
        let units = |words: &[&str]| {
            let words = std::iter::once("program").chain(words.iter().copied());
            Program::try_parse_from(words).unwrap().shape.units()
        };
        assert_eq!(units(&["--sides", "200mm,200mm,200mm,8in", "--diagonal", "283mm"]), Units::Millimetres);
        assert_eq!(units(&["--rectangle", "6in,9in"]), Units::Inches);
        assert_eq!(units(&[]), Units::Inches);
    }

    #[test]
    fn two_shapes_are_one_too_many() {
        let got = parsed(&["--square", "8in", "--circle", "7in"]);
        assert_eq!(got.err(), Some(clap::error::ErrorKind::ArgumentConflict));
    }

    #[test]
    fn what_is_typed_wrong_is_told_from_what_could_not_be_done() {
        let typed =
            |words: &[&str]| parsed(words).unwrap().unwrap_err().downcast::<Typed>().map(|t| t.0).ok();
        assert!(typed(&[]).unwrap().starts_with("no shape is given; give one of --square, --rectangle"));
        assert!(typed(&["--square", "8"]).unwrap().starts_with("`8` has no unit"));
        assert!(typed(&["--sides", "8in,8in,8in,8in"]).unwrap().starts_with("four sides can still lean"));
        assert_eq!(typed(&["--outline", "no-such-file.svg"]), None);
    }

    #[test]
    fn an_outline_is_read_from_its_file() {
        let file = tempfile::NamedTempFile::new().unwrap();
        let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="96" height="96"><path d="M0 0H96V96H0Z"/></svg>"#;
        std::fs::write(file.path(), svg).unwrap();
        let shape = parsed(&["--outline", file.path().to_str().unwrap()]).unwrap().unwrap();
        let Shape::Outline { paths } = shape else { panic!("not an outline") };
        let first: Point = paths[0].elements()[0].end_point().unwrap();
        assert!(first.distance(Point::new(0.0, 25.4)) < 1e-4);
        let broken = parsed(&["--outline", "src/lib.rs"]).unwrap().unwrap_err();
        assert!(broken.to_string().starts_with("cannot use "), "{broken}");
        assert!(broken.downcast_ref::<Typed>().is_some());
    }
}
