//! Pieces moved and pinned by hand, and sheets measured, over the desk's calls.

use serde_json::{Value, json};

use super::desk_client::Desk;

/// Four labels of 50 x 70 mm on A4, printed, cut by machine: they fit on one sheet with much room.
const LABELS: &str = "sheetwright = 1\n[job]\nname = \"Labels\"\ncopies = 4\ncut_by = \"machine\"\n[[stock]]\nid = \"oat\"\nformat = \"a4\"\nface_a = \"printable\"\n[[piece]]\nid = \"label\"\nstock = \"oat\"\nshape = { kind = \"rectangle\", width = \"50 mm\", height = \"70 mm\" }\n[[piece.artwork]]\ncolour = \"#a3b18a\"\n";

fn labels(name: &str) -> (Desk, Value) {
    let desk = Desk::empty(name);
    let base = desk.revision();
    let told = desk.done("/text", &json!({ "base": base, "text": LABELS }));
    assert_eq!(told["is_sound"], true, "{}", told["diagnostics"]);
    let laid = desk.worked("/lay-out", "/layout");
    (desk, laid)
}

fn kinds(desk: &Desk, held: &Value) -> Vec<String> {
    let told = desk.done("/hold", held);
    let clashes = told["clashes"].as_array().unwrap().clone();
    clashes
        .iter()
        .map(|c| c["kind"].as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn a_place_outside_or_on_another_piece_clashes_and_a_free_one_does_not() {
    let (desk, laid) = labels("hold");
    let sheet = &laid["sheets"][0];
    let [own, other] = [0, 1].map(|i| sheet["placements"][i].clone());
    let held = |x: f64, y: f64, turn: f64| json!({ "of_revision": laid["of_revision"], "id": own["id"], "sheet": 1, "x_mm": x, "y_mm": y, "turn_deg": turn });
    let at = |placement: &Value, i: usize| placement["box"][i].as_f64().unwrap();
    assert_eq!(
        kinds(
            &desk,
            &held(at(&own, 0), at(&own, 1), own["turn_deg"].as_f64().unwrap())
        ),
        [""; 0]
    );
    // Margins are 6.35 mm, and the bleed of 3 mm must lie within them: 2 mm from the edge is outside.
    assert!(kinds(&desk, &held(2.0, 100.0, 0.0)).contains(&"margin".to_owned()));
    let on_other = kinds(&desk, &held(at(&other, 0) + 5.0, at(&other, 1) + 5.0, 0.0));
    assert!(on_other.contains(&"overlap".to_owned()), "{on_other:?}");
    // The gap is 3 mm; 1 mm beside the other is nearer. Its width is 50 or 70 mm, as it lies.
    let beside = kinds(
        &desk,
        &held(
            at(&other, 0),
            at(&other, 1) + at(&other, 3) + 1.0,
            other["turn_deg"].as_f64().unwrap(),
        ),
    );
    assert!(beside.contains(&"gap".to_owned()), "{beside:?}");
    // The lower right corner of the sheet is free: 210 - 6.35 - 3 - 50 = 150.65, 297 - 6.35 - 3 - 70 = 217.65; marks keep some of that.
    assert_eq!(kinds(&desk, &held(100.0, 180.0, 0.0)), [""; 0]);
}

#[test]
fn a_pinned_piece_stays_and_the_rest_is_laid_out_around_it() {
    let (desk, laid) = labels("put");
    let id = laid["sheets"][0]["placements"][0]["id"].clone();
    let base = desk.revision();
    let put = json!({ "base": base, "id": id, "sheet": 1, "x_mm": 100.2, "y_mm": 180.1, "turn_deg": 90.0 });
    let told = desk.done("/put", &put);
    assert_eq!(told["is_sound"], true, "{}", told["diagnostics"]);
    // Positions lie on half millimetres.
    let pin = &told["doc"]["pin"][0];
    assert_eq!(
        (&pin["x"], &pin["y"]),
        (&json!("100 mm"), &json!("180 mm")),
        "{pin}"
    );
    let laid = desk.ended("/layout");
    assert_eq!(laid["of_revision"], told["revision"]);
    let sheets = laid["sheets"].as_array().unwrap();
    let all: Vec<&Value> = sheets
        .iter()
        .flat_map(|s| s["placements"].as_array().unwrap())
        .collect();
    assert_eq!(all.len(), 4);
    let pinned: Vec<&&Value> = all.iter().filter(|p| p["pinned"] == true).collect();
    assert_eq!(pinned.len(), 1);
    let found: Vec<f64> = pinned[0]["box"]
        .as_array()
        .unwrap()
        .iter()
        .map(|v| v.as_f64().unwrap())
        .collect();
    for (found, want) in found.iter().zip([100.0, 180.0, 70.0, 50.0]) {
        assert!((found - want).abs() < 1e-6, "{found} {want}");
    }
    let base = desk.revision();
    let freed = desk.done("/unpin", &json!({ "base": base, "id": pinned[0]["id"] }));
    assert_eq!(freed["doc"].get("pin"), None);
    assert_eq!(freed["text"], LABELS);
    assert_eq!(
        freed["can_undo"],
        format!("letting {} go", id.as_str().unwrap())
    );
}

#[test]
fn a_long_layout_is_told_about_and_stopped() {
    let desk = Desk::empty("stop");
    desk.done("/open", &json!({ "example": "plant-labels" }));
    let base = desk.revision();
    desk.change("many", &json!([{ "at": ["job", "copies"], "set": 400 }]));
    let base = base + 1;
    desk.done("/lay-out", &json!({ "base": base, "effort": "thorough" }));
    let work = desk.get("/pulse").json()["work"].clone();
    assert_eq!(work["what"], "layout", "{work}");
    desk.done("/stop", &json!({}));
    let laid = desk.ended("/layout");
    assert_eq!(
        (&laid["state"], &laid["of_revision"]),
        (&json!("done"), &json!(base))
    );
    assert!(
        laid["words"].to_string().contains("stopped"),
        "{}",
        laid["words"]
    );
}

#[test]
fn a_printer_read_by_ruler_is_kept_with_the_project() {
    let (desk, _) = labels("ruler");
    let asked = desk
        .get("/measure/questions?of=ruler&paper=a4&edition=mm&back=false")
        .json();
    let questions = asked["questions"].as_array().unwrap();
    assert_eq!(questions.len(), 6);
    // A printer that prints everything half a percent large: each length times 1.005, to a tenth of a millimetre. What begins at an
    // edge grows from the middle of the page, which is taken off again by nothing, so the edge distances are left as they should be.
    let mut readings = serde_json::Map::new();
    for question in questions {
        let right: f64 = question["right"]
            .as_str()
            .unwrap()
            .trim_end_matches(" mm")
            .parse()
            .unwrap();
        let key = question["key"].as_str().unwrap();
        let large = if ["A", "B", "C", "D"].contains(&key) {
            1.005
        } else {
            1.0
        };
        readings.insert(key.to_owned(), format!("{:.1}", right * large).into());
    }
    let wish = |keep: bool, readings: &Value| json!({ "base": desk.revision(), "of": "ruler", "paper": "a4", "edition": "mm", "name": "Attic printer", "readings": readings, "keep": keep });
    let readings = Value::Object(readings);
    let told = desk.done("/measure/read", &wish(false, &readings));
    assert_eq!(told["works"], true, "{told}");
    assert!(told["words"].to_string().contains("wide"), "{told}");
    assert!(
        told["expect"]
            .as_str()
            .unwrap()
            .contains("expect print within"),
        "{told}"
    );
    assert_eq!(desk.state()["doc"]["job"].get("printer"), None);

    let mut wrong = readings.clone();
    wrong["A"] = json!("12 furlongs");
    wrong["B"] = json!("");
    let refused = desk.done("/measure/read", &wish(false, &wrong));
    assert_eq!(refused["works"], false);
    let keys: Vec<&str> = refused["diagnostics"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|d| d["key"].as_str())
        .collect();
    assert!(keys.contains(&"A") && keys.contains(&"B"), "{refused}");

    let kept = desk.done("/measure/read", &wish(true, &readings));
    assert_eq!(kept["file"], "printer.toml");
    assert_eq!(
        kept["state"]["is_sound"], true,
        "{}",
        kept["state"]["diagnostics"]
    );
    assert_eq!(kept["state"]["doc"]["job"]["printer"], "printer.toml");
    let base = desk.revision();
    desk.done("/save", &json!({ "base": base, "file": "labels.toml" }));
    let profile = std::fs::read_to_string(desk.file("printer.toml")).unwrap();
    assert!(profile.contains("Attic printer"), "{profile}");
    assert_eq!(
        desk.get("/measure").json()["printer"]["name"],
        "Attic printer"
    );
}

#[test]
fn a_printed_sheet_is_found_by_the_places_of_its_marks() {
    let (desk, _) = labels("register");
    assert_eq!(desk.get("/measure").json()["sheets"], json!([]));
    let made = desk.worked("/make", "/made");
    assert_eq!(made["proved"], true, "{made}");
    let asked = desk.get("/measure/questions?of=marks&sheet=1").json();
    // Every mark 1 mm to the right and 0.5 mm lower than planned: a sheet printed so much off.
    let mut readings = serde_json::Map::new();
    for question in asked["questions"].as_array().unwrap() {
        let planned: Vec<f64> = question["right"]
            .as_str()
            .unwrap()
            .split(", ")
            .map(|part| part.trim_end_matches(" mm").parse().unwrap())
            .collect();
        let read = format!("{:.1} mm, {:.1} mm", planned[0] + 1.0, planned[1] + 0.5);
        readings.insert(question["key"].as_str().unwrap().to_owned(), read.into());
    }
    assert!(readings.len() >= 3);
    let found = desk.done(
        "/measure/register",
        &json!({ "sheet": 1, "readings": readings }),
    );
    assert_eq!(found["works"], true, "{found}");
    let words = found["words"].to_string();
    assert!(
        words.contains("1.0 mm too far right") && words.contains("0.5 mm too low"),
        "{words}"
    );
    assert!(
        found["expect"].as_str().unwrap().contains("of the print"),
        "{found}"
    );
    let zip = desk.get("/measure/registered.zip");
    let mut zip = zip::ZipArchive::new(std::io::Cursor::new(zip.body)).unwrap();
    assert!(zip.by_name("cut-01.svg").is_ok() && zip.by_name("registration.json").is_ok());
}

#[test]
fn the_chart_and_the_test_cut_come_as_files() {
    let desk = Desk::empty("chart");
    let chart = desk.get("/measure/chart.pdf?paper=letter&edition=inch&back=false");
    assert_eq!(chart.status, 200);
    let pdf = lopdf::Document::load_mem(&chart.body).unwrap();
    assert_eq!(pdf.get_pages().len(), 1);
    let cut = desk.get("/measure/test-cut.svg?paper=a4&edition=mm");
    roxmltree::Document::parse(&cut.text()).unwrap();
    assert_eq!(desk.get("/measure/chart.pdf?paper=napkin").status, 400);
    for name in [
        "chart-front",
        "vernier-inch",
        "vernier-mm",
        "ladder",
        "station",
        "errors-before",
        "errors-after",
    ] {
        assert_eq!(
            desk.get(&format!("/picture/how/{name}.png")).status,
            200,
            "{name}"
        );
    }
}
