//! Checks the pictures of folded objects: every panel that is seen lies where the plan says, no other is there, the panels lie over one
//! another in the planned order, and nothing is drawn from outside the file.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath};
use roxmltree::{Document, Node};

use super::compare::{PlannedPath, check_path, missing, size};
use super::verdict::{FileVerdict, Finding, Tally};
use super::{missing as missing_file, picture, svg, trace};
use crate::diagnostic::Diagnostic;
use crate::math::VERIFY_MM;
use crate::plan::file::{FoldedEntry, PlanFile};

/// Elements that a picture has no use for and that could change it.
const FOREIGN: [&str; 5] = ["script", "style", "foreignObject", "animate", "set"];

/// A panel found in a file.
struct FoundPanel {
    view: String,
    id: String,
    path: Option<BezPath>,
}

/// Checks all of them, and names those that the plan does not know.
///
/// # Errors
///
/// An outline in the plan is no path.
pub(super) fn check(
    files: &BTreeMap<String, Vec<u8>>,
    plan: &PlanFile,
) -> Result<Vec<FileVerdict>, Diagnostic> {
    let mut verdicts = Vec::new();
    for entry in &plan.folded {
        let planned = planned(entry)?;
        verdicts.push(match files.get(&entry.svg) {
            Some(bytes) => check_svg(bytes, entry, &planned),
            None => missing_file(&entry.svg),
        });
        verdicts.push(match files.get(&entry.png) {
            Some(bytes) => picture::check_page(&entry.png, bytes, entry.page_mm),
            None => missing_file(&entry.png),
        });
    }
    let is_planned = |name: &str| plan.folded.iter().any(|e| e.svg == name || e.png == name);
    let extra = files
        .keys()
        .filter(|name| name.starts_with("folded-") && !is_planned(name));
    verdicts.extend(extra.map(|name| {
        let mut tally = Tally::new(name);
        let message = format!("{name} belongs to no object of the plan");
        tally.add(Finding::new("verify.extra", message));
        tally.finish()
    }));
    Ok(verdicts)
}

fn planned(entry: &FoldedEntry) -> Result<Vec<PlannedPath>, Diagnostic> {
    let panels = entry.panels.iter();
    panels
        .map(|panel| {
            let path = trace::read(&panel.outline).map_err(|_| {
                let message = format!("plan.json: the outline of {} is no path", panel.id);
                Diagnostic::error("verify.unreadable", message).hint("make the job again")
            })?;
            Ok(PlannedPath {
                id: panel.id.clone(),
                name: format!("{}, {}", panel.id, panel.view),
                kind: panel.view.clone(),
                path,
            })
        })
        .collect()
}

fn check_svg(bytes: &[u8], entry: &FoldedEntry, planned: &[PlannedPath]) -> FileVerdict {
    let mut tally = Tally::new(&entry.svg);
    let text = std::str::from_utf8(bytes).map_err(|e| e.to_string());
    let document = text.and_then(|text| Document::parse(text).map_err(|e| e.to_string()));
    match document {
        Err(error) => {
            let message = format!("the picture cannot be read: {error}");
            tally.add(Finding::new("verify.unreadable", message));
        }
        Ok(document) => {
            check_size(&mut tally, document.root_element(), entry);
            check_content(&mut tally, &document);
            check_panels(&mut tally, &found_panels(&document), planned);
        }
    }
    tally.finish()
}

fn check_size(tally: &mut Tally, root: Node<'_, '_>, entry: &FoldedEntry) {
    let mm = |key: &str| {
        let value = root.attribute(key)?.strip_suffix("mm")?;
        value.parse::<f64>().ok()
    };
    let [width_mm, height_mm] = entry.page_mm;
    let found = (
        mm("width").unwrap_or(f64::NAN),
        mm("height").unwrap_or(f64::NAN),
    );
    let view_box: Vec<f64> = root
        .attribute("viewBox")
        .unwrap_or_default()
        .split_whitespace()
        .filter_map(|number| number.parse().ok())
        .collect();
    let is_near = |a: f64, b: f64| (a - b).abs() <= VERIFY_MM;
    let is_true = matches!(view_box[..], [x, y, w, h]
        if is_near(x, 0.0) && is_near(y, 0.0) && is_near(w, found.0) && is_near(h, found.1));
    tally.count();
    if !(is_near(found.0, width_mm) && is_near(found.1, height_mm) && is_true) {
        let (planned, found) = (size(width_mm, height_mm), size(found.0, found.1));
        let what = "size of the picture, one unit to a millimetre";
        tally.add(Finding::numbers("verify.page-box", what, planned, found));
    }
}

