//! The tag that is tied on a cable: its number, its place, and a square code that opens its circuit.

use qrcode::{Color, EcLevel, QrCode};

use crate::svg::{Anchor, Area, Colour, Picture, Sheet, Stroke, Type};
use crate::text_width::broken;

/// The tag, edge to edge.
const WIDTH: f64 = 50.0;
const HEIGHT: f64 = 20.0;
/// The hole for the tie.
const HOLE: (f64, f64) = (3.4, 10.0);
/// Lettering begins here.
const LEFT: f64 = 7.0;
/// The square code with its quiet zone.
const CODE: f64 = 19.0;
/// Clear modules around a code (ISO/IEC 18004).
const QUIET: usize = 4;

/// A longer name is cut in the code, between words: the modules must stay large enough for a phone.
const LONGEST_SLUG: usize = 40;

/// What a tag is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct TagRequest<'a> {
    /// The site's name, as the job gives it; its [`site_slug`] goes into the code.
    pub site: &'a str,
    /// The tag: `C07`.
    pub tag: &'a str,
    /// Where the circuit goes; empty on a tag printed before the survey, which then has a line to write on.
    pub place: &'a str,
}

/// The text of a tag's square code: `loopwright:orchard-row/C07`.
#[must_use]
pub fn tag_code(site: &str, tag: &str) -> String {
    format!("loopwright:{}/{tag}", site_slug(site))
}

/// A site's name in small letters, figures and hyphens: `orchard-row-veterinary-hospital`; `site` where
/// nothing of it is left. A long name keeps its first words, 40 letters at most.
#[must_use]
pub fn site_slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.to_lowercase().chars() {
        let plain = plain(letter);
        if plain.is_empty() {
            if !slug.ends_with('-') && !slug.is_empty() {
                slug.push('-');
            }
        } else {
            slug.push_str(plain);
        }
    }
    // Only small letters, figures and hyphens are in it, so any place is a letter's border.
    let kept = match slug.get(..LONGEST_SLUG) {
        Some(cut) if slug.len() > LONGEST_SLUG => cut.rsplit_once('-').map_or(cut, |(whole, _)| whole),
        _ => slug.as_str(),
    };
    let slug = kept.trim_end_matches('-');
    if slug.is_empty() { "site".to_owned() } else { slug.to_owned() }
}

/// A small letter without its accent; empty for anything else.
fn plain(letter: char) -> &'static str {
    const PLAIN: [(&str, &str); 20] = [
        ("àáâãåāăą", "a"),
        ("äæ", "ae"),
        ("çćĉċč", "c"),
        ("ďđð", "d"),
        ("èéêëēĕėęě", "e"),
        ("ĝğġģ", "g"),
        ("ĥħ", "h"),
        ("ìíîïĩīĭįı", "i"),
        ("ĵ", "j"),
        ("ķ", "k"),
        ("ĺļľŀł", "l"),
        ("ñńņňŋ", "n"),
        ("òóôõøōŏő", "o"),
        ("öœ", "oe"),
        ("ŕŗř", "r"),
        ("śŝşšș", "s"),
        ("ß", "ss"),
        ("ţťŧț", "t"),
        ("ùúûũūŭůűų", "u"),
        ("źżž", "z"),
    ];
    const ASCII: &str = "abcdefghijklmnopqrstuvwxyz0123456789";
    if let Some(at) = ASCII.find(letter) {
        return &ASCII[at..=at];
    }
    match letter {
        'ü' => "ue",
        'ý' | 'ÿ' => "y",
        'ŵ' => "w",
        'þ' => "th",
        _ => PLAIN.iter().find(|(letters, _)| letters.contains(letter)).map_or("", |(_, plain)| plain),
    }
}

