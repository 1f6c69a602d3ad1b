//! What stands behind the opening bracket: `data][x...]..._timestamp`.

use crate::clock::Stamp;

/// The content of a message, in clear.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Body<'m> {
    /// The data, without the pad of an encrypted message and its `|`.
    pub data: &'m [u8],
    /// The extended fields as they came, brackets included.
    fields: &'m [u8],
    /// The message's own time.
    pub stamp: Option<Stamp>,
}

/// One extended field.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ExtendedField<'m> {
    /// Its letter, which names its kind; unknown ones are kept.
    pub letter: u8,
    /// What follows the letter.
    pub value: &'m [u8],
}

/// Octets that are no content of a message.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum NoBody {
    /// No closing bracket.
    NoBracket,
    /// Something follows the data that is neither an extended field nor a time.
    Trailing,
}

impl<'m> Body<'m> {
    /// Reads a content in clear.
    ///
    /// # Errors
    /// When brackets or what follows them are not of the form.
    pub fn read(content: &'m [u8]) -> Result<Self, NoBody> {
        let end = content.iter().position(|&octet| octet == b']').ok_or(NoBody::NoBracket)?;
        let (data, behind) = (&content[..end], &content[end + 1..]);
        let mut rest = behind;
        while let Some(inner) = rest.strip_prefix(b"[") {
            let end = inner.iter().position(|&octet| octet == b']').ok_or(NoBody::NoBracket)?;
            rest = &inner[end + 1..];
        }
        let fields = &behind[..behind.len() - rest.len()];
        let stamp = if rest.is_empty() { None } else { Some(Stamp::read(rest).ok_or(NoBody::Trailing)?) };
        Ok(Self { data, fields, stamp })
    }

    /// Reads what was decrypted: a pad goes before. Where the first `]` comes before any `|`, the data is empty
    /// (some senders of NULL and ACK leave the `|` out).
    ///
    /// # Errors
    /// As [`Self::read`].
    pub fn read_padded(clear: &'m [u8]) -> Result<Self, NoBody> {
        let first = clear.iter().position(|&octet| matches!(octet, b'|' | b']')).ok_or(NoBody::NoBracket)?;
        let from = if clear[first] == b'|' { first + 1 } else { first };
        Self::read(&clear[from..])
    }

    /// The extended fields, in their order.
    pub fn fields(&self) -> impl Iterator<Item = ExtendedField<'m>> + use<'m> {
        let inner = self.fields.strip_prefix(b"[").unwrap_or(b"");
        let inner = inner.strip_suffix(b"]").unwrap_or(inner);
        let fields =
            inner.split(|&octet| octet == b']').map(|field| field.strip_prefix(b"[").unwrap_or(field));
        fields.filter_map(|field| field.split_first().map(|(&letter, value)| ExtendedField { letter, value }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_and_time_are_taken_apart() {
        let body = Body::read(b"#1|x][IHall [2][V][]_09:26:53,03-14-2026").expect("it is one");
        assert_eq!(body.data, b"#1|x");
        let fields: Vec<(u8, &[u8])> = body.fields().map(|field| (field.letter, field.value)).collect();
        assert_eq!(fields, [(b'I', &b"Hall [2"[..]), (b'V', b"")]);
        assert!(body.stamp.is_some());
        assert_eq!(Body::read(b"x"), Err(NoBody::NoBracket));
        assert_eq!(Body::read(b"x][I"), Err(NoBody::NoBracket));
        assert_eq!(Body::read(b"x]_09:26"), Err(NoBody::Trailing));
    }

    #[test]
    fn a_pad_goes_before_with_and_without_its_bar() {
        assert_eq!(Body::read_padded(b"\r\"p|#1|x]").expect("it is one").data, b"#1|x");
        assert_eq!(Body::read_padded(b"pppp]_09:26:53,03-14-2026").expect("it is one").data, b"");
    }
}
