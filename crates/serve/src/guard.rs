//! What is looked at before anything is answered: by which name we are called, and from whose page.

use std::net::SocketAddr;

use hyper::Method;
use hyper::header::{HOST, HeaderMap, HeaderName, HeaderValue, ORIGIN};
use hyper::http::request::Parts;

use crate::address;
use crate::refusal::Refusal;

/// Sent with every answer.
const ALWAYS: &[(&str, &str)] = &[
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; \
         connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; manifest-src 'self'; \
         worker-src 'self'",
    ),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    // Nothing goes to other sites; `no-referrer` would take the origin from our own forms as well.
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(self), screen-wake-lock=(self), geolocation=(), microphone=()"),
];

/// Puts what is sent with every answer into its headers.
pub(crate) fn put(headers: &mut HeaderMap) {
    for (name, value) in ALWAYS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
}

/// Refuses what comes under another name, or from another site's page.
pub(crate) fn check(parts: &Parts, address: SocketAddr) -> Result<(), Refusal> {
    let mut hosts = parts.headers.get_all(HOST).iter();
    let host = hosts.next().and_then(|host| host.to_str().ok()).unwrap_or_default();
    if hosts.next().is_some() || !address::is_ours(host, address) {
        return Err(Refusal::new(
            421,
            "this server does not go by that name",
            "the address that it printed when it started",
        ));
    }
    if parts.uri.authority().is_some_and(|named| !address::is_ours(named.as_str(), address)) {
        return Err(Refusal::new(421, "this server carries nothing on to others", "a path of this server"));
    }
    if is_foreign(parts, host) {
        return Err(Refusal::new(
            403,
            "this came from another site's page",
            "a press on a page of this server",
        ));
    }
    Ok(())
}

/// Whether another site's page sent it. Links that lead here are welcome; nothing else of theirs is.
fn is_foreign(parts: &Parts, host: &str) -> bool {
    let header = |name: &str| parts.headers.get(name).map(|value| value.to_str().unwrap_or("?"));
    let reads = parts.method == Method::GET || parts.method == Method::HEAD;
    if let Some(site) = header("sec-fetch-site") {
        // `same-site` is another port of this machine: another program.
        let ours = site == "same-origin" || site == "none";
        let follows_a_link = reads
            && header("sec-fetch-mode") == Some("navigate")
            && header("sec-fetch-dest").is_none_or(|dest| dest == "document");
        return !ours && !follows_a_link;
    }
    // An old browser says at least whose page posts; a program says nothing.
    match parts.headers.get(ORIGIN).map(|origin| origin.to_str().unwrap_or("?")) {
        Some(origin) => !origin.strip_prefix("http://").is_some_and(|named| named.eq_ignore_ascii_case(host)),
        None => false,
    }
}

#[cfg(test)]
mod tests {
    use hyper::Request;

    use super::*;

    fn checked(method: &str, headers: &[(&str, &str)]) -> u16 {
        let mut request = Request::builder().method(method).uri("/");
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let (parts, ()) = request.body(()).unwrap().into_parts();
        check(&parts, "127.0.0.1:8420".parse().unwrap()).map_or_else(|refusal| refusal.status, |()| 200)
    }

    #[test]
    fn a_page_of_elsewhere_can_lead_here_and_do_nothing_else() {
        let host = ("host", "127.0.0.1:8420");
        let from = |site| ("sec-fetch-site", site);
        let mode = |mode| ("sec-fetch-mode", mode);
        assert_eq!(checked("POST", &[host]), 200, "a program without a browser");
        assert_eq!(checked("POST", &[host, from("same-origin")]), 200);
        assert_eq!(checked("POST", &[host, from("none")]), 200);
        for site in ["cross-site", "same-site", "anything"] {
            assert_eq!(checked("POST", &[host, from(site), mode("navigate")]), 403, "{site}");
            assert_eq!(checked("GET", &[host, from(site), mode("no-cors")]), 403, "{site}");
            assert_eq!(checked("GET", &[host, from(site), mode("cors")]), 403, "{site}");
            let framed = [host, from(site), mode("navigate"), ("sec-fetch-dest", "iframe")];
            assert_eq!(checked("GET", &framed), 403, "{site}");
            let link = [host, from(site), mode("navigate"), ("sec-fetch-dest", "document")];
            assert_eq!(checked("GET", &link), 200, "{site}");
        }
        assert_eq!(checked("POST", &[host, ("origin", "http://127.0.0.1:8420")]), 200);
        for origin in ["null", "http://example.org", "http://127.0.0.1:8421", "https://127.0.0.1:8420", ""] {
            assert_eq!(checked("POST", &[host, ("origin", origin)]), 403, "{origin}");
        }
    }

    #[test]
    fn another_name_is_not_answered() {
        assert_eq!(checked("GET", &[]), 421);
        assert_eq!(checked("GET", &[("host", "example.org:8420")]), 421);
        assert_eq!(checked("GET", &[("host", "127.0.0.1:8420"), ("host", "example.org")]), 421);
    }
}
