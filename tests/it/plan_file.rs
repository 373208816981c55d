//! `plan.json` as it is written.

use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{PlanOptions, plan};
use sheetwright::project::{CutBy, Maker};

use crate::plan_project::{piece, project, stock};

/// By hand: a tag of 20 x 30 mm at the corner of a sheet of 25 x 50 mm covers 600 of 1250 mm², 48 %.
///
/// Of its two cuts the level one is first, since 30 mm are held and not less than an inch; for the upright one 20 mm or 5 mm can be held,
/// and both are too narrow.
const TAG: &str = r#"{
  "format": "sheetwright-plan/1",
  "job": "Plant-swap morning",
  "copies": 1,
  "cut_extent_mm": null,
  "sheets": [{
    "stock": "oat",
    "front_is": "a",
    "paper": {
      "name": "custom_test_1x1mm",
      "width_mm": 25.0,
      "height_mm": 50.0
    },
    "runs": 1,
    "print_page": null,
    "proof_page": 1,
    "picture": "sheet-01.png",
    "cut_file": null,
    "cut_face_up": null,
    "cut_from_sheet": null,
    "cut_order": [],
    "prints": [{
      "front": null,
      "back": null,
      "copies": [1],
      "times": 1,
      "contents": [{
        "id": "tag#1",
        "edition": "",
        "artwork": []
      }]
    }],
    "front": null,
    "back": null,
    "marks": [],
    "ticks": [],
    "caption_box_mm": null,
    "usable_box_mm": [0.0, 0.0, 25.0, 50.0],
    "placements": [{
      "id": "tag#1",
      "piece": "tag",
      "copy": 1,
      "x_mm": 0.0,
      "y_mm": 0.0,
      "turn_deg": 0.0,
      "face_down": false,
      "pinned": false,
      "path": "M 0 0 L 20 0 L 20 30 L 0 30 Z",
      "outline_mm": [[20.0, 0.0], [20.0, 30.0], [0.0, 30.0], [0.0, 0.0]],
      "operations": [{
        "id": "tag#1.outline",
        "kind": "cut",
        "by": "hand",
        "path": "M 0 0 L 20 0 L 20 30 L 0 30 Z"
      }],
      "artwork": []
    }],
    "trimmer_cuts": [{
      "step": 1,
      "axis": "y",
      "at_mm": 30.0,
      "by": "fence",
      "of": "sheet",
      "leaves": ["a", "waste-1"],
      "falls_off": ["waste-1"],
      "fence_mm": 30.0,
      "from_edge": "top",
      "edge": "paper",
      "ticks": [],
      "length_mm": 25.0,
      "together": 1,
      "times": 1,
      "cautions": []
    }, {
      "step": 2,
      "axis": "x",
      "at_mm": 20.0,
      "by": "fence",
      "of": "a",
      "leaves": ["tag#1", "waste-2"],
      "falls_off": ["tag#1", "waste-2"],
      "fence_mm": 20.0,
      "from_edge": "left",
      "edge": "paper",
      "ticks": [],
      "length_mm": 30.0,
      "together": 1,
      "times": 1,
      "cautions": ["held-narrow"]
    }]
  }],
  "unplaced": [],
  "spares": [],
  "leftovers": [],
  "hand_work": [{
    "piece": "tag",
    "operation": "outline",
    "by": "hand",
    "times": 1,
    "path": "M 0 0 L 20 0 L 20 30 L 0 30 Z"
  }],
  "templates": "templates.pdf",
  "usage": {
    "area_used_percent": 48.0,
    "best": "fewest sheets",
    "effort": "usual",
    "sheets": 1,
    "lower_bound_sheets": 1,
    "better_bound_sheets": 1,
    "is_proven_fewest": true,
    "costs": ["0.35 EUR"],
    "search": "finished",
    "by_stock": [{
      "stock": "oat",
      "sheets": 1,
      "lower_bound_sheets": 1,
      "better_bound_sheets": 1,
      "area_used_percent": 48.0,
      "cost": "0.35 EUR"
    }],
    "marks_cost": null,
    "layouts": 1,
    "fence_settings": 2,
    "strokes": 2,
    "other_choices": []
  }
}
"#;

#[test]
fn a_plan_of_one_tag_is_written_as_worked_out_by_hand() {
    let mut tag = piece("tag", 20.0, 30.0);
    tag.cut_by = Maker::Hand;
    let mut oat = stock("oat", (25.0, 50.0));
    oat.price = Some(sheetwright::project::Price {
        hundredths: 35,
        currency: "EUR".to_owned(),
    });
    let job = project(CutBy::Trimmer, vec![oat], vec![tag], 1);
    let plan = plan(&job, &PlanOptions::default()).value;
    let file = PlanFile::new(&job, &plan);
    assert_eq!(file.to_json(), TAG);
    assert_eq!(serde_json::from_str::<PlanFile>(TAG).unwrap(), file);
}
