//! Heights of the relief, written for the judge outside, and what a relief must show.

use std::fs;

use kurbo::{Point, Rect, Shape as _};
use thrice::base::colour::Colour;
use thrice::views::png::PngError;
use thrice::views::relief::height::{Pins, solve};
use thrice::views::relief::scenes::{self, Stuff};
use thrice::views::relief::{self, Patch, Scene};

use crate::specimens;

/// Width and height in cells, λ in cells.
const GRIDS: [(usize, usize, f32); 3] = [(160, 120, 8.0), (260, 200, 20.0), (360, 300, 39.0)];
const LOFT: f32 = 3.0;

/// A wave, a spiral arm and a frame: long narrow places, corners and one large open one.
fn pinned(width: usize, height: usize) -> Pins {
    let mut pins = Pins::new(width, height);
    let (w, h) = (width as f64, height as f64);
    let wave = |i: usize| {
        let t = i as f64 / 60.0;
        (t * w, h * (0.3 + 0.12 * (t * 19.0).sin()))
    };
    for i in 0..60 {
        pins.line(wave(i), wave(i + 1));
    }
    let corners = [(0.1, 0.6), (0.55, 0.6), (0.55, 0.95), (0.1, 0.95), (0.1, 0.6), (0.55, 0.95)];
    for pair in corners.windows(2) {
        pins.line((pair[0].0 * w, pair[0].1 * h), (pair[1].0 * w, pair[1].1 * h));
    }
    pins
}

#[test]
fn heights_are_written_for_the_judge() {
    let folder = crate::folder().join("relief");
    fs::create_dir_all(&folder).unwrap();
    for (width, height, reach) in GRIDS {
        let pins = pinned(width, height);
        let heights = solve(&pins, LOFT, reach);
        assert!(heights.iter().all(|h| (-0.001..=LOFT * 1.001).contains(h)));
        let free = |i: usize| if pins.holds(i % width, i / width) { '#' } else { '.' };
        let grid = serde_json::json!({
            "width": width, "height": height, "reach": reach, "loft": LOFT,
            "pinned": (0..width * height).map(free).collect::<String>(),
            "heights": heights,
        });
        fs::write(folder.join(format!("{width}.json")), grid.to_string()).unwrap();
    }
}

#[test]
fn thread_lies_in_valleys_lit_from_the_upper_left() {
    let square = Rect::new(-40.0, -40.0, 40.0, 40.0);
    let grey = Colour::new(0x99_99_99);
    let scene = Scene {
        shown: square,
        ground: grey,
        patches: vec![Patch {
            edge: Rect::new(-20.0, -20.0, 20.0, 20.0).to_path(0.1),
            colour: grey,
            seam: true,
        }],
        strands: Vec::new(),
        loft_mm: 3.0,
    };
    let picture = relief::draw(&scene, 400).unwrap();
    assert_eq!((picture.width, picture.height), (400, 400));
    let tone = |x: f64, y: f64| {
        // The mean over a square of 3 mm, so that the weave does not matter.
        let of = |mm: f64| ((mm + 40.0) * 5.0) as u32;
        let (x, y) = (of(x), of(-y));
        let all = (0..225).map(|i| u32::from(picture.at(x - 7 + i % 15, y - 7 + i / 15)[1]));
        f64::from(all.sum::<u32>()) / 225.0
    };
    // Inside the seam on the left the cloth rises to the right and faces the light; on the right it faces away.
    let (left, right, top, bottom) = (tone(-15.0, 0.0), tone(15.0, 0.0), tone(0.0, 15.0), tone(0.0, -15.0));
    assert!(left > right + 12.0 && top > bottom + 12.0, "{left} {right} {top} {bottom}");
    // A valley is darker than level cloth.
    assert!(tone(19.5, -19.5) < tone(0.0, 0.0) - 8.0);
}

#[test]
fn cloth_and_thread_have_the_colours_asked_for_and_the_bytes_repeat() {
    let (_, picture) = specimens::all().swap_remove(0);
    let stuff = Stuff { cloth: Colour::new(0x30_50_a0), thread: vec![Colour::new(0xe0_30_20)], loft_mm: 2.5 };
    let scene = scenes::block(&picture, &stuff);
    let first = relief::draw(&scene, 500).unwrap();
    assert!(first == relief::draw(&scene, 500).unwrap());
    let count = |is: &dyn Fn([u8; 3]) -> bool| first.rgb.chunks(3).filter(|c| is([c[0], c[1], c[2]])).count();
    let blue = count(&|[r, _, b]| b > r.saturating_add(40));
    let red = count(&|[r, _, b]| r > b.saturating_add(60));
    assert!(blue > 150_000 && (2_000..60_000).contains(&red), "{blue} blue and {red} red pixels");
}

#[test]
fn a_relief_too_large_is_refused_with_the_largest() {
    let mut scene = scenes::block(&specimens::all().swap_remove(0).1, &Stuff::default());
    scene.shown = Rect::from_center_size(Point::ZERO, (100.0, 100.0));
    let refused = relief::draw(&scene, 9000).unwrap_err();
    assert_eq!(refused, PngError::Relief { width_px: 9000, most_px: 4898 });
    assert!(refused.to_string().contains("at most 4898"), "{refused}");
}
