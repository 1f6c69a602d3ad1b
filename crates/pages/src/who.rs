//! Who is at the browser: a name that somebody gives, beside what they change. It is no account and proves nothing.

use maud::{Markup, html};

use crate::answer::{Answer, Content, Remember, said};
use crate::frame::refused;
use crate::request::Request;

/// The longest name, in letters.
pub const LONGEST_NAME: usize = 60;

/// What stands for whoever has no name.
pub(crate) const NOBODY: &str = "this machine";

/// A name as it is kept; none for what is no name: nothing to read in it, too long, or letters that steer a terminal or turn
/// a line of text around.
#[must_use]
pub fn name_of(text: &str) -> Option<&str> {
    let name = text.trim();
    let fits = name.chars().any(char::is_alphanumeric)
        && name.chars().count() <= LONGEST_NAME
        && !name.chars().any(job::is_unseen);
    fits.then_some(name)
}

/// The form by which somebody says who they are; at the foot of every page.
pub(crate) fn form(request: &Request) -> Markup {
    html! {
        details.who {
            summary { "You are " bdi { (request.author) } }
            form method="post" action="/who" {
                input type="hidden" name="back" value=(crate::frame::here(request));
                label for="who" { "Your name, as it stands beside what you change" }
                div.with-press {
                    input id="who" name="who" maxlength=(LONGEST_NAME) autocomplete="name" value=(request.author);
                    button.small type="submit" { "Write it so" }
                }
                p.quiet { "Kept in this browser. Empty: the name of this machine's user." }
            }
        }
    }
}

/// Remembers who somebody is.
pub(crate) fn named(request: &Request) -> Answer {
    let back = crate::place::back(request.field("back"));
    let asked = request.field("who").trim();
    match name_of(asked) {
        None if !asked.is_empty() => {
            let accept = "Accepted: up to 60 letters, figures, blanks and marks of one line; empty for none.";
            refused(request, "This cannot stand as a name.", accept, &back)
        }
        name => {
            let remember = Some(Remember::Name(name.unwrap_or_default().to_owned()));
            Answer { remember, ..said(Content::Redirect(back)) }
        }
    }
}
