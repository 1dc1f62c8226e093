//! The promises of a block, from size to files, on many blocks; files and routes are left for the judges from outside.

use std::fs;
use std::path::{Path, PathBuf};

#[path = "support/kept.rs"]
#[expect(dead_code, reason = "judges for other tests as well")]
mod kept;
#[path = "outside/route_json.rs"]
mod route_json;

use thrice::block::shape::Shape;
use thrice::drawing::{library, settings};
use thrice::route::certificate::{DUALS_PER_UM, verify};
use thrice::route::{Route, Step, Visit};
use thrice::tailor::{Design, Order, Piece, sewn};
use thrice::views::sewn::Looks;
use thrice::wire::Format;

/// Blocks that are convex, by their words.
const CONVEX: [(&str, &str); 24] = [
    ("square", "2in"),
    ("square", "4 1/2in"),
    ("square", "8in"),
    ("square", "14in"),
    ("rectangle", "6in,9in"),
    ("rectangle", "3in,11in"),
    ("half-square", "3in"),
    ("half-square", "8in"),
    ("quarter-square", "10in"),
    ("side-triangle", "8in"),
    ("corner-triangle", "8in"),
    ("equilateral", "8in"),
    ("hexagon", "4in"),
    ("octagon", "8in"),
    ("diamond", "6in,60"),
    ("diamond", "6in,45"),
    ("circle", "7in"),
    ("strip", "5in,40in"),
    ("strip", "2in,14in"),
    ("corners", "0in,0in; 8 1/8in,0in; 8in,8in; 0in,7 7/8in"),
    ("corners", "0in,0in; 7in,1in; 8in,7in; 1in,9in"),
    ("corners", "0in,0in; 9in,0in; 7in,5in; 2in,5in"),
    ("corners", "0in,0in; 8in,0in; 9in,5in; 4in,9in; -1in,5in"),
    ("corners", "0in,0in; 8in,1in; 3in,7in"),
];

/// Blocks with an inward corner, by their words.
const CONCAVE: [(&str, &str); 4] = [
    ("corners", "0in,0in; 8in,0in; 8in,8in; 4in,8in; 4in,4in; 0in,4in"),
    ("corners", "0in,0in; 9in,0in; 9in,9in; 5in,3in"),
    ("corners", "0in,0in; 10in,0in; 10in,6in; 7in,6in; 7in,3in; 3in,3in; 3in,6in; 0in,6in"),
    ("corners", "0in,0in; 6in,2in; 12in,0in; 8in,6in; 12in,12in; 6in,9in; 0in,12in; 3in,6in"),
];

/// Blocks as measured: sides, diagonal, other diagonal.
const MEASURED: [(&str, &str, Option<&str>); 4] = [
    ("8 1/8in, 8in, 7 7/8in, 8 1/16in", "11 3/8in", None),
    ("8in, 8in, 8in, 8in", "11 3/8in", Some("11 1/4in")),
    ("12in, 11 3/4in, 12 1/8in, 12in", "17in", Some("16 7/8in")),
    ("6in, 5 7/8in, 6 1/8in, 6in", "8 1/2in", None),
];

fn shapes() -> Vec<(Shape, bool)> {
    let words = |list: &[(&str, &str)], convex: bool| -> Vec<(Shape, bool)> {
        list.iter().map(|(key, value)| (Shape::from_words(key, value).unwrap(), convex)).collect()
    };
    let mut shapes = words(&CONVEX, true);
    shapes.extend(words(&CONCAVE, false));
    shapes
        .extend(MEASURED.iter().map(|(sides, a, b)| (Shape::from_sides(sides, Some(a), *b).unwrap(), true)));
    shapes
}

fn order(motif: &str, shape: &Shape, name: &str) -> Order {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, motif).unwrap();
    let settings = settings::resolve(&motif.name, &motif.settings, &[]).unwrap();
    Order::new(
        name,
        thrice::block::outline(shape, 6.35).unwrap(),
        Design::Motif(Box::new(motif.clone()), settings),
    )
}

fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("promises");
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn check(piece: &Piece, convex: bool) {
    let name = &piece.order.name;
    let survey = &piece.survey;
    if convex {
        assert_eq!((piece.route.pieces.len(), survey.jumps()), (1, 0), "{name} is in pieces");
    }
    assert_eq!(survey.jumps(), piece.route_figures().fewest_jumps, "{name} jumps without need");
    let proof = verify(&piece.network, &piece.route).unwrap_or_else(|e| panic!("{name}: {e}"));
    let said = piece.report().route.certificate;
    assert!((said - proof.bound_mm()).abs() < 1e-9, "{name} is proven {proof:?}, its report says {said}");
    let faults = kept::faults(piece);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_block_is_sewn_as_promised_and_left_for_the_judges() {
    let mut routes = Vec::new();
    let mut blocks = 0;
    for (i, (shape, convex)) in shapes().iter().enumerate() {
        blocks += 1;
        for motif in ["orange-peel", "cross-hatch"] {
            let name = format!("{motif}-{i:02}-{}", shape.name());
            let order = order(motif, shape, &name);
            let (piece, files) = thrice::make(order.clone(), &Format::ALL, &Looks::default()).unwrap();
            check(&piece, *convex);
            let again = thrice::make(order, &Format::ALL, &Looks::default()).unwrap().1;
            assert!(again == files, "{name} differs from run to run");
            for format in Format::ALL {
                let bytes =
                    &files.iter().find(|f| f.ending == format!(".{}", format.extension())).unwrap().bytes;
                let back = format.read(bytes).unwrap();
                let holes = |s: &thrice::stitches::Stitches, at: kurbo::Vec2| -> Vec<(i64, i64)> {
                    s.points().map(|p| p - at).map(tenths).collect()
                };
                let (ours, read) = (piece.stitches.centre.to_vec2(), kurbo::Vec2::ZERO);
                assert_eq!(holes(&piece.stitches, ours), holes(&back.stitches, read), "{name}");
            }
            for file in &files {
                fs::write(folder().join(format!("{name}{}", file.ending)), &file.bytes).unwrap();
            }
            routes.push(route_json::as_json(&name, &piece.network, &piece.route));
        }
    }
    assert!(blocks >= 30);
    fs::write(folder().join("routes.json.txt"), serde_json::to_vec(&routes).unwrap()).unwrap();
}

#[expect(clippy::cast_possible_truncation, reason = "tenths of a millimetre")]
fn tenths(p: kurbo::Point) -> (i64, i64) {
    ((p.x * 10.0).round() as i64, (p.y * 10.0).round() as i64)
}

#[test]
fn whole_flowers_are_walked_without_doubling_back() {
    for (key, value) in
        [("square", "8in"), ("square", "14in"), ("rectangle", "6in,9in"), ("half-square", "8in")]
    {
        let shape = Shape::from_words(key, value).unwrap();
        let piece = thrice::tailor::make(order("orange-peel", &shape, "x")).unwrap();
        assert_eq!((piece.route.doubled_mm, piece.route.travelled_mm), (0.0, 0.0), "{key} {value}");
    }
}

#[test]
fn a_route_changed_by_hand_never_reaches_a_report() {
    let shape = Shape::from_words("square", "8in").unwrap();
    let piece = thrice::tailor::make(order("cross-hatch", &shape, "x")).unwrap();
    let again = |change: fn(&mut Route)| {
        let mut route = piece.route.clone();
        change(&mut route);
        let (order, drawing, network) = (piece.order.clone(), piece.drawing.clone(), piece.network.clone());
        sewn(order, drawing, network, route).map(|p| p.report().route.certificate).map_err(|e| e.to_string())
    };
    let proven = again(|_| ()).unwrap();
    assert!((proven - piece.route.doubled_mm - piece.route.travelled_mm).abs() < 0.05, "{proven}");
    // There and back once more along the last line: longer than it has to be, by twice that line.
    let longer = again(|route| {
        let steps = &mut route.pieces[0].steps;
        let last = steps[steps.len() - 1];
        steps.push(Step { forward: !last.forward, visit: Visit::Single, ..last });
        steps.push(Step { visit: Visit::Single, ..last });
    });
    let last = piece.route.pieces[0].steps.last().unwrap().edge;
    let um = |mm: f64| (mm * 1000.0).round() as u64;
    let (bound, more) = (piece.proof.bound_um(), 2 * um(piece.network.edges[last].length_mm));
    let told = format!(
        "the route does not hold: piece 0 backtracks {} µm where only {bound} µm are proven; make the route anew",
        bound + more
    );
    assert_eq!(longer, Err(told));
    // A dual that claims a millimetre more than there is.
    let claimed = again(|route| route.certificates[0].duals[0] += 1000 * DUALS_PER_UM).unwrap_err();
    let both = claimed.contains(" µm apart where the proof claims ") || claimed.contains(" µm are proven");
    assert!(both && claimed.starts_with("the route does not hold: "), "{claimed}");
    assert!(again(|route| route.pieces[0].steps.truncate(1)).is_err(), "lines are left out");
}
