//! What can be written down: tops of many kinds are read, laid out and covered, and lattices run through all their seams.

use kurbo::{Affine, Point};
use thrice::base::chain;
use thrice::base::curve::subpaths;
use thrice::block::lie::Lie;
use thrice::drawing::{self, family, library};
use thrice::top::file::{self, Quilt, Sources};
use thrice::top::layout::Layout;
use thrice::top::place::Place;
use thrice::top::{lay_out, laying};

const IN: f64 = 25.4;

fn read(rest: &str, svg: &str) -> Result<Quilt, String> {
    let head = "title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\", \"200 x 300 mm\"]\n";
    let motifs = library::read_all(&[]).unwrap();
    let drawing =
        |name: &str| if svg.is_empty() { Err(format!("{name}: not found")) } else { Ok(svg.to_owned()) };
    let design = |_: &str| Err("there is none".to_owned());
    let sources = Sources { motifs: &motifs, formats: &["dst"], drawing: &drawing, design: &design };
    file::read_with(&format!("{head}{rest}"), &sources)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

fn laid(rest: &str, svg: &str) -> Layout {
    laying::lay(&read(rest, svg).unwrap()).unwrap()
}

fn svg(size: (u32, u32), body: &str) -> String {
    let (w, h) = size;
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w}in" height="{h}in" viewBox="0 0 {w} {h}" fill="none" stroke="black" stroke-width=".1">{body}</svg>"#
    )
}

fn named(layout: &Layout, motif: &str) -> usize {
    layout.designs.iter().filter(|d| d.chosen.motif.name == motif).map(|d| d.at.len()).sum()
}

fn covered(layout: &Layout) -> f64 {
    layout.patches.iter().map(|p| chain::signed_area(&p.outline).abs()).sum::<f64>() / IN / IN
}

fn piece(place: &str, motif: &str) -> String {
    format!("[[piece]]\nwhere = \"{place}\"\nmotif = \"{motif}\"\n")
}

#[test]
fn rows_and_columns_have_sizes_of_their_own_and_level_sashes_run_through() {
    let layout = laid(
        &format!(
            "[top]\nsetting = \"straight\"\nrows = [\"8in\", \"6in\"]\ncolumns = [\"6in\", \"10in\", \"6in\"]\nsashing = \"1in, 2in\"\nposts = false\nouter-sashing = true\n{}{}",
            piece("blocks", "cross-hatch"),
            piece("sashes", "cross-hatch")
        ),
        "",
    );
    let (w, h) = layout.size;
    assert!((w - 26.0 * IN).abs() < 1e-9 && (h - 20.0 * IN).abs() < 1e-9);
    assert!((covered(&layout) - 26.0 * 20.0).abs() < 1e-6);
    // Three level sashes from edge to edge, and four upright ones in each row.
    let sashes = layout.patches.iter().filter(|p| p.place == Place::Sashes);
    assert_eq!(sashes.count(), 3 + 8);
    let long = |p: &&thrice::top::layout::Patch| chain::bounds(&p.outline).width() > 25.0 * IN;
    assert_eq!(layout.patches.iter().filter(long).count(), 3);
}

#[test]
fn three_motifs_share_the_blocks_of_a_checkerboard_and_one_of_them_turns() {
    let one = |at: &str, rest: &str| format!("[[piece]]\nwhere = \"blocks\"\nat = {at}\n{rest}\n");
    let top = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 3\nblock = \"8in\"\n";
    let text = format!(
        "{top}{}{}{}",
        one("[[1, 1], [2, 3]]", "motif = \"feather-wreath\""),
        one("[[1, 2], [2, 1]]", "motif = \"star\"\nmirror = \"alternate\""),
        one("[[1, 3], [2, 2]]", "motif = \"feather-spray\"\nturn = \"outwards\"")
    );
    let layout = laid(&text, "");
    assert_eq!(
        [named(&layout, "feather-wreath"), named(&layout, "star"), named(&layout, "feather-spray")],
        [2, 2, 2]
    );
    // The spray at the top right grows as it is drawn; the one in the middle of the lower row is turned to the right and down.
    let sprays: Vec<u8> = layout
        .designs
        .iter()
        .filter(|d| d.chosen.motif.name == "feather-spray")
        .map(|d| d.pose.quarters)
        .collect();
    assert_eq!(sprays, [0, 3]);
    let clash = format!("{text}{}", one("[[1, 1]]", "motif = \"star\""));
    assert!(read(&clash, "").unwrap_err().contains("has a motif at one of these rows and columns already"));
    let nowhere = format!("{top}{}", one("[[3, 1]]", "motif = \"star\""));
    let told = read(&nowhere, "").unwrap_err();
    assert!(told.contains("there are no blocks at row 3, column 1; there are some at [1, 1]"), "{told}");
    let seedless = format!("{top}{}", one("[[1, 1]]", "motif = \"star\"\nseed = \"each\""));
    assert!(read(&seedless, "").unwrap_err().contains("star has no seed"));
}

