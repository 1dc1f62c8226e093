//! The layout and the cutting list against published counts and charts.

use thrice::base::chain;
use thrice::base::units::MM_PER_INCH;
use thrice::top::place::Place;
use thrice::top::{cutting, laying, layout};

use super::{quilt, read};

const BLOCKS: &str = "[[piece]]\nwhere = \"blocks\"\nmotif = \"orange-peel\"\n";

fn on_point(rows: u32, columns: u32, block: &str, sashing: &str) -> thrice::top::file::Quilt {
    quilt(&format!(
        "[top]\nsetting = \"on point\"\nrows = {rows}\ncolumns = {columns}\nblock = \"{block}\"\nsashing = \"{sashing}\"\n{BLOCKS}"
    ))
}

fn count(layout: &layout::Layout, place: &Place) -> usize {
    layout.patches.iter().filter(|p| p.place == *place).count()
}

#[test]
fn a_setting_on_point_has_the_published_counts() {
    // 4 × 4: 25 blocks and 12 triangles from 3 squares [102];
    // 4 × 5: 32 blocks [103], 14 triangles from 4 squares.
    for (rows, columns, blocks, sides, squares) in
        [(4, 4, 25, 12, 3), (4, 5, 32, 14, 4), (1, 1, 1, 0, 0), (1, 6, 6, 10, 3), (13, 13, 313, 48, 12)]
    {
        let quilt = on_point(rows, columns, "8in", "0in");
        let layout = laying::lay(&quilt).unwrap();
        let all = count(&layout, &Place::Blocks) + count(&layout, &Place::AlternateBlocks);
        assert_eq!(all, blocks, "{rows} × {columns}");
        assert_eq!(count(&layout, &Place::SideTriangles), sides, "{rows} × {columns}");
        assert_eq!(count(&layout, &Place::CornerTriangles), 4);
        let cuts = cutting::list(&quilt);
        let cut = |what: &str| cuts.iter().find(|c| c.what == what).map_or(0, |c| c.cut);
        assert_eq!((cut("side triangles"), cut("corner triangles")), (squares, 2));
        // The centre is columns and rows of block diagonals.
        let diagonal = 8.0 * MM_PER_INCH * 2f64.sqrt();
        let (w, h) = layout.centre;
        assert!(
            (w - f64::from(columns) * diagonal).abs() < 1e-9 && (h - f64::from(rows) * diagonal).abs() < 1e-9
        );
    }
}

#[test]
fn setting_triangles_are_cut_as_the_published_chart_has_them() {
    // Finished block, side square, corner square, in: [95] and [100];
    // the 3½ in corner by its formula, printed 3½.
    let chart = [
        ("3in", 5.5, 3.0),
        ("3 1/2in", 6.25, 3.375),
        ("4in", 7.0, 3.75),
        ("4 1/2in", 7.625, 4.125),
        ("5in", 8.375, 4.5),
        ("5 1/2in", 9.125, 4.875),
        ("6in", 9.75, 5.125),
        ("6 1/2in", 10.5, 5.5),
        ("7in", 11.25, 5.875),
        ("7 1/2in", 11.875, 6.25),
        ("8in", 12.625, 6.625),
        ("8 1/2in", 13.375, 7.0),
        ("9in", 14.0, 7.25),
        ("9 1/2in", 14.75, 7.625),
        ("10in", 15.5, 8.0),
        ("10 1/2in", 16.125, 8.375),
        ("11in", 16.875, 8.75),
        ("11 1/2in", 17.625, 9.125),
        ("12in", 18.25, 9.375),
        ("12 1/2in", 19.0, 9.75),
        ("13in", 19.75, 10.125),
        ("14in", 21.125, 10.875),
        ("15in", 22.5, 11.5),
        ("16in", 23.875, 12.25),
    ];
    for (block, side, corner) in chart {
        let cuts = cutting::list(&on_point(4, 4, block, "0in"));
        let cut = |what: &str| cuts.iter().find(|c| c.what == what).unwrap().cut_mm / MM_PER_INCH;
        let off = (cut("side triangles") - side).abs().max((cut("corner triangles") - corner).abs());
        assert!(off < 1e-9, "{block} is off by {off}");
    }
    // A plain setting square of 6 in is cut 6½ [99].
    let plain = cutting::list(&on_point(2, 2, "6in", "0in"))[0].cut_mm;
    assert!((plain - 6.5 * MM_PER_INCH).abs() < 1e-9, "{plain}");
}

