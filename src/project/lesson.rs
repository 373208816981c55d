//! What the maker says on the instruction sheet.

use super::Price;
use crate::diagnostic::Origin;
use crate::drawing::AssetIndex;

/// The maker's own words for the instruction sheet, the templates and the kit list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Lesson {
    /// Title; the job's name where none was given.
    pub title: String,
    /// Who gives it out, at the foot of each page and as the document's author.
    pub by: Option<String>,
    /// A picture at the foot of each page.
    pub logo: Option<AssetIndex>,
    /// Terms of use, at the foot of each page.
    pub terms: Option<String>,
    /// Version, as the maker counts.
    pub version: Option<String>,
    /// A few sentences under the title.
    pub about: Option<String>,
    /// A picture of the finished object instead of the folded one.
    pub photo: Option<AssetIndex>,
    /// Tools to have at hand, besides those that follow from the work.
    pub tools: Vec<String>,
    /// Cautions asked for, besides those that follow from the work.
    pub cautions: Vec<Caution>,
    /// How a price is made of the cost; `None` where no price is named.
    pub pricing: Option<Pricing>,
    /// The steps, in file order; without any they follow from the work.
    pub steps: Vec<Step>,
}

/// One numbered step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub text: String,
    /// Position of a piece that is drawn beside it.
    pub piece: Option<usize>,
    /// Position of an assembly whose picture is beside it.
    pub assembly: Option<usize>,
    /// The maker's own picture beside it.
    pub picture: Option<AssetIndex>,
    /// Who does it.
    pub when: When,
    /// How long it takes one person for one copy.
    pub minutes: Option<u32>,
    /// Where it is declared.
    pub origin: Origin,
}

/// When a step is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// By the teacher, before the class meets.
    BeforeClass,
    /// By everybody, in class.
    InClass,
}

impl When {
    /// The words that stand for it in project files and on pages.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::BeforeClass => "before class",
            Self::InClass => "in class",
        }
    }
}

/// How a price is made: (materials + minutes x wage) x (1 + overhead) x multiple.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pricing {
    /// What an hour of work is worth, in the currency of the paper.
    pub per_hour: Price,
    /// Overhead in whole percent of materials and work.
    pub overhead_percent: u32,
    /// The multiple, in hundredths: 250 is two and a half times.
    pub multiple_hundredths: u32,
    /// Where it is declared.
    pub origin: Origin,
}

impl Pricing {
    /// The multiple in words: `2.5`.
    #[must_use]
    pub fn multiple(&self) -> String {
        let (whole, rest) = (
            self.multiple_hundredths / 100,
            self.multiple_hundredths % 100,
        );
        let text = format!("{whole}.{rest:02}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

/// A caution that is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caution {
    /// Craft knives.
    Blades,
    /// Trimmers.
    Trimmers,
    /// Children at the table.
    YoungMakers,
    /// Sweets and other food inside.
    Sweets,
    /// Lights inside paper.
    Light,
    /// Cutting by laser.
    HeatCutting,
    /// Glue.
    Glue,
}

impl Caution {
    /// All of them, with the words that stand for them in project files and on pages.
    pub const NAMES: &[(&str, Self)] = &[
        ("blades", Self::Blades),
        ("trimmers", Self::Trimmers),
        ("young makers", Self::YoungMakers),
        ("sweets", Self::Sweets),
        ("light", Self::Light),
        ("heat cutting", Self::HeatCutting),
        ("glue", Self::Glue),
    ];
}
