//! Quilting designs made to measure for a hooped block: one line, every stitch gone over three times.
//!
//! The stages, in the order the data flows; each uses only those before it:
//!
//! | module | from → to |
//! | --- | --- |
//! | [`base`] | lengths, tolerances, chains and curves |
//! | [`block`] | sizes → [`block::Block`] |
//! | [`drawing`] | block + motif + settings → [`drawing::Drawing`] |
//! | [`network`] | drawing → [`network::Network`] |
//! | [`route`] | network → [`route::Route`] |
//! | [`stitches`] | route → [`stitches::Stitches`] |
//! | [`survey`] | stitches + block → figures and findings |
//! | [`top`] | quilt file → all pieces, placed |
//! | [`views`] | any of these → what a person looks at |
//! | [`wire`] | stitches ⇄ bytes for the machine |
//!
//! The library touches no files, clock, terminal, network or environment. Same input, same bytes.

pub mod base;
pub mod block;
pub mod drawing;
pub mod network;
pub mod route;
pub mod stitches;
pub mod survey;
pub mod top;
pub mod views;
pub mod wire;