/// The patches cover the quilt and nothing else: their areas add up, and none reaches over the edge.
fn covers(quilt: &thrice::top::file::Quilt, what: &str) {
    let layout = laying::lay(quilt).unwrap();
    let (w, h) = layout.size;
    let area: f64 = layout.patches.iter().map(|p| chain::signed_area(&p.outline).abs()).sum();
    // On point with sashing, the triangles of the bare block leave nothing over either.
    assert!((area / (w * h) - 1.0).abs() < 1e-9, "{what}: {area} of {}", w * h);
    for p in layout.patches.iter().flat_map(|p| &p.outline) {
        assert!(p.x.abs() < w / 2.0 + 1e-6 && p.y.abs() < h / 2.0 + 1e-6, "{what}: {p}");
    }
    // No patch lies over another: their middles are in no other patch.
    for (i, a) in layout.patches.iter().enumerate() {
        let sum = a.outline.iter().fold(kurbo::Vec2::ZERO, |s, p| s + p.to_vec2());
        let middle = (sum / a.outline.len() as f64).to_point();
        let over =
            layout.patches.iter().enumerate().filter(|(j, b)| i != *j && chain::contains(&b.outline, middle));
        assert_eq!(over.count(), 0, "{what}: {:?}", a.place);
    }
}

#[test]
fn the_patches_of_every_setting_cover_the_quilt_once() {
    for corner in ["turn", "square", "butt", "mitre"] {
        for (setting, block, sashing, outer) in [
            ("straight", "8in", "0in", ""),
            ("straight", "6in,9in", "1 1/2in", ""),
            ("straight", "6in,9in", "1 1/2in", "outer-sashing = true\n"),
            ("on point", "8in", "0in", ""),
            ("on point", "8in", "2in", ""),
        ] {
            let text = format!(
                "[top]\nsetting = \"{setting}\"\nrows = 3\ncolumns = 4\nblock = \"{block}\"\nsashing = \"{sashing}\"\n{outer}{BLOCKS}\
                 [[border]]\nwidth = \"2in\"\ncorner = \"{corner}\"\n[[border]]\nwidth = \"5in\"\ncorner = \"{corner}\"\n"
            );
            covers(&quilt(&text), &format!("{setting} {sashing} {corner}"));
        }
    }
}

#[test]
fn sashes_and_posts_are_counted() {
    let text = |outer: &str| {
        format!(
            "[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 4\nblock = \"8in\"\nsashing = \"2in\"\n{outer}{BLOCKS}"
        )
    };
    let inner = laying::lay(&quilt(&text(""))).unwrap();
    assert_eq!((count(&inner, &Place::Sashes), count(&inner, &Place::Posts)), (17, 6));
    let outer = laying::lay(&quilt(&text("outer-sashing = true\n"))).unwrap();
    assert_eq!((count(&outer, &Place::Sashes), count(&outer, &Place::Posts)), (31, 20));
    let pointed = laying::lay(&on_point(3, 4, "8in", "2in")).unwrap();
    // Four sashes to each of twelve blocks; 17 whole posts and 14 halves on the edge.
    assert_eq!((count(&pointed, &Place::Sashes), count(&pointed, &Place::Posts)), (48, 31));
}

