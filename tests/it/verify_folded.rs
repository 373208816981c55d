//! Every damage to the picture of a folded object is found.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;

use sheetwright::plan::PlanOptions;
use sheetwright::verify::Verdict;
use sheetwright::{job, load};

use crate::damage::found::verdict;
use crate::damage::svg::{Element, mapped};
use crate::damage::{Files, changed};

const PROJECT: &str = r#"
sheetwright = 1
[job]
name = "Plant-swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "moss"
format = "12 x 12 in"
caliper = "0.3 mm"
[[part]]
id = "seed"
stock = "moss"
construction = "tray"
inside = "60 x 40 x 25 mm"
"#;

const SVG: &str = "folded-seed.svg";
const PNG: &str = "folded-seed.png";

/// The made files without the report, whose digests would find every change.
fn files() -> Files {
    let no_pictures = BTreeMap::new();
    let read = load::project("p", PROJECT, &no_pictures, &load::Options::default()).unwrap();
    let planned = job::plan(&read.value, &PlanOptions::default()).unwrap();
    let made = job::make(&read.value, &planned.value, NonZeroUsize::MIN).unwrap();
    assert!(made.verdict.is_proved(), "{:#?}", made.verdict);
    let mut files = made.files;
    files.remove("report.json");
    files
}

/// The first group of this kind and title.
fn group<'e>(root: &'e mut Element, kind: &str, title: &str) -> Option<&'e mut Element> {
    let is_it = root.attribute("data-kind") == Some(kind)
        && root
            .children
            .iter()
            .any(|c| c.name == "title" && c.text == title);
    if is_it {
        return Some(root);
    }
    root.children
        .iter_mut()
        .find_map(|child| group(child, kind, title))
}

/// The folder with the SVG picture changed.
fn damaged(files: &Files, change: impl FnOnce(&mut Element)) -> Verdict {
    verdict(&changed(files, SVG, |bytes| {
        let mut root = Element::read(bytes);
        change(&mut root);
        root.write()
    }))
}

fn assert_found(verdict: &Verdict, file: &str, code: &str) {
    let findings: Vec<_> = verdict.findings().collect();
    assert!(
        findings.iter().any(|f| f.code == code && f.file == file),
        "{code}: {findings:#?}"
    );
    assert!(findings.iter().all(|f| f.file == file), "{findings:#?}");
}

const FRONT: &str = "seed/tray:front";

#[test]
fn what_is_changed_in_the_picture_of_a_folded_object_is_found() {
    let files = files();
    // Nothing is found in the same picture spelled another way.
    assert!(damaged(&files, |_| ()).is_proved());

    let moved = damaged(&files, |root| {
        let panel = group(root, "panel", FRONT).unwrap();
        let paper = panel
            .children
            .iter_mut()
            .find(|c| c.name == "path")
            .unwrap();
        let d = mapped(paper.attribute("d").unwrap(), |x, y| (x + 0.02, y));
        paper.set("d", d);
    });
    assert_found(&moved, SVG, "verify.moved");
    let lost = damaged(&files, |root| {
        let view = group(root, "view", "closed").unwrap();
        view.children.retain(|c| {
            !c.children
                .iter()
                .any(|t| t.name == "title" && t.text == FRONT)
        });
    });
    assert_found(&lost, SVG, "verify.missing");
    let renamed = damaged(&files, |root| {
        let panel = group(root, "panel", FRONT).unwrap();
        panel.children[0].text = "seed/tray:lid".to_owned();
    });
    assert_found(&renamed, SVG, "verify.extra");
    let over = damaged(&files, |root| {
        group(root, "view", "closed").unwrap().children[1..].reverse();
    });
    assert_found(&over, SVG, "verify.order");
    let shrunk = damaged(&files, |root| root.set("width", "100mm".to_owned()));
    assert_found(&shrunk, SVG, "verify.page-box");
    let shifted = damaged(&files, |root| {
        let view = group(root, "view", "closed").unwrap();
        view.set("transform", "translate(5 0)".to_owned());
    });
    assert_found(&shifted, SVG, "verify.moved");
}

#[test]
fn what_a_picture_draws_from_elsewhere_is_found() {
    let files = files();
    let element = |name: &str, attributes: &[(&str, &str)]| Element {
        name: name.to_owned(),
        attributes: attributes
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect(),
        text: String::new(),
        children: Vec::new(),
    };
    for foreign in [
        element("image", &[("href", "leek.png")]),
        element("use", &[("href", "#nowhere")]),
        element("rect", &[("fill", "url(paper.svg#oat)")]),
        element("script", &[]),
        element("rect", &[("onclick", "grow()")]),
    ] {
        let found = damaged(&files, |root| root.children.push(foreign));
        assert_found(&found, SVG, "verify.content");
    }
}

#[test]
fn pictures_that_are_lost_strange_or_no_pictures_are_found() {
    let whole = files();
    for name in [SVG, PNG] {
        let mut lost = whole.clone();
        lost.remove(name);
        assert_found(&verdict(&lost), name, "verify.missing");
        let cut_off = changed(&whole, name, |bytes| bytes[..bytes.len() / 2].to_vec());
        assert_found(&verdict(&cut_off), name, "verify.unreadable");
    }
    let mut strange = whole.clone();
    strange.insert("folded-lid.svg".to_owned(), whole[SVG].clone());
    assert_found(&verdict(&strange), "folded-lid.svg", "verify.extra");
}
