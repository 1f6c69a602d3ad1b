//! Paths: what a request is about, and the path back to it.

/// What a path leads to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Place {
    /// The list of jobs.
    Jobs,
    /// Making a job.
    New,
    /// The colours of the sheet.
    Colours,
    /// Who somebody is.
    Who,
    /// A room of a job, or a part of one.
    Job(String, Room),
    /// Nothing.
    Nowhere,
}

/// A part of a job.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Room {
    Front,
    Survey,
    Strip,
    Walk,
    Tag,
    Readings,
    Card(String),
    Weigh(String),
    Circuits,
    Circuit(String),
    Play(String),
    Remedy(String),
    Accept(String),
    Supplies,
    Supply(String),
    Inputs,
    Divide,
    CutOver,
    Record,
    Note,
    Photo,
    Change,
    Undo,
    Checked,
    Text,
    Version,
    Assessment,
    Identified,
}

impl Place {
    /// Reads a path as a browser sends it.
    pub(crate) fn of(path: &str) -> Self {
        let parts: Option<Vec<String>> =
            path.trim_start_matches('/').split('/').filter(|part| !part.is_empty()).map(decoded).collect();
        let Some(parts) = parts else { return Self::Nowhere };
        let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
        match parts.as_slice() {
            [] => Self::Jobs,
            ["new"] => Self::New,
            ["sheet"] => Self::Colours,
            ["who"] => Self::Who,
            ["j", id, rest @ ..] => match room(rest) {
                Some(room) => Self::Job((*id).to_owned(), room),
                None => Self::Nowhere,
            },
            _ => Self::Nowhere,
        }
    }
}

fn room(parts: &[&str]) -> Option<Room> {
    Some(match parts {
        [] => Room::Front,
        ["survey"] => Room::Survey,
        ["strip"] => Room::Strip,
        ["walk"] => Room::Walk,
        ["tag"] => Room::Tag,
        ["readings"] => Room::Readings,
        ["survey", tag] => Room::Card((*tag).to_owned()),
        ["survey", tag, "weigh"] => Room::Weigh((*tag).to_owned()),
        ["circuits"] => Room::Circuits,
        ["c", tag] => Room::Circuit((*tag).to_owned()),
        ["c", tag, "play"] => Room::Play((*tag).to_owned()),
        ["c", tag, "remedy"] => Room::Remedy((*tag).to_owned()),
        ["c", tag, "accept"] => Room::Accept((*tag).to_owned()),
        ["supplies"] => Room::Supplies,
        ["s", id] => Room::Supply((*id).to_owned()),
        ["inputs"] => Room::Inputs,
        ["inputs", "divide"] => Room::Divide,
        ["cut-over"] => Room::CutOver,
        ["record"] => Room::Record,
        ["note"] => Room::Note,
        ["photo"] => Room::Photo,
        ["change"] => Room::Change,
        ["undo"] => Room::Undo,
        ["checked"] => Room::Checked,
        ["job.toml"] => Room::Text,
        ["version"] => Room::Version,
        ["assess.json"] => Room::Assessment,
        ["identify.json"] => Room::Identified,
        _ => return None,
    })
}

/// A path of parts, each encoded: `/j/orchard-row/c/C07`.
pub(crate) fn path(parts: &[&str]) -> String {
    parts.iter().map(|part| format!("/{}", encoded(part))).collect()
}

/// A part of a path or of a query as a browser takes it: all but plain letters, figures and `-._~` by their bytes.
pub(crate) fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    // A part of nothing but dots would lead upwards.
    if !out.is_empty() && out.bytes().all(|byte| byte == b'.') { out.replace('.', "%2E") } else { out }
}

/// None where it is no text.
fn decoded(part: &str) -> Option<String> {
    let bytes = part.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        if bytes[at] == b'%' {
            let code = part.get(at + 1..at + 3)?;
            out.push(u8::from_str_radix(code, 16).ok()?);
            at += 3;
        } else {
            out.push(bytes[at]);
            at += 1;
        }
    }
    String::from_utf8(out).ok()
}

/// A path of ours to go back to; the list of jobs for anything else.
pub(crate) fn back(asked: &str) -> String {
    let plain = asked.starts_with('/')
        && !asked.starts_with("//")
        && !asked.contains(['\\', '\r', '\n'])
        && asked.bytes().all(|byte| (0x21..0x7f).contains(&byte));
    if plain { asked.to_owned() } else { "/".to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tag_of_any_letters_comes_back_from_its_path() {
        for tag in ["C07", "C 7/8", "Tür ä?#%", "..", ".", "a+b&c=d", "<script>"] {
            let path = path(&["j", "x", "c", tag]);
            assert_eq!(Place::of(&path), Place::Job("x".to_owned(), Room::Circuit(tag.to_owned())), "{path}");
        }
    }

    #[test]
    fn what_is_no_path_of_ours_leads_nowhere() {
        for path in
            ["/j/x/%", "/j/x/%f", "/j/x/c/%ff", "/etc/passwd", "/j/x/../../etc", "/j/x/c/C1/more/still"]
        {
            assert_eq!(Place::of(path), Place::Nowhere, "{path}");
        }
        for path in ["//evil.example/", "https://evil.example/", "/\\evil.example", "/a\r\nSet-Cookie: x", ""]
        {
            assert_eq!(back(path), "/", "{path}");
        }
        assert_eq!(back("/j/x/c/C07?cut=3"), "/j/x/c/C07?cut=3");
    }
}