#[test]
fn an_odd_block_lies_in_its_place() {
    let odd = "[[odd]]\nname = \"wide one\"\nsides = \"8 1/8in, 8in, 8in, 8 1/16in\"\ndiagonal = \"11 3/8in\"\nat = [1, 2]\n";
    let top = "[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 3\nblock = \"8in\"\n";
    let layout = laying::lay(&quilt(&format!("{top}{BLOCKS}{odd}"))).unwrap();
    let design = layout.designs.iter().find(|d| d.name == "wide-one").unwrap();
    assert_eq!(design.at.len(), 1);
    let centre = design.at[0] * kurbo::Point::ZERO;
    assert!(centre.distance(kurbo::Point::new(0.0, 4.0 * MM_PER_INCH)) < 1e-9, "{centre}");
    assert_eq!(layout.designs.iter().find(|d| d.name == "blocks").unwrap().at.len(), 5);
    // Between the rows on point, by halves.
    let top = "[top]\nsetting = \"on point\"\nrows = 2\ncolumns = 3\nblock = \"8in\"\n";
    let between = odd.replace("[1, 2]", "[1.5, 2.5]");
    let layout = laying::lay(&quilt(&format!("{top}{BLOCKS}{between}"))).unwrap();
    let design = layout.designs.iter().find(|d| d.name == "wide-one").unwrap();
    let centre = design.at[0] * kurbo::Point::ZERO;
    assert!(centre.distance(kurbo::Point::new(4.0 * MM_PER_INCH * 2f64.sqrt(), 0.0)) < 1e-9, "{centre}");
}

#[test]
fn every_mistake_of_a_quilt_file_is_told_with_its_line() {
    let text = "title = \"Test\"\nshow = \"yards\"\n[machine]\nhoops = [\"200 x 200\"]\nspeed = 9000\nformats = [\"xyz\"]\n\
                [top]\nsetting = \"slanted\"\nrows = 0\ncolour = \"red\"\nblock = \"8\"\n[[piece]]\nwhere = \"middle\"\n\
                motif = \"orangepeel\"\n[[border]]\ncorner = \"round\"\n[[odd]]\nname = \"x\"\nat = [9, 1]\n";
    let told = read(text).unwrap_err();
    let expected = [
        "line 2: show is `yards`; it is \"in\" or \"mm\"",
        "line 4: `200 x 200` is not a sewing field",
        "line 5: speed in [machine] is 9000; it goes from 50 to 2000",
        "line 6: `xyz` is no machine format here; there are dst, exp",
        "line 7: `columns` is missing in [top]",
        "line 8: setting is `slanted`; it is \"straight\", \"on point\", \"whole cloth\" or \"drawn\"",
        "line 9: rows in [top] is 0; it goes from 1 to 60",
        "line 10: `colour` is not known in [top]; allowed are setting, rows",
        "line 11: block: `8` has no unit",
        "line 13: `middle` is no place of the quilt; there are blocks, alternate blocks",
        "line 14: there is no motif `orangepeel`, the nearest is orange-peel",
        "line 15: `width` is missing in [[border]]",
        "line 16: corner is `round`; it is \"turn\"",
        "line 17: an odd block needs one shape",
    ];
    for start in expected {
        assert!(told.iter().any(|line| line.starts_with(start)), "{start}\nnot in\n{}", told.join("\n"));
    }
    assert_eq!(told.len(), expected.len(), "{}", told.join("\n"));
}

#[test]
fn what_a_setting_does_not_have_cannot_be_quilted() {
    let text = "title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 2\ncolumns = 2\n\
                block = \"8in\"\n[[piece]]\nwhere = \"side triangles\"\nmotif = \"cross-hatch\"\n[[piece]]\nwhere = \"posts\"\n\
                motif = \"cross-hatch\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"cross-hatch\"\n[[piece]]\nwhere = \"blocks\"\n\
                motif = \"cross-hatch\"\n";
    let told = read(text).unwrap_err().join("\n");
    assert!(
        told.contains("line 10: there are no side triangles in this quilt; only a setting on point"),
        "{told}"
    );
    assert!(told.contains("line 13: there are no posts in this quilt; there is no sashing"), "{told}");
    assert!(told.contains("line 19: `blocks` has a motif already"), "{told}");
}

