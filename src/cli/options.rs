//! Verbs and flags.

use std::num::{NonZeroU16, NonZeroUsize};
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::calibrate::CalibrateVerb;
use crate::draw::BookPaper;
use crate::length::Length;
use crate::load::{Factor, Units};
use crate::plan::Effort;

/// Lays out measured paper pieces, prints them at true size and cuts them in register.
#[derive(Debug, Parser)]
#[command(
    name = "sheetwright",
    bin_name = "sheetwright",
    version,
    arg_required_else_help = true
)]
pub(super) struct Options {
    /// What to do.
    #[command(subcommand)]
    pub(super) verb: Verb,
    /// How results and mistakes are written.
    #[arg(long, global = true, value_enum, default_value_t = Format::Text)]
    pub(super) format: Format,
}

/// How results and mistakes are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people.
    Text,
    /// The same data for programs.
    Json,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Reads a project and reports every mistake in it.
    Check(ProjectOptions),
    /// Puts every object together on screen: what is stuck, what moves, which way up it reads, and what is wrong.
    Fold(FoldVerb),
    /// Lays a project out: sheets, usage, cost, hand work, and what does not fit.
    Plan(PlanVerb),
    /// Lays out, writes print PDF, proof, cut files and pictures, reads everything back and proves it.
    Make(MakeVerb),
    /// Measures a folder written by `make` again.
    Verify(VerifyVerb),
    /// Finds a printed sheet by its register marks and moves its cut file to fit it.
    Register(RegisterVerb),
    /// Begins a project: a box, an envelope, a card, a tag from a few sizes. Without a name it lists what there is.
    New(NewVerb),
    /// Makes a project larger or smaller, and tells what grows and what does not.
    Scale(ScaleVerb),
    /// Tells which pieces come out of one leftover, each by itself and as whole copies.
    Leftover(LeftoverVerb),
    /// Gives a project round sizes of its own in other units, and proves that it still folds up.
    Restate(RestateVerb),
    /// Lists the paper on hand, or takes that of a made job off the list.
    Stock(StockVerb),
    /// Measures a printer or a cutting machine: the chart, and the profile that comes of it.
    Calibrate(CalibrateVerb),
    /// Opens the whole tool as a page in the browser, on this machine alone.
    Desk(DeskVerb),
    /// Lists the sheet formats with their sizes, tolerances and sources.
    Papers(PapersVerb),
    /// Lists the patterns and palettes, and makes a book of swatches of them.
    Patterns(PatternsVerb),
}

/// Which project, and with which machines.
#[derive(Debug, Args)]
pub(super) struct ProjectOptions {
    /// The project file, or its folder; `-` reads standard input.
    pub(super) project: PathBuf,
    /// Printer profile to use instead of the project's.
    #[arg(long, value_name = "FILE")]
    pub(super) printer: Option<PathBuf>,
    /// Cutter profile to use instead of the project's.
    #[arg(long, value_name = "FILE")]
    pub(super) cutter: Option<PathBuf>,
    /// Trimmer profile to use instead of the project's.
    #[arg(long, value_name = "FILE")]
    pub(super) trimmer: Option<PathBuf>,
    /// List of paper on hand to draw from instead of the project's.
    #[arg(long, value_name = "FILE")]
    pub(super) on_hand: Option<PathBuf>,
    /// Take the project in these units, with round sizes of its own in them.
    #[arg(long, value_name = "UNITS")]
    pub(super) units: Option<UnitsName>,
}

/// The units of an edition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum UnitsName {
    /// Inches and fractions.
    In,
    /// Millimetres.
    Mm,
}

impl UnitsName {
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::In => "in",
            Self::Mm => "mm",
        }
    }
}

impl From<UnitsName> for Units {
    fn from(name: UnitsName) -> Self {
        match name {
            UnitsName::In => Self::Inch,
            UnitsName::Mm => Self::Metric,
        }
    }
}

impl ProjectOptions {
    /// Returns a project with the machines and the paper that it names.
    pub(super) fn of(project: PathBuf) -> Self {
        Self {
            project,
            printer: None,
            cutter: None,
            trimmer: None,
            on_hand: None,
            units: None,
        }
    }
}

