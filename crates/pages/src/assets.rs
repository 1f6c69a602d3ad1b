//! Styles, scripts and letters.

/// A file that pages need.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Its path, which changes with what is in it: it may be kept for ever.
    pub path: &'static str,
    /// Its media type.
    pub media_type: &'static str,
    /// What is in it.
    pub bytes: &'static [u8],
}

const STYLE_BYTES: &[u8] = include_bytes!("../assets/sheet.css");
const SCRIPT_BYTES: &[u8] = include_bytes!("../assets/sheet.mjs");
const ICON_BYTES: &[u8] = include_bytes!("../assets/icon.svg");

/// Where the style sheet is.
pub(crate) const STYLE: &str = named(&STYLE_NAME);
/// Where the script is.
pub(crate) const SCRIPT: &str = named(&SCRIPT_NAME);
/// Where the icon is.
pub(crate) const ICON: &str = named(&ICON_NAME);

const STYLE_NAME: [u8; 23] = name(STYLE_BYTES, b".css");
const SCRIPT_NAME: [u8; 23] = name(SCRIPT_BYTES, b".mjs");
const ICON_NAME: [u8; 23] = name(ICON_BYTES, b".svg");

/// Every one of them.
#[must_use]
pub fn assets() -> &'static [Asset] {
    const FONT: &str = "font/woff2";
    // The style sheet names the fonts, so their names carry a number in place of a hash; a test holds them to it.
    const ALL: &[Asset] = &[
        Asset { path: STYLE, media_type: "text/css; charset=utf-8", bytes: STYLE_BYTES },
        Asset { path: SCRIPT, media_type: "text/javascript; charset=utf-8", bytes: SCRIPT_BYTES },
        Asset { path: ICON, media_type: "image/svg+xml", bytes: ICON_BYTES },
        Asset {
            path: "/a/b612-regular-1.woff2",
            media_type: FONT,
            bytes: include_bytes!("../assets/fonts/b612-regular.woff2"),
        },
        Asset {
            path: "/a/b612-bold-1.woff2",
            media_type: FONT,
            bytes: include_bytes!("../assets/fonts/b612-bold.woff2"),
        },
        Asset {
            path: "/a/b612mono-regular-1.woff2",
            media_type: FONT,
            bytes: include_bytes!("../assets/fonts/b612mono-regular.woff2"),
        },
        Asset {
            path: "/a/routed-gothic-1.woff2",
            media_type: FONT,
            bytes: include_bytes!("../assets/fonts/routed-gothic.woff2"),
        },
    ];
    ALL
}

/// `/a/`, a hash of the bytes in hexadecimal, an ending of four letters.
const fn name(bytes: &[u8], ending: &[u8; 4]) -> [u8; 23] {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let mut rest = hash(bytes);
    let mut out = *b"/a/0000000000000000.xxx";
    let mut at = 3;
    while at < 19 {
        out[at] = DIGITS[(rest & 15) as usize];
        rest >>= 4;
        at += 1;
    }
    let mut letter = 0;
    while letter < 4 {
        out[19 + letter] = ending[letter];
        letter += 1;
    }
    out
}

/// FNV-1a over 64 bits, by its published constants (from memory): it tells versions apart and guards against nothing.
const fn hash(bytes: &[u8]) -> u64 {
    let mut hash = 0xcbf2_9ce4_8422_2325;
    let mut at = 0;
    while at < bytes.len() {
        hash = (hash ^ bytes[at] as u64).wrapping_mul(0x0100_0000_01b3);
        at += 1;
    }
    hash
}

const fn named(name: &'static [u8; 23]) -> &'static str {
    match std::str::from_utf8(name) {
        Ok(name) => name,
        Err(_) => panic!("a name is of ASCII letters"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whoever changes a font gives it the next number, here, above and in the style sheet.
    #[test]
    fn fonts_are_those_of_their_number_and_the_style_sheet_names_them() {
        let style = std::str::from_utf8(STYLE_BYTES).expect("it is text");
        let fonts = assets().iter().filter(|asset| asset.media_type == "font/woff2");
        let hashes: Vec<(&str, u64)> = fonts.map(|font| (font.path, hash(font.bytes))).collect();
        for (path, _) in &hashes {
            assert!(style.contains(path), "{path}");
        }
        insta::assert_debug_snapshot!(hashes);
    }

    /// By hand: FNV-1a of nothing is its offset, of `a` 0xaf63dc4c8601ec8c (from the published test vectors, from memory).
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(hash(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(hash(b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}
