//! How wide a line of lettering is at most, for the three typefaces of the sheets.
//!
//! Measured once from the fonts' own tables (`hmtx`), in thousandths of the type size. Letters with accents
//! are as wide as their base letters in these fonts; what a font lacks is taken from a fallback font, whose
//! widths are estimated on the high side.

/// The typefaces of the sheets (`look.md`, 'lettering').
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Face {
    /// Routed Gothic: titles, tags, dimensions.
    Lettering,
    /// B612: text.
    Text,
    /// B612 Mono: numbers that are compared.
    Figures,
}

impl Face {
    /// The families to ask for, best first; what the first lacks comes from the next.
    #[must_use]
    pub fn families(self) -> &'static str {
        match self {
            Self::Lettering => "Routed Gothic, B612, DejaVu Sans, sans-serif",
            Self::Text => "B612, DejaVu Sans, sans-serif",
            Self::Figures => "B612 Mono, DejaVu Sans Mono, monospace",
        }
    }

    fn table(self) -> Option<&'static [u16; 95]> {
        match self {
            Self::Lettering => Some(&ROUTED_GOTHIC),
            Self::Text => Some(&B612),
            Self::Figures => None,
        }
    }
}

/// Every character of B612 Mono.
const MONO: u16 = 650;

/// Routed Gothic, U+0020 to U+007E.
const ROUTED_GOTHIC: [u16; 95] = [
    281, 281, 375, 656, 492, 844, 766, 219, 336, 336, 500, 625, 289, 406, 281, 562, 656, 344, 656, 656, 656,
    656, 656, 656, 656, 656, 281, 289, 625, 625, 625, 625, 859, 672, 680, 668, 680, 680, 648, 656, 695, 328,
    531, 656, 641, 811, 703, 719, 664, 719, 688, 656, 672, 695, 672, 852, 617, 641, 617, 305, 562, 305, 500,
    562, 375, 574, 574, 516, 578, 531, 367, 574, 570, 281, 281, 516, 281, 844, 566, 555, 574, 574, 414, 484,
    336, 566, 484, 680, 484, 484, 492, 422, 281, 422, 633,
];

/// B612, U+0020 to U+007E; à and its like are a little wider than a, which is listed as wide as they are.
const B612: [u16; 95] = [
    350, 350, 400, 850, 550, 900, 700, 200, 450, 450, 550, 600, 250, 450, 300, 550, 650, 650, 650, 650, 650,
    650, 650, 650, 650, 650, 300, 250, 650, 500, 650, 550, 1000, 650, 650, 650, 650, 600, 550, 650, 700, 300,
    450, 600, 550, 900, 750, 800, 600, 800, 650, 550, 600, 700, 650, 950, 650, 600, 600, 450, 550, 500, 750,
    550, 550, 550, 600, 525, 600, 550, 400, 600, 600, 300, 300, 550, 350, 900, 600, 600, 600, 600, 400, 450,
    400, 600, 550, 750, 550, 550, 500, 649, 200, 600, 750,
];

/// The base letters of U+00C0 to U+00FF; a question mark where there is none.
const LATIN_1: &str = "AAAAAA?CEEEEIIIIDNOOOOO?OUUUUY??aaaaaa?ceeeeiiiidnooooo?ouuuuy?y";

/// The width of a line at a type size, both in the same unit.
#[must_use]
pub fn text_width(text: &str, face: Face, size: f64) -> f64 {
    let thousandths: u64 = text.chars().map(|letter| u64::from(letter_width(letter, face))).sum();
    // A line has far fewer than 2^50 letters, so nothing is lost.
    thousandths as f64 / 1000.0 * size
}

fn letter_width(letter: char, face: Face) -> u16 {
    let Some(table) = face.table() else {
        return if (letter as u32) < 0x2500 { MONO } else { 1000 };
    };
    let code = letter as u32;
    match code {
        0x20..=0x7e => table[(code - 0x20) as usize],
        0xa0 | 0x2009 | 0x202f => table[0],
        // The Greek capital omega, micro, signs: the widest of the two fonts.
        0x3a9 | 0xd7 | 0x2126 => 800,
        0x2026 => 1000,
        0xb0 | 0xb2 | 0xb5 | 0xb7 | 0x2212 => 650,
        0xc0..=0xff => match LATIN_1.as_bytes().get((code - 0xc0) as usize) {
            Some(base @ b'A'..=b'z') => table[usize::from(base - 0x20)],
            _ => 900,
        },
        0x100..=0x24f | 0x1e00..=0x1eff => {
            if letter.is_uppercase() {
                900
            } else {
                720
            }
        }
        _ => 1050,
    }
}

/// Breaks a text into lines not wider than `most`: at blanks, hyphens and underscores where there are any,
/// otherwise anywhere. Nothing is left out.
#[must_use]
pub fn broken(text: &str, face: Face, size: f64, most: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in words(text) {
        let joined = format!("{line}{word}");
        if text_width(joined.trim_end(), face, size) <= most {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line).trim_end().to_owned());
        }
        for letter in word.chars() {
            if !line.is_empty() && text_width(&format!("{line}{letter}"), face, size) > most {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
    }
    if !line.trim_end().is_empty() || lines.is_empty() {
        lines.push(line.trim_end().to_owned());
    }
    lines
}

/// Words with the sign that ends them.
fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split_inclusive([' ', '_', '-', '/'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_the_sum_of_its_letters() {
        assert!((text_width("38 m", Face::Lettering, 1.0) - 2.437).abs() < 1e-9);
        assert!((text_width("2.21", Face::Figures, 3.0) - 7.8).abs() < 1e-9);
    }

    #[test]
    fn broken_lines_lose_nothing() {
        let name = "magazyn_łóżek_i_żywności_dla_źrebiąt_przy_bramie_północnej_2";
        let lines = broken(name, Face::Lettering, 3.0, 30.0);
        assert_eq!(lines.concat(), name);
        assert!(lines.iter().all(|line| text_width(line, Face::Lettering, 3.0) <= 30.0));
        assert_eq!(broken("", Face::Text, 3.0, 10.0), [""]);
    }
}
