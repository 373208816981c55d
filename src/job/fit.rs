//! The largest size of which a number of copies fit on one sheet.
//!
//! Sizes of the same proportions are tried in steps that a ruler shows, by halving: each try is a project that is made, checked and laid
//! out at a glance. Since the engine may find room a step farther up where it found none before, the next few steps are tried, too.

use super::new_project::{NewProject, Started, draft, new_project};
use super::plan;
use crate::diagnostic::{Diagnostic, counted};
use crate::length::{Length, LengthStyle, LengthUnit, Parted, typed_lengths};
use crate::plan::{Effort, JobPlan, PlanOptions};

/// Steps that are tried beyond the first that does not fit.
const STEPS_BEYOND: i64 = 3;

/// How often a size is doubled or halved until one can be built.
const MOST_DOUBLINGS: u32 = 8;

/// The largest size that fits.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// Its sizes.
    pub sizes: Vec<Length>,
    /// Its sizes, as files and people have them.
    pub sizes_text: String,
    /// The step in which sizes were tried.
    pub step: Length,
    /// Its project.
    pub started: Started,
    /// Sheets of the other stocks that it takes, by id.
    pub others: Vec<(String, u32)>,
    /// The next size up, and why it does not fit.
    pub next: (String, String),
}

/// Returns the largest size with the proportions of the one that is asked for, of which that many copies fit on one sheet of the paper.
/// Pieces of other stocks may take as many sheets as they need.
///
/// # Errors
///
/// Returns what is wrong with what was asked, or that nothing fits.
pub fn fit(asked: &NewProject, copies: u32) -> Result<Fitted, Vec<Diagnostic>> {
    let search = Search::new(asked, copies)?;
    let first = search.first_built()?;
    let (mut small, mut large) = search.bracket(first)?;
    while large.0 - small.steps() > 1 {
        let steps = small.steps().midpoint(large.0);
        match search.try_at(steps)? {
            Outcome::Fits(fits) => small = Known::Fits(steps, fits),
            Outcome::Large(why) => large = (steps, why),
            Outcome::Refused(why) => match small {
                Known::Fits(..) => large = (steps, refusal_text(&why)),
                Known::Small(..) => small = Known::Small(steps, why),
            },
        }
    }
    let (mut best, mut next) = match small {
        Known::Fits(steps, fits) => ((steps, fits), large),
        Known::Small(steps, refused) => return Err(search.nothing(steps, refused, &large.1)),
    };
    let mut steps = next.0 + 1;
    while steps <= next.0 + STEPS_BEYOND {
        if let Outcome::Fits(fits) = search.try_at(steps)? {
            best = (steps, fits);
            next = (steps + 1, search.why_not(steps + 1)?);
        }
        steps += 1;
    }
    search.fitted(best, next)
}

/// What a size is known to do.
enum Known {
    /// It fits.
    Fits(i64, Box<Tried>),
    /// It is too small to be built, or nothing at all.
    Small(i64, Vec<Diagnostic>),
}

impl Known {
    fn steps(&self) -> i64 {
        match self {
            Self::Fits(steps, _) | Self::Small(steps, _) => *steps,
        }
    }
}

/// A size that fits.
struct Tried {
    sizes: Vec<Length>,
    /// What is asked for to make it.
    asked: NewProject,
    plan: JobPlan,
}

/// What came of a size.
enum Outcome {
    Fits(Box<Tried>),
    /// Too large for the sheet, and why.
    Large(String),
    /// It cannot be built.
    Refused(Vec<Diagnostic>),
}

/// Everything that stays the same.
struct Search {
    asked: NewProject,
    key: &'static str,
    proportions: Vec<Length>,
    step: Length,
}

