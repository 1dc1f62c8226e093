//! [`Stitches`](crate::stitches::Stitches) + [`Block`](crate::block::Block) → figures and findings.
