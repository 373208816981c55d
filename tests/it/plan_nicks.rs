//! Small pieces are held by nicks until they are freed: in the plan, in every file, and in the proof.

use std::num::NonZeroUsize;

use sheetwright::job;
use sheetwright::load;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{PlanOptions, check};

use crate::folder::Folder;
use crate::program::root;

/// Round labels of 30 mm, tags of 40 x 20 mm and a card that is large enough to lie still.
fn text(nicks: &str, of_label: &str) -> String {
    format!(
        r#"
sheetwright = 1
job = {{ name = "Bulb tokens", copies = 4, cut_by = "machine", {nicks} }}
[[stock]]
id = "moss"
format = "letter"
[[piece]]
id = "label"
stock = "moss"
{of_label}
shape = {{ kind = "circle", diameter = "30 mm" }}
[[piece]]
id = "tag"
stock = "moss"
shape = {{ kind = "rectangle", size = "40 x 20 mm" }}
[[piece]]
id = "card"
stock = "moss"
shape = {{ kind = "rectangle", size = "90 x 60 mm" }}
"#
    )
}

/// Count and length in micrometres of the nicks of each piece.
type Held = Vec<Option<(u32, i64)>>;

/// Messages with their hints.
type Mistakes = Vec<(String, Vec<String>)>;

fn read(text: &str) -> Result<Held, Mistakes> {
    let folder = Folder::of(&root().join("project.toml"));
    match load::project("project.toml", text, &folder, &load::Options::default()) {
        Ok(read) => Ok(read
            .value
            .pieces
            .iter()
            .map(|p| p.nicks.map(|n| (n.count, n.length.length().nm() / 1000)))
            .collect()),
        Err(found) => Err(found.into_iter().map(|d| (d.message, d.hints)).collect()),
    }
}

#[test]
fn a_job_holds_what_is_small_in_both_directions_and_a_piece_says_otherwise() {
    // Three nicks of 0.4 mm unless said otherwise; the tag is 40 mm long.
    let below = |mm: u32, of_label: &str| {
        read(&text(
            &format!("nicks = {{ below = \"{mm} mm\" }}"),
            of_label,
        ))
        .unwrap()
    };
    assert_eq!(below(40, ""), [Some((3, 400)), None, None]);
    assert_eq!(below(41, ""), [Some((3, 400)), Some((3, 400)), None]);
    assert_eq!(below(41, "nicks = \"none\""), [None, Some((3, 400)), None]);
    assert_eq!(
        below(41, "nicks = { count = 2, length = \"0.6 mm\" }")[0],
        Some((2, 600))
    );
    assert_eq!(below(41, "cut_by = \"hand\"")[0], None);
}

#[test]
fn nicks_that_do_not_fit_or_that_nobody_cuts_are_refused_with_numbers() {
    // Round 30 mm it is 94.248 mm; a nick of 5 mm takes 20 mm of the way, so four fit.
    let of_label = "nicks = { count = 9, length = \"5 mm\" }";
    let found = read(&text("show_lengths = \"mm\"", of_label)).unwrap_err();
    assert!(
        found[0]
            .0
            .starts_with("9 nicks of 5 mm need a way of 180 mm round the outline, which is 94.2"),
        "{found:?}"
    );
    assert_eq!(found[0].1, ["write count = 4 or less, or a shorter length"]);
    let by_hand = "cut_by = \"hand\"\nnicks = { count = 2 }";
    let found = read(&text("show_lengths = \"mm\"", by_hand)).unwrap_err();
    assert!(
        found[0].0.starts_with("nicks hold what a machine cuts"),
        "{found:?}"
    );
}

/// The paths that a cut file holds for outlines, by id.
fn outlines(svg: &str) -> Vec<(String, usize, bool)> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let paths = document.descendants().filter(|n| n.has_tag_name("path"));
    let outline = |n: roxmltree::Node<'_, '_>| {
        let id = n.attribute("id")?.to_owned();
        let data = n.attribute("d")?;
        id.ends_with(".outline")
            .then(|| (id, data.matches('M').count(), data.contains('Z')))
    };
    paths.filter_map(outline).collect()
}

#[test]
fn outlines_are_cut_from_nick_to_nick_and_the_proof_knows() {
    let text = text("nicks = { below = \"41 mm\" }", "");
    let folder = Folder::of(&root().join("project.toml"));
    let project = job::check("project.toml", &text, &folder, &load::Options::default())
        .unwrap()
        .value;
    let plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    assert_eq!(check(&project, &plan), []);
    let made = job::make(&project, &plan, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{findings:#?}");
    let svg = std::str::from_utf8(&made.files["cut-01.svg"]).unwrap();
    let found = outlines(svg);
    assert_eq!(found.len(), 12);
    for (id, parts, is_closed) in found {
        let want = if id.starts_with("card") {
            (1, true)
        } else {
            (3, false)
        };
        assert_eq!((parts, is_closed), want, "{id}");
    }
    let file = PlanFile::new(&project, &plan);
    let operations = file.sheets[0].placements.iter().flat_map(|p| &p.operations);
    let held = operations.filter(|o| {
        o.nicks
            .is_some_and(|n| n.count == 3 && (n.length_mm - 0.4).abs() < 1e-9)
    });
    assert_eq!(held.count(), 8);
}

#[test]
fn a_nick_that_is_cut_through_is_found_by_the_check_and_by_the_proof() {
    let text = text("nicks = { below = \"41 mm\" }", "");
    let folder = Folder::of(&root().join("project.toml"));
    let project = job::check("project.toml", &text, &folder, &load::Options::default())
        .unwrap()
        .value;
    let mut plan = job::plan(&project, &PlanOptions::default()).unwrap().value;
    let sheet = &mut plan.sheets[0];
    let tag = sheet
        .placements
        .iter_mut()
        .find(|p| p.id == "tag#1")
        .unwrap();
    let ring = tag.pose.to_affine() * project.pieces[tag.piece].outline.outer();
    tag.operations.last_mut().unwrap().path = ring;
    let found = check(&project, &plan);
    assert!(
        found
            .iter()
            .any(|d| d.message.contains("tag#1 is held by 1 nicks of 0.000 mm")),
        "{found:?}"
    );
    let made = job::make(&project, &plan, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    let is_told = |text: &str| findings.iter().any(|f| format!("{f:?}").contains(text));
    assert!(is_told("parts of the cut tag#1.outline"), "{findings:#?}");
    assert!(
        is_told("what the cut tag#1.outline leaves"),
        "{findings:#?}"
    );
}
