//! Any stage's result → what a person looks at: previews, templates, sewing sheets.
//!
//! In: a [`picture::Picture`], made from a block and its stitches by [`from_stages`]. A view turns it into
//! [`sheet::Sheet`]s (pages as plain data, at true size), which [`svg`], [`pdf`] and [`png`] write as bytes.
//!
//! | view | what it is |
//! | --- | --- |
//! | [`preview`] | the block as it will look sewn, with its figures; layers for order, holes, widest gap, heat |
//! | [`page`] | one HTML page with all of it, to send |
//! | [`trial`] | several designs in one block, to choose from |
//! | [`moving`] | one HTML page that sews it stitch by stitch |
//! | [`template`] | true-size pages with a cross at the design's centre, for placing |
//! | [`relief`] | the block or the quilt as quilted cloth |
//! | [`sampler`] | every motif on those of six blocks that it suits |
//! | [`sewing_sheet`] | one page with picture, figures, steps to tick and cautions |
//!
//! [`sewn`] makes all the files of one sewn design. Shared by all: [`heat`] (maps of figures), [`look`] (colours, pens, sizes of letters), [`letters`] (words as outlines), [`mod@column`] (setting
//! words), [`bars`] (inches and millimetres to measure by), [`cloth`] (the block itself), [`thread`] (lines once).
//! Nothing here knows how a design was made.

pub mod bars;
pub mod base64;
pub mod beside;
pub mod cloth;
pub mod column;
pub mod faults;
pub mod fonts;
pub mod from_stages;
pub mod heat;
pub mod layers;
pub mod letters;
pub mod lines;
pub mod look;
pub mod moving;
pub mod page;
pub mod paper;
pub mod pdf;
pub mod picture;
pub mod pixels;
pub mod png;
pub mod preview;
pub mod quilt_map;
pub mod quilt_page;
pub mod quilt_sheet;
pub mod relief;
pub mod sampler;
pub mod sewing_sheet;
pub mod sewn;
pub mod sheet;
pub mod svg;
pub mod template;
pub mod thin;
pub mod thread;
pub mod trial;
