//! Machine files: bytes worked out by hand, outside readers, damaged files.

mod support;

use kurbo::Point;
use proptest::prelude::*;
use support::machine::{Act, dst_value, read_dst, read_exp, runs};
use thrice::stitches::{Run, Stitches, fingerprint};
use thrice::wire::{Format, WireError, dst, exp};

/// Stitches from runs of needle points in tenths of a millimetre.
fn stitches(all: &[&[(i32, i32)]]) -> Stitches {
    let point = |p: &(i32, i32)| Point::new(f64::from(p.0) / 10.0, f64::from(p.1) / 10.0);
    Stitches::new(all.iter().map(|run| Run::from_points(run.iter().map(point).collect())).collect())
}

/// Two runs in a field of 12 × 4 mm; their centre is at 6, 2.
fn sample() -> Stitches {
    stitches(&[&[(0, 0), (25, 0), (25, 24)], &[(100, 40), (120, 40)]])
}

/// The bytes of lines of hexadecimal digits; what follows a `;` is a remark.
fn bytes(lines: &str) -> Vec<u8> {
    let digits = lines.lines().map(|line| line.split(';').next().unwrap_or(""));
    let pairs: Vec<&str> = digits.flat_map(str::split_whitespace).collect();
    pairs.into_iter().map(|pair| u8::from_str_radix(pair, 16).unwrap()).collect()
}

/// `stitches` moved so that `Stitches::centre` is at 0,0, in tenths of a millimetre.
fn about_centre(stitches: &Stitches) -> Vec<Vec<(i32, i32)>> {
    let tenths = |p: &Point| {
        let from_centre = (*p - stitches.centre) * 10.0;
        (from_centre.x.round() as i32, from_centre.y.round() as i32)
    };
    stitches.pieces.iter().map(|run| run.points.iter().map(tenths).collect()).collect()
}

#[test]
fn a_dst_file_has_the_bytes_worked_out_by_hand() {
    let head = "LA:two-runs        \rST:      9\rCO:  0\r+X:   60\r-X:   60\r+Y:   20\r-Y:   20\r\
                AX:+   60\rAY:+   20\rMX:+    0\rMY:+    0\rPD:******\r\x1A";
    let mut wanted = head.as_bytes().to_vec();
    wanted.resize(512, 0x20);
    wanted.extend(bytes(
        "A8 55 8B ; jump -60, -20: x -81 +27 -9 +3, y -27 +9 -3 +1
         00 00 03 ; the needle goes down
         01 06 03 ; stitch 25, 0: x +27 -3 +1
         00 60 03 ; stitch 0, 24: y +27 -3
         61 46 83 ; jump 25, 5: a third of 75, 16; y +9 -3 -1
         61 46 83 ; jump 25, 5
         21 46 83 ; jump 25, 6: y +9 -3
         00 00 03 ; the needle goes down
         0A 05 03 ; stitch 20, 0: x +27 -9 +3 -1
         00 00 F3 ; end",
    ));
    assert_eq!(dst::write(&sample(), "two-runs").unwrap(), wanted);
}

#[test]
fn an_exp_file_has_the_bytes_worked_out_by_hand() {
    let wanted = bytes(
        "80 04 C4 EC ; jump -60, -20: 256 - 60 = C4, 256 - 20 = EC
         00 00       ; the needle goes down
         19 00       ; stitch 25, 0
         00 18       ; stitch 0, 24
         80 04 19 05 ; jump 25, 5: a third of 75, 16
         80 04 19 05 ; jump 25, 5
         80 04 19 06 ; jump 25, 6
         00 00       ; the needle goes down
         14 00       ; stitch 20, 0",
    );
    assert_eq!(exp::write(&sample()).unwrap(), wanted);
}

#[test]
fn the_published_exp_sample_is_read() {
    // Published [144]: ten positions, closed,
    // 38.1 × 25.4 mm, two jumps (written 80 02) and one colour change with a move.
    let sample =
        bytes("00 7F  00 7F  7F 00  80 02 7F 00  7F 00  80 01 00 81  00 81  81 00  80 02 81 00  81 00");
    assert_eq!(sample.len(), 26);
    let reading = exp::read(&sample).unwrap();
    let read: Vec<Vec<(f64, f64)>> =
        reading.stitches.pieces.iter().map(|run| run.points.iter().map(|p| (p.x, p.y)).collect()).collect();
    assert_eq!(
        read,
        [
            vec![(0.0, 0.0), (0.0, 12.7), (0.0, 25.4), (12.7, 25.4)],
            vec![(25.4, 25.4), (38.1, 25.4)],
            vec![(38.1, 12.7), (38.1, 0.0), (25.4, 0.0)],
            vec![(12.7, 0.0), (0.0, 0.0)],
        ]
    );
    let bounds = reading.stitches.bounds();
    assert_eq!((bounds.width(), bounds.height()), (38.1, 25.4));
    assert_eq!(reading.colour_changes, 1);
    assert!(reading.findings[0].starts_with("2 records have 80 02"), "{:?}", reading.findings);
}

