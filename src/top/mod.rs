//! A quilt file → all pieces, placed.

pub mod piece;
