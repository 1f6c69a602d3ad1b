//! Styles, scripts and letters.

/// A file that pages need.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Its path, with a hash of what is in it: it may be kept for ever.
    pub path: &'static str,
    /// Its media type.
    pub media_type: &'static str,
    /// What is in it.
    pub bytes: &'static [u8],
}

/// Every one of them.
#[must_use]
pub fn assets() -> &'static [Asset] {
    &[]
}
