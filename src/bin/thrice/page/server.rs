//! Connections: heads and bodies read within bounds of time and size, answers written.
//!
//! Every connection is a task of its own on one thread, so that one which stalls holds up no other; the work itself is done
//! on other threads, see [`super::queue`].

use std::convert::Infallible;
use std::net::TcpListener;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use anyhow::Context;
use http_body_util::{BodyExt, Full};
use hyper::body::{Bytes, Incoming};
use hyper::header::{CONTENT_LENGTH, CONTENT_TYPE, HeaderMap, HeaderValue};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::sync::Semaphore;
use tokio::time::timeout;

use super::answer::{Answer, Refusal};
use super::guard::{ALWAYS, Guard};
use super::routes::Desk;

/// The longest body, bytes: a machine file or a drawing as it is handed in.
const MOST_BODY: usize = 8_000_000;
/// So much of a body that is too long is read and thrown away, so that its sender hears why, bytes.
const MOST_WASTE: usize = 64_000_000;
/// So much of all bodies is held at once, bytes.
const MOST_HELD: usize = 128_000_000;
/// So many connections are open at once; one more waits.
const MOST_CONNECTIONS: usize = 1024;
/// The longest head of a request, bytes.
const MOST_HEAD: usize = 32_768;
/// How long a head or a body may take.
const PATIENCE: Duration = Duration::from_secs(10);
/// Rest after a connection that could not be taken.
const BREATH: Duration = Duration::from_millis(50);
/// Stack of a thread that works, bytes: as large as a program's own.
const STACK: usize = 16_000_000;

/// What all connections share.
struct House {
    guard: Arc<Guard>,
    desk: Arc<Desk>,
    held: AtomicUsize,
}

/// Answers whoever may ask, until the program is stopped.
pub fn serve(listener: TcpListener, guard: Arc<Guard>, desk: Arc<Desk>) -> anyhow::Result<()> {
    listener.set_nonblocking(true).context("the page's port cannot be used")?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .thread_stack_size(STACK)
        .enable_io()
        .enable_time()
        .build()
        .context("the page's server cannot be started")?;
    let house = Arc::new(House { guard, desk, held: AtomicUsize::new(0) });
    runtime.block_on(take(listener, house))
}

/// Takes connections, each as a task of its own.
async fn take(listener: TcpListener, house: Arc<House>) -> anyhow::Result<()> {
    let listener = tokio::net::TcpListener::from_std(listener).context("the page's port cannot be used")?;
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    loop {
        let place = Arc::clone(&room).acquire_owned().await?;
        let Ok((stream, _)) = listener.accept().await else {
            tokio::time::sleep(BREATH).await;
            continue;
        };
        let house = Arc::clone(&house);
        tokio::spawn(async move {
            let _place = place;
            let _ = stream.set_nodelay(true);
            let service = service_fn(|request| answer(Arc::clone(&house), request));
            // A connection that breaks off is its page's affair.
            let _ = http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(PATIENCE)
                .max_buf_size(MOST_HEAD)
                .serve_connection(TokioIo::new(stream), service)
                .await;
        });
    }
}

async fn answer(house: Arc<House>, request: Request<Incoming>) -> Result<Response<Full<Bytes>>, Infallible> {
    let answered = respond(&house, request).await;
    Ok(written(answered.unwrap_or_else(Answer::from)))
}

async fn respond(house: &House, request: Request<Incoming>) -> Result<Answer, Refusal> {
    let (head, mut body) = request.into_parts();
    let admitted = house.guard.admit(&head.method, &head.headers);
    if let Err(refusal) = admitted.and_then(|()| check_length(&head.method, &head.headers)) {
        // A sender that is still writing would hear of a broken connection instead.
        let _ = timeout(PATIENCE, waste(&mut body)).await;
        return Err(refusal);
    }
    if head.method == Method::GET {
        return house.desk.get(head.uri.path()).await;
    }
    let slow = |_| {
        Refusal::new(408, &format!("the request did not come within {} s; send it again", PATIENCE.as_secs()))
    };
    let mut body_held = Held { bytes: Vec::new(), all: &house.held };
    timeout(PATIENCE, body_held.read(&mut body)).await.map_err(slow)??;
    Arc::clone(&house.desk).post(head.uri.path().to_owned(), body_held.take()).await
}

/// Refuses a body that does not say how long it is, or is too long.
fn check_length(method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
    if method == Method::GET {
        return Ok(());
    }
    let length = headers.get(CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<usize>().ok());
    match length {
        None => Err(Refusal::new(411, "the request does not say how long it is; send its Content-Length")),
        Some(length) if length > MOST_BODY => Err(Refusal::new(
            413,
            &format!(
                "the request is {:.1} MB long; hand in at most {} MB",
                length as f64 / 1e6,
                MOST_BODY / 1_000_000
            ),
        )),
        Some(_) => Ok(()),
    }
}

/// A body as far as it has come, counted among all that are held.
struct Held<'h> {
    bytes: Vec<u8>,
    all: &'h AtomicUsize,
}

impl Held<'_> {
    /// Reads the whole body, which is as long as its head said.
    async fn read(&mut self, body: &mut Incoming) -> Result<(), Refusal> {
        while let Some(frame) = body.frame().await {
            let broken = |_| Refusal::new(400, "the request broke off; send it again");
            let Ok(data) = frame.map_err(broken)?.into_data() else { continue };
            if self.all.fetch_add(data.len(), Ordering::SeqCst) > MOST_HELD {
                self.all.fetch_sub(data.len(), Ordering::SeqCst);
                return Err(Refusal::new(
                    503,
                    "too many long requests are being read; ask again in a moment",
                ));
            }
            self.bytes.extend_from_slice(&data);
        }
        Ok(())
    }

    /// The bytes, from now on held by whoever works with them.
    fn take(mut self) -> Vec<u8> {
        let bytes = std::mem::take(&mut self.bytes);
        self.all.fetch_sub(bytes.len(), Ordering::SeqCst);
        bytes
    }
}

impl Drop for Held<'_> {
    fn drop(&mut self) {
        self.all.fetch_sub(self.bytes.len(), Ordering::SeqCst);
    }
}

/// Reads a body that nobody wants.
async fn waste(body: &mut Incoming) {
    let mut left = MOST_WASTE;
    while let Some(Ok(frame)) = body.frame().await {
        let length = frame.data_ref().map_or(0, Bytes::len);
        if length > left {
            return;
        }
        left -= length;
    }
}

fn written(answer: Answer) -> Response<Full<Bytes>> {
    let mut response = Response::new(Full::new(Bytes::from(answer.body)));
    *response.status_mut() = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = response.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name_of(name), HeaderValue::from_static(value));
    }
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(answer.kind));
    for (name, value) in answer.headers {
        if let Ok(value) = HeaderValue::from_str(&value) {
            headers.insert(name_of(name), value);
        }
    }
    response
}

/// A header's name, which are written here with capitals as they are read.
fn name_of(name: &str) -> hyper::header::HeaderName {
    hyper::header::HeaderName::from_bytes(name.as_bytes())
        .unwrap_or(hyper::header::HeaderName::from_static("x-unnamed"))
}
