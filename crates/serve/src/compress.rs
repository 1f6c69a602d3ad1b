//! What goes out, made smaller where the browser takes it.

use std::io::Write;

use flate2::Compression;
use flate2::write::GzEncoder;

/// Below this, packing costs more than it saves, in bytes.
pub(crate) const LEAST: usize = 1024;

/// Packed with gzip; none when it fails or does not get smaller.
pub(crate) fn gzip(bytes: &[u8], level: u32) -> Option<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::with_capacity(bytes.len() / 3), Compression::new(level));
    encoder.write_all(bytes).ok()?;
    encoder.finish().ok().filter(|packed| packed.len() < bytes.len())
}

/// Whether an `Accept-Encoding` header takes gzip.
pub(crate) fn takes_gzip(header: &str) -> bool {
    header.split(',').any(|one| {
        let (name, rest) = one.split_once(';').unwrap_or((one, ""));
        let refused =
            rest.trim().strip_prefix("q=").is_some_and(|q| q.trim().parse::<f32>().is_ok_and(|q| q <= 0.0));
        name.trim().eq_ignore_ascii_case("gzip") && !refused
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_who_takes_gzip_gets_it() {
        for header in ["gzip", "br, gzip", "deflate;q=0.5, GZIP;q=0.8"] {
            assert!(takes_gzip(header), "{header}");
        }
        for header in ["", "br", "gzip;q=0", "gzip; q=0.0", "xgzip"] {
            assert!(!takes_gzip(header), "{header}");
        }
    }
}
