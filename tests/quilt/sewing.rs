//! What a whole quilt takes, in which order it is sewn, and that it does not depend on the threads.

use thrice::top::file::Quilt;
use thrice::top::place::Place;
use thrice::top::plan::plan;
use thrice::top::{Work, work};
use thrice::views::paper::Paper;
use thrice::wire::Format;

use super::quilt;

const QUILT: &str = "[top]\nsetting = \"on point\"\nrows = 3\ncolumns = 2\nblock = \"7 1/2in\"\n\
    [[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n[[piece]]\nwhere = \"alternate blocks\"\nmotif = \"cross-hatch\"\n\
    [[piece]]\nwhere = \"side triangles\"\nmotif = \"cross-hatch\"\n[[piece]]\nwhere = \"corner triangles\"\nmotif = \"cross-hatch\"\n\
    [[border]]\nwidth = \"4in\"\nmotif = \"orange-peel\"\n";

fn made(quilt: &Quilt) -> Work {
    work(quilt, &|_, _| {}).unwrap()
}

#[test]
fn a_whole_quilt_takes_the_published_thread_for_each_pass() {
    // Top thread of ordinary single-pass quilting, light to heavy: 200–600 yd for a crib quilt of 45 × 60 in and 700–2,000 yd
    // for a king of 120 × 120, published [58]; over their areas that is 2.2 to 8 in for each square inch, derived.
    let work = made(&quilt(QUILT));
    let waste = 1.0 + thrice::survey::estimate::WASTE;
    let (w, h) = work.layout.size;
    let single = work.totals.needle_thread_m * 1000.0 / waste / 3.0;
    let per_square_inch = single / (w * h) * 25.4;
    assert!((2.2..=8.0).contains(&per_square_inch), "{per_square_inch} in of thread a square inch");
}

#[test]
fn totals_are_those_of_the_files_times_their_hoopings() {
    let work = made(&quilt(QUILT));
    let plan = plan(&work);
    let times: usize = plan.files.iter().map(|f| f.times).sum();
    assert_eq!((times, plan.hoopings.len()), (plan.totals.hoopings, plan.totals.hoopings));
    let minutes: f64 = plan.files.iter().map(|f| f.minutes * f.times as f64).sum();
    assert!((minutes / plan.totals.minutes - 1.0).abs() < 1e-4, "{minutes} of {}", plan.totals.minutes);
    let bobbins = (plan.totals.bobbin_thread_m / 100.0).ceil() as u32;
    assert_eq!(plan.totals.bobbins, bobbins);
    // Six blocks and two between them are two files; one file sews as often as its piece occurs.
    let blocks = plan.files.iter().find(|f| f.name == "blocks").unwrap();
    assert_eq!((blocks.times, plan.counts.blocks), (6, 8));
}

#[test]
fn hoopings_go_from_the_centre_outwards() {
    let work = made(&quilt(QUILT));
    let layer = |i: usize| {
        let folder = &work.sewn[work.hoopings[i].sewn].folder;
        let design = work.layout.designs.iter().find(|d| d.name == *folder).unwrap();
        matches!(design.place, Place::Border(_) | Place::BorderCorner(_))
    };
    let away = |i: usize| {
        let hooping = &work.hoopings[i];
        let block = &work.sewn[hooping.sewn].piece.order.block;
        (hooping.at * block.outline.bounds().center()).to_vec2().hypot()
    };
    for i in 1..work.hoopings.len() {
        assert!(layer(i) >= layer(i - 1), "hooping {i} goes back into the centre");
        if layer(i) == layer(i - 1) {
            assert!(away(i) > away(i - 1) - 1.0, "hooping {i} goes inwards");
        }
    }
    let nearest = (0..work.hoopings.len()).map(away).fold(f64::INFINITY, f64::min);
    assert!((away(0) - nearest).abs() < 1.0, "the first lies {} mm from the centre", away(0));
}

