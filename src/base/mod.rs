//! Lengths, tolerances, chains of points, curves and plain texts: what every stage stands on.
//!
//! No quilt word in here. Inside the library every length is an `f64` in millimetres, x right, y up.

pub mod angle;
pub mod chain;
pub mod colour;
pub mod curve;
pub mod fnv;
pub mod form;
pub mod plain;
pub mod smooth;
pub mod tolerance;
pub mod units;