#[test]
fn codes_that_descriptions_disagree_on_are_read_and_named() {
    let read = |lines: &str| exp::read(&bytes(lines)).unwrap();
    let points = |lines: &str| read(lines).stitches.penetrations();
    let first = |lines: &str| read(lines).findings.first().cloned().unwrap_or_default();
    assert!(first("05 00 05 00 80 80").starts_with("an end is marked by 80 80"));
    assert!(first("05 00 05 00 80 80 07 00").starts_with("an end is marked by 80 80"));
    assert!(first("05 00 80 80 00 00 05 00").starts_with("1 records have 80 80"));
    assert_eq!(read("05 00 80 80 00 00 05 00").stitches.pieces.len(), 2);
    assert!(first("05 00 80 06 01 01 05 00").starts_with("1 records have a code that is not known"));
    assert!(first("05 00 05").starts_with("the last record is cut short after 1 bytes"));
    assert!(first("05 00 80 04 01").starts_with("the last record is cut short after 3 bytes"));
    assert_eq!((points("05 00 05"), points("05 00 80 04 01"), points("")), (2, 2, 0));
    assert_eq!(read("7F 81 7F 80").stitches.pieces[0].points[2], Point::new(25.4, -25.5));
}

#[test]
fn outside_readers_find_the_needle_points() {
    let dst = read_dst(&dst::write(&sample(), "x").unwrap());
    let exp = read_exp(&exp::write(&sample()).unwrap());
    assert_eq!(runs(&dst), about_centre(&sample()));
    assert_eq!(runs(&exp), about_centre(&sample()));
    assert_eq!(dst[0], Act::Move(-60, -20));
}

#[test]
fn the_header_agrees_with_what_an_outside_reader_finds() {
    let design = stitches(&[&[(-1000, 30), (-1000, 60), (-900, 75)], &[(1, 2), (40, 1777), (55, 1700)]]);
    let file = dst::write(&design, "Ünit test: long name").unwrap();
    let acts = read_dst(&file);
    let places: Vec<(i32, i32)> = acts
        .iter()
        .map(|act| match act {
            Act::Down(x, y) | Act::Move(x, y) => (*x, *y),
        })
        .collect();
    let most = |of: fn(&(i32, i32)) -> i32| places.iter().map(of).max().unwrap().max(0).to_string();
    let end = places[places.len() - 1];
    assert_eq!(dst_value(&file, 0, "LA:", 16), "_nit_tes");
    assert_eq!(dst_value(&file, 20, "ST:", 7), acts.len().to_string());
    assert_eq!(dst_value(&file, 31, "CO:", 3), "0");
    assert_eq!(dst_value(&file, 38, "+X:", 5), most(|p| p.0));
    assert_eq!(dst_value(&file, 47, "-X:", 5), most(|p| -p.0));
    assert_eq!(dst_value(&file, 56, "+Y:", 5), most(|p| p.1));
    assert_eq!(dst_value(&file, 65, "-Y:", 5), most(|p| -p.1));
    assert_eq!(dst_value(&file, 74, "AX:", 6), format!("{:+}", end.0));
    assert_eq!(dst_value(&file, 84, "AY:", 6), format!("{:+}", end.1));
    assert_eq!(dst_value(&file, 94, "MX:", 6), "+0");
    assert_eq!(dst_value(&file, 104, "MY:", 6), "+0");
    assert_eq!(dst_value(&file, 114, "PD:", 6), "******");
    assert_eq!(file[124], 0x1A);
    assert!(file[125..512].iter().all(|b| *b == 0x20));
}

#[test]
fn a_header_that_disagrees_is_a_finding() {
    let mut file = dst::write(&sample(), "x").unwrap();
    assert_eq!(dst::read(&file).unwrap().findings, Vec::<String>::new());
    // The 9 of the record count, the 6 of 6.0 mm to the right.
    file[29] = b'7';
    file[44] = b'9';
    let reading = dst::read(&file).unwrap();
    assert_eq!(
        reading.findings,
        [
            "the header says 7 records, the design has 9",
            "the header says 9.0 mm to the right, the design goes 6.0"
        ]
    );
    assert_eq!(about_centre(&reading.stitches), about_centre(&sample()));
}

#[test]
fn cut_off_and_foreign_files_are_told_apart() {
    let file = dst::write(&sample(), "x").unwrap();
    let cut = dst::read(&file[..file.len() - 4]).unwrap();
    assert!(cut.findings.iter().any(|f| f.contains("the last record has 2 of its 3 bytes")), "{cut:?}");
    assert_eq!(dst::read(&file[..511]), Err(WireError::TooShort { length: 511 }));
    assert_eq!(dst::read(&[0x42; 600]), Err(WireError::NoHeader));
    assert_eq!(dst::write(&Stitches::default(), "x"), Err(WireError::NoStitches));
    assert_eq!(exp::write(&Stitches::default()), Err(WireError::NoStitches));
}