#[test]
fn each_piece_gets_the_smallest_hoop_and_extensions_only_at_the_edge() {
    let work = made(&quilt(QUILT));
    for one in &work.sewn {
        let bounds = one.piece.stitches.bounds();
        let small = bounds.width() <= 198.0 && bounds.height() <= 198.0;
        assert_eq!(one.hoop.height_mm < 250.0, small, "{}", one.folder);
        let (w, h) = if one.is_turned() {
            (bounds.height(), bounds.width())
        } else {
            (bounds.width(), bounds.height())
        };
        assert!(w <= one.hoop.width_mm - 2.0 && h <= one.hoop.height_mm - 2.0, "{}", one.folder);
        // The file that the machine reads fits the hoop as that lies.
        let written = one.piece.for_machine().bounds();
        assert!(written.width() <= one.hoop.width_mm - 1.9 && written.height() <= one.hoop.height_mm - 1.9);
    }
    let (w, h) = work.layout.size;
    for hooping in &work.hoopings {
        let c = hooping.centre;
        let inside = (w / 2.0 - c.x.abs()).min(h / 2.0 - c.y.abs());
        if inside > 260.0 {
            assert!(hooping.extensions.is_empty(), "an extension {inside} mm inside the quilt");
        }
        if inside < 60.0 {
            assert!(!hooping.extensions.is_empty(), "no extension {inside} mm from the edge");
        }
    }
}

#[test]
fn blocks_on_point_turn_the_quilt_in_the_hoop() {
    let work = made(&quilt(QUILT));
    let turns = |folder: &str| -> Vec<f64> {
        let of = |h: &&thrice::top::hoopings::Hooping| work.sewn[h.sewn].folder == folder;
        work.hoopings.iter().filter(of).map(|h| h.quilt_turn_deg).collect()
    };
    assert!(turns("blocks").iter().all(|t| *t == 315.0), "{:?}", turns("blocks"));
}

#[test]
fn stretch_and_density_are_told() {
    let work = made(&quilt(QUILT));
    let plan = plan(&work);
    for piece in &plan.pieces {
        assert_eq!((piece.density_ratio - 1.0).abs() > 0.25, piece.uneven.is_some(), "{piece:?}");
    }
    let worst = plan.pieces.iter().map(|p| p.stretch).fold(0.0, f64::max);
    assert!(plan.look.worst_stretch >= worst);
    let told = plan.warnings.iter().any(|w| w.contains("a motif is stretched by"));
    assert_eq!(told, plan.look.worst_stretch > 0.1);
    // The scale that was chosen is no worse than the one asked for.
    assert!((0.8..=1.25).contains(&plan.look.factor), "{}", plan.look.factor);
}

#[test]
fn the_same_bytes_come_out_on_one_thread_and_on_three() {
    let text = QUILT.replace("rows = 3", "rows = 2");
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| thrice::write_quilt(&made(&quilt(&text)), &[Format::Dst], Paper::A4, false).unwrap())
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.len(), three.len());
    for ((name, a), (_, b)) in one.iter().zip(&three) {
        assert!(a == b, "{name} differs");
    }
    assert!(one.iter().any(|(name, _)| name == "blocks/blocks.dst"));
}

#[test]
fn the_holes_at_a_borders_joins_are_ringed() {
    let work = made(&quilt(QUILT));
    for (design, made) in work.layout.designs.iter().zip(&work.made) {
        let one = &made.sewn[0];
        assert_eq!(one.joins.is_empty(), design.block.open.is_empty(), "{}", design.name);
        for join in &one.joins {
            assert!(
                one.piece.stitches.points().any(|p| p == *join),
                "{}: no needle hole at {join}",
                design.name
            );
            let inside = design.block.inside[0].bounds();
            let off = (inside.x1 - join.x.abs()).abs().min((inside.y1 - join.y.abs()).abs());
            assert!(off <= 0.1, "{}: {join} lies {off} mm from the join", design.name);
        }
    }
}
