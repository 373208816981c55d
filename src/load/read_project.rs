//! The steps from a project file to a project.

use toml::de::DeTable;

use super::asset::{Assets, Library};
use super::device::{self, ProfileText, Reading};
use super::document::{Document, check_version};
use super::ids::Ids;
use super::job::JobTable;
use super::mistakes::Mistakes;
use super::on_hand::{self, ListText};
use super::part;
use super::part_paper::{self, Papers};
use super::piece::{self, ReadPiece, Surroundings};
use super::pin::{self, Pinnable};
use super::source::Source;
use super::table::Table;
use super::tool::Tools;
use super::value::Value;
use super::{assembly, code, edition, fineness, finish, lesson, stock, supply, words_count};
use crate::date::Date;
use crate::diagnostic::{Diagnostic, Warned, sort_by_place};
use crate::length::LengthStyle;
use crate::project::{CutBy, CutterProfile, Maker, PrinterProfile, Project, Stock, TrimmerProfile};

/// The version of project files that is read.
const VERSION: u32 = 1;

/// What the caller decides instead of the file.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// A printer profile to use instead of the one that the project names.
    pub printer: Option<NamedText>,
    /// A cutter profile to use instead of the one that the project names.
    pub cutter: Option<NamedText>,
    /// A trimmer profile to use instead of the one that the project names.
    pub trimmer: Option<NamedText>,
    /// A list of paper on hand to use instead of the one that the project names.
    pub on_hand: Option<NamedText>,
    /// The day from which the age of measurements is counted; without it no age is.
    pub today: Option<Date>,
}

/// A text file that the caller has read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedText {
    /// Its name in messages.
    pub name: String,
    /// What is in it.
    pub text: String,
}

/// Returns the project that a project file declares, with warnings.
///
/// `file_name` is the file's name in messages, relative to the project's folder.
///
/// # Errors
///
/// Returns every mistake of the file and of those it names, with the warnings, sorted by place; after a mistake in the
/// TOML itself only mistakes of that kind.
///
/// # Examples
///
/// ```
/// use std::collections::BTreeMap;
///
/// use sheetwright::load::{Options, project};
///
/// let text = r#"
/// sheetwright = 1
/// [job]
/// name = "Bean labels"
/// copies = 12
/// cut_by = "trimmer"
/// [[stock]]
/// id = "oat"
/// format = "letter"
/// [[piece]]
/// id = "label"
/// stock = "oat"
/// shape = { kind = "rectangle", width = 57, height = "3 1/2 in" }
/// "#;
/// let no_files = BTreeMap::new();
/// let mistakes = project("project.toml", text, &no_files, &Options::default()).unwrap_err();
/// assert_eq!(mistakes[0].message, "width = 57 has no unit");
/// assert_eq!(mistakes[0].hints, ["write width = \"57 mm\" or width = \"57 in\""]);
///
/// let text = text.replace("57", "\"2 1/4 in\"");
/// let read = project("project.toml", &text, &no_files, &Options::default()).unwrap();
/// assert_eq!(read.value.pieces[0].outline.bounds().width(), 57.15);
/// ```
pub fn project(
    file_name: &str,
    text: &str,
    assets: &dyn Assets,
    options: &Options,
) -> Result<Warned<Project>, Vec<Diagnostic>> {
    let mistakes = Mistakes::new(file_name, text);
    let mut profiles = Vec::new();
    let read = Document::parse(&mistakes).and_then(|document| {
        mistakes.show_lengths_in(document.lengths_as_typed());
        read(&document.root(&mistakes), assets, options, &mut profiles)
    });
    let mut found = mistakes.take();
    found.append(&mut profiles);
    sort_by_place(&mut found);
    match read {
        Some(value) if !found.iter().any(Diagnostic::is_error) => Ok(Warned {
            value,
            warnings: found,
        }),
        _ => Err(found),
    }
}