#[test]
fn a_background_fills_what_the_blocks_leave_open_and_a_wrong_one_is_told() {
    let with = |background: &str| {
        format!(
            "title = \"Test\"\n[machine]\nhoops = [\"200 x 200 mm\"]\n[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 1\n\
             block = \"7in\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"leaf-rosette\"\n{background}\n"
        )
    };
    let drawn = |background: &str| {
        let work = thrice::top::work(&read(&with(background)).unwrap(), &|_, _| {}).unwrap();
        (work.sewn[0].piece.title(), work.sewn[0].piece.route.drawn_mm)
    };
    let (bare, filled) =
        (drawn(""), drawn("background = \"echo\"\nbackground-settings = [\"spacing=1/4in\"]"));
    assert_eq!((bare.0.as_str(), filled.0.as_str()), ("Leaf rosette", "Leaf rosette on echo"));
    assert!(filled.1 > bare.1 * 1.1, "{} mm of line, {} mm without", filled.1, bare.1);
    let told = |background: &str| read(&with(background)).unwrap_err();
    assert_eq!(
        told("background = \"cable\""),
        [
            "line 9: cable cannot be a background; take a motif that suits any shape, such as cross-hatch, echo or stipple"
        ]
    );
    assert_eq!(
        told("background-settings = [\"spacing=1in\"]"),
        ["line 12: background-settings needs a background, such as background = \"cross-hatch\""]
    );
}

#[test]
fn an_odd_block_larger_than_its_place_is_refused_and_a_smaller_one_told() {
    let odd = |sides: &str| {
        let text = format!(
            "[top]\nsetting = \"straight\"\nrows = 1\ncolumns = 2\nblock = \"8in\"\n[[piece]]\nwhere = \"blocks\"\n\
             motif = \"grid\"\n[[odd]]\nname = \"odd one\"\nat = [1, 2]\n{sides}\n"
        );
        thrice::top::lay_out(&quilt(&text)).map(|laid| laid.0.notes).map_err(|e| e.to_string())
    };
    assert_eq!(
        odd("square = \"11in\""),
        Err("odd one is 11 in (279.4 mm) by 11 in (279.4 mm), but its place is 8 in (203.2 mm) by 8 in (203.2 mm): it would \
             be sewn 1 1/2 in (38.1 mm) beyond the quilt’s edge; measure it again, piece it to size, or give its column and \
             row sizes of their own: columns = […], rows = […]"
            .to_owned())
    );
    assert!(odd("square = \"7in\"").unwrap()[0].text.contains("a part of its place would stay bare"));
    // A quarter inch is eased in.
    assert_eq!(odd("square = \"8 1/4in\""), Ok(Vec::new()));
}

#[test]
fn a_place_left_bare_is_held_against_the_batting() {
    let bare = |sashing: &str| {
        let text = format!(
            "[sandwich]\ngap = \"3in\"\n[top]\nsetting = \"straight\"\nrows = 3\ncolumns = 3\nblock = \"6in\"\n\
             sashing = \"{sashing}\"\n[[piece]]\nwhere = \"blocks\"\nmotif = \"grid\"\n[[piece]]\nwhere = \"posts\"\n\
             motif = \"grid\"\n"
        );
        thrice::top::lay_out(&quilt(&text)).unwrap().0.notes
    };
    // Margins of a quarter inch stay open on both sides.
    assert_eq!(bare("2 1/2in").len(), 1);
    let notes = bare("2 5/8in");
    assert!(notes[1].text.starts_with("Left bare, the sashes stay open over at least 3 1/8 in"), "{notes:?}");
}

#[test]
fn squares_for_setting_triangles_are_cut_corner_to_corner_in_sixteenths() {
    let cuts = cutting::list(&on_point(3, 3, "7 1/2in", "0in"));
    let how = |what: &str| cuts.iter().find(|c| c.what == what).unwrap().how.clone();
    // 7.5 · √2 + 1.25 = 11.857 in; 7.5 / √2 + 0.875 = 6.178 in.
    assert_eq!(
        how("side triangles"),
        "11 7/8 in (301.6 mm) squares, each cut diagonally, corner to corner, both ways into four triangles"
    );
    assert_eq!(
        how("corner triangles"),
        "6 1/4 in (158.8 mm) squares, each cut once diagonally, corner to corner, into two triangles"
    );
}
