use super::*;

fn svg(attributes: &str, body: &str) -> String {
    format!(r#"<svg xmlns="http://www.w3.org/2000/svg" {attributes}>{body}</svg>"#)
}

fn size(attributes: &str, body: &str) -> (f64, f64) {
    let Shape::Outline { paths } = svg_outline(&svg(attributes, body)).unwrap() else { panic!("no outline") };
    let b = paths[0].bounding_box();
    ((b.width() * 1e3).round() / 1e3, (b.height() * 1e3).round() / 1e3)
}

const BOX: &str = r#"<rect x="1" y="1" width="8" height="4"/>"#;

#[test]
fn physical_sizes_are_honoured() {
    assert_eq!(size(r#"width="10in" height="10in" viewBox="0 0 10 10""#, BOX), (203.2, 101.6));
    assert_eq!(size(r#"width="200mm" height="200mm" viewBox="0 0 10 10""#, BOX), (160.0, 80.0));
    assert_eq!(size(r#"width="20cm" height="20cm" viewBox="0 0 10 10""#, BOX), (160.0, 80.0));
    assert_eq!(size(r#"width="960" height="960""#, r#"<rect width="768" height="96"/>"#), (203.2, 25.4));
    assert_eq!(size(r#"viewBox="0 0 960 960""#, r#"<rect width="768" height="96"/>"#), (203.2, 25.4));
}

#[test]
fn transforms_and_uses_are_applied_and_y_points_up() {
    let text = svg(
        r#"width="100mm" height="50mm" viewBox="0 0 100 50""#,
        r#"<g transform="translate(10 5)"><path d="M0 0 L20 0 L0 10 Z" transform="scale(2)"/></g>"#,
    );
    let lines = svg_lines(&text).unwrap();
    let expected = [(10.0, 45.0), (50.0, 45.0), (10.0, 25.0)];
    let got: Vec<Point> = lines[0].segments().map(|s| s.start()).collect();
    assert!(got.iter().zip(expected).all(|(p, q)| p.distance(q.into()) < 1e-4), "{got:?}");
}

#[test]
fn lines_keep_their_order_and_stay_open_or_closed() {
    let text = svg(
        r#"width="100mm" height="100mm" viewBox="0 0 100 100""#,
        r#"<path fill="none" stroke="black" d="M0 0 L20 0 M0 9 C0 20 9 20 9 9 Z"/><circle r="9"/><path d="M0 0L9 9"/>
               <path fill="none" d="M0 0 L80 80"/><path visibility="hidden" d="M0 0 L80 80 L0 80 Z"/>"#,
    );
    let lines = svg_lines(&text).unwrap();
    assert_eq!(lines.iter().map(is_closed).collect::<Vec<_>>(), [false, true, true, false]);
    assert_eq!(svg_fills(&text), Ok(2));
}

#[test]
fn letters_are_told() {
    let text = svg(
        r#"width="100mm" height="100mm""#,
        r#"<path stroke="black" d="M0 0 L90 0"/><text x="1" y="9">For <tspan>Ida</tspan></text><text/>"#,
    );
    assert_eq!(svg_words(&text), Ok(vec!["For Ida".to_owned()]));
    assert_eq!(svg_lines(&text).unwrap().len(), 1);
}

#[test]
fn the_first_closed_path_comes_first() {
    let body = r#"<path stroke="black" d="M0 0 L90 0"/><circle cx="50" cy="50" r="40"/><circle cx="50" cy="50" r="9"/>"#;
    assert_eq!(size(r#"width="100mm" height="100mm" viewBox="0 0 100 100""#, body), (80.0, 80.0));
}

#[test]
fn drawings_without_an_outline_are_refused() {
    let mm = r#"width="100mm" height="100mm" viewBox="0 0 100 100""#;
    let open = svg(mm, r#"<path stroke="black" d="M0 0 L90 0 L90 90"/>"#);
    assert_eq!(svg_outline(&open), Err(BlockError::NoClosedPath));
    assert_eq!(svg_outline(&svg(mm, "")), Err(BlockError::NoClosedPath));
    let speck = svg(mm, r#"<rect width="1" height="50"/>"#);
    assert!(matches!(svg_outline(&speck), Err(BlockError::Size { what: "drawn width", .. })));
    let vast =
        svg(r#"width="50000mm" height="50000mm" viewBox="0 0 9 9""#, r#"<rect width="9" height="9"/>"#);
    assert!(matches!(svg_outline(&vast), Err(BlockError::Size { .. })));
}

#[test]
fn pictures_are_not_opened() {
    // A picture that was opened would bring its own lines along.
    let dir = tempfile::tempdir().unwrap();
    let other = dir.path().join("other.svg");
    std::fs::write(&other, svg(r#"width="9in" height="9in""#, BOX)).unwrap();
    let picture = format!(r#"<image width="9" height="9" href="{}"/>"#, other.display());
    assert_eq!(svg_lines(&svg(r#"width="9in" height="9in""#, &picture)), Ok(vec![]));
    let fifo = dir.path().join("fifo");
    if std::process::Command::new("mkfifo").arg(&fifo).status().is_ok_and(|s| s.success()) {
        let waits = format!(r#"<image width="9" height="9" href="{}"/>"#, fifo.display());
        assert_eq!(svg_lines(&svg(r#"width="9in" height="9in""#, &waits)), Ok(vec![]));
    }
}

#[test]
fn broken_and_hostile_text_is_refused_or_read_without_harm() {
    let bomb = r#"<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
            <!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;">]>
            <svg xmlns="http://www.w3.org/2000/svg" width="1" height="1"><text>&d;&d;</text></svg>"#;
    let endless = r##"<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><g id="a"><use href="#a"/></g></svg>"##;
    let deep = |n: usize| svg(r#"width="9" height="9""#, &format!("{}{}", "<g>".repeat(n), "</g>".repeat(n)));
    let numbers =
        svg(r#"width="9in" height="9in""#, r#"<path d="M0 0 L1e38 1e38 L-1e38 9 Z"/><path d="M NaN 1 L"/>"#);
    for text in [
        "",
        "<",
        "<svg",
        "not an svg",
        "<svg/>",
        "\u{0}",
        "<html/>",
        bomb,
        endless,
        &deep(900),
        &deep(50_000),
        &numbers,
    ] {
        assert!(svg_outline(text).is_err(), "{}", &text[..text.len().min(60)]);
    }
    assert!(matches!(svg_outline(&" ".repeat(svg_bounds::MOST_BYTES + 1)), Err(BlockError::Drawing { .. })));
    let many = svg(r#"width="9" height="9""#, &format!(r#"<path d="M0 0{}"/>"#, "H9H0".repeat(150_000)));
    let BlockError::Drawing { reason } = svg_outline(&many).unwrap_err() else { panic!("not refused") };
    assert!(reason.starts_with("it has 30000"), "{reason}");
}