impl Search {
    fn new(asked: &NewProject, copies: u32) -> Result<Self, Vec<Diagnostic>> {
        let asked = NewProject {
            copies,
            ..asked.clone()
        };
        // Whoever asks for no sizes, or for two kinds of them, is told so by the project's own check.
        let [(key, text)] = &asked.sizes[..] else {
            let message = "sizing down needs one size for its proportions";
            return match new_project(&asked) {
                Err(mistakes) => Err(mistakes),
                Ok(_) => Err(vec![Diagnostic::error("new.sizes", message)]),
            };
        };
        let typed = typed_lengths(text, Parted::ByTimes).unwrap_or_default();
        let proportions: Vec<_> = typed.iter().map(|typed| typed.length).collect();
        if proportions.is_empty() || proportions.iter().any(|l| *l <= Length::ZERO) {
            return match new_project(&asked) {
                Err(mistakes) => Err(mistakes),
                Ok(_) => Err(vec![Diagnostic::error("new.sizes", "a size is zero")]),
            };
        }
        let (key, step) = (*key, step(&asked));
        Ok(Self {
            asked,
            key,
            proportions,
            step,
        })
    }

    fn longest(&self) -> Length {
        let longest = self.proportions.iter().copied().max();
        longest.unwrap_or(Length::ZERO)
    }

    /// Sizes of the same proportions, the longest of them that many steps long.
    fn sizes(&self, steps: i64) -> Vec<Length> {
        let longest = i128::from(self.longest().nm());
        let sized = |own: &Length| {
            let doubled = 2 * i128::from(own.nm()) * i128::from(steps) + longest;
            let own_steps = i64::try_from(doubled / (2 * longest)).unwrap_or(steps);
            self.step * own_steps.max(1)
        };
        self.proportions.iter().map(sized).collect()
    }

    fn style(&self) -> LengthStyle {
        if self.asked.is_inch() {
            LengthStyle::InchFractions
        } else {
            LengthStyle::Millimetres
        }
    }

    fn text(&self, sizes: &[Length]) -> String {
        let unit = match self.style() {
            LengthStyle::InchFractions | LengthStyle::InchDecimals => LengthUnit::Inch.symbol(),
            LengthStyle::Millimetres => LengthUnit::Millimetre.symbol(),
        };
        let number = |length: &Length| {
            let text = length.display(self.style());
            text.trim_end_matches(unit).trim_end().to_owned()
        };
        let numbers: Vec<_> = sizes.iter().map(number).collect();
        format!("{} {unit}", numbers.join(" x "))
    }

    fn try_at(&self, steps: i64) -> Result<Outcome, Vec<Diagnostic>> {
        let sizes = self.sizes(steps);
        let asked = NewProject {
            sizes: vec![(self.key, self.text(&sizes))],
            ..self.asked.clone()
        };
        let project = match draft(&asked) {
            Ok(drafted) => drafted.project,
            Err(mistakes) if is_refusal(&mistakes) => return Ok(Outcome::Refused(mistakes)),
            Err(mistakes) => return Err(mistakes),
        };
        let options = PlanOptions {
            effort: Effort::Quick,
            ..PlanOptions::default()
        };
        let planned = plan(&project, &options)?;
        let errors = planned.warnings.iter().filter(|d| d.is_error());
        if let Some(message) = errors.map(|d| d.message.clone()).next() {
            return Ok(Outcome::Large(message));
        }
        let sheets = sheets_of(&planned.value, 0);
        if sheets > 1 {
            let why = format!("they take {}", counted(sheets, "sheet"));
            return Ok(Outcome::Large(why));
        }
        Ok(Outcome::Fits(Box::new(Tried {
            sizes,
            asked,
            plan: planned.value,
        })))
    }

    /// The size asked for, or the nearest doubled or halved one that can be built at all.
    fn first_built(&self) -> Result<(i64, Outcome), Vec<Diagnostic>> {
        let asked = (self.longest().nm() / self.step.nm()).max(1);
        let ups = (0..MOST_DOUBLINGS).map(|power| asked << power);
        let downs = (1..MOST_DOUBLINGS).map(|power| asked >> power);
        let mut refused = None;
        for steps in ups.chain(downs).filter(|steps| *steps > 0) {
            match self.try_at(steps)? {
                Outcome::Refused(why) => refused = refused.or(Some(why)),
                built @ (Outcome::Fits(_) | Outcome::Large(_)) => return Ok((steps, built)),
            }
        }
        Err(refused.unwrap_or_default())
    }