#[test]
fn a_turned_and_mirrored_motif_is_the_same_lines_turned_and_mirrored() {
    let spray = |more: &str| {
        let text = format!(
            "[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\nblock = \"6in,9in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"feather-spray\"\n{more}"
        );
        let layout = laid(&text, "");
        let d = &layout.designs[0];
        drawing::draw_posed(&d.chosen.motif, &d.chosen.settings, &d.block, d.pose).unwrap().lines
    };
    let (plain, half) = (spray(""), spray("turn = 180\n"));
    let bounds = |lines: &[kurbo::BezPath]| thrice::top::repeats::bounds(lines);
    let turned = Affine::rotate(std::f64::consts::PI) * plain[0].clone();
    let off = bounds(&[turned]).center() - bounds(&half[..1]).center();
    assert!(off.hypot() < 1e-6, "{off}");
    let mirrored = spray("mirror = true\n");
    let off = bounds(&[Affine::FLIP_X * plain[0].clone()]).center() - bounds(&mirrored[..1]).center();
    assert!(off.hypot() < 1e-6, "{off}");
    // A quarter turn is drawn for a block that lies, and stands in this one.
    let b = bounds(&spray("turn = 90\n"));
    assert!(b.width() < 5.6 * IN && b.height() > 7.5 * IN, "{b}");
}

#[test]
fn every_block_gets_its_own_drawing_of_a_motif_with_a_seed() {
    let text = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"6in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"meander\"\nseed = \"each\"\nmargin = \"1/2in\"\n";
    let layout = laid(text, "");
    assert_eq!(layout.designs.len(), 4);
    assert!(layout.designs.iter().all(|d| (d.block.margin_mm - 12.7).abs() < 1e-9));
    let mut seeds: Vec<u32> = layout.designs.iter().map(|d| d.chosen.settings.whole("seed")).collect();
    seeds.dedup();
    assert_eq!(seeds.len(), 4);
}

