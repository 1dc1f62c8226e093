use super::*;

#[test]
fn every_way_of_writing_it_is_read() {
    for (text, mm) in [
        ("8in", 203.2),
        ("8\"", 203.2),
        ("8 1/2in", 215.9),
        ("8-1/2 in", 215.9),
        ("8.5in", 215.9),
        ("3/8in", 9.525),
        ("216mm", 216.0),
        ("21.6cm", 216.0),
        (" 8 IN ", 203.2),
        ("8½in", 215.9),
        ("8 ½ in", 215.9),
        ("¼in", 6.35),
        ("8″", 203.2),
        (".5in", 12.7),
    ] {
        let read = read_length(text).unwrap();
        assert!((read - mm).abs() < 1e-9, "{text} read as {read}");
    }
}

#[test]
fn a_bare_number_is_refused_with_a_unit_to_add() {
    let words = read_length("8.5").unwrap_err().to_string();
    assert_eq!(words, "`8.5` has no unit; write `8.5in` or `8.5mm`");
}

#[test]
fn nonsense_is_refused() {
    for text in [
        "", "in", "eight in", "8 1/0in", "1e3in", "NaNmm", "8 1 2in", "½½in", "½8in", "1/2½in", "8..5in",
        "infmm", "🧵", "1/2/3in",
    ] {
        assert!(matches!(read_length(text), Err(LengthError::NotALength { .. })), "{text}");
    }
    assert!(matches!(read_length("-8in"), Err(LengthError::OutOfRange { .. })));
    assert!(matches!(read_length("99999in"), Err(LengthError::OutOfRange { .. })));
}

#[test]
fn lengths_print_in_the_quilters_units() {
    assert_eq!(show_length(215.9, Units::Inches), "8 1/2 in (215.9 mm)");
    assert_eq!(show_length(203.2, Units::Millimetres), "203.2 mm (8 in)");
    assert_eq!(show_inches(9.525), "3/8 in");
    assert_eq!(show_inches(9.6), "3/8 in");
    assert_eq!(show_inches(10.0), "about 3/8 in");
    assert_eq!(show_inches(0.5), "under 1/16 in");
    assert_eq!(show_inches(0.0), "0 in");
    assert_eq!(show_inches(-3.175), "-1/8 in");
}

#[test]
fn printed_fractions_read_back() {
    assert_eq!(option(215.9, Units::Inches), "8-1/2in");
    assert_eq!(option(7.9375, Units::Inches), "5/16in");
    assert_eq!(option(8.0, Units::Millimetres), "8mm");
    for n in 1..400 {
        let mm = f64::from(n) / 16.0 * MM_PER_INCH;
        assert!((read_length(&option(mm, Units::Inches)).unwrap() - mm).abs() < 1e-9);
        assert!((read_length(&show_inches(mm)).unwrap() - mm).abs() < 1e-9);
    }
}

#[test]
fn inches_are_a_tapes_and_say_so_where_they_are_not_the_length() {
    for tenth in 1..4000 {
        let mm = f64::from(tenth) / 10.0;
        let said = show_inches(mm);
        let (about, plain) = said.strip_prefix("about ").map_or((false, &*said), |plain| (true, plain));
        let off =
            plain.strip_prefix("under ").map_or_else(|| (read_length(plain).unwrap() - mm).abs(), |_| 0.0);
        assert!(off <= MM_PER_INCH / 32.0 + 1e-9, "{mm} mm is said to be {said}");
        assert_eq!(off > ABOUT_MM, about, "{mm} mm is said to be {said}");
    }
}

#[test]
fn a_limit_is_rounded_to_the_safe_side() {
    assert_eq!(show_at_most(24.8, Units::Inches), "15/16 in (23.8 mm)");
    assert_eq!(show_at_most(6.35, Units::Inches), "1/4 in (6.4 mm)");
    assert_eq!(show_at_most(1.0, Units::Inches), "about 1/16 in (1 mm)");
}

#[test]
fn a_message_written_inches_first_is_told_in_either_unit() {
    for mm in [0.5, 3.0, 6.35, 10.0, 203.2, 215.9, 288.9, -3.175] {
        let said = |units| format!("is 3 by {} wide; ask for less (or more).", show_length(mm, units));
        assert_eq!(in_units(&said(Units::Inches), Units::Millimetres), said(Units::Millimetres));
        assert_eq!(in_units(&said(Units::Inches), Units::Inches), said(Units::Inches));
        assert_eq!(in_units(&said(Units::Millimetres), Units::Millimetres), said(Units::Millimetres));
    }
    let both = "from 8 in (203.2 mm) to 8 1/2 in (215.9 mm)";
    assert_eq!(in_units(both, Units::Millimetres), "from 203.2 mm (8 in) to 215.9 mm (8 1/2 in)");
    for plain in ["one in (5 mm)", "lies in (0, 0)", "none in (", ""] {
        assert_eq!(in_units(plain, Units::Millimetres), plain);
    }
}

#[test]
fn the_units_most_used_are_told() {
    for (text, units) in [
        ("8in", Units::Inches),
        ("8 1/2 in,216mm", Units::Inches),
        ("20cm, 200mm, 8in", Units::Millimetres),
        ("6\",9\",200mm", Units::Inches),
        ("block = \"8 1/2in\"\nsashing = \"20mm\"", Units::Inches),
        ("block = \"20cm\"", Units::Millimetres),
        ("", Units::Inches),
        ("200mm", Units::Millimetres),
    ] {
        assert_eq!(most_used([text]), units, "{text}");
    }
}