    /// A size that fits or is too small, and one that is too large.
    fn bracket(
        &self,
        (steps, first): (i64, Outcome),
    ) -> Result<(Known, (i64, String)), Vec<Diagnostic>> {
        let mut fits = match first {
            Outcome::Fits(fits) => (steps, fits),
            Outcome::Large(why) => return Ok((Known::Small(0, Vec::new()), (steps, why))),
            Outcome::Refused(why) => return Err(why),
        };
        loop {
            let steps = fits.0 * 2;
            let why = match self.try_at(steps)? {
                Outcome::Fits(larger) => {
                    fits = (steps, larger);
                    continue;
                }
                Outcome::Large(why) => why,
                Outcome::Refused(why) => refusal_text(&why),
            };
            return Ok((Known::Fits(fits.0, fits.1), (steps, why)));
        }
    }

    fn why_not(&self, steps: i64) -> Result<String, Vec<Diagnostic>> {
        Ok(match self.try_at(steps)? {
            Outcome::Fits(_) => "they fit, too".to_owned(),
            Outcome::Large(why) => why,
            Outcome::Refused(why) => refusal_text(&why),
        })
    }

    fn nothing(&self, steps: i64, refused: Vec<Diagnostic>, why: &str) -> Vec<Diagnostic> {
        let size = self.text(&self.sizes(steps + 1));
        let message = format!(
            "no size of these proportions fits {} on one sheet; {size} is too large: {why}",
            counted(self.asked.copies, "copy").replace("copys", "copies")
        );
        let mut found = vec![
            Diagnostic::error("new.nothing-fits", message)
                .hint("ask for fewer on a sheet, or name larger paper"),
        ];
        found.extend(refused);
        found
    }

    fn fitted(
        &self,
        (_, best): (i64, Box<Tried>),
        (steps, why): (i64, String),
    ) -> Result<Fitted, Vec<Diagnostic>> {
        let started = new_project(&best.asked)?;
        let stocks = &started.project.value.stocks;
        let others = (1..stocks.len()).map(|i| (stocks[i].id.clone(), sheets_of(&best.plan, i)));
        Ok(Fitted {
            sizes_text: self.text(&best.sizes),
            step: self.step,
            others: others.filter(|(_, sheets)| *sheets > 0).collect(),
            next: (self.text(&self.sizes(steps)), why),
            sizes: best.sizes,
            started,
        })
    }
}

/// The hand grid if there is one, or what a ruler of the unit shows at a glance.
fn step(asked: &NewProject) -> Length {
    let grid = asked.grid.as_deref();
    let typed = grid.and_then(|text| typed_lengths(text, Parted::ByTimes));
    let step = typed.and_then(|typed| typed.first().map(|typed| typed.length));
    match step.filter(|step| *step > Length::ZERO) {
        Some(step) => step,
        None if asked.is_inch() => Length::from_inch_fraction(1, 16),
        None => Length::from_mm(1),
    }
}

/// Sheets of one stock that a plan takes.
fn sheets_of(plan: &JobPlan, stock: usize) -> u32 {
    let own = plan.usage.by_stock.iter().filter(|u| u.stock == stock);
    own.map(|u| u.sheets).sum()
}

/// Whether all that is wrong is that such a size cannot be built.
fn is_refusal(mistakes: &[Diagnostic]) -> bool {
    let mut errors = mistakes.iter().filter(|d| d.is_error());
    errors.all(|d| d.code == "part.refused")
}

fn refusal_text(refused: &[Diagnostic]) -> String {
    let first = refused.iter().find(|d| d.is_error());
    first.map_or_else(String::new, |d| {
        format!("it cannot be built: {}", d.message)
    })
}