/// Options of `fold`.
#[derive(Debug, Args)]
pub(super) struct FoldVerb {
    #[command(flatten)]
    pub(super) project: ProjectOptions,
    /// Folder for a picture of each object, as SVG and PNG; without it they are only told about.
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
}

/// Options of `plan`.
#[derive(Debug, Args)]
pub(super) struct PlanVerb {
    #[command(flatten)]
    pub(super) project: ProjectOptions,
    /// Also write the plan to this file, as JSON.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) work: WorkOptions,
}

/// Options of `make`.
#[derive(Debug, Args)]
pub(super) struct MakeVerb {
    #[command(flatten)]
    pub(super) project: ProjectOptions,
    /// Folder to write; an earlier result in it is replaced.
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
    /// Write what fits, even if something does not.
    #[arg(long)]
    pub(super) partial: bool,
    #[command(flatten)]
    pub(super) work: WorkOptions,
}

/// Options of `verify`.
#[derive(Debug, Args)]
pub(super) struct VerifyVerb {
    /// Folder written by `make`.
    pub(super) folder: PathBuf,
}

/// Options of `register`.
#[derive(Debug, Args)]
pub(super) struct RegisterVerb {
    /// Folder written by `make`.
    pub(super) folder: PathBuf,
    /// Number of the sheet [default: the only one that can be registered]
    #[arg(long, value_name = "N")]
    pub(super) sheet: Option<u32>,
    /// Where a mark is, from the left and from the top of the sheet, or of the mat, as it lies on the machine: "m1=16.2 mm, 15.9 mm". Once for
    /// each mark; a mark that is read again is averaged. After --pricked, how far the mark is from its cross, or the lines: "m1=-1 7, 0 3".
    #[arg(long = "mark", value_name = "ID=X, Y", allow_hyphen_values = true)]
    pub(super) marks: Vec<String>,
    /// The same in a file.
    #[arg(long, value_name = "FILE", conflicts_with = "marks")]
    pub(super) readings: Option<PathBuf>,
    /// Find the marks in a flatbed scan instead (PNG, JPEG, TIFF; 150 dpi or more), the sheet lying on the glass with a dark sheet behind it.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["marks", "readings", "photo", "pricked", "prick"])]
    pub(super) scan: Option<PathBuf>,
    /// Find the marks in a phone photo instead, the weakest way: the sheet flat on a dark table, all four edges in the picture.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["marks", "readings", "pricked", "prick"])]
    pub(super) photo: Option<PathBuf>,
    /// Width and height of the sheet as it lies, by ruler: "215.7 x 279.1 mm". For --scan and --photo.
    #[arg(long, value_name = "W x H")]
    pub(super) sheet_size: Option<String>,
    /// The scanner's own scale along the picture's rows and columns, where it was measured: 1.0012,0.9993
    #[arg(long, value_name = "X,Y", requires = "scan", conflicts_with = "sheet_size", value_parser = super::calibrate::scanner_scale)]
    pub(super) scanner_scale: Option<(f64, f64)>,
    /// How far one reading is off as a rule (one standard deviation) [default: 0.165 mm by ruler, 0.1 mm after --pricked]
    #[arg(long, value_name = "LENGTH")]
    pub(super) reading_error: Option<String>,
    /// How the sheet lies turned on purpose, clockwise in degrees.
    #[arg(
        long,
        value_name = "DEGREES",
        default_value_t = 0.0,
        allow_hyphen_values = true
    )]
    pub(super) turn: f64,
    /// Write a first file that only draws or pricks a cross where the machine believes each mark to be.
    #[arg(long, conflicts_with_all = ["pricked", "marks", "readings"], requires = "out")]
    pub(super) prick: bool,
    /// The readings are distances of the printed marks from the crosses of that file.
    #[arg(long)]
    pub(super) pricked: bool,
    /// Also tell the numbers behind the words.
    #[arg(long)]
    pub(super) details: bool,
    /// Folder for the moved cut file and registration.json; without it the result is only told.
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
}

