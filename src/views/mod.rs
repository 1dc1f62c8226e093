//! Any stage's result → what a person looks at: previews, templates, sheets.

pub mod bars;
pub mod cloth;
pub mod column;
pub mod from_stages;
pub mod layers;
pub mod letters;
pub mod look;
pub mod moving;
pub mod paper;
pub mod pdf;
pub mod picture;
pub mod png;
pub mod preview;
pub mod sheet;
pub mod svg;
pub mod template;
pub mod thread;
pub mod work_sheet;
