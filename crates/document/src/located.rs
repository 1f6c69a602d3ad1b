//! A value with its place.

use std::fmt;
use std::ops::{Deref, Range};

/// A value and where it stands in its text. Two are equal when their values are.
#[derive(Clone, Debug)]
pub struct Located<T> {
    /// The value.
    pub value: T,
    /// Its bytes in the text.
    pub span: Range<usize>,
}

impl<T> Located<T> {
    /// A value at a place.
    #[must_use]
    pub fn new(value: T, span: Range<usize>) -> Self {
        Self { value, span }
    }

    /// A value that stands in no text (made by a program or a test).
    #[must_use]
    pub fn nowhere(value: T) -> Self {
        Self { value, span: 0..0 }
    }

    /// Another value at the same place.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Located<U> {
        Located { value: change(self.value), span: self.span }
    }
}

impl<T> Deref for Located<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

impl<T: PartialEq> PartialEq for Located<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<T: Eq> Eq for Located<T> {}

impl PartialEq<str> for Located<String> {
    fn eq(&self, other: &str) -> bool {
        self.value == other
    }
}

impl PartialEq<&str> for Located<String> {
    fn eq(&self, other: &&str) -> bool {
        self.value == *other
    }
}

impl<T: fmt::Display> fmt::Display for Located<T> {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(out)
    }
}