/// Looks for what is not in the file itself, or could change by itself.
fn check_content(tally: &mut Tally, document: &Document<'_>) {
    for node in document.descendants().filter(Node::is_element) {
        tally.count();
        let name = node.tag_name().name();
        if FOREIGN.contains(&name) {
            let message = format!("the picture holds <{name}>, which could change it");
            tally.add(Finding::new("verify.content", message));
        }
        for attribute in node.attributes() {
            if !is_inside(attribute.name(), attribute.value(), document) {
                let shown: String = attribute.value().chars().take(60).collect();
                let message = format!("{} = \"{shown}\" is not in the file", attribute.name());
                tally.add(Finding::new("verify.content", message));
            }
        }
    }
}

/// Whether an attribute leads to something in the file, or nowhere.
fn is_inside(name: &str, value: &str, document: &Document<'_>) -> bool {
    let has_id = |id: &str| {
        document
            .descendants()
            .any(|n| n.attribute("id") == Some(id))
    };
    if name == "href" || name == "src" {
        return value.starts_with("data:image/png;")
            || value.starts_with("data:image/jpeg;")
            || value.strip_prefix('#').is_some_and(has_id);
    }
    match value.split_once("url(") {
        Some((_, rest)) => rest
            .strip_prefix('#')
            .and_then(|rest| rest.strip_suffix(')'))
            .is_some_and(has_id),
        None => !name.starts_with("on") && name != "style",
    }
}

fn kind<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    node.attribute("data-kind")
}

fn title(node: Node<'_, '_>) -> String {
    let title = node
        .children()
        .find(|child| child.tag_name().name() == "title");
    let text = title.and_then(|title| title.text()).unwrap_or_default();
    text.trim().to_owned()
}

/// The path of a node in the page's frame; `None` where it or a transform around it cannot be read.
fn outline(path: Node<'_, '_>) -> Option<BezPath> {
    let transforms = path.ancestors().filter_map(|n| n.attribute("transform"));
    // From the inside out.
    let page_from_path = transforms
        .map(svg::transform)
        .try_fold(Affine::IDENTITY, |inner, outer| Some(outer? * inner))?;
    Some(page_from_path * trace::read(path.attribute("d")?).ok()?)
}

/// The panels in the order they are painted, each with the path of its paper: the first in its group.
fn found_panels(document: &Document<'_>) -> Vec<FoundPanel> {
    let groups = document
        .descendants()
        .filter(|node| kind(*node) == Some("panel"));
    groups
        .map(|group| {
            let view = group.ancestors().find(|n| kind(*n) == Some("view"));
            let paper = group
                .children()
                .find(|child| child.tag_name().name() == "path");
            FoundPanel {
                view: view.map(title).unwrap_or_default(),
                id: title(group),
                path: paper.and_then(outline),
            }
        })
        .collect()
}

/// Compares panels by view and id; parts of one panel come in the planned order.
fn check_panels(tally: &mut Tally, found: &[FoundPanel], planned: &[PlannedPath]) {
    let mut order = Vec::new();
    let mut is_used = vec![false; found.len()];
    for path in planned {
        let at = (0..found.len())
            .find(|i| !is_used[*i] && found[*i].id == path.id && found[*i].view == path.kind);
        let Some(at) = at else {
            tally.add(missing(path));
            continue;
        };
        is_used[at] = true;
        order.push(at);
        match &found[at].path {
            Some(drawn) => check_path(tally, path, drawn, planned),
            None => {
                let message = format!("{} has no outline that can be read", path.name);
                tally.add(Finding::new("verify.shape", message).about(&path.id));
            }
        }
    }
    for extra in is_used.iter().zip(found).filter(|(used, _)| !**used) {
        let message = format!("{} is not planned to be seen", extra.1.id);
        tally.add(Finding::new("verify.extra", message).about(&extra.1.id));
    }
    tally.count();
    if let Some(wrong) = order.windows(2).find(|pair| pair[0] > pair[1]) {
        let (late, early) = (&found[wrong[0]].id, &found[wrong[1]].id);
        let message = format!("{late} is painted over {early}, planned the other way round");
        tally.add(Finding::new("verify.order", message).about(late));
    }
}
