//! The `[job]` table.

use toml::de::DeValue;

use super::code;
use super::nick::NickRule;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::Origin;
use crate::length::{Length, LengthStyle, Size};
use crate::project::{Best, CutBy, Job, Maker, MarkUse, TurnOver};

/// Most copies a job or edition can ask for.
pub(super) const MOST_COPIES: u32 = 9999;

const CUT_BY: &[(&str, CutBy)] = &[("machine", CutBy::Machine), ("trimmer", CutBy::Trimmer)];
const SHOW_LENGTHS: &[(&str, LengthStyle)] = &[
    ("inch fractions", LengthStyle::InchFractions),
    ("inch decimals", LengthStyle::InchDecimals),
    ("mm", LengthStyle::Millimetres),
];
const MARKS: &[(&str, MarkUse)] = &[
    ("auto", MarkUse::Auto),
    ("always", MarkUse::Always),
    ("never", MarkUse::Never),
];
const TURN_OVER: &[(&str, TurnOver)] = &[
    ("left-right", TurnOver::LeftRight),
    ("top-bottom", TurnOver::TopBottom),
];

/// The job and what it settles for the other tables.
///
/// After a mistake it holds stand-ins, so that the rest of the file can be read; the file is refused anyway.
#[derive(Debug)]
pub(super) struct JobTable {
    pub(super) job: Job,
    /// Copies with their place, if the job gives them.
    pub(super) copies: Option<(u32, Origin)>,
    pub(super) spares: Spares,
    /// Default bleed of artwork.
    pub(super) bleed: Length,
    /// Which pieces are held by nicks unless they say otherwise.
    pub(super) nicks: Option<NickRule>,
}

impl JobTable {
    pub(super) fn read(table: &Table<'_>) -> Self {
        if let Some(style) = table.optional("show_lengths", |v| v.choice(SHOW_LENGTHS)) {
            table.mistakes().show_lengths_in(style);
        }
        let name = table.required("name", "name = \"Herb packets\"", Value::words);
        let cut_by = table
            .required(
                "cut_by",
                "cut_by = \"machine\" or cut_by = \"trimmer\"",
                |v| v.choice(CUT_BY),
            )
            .unwrap_or(CutBy::Machine);
        let copies = table.optional("copies", |v| Some((v.whole(1..=MOST_COPIES)?, v.origin())));
        let spares = table
            .optional("spares", Spares::read)
            .unwrap_or(Spares::Count(0));
        let bleed = table
            .optional("bleed", Value::length)
            .unwrap_or(Length::from_mm(3));
        let rows = table.optional("rows", Value::boolean).unwrap_or(false);
        if rows && cut_by == CutBy::Trimmer {
            let because = "is for a machine: a trimmer cuts edge to edge anyway";
            table.conflict("rows", because, "leave rows out");
        }
        let mark_scales = table
            .optional("mark_scales", Value::boolean)
            .unwrap_or(false);
        if mark_scales && cut_by == CutBy::Trimmer {
            let because = "is for a machine: it draws the other half of each scale";
            table.conflict("mark_scales", because, "leave mark_scales out");
        }
        let job = Job {
            name: name.unwrap_or_default(),
            date: table.optional("date", Value::words),
            cut_by,
            best: table
                .optional("best", |v| v.choice(Best::NAMES))
                .unwrap_or(Best::FewestSheets),
            rows,
            lengths: table.mistakes().length_style(),
            gap: table
                .optional("gap", Value::length)
                .unwrap_or(default_gap(cut_by)),
            least_offcut: table
                .optional("least_offcut", Value::pair)
                .unwrap_or_else(default_least_offcut),
            marks: table
                .optional("marks", |v| v.choice(MARKS))
                .unwrap_or(MarkUse::Auto),
            mark_scales,
            caption: table.optional("caption", Value::boolean).unwrap_or(true),
            turn_over: table
                .optional("turn_over", |v| v.choice(TURN_OVER))
                .unwrap_or(TurnOver::LeftRight),
            hand_lines: table
                .optional("hand_lines", Value::boolean)
                .unwrap_or(false),
            origin: table.origin(),
        };
        Self {
            job,
            copies,
            spares,
            bleed,
            nicks: table.optional("nicks", NickRule::read),
        }
    }

    /// Who works where a piece does not say.
    pub(super) fn maker(&self) -> Maker {
        match self.job.cut_by {
            CutBy::Machine => Maker::Machine,
            CutBy::Trimmer => Maker::Hand,
        }
    }
}

const fn default_gap(cut_by: CutBy) -> Length {
    match cut_by {
        CutBy::Machine => Length::from_mm(3),
        CutBy::Trimmer => Length::ZERO,
    }
}

/// 3 x 3 in: a small card still comes out of it.
fn default_least_offcut() -> (Size, Size) {
    let side = Size::new(Length::from_inch_fraction(3, 1)).expect("3 in are more than nothing");
    (side, side)
}

/// Copies made besides those asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spares {
    /// That many.
    Count(u32),
    /// That many hundredths of the copies, rounded up.
    Percent(u32),
}

impl Spares {
    pub(super) fn read(value: &Value<'_>) -> Option<Self> {
        let DeValue::String(text) = value.get() else {
            return value.whole(0..=MOST_COPIES).map(Self::Count);
        };
        let percent = text.trim().strip_suffix('%').map(str::trim);
        match percent.and_then(|number| number.parse::<u32>().ok()) {
            Some(number) if number <= 100 => Some(Self::Percent(number)),
            _ => {
                let message = format!(
                    "{} is no number of spares and no percentage up to 100",
                    value.typed(&format!("\"{text}\""))
                );
                let hint = format!("write {} or {}", value.typed("2"), value.typed("\"10 %\""));
                value.fail(code::NUMBER_SPELLING, message, hint)
            }
        }
    }

    pub(super) fn of(self, copies: u32) -> u32 {
        match self {
            Self::Count(count) => count,
            Self::Percent(percent) => (copies * percent).div_ceil(100),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_of_spares_is_rounded_up() {
        assert_eq!(Spares::Percent(10).of(24), 3);
        assert_eq!(Spares::Percent(10).of(20), 2);
        assert_eq!(Spares::Percent(0).of(24), 0);
        assert_eq!(Spares::Count(2).of(24), 2);
        assert_eq!(Spares::Percent(100).of(MOST_COPIES), MOST_COPIES);
    }
}
