//! Which request is answered by what.

use std::sync::Arc;

use serde::de::DeserializeOwned;

use super::answer::{Answer, Refusal};
use super::draw::Latest;
use super::queue::{Queue, Size};
use super::{assets, draw, edit, files, machine, quilt, ranges, start};

/// So many pieces are kept: as many as a slider passes.
const KEPT: usize = 32;

/// What all requests share.
pub struct Desk {
    queue: Queue,
    latest: Latest,
    ranges: ranges::Latest,
    quilts: quilt::Latest,
}

impl Default for Desk {
    fn default() -> Self {
        Self {
            queue: Queue::default(),
            latest: Latest::new(KEPT),
            ranges: ranges::Latest::new(KEPT),
            quilts: quilt::Latest::default(),
        }
    }
}

impl Desk {
    /// What a path shows.
    pub async fn get(&self, path: &str) -> Result<Answer, Refusal> {
        match path {
            "/" => assets::asset("index.html"),
            "/api/start" => self.queue.run(Size::Small, start::start).await,
            _ => assets::asset(path.strip_prefix("/assets/").unwrap_or("")),
        }
    }

    /// What is made of the data sent to a path.
    pub async fn post(self: Arc<Self>, path: String, body: Vec<u8>) -> Result<Answer, Refusal> {
        let desk = Arc::clone(&self);
        self.queue.run(size(&path), move || desk.make(&path, &body)).await
    }

    fn make(&self, path: &str, body: &[u8]) -> Result<Answer, Refusal> {
        match path {
            "/api/draw" => draw::draw(&read(body)?, &self.latest),
            "/api/relief" => draw::relief(read(body)?, &self.latest),
            "/api/ranges" => ranges::ranges(&read(body)?, &self.ranges),
            "/api/suits" => ranges::suits(&read(body)?),
            "/api/file" => files::one(&read(body)?),
            "/api/files" => files::all(&read(body)?),
            "/api/check" => machine::check(&read(body)?),
            "/api/refit" => machine::refit(&read(body)?),
            "/api/refit/files" => machine::refit_files(&read(body)?),
            "/api/align" => machine::align(&read(body)?),
            "/api/align/files" => machine::align_files(&read(body)?),
            "/api/quilt" => quilt::quilt(&read(body)?, &self.quilts),
            "/api/quilt/change" => edit::change(&read(body)?),
            "/api/quilt/file" => quilt::file(&read(body)?, &self.quilts),
            "/api/quilt/files" => quilt::files(&read(body)?, &self.quilts),
            "/api/quilt/machine" => quilt::machine(&read(body)?, &self.quilts),
            "/api/quilt/relief" => quilt::relief(&read(body)?, &self.quilts),
            "/api/quilt/starter" => quilt::starter(&read(body)?),
            _ => Err(Refusal::new(404, "there is nothing at this address")),
        }
    }
}

fn size(path: &str) -> Size {
    match path {
        "/api/draw" | "/api/suits" | "/api/quilt/change" | "/api/quilt/starter" => Size::Small,
        _ => Size::Large,
    }
}

/// The data of a request.
fn read<T: DeserializeOwned>(body: &[u8]) -> Result<T, Refusal> {
    serde_json::from_slice(body).map_err(|error| {
        Refusal::new(400, &format!("the request cannot be read: {error}; send it as the page does"))
    })
}