/// Options of `new`.
#[derive(Debug, Args)]
pub(super) struct NewVerb {
    /// Which construction; without one all are listed.
    pub(super) construction: Option<String>,
    /// Tell what can be asked of the construction besides its sizes.
    #[arg(long, requires = "construction")]
    pub(super) parameters: bool,
    /// Free room within: "60 x 40 x 20 mm".
    #[arg(long, value_name = "SIZES")]
    pub(super) inside: Option<String>,
    /// Over all.
    #[arg(long, value_name = "SIZES")]
    pub(super) outside: Option<String>,
    /// What goes in.
    #[arg(long, value_name = "SIZES")]
    pub(super) contents: Option<String>,
    /// How much room the contents have besides, both sides together [default: 1 mm or 1/32 in]
    #[arg(long, value_name = "LENGTH")]
    pub(super) ease: Option<String>,
    /// Something else that can be asked, see --parameters; several times if need be.
    #[arg(long, value_name = "KEY=VALUE", value_parser = super::new::key_and_value)]
    pub(super) set: Vec<(String, String)>,
    /// The step that creases and cuts lie on: 1/16 in, 1/8 in, 1 mm or none [default: none for a machine, 1/16 in or 1 mm for a trimmer]
    #[arg(long, value_name = "LENGTH")]
    pub(super) grid: Option<String>,
    /// Id of the part [default: the construction's name]
    #[arg(long)]
    pub(super) id: Option<String>,
    /// Name for people [default: the construction's]
    #[arg(long)]
    pub(super) name: Option<String>,
    /// How many are made.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(super) copies: u32,
    /// Format of the sheets, or their size like "12 x 12 in" [default: letter where sizes are in inches, else a4]
    #[arg(long, visible_alias = "on", value_name = "FORMAT")]
    pub(super) paper: Option<String>,
    /// Thickness of the paper [default: what its weight makes likely]
    #[arg(long, value_name = "LENGTH")]
    pub(super) caliper: Option<String>,
    /// Weight of the paper: "240 gsm" or "80 lb cover".
    #[arg(long, value_name = "WEIGHT")]
    pub(super) grammage: Option<String>,
    /// What cuts the outlines.
    #[arg(long, value_enum, default_value_t = CutByOption::Machine)]
    pub(super) cut_by: CutByOption,
    /// Make it as large as that many still fit on one sheet, in the proportions of the sizes given.
    #[arg(long, value_name = "N", conflicts_with = "copies")]
    pub(super) fit: Option<NonZeroU16>,
    /// File to write, which must not be there yet; without it the project goes to standard output.
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
}

/// What cuts the outlines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum CutByOption {
    /// A cutting machine.
    Machine,
    /// A person with a trimmer, from edge to edge.
    Trimmer,
}

/// Options of `scale`.
#[derive(Debug, Args)]
pub(super) struct ScaleVerb {
    /// The project file, or its folder; `-` reads standard input.
    pub(super) project: PathBuf,
    /// By how much: 1.25, 125% or 3/2.
    #[arg(long, value_name = "FACTOR")]
    pub(super) by: Factor,
    /// Keep what comes out exactly; otherwise sizes that lay on a ruler are rounded to 1/16 in or 0.5 mm.
    #[arg(long)]
    pub(super) exact: bool,
    /// File to write; pictures are looked for beside it. It must not be there yet.
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
}

/// Options of `leftover`.
#[derive(Debug, Args)]
pub(super) struct LeftoverVerb {
    #[command(flatten)]
    pub(super) project: ProjectOptions,
    /// Width and height as it lies when its whole sheet lies as declared: "5 x 7 in".
    #[arg(
        long,
        value_name = "W x H",
        required_unless_present = "from",
        conflicts_with = "from"
    )]
    pub(super) size: Option<String>,
    /// Id of the stock it is of [default: the only one]
    #[arg(long, value_name = "ID", conflicts_with = "from")]
    pub(super) stock: Option<String>,
    /// Id of an offcut of the project or of the list of paper on hand, whatever its shape.
    #[arg(long, value_name = "ID")]
    pub(super) from: Option<String>,
    /// Folder for a picture of each layout, as SVG and PNG; without it they are only told about.
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) work: WorkOptions,
}

