//! Any stage's result → what a person looks at: previews, templates, sheets.
