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
        "how many packet there are, spares left out: planned a multiple of 3, found 2",
    );
    // Two wanted copies, but one packet is said to be a spare; three, but only two come out.
    let spare = json!([{"piece": "packet", "placed": 1, "wished": 1}]);
    let verdict = with_plan(|plan| {
        plan["copies"] = json!(2);
        plan["spares"] = spare;
    });
    assert_plan_finding(
        &verdict,
        "how many packet there are, spares left out: planned a multiple of 2, found 1",
    );
    let verdict = with_plan(|plan| plan["copies"] = json!(3));
    assert_plan_finding(
        &verdict,
        "copies that come out of the sheets: planned at least 3, found 2",
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

/// The findings in the cut file if a second sheet with other ids shares it.
fn of_shared_cut_file(change: impl FnOnce(&mut Value)) -> Vec<String> {
    let verdict = with_plan(|plan| {
        let second = plan["sheets"][0]
            .to_string()
            .replace("#1", "#3")
            .replace("#2", "#4");
        let mut second: Value = serde_json::from_str(&second).unwrap();
        change(&mut second);
        plan["sheets"].as_array_mut().unwrap().push(second);
    });
    let found = verdict
        .findings()
        .filter(|finding| finding.file == "cut-01.svg");
    found.map(|finding| finding.message.clone()).collect()
}

#[test]
fn sheets_that_share_a_cut_file_must_be_cut_alike() {
    assert_eq!(of_shared_cut_file(|_| ()), [""; 0]);
    let found = of_shared_cut_file(|sheet| {
        let path = "M 90 40.02 L 140 40.02";
        sheet["placements"][1]["operations"][0]["path"] = json!(path);
    });
    assert_eq!(found.len(), 1);
    assert!(found[0].contains("packet#4.crease-1 is moved"), "{found:?}");
    let found = of_shared_cut_file(|sheet| drop(sheet["cut_order"].as_array_mut().unwrap().pop()));
    assert!(
        found[0].contains("sheet 2 shares the file: planned 7 operations, found 8 operations"),
        "{found:?}"
    );
}
