//! Projects made in this process, without the command line.

use std::collections::BTreeMap;
use std::fs;
use std::num::NonZeroUsize;
use std::sync::LazyLock;

use sheetwright::job::{self, Made};
use sheetwright::load;
use sheetwright::plan::PlanOptions;
use sheetwright::project::Project;

use crate::folder::Folder;
use crate::program::{examples, root};

/// Makes a project whose files lie in `folder`; fails the test if anything is wrong with it.
pub(crate) fn made(text: &str, folder: &Folder) -> Made {
    let options = load::Options::default();
    made_of(
        &job::check("project.toml", text, folder, &options)
            .unwrap()
            .value,
    )
}

/// The same of a project that was read or put together.
pub(crate) fn made_of(project: &Project) -> Made {
    let plan = job::plan(project, &PlanOptions::default()).unwrap();
    let made = job::make(project, &plan.value, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{findings:#?}");
    made
}

static EXAMPLES: LazyLock<BTreeMap<String, Made>> = LazyLock::new(|| {
    let made = |name: String| {
        let path = root().join("examples").join(&name).join("project.toml");
        let text = fs::read_to_string(&path).unwrap();
        (name, made(&text, &Folder::of(&path)))
    };
    examples().into_iter().map(made).collect()
});

/// An example, made once for all tests.
pub(crate) fn example(name: &str) -> &'static Made {
    &EXAMPLES[name]
}
