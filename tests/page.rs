//! The page's server, as a browser and as a stranger meet it: the program itself is started, on a port of its own.

#[path = "page/asked.rs"]
mod asked;
#[path = "page/files.rs"]
mod files;
#[path = "page/guarded.rs"]
mod guarded;
#[path = "page/remedies.rs"]
mod remedies;
