//! What goes back over the wire.

use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};

use hyper::body::{Body, Bytes, Frame, SizeHint};
use hyper::header::{
    CACHE_CONTROL, CONTENT_ENCODING, CONTENT_TYPE, HeaderMap, HeaderName, HeaderValue, VARY,
};
use hyper::{Response, StatusCode};
use tokio::sync::mpsc;

use crate::compress;
use crate::guard;

/// Packing of what is made anew for every request: quick before small.
const QUICK: u32 = 1;

/// Text that comes bit by bit.
#[derive(Debug)]
pub(crate) struct Stream(mpsc::Receiver<String>);

impl Stream {
    pub(crate) fn new(from: mpsc::Receiver<String>) -> Self {
        Self(from)
    }
}

/// What is sent after the headers.
#[derive(Debug)]
pub(crate) enum Content {
    /// All at once; none once it is sent.
    Whole(Option<Bytes>),
    /// Bit by bit.
    Stream(Stream),
}

impl Body for Content {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        match self.get_mut() {
            Self::Whole(bytes) => {
                let bytes = bytes.take().filter(|bytes| !bytes.is_empty());
                Poll::Ready(bytes.map(|bytes| Ok(Frame::data(bytes))))
            }
            Self::Stream(Stream(from)) => {
                from.poll_recv(context).map(|text| text.map(|text| Ok(Frame::data(Bytes::from(text)))))
            }
        }
    }

    fn is_end_stream(&self) -> bool {
        matches!(self, Self::Whole(None))
    }

    fn size_hint(&self) -> SizeHint {
        match self {
            Self::Whole(bytes) => SizeHint::with_exact(bytes.as_ref().map_or(0, Bytes::len) as u64),
            Self::Stream(_) => SizeHint::default(),
        }
    }
}

/// An answer before it goes out.
#[derive(Debug)]
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) headers: HeaderMap,
    pub(crate) content: Content,
}

impl Reply {
    /// An answer of some media type, which nobody keeps without asking again.
    pub(crate) fn new(status: u16, media_type: &str, bytes: impl Into<Bytes>) -> Self {
        let mut reply =
            Self { status, headers: HeaderMap::new(), content: Content::Whole(Some(bytes.into())) };
        reply.put(CONTENT_TYPE, media_type);
        reply.put(CACHE_CONTROL, "private, no-cache");
        reply
    }

    /// An answer that comes bit by bit.
    pub(crate) fn stream(media_type: &str, stream: Stream) -> Self {
        let mut reply = Self::new(200, media_type, Bytes::new());
        reply.content = Content::Stream(stream);
        reply.put(CACHE_CONTROL, "no-store");
        reply
    }

    /// Sets a header; what no header can hold is left out.
    pub(crate) fn put(&mut self, name: HeaderName, value: &str) {
        if let Ok(value) = HeaderValue::from_str(value) {
            self.headers.insert(name, value);
        }
    }

    /// How many bytes it holds, before packing.
    pub(crate) fn len(&self) -> usize {
        match &self.content {
            Content::Whole(bytes) => bytes.as_ref().map_or(0, Bytes::len),
            Content::Stream(_) => 0,
        }
    }

    /// Packs texts for a browser that takes it.
    pub(crate) fn packed(mut self, takes_gzip: bool) -> Self {
        let kind = self.headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
        let text = kind.starts_with("text/")
            || kind.starts_with("application/json")
            || kind == "application/x-ndjson"
            || kind == "image/svg+xml";
        if !text || matches!(self.content, Content::Stream(_)) {
            return self;
        }
        self.put(VARY, "accept-encoding, cookie");
        if takes_gzip
            && !self.headers.contains_key(CONTENT_ENCODING)
            && let Content::Whole(Some(bytes)) = &self.content
            && bytes.len() >= compress::LEAST
            && let Some(packed) = compress::gzip(bytes, QUICK)
        {
            self.content = Content::Whole(Some(packed.into()));
            self.put(CONTENT_ENCODING, "gzip");
        }
        self
    }

    /// The answer for the wire, with what goes with every answer.
    pub(crate) fn out(self) -> Response<Content> {
        let mut response = Response::new(self.content);
        *response.status_mut() =
            StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        *response.headers_mut() = self.headers;
        guard::put(response.headers_mut());
        response
    }
}