/// Draws a cable tag of 50 x 20 mm; without a code where its text is longer than any code holds.
#[must_use]
pub fn tag(request: &TagRequest) -> Picture {
    let mut sheet = Sheet::default();
    let edge = Area::new(0.0, 0.0, WIDTH, HEIGHT);
    sheet.rectangle(edge, Some(Stroke::CONSTRUCTION), None);
    sheet.circle(HOLE, 1.5, Some(Stroke::CONSTRUCTION), None);
    let room = WIDTH - CODE - LEFT - 1.0;
    lettering(&mut sheet, request.tag, room);
    place(&mut sheet, request.place, room);
    let code = tag_code(request.site, request.tag);
    let drawn = code_squares(&mut sheet, &code, (WIDTH - CODE - 0.5, 0.5));
    let description = if drawn {
        format!("A tag for cable {}; its square code says {code}.", request.tag)
    } else {
        format!("A tag for cable {}.", request.tag)
    };
    sheet.picture(edge, &format!("Cable tag {}", request.tag), &description, String::new())
}

fn lettering(sheet: &mut Sheet, tag: &str, room: f64) {
    let full = Type::lettering(9.0);
    let size = (full.size * room / full.width(tag).max(room)).max(2.0);
    sheet.text((LEFT, 9.0), tag, Type::lettering(size), Anchor::Start);
}

/// The place in up to three lines, smaller where that does not hold it; a line to write on where none is known.
fn place(sheet: &mut Sheet, place: &str, room: f64) {
    if place.is_empty() {
        sheet.line(&[(LEFT, 17.2), (LEFT + room, 17.2)], Stroke::DIMENSION);
        return;
    }
    let sizes = [2.6, 2.2, 1.8, 1.5];
    let lines_at = |size: f64| broken(place, Type::text(size).face, size, room);
    let fitting = sizes.into_iter().find(|&size| lines_at(size).len() <= if size > 2.0 { 2 } else { 3 });
    let size = fitting.unwrap_or(1.3);
    let lines = lines_at(size);
    let mut y = 13.2;
    for line in lines.iter().take(5) {
        sheet.text((LEFT, y), line, Type::text(size), Anchor::Start);
        y += size * 1.25;
    }
}

/// The square code as runs of dark modules; false where the text is too long for one.
fn code_squares(sheet: &mut Sheet, text: &str, at: (f64, f64)) -> bool {
    let levels = [EcLevel::Q, EcLevel::M, EcLevel::L];
    // The strongest correction that keeps modules large enough for a phone; a longer text takes less.
    let codes = levels.into_iter().filter_map(|level| QrCode::with_error_correction_level(text, level).ok());
    let mut codes: Vec<QrCode> = codes.collect();
    let small = codes.iter().position(|code| code.width() <= 33).unwrap_or(codes.len().saturating_sub(1));
    if codes.is_empty() {
        return false;
    }
    let code = codes.swap_remove(small);
    let width = code.width();
    let module = CODE / (width + 2 * QUIET) as f64;
    let dark = |x: usize, y: usize| code[(x, y)] == Color::Dark;
    let mut squares = Vec::new();
    for y in 0..width {
        let mut x = 0;
        while x < width {
            if !dark(x, y) {
                x += 1;
                continue;
            }
            let from = x;
            while x < width && dark(x, y) {
                x += 1;
            }
            let place = |along: usize| (along + QUIET) as f64 * module;
            let square = Area::new(at.0 + place(from), at.1 + place(y), at.0 + place(x), at.1 + place(y + 1));
            squares.push(square);
        }
    }
    sheet.rectangles(&squares, Colour::Ink);
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slugs_are_small_letters_figures_and_hyphens() {
        assert_eq!(site_slug("Orchard Row Veterinary Hospital"), "orchard-row-veterinary-hospital");
        assert_eq!(site_slug("Łódź: Żłobek nr 7!"), "lodz-zlobek-nr-7");
        assert_eq!(site_slug("Müller & Söhne"), "mueller-soehne");
        assert_eq!(site_slug("院"), "site");
        let long = "Łódź: Wojewódzki Szpital Specjalistyczny imienia nikogo";
        assert_eq!(site_slug(long), "lodz-wojewodzki-szpital-specjalistyczny");
    }
}
