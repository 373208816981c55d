//! The fonts that words are set in: the carried one, or a file of the project's.

use std::rc::Rc;

use super::asset::Library;
use super::code;
use super::value::Value;
use crate::drawing::Weight;
use crate::font::{FontFault, Shaper};

/// A font that words are set in.
#[derive(Debug, Clone)]
pub(super) enum Font {
    Carried(Weight),
    /// A file, known to be a font.
    File {
        path: String,
        bytes: Rc<[u8]>,
    },
}

impl Font {
    pub(super) fn shaper(&self) -> Shaper<'_> {
        match self {
            Self::Carried(weight) => Shaper::carried(*weight),
            Self::File { bytes, .. } => {
                Shaper::of_file(bytes).expect("the file was found to be a font when it was read")
            }
        }
    }

    /// As the project spells it.
    pub(super) fn name(&self) -> &str {
        match self {
            Self::Carried(Weight::Regular) => "sans",
            Self::Carried(Weight::Bold) => "sans bold",
            Self::File { path, .. } => path,
        }
    }
}

/// Reads a font by its name or its file.
pub(super) fn read(value: &Value<'_>, library: &Library<'_>) -> Option<Font> {
    let name = value.raw_text()?;
    match name {
        "sans" => return Some(Font::Carried(Weight::Regular)),
        "sans bold" => return Some(Font::Carried(Weight::Bold)),
        _ => {}
    }
    if !name.contains(['.', '/']) {
        let message = format!("the font \"{name}\" is not carried along");
        let hint =
            "write font = \"sans\" or \"sans bold\", or name a file like font = \"fonts/own.ttf\"";
        return value.fail(code::WORDS_FONT, message, hint);
    }
    let bytes: Rc<[u8]> = library.bytes(value)?.into();
    if let Err(fault) = Shaper::of_file(&bytes) {
        let (what, hint) = match fault {
            FontFault::Unreadable => (
                "is no TrueType or OpenType font that can be read",
                "name a .ttf or .otf file",
            ),
            FontFault::Collection => (
                "is a collection of several fonts",
                "save the one that is meant as a .ttf or .otf file of its own",
            ),
            FontFault::Web => (
                "is packed for web pages",
                "name the .ttf or .otf file that it was made from",
            ),
            FontFault::Intricate => (
                "has letters put together from too many parts",
                "name a font of simpler letters",
            ),
            FontFault::NoOutlines => (
                "holds pictures of its letters, not their outlines",
                "name a font with outlines",
            ),
        };
        return value.fail(code::WORDS_FONT, format!("\"{name}\" {what}"), hint);
    }
    Some(Font::File {
        path: name.to_owned(),
        bytes,
    })
}
