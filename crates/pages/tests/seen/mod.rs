//! The example on a shelf, and what is seen of an answer.

#![allow(dead_code, reason = "each test uses its own part of it")]

use pages::{Answer, Content};

use crate::dom;
use crate::shelf::{EXAMPLE, Shelf};

/// The example's pages.
pub(crate) const JOB: &str = "/j/orchard-row";

/// The example on a shelf of its own.
pub(crate) fn opened() -> Shelf {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    shelf
}

/// A page, or a part of one.
pub(crate) fn html(answer: &Answer) -> &str {
    match &answer.content {
        Content::Html(html) => html,
        other => panic!("no page: {other:?}"),
    }
}

/// What stands on it.
pub(crate) fn text(answer: &Answer) -> String {
    dom::page(html(answer)).text
}

/// Where it leads, less what it wrote.
pub(crate) fn to(answer: &Answer) -> &str {
    match &answer.content {
        Content::Redirect(to) => to
            .split(['?', '&'])
            .find(|part| part.starts_with("wrote="))
            .map_or(to, |wrote| to[..to.len() - wrote.len()].trim_end_matches(['?', '&'])),
        other => panic!("no way onwards: {other:?}"),
    }
}
