//! The constructions: a room for each way of drawing, and the tools they share.
//!
//! A construction is a module with `NEEDS` (the settings that it reads: name and kind), `Numbers` (what its motif files
//! hold under `[numbers]`) and `draw`. It knows settings and blocks, not motif files. The table that finds a
//! construction by its word is `drawing::construction`.

pub mod board;
pub mod clip;
pub mod counts;
pub mod echo;
pub mod fan;
pub mod feather;
mod frame;
pub mod lattice;
pub mod lines;
pub mod meander;
pub mod part;
pub mod pebbles;
pub mod petals;
pub mod plume;
pub mod rays;
pub mod run;
pub mod spiral;
pub mod strand;
pub mod through;
pub mod wedge;
