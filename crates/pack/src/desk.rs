//! The typesetter's world: our templates, our fonts, one file of data, and nothing else.

use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

macro_rules! fonts {
    ($($name:literal => $family:literal),* $(,)?) => {
        [$((include_bytes!(concat!("../fonts/", $name)).as_slice(), $family)),*]
    };
}

/// The fonts with the family that templates and drawings name them by; the last is what others fall back on.
fn fonts() -> &'static (LazyHash<FontBook>, Vec<Font>) {
    static FONTS: OnceLock<(LazyHash<FontBook>, Vec<Font>)> = OnceLock::new();
    FONTS.get_or_init(|| {
        let files = fonts![
            "B612-Regular.otf" => "B612",
            "B612-Bold.otf" => "B612",
            "B612Mono-Regular.otf" => "B612 Mono",
            "B612Mono-Bold.otf" => "B612 Mono",
            "routed-gothic.ttf" => "Routed Gothic",
            "DejaVuSans.ttf" => "DejaVu Sans",
        ];
        let mut book = FontBook::new();
        let mut fonts = Vec::with_capacity(files.len());
        for (bytes, family) in files {
            let Some(font) = Font::new(Bytes::new(bytes), 0) else { continue };
            let mut info = font.info().clone();
            family.clone_into(&mut info.family);
            book.push(info);
            fonts.push(font);
        }
        (LazyHash::new(book), fonts)
    })
}

/// Whether one of our fonts can draw a character.
pub(crate) fn has_glyph(character: char) -> bool {
    fonts().1.iter().any(|font| font.info().coverage.contains(u32::from(character)))
}

macro_rules! templates {
    ($($name:literal),* $(,)?) => {
        [$(($name, include_str!(concat!("../templates/", $name, ".typ")))),*]
    };
}

/// Every template that others import, by name.
const TEMPLATES: [(&str, &str); 13] = templates![
    "sheet", "summary", "schedule", "module", "supply", "circuit", "survey", "signals", "cutover",
    "findings", "doors", "kit", "tag"
];

/// What is set at one go.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Setting {
    /// A chapter's sheets by its number, without frames and title blocks.
    Chapter(usize),
    /// What is the same on every sheet.
    Ground,
    /// What title blocks say of sheets that were counted, from this one on.
    Blocks(usize),
}

/// All that the typesetter can see.
pub(crate) struct Desk {
    library: LazyHash<Library>,
    main: FileId,
    sources: Vec<Source>,
    data: (FileId, Bytes),
}

impl Desk {
    /// A desk for one setting; `data` is JSON that the templates read.
    pub(crate) fn new(setting: Setting, data: Vec<u8>) -> Self {
        // The main file's name tells settings apart: see `typeset`.
        let (main, text) = match setting {
            Setting::Chapter(number) => {
                (format!("chapter-{number}.typ"), include_str!("../templates/chapter.typ"))
            }
            Setting::Ground => ("ground.typ".to_owned(), include_str!("../templates/ground.typ")),
            Setting::Blocks(from) => (format!("blocks-{from}.typ"), include_str!("../templates/blocks.typ")),
        };
        let main = id(&main);
        let mut sources = vec![Source::new(main, text.to_owned())];
        sources.extend(
            TEMPLATES.iter().map(|(name, text)| Source::new(id(&format!("{name}.typ")), (*text).to_owned())),
        );
        Self {
            library: LazyHash::new(<Library as LibraryExt>::default()),
            main,
            sources,
            data: (id("data.json"), Bytes::new(data)),
        }
    }
}

/// A file of the typesetter's own small world.
fn id(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("our own names are plain");
    FileId::new(RootedPath::new(VirtualRoot::Project, path))
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &fonts().0
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let source = self.sources.iter().find(|source| source.id() == id);
        source.cloned().ok_or_else(|| absent(id))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 { Ok(self.data.1.clone()) } else { Err(absent(id)) }
    }

    fn font(&self, index: usize) -> Option<Font> {
        fonts().1.get(index).cloned()
    }

    /// No clock: the date of a sheet stands in its data.
    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

fn absent(id: FileId) -> FileError {
    FileError::NotFound(id.get().vpath().get_with_slash().into())
}