/// Reads the outermost table; mistakes in profiles are added to `profiles`.
fn read(
    root: &Table<'_>,
    assets: &dyn Assets,
    options: &Options,
    profiles: &mut Vec<Diagnostic>,
) -> Option<Project> {
    check_version(root, "sheetwright", VERSION, "a project")?;
    let library = Library::new(assets);
    let job_table = match root.table("job") {
        Some(table) => table,
        None if root.has("job") => return None,
        None => return root.missing("job", "[job] with name, copies and cut_by"),
    };
    let job = JobTable::read(&job_table);
    let style = job.job.lengths;
    let reading = Reading {
        style,
        today: options.today,
    };
    let printer =
        read_printer(&job_table, &library, options, reading, profiles).unwrap_or_default();
    let cutter = read_cutter(&job_table, &library, options, reading, profiles);
    let trimmer = read_trimmer(&job_table, &library, options, style, profiles);

    let stock_tables = needed_tables(root, "stock", "[[stock]] with id and format");
    let stock_ids = Ids::gather("stock", &stock_tables);
    let stocks = stock::read_all(&stock_tables, &stock_ids, &library);
    let (stocks, paper_list_sha256) = draw_from_list(
        &job_table,
        &library,
        options,
        &stock_tables,
        stocks,
        profiles,
    );
    let part_tables = root.tables("part");
    let piece_tables = if part_tables.is_empty() && !root.has("part") {
        needed_tables(
            root,
            "piece",
            "[[piece]] with id, stock and [piece.shape], or [[part]] with id, stock and construction",
        )
    } else {
        root.tables("piece")
    };
    let part_ids = Ids::gather("part", &part_tables);
    let papers = Papers {
        job: &job,
        stocks: &stocks,
        stock_ids: &stock_ids,
    };
    let bare = DeTable::new();
    let made = part::read_all(&part_tables, &part_ids, papers, piece_tables.len(), &bare);
    let mut piece_ids = Ids::gather("piece", &piece_tables);
    let mut sources: Vec<_> = piece_tables.into_iter().map(Source::Own).collect();
    for (id, source) in made.sources {
        piece_ids.add(id, root.mistakes());
        sources.push(source);
    }
    let tools = Tools::read(&root.tables("tool"));
    let supply_tables = root.tables("supply");
    let supply_ids = Ids::gather("supply", &supply_tables);
    let around = Surroundings {
        tools: &tools,
        supply_ids: &supply_ids,
        job: &job,
        stocks: &stocks,
        stock_ids: &stock_ids,
        piece_ids: &piece_ids,
        library: &library,
        printer: &printer,
    };
    let pieces = piece::read_all(sources, around, root.mistakes());
    let editions = edition::read_all(&root.tables("edition"), &job_table, &pieces, around);
    warn_of_unused_cutter(&job_table, &pieces, &job);
    warn_of_unused_trimmer(&job_table, &job);
    let pins = {
        let pieces: Vec<_> = pieces
            .iter()
            .map(|read| Some(&read.as_ref()?.piece))
            .collect();
        part_paper::warn_of_swaps(&made.parts, &pieces, &editions, &stocks, root);
        finish::refuse_strange(&pieces, &stocks, root.mistakes());
        let with = Pinnable {
            pieces: &pieces,
            editions: &editions,
            around,
        };
        pin::read_all(&root.tables("pin"), with)
    };
    let assembly_tables = root.tables("assembly");
    let assembly_ids = assembly::read_ids(&assembly_tables, &part_ids);
    let assemblies = assembly::read_all(&assembly_tables, &assembly_ids, &pieces, around);
    let assembly_ids = part_ids.followed_by(&assembly_ids);
    let supplies = supply::read_all(&supply_tables, &supply_ids, &piece_ids, &assembly_ids);
    let known = lesson::Known {
        pieces: &piece_ids,
        assemblies: &assembly_ids,
        library: &library,
    };
    let lesson = lesson::read(root, &job.job.name, known);
    job_table.close();
    root.close();
    let pieces: Option<Vec<_>> = pieces
        .into_iter()
        .map(|read| read.map(|read| read.piece))
        .collect();
    let mut project = Project {
        pieces: pieces?,
        stocks: stocks.into_iter().collect::<Option<_>>()?,
        job: job.job,
        parts: made.parts,
        assemblies: made
            .assemblies
            .into_iter()
            .map(Some)
            .chain(assemblies)
            .collect::<Option<_>>()?,
        editions,
        pins,
        tools: tools.all.into_iter().collect::<Option<_>>()?,
        supplies: Vec::new(),
        lesson: lesson?,
        paper_list_sha256,
        assets: library.into_pictures(),
        printer,
        cutter: cutter.unwrap_or_default(),
        trimmer: trimmer.unwrap_or_default(),
    };
    let supplies: Vec<_> = supplies.into_iter().collect::<Option<_>>()?;
    project.supplies = supply::settle(supplies, &project, root)?;
    lesson::refuse_other_currency(&project, root);
    words_count::refuse(&project, root.mistakes());
    fineness::settle(&mut project, root.mistakes());
    Some(project)
}