/// Options of `restate`.
#[derive(Debug, Args)]
pub(super) struct RestateVerb {
    /// The project file, or its folder; `-` reads standard input.
    pub(super) project: PathBuf,
    /// The units.
    #[arg(long, value_name = "UNITS")]
    pub(super) units: UnitsName,
    /// The step of the ruler that sizes are put on: 1/16 in or 1 mm unless you say another.
    #[arg(long, value_name = "LENGTH", value_parser = grid_step)]
    pub(super) grid: Option<Length>,
    /// File to write; pictures are looked for beside it. It must not be there yet.
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
}

/// Reads the step of a ruler.
fn grid_step(text: &str) -> Result<Length, String> {
    match Length::parse(text, None) {
        Ok(step) if step >= Length::from_um(100) => Ok(step),
        Ok(_) => Err("a step of 0.1 mm or more is wanted, like \"1 mm\" or \"1/16 in\"".to_owned()),
        Err(error) => Err(format!("{}; {}", error.message(), error.hint())),
    }
}

/// Options of `stock`.
#[derive(Debug, Args)]
pub(super) struct StockVerb {
    /// What to do; without it the list is shown.
    #[command(subcommand)]
    pub(super) action: Option<StockAction>,
    /// The list of paper on hand.
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        default_value = "paper-on-hand.toml"
    )]
    pub(super) list: PathBuf,
}

/// What `stock` does.
#[derive(Debug, Subcommand)]
pub(super) enum StockAction {
    /// Shows what is on hand.
    List,
    /// Takes the sheets of a made job off the list and adds the offcuts it left, once.
    Use {
        /// Folder written by `make`.
        folder: PathBuf,
    },
}

/// Options of `desk`.
#[derive(Debug, Args)]
pub(super) struct DeskVerb {
    /// A project file to open, or the folder that projects are in [default: the folder you are in]
    pub(super) project: Option<PathBuf>,
    /// The port to listen on; 0 takes any that is free.
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub(super) port: u16,
    /// Do not open a browser.
    #[arg(long)]
    pub(super) no_browser: bool,
}

/// Options of `papers`.
#[derive(Debug, Args)]
pub(super) struct PapersVerb {
    /// Only formats whose name holds this text.
    pub(super) name: Option<String>,
}

/// Options of `patterns`.
#[derive(Debug, Args)]
pub(super) struct PatternsVerb {
    /// Only patterns and palettes whose name holds this text.
    pub(super) name: Option<String>,
    /// Folder for the book: patterns.pdf, and a picture of each page.
    #[arg(long, value_name = "DIR")]
    pub(super) book: Option<PathBuf>,
    /// Size of its pages.
    #[arg(long, value_enum, default_value_t = BookPaperName::Letter)]
    pub(super) paper: BookPaperName,
}

/// Size of page of a book of swatches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum BookPaperName {
    /// 8 1/2 x 11 in.
    Letter,
    /// 210 x 297 mm.
    A4,
}

impl From<BookPaperName> for BookPaper {
    fn from(name: BookPaperName) -> Self {
        match name {
            BookPaperName::Letter => Self::Letter,
            BookPaperName::A4 => Self::A4,
        }
    }
}

/// How the work is done.
#[derive(Debug, Clone, Copy, Args)]
pub(super) struct WorkOptions {
    /// How much work is put into the layout; more never gives a worse one.
    #[arg(long, value_enum, default_value_t = EffortOption::Usual)]
    pub(super) effort: EffortOption,
    /// Threads to use; the result does not depend on it [default: one for each processor]
    #[arg(long, value_name = "N")]
    pub(super) threads: Option<NonZeroU16>,
}

/// How much work is put into the layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum EffortOption {
    /// A glance.
    Quick,
    /// What a maker waits for.
    Usual,
    /// Over a cup of tea.
    Long,
}

impl WorkOptions {
    /// The effort in the words of the plan.
    pub(super) fn effort(self) -> Effort {
        match self.effort {
            EffortOption::Quick => Effort::Quick,
            EffortOption::Usual => Effort::Usual,
            EffortOption::Long => Effort::Long,
        }
    }

    /// The number of threads.
    pub(super) fn threads(self) -> NonZeroUsize {
        self.threads.map_or_else(
            || std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN),
            NonZeroUsize::from,
        )
    }
}
