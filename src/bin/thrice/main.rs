//! The program: words, files → library → out.

fn main() {}
