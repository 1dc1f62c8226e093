//! `thrice page`: the page in the browser, served to this machine alone.
//!
//! The page calls what the commands call: a request is turned into the words of a command, read by the same parser, and its
//! files are the same bytes. No request names a file or a folder; what it needs, it hands in.

mod answer;
mod assets;
mod cache;
mod design;
mod draw;
mod edit;
mod files;
mod guard;
mod keys;
mod machine;
mod picture;
mod queue;
mod quilt;
mod quilt_map;
mod ranges;
mod routes;
mod server;
mod start;
mod typed;

use std::net::{Ipv4Addr, TcpListener};
use std::sync::Arc;

use anyhow::Context;

use super::words::{say, typed, warn};
use guard::Guard;
use routes::Desk;

/// The port unless another is asked for: what the browser keeps for the page stays with its address.
const PORT: u16 = 8123;

/// Open the page in your browser: blocks, quilts and machine files on this machine, with nothing sent anywhere
#[derive(clap::Args)]
pub struct Args {
    /// Port on this machine, 0 for any that is free; if not given, 8123, or any where another program has that
    #[arg(long, value_name = "NUMBER")]
    port: Option<u16>,
    /// Print the page's address without opening a browser
    #[arg(long)]
    no_open: bool,
}

/// Serves the page until the program is stopped.
pub fn run(args: &Args) -> anyhow::Result<()> {
    let listener = listener(args.port)?;
    let port = listener.local_addr().context("the page's port cannot be read")?.port();
    let address = format!("http://127.0.0.1:{port}/");
    say(&format!("the page is at {address}\n  it is open to this machine alone; end it with Ctrl+C\n"))?;
    if !args.no_open && open::that_detached(&address).is_err() {
        warn("note: no browser could be opened; open the address in one yourself\n");
    }
    server::serve(listener, Arc::new(Guard::new(port)), Arc::new(Desk::default()))
}

/// A listener on this machine's own address alone.
fn listener(asked: Option<u16>) -> anyhow::Result<TcpListener> {
    let at = |port| TcpListener::bind((Ipv4Addr::LOCALHOST, port));
    match asked {
        Some(port) => at(port).map_err(|error| {
            typed(format!("port {port} cannot be used: {error}; name another with --port, or none"))
        }),
        None => at(PORT).or_else(|_| at(0)).context("no port of this machine is free"),
    }
}
