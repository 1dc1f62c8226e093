//! Readers written from the byte tables alone, to judge what the library writes.

pub mod machine;
