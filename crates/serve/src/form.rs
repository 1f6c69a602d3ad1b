//! Queries and forms: percent-encoding, fields, and files in parts.

use pages::Upload;

use crate::refusal::Refusal;

/// Fields of a form or a query that are read; more are an error.
const MOST_FIELDS: usize = 2_000;

/// Fields and at most one file.
#[derive(Clone, Debug, Default)]
pub(crate) struct Form {
    pub(crate) fields: Vec<(String, String)>,
    pub(crate) upload: Option<Upload>,
}

/// `%41` is `A`; in a query or a form, `+` is a blank too. None for what is no UTF-8 or no encoding.
pub(crate) fn decoded(text: &str, plus_is_blank: bool) -> Option<String> {
    let digit =
        |byte: Option<&u8>| char::from(*byte?).to_digit(16).and_then(|digit| u8::try_from(digit).ok());
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while let Some(&byte) = bytes.get(at) {
        at += 1;
        match byte {
            b'%' => {
                out.push(digit(bytes.get(at))? << 4 | digit(bytes.get(at + 1))?);
                at += 2;
            }
            b'+' if plus_is_blank => out.push(b' '),
            other => out.push(other),
        }
    }
    String::from_utf8(out).ok()
}

/// The way back: every octet but plain letters and digits by its number.
pub(crate) fn encoded(text: &str) -> String {
    let one = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => char::from(byte).to_string(),
        other => format!("%{other:02X}"),
    };
    text.bytes().map(one).collect()
}

/// The fields of a query or of a form that is encoded like one.
pub(crate) fn fields(text: &str) -> Result<Vec<(String, String)>, Refusal> {
    let pairs = text.split('&').filter(|pair| !pair.is_empty());
    let read = pairs.take(MOST_FIELDS + 1).map(|pair| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        Some((decoded(name, true)?, decoded(value, true)?))
    });
    let fields: Option<Vec<_>> = read.collect();
    let fields = fields
        .ok_or_else(|| Refusal::bad("a field is not encoded as fields are", "percent-encoded UTF-8"))?;
    if fields.len() > MOST_FIELDS { Err(too_many()) } else { Ok(fields) }
}

fn too_many() -> Refusal {
    Refusal::new(413, "there are too many fields", "at most 2,000")
}

/// The boundary of a form in parts; none when it is another kind of content.
pub(crate) fn boundary(content_type: &str) -> Option<&str> {
    let (kind, rest) = content_type.split_once(';')?;
    if !kind.trim().eq_ignore_ascii_case("multipart/form-data") {
        return None;
    }
    rest.split(';').find_map(|part| {
        let (name, value) = part.split_once('=')?;
        let value = value.trim().trim_matches('"');
        let fits = name.trim().eq_ignore_ascii_case("boundary") && !value.is_empty() && value.len() <= 70;
        fits.then_some(value)
    })
}

/// Reads a form in parts (RFC 7578).
pub(crate) fn parts(body: &[u8], boundary: &str) -> Result<Form, Refusal> {
    let broken =
        || Refusal::bad("the form's parts cannot be told apart", "multipart/form-data as browsers send it");
    let first = format!("--{boundary}");
    let between = format!("\r\n--{boundary}");
    let mut rest = body.strip_prefix(first.as_bytes()).ok_or_else(broken)?;
    let mut form = Form::default();
    loop {
        if rest.starts_with(b"--") {
            return Ok(form);
        }
        rest = rest.strip_prefix(b"\r\n").ok_or_else(broken)?;
        let end = find(rest, between.as_bytes()).ok_or_else(broken)?;
        let (part, after) = (&rest[..end], &rest[end + between.len()..]);
        put_part(part, &mut form).ok_or_else(broken)?;
        if form.fields.len() > MOST_FIELDS {
            return Err(too_many());
        }
        rest = after;
    }
}

