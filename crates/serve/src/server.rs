//! The listening socket, its connections, and how they end.

use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};

use hyper::body::{Bytes, Incoming};
use hyper::header::{ACCEPT_ENCODING, ALLOW, CONTENT_TYPE};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Method, Request, Response};
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Notify, OwnedSemaphorePermit, Semaphore, watch};
use tokio::task::JoinSet;

use crate::address;
use crate::api;
use crate::carry;
use crate::clock;
use crate::compress::takes_gzip;
use crate::events::Changed;
use crate::files;
use crate::guard;
use crate::incoming;
use crate::refusal::Refusal;
use crate::reply::{Content, Reply};
use crate::state::{Options, State};

/// Connections that are open at once.
const MOST_CONNECTIONS: usize = 512;
/// Headers must have come within this; an idle connection is closed after it.
const HEADERS: Duration = Duration::from_secs(30);
/// The largest head of a request, in bytes.
const MOST_HEAD: usize = 32 * 1024;
/// Header lines of a request.
const MOST_HEADERS: usize = 100;
/// How long requests that are under way may still take when the server is told to stop.
const GRACE: Duration = Duration::from_secs(10);
/// Threads that make pages.
const MAKERS: usize = 6;

/// Tells a server to stop: what is under way is finished first.
#[derive(Clone, Debug, Default)]
pub struct Stopper(Arc<Notify>);

impl Stopper {
    /// Stops the server.
    pub fn stop(&self) {
        self.0.notify_one();
    }
}

/// Serves until Ctrl-C, SIGTERM or `stopper`; `ready` is told the address once connections are taken.
///
/// # Errors
/// An address that other machines could reach, or what the system says to it.
pub fn run(options: Options, stopper: &Stopper, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    address::check(options.listen)
        .map_err(|refused| io::Error::new(io::ErrorKind::PermissionDenied, refused))?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(MAKERS)
        .enable_io()
        .enable_time()
        .build()?;
    let done = runtime.block_on(serve(options, stopper, ready));
    runtime.shutdown_timeout(GRACE);
    done
}

async fn serve(options: Options, stopper: &Stopper, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    let listener = TcpListener::bind(options.listen).await?;
    let (stop, stopping) = watch::channel(false);
    let address = listener.local_addr()?;
    let state = Arc::new(State::new(options, address, stopping.clone()));
    let summaries = crate::summaries::work(&state)?;
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let mut connections = JoinSet::new();
    let mut end = std::pin::pin!(told_to_stop(stopper));
    ready(address);
    loop {
        let place = tokio::select! {
            () = &mut end => break,
            place = Arc::clone(&room).acquire_owned() => place.map_err(io::Error::other)?,
        };
        let stream = tokio::select! {
            () = &mut end => break,
            accepted = listener.accept() => match accepted {
                Ok((stream, _)) => stream,
                // Out of files, or a connection that was gone before it came: the next may do better.
                Err(_) => {
                    tokio::time::sleep(Duration::from_millis(20)).await;
                    continue;
                }
            },
        };
        let (state, stopping) = (Arc::clone(&state), stopping.clone());
        connections.spawn(async move {
            connection(stream, state, stopping).await;
            drop(place);
        });
        while connections.try_join_next().is_some() {}
    }
    drop(listener);
    stop.send_replace(true);
    let rest = async { while connections.join_next().await.is_some() {} };
    // Whoever has not finished by then is cut off; what was acknowledged is on the disk.
    let _ = tokio::time::timeout(GRACE, rest).await;
    state.summaries.end();
    // What it is at takes less than a second; the list says the rest after the next start.
    let _ = tokio::task::spawn_blocking(move || summaries.join()).await;
    state.store.settle().map_err(io::Error::other)
}

async fn told_to_stop(stopper: &Stopper) {
    #[cfg(unix)]
    let terminated = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => {
                signal.recv().await;
            }
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminated = std::future::pending::<()>();
    tokio::select! {
        () = stopper.0.notified() => {}
        () = terminated => {}
        _ = tokio::signal::ctrl_c() => {}
    }
}

async fn connection(stream: TcpStream, state: Arc<State>, mut stopping: watch::Receiver<bool>) {
    // Answers are small, and wait for nothing.
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |request| {
        let state = Arc::clone(&state);
        async move { Ok::<_, std::convert::Infallible>(logged(state, request).await) }
    });
    let mut protocol = http1::Builder::new();
    protocol
        .timer(TokioTimer::new())
        .header_read_timeout(HEADERS)
        .max_buf_size(MOST_HEAD)
        .max_headers(MOST_HEADERS);
    let mut serving = std::pin::pin!(protocol.serve_connection(TokioIo::new(stream), service));
    let told = async { stopping.wait_for(|stopping| *stopping).await.is_ok() };
    tokio::select! {
        // A client that broke off is its own affair.
        _ = serving.as_mut() => return,
        _ = told => serving.as_mut().graceful_shutdown(),
    }
    let _ = serving.await;
}

/// Answers, and writes a line about it.
async fn logged(state: Arc<State>, request: Request<Incoming>) -> Response<Content> {
    let begun = Instant::now();
    let (method, path) = (request.method().clone(), request.uri().path().to_owned());
    let reply = answer(&state, request).await;
    (state.log)(&format!(
        "at={} method={method} path={} status={} ms={:.1} bytes={}",
        clock::now(),
        shown(&path),
        reply.status,
        begun.elapsed().as_secs_f64() * 1e3,
        reply.len()
    ));
    reply.out()
}

