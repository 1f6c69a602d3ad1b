//! The typesetter's world: our templates, our fonts, one file of data, and nothing else.

use std::sync::OnceLock;

use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, Timestamp};

use crate::options::{Date, PackError};

/// A document of the pack.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Document {
    /// Everything in one.
    Pack,
    /// Cable tags alone.
    Tags,
}

/// A finished PDF.
pub(crate) struct Typeset {
    pub(crate) pdf: Vec<u8>,
    pub(crate) pages: usize,
}

/// Sets a document; `data` is JSON that the templates read.
pub(crate) fn typeset(document: Document, data: Vec<u8>, date: Date) -> Result<Typeset, PackError> {
    let desk = Desk::new(document, data);
    let paged: PagedDocument = typst::compile(&desk).output.map_err(|errors| refused(&errors))?;
    let date = Datetime::from_ymd_hms(i32::from(date.year), date.month, date.day, 0, 0, 0);
    let options = PdfOptions {
        creator: Smart::Custom(Some(format!("Loopwright {}", env!("CARGO_PKG_VERSION")))),
        timestamp: date.map(Timestamp::new_utc),
        ..PdfOptions::default()
    };
    let pages = paged.pages().len();
    // What was kept for laying out again is of no use to the writer, and the writer needs the room.
    typst::comemo::evict(0);
    let pdf = typst_pdf::pdf(&paged, &options).map_err(|errors| refused(&errors))?;
    drop(paged);
    typst::comemo::evict(0);
    Ok(Typeset { pdf, pages })
}

fn refused(errors: &[SourceDiagnostic]) -> PackError {
    let words: Vec<String> = errors
        .iter()
        .map(|error| {
            let place = error.span.id().map(|id| format!("{:?}: ", id.get().vpath())).unwrap_or_default();
            format!("{place}{}", error.message)
        })
        .collect();
    PackError::Typeset(words.join("; "))
}

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

/// Every template by name.
const TEMPLATES: [(&str, &str); 10] = templates![
    "pack", "tags", "sheet", "summary", "schedule", "module", "circuit", "findings", "doors", "tag"
];

/// All that the typesetter can see.
struct Desk {
    library: LazyHash<Library>,
    main: FileId,
    sources: Vec<Source>,
    data: (FileId, Bytes),
}

impl Desk {
    fn new(document: Document, data: Vec<u8>) -> Self {
        let sources = TEMPLATES.map(|(name, text)| Source::new(id(&format!("{name}.typ")), text.to_owned()));
        let main = match document {
            Document::Pack => "pack.typ",
            Document::Tags => "tags.typ",
        };
        Self {
            library: LazyHash::new(<Library as LibraryExt>::default()),
            main: id(main),
            sources: sources.into(),
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
