//! A project file to start from, for a construction and a few sizes.

use std::collections::BTreeMap;

use super::check;
use super::starter::{self, Examples, Stock};
use crate::construct::{self, Kind};
use crate::diagnostic::{Diagnostic, Origin, Warned};
use crate::length::is_in_inches;
use crate::load;
use crate::project::{CutBy, Project};

/// Name of the project file that is made, in messages.
pub const NEW_PROJECT: &str = "project.toml";

/// What is asked of a new project, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewProject {
    /// Name of the construction.
    pub construction: String,
    /// Sizes by "inside", "outside" or "contents": one of them.
    pub sizes: Vec<(&'static str, String)>,
    /// Room round the contents.
    pub ease: Option<String>,
    /// The hand grid.
    pub grid: Option<String>,
    /// Parameters of the construction by key.
    pub parameters: Vec<(String, String)>,
    /// Id of the part; that of the construction without one.
    pub id: Option<String>,
    /// Name of job and part for people; that of the construction without one.
    pub name: Option<String>,
    /// How many are made.
    pub copies: u32,
    /// Format of the sheets; letter where sizes are in inches, else A4.
    pub paper: Option<String>,
    /// Thickness of the paper.
    pub caliper: Option<String>,
    /// Weight of the paper.
    pub grammage: Option<String>,
    /// The way of cutting.
    pub cut_by: CutBy,
}

impl NewProject {
    /// Returns one of a construction of which nothing is asked yet.
    #[must_use]
    pub fn of(construction: &str) -> Self {
        Self {
            construction: construction.to_owned(),
            sizes: Vec::new(),
            ease: None,
            grid: None,
            parameters: Vec::new(),
            id: None,
            name: None,
            copies: 1,
            paper: None,
            caliper: None,
            grammage: None,
            cut_by: CutBy::Machine,
        }
    }

    /// Whether it is made in inches: any size, the grid or a parameter is typed so.
    #[must_use]
    pub fn is_inch(&self) -> bool {
        let sizes = self.sizes.iter().map(|(_, text)| text);
        let parameters = self.parameters.iter().map(|(_, text)| text);
        let asked = sizes.chain(&self.ease).chain(&self.grid).chain(parameters);
        asked.into_iter().any(|text| is_in_inches(text))
    }
}

/// A project that was made.
#[derive(Debug, Clone)]
pub struct Started {
    /// Its file.
    pub text: String,
    /// What it declares, with warnings.
    pub project: Warned<Project>,
}

/// Returns a project file for a construction: commented, and checked before anybody sees it.
///
/// Places in mistakes and warnings have no text of a file to point at but the key they are about: `inside`, `ease`, `grid`, `id`, `name`,
/// `copies`, `paper`, `caliper`, `grammage`, `cut_by`, `construction`, or `set.KEY` for a parameter.
///
/// # Errors
///
/// Returns all that cannot be made as it was asked for.
pub fn new_project(asked: &NewProject) -> Result<Started, Vec<Diagnostic>> {
    let Drafted {
        kind,
        stocks,
        outcome,
        ..
    } = draft(asked)?;
    let examples = examples(asked, kind, &stocks);
    let text = starter::text(asked, kind, &stocks, &outcome, &examples);
    let mut project = read(asked, kind, &text)?;
    let too_large = super::too_large(&project.value);
    let too_large = too_large.into_iter().map(|d| blamed(asked, kind, d));
    project.warnings.extend(too_large);
    Ok(Started { text, project })
}

/// Returns the same without looking for values that its lines behind a # could be shown with, which takes most of the time: for those
/// who try many constructions.
///
/// # Errors
///
/// As [`new_project`].
pub fn tried_project(asked: &NewProject) -> Result<Started, Vec<Diagnostic>> {
    let drafted = draft(asked)?;
    let none = Examples::new();
    let (kind, stocks) = (drafted.kind, &drafted.stocks);
    let text = starter::text(asked, kind, stocks, &drafted.outcome, &none);
    let project = Warned {
        value: drafted.project,
        warnings: Vec::new(),
    };
    Ok(Started { text, project })
}

/// A project that was tried and not yet written out.
pub(super) struct Drafted {
    kind: &'static Kind,
    stocks: Vec<Stock>,
    outcome: Vec<String>,
    pub(super) project: Project,
}

/// Works out a project, for those who try many.
///
/// # Errors
///
/// As [`new_project`].
pub(super) fn draft(asked: &NewProject) -> Result<Drafted, Vec<Diagnostic>> {
    let Some(kind) = construct::named(&asked.construction) else {
        return Err(vec![unknown(&asked.construction)]);
    };
    let strangers = strangers(asked, kind);
    if !strangers.is_empty() {
        return Err(strangers);
    }
    let stocks = starter::stocks(asked, kind, &[]);
    let none = Examples::new();
    let first = read(
        asked,
        kind,
        &starter::text(asked, kind, &stocks, &[], &none),
    )?;
    // What it is made of is known now, and how thick paper of that weight is.
    let stocks = starter::stocks(asked, kind, &made(&first.value));
    let stocks = with_calipers(asked, stocks, &first.value);
    let second = read(
        asked,
        kind,
        &starter::text(asked, kind, &stocks, &[], &none),
    )?;
    Ok(Drafted {
        kind,
        outcome: second
            .value
            .parts
            .first()
            .map(|part| starter::outcome(&second.value, part))
            .unwrap_or_default(),
        stocks,
        project: second.value,
    })
}

