//! Tags: typed, scanned by whatever types what it scans, or photographed; each opens its circuit, or leads to making it.

use maud::{Markup, html};

use crate::answer::{Answer, Content, said};
use crate::frame::{Open, Page, Tab, refused};

/// What stands before site and tag in a square code of ours.
const OURS: &str = "loopwright:";
/// The longest text of another's code that is shown.
const LONGEST_SHOWN: usize = 80;

/// The ways to a tag.
pub(crate) fn tag_form(open: &Open) -> Markup {
    html! {
        div.scan {
            form.search method="get" action=(open.path(&["tag"])) {
                label for="code" { "Tag, typed or scanned" }
                div.with-press {
                    input id="code" name="code" autocomplete="off" autocapitalize="characters" spellcheck="false" data-scan=(open.path(&["tag"]));
                    button type="submit" { "Open" }
                }
            }
            (photo_of_tag(open))
            div.camera hidden data-camera=(open.path(&["tag"])) {
                button type="button" { "Scan with the camera" }
                p role="status" {}
                video hidden muted playsinline aria-label="What the camera sees" {}
            }
        }
    }
}

/// The form for a photo of a tag, from which its code is read.
fn photo_of_tag(open: &Open) -> Markup {
    html! {
        form method="post" action=(open.path(&["tag"])) enctype="multipart/form-data" {
            label for="tag-photo" { "A photo of its square code" }
            div.with-press {
                input id="tag-photo" type="file" name="photo" accept="image/*" capture="environment" required;
                button type="submit" { "Read it" }
            }
        }
    }
}

/// What a code says here.
enum Code {
    /// A tag of this job, as the job writes it where it has it.
    Tag(String),
    /// One of another site.
    Elsewhere(String),
    /// None of ours.
    Foreign(String),
}

fn read(open: &Open, code: &str) -> Code {
    let code = code.trim();
    let is_ours = code.get(..OURS.len()).is_some_and(|start| start.eq_ignore_ascii_case(OURS));
    let tag = if is_ours {
        let Some((site, tag)) = code[OURS.len()..].split_once('/') else { return Code::Foreign(shown(code)) };
        // A square code names its site: one from elsewhere opens nothing here.
        if !site.eq_ignore_ascii_case(open.id) && !site.eq_ignore_ascii_case(&drawing::site_slug(open.site()))
        {
            return Code::Elsewhere(shown(site));
        }
        tag
    } else if code.contains("://") || code.chars().any(char::is_control) {
        return Code::Foreign(shown(code));
    } else {
        code
    };
    let there = open.job().circuits.iter().find(|circuit| circuit.tag.value.eq_ignore_ascii_case(tag));
    Code::Tag(there.map_or(tag, |circuit| circuit.tag.value.as_str()).to_owned())
}

/// So much of a text as fits a line, without what would steer a reader's eye.
fn shown(text: &str) -> String {
    let plain = text.chars().filter(|letter| {
        !letter.is_control()
            && !matches!(letter, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    });
    plain.take(LONGEST_SHOWN).collect()
}

fn of_another_site(open: &Open, site: &str) -> String {
    format!("This tag is of another site, {site}; it opens nothing in {}.", open.site())
}

/// The card of a tag: `C07`, or what its square code says.
pub(crate) fn by_tag(open: &Open) -> Answer {
    opened(open, read(open, open.request.asked("code")))
}

/// Whether a text is a square code of ours and no reading.
pub(crate) fn is_code(text: &str) -> bool {
    text.get(..OURS.len()).is_some_and(|start| start.eq_ignore_ascii_case(OURS))
}

/// The card of a code that came along where a reading was expected.
pub(crate) fn by_code(open: &Open, code: &str) -> Answer {
    opened(open, read(open, code))
}

fn opened(open: &Open, code: Code) -> Answer {
    let survey = open.path(&["survey"]);
    match code {
        Code::Tag(tag) if tag.is_empty() => said(Content::Redirect(survey)),
        Code::Tag(tag) => said(Content::Redirect(open.path(&["survey", &tag]))),
        Code::Elsewhere(site) => {
            refused(open.request, &of_another_site(open, &site), "Accepted: a tag of this site.", &survey)
        }
        Code::Foreign(text) => {
            let says = format!("This is no tag of ours: {text}");
            refused(
                open.request,
                &says,
                "Accepted: the tag of a cable as it is typed, or its square code.",
                &survey,
            )
        }
    }
}

/// The card of the tag whose code a photo shows.
pub(crate) fn by_photo(open: &Open) -> Answer {
    let Some(upload) = open.request.upload.as_ref().filter(|upload| !upload.bytes.is_empty()) else {
        return again(open, "No photo came along.", "Take one of the tag, or type what stands on it.", &[]);
    };
    let mut seen = match open.world.codes(&upload.bytes) {
        Ok(seen) => seen,
        Err(refused) => {
            let says = format!("{}.", view::words::capital(&refused.says));
            return again(open, &says, &format!("Accepted: {}.", refused.accept), &[]);
        }
    };
    match seen.read.len() {
        0 => again(
            open,
            "No square code was found in this photo.",
            "Nearer, flat, without a shadow or a shine on it; or type the tag.",
            &[],
        ),
        1 if !seen.others => opened(open, read(open, &seen.read.swap_remove(0))),
        _ if !seen.others => {
            again(open, "There are several codes in this photo: which one is meant?", "", &seen.read)
        }
        count => {
            let codes = view::words::counted(count, "code", "codes");
            let says = format!("{codes} read, others were seen that could not be read: which one is meant?");
            again(open, &says, "Where it is none of these: nearer, one tag alone; or type it.", &seen.read)
        }
    }
}

/// What came of a photo, with the codes to choose from and the ways to a tag again.
fn again(open: &Open, says: &str, how: &str, codes: &[String]) -> Answer {
    let body = html! {
        p.answer { (says) }
        @if !how.is_empty() { p { (how) } }
        @if !codes.is_empty() {
            ul.plain {
                @for code in codes {
                    @match read(open, code) {
                        Code::Tag(tag) => li { a.button href=(open.path(&["survey", &tag])) { (tag) } },
                        Code::Elsewhere(site) => li.quiet { (of_another_site(open, &site)) },
                        Code::Foreign(text) => li.quiet { "No tag of ours: " (text) },
                    }
                }
            }
        }
        (tag_form(open))
    };
    let mut page = Page::new(Tab::Survey, "Tag", body);
    page.status = if codes.is_empty() { 400 } else { 200 };
    page.answer(open)
}