/// A path as one word of a log line, with nothing in it that a terminal would obey.
fn shown(path: &str) -> String {
    let plain = |letter: char| letter.is_ascii_graphic() && letter != '"';
    let shown = path.chars().take(200);
    shown.map(|letter| if plain(letter) { letter } else { '?' }).collect()
}

async fn answer(state: &Arc<State>, request: Request<Incoming>) -> Reply {
    let (parts, body) = request.into_parts();
    let header = parts.headers.get(ACCEPT_ENCODING).and_then(|taken| taken.to_str().ok());
    let packs = header.is_some_and(takes_gzip);
    let for_program = parts.uri.path().starts_with("/api/");
    let answered = match guard::check(&parts, state.address) {
        Ok(()) => routed(state, parts, body, packs).await,
        Err(refusal) => Err(refusal),
    };
    let reply = answered.unwrap_or_else(|refusal| refused(&refusal, for_program));
    reply.packed(packs)
}

fn refused(refusal: &Refusal, for_program: bool) -> Reply {
    let mut reply = if for_program { api::refused(refusal) } else { page_of(refusal) };
    if refusal.status == 405 {
        reply.put(ALLOW, &refusal.accept);
    }
    reply
}

/// A refusal as a page.
fn page_of(refusal: &Refusal) -> Reply {
    let escaped = |text: &str| {
        text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
    };
    let accept = match refusal.accept.as_str() {
        "" => String::new(),
        accept => format!("<p>Accepted is: {}.</p>", escaped(accept)),
    };
    let text = format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><title>Not done</title><main><h1>Not done</h1><p>{}.</p>{accept}\
         <p><a href=\"/\">To the jobs</a></p></main></html>",
        escaped(&refusal.text)
    );
    Reply::new(refusal.status, "text/html; charset=utf-8", text)
}

/// Finds who answers.
async fn routed(
    state: &Arc<State>,
    parts: hyper::http::request::Parts,
    body: Incoming,
    packs: bool,
) -> Result<Reply, Refusal> {
    // Pages take a path as it was sent: a tag may hold a slash.
    let (sent, path) = (parts.uri.path().to_owned(), incoming::path(&parts));
    if sent.starts_with("/api/") {
        let path = path?;
        let body = incoming::read(state, body, &parts.headers).await?;
        let turn = if api::takes_long(&path) { Some(state.long.turn().await?) } else { None };
        let alone = alone(state, &body).await;
        return made(state, move |state| {
            let _held = (turn, alone);
            api::answer(state, &parts, &path, &body)
        })
        .await;
    }
    let reads = parts.method == Method::GET || parts.method == Method::HEAD;
    if !reads && parts.method != Method::POST {
        return Err(Refusal::new(405, "pages are read and posted to", "GET, HEAD, POST"));
    }
    if reads {
        if let Some(reply) = state.assets.answer(&sent, &parts.headers, packs) {
            return Ok(reply);
        }
        let query = incoming::query(&parts)?;
        let words: Vec<String> = path?.split('/').skip(1).map(str::to_owned).collect();
        match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
            ["events"] => return stream(state, None),
            ["j", _, "events"] => return stream_of(state, words).await,
            ["j", _, "photo", _] => {
                return made(state, move |state| files::photo(state, &words[1], &words[3])).await;
            }
            ["j", _, "pack", _] => {
                let turn = state.long.turn().await?;
                return made(state, move |state| {
                    let _held = turn;
                    files::document(state, &words[1], &words[3], &query)
                })
                .await;
            }
            ["j", _, "evidence.jsonl"] => {
                return made(state, move |state| files::evidence(state, &words[1])).await;
            }
            _ => {}
        }
    }
    let body = match incoming::read(state, body, &parts.headers).await {
        Ok(body) => body,
        // Too large to be read at all: only where it was to go is known.
        Err(refusal) => {
            return made(state, move |state| {
                let mut parts = parts;
                parts.headers.remove(CONTENT_TYPE);
                carry::refused(state, &incoming::for_pages(state, &parts, sent, &[])?, refusal)
            })
            .await;
        }
    };
    let alone = alone(state, &body).await;
    made(state, move |state| {
        let _held = alone;
        let request = incoming::for_pages(state, &parts, sent, &body)?;
        carry::page(state, &request)
    })
    .await
}

/// The turn of a large body: photos and files are worked on one after the other, and no thread waits for that.
async fn alone(state: &State, body: &Bytes) -> Option<OwnedSemaphorePermit> {
    if body.len() <= incoming::LARGE {
        return None;
    }
    Arc::clone(&state.bulky).acquire_owned().await.ok()
}

/// The changes of the job that a path names.
async fn stream_of(state: &Arc<State>, words: Vec<String>) -> Result<Reply, Refusal> {
    let job = made(state, move |state| {
        let newest = state.store.versions(&words[1], 1)?.pop();
        let missing = || Refusal::new(404, "there is no such job", "a job of the list");
        Ok(Changed { job: words[1].clone(), version: newest.ok_or_else(missing)?.version })
    });
    stream(state, Some(job.await?))
}

fn stream(state: &State, job: Option<Changed>) -> Result<Reply, Refusal> {
    let full = || Refusal::new(503, "too many windows are open", "fewer windows, or a little later");
    state.events.stream(job, state.stopping.clone()).ok_or_else(full)
}

/// Makes something on a thread that may take its time.
async fn made<T: Send + 'static>(
    state: &Arc<State>,
    make: impl FnOnce(&State) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let state = Arc::clone(state);
    match tokio::task::spawn_blocking(move || make(&state)).await {
        Ok(made) => made,
        Err(_) => {
            Err(Refusal::new(500, "a fault of the program itself, not of your job", "a report of this error"))
        }
    }
}