/// One part: headers, an empty line, what is in it. A file without a name and without content is none.
fn put_part(part: &[u8], form: &mut Form) -> Option<()> {
    let split = find(part, b"\r\n\r\n")?;
    let head = std::str::from_utf8(&part[..split]).ok()?;
    let content = &part[split + 4..];
    let about = head.split("\r\n").find_map(|line| {
        let (name, value) = line.split_once(':')?;
        name.trim().eq_ignore_ascii_case("content-disposition").then_some(value)
    })?;
    let name = parameter(about, "name")?;
    match parameter(about, "filename") {
        Some(file) if !file.is_empty() || !content.is_empty() => {
            if form.upload.is_none() {
                form.upload = Some(Upload { field: name, name: file, bytes: content.to_vec() });
            }
        }
        Some(_) => {}
        None => form.fields.push((name, String::from_utf8(content.to_vec()).ok()?)),
    }
    Some(())
}

/// A parameter in quotes, as browsers write it: `"`, line feed and carriage return in it are percent-encoded.
fn parameter(about: &str, name: &str) -> Option<String> {
    let mut rest = about;
    while let Some((_, after)) = rest.split_once(';') {
        rest = after;
        let (key, value) = rest.split_once('=')?;
        let value = value.strip_prefix('"')?;
        let (value, behind) = value.split_once('"')?;
        if key.trim().eq_ignore_ascii_case(name) {
            return Some(value.replace("%22", "\"").replace("%0D", "\r").replace("%0A", "\n"));
        }
        rest = behind;
    }
    None
}

fn find(bytes: &[u8], sought: &[u8]) -> Option<usize> {
    let (&first, _) = sought.split_first()?;
    let mut from = 0;
    while let Some(at) = bytes.get(from..)?.iter().position(|byte| *byte == first) {
        if bytes[from + at..].starts_with(sought) {
            return Some(from + at);
        }
        from += at + 1;
    }
    None
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn encodings_are_read_or_refused() {
        assert_eq!(decoded("a%20b+c", true).as_deref(), Some("a b c"));
        assert_eq!(decoded("a+b", false).as_deref(), Some("a+b"));
        assert_eq!(decoded("%c3%A4", false).as_deref(), Some("ä"));
        for broken in ["%", "%4", "%zz", "%ff", "a%"] {
            assert_eq!(decoded(broken, false), None, "{broken}");
        }
        let read = fields("a=1&b=x%3Dy&&c&a=2").unwrap();
        let named = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        assert_eq!(read, [named("a", "1"), named("b", "x=y"), named("c", ""), named("a", "2")]);
        assert_eq!(fields(&"a&".repeat(2_001)).unwrap_err().status, 413);
    }

    proptest! {
        #[test]
        fn a_form_in_parts_comes_back(
            fields in proptest::collection::vec(("[a-z]{1,8}", "(?s:.{0,40})"), 0..6),
            file in proptest::option::of(("[a-z\"]{1,8}", proptest::collection::vec(any::<u8>(), 0..60))),
        ) {
            let boundary = "----edge7d1";
            prop_assume!(!fields.iter().any(|(_, value)| value.contains(boundary)));
            let mut body = Vec::new();
            for (name, value) in &fields {
                body.extend(format!("--{boundary}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes());
            }
            if let Some((name, bytes)) = &file {
                let name = name.replace('"', "%22");
                body.extend(format!("--{boundary}\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"{name}\"\r\nContent-Type: image/png\r\n\r\n").bytes());
                body.extend(bytes);
                body.extend(b"\r\n");
            }
            body.extend(format!("--{boundary}--\r\n").bytes());
            let form = parts(&body, boundary).unwrap();
            prop_assert_eq!(&form.fields, &fields);
            prop_assert_eq!(form.upload.map(|upload| (upload.name, upload.bytes)), file);
        }

        #[test]
        fn whatever_comes_is_read_or_refused(body in "(--x|\r\n|--|: |;|=|\"|name|form-data|content-disposition|ä){0,30}") {
            let _ = parts(body.as_bytes(), "x");
            let _ = fields(&body);
            let _ = boundary(&body);
        }
    }

    #[test]
    fn a_boundary_is_found_where_it_is_one() {
        assert_eq!(boundary("multipart/form-data; boundary=abc"), Some("abc"));
        assert_eq!(boundary("Multipart/Form-Data; charset=utf-8; boundary=\"a b\""), Some("a b"));
        for other in ["text/plain; boundary=a", "multipart/form-data", "multipart/form-data; boundary="] {
            assert_eq!(boundary(other), None, "{other}");
        }
    }
}
