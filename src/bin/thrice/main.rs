//! The program: words, files → library → out.

#[cfg(test)]
mod shape_args;

fn main() {}