#[test]
fn more_stitches_than_a_day_has_are_not_read() {
    let most = thrice::wire::MOST_RECORDS;
    let exp =
        |stitches: usize| Format::Exp.read(&[25, 0].repeat(stitches)).map(|r| r.stitches.penetrations());
    assert_eq!(exp(most), Ok(most + 1));
    let refused = exp(most + 1).unwrap_err();
    assert_eq!(refused, WireError::TooManyToRead { records: most + 1 });
    assert!(refused.to_string().contains("300001 stitches and moves, and at most 300000 are read"));
    let mut file = Format::Dst.write(&sample(), "long").unwrap();
    file.truncate(dst::HEADER_BYTES);
    file.extend([0, 0, 3].repeat(most + 1));
    assert_eq!(Format::Dst.read(&file).unwrap_err(), WireError::TooManyToRead { records: most + 1 });
}

#[test]
fn a_colour_change_parts_two_runs_and_is_counted() {
    let mut file = dst::write(&stitches(&[&[(0, 0), (20, 0)]]), "x").unwrap();
    file.truncate(file.len() - 3);
    file.extend(bytes("00 00 C3  05 00 03  00 00 F3 1A"));
    let reading = dst::read(&file).unwrap();
    assert_eq!(reading.colour_changes, 1);
    assert_eq!(about_centre(&reading.stitches), [[(-15, 0), (5, 0)], [(5, 0), (15, 0)]]);
}

/// Runs of moves that both formats can write as they are.
fn any_stitches() -> impl Strategy<Value = Stitches> {
    let start = (-3000..3000_i32, -3000..3000_i32);
    let moves = prop::collection::vec((-121..=121_i32, -121..=121_i32), 0..40);
    let run = (start, moves).prop_map(|(start, moves)| {
        let mut points = vec![start];
        for (dx, dy) in moves {
            let (x, y) = points[points.len() - 1];
            points.push((x + dx, y + dy));
        }
        points
    });
    prop::collection::vec(run, 1..5)
        .prop_map(|all| stitches(&all.iter().map(Vec::as_slice).collect::<Vec<_>>()))
}

proptest! {
    #[test]
    fn what_is_written_reads_back(design in any_stitches()) {
        for format in Format::ALL {
            let file = format.write(&design, "any").unwrap();
            prop_assert_eq!(&file, &format.write(&design, "any").unwrap());
            let reading = format.read(&file).unwrap();
            prop_assert_eq!(about_centre(&reading.stitches), about_centre(&design));
            prop_assert_eq!(reading.stitches.centre, Point::ORIGIN);
            let ties = |s: &Stitches| s.pieces.iter().map(|r| (r.tie_in, r.tie_off)).collect::<Vec<_>>();
            prop_assert_eq!(ties(&reading.stitches), ties(&design));
            prop_assert!(reading.findings.is_empty(), "{:?}", reading.findings);
            prop_assert_eq!(fingerprint::of(&reading.stitches), fingerprint::of(&design));
            // Read and written once more it is the same file.
            prop_assert_eq!(format.write(&reading.stitches, "any").unwrap(), file);
        }
        prop_assert_eq!(runs(&read_dst(&dst::write(&design, "x").unwrap())), about_centre(&design));
        prop_assert_eq!(runs(&read_exp(&exp::write(&design).unwrap())), about_centre(&design));
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..1500)) {
        let blank = [vec![b' '; 512], bytes.clone()].concat();
        for (format, file) in [(Format::Dst, &bytes), (Format::Dst, &blank), (Format::Exp, &bytes)] {
            if let Ok(reading) = format.read(file) && reading.stitches.penetrations() > 0 {
                // Long jumps may have run together, but every needle point is kept.
                let again = format.read(&format.write(&reading.stitches, "again").unwrap()).unwrap();
                let extra = usize::from(format == Format::Exp) * reading.stitches.penetrations();
                let kept = reading.stitches.penetrations()..=reading.stitches.penetrations() + extra;
                prop_assert!(kept.contains(&again.stitches.penetrations()));
                prop_assert_eq!(again.stitches.pieces.len(), reading.stitches.pieces.len());
            }
        }
    }

    #[test]
    fn damaged_files_are_read_or_refused(
        design in any_stitches(),
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..20),
        cut in any::<prop::sample::Index>(),
    ) {
        for format in Format::ALL {
            let mut file = format.write(&design, "any").unwrap();
            for (at, byte) in &damage {
                let at = at.index(file.len());
                file[at] = *byte;
            }
            let whole = format.read(&file);
            file.truncate(cut.index(file.len()));
            let short = format.read(&file);
            let count = |r: &Result<thrice::wire::Reading, WireError>| {
                r.as_ref().map_or(0, |r| r.stitches.penetrations())
            };
            // A cut file cannot hold more than the whole one, unless that is refused.
            prop_assert!(count(&short) <= count(&whole) || whole.is_err());
        }
    }
}