/// Finds a value that works for each parameter whose usual one follows from the rest, so that its line in the file can be taken as it is.
fn examples(asked: &NewProject, kind: &'static Kind, stocks: &[Stock]) -> Examples {
    let mut found = Examples::new();
    for parameter in kind.parameters {
        let is_given = asked.parameters.iter().any(|(key, _)| key == parameter.key);
        if is_given {
            continue;
        }
        let works = |value: &&&str| {
            let mut asked = asked.clone();
            let pair = (parameter.key.to_owned(), (**value).to_owned());
            asked.parameters.push(pair);
            let text = starter::text(&asked, kind, stocks, &[], &Examples::new());
            read(&asked, kind, &text).is_ok()
        };
        let candidates = starter::candidates(parameter, asked.is_inch());
        if let Some(value) = candidates.iter().find(works) {
            found.insert(parameter.key, value);
        }
    }
    found
}

/// Names of the pieces of the first part.
fn made(project: &Project) -> Vec<String> {
    let pieces = project
        .parts
        .first()
        .map(|part| &project.pieces[part.pieces.clone()]);
    let name = |id: &str| id.rsplit('/').next().unwrap_or(id).to_owned();
    pieces
        .unwrap_or_default()
        .iter()
        .map(|piece| name(&piece.id))
        .collect()
}

/// Gives the card that a weight was asked for the thickness of uncoated card of that weight.
fn with_calipers(asked: &NewProject, stocks: Vec<Stock>, project: &Project) -> Vec<Stock> {
    /// Cubic centimetres of a gram of uncoated craft card (common practice, no source: 1.2 to 1.5).
    const BULK: f64 = 1.25;
    let gsm = project.stocks.first().and_then(|stock| stock.grammage_gsm);
    let Some(gsm) = gsm.filter(|_| asked.grammage.is_some() && asked.caliper.is_none()) else {
        return stocks;
    };
    let caliper = format!("{:.2} mm", (gsm * BULK / 1000.0).max(0.01));
    let mut stocks = stocks;
    for stock in stocks.iter_mut().filter(|stock| !stock.is_clear) {
        stock.caliper.clone_from(&caliper);
    }
    stocks
}

/// Checks a text; what is wrong in it is said of what was asked.
fn read(asked: &NewProject, kind: &Kind, text: &str) -> Result<Warned<Project>, Vec<Diagnostic>> {
    let options = load::Options::default();
    let blame = |found: Vec<Diagnostic>| -> Vec<Diagnostic> {
        found.into_iter().map(|d| blamed(asked, kind, d)).collect()
    };
    match check(NEW_PROJECT, text, &BTreeMap::new(), &options) {
        Ok(read) => Ok(Warned {
            value: read.value,
            warnings: blame(read.warnings),
        }),
        Err(mistakes) => Err(blame(mistakes)),
    }
}

/// Says a mistake of what was asked: its place is the key that was asked by.
fn blamed(asked: &NewProject, kind: &Kind, mut found: Diagnostic) -> Diagnostic {
    if let Some(origin) = &mut found.origin {
        let key = origin.key_path.rsplit('.').next().unwrap_or_default();
        let key = key.split('[').next().unwrap_or_default();
        let is_parameter = kind.parameters.iter().any(|p| p.key == key)
            || asked.parameters.iter().any(|(own, _)| own == key);
        origin.key_path = match key {
            "format" => "paper".to_owned(),
            _ if is_parameter => format!("set.{key}"),
            _ => key.to_owned(),
        };
        origin.place.file = String::new();
        origin.place.span = 0..0;
    }
    found.related.clear();
    found
}

fn unknown(name: &str) -> Diagnostic {
    let names = construct::KINDS.iter().map(|kind| kind.name);
    let hint = match &construct::meant_by(name)[..] {
        [] => nearest(name, names, "the constructions are"),
        [one] => format!("write {one}"),
        several => format!("write one of {}", several.join(", ")),
    };
    let message = format!("no construction is called \"{name}\"");
    about("construction", "new.construction", message, hint)
}

/// Parameters that the construction does not have.
fn strangers(asked: &NewProject, kind: &Kind) -> Vec<Diagnostic> {
    let keys = kind.parameters.iter().map(|p| p.key);
    let is_known = |key: &str| keys.clone().any(|known| known == key);
    let strange = asked.parameters.iter().filter(|(key, _)| !is_known(key));
    let refused = strange.map(|(key, _)| {
        let hint = nearest(key, keys.clone(), "its parameters are");
        let message = format!("a {} has no parameter {key}", kind.name);
        about(&format!("set.{key}"), "new.parameter", message, hint)
    });
    refused.collect()
}

/// The name that was most likely meant, or all of them.
fn nearest(wrong: &str, names: impl Iterator<Item = &'static str>, all: &str) -> String {
    let names: Vec<_> = names.collect();
    let most = wrong.chars().count().div_ceil(3);
    let distances = names
        .iter()
        .map(|name| (strsim::damerau_levenshtein(wrong, name), name));
    let near = distances.filter(|(distance, _)| *distance <= most);
    match near.min_by_key(|(distance, _)| *distance) {
        Some((_, near)) => format!("write {near}"),
        None => format!("{all} {}", names.join(", ")),
    }
}

/// A mistake in what was asked by a key.
fn about(key: &str, code: &'static str, message: String, hint: String) -> Diagnostic {
    let found = Diagnostic::error(code, message);
    found.at(&Origin::of_key(key)).hint(hint)
}
