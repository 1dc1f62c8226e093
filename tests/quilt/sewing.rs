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
    // A bobbin that would not last is changed before, a tenth of it kept: never fewer than the thread alone asks, and here one
    // more at most.
    let bobbins = (plan.totals.bobbin_thread_m / 90.0).ceil() as u32;
    assert!((bobbins..=bobbins + 1).contains(&plan.totals.bobbins), "{} for {bobbins}", plan.totals.bobbins);
    let new: u32 = plan.hoopings.iter().map(|h| h.new_bobbins).sum();
    assert_eq!(new + 1, plan.totals.bobbins);
    let together = plan.totals.minutes + plan.totals.hooping_minutes + plan.totals.bobbin_minutes;
    assert!((together - plan.totals.all_minutes).abs() < 0.01);
    // Six blocks and two between them; a block is sewn in as many hoopings as it occurs.
    let with_blocks: usize = plan.hoopings.iter().flat_map(|h| &h.pieces).filter(|p| *p == "blocks").count();
    assert_eq!((with_blocks, plan.counts.blocks), (6, 8));
}

#[test]
fn hoopings_go_from_the_centre_outwards() {
    let work = made(&quilt(QUILT));
    let layer = |i: usize| {
        let layer = |item: &thrice::top::share::items::Item| match work.layout.designs[item.design].place {
            Place::Border(n) | Place::BorderCorner(n) => n,
            _ => 0,
        };
        work.hoopings[i].items.iter().map(layer).min().unwrap()
    };
    // Rings are as thick as the short side of the largest hoop.
    let ring = |i: usize| {
        let c = work.hoopings[i].centre;
        (c.x.abs().max(c.y.abs()) / 200.0).round()
    };
    for i in 1..work.hoopings.len() {
        assert!(layer(i) >= layer(i - 1), "hooping {i} goes back into the centre");
        if layer(i) == layer(i - 1) && layer(i) == 0 {
            assert!(ring(i) >= ring(i - 1), "hooping {i} goes inwards");
        }
    }
    let nearest = (0..work.hoopings.len()).map(ring).fold(f64::INFINITY, f64::min);
    assert!(ring(0) == nearest, "the first lies in ring {}", ring(0));
    let numbers: Vec<usize> = work.hoopings.iter().map(|h| h.number).collect();
    assert_eq!(numbers, (1..=work.hoopings.len()).collect::<Vec<_>>());
    let names: Vec<&String> = work.sewn.iter().map(|s| &s.piece.order.name).collect();
    assert!(names.is_sorted() && names.iter().all(|n| n.len() <= 8), "{names:?}");
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
    let design = work.layout.designs.iter().position(|d| d.name == "blocks").unwrap();
    let of = |h: &&thrice::top::hoopings::Hooping| h.items.iter().any(|i| i.design == design);
    let turns: Vec<f64> = work.hoopings.iter().filter(of).map(|h| h.quilt_turn_deg).collect();
    assert!(turns.iter().all(|t| t % 90.0 == 45.0), "{turns:?}");
    // The others lie straight.
    assert!(work.hoopings.iter().any(|h| h.quilt_turn_deg % 90.0 == 0.0));
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
    let told = plan.warnings.iter().any(|w| w.text.contains("a motif is stretched by"));
    assert_eq!(told, plan.look.worst_stretch > 0.1);
    // The scale that was chosen is no worse than the one asked for.
    assert!((0.8..=1.25).contains(&plan.look.factor), "{}", plan.look.factor);
}

#[test]
fn the_same_bytes_come_out_on_one_thread_and_on_three() {
    let text = QUILT.replace("rows = 3", "rows = 2");
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            thrice::write_quilt(&made(&quilt(&text)), &[Format::Dst], Paper::A4, thrice::Besides::default())
                .unwrap()
        })
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.len(), three.len());
    for ((name, a), (_, b)) in one.iter().zip(&three) {
        assert!(a == b, "{name} differs");
    }
    assert!(one.iter().any(|(name, _)| name == "machine/TEST001.dst"));
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
