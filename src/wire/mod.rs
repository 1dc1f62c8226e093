//! [`Stitches`](crate::stitches::Stitches) ⇄ bytes for the machine.
