//! A plan that contradicts itself is found, so that files are not measured against nonsense.

use serde_json::{Value, json};
use sheetwright::verify::{Verdict, folder};

use crate::made_by_hand;

/// The verdict on the folder with a plan changed in one place.
fn with_plan(change: impl FnOnce(&mut Value)) -> Verdict {
    let mut plan = made_by_hand::plan();
    change(&mut plan);
    let mut files = made_by_hand::folder();
    files.insert("plan.json".to_owned(), plan.to_string().into_bytes());
    folder(&files).unwrap()
}

fn assert_plan_finding(verdict: &Verdict, words: &str) {
    let found: Vec<_> = verdict.findings().collect();
    let is_it = |finding: &&sheetwright::verify::Finding| {
        finding.file == "plan.json"
            && finding.code == "verify.plan"
            && finding.message.contains(words)
    };
    assert!(found.iter().any(is_it), "{words}: {found:#?}");
}

#[test]
fn an_outline_for_outside_checkers_that_leaves_the_path_is_found() {
    let verdict = with_plan(|plan| {
        plan["sheets"][0]["placements"][0]["outline_mm"][0] = json!([20.007, 20.0]);
    });
    assert_plan_finding(
        &verdict,
        "the flattened outline of packet#1 leaves its path",
    );
}

#[test]
fn a_cut_that_is_not_the_outline_is_found() {
    let verdict = with_plan(|plan| {
        let path = made_by_hand::rectangle(20.02, 20.0, 50.0, 80.0);
        plan["sheets"][0]["placements"][0]["operations"][1]["path"] = json!(path);
    });
    assert_plan_finding(
        &verdict,
        "the cut packet#1.outline leaves the outline of its piece",
    );
}

#[test]
fn a_piece_off_the_paper_is_found() {
    let verdict = with_plan(|plan| plan["sheets"][0]["paper"]["height_mm"] = json!(261.0));
    assert_plan_finding(&verdict, "row/marker#1 leaves the paper");
}

#[test]
fn copies_runs_and_pages_that_do_not_add_up_are_found() {
    let verdict = with_plan(|plan| plan["sheets"][0]["runs"] = json!(3));
    assert_plan_finding(&verdict, "planned 3, found 1");
    // Three copies, but two packets.
    let verdict = with_plan(|plan| plan["sheets"][0]["prints"][0]["copies"] = json!([1, 2, 3]));
    assert_plan_finding(
        &verdict,
        "how many packet there are: planned a multiple of 3, found 2",
    );
    let verdict = with_plan(|plan| plan["sheets"][0]["prints"][0]["back"] = json!(3));
    assert_plan_finding(&verdict, "page numbers of print.pdf: planned 2, found 3");
}

#[test]
fn a_cut_order_without_one_operation_is_found() {
    let verdict = with_plan(|plan| {
        drop(
            plan["sheets"][0]["cut_order"]
                .as_array_mut()
                .unwrap()
                .remove(0),
        );
    });
    assert_plan_finding(&verdict, "planned 8 operations, found 7 operations");
}
