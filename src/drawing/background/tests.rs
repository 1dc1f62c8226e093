use super::*;
use crate::base::curve::flatten;
use crate::base::tolerance::FLATTEN_MM;
use crate::block::outline;
use crate::block::shape::Shape;
use crate::drawing::constructions::clip::groups;
use crate::drawing::{draw, library, settings};

fn square() -> Block {
    outline(&Shape::Square { side: 203.2 }, 6.35).unwrap()
}

fn known(name: &str, asked: &[&str]) -> (Motif, Settings) {
    let motifs = library::read_all(&[]).unwrap();
    let motif = library::find(&motifs, name).unwrap().clone();
    let asked: Vec<String> = asked.iter().map(|a| (*a).to_owned()).collect();
    let settings = settings::resolve(name, &motif.settings, &asked).unwrap();
    (motif, settings)
}

fn drawn(name: &str, block: &Block) -> Drawing {
    let (motif, settings) = known(name, &[]);
    draw(&motif, &settings, block).unwrap()
}

fn filled(name: &str, by: &str, asked: &[&str], by_edge: bool) -> Drawing {
    let (motif, settings) = known(by, asked);
    let background = Background::new(&motif, settings).unwrap();
    fill(drawn(name, &square()), wider(None), &background, &square(), by_edge).unwrap()
}

#[test]
fn a_wreath_leaves_its_middle_and_the_corners_open() {
    let places = open::places(&drawn("feather-wreath", &square()).lines, &square(), open::WIDER);
    let middle: Vec<_> = places.iter().filter(|p| p.closed_in).collect();
    assert_eq!(middle.len(), 1);
    assert!(middle[0].region.contains(Point::ZERO));
    let corner = |x: f64, y: f64| places.iter().any(|p| p.region.contains(Point::new(x, y)));
    assert!(!corner(0.0, -60.0) && !corner(48.0, 0.0), "a plume is open");
    assert!(corner(-90.0, -90.0) && corner(90.0, -90.0) && corner(90.0, 90.0) && corner(-90.0, 90.0));
}

#[test]
fn peels_leave_the_squares_between_them_open() {
    let (motif, _) = known("orange-peel", &[]);
    let lines = drawn("orange-peel", &square()).lines;
    let places = open::places(&lines, &square(), wider(Some(&motif)));
    // Two by two flowers: four squares between whole petals, and eight half squares along the edge.
    let closed_in = places.iter().filter(|p| p.closed_in).count();
    assert_eq!((closed_in, places.len() - closed_in), (4, 8));
}

#[test]
fn no_plume_of_a_feather_along_an_open_spine_is_open() {
    let block = outline(&Shape::HalfSquare { leg: 203.2 }, 6.35).unwrap();
    for name in ["feather-half-wreath", "feather-spray"] {
        let (motif, _) = known(name, &[]);
        let places = open::places(&drawn(name, &block).lines, &block, wider(Some(&motif)));
        assert!(places.iter().all(|p| !p.closed_in), "{name}");
    }
}

#[test]
fn a_line_along_the_edge_frames_the_motif_on_all_four_sides() {
    let all = filled("feather-wreath", "cross-hatch", &["spacing=1/2in"], false).lines;
    let mut along = [0.0; 4];
    for segment in all.iter().flat_map(BezPath::segments) {
        let (p, q) = (segment.start(), segment.end());
        let sides = [(p.x, q.x), (p.y, q.y), (-p.x, -q.x), (-p.y, -q.y)];
        for (length, (a, b)) in along.iter_mut().zip(sides) {
            if a.max(b) < -95.0 {
                *length += p.distance(q);
            }
        }
    }
    // 190.5 mm inside the margin; plumes that reach the edge come within half a millimetre of it for a little.
    assert!(along.iter().all(|length| (190.0..215.0).contains(length)), "{along:?}");
}

#[test]
fn a_hatch_that_fills_everything_leaves_nothing_open() {
    let (motif, settings) = known("echo", &[]);
    let background = Background::new(&motif, settings).unwrap();
    let frame = BezPath::from_svg("M-95.25,-95.25 H95.25 V95.25 H-95.25 Z").unwrap();
    let drawing = Drawing { lines: vec![frame], ..Drawing::default() };
    let told = fill(drawing, open::WIDER, &background, &square(), true).unwrap_err();
    assert_eq!(
        told.to_string(),
        "a background of echo does not fit: the motif leaves no place open; ask for no background"
    );
}

#[test]
fn a_hatch_runs_on_behind_a_wreath_and_keeps_a_channel_round_it() {
    let wreath = drawn("feather-wreath", &square());
    let all = filled("feather-wreath", "cross-hatch", &["spacing=1/2in"], true);
    let chains = |lines: &[BezPath]| -> Vec<Vec<Point>> {
        lines.iter().flat_map(|l| flatten(l, 0.01)).map(|f| f.points).collect()
    };
    let off = |p: Point, chains: &[Vec<Point>]| {
        chains.iter().map(|l| crate::base::chain::distance_to_chain(p, l)).fold(f64::INFINITY, f64::min)
    };
    let (motif, asked) = known("cross-hatch", &["spacing=1/2in"]);
    let (whole, plumes) = (chains(&draw(&motif, &asked, &square()).unwrap().lines), chains(&wreath.lines));
    let mut straight = 0;
    for line in &all.lines[wreath.lines.len()..] {
        let points: Vec<Point> = chains(std::slice::from_ref(line)).concat();
        let joins = points.iter().any(|p| off(*p, &plumes) < 0.02);
        // Ends may have been moved.
        let least = points.iter().map(|p| off(*p, &plumes)).fold(f64::INFINITY, f64::min);
        assert!(joins && points.len() == 2 || least > 4.76 - 0.6, "{points:?} is {least} mm off");
        if points.len() == 2 && !joins {
            straight += 1;
            let middle = points[0].midpoint(points[1]);
            assert!(off(middle, &whole) < 0.6, "{middle:?} is on no line of the whole hatch");
        }
    }
    assert!(straight > 40, "{straight} lines");
}

#[test]
fn whatever_fills_it_all_hangs_together() {
    for (by, asked) in [
        ("cross-hatch", ["spacing=1/2in"].as_slice()),
        ("echo", &[]),
        ("echo", &["spacing=1/4in", "form=spiral"]),
        ("stipple", &[]),
        ("meander", &["spacing=5/16in"]),
        ("pebbles", &["size=1/4in"]),
        ("clamshell", &[]),
        ("diagonals", &[]),
    ] {
        for motif in ["feather-wreath", "leaf-rosette", "heart-ring"] {
            let lines = filled(motif, by, asked, false).lines;
            let group = groups(&lines);
            assert!(group.iter().all(|g| *g == group[0]), "{motif} on {by} {asked:?} is in pieces");
            let depth = |p: &Point| square().inside[0].depth(*p);
            let flat = lines.iter().flat_map(|l| flatten(l, FLATTEN_MM)).flat_map(|f| f.points);
            let least = flat.map(|p| depth(&p)).fold(f64::INFINITY, f64::min);
            assert!(least > -0.02, "{motif} on {by} stands {least} mm outside");
        }
    }
}

#[test]
fn a_feather_is_no_background() {
    let (motif, settings) = known("feather-wreath", &[]);
    let told = Background::new(&motif, settings).unwrap_err().to_string();
    assert_eq!(
        told,
        "feather-wreath cannot be a background; take a motif that suits any shape, such as cross-hatch, echo or stipple"
    );
}
