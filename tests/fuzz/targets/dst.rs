//! Machine files: .dst, read, and where that goes written and read back.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::wire::Format;

fuzz_target!(|bytes: &[u8]| {
    let Ok(reading) = Format::Dst.read(bytes) else { return };
    if let Ok(written) = Format::Dst.write(&reading.stitches, "fuzzed") {
        let back = Format::Dst.read(&written).expect("what was written reads back");
        assert_eq!(back.stitches.penetrations() > 0, reading.stitches.penetrations() > 0);
    }
});
