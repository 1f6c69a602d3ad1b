//! A pair of hands at one job: forms filled in as a browser would send them.

#![allow(dead_code, reason = "each test uses its own part of it")]

use pages::{Answer, Content};

use crate::dom::{self, Form, form};
use crate::shelf::Shelf;

/// A job with nothing in it but its name.
pub(crate) const EMPTY: &str = "format = 1\n\n[site]\nname = \"Yard\"\nunits = \"metric\"\n";

pub(crate) fn html(answer: &Answer) -> &str {
    match &answer.content {
        Content::Html(html) => html,
        other => panic!("no page: {other:?}"),
    }
}

pub(crate) fn text(answer: &Answer) -> String {
    dom::page(html(answer)).text.replace('\n', " ")
}

/// One job on a shelf of its own.
pub(crate) struct Desk(pub(crate) Shelf);

impl Desk {
    pub(crate) fn of(text: &str) -> Self {
        let shelf = Shelf::new();
        shelf.put("y", text);
        Self(shelf)
    }

    pub(crate) fn form(&self, path: &str, press: &str) -> Form {
        form(html(&self.0.get(path)), press)
    }

    pub(crate) fn send(&self, form: &Form) -> Answer {
        self.0.post(&form.action, &form.pairs())
    }

    /// A form that must be taken.
    pub(crate) fn take(&self, form: &Form) {
        let answer = self.send(form);
        let says = if let Content::Html(_) = &answer.content { text(&answer) } else { String::new() };
        assert_eq!(answer.status, 303, "{says}");
    }

    pub(crate) fn text(&self) -> String {
        self.0.text("y")
    }

    pub(crate) fn undo(&self, id: &str) -> Answer {
        self.0.post("/j/y/undo", &[("change", id), ("back", "/j/y/record")])
    }
}
