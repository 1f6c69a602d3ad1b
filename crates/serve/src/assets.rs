//! Styles, scripts and letters: packed once, kept by the browser for ever, since their names change with them.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use hyper::body::Bytes;
use hyper::header::{CACHE_CONTROL, CONTENT_ENCODING, ETAG, HeaderMap, IF_NONE_MATCH, VARY};
use pages::Asset;

use crate::compress;
use crate::reply::Reply;

/// Packing of what is packed once: small before quick.
const SMALL: u32 = 9;

/// Every asset by its path.
#[derive(Debug)]
pub(crate) struct Assets(BTreeMap<&'static str, Kept>);

#[derive(Debug)]
struct Kept {
    asset: &'static Asset,
    /// None inside where packing does not make it smaller.
    packed: OnceLock<Option<Bytes>>,
}

impl Assets {
    pub(crate) fn new(assets: &'static [Asset]) -> Self {
        Self(assets.iter().map(|asset| (asset.path, Kept { asset, packed: OnceLock::new() })).collect())
    }

    /// The asset of a path; none when there is no such asset.
    pub(crate) fn answer(&self, path: &str, headers: &HeaderMap, takes_gzip: bool) -> Option<Reply> {
        let kept = self.0.get(path)?;
        // The path says what is in it.
        let tag = format!("\"{}\"", path.trim_start_matches('/').replace('/', "-"));
        let known = headers.get(IF_NONE_MATCH).and_then(|known| known.to_str().ok());
        let packed = kept.packed.get_or_init(|| compress::gzip(kept.asset.bytes, SMALL).map(Bytes::from));
        let mut reply = if known.is_some_and(|known| known == "*" || known.contains(&tag)) {
            Reply::new(304, kept.asset.media_type, Bytes::new())
        } else {
            match packed {
                Some(packed) if takes_gzip => {
                    let mut reply = Reply::new(200, kept.asset.media_type, packed.clone());
                    reply.put(CONTENT_ENCODING, "gzip");
                    reply
                }
                _ => Reply::new(200, kept.asset.media_type, Bytes::from_static(kept.asset.bytes)),
            }
        };
        reply.put(ETAG, &tag);
        reply.put(VARY, "accept-encoding");
        reply.put(CACHE_CONTROL, "public, max-age=31536000, immutable");
        Some(reply)
    }
}
