//! A quilt file → all pieces, placed.