/// Reads a list of tables of which there must be one.
fn needed_tables<'a>(root: &Table<'a>, key: &'static str, example: &str) -> Vec<Table<'a>> {
    let tables = root.tables(key);
    if tables.is_empty() && !root.has(key) {
        root.missing::<()>(key, example);
    }
    tables
}

fn read_printer(
    job: &Table<'_>,
    library: &Library<'_>,
    options: &Options,
    reading: Reading,
    found: &mut Vec<Diagnostic>,
) -> Option<PrinterProfile> {
    job.know(&["printer"]);
    let named = || job.optional("printer", |value| profile_text(value, library));
    let profile = options
        .printer
        .as_ref()
        .map(ProfileText::given)
        .or_else(named)?;
    device::read_printer(&profile, reading, found)
}

fn read_cutter(
    job: &Table<'_>,
    library: &Library<'_>,
    options: &Options,
    reading: Reading,
    found: &mut Vec<Diagnostic>,
) -> Option<CutterProfile> {
    job.know(&["cutter"]);
    let named = || job.optional("cutter", |value| profile_text(value, library));
    let profile = options
        .cutter
        .as_ref()
        .map(ProfileText::given)
        .or_else(named)?;
    device::read_cutter(&profile, reading, found)
}

fn read_trimmer(
    job: &Table<'_>,
    library: &Library<'_>,
    options: &Options,
    style: LengthStyle,
    found: &mut Vec<Diagnostic>,
) -> Option<TrimmerProfile> {
    job.know(&["trimmer"]);
    let named = || job.optional("trimmer", |value| profile_text(value, library));
    let profile = options
        .trimmer
        .as_ref()
        .map(ProfileText::given)
        .or_else(named)?;
    device::read_trimmer(&profile, style, found)
}

/// Draws stocks from the list of paper on hand, if there is one, and returns the list's digest with them.
fn draw_from_list(
    job: &Table<'_>,
    library: &Library<'_>,
    options: &Options,
    tables: &[Table<'_>],
    stocks: Vec<Option<Stock>>,
    found: &mut Vec<Diagnostic>,
) -> (Vec<Option<Stock>>, Option<String>) {
    job.know(&["on_hand"]);
    let named = || job.optional("on_hand", |value| profile_text(value, library));
    let Some(list) = options
        .on_hand
        .as_ref()
        .map(ProfileText::given)
        .or_else(named)
    else {
        return (stocks, None);
    };
    let text = ListText {
        file: &list.file,
        text: &list.text,
    };
    let drawn = on_hand::draw(text, job, tables, stocks, found);
    (drawn.stocks, Some(drawn.list_sha256))
}

fn profile_text(value: &Value<'_>, library: &Library<'_>) -> Option<ProfileText> {
    let file = value.raw_text()?;
    match String::from_utf8(library.bytes(value)?) {
        Ok(text) => Some(ProfileText {
            file: file.to_owned(),
            text,
            origin: value.origin(),
        }),
        Err(_) => value.fail(
            code::ASSET_UNREADABLE,
            format!("\"{file}\" is not UTF-8 text"),
            "save the profile as UTF-8 text",
        ),
    }
}

/// A cutter is of use only where something is cut by machine.
fn warn_of_unused_cutter(job: &Table<'_>, pieces: &[Option<ReadPiece>], read: &JobTable) {
    if !job.has("cutter") || read.job.cut_by == CutBy::Machine {
        return;
    }
    let is_by_machine = |read: &ReadPiece| {
        let piece = &read.piece;
        piece.cut_by == Maker::Machine || piece.operations.iter().any(|o| o.by == Maker::Machine)
    };
    if pieces
        .iter()
        .all(|read| read.as_ref().is_some_and(|read| !is_by_machine(read)))
    {
        job.mistakes().push(
            Diagnostic::warning(
                code::DEVICE_UNUSED,
                "a cutter is named, but nothing is cut by machine",
            )
            .at(&job.origin_of("cutter"))
            .hint("leave cutter out, or write cut_by = \"machine\""),
        );
    }
}

/// A trimmer is of use only in a job that is cut by one.
fn warn_of_unused_trimmer(job: &Table<'_>, read: &JobTable) {
    if job.has("trimmer") && read.job.cut_by == CutBy::Machine {
        job.mistakes().push(
            Diagnostic::warning(
                code::DEVICE_UNUSED,
                "a trimmer is named, but the job is cut by machine",
            )
            .at(&job.origin_of("trimmer"))
            .hint("leave trimmer out, or write cut_by = \"trimmer\""),
        );
    }
}
