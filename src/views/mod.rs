//! Any stage's result → what a person looks at: previews, templates, sheets.

pub mod bars;
pub mod column;
pub mod layers;
pub mod letters;
pub mod look;
pub mod moving;
pub mod paper;
pub mod pdf;
pub mod picture;
pub mod png;
pub mod preview;
pub mod quilt_map;
pub mod quilt_sheet;
pub mod sewn;
pub mod sheet;
pub mod svg;
pub mod template;
pub mod thread;
pub mod work_sheet;
