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

/// A form with what a browser would send of it as it stands.
#[derive(Clone, Debug)]
pub(crate) struct Form {
    pub(crate) action: String,
    pub(crate) fields: Vec<(String, String)>,
    /// The words of its presses.
    pub(crate) presses: Vec<String>,
}

impl Form {
    /// The same with a field filled in; one that it does not have is a mistake of the test.
    pub(crate) fn with(mut self, name: &str, value: &str) -> Self {
        let field = self.fields.iter_mut().find(|(own, _)| own == name);
        let Some(field) = field else { panic!("no field {name} in {:?}", self.fields) };
        field.1 = value.to_owned();
        self
    }

    pub(crate) fn field(&self, name: &str) -> &str {
        self.fields.iter().find(|(own, _)| own == name).map_or("", |(_, value)| value)
    }

    pub(crate) fn pairs(&self) -> Vec<(&str, &str)> {
        self.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
    }
}

/// Every form of a page.
pub(crate) fn forms(html: &str) -> Vec<Form> {
    let dom = parse_document(RcDom::default(), ParseOpts::default()).one(html);
    let mut forms = Vec::new();
    in_forms(&dom.document, &mut forms);
    forms
}

/// The form that has this press.
pub(crate) fn form(html: &str, press: &str) -> Form {
    let all = forms(html);
    let found = all.iter().find(|form| form.presses.iter().any(|own| own.starts_with(press)));
    let presses: Vec<&Vec<String>> = all.iter().map(|form| &form.presses).collect();
    found.unwrap_or_else(|| panic!("no press {press}: {presses:?}")).clone()
}

fn named(node: &Handle, key: &str) -> Option<String> {
    let NodeData::Element { attrs, .. } = &node.data else { return None };
    let attributes = attrs.borrow();
    let found = attributes.iter().find(|one| &*one.name.local == key);
    found.map(|one| one.value.to_string())
}

fn words(node: &Handle) -> String {
    let own = match &node.data {
        NodeData::Text { contents } => contents.borrow().to_string(),
        _ => String::new(),
    };
    let inside: String = node.children.borrow().iter().map(words).collect();
    own + &inside
}

fn in_forms(node: &Handle, forms: &mut Vec<Form>) {
    if let NodeData::Element { name, .. } = &node.data
        && &*name.local == "form"
    {
        let mut form = Form {
            action: named(node, "action").unwrap_or_default(),
            fields: Vec::new(),
            presses: Vec::new(),
        };
        fields_in(node, &mut form);
        forms.push(form);
    }
    for child in node.children.borrow().iter() {
        in_forms(child, forms);
    }
}

fn fields_in(node: &Handle, form: &mut Form) {
    if let NodeData::Element { name, .. } = &node.data {
        let own = named(node, "name");
        match (&*name.local, own) {
            ("input", Some(own)) if named(node, "type").as_deref() != Some("file") => {
                form.fields.push((own, named(node, "value").unwrap_or_default()));
            }
            ("textarea", Some(own)) => form.fields.push((own, words(node))),
            ("select", Some(own)) => {
                let chosen = option(node, true).or_else(|| option(node, false)).unwrap_or_default();
                form.fields.push((own, chosen));
            }
            ("button", _) => form.presses.push(words(node).split_whitespace().collect::<Vec<_>>().join(" ")),
            _ => {}
        }
    }
    for child in node.children.borrow().iter() {
        fields_in(child, form);
    }
}

fn option(node: &Handle, selected: bool) -> Option<String> {
    for child in node.children.borrow().iter() {
        if let NodeData::Element { name, .. } = &child.data
            && &*name.local == "option"
            && (!selected || named(child, "selected").is_some())
        {
            return named(child, "value");
        }
        if let Some(found) = option(child, selected) {
            return Some(found);
        }
    }
    None
}