#[test]
fn a_drawing_of_hers_is_a_motif_like_the_others() {
    let kettle = svg((10, 10), r#"<path d="M1,1 C4,9 6,9 9,1"/>"#);
    let text = "[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 2\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\ndrawing = \"kettle.svg\"\nbackground = \"echo\"\n";
    let layout = laid(text, &kettle);
    assert_eq!(named(&layout, "kettle"), 2);
    assert!(layout.designs[0].chosen.background.is_some());
    assert!(
        read(text, "").unwrap_err().contains("line 11: drawing: kettle.svg: not found"),
        "{:?}",
        read(text, "")
    );
}

#[test]
fn borders_may_be_unequal_and_partial() {
    let top = format!(
        "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"8in\"\n{}",
        piece("blocks", "star")
    );
    for corner in ["butt", "square", "mitre"] {
        let text = format!(
            "{top}[[border]]\nwidth = \"4in, 3in, 5in, 2in\"\nmotif = \"cross-hatch\"\ncorner = \"{corner}\"\n"
        );
        let layout = laid(&text, "");
        let (w, h) = layout.size;
        assert!((w - 21.0 * IN).abs() < 1e-9 && (h - 25.0 * IN).abs() < 1e-9, "{corner}: {w} {h}");
        assert!((covered(&layout) - 21.0 * 25.0).abs() < 1e-6, "{corner}: {}", covered(&layout));
        // The middle of the quilt is not the middle of the blocks.
        let blocks = layout.patches.iter().filter(|p| p.place.is_block());
        let middle = blocks.map(|p| chain::bounds(&p.outline)).reduce(|a, b| a.union(b)).unwrap().center();
        assert!(middle.distance(Point::new(-0.5 * IN, 0.5 * IN)) < 1e-9, "{corner}: {middle}");
    }
    let partial = laid(&format!("{top}[[border]]\nwidth = \"4in, 0in, 4in, 0in\"\nmotif = \"cable\"\n"), "");
    assert!((partial.size.0 - 16.0 * IN).abs() < 1e-9 && (partial.size.1 - 24.0 * IN).abs() < 1e-9);
    assert_eq!(partial.patches.iter().filter(|p| p.place == Place::Border(1)).count(), 2);
    let told = read(
        &format!("{top}[[border]]\nwidth = \"4in, 3in, 4in, 3in\"\nmotif = \"cable\"\ncorner = \"turn\"\n"),
        "",
    );
    assert!(told.unwrap_err().contains("turns its corners only where all four sides are equally wide"));
}

#[test]
fn a_whole_cloth_is_one_piece_and_a_drawn_top_has_a_piece_for_each_patch() {
    let cloth =
        format!("[top]\nsetting = \"whole cloth\"\nblock = \"40in,50in\"\n{}", piece("blocks", "clamshell"));
    let layout = laid(&cloth, "");
    assert_eq!((layout.patches.len(), layout.designs.len()), (1, 1));
    assert!((covered(&layout) - 2000.0).abs() < 1e-6);
    // Three squares, one of them on point between two triangles, and a circle.
    let drawn = svg(
        (30, 20),
        r#"<rect id="a" width="10" height="10"/><rect id="b" x="10" width="10" height="10"/>
           <path id="c" d="M20,0 H30 L20,10 Z"/><path id="d" d="M30,0 V10 H20 Z"/><circle id="e" cx="15" cy="15" r="5"/>"#,
    );
    let top = "[top]\nsetting = \"drawn\"\ndrawing = \"x.svg\"\n";
    let layout = laid(&format!("{top}{}{}", piece("blocks", "star"), piece("e", "feather-wreath")), &drawn);
    assert_eq!((layout.patches.len(), named(&layout, "star"), named(&layout, "feather-wreath")), (5, 4, 1));
    let squares = layout.designs.iter().find(|d| d.at.len() == 2).unwrap();
    assert_eq!(squares.block.shape, thrice::block::shape::Shape::Square { side: 254.0 });
    let told = read(&format!("{top}{}", piece("f", "star")), &drawn).unwrap_err();
    assert!(told.contains("`f` is no place of the quilt; there are blocks"), "{told}");
    let over = drawn.replace(r#"x="10" width"#, r#"x="9" width"#);
    let told = read(&format!("{top}{}", piece("blocks", "star")), &over).unwrap_err();
    assert!(told.contains("patches `a` and `b` overlap by 1 in"), "{told}");
}

#[test]
fn rectangles_on_point_are_cut_at_the_edge() {
    let text = format!(
        "[top]\nsetting = \"on point\"\nrows = 3\ncolumns = 3\nblock = \"6in,9in\"\n{}{}{}",
        piece("blocks", "cross-hatch"),
        piece("side triangles", "cross-hatch"),
        piece("corner triangles", "cross-hatch")
    );
    let layout = laid(&text, "");
    let side = 3.0 * 15.0 / 2f64.sqrt();
    assert!((layout.size.0 - side * IN).abs() < 1e-9);
    assert!((covered(&layout) / side / side - 1.0).abs() < 0.01, "{}", covered(&layout));
}

/// Where lines end on the edges of pieces, on the quilt as it was planned: each with its piece; corners are left out.
fn seam_ends(layout: &Layout) -> Vec<(usize, Point)> {
    /// A line this near a corner may be too short to sew in one of the pieces, mm.
    const CORNER_MM: f64 = 2.5;
    let mut ends = Vec::new();
    let mut piece = 0;
    for design in layout.designs.iter().filter(|d| d.block.lie.is_some()) {
        let lines =
            drawing::draw(&design.chosen.motif, &design.chosen.settings, &design.block).unwrap().lines;
        let corners = design.block.outline.outer.corners();
        for at in &design.at {
            piece += 1;
            for s in lines.iter().flat_map(subpaths) {
                use kurbo::ParamCurve;
                for p in [s[0].start(), s[s.len() - 1].end()] {
                    let on_edge = chain::distance_to_ring(p, design.block.outline.outer.points()) < 0.01;
                    if on_edge && corners.iter().all(|c| c.distance(p) > CORNER_MM) {
                        ends.push((piece, *at * planned(design.block.lie.as_ref().unwrap(), p)));
                    }
                }
            }
        }
    }
    ends
}

/// The place on the side of the planned block at the same share of the side of the odd one.
fn planned(lie: &Lie, p: Point) -> Point {
    let Some([planned, odd]) = lie.bend else { return p };
    let side = (0..4).min_by(|i, j| {
        let off = |i: usize| p.distance(chain::nearest_on_segment(p, odd[i], odd[(i + 1) % 4]));
        off(*i).total_cmp(&off(*j))
    });
    let i = side.unwrap();
    let share = p.distance(odd[i]) / odd[i].distance(odd[(i + 1) % 4]);
    planned[i].lerp(planned[(i + 1) % 4], share)
}

#[test]
fn lattices_run_through_every_seam() {
    let odd = "[[odd]]\nname = \"wide\"\nsides = \"8 1/8in, 8in, 8in, 8 1/16in\"\ndiagonal = \"11 3/8in\"\nat = [2, 2]\n";
    let mut looked_at = 0;
    for motif in ["cross-hatch", "grid", "hanging-diamonds", "diagonals", "orange-peel"] {
        let fill = |places: &[&str]| places.iter().map(|p| piece(p, motif)).collect::<String>();
        for (name, text) in [
            (
                "straight",
                format!(
                    "[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 2\nblock = \"8in,7in\"\n{}",
                    fill(&["blocks"])
                ),
            ),
            (
                "sashes",
                format!(
                    "[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 3\nblock = \"8in\"\nsashing = \"1 1/2in\"\n{}{odd}",
                    fill(&["blocks", "sashes", "posts"])
                ),
            ),
            (
                "sizes",
                format!(
                    "[top]\nsetting = \"straight\"\nrows = [\"8in\", \"5in\"]\ncolumns = [\"6in\", \"9in\"]\n{}",
                    fill(&["blocks"])
                ),
            ),
            (
                "on point",
                format!(
                    "[top]\nsetting = \"on point\"\nrows = 2\ncolumns = 3\nblock = \"8in\"\nsashing = \"2in\"\n{}",
                    fill(&["blocks", "side triangles", "corner triangles", "sashes", "posts"])
                ),
            ),
        ] {
            let (layout, _, _) = lay_out(&read(&text, "").unwrap()).unwrap();
            let (x, y) = (layout.size.0 / 2.0 - 0.5, layout.size.1 / 2.0 - 0.5);
            let ends = seam_ends(&layout);
            for (piece, p) in ends.iter().filter(|(_, p)| p.x.abs() < x && p.y.abs() < y) {
                let others = ends.iter().filter(|(other, _)| other != piece);
                let off = others.map(|(_, q)| p.distance(*q)).fold(f64::INFINITY, f64::min);
                // Half posts on the edge are not quilted.
                let edge = name == "on point" && (x - p.x.abs()).min(y - p.y.abs()) < 2.0 * IN;
                assert!(off < 0.5 || edge, "{motif}, {name}: {p} is {off} mm from its partner");
                looked_at += 1;
            }
        }
    }
    assert!(looked_at > 3000, "{looked_at} ends were looked at");
}

#[test]
fn an_all_over_meander_is_a_closed_line_for_every_hooping() {
    for (motif, count) in [("meander", 6), ("loops", 8)] {
        let text =
            format!("[top]\nsetting = \"whole cloth\"\nblock = \"17in,17in\"\n{}", piece("blocks", motif));
        let work = thrice::top::work(&read(&text, "").unwrap(), &|_, _| {}).unwrap();
        assert_eq!((work.hoopings.len(), work.sewn.len()), (count, count), "{motif}");
        for sewn in &work.sewn {
            assert_eq!((sewn.joins.len(), sewn.piece.survey.jumps()), (0, 0), "{motif}, {}", sewn.folder);
        }
        let together: f64 = work.sewn.iter().map(|s| s.piece.network.drawn_length()).sum();
        let whole = work.made[0].whole.network.drawn_length();
        assert!((together / whole - 1.0).abs() < 1e-3, "{motif}: {together} mm of {whole} mm");
        let plan = thrice::top::plan::plan(&work);
        assert!(plan.warnings.iter().all(|w| !w.text.contains("jump")), "{:?}", plan.warnings);
    }
}

#[test]
fn a_family_fills_every_place_with_motifs_that_fit() {
    for family in family::all() {
        for top in [
            "setting = \"on point\"\nrows = 2\ncolumns = 2\nblock = \"8in\"\nsashing = \"1 1/2in\"",
            "setting = \"straight\"\nrows = 2\ncolumns = 2\nblock = \"6in,9in\"\nsashing = \"3in\"",
        ] {
            let text = format!(
                "[look]\nfamily = \"{}\"\n[top]\n{top}\n[[border]]\nwidth = \"2in\"\n[[border]]\nwidth = \"5in\"\ncorner = \"square\"\n",
                family.name
            );
            let layout = laid(&text, "");
            let bare = layout.notes.iter().find(|n| n.text.starts_with("Not quilted"));
            let bare = bare.filter(|n| !n.text.contains("for them: half posts on the edge."));
            assert_eq!(bare, None, "{}: {top}", family.name);
            assert_eq!(layout.rings.len(), 2);
        }
    }
    assert!(
        read(
            "[look]\nfamily = \"x\"\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\nblock = \"8in\"\n",
            ""
        )
        .unwrap_err()
        .contains("there is no family `x`; there are cables, feathers")
    );
}
