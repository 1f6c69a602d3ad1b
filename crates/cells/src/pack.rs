//! The archive that a workbook is.

use std::io::{Cursor, Read};

use zip::ZipArchive;
use zip::result::ZipError;

use crate::Unread;

/// Parts of a workbook; a large one has some hundreds.
const MOST_PARTS: usize = 2_000;
/// What all parts may come to when they are unpacked, in bytes.
const MOST_UNPACKED: u64 = 48 * 1024 * 1024;

/// An archive of which every part was unpacked once, so that nothing in it is larger than it may be.
pub(crate) struct Pack<'a>(ZipArchive<Cursor<&'a [u8]>>);

fn damaged(error: &ZipError) -> Unread {
    Unread::new(format!("this workbook cannot be unpacked ({error})"), "the same, opened and saved once more")
}

impl<'a> Pack<'a> {
    /// Opens it, and looks at how large it becomes. What a part says of its own size is not believed.
    pub(crate) fn open(bytes: &'a [u8]) -> Result<Self, Unread> {
        let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| damaged(&error))?;
        let too_large = || Unread::new("this workbook is far larger unpacked", "one with the readings alone");
        if archive.len() > MOST_PARTS {
            return Err(too_large());
        }
        let mut left = MOST_UNPACKED;
        for at in 0..archive.len() {
            let part = archive.by_index(at).map_err(|error| damaged(&error))?;
            let read = std::io::copy(&mut part.take(left + 1), &mut std::io::sink())
                .map_err(|error| damaged(&ZipError::Io(error)))?;
            left = left.checked_sub(read).ok_or_else(too_large)?;
        }
        Ok(Self(archive))
    }

    /// Whether it has a part of this name.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.0.index_for_name(name).is_some()
    }

    /// A part that is text; none where it has no such part.
    pub(crate) fn text(&mut self, name: &str) -> Result<Option<String>, Unread> {
        let part = match self.0.by_name(name) {
            Ok(part) => part,
            Err(ZipError::FileNotFound) => return Ok(None),
            Err(error) => return Err(damaged(&error)),
        };
        let mut text = String::new();
        part.take(MOST_UNPACKED).read_to_string(&mut text).map_err(|_| {
            Unread::new("this workbook's table is no text", "the same, opened and saved once more")
        })?;
        Ok(Some(text))
    }
}
