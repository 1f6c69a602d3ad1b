//! Pages as a browser would read them: somebody else's reader of HTML, and what it complains of.

#![allow(dead_code, reason = "each test uses its own part of it")]

use html5ever::tendril::TendrilSink;
use html5ever::{ParseOpts, parse_document};
use markup5ever_rcdom::{Handle, NodeData, RcDom};

/// A page that was read.
pub(crate) struct Page {
    /// What is against the standard.
    pub(crate) errors: Vec<String>,
    /// Every element, in the order of the page.
    pub(crate) elements: Vec<Element>,
    /// The text that people see, a line a piece.
    pub(crate) text: String,
}

/// One element.
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: Vec<(String, String)>,
}

impl Element {
    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

/// Reads a page.
pub(crate) fn page(html: &str) -> Page {
    let options = ParseOpts {
        tree_builder: html5ever::tree_builder::TreeBuilderOpts { exact_errors: true, ..Default::default() },
        tokenizer: html5ever::tokenizer::TokenizerOpts { exact_errors: true, ..Default::default() },
    };
    let dom = parse_document(RcDom::default(), options).one(html);
    let mut page = Page {
        errors: dom.errors.borrow().iter().map(ToString::to_string).collect(),
        elements: Vec::new(),
        text: String::new(),
    };
    walk(&dom.document, false, &mut page);
    page
}

fn walk(node: &Handle, unseen: bool, page: &mut Page) {
    let mut unseen = unseen;
    match &node.data {
        NodeData::Element { name, attrs, .. } => {
            let attributes = attrs.borrow();
            let name = name.local.to_string();
            unseen |= matches!(name.as_str(), "svg" | "head" | "script" | "style");
            page.elements.push(Element {
                attributes: attributes
                    .iter()
                    .map(|one| (one.name.local.to_string(), one.value.to_string()))
                    .collect(),
                name,
            });
        }
        NodeData::Text { contents } if !unseen => {
            let text = contents.borrow();
            let text = text.trim();
            if !text.is_empty() {
                page.text.push_str(text);
                page.text.push('\n');
            }
        }
        _ => {}
    }
    for child in node.children.borrow().iter() {
        walk(child, unseen, page);
    }
}
