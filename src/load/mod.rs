//! A project file and the files it names -> [`Project`](crate::project::Project).
//!
//! [`project`] is the only way in. It gathers every mistake and reads no disk: bytes come through [`Assets`]. The messages
//! and hints are the product here as much as the project is; [`CODES`] lists what can be wrong.
//!
//! Reading order: `document` and `mistakes` (with `code`), then `table` and `value`, with which all else is written (and `ids` and
//! `sides`, which several tables share). After that `read_project`, and one file for each table of the format: `job`, `stock` (with
//! `format`, `offcut` and `paper_weight`), `piece` (with `piece_keys`, `nick` and `mirror`), `shape` (with `strip` and `svg_outline`),
//! `operation`, `panel`, `artwork` (with `artwork_panel`), `treatment` (with `embossing`), `finish`, `mount` (with `reveal`), `part` (with `part_asked` and `part_paper`; `source`
//! is what its pieces and the declared ones come to `piece` as), `assembly` (with `joint`), `edition`, `pin`, `tool`, `supply` (with `wrap`),
//! `lesson` (with `money`), `device` (with `calibration`). What was read off a chart is a file of its own, too: `readings`. The list of paper on hand is a file of its own:
//! `paper_list` reads it, `on_hand` draws from it and `edit` changes it; `change` is for places that a form names; `scale` makes a project larger or smaller, `restate` gives it round sizes in other
//! units (`retyped` is what both write with). Pictures are decoded
//! by way of `asset`: `raster` (with `jpeg`) and `svg_picture` (with `svg_source` and `svg_paint`).

mod artwork;
mod artwork_panel;
mod assembly;
mod asset;
mod calibration;
mod change;
mod code;
mod device;
mod document;
mod edit;
mod edition;
mod embossing;
mod fineness;
mod finish;
mod format;
mod ids;
mod job;
mod joint;
mod jpeg;
mod lesson;
mod mark_readings;
mod mirror;
mod mistakes;
mod money;
mod mount;
mod nick;
mod offcut;
mod on_hand;
mod operation;
mod panel;
mod paper_list;
mod paper_weight;
mod part;
mod part_asked;
mod part_paper;
mod part_remedy;
mod pattern;
mod pattern_laid;
mod picture;
mod picture_dress;
mod picture_edge;
mod picture_strip;
mod piece;
mod piece_keys;
mod pin;
mod raster;
mod read_project;
mod readings;
mod restate;
mod retyped;
mod reveal;
mod scale;
mod shape;
mod sides;
mod source;
mod stock;
mod strip;
mod supply;
mod svg_outline;
mod svg_paint;
mod svg_picture;
mod svg_source;
mod table;
mod tool;
mod treatment;
mod value;
mod webp;
mod whole_sheet;
mod words;
mod words_count;
mod words_drawn;
mod words_font;
mod words_list;
mod words_room;
mod words_set;
mod words_template;
mod words_texts;
mod wrap;

pub use asset::{
    AssetError, Assets, LARGEST_FILE_BYTES, LARGEST_PNG_BYTES, add_texts_of, largest_bytes,
};
pub use change::{Change, ChangeError, Given, change};
pub use code::CODES;
pub use device::{cutter_profile, printer_profile};
pub use edit::{Edit, Step, edit, toml_text};
pub use mark_readings::{MarkFoundAt, MarkRead, MarkReadings, mark_readings};
pub use paper_list::paper_list;
pub use read_project::{NamedText, Options, project};
pub use readings::readings;
pub use restate::{Choice, Restated, Target, Units, restate};
pub use retyped::SizeChange;
pub use scale::{Factor, FactorError, Rounding, Scaled, Stays, scale};
