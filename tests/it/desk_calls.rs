//! From nothing to proved files and back to the disk, call by call as the page makes them.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Cursor, Read};

use serde_json::{Value, json};
use sheetwright::job;

use super::desk_client::Desk;
use super::program::{parts, sheetwright};

fn wish() -> Value {
    json!({
        "construction": "lidded-box", "what": "contents", "size": "3 x 2 x 1 in", "copies": 4,
        "paper": "letter", "cut_by": "machine", "printed": true, "price": "0.40 EUR", "name": "Seed box",
    })
}

#[test]
fn a_box_goes_from_a_wish_to_files_that_verify_accepts() {
    let desk = Desk::empty("box");
    let tried = desk.done("/try", &wish());
    assert_eq!(tried["works"], true, "{tried}");
    // 40 cents a sheet, by hand.
    let cents = tried["sheets"].as_u64().unwrap() * 40;
    assert_eq!(
        tried["cost"],
        format!("{}.{:02} EUR", cents / 100, cents % 100)
    );
    let begun = desk.done("/begin", &wish());
    assert_eq!(
        (begun["name"].as_str(), begun["file"].as_str()),
        (Some("Seed box"), None)
    );
    assert_eq!(
        (&begun["is_sound"], &begun["on_disk"]),
        (&json!(true), &json!("new"))
    );
    assert_eq!(begun["doc"]["job"]["copies"], 4);

    let colour = json!({ "piece": "lid", "artwork": [{ "colour": "#a3b18a" }] });
    let told = desk.change(
        "a colour for the lid",
        &json!([{ "at": ["part", 0, "piece"], "add": colour }]),
    );
    assert_eq!(told["is_sound"], true, "{}", told["diagnostics"]);
    let picture = told["pieces"][0]["picture"].as_str().unwrap().to_owned();
    let svg = desk.get(&picture);
    assert_eq!(svg.status, 200);
    roxmltree::Document::parse(&svg.text()).unwrap();

    let laid = desk.worked("/lay-out", "/layout");
    assert_eq!(
        (&laid["state"], &laid["of_revision"]),
        (&json!("done"), &told["revision"])
    );
    let placements: usize = laid["sheets"]
        .as_array()
        .unwrap()
        .iter()
        .map(|sheet| {
            let runs = usize::try_from(sheet["runs"].as_u64().unwrap()).unwrap();
            runs * sheet["placements"].as_array().unwrap().len()
        })
        .sum();
    // Four boxes of a base and a lid each.
    assert_eq!(placements, 8);
    let front = laid["sheets"][0]["front"].as_str().unwrap();
    roxmltree::Document::parse(&desk.get(front).text()).unwrap();

    let made = desk.worked("/make", "/made");
    assert_eq!(
        (&made["state"], &made["proved"]),
        (&json!("done"), &json!(true)),
        "{made}"
    );
    let zip = desk.get("/made.zip");
    assert!(
        zip.head.contains("filename=\"seed-box.zip\""),
        "{}",
        zip.head
    );
    let files = unpacked(&zip.body);
    let verdict = job::verify(&files).unwrap();
    assert!(verdict.is_proved());
    assert!(files.contains_key("print.pdf") && files.contains_key("cut-01.svg"));
    let print = desk.get("/made/print.pdf");
    assert_eq!((print.status, &print.body), (200, &files["print.pdf"]));

    let kept = desk.done("/keep", &json!({ "folder": "herb-box" }));
    let folder = kept["folder"].as_str().unwrap();
    let (code, result, talk) = parts(&sheetwright(&["verify", folder]));
    assert_eq!(code, 0, "{result}{talk}");
    fs::create_dir(desk.file("mine")).unwrap();
    fs::write(desk.file("mine/letter.txt"), "mine").unwrap();
    let refused = desk.done("/keep", &json!({ "folder": "mine" }));
    assert!(
        refused["problem"]
            .as_str()
            .unwrap()
            .contains("did not make"),
        "{refused}"
    );
}

fn unpacked(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut files = BTreeMap::new();
    for i in 0..zip.len() {
        let mut file = zip.by_index(i).unwrap();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        files.insert(file.name().to_owned(), bytes);
    }
    files
}

#[test]
fn every_mistake_is_told_at_its_key_and_every_step_can_be_taken_back() {
    let desk = Desk::empty("undo");
    desk.done("/begin", &wish());
    let first = desk.state()["text"].clone();
    let wrong = json!([
        { "at": ["part", 0, "contents"], "set": "3 x 2" },
        { "at": ["stock", 0, "caliper"], "set": "thick" },
        { "at": ["job", "copies"], "set": 0 },
    ]);
    let told = desk.change("three wrong things", &wrong);
    assert_eq!(told["is_sound"], false);
    let found = told["diagnostics"].as_array().unwrap();
    for key in ["part[0].contents", "stock[0].caliper", "job.copies"] {
        let own = found.iter().find(|d| d["key"] == key);
        let own = own.unwrap_or_else(|| panic!("nothing at {key}: {found:?}"));
        assert!(!own["hints"].as_array().unwrap().is_empty(), "{own}");
        assert!(own["line"].as_u64().unwrap() > 1, "{own}");
    }
    assert_eq!(told["can_undo"], "three wrong things");
    let base = desk.revision();
    let back = desk.done("/undo", &json!({ "base": base }));
    assert_eq!((&back["text"], &back["is_sound"]), (&first, &json!(true)));
    assert_eq!(back["can_redo"], "three wrong things");
    let base = desk.revision();
    let again = desk.done("/redo", &json!({ "base": base }));
    assert_eq!(again["is_sound"], false);
    let base = desk.revision();
    let typed = desk.done("/text", &json!({ "base": base, "text": "[job" }));
    assert_eq!(
        (&typed["doc"], &typed["text"]),
        (&Value::Null, &json!("[job"))
    );
}

#[test]
fn two_windows_and_the_disk_never_overwrite_each_other_silently() {
    let desk = Desk::empty("two");
    desk.done("/begin", &wish());
    let base = desk.revision();
    let edit = json!([{ "at": ["job", "copies"], "set": 5 }]);
    desk.done(
        "/change",
        &json!({ "base": base, "words": "first", "edits": edit }),
    );
    let stale = desk.post(
        "/change",
        &json!({ "base": base, "words": "second", "edits": edit }),
    );
    assert_eq!(stale.status, 409);
    assert_eq!(stale.json()["state"]["revision"], base + 1);

    let base = desk.revision();
    let saved = desk.done("/save", &json!({ "base": base, "file": "box.toml" }));
    assert_eq!(
        (&saved["is_saved"], &saved["on_disk"]),
        (&json!(true), &json!("same"))
    );
    let text = fs::read_to_string(desk.file("box.toml")).unwrap();
    assert_eq!(saved["text"], text);
    fs::write(
        desk.file("box.toml"),
        text.replace("copies = 5", "copies = 7"),
    )
    .unwrap();
    assert_eq!(desk.get("/pulse").json()["on_disk"], "changed");
    let base = desk.revision();
    let refused = desk.post("/save", &json!({ "base": base }));
    assert_eq!(refused.status, 409);
    assert_eq!(refused.json()["on_disk"], "changed");
    let read = desk.done("/reread", &json!({ "base": base }));
    assert_eq!(read["doc"]["job"]["copies"], 7);
    let other = Desk::in_folder(desk.folder.clone(), Some("box.toml"));
    assert_eq!(other.state()["doc"]["job"]["copies"], 7);
    let projects = &other.get("/shelf").json()["projects"];
    assert_eq!(
        projects,
        &json!([{ "file": "box.toml", "name": "Seed box" }])
    );
}

#[test]
fn every_example_opens_with_its_pictures_and_is_saved_with_them() {
    let desk = Desk::empty("examples");
    let shelf = desk.get("/shelf").json();
    for example in shelf["examples"].as_array().unwrap() {
        let id = example["id"].as_str().unwrap();
        assert!(
            example["about"].as_str().unwrap().ends_with('.'),
            "{example}"
        );
        assert_eq!(
            desk.get(example["picture"].as_str().unwrap()).status,
            200,
            "{id}"
        );
        let opened = desk.done("/open", &json!({ "example": id }));
        assert_eq!(opened["is_sound"], true, "{id}: {}", opened["diagnostics"]);
        let base = desk.revision();
        let file = format!("{id}/project.toml");
        let saved = desk.done("/save", &json!({ "base": base, "file": file }));
        assert_eq!(
            (&saved["is_sound"], &saved["is_saved"]),
            (&json!(true), &json!(true)),
            "{id}"
        );
        let (code, result, talk) =
            parts(&sheetwright(&["check", desk.file(&file).to_str().unwrap()]));
        assert_eq!(code, 0, "{id}: {result}{talk}");
    }
    for construction in shelf["constructions"].as_array().unwrap() {
        assert_eq!(
            desk.get(construction["picture"].as_str().unwrap()).status,
            200,
            "{construction}"
        );
    }
}

#[test]
fn a_picture_is_laid_on_the_desk_printed_and_saved() {
    let desk = Desk::empty("upload");
    desk.done("/begin", &wish());
    let svg = b"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 2 1\"><path d=\"M0 0H2V1Z\" fill=\"green\"/></svg>";
    let laid = desk.post_bytes("/upload?name=My%20leaf.svg", svg);
    assert_eq!(laid.status, 200, "{}", laid.text());
    let path = laid.json()["path"].as_str().unwrap().to_owned();
    assert_eq!(path, "art/My-leaf.svg");
    assert_eq!(
        desk.post_bytes("/upload?name=leaf.png", b"no picture")
            .status,
        400
    );
    assert_eq!(desk.post_bytes("/upload?name=leaf.exe", b"MZ").status, 400);
    let artwork = json!({ "piece": "lid", "artwork": [{ "file": path, "width": "1 in" }] });
    let told = desk.change(
        "a picture",
        &json!([{ "at": ["part", 0, "piece"], "add": artwork }]),
    );
    assert_eq!(told["is_sound"], true, "{}", told["diagnostics"]);
    let lid = told["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .find(|p| p["id"] == "lidded-box/lid")
        .unwrap();
    // An inch wide and, by its view box, half as tall.
    let box_mm = &lid["art"][0]["box_mm"];
    assert!(
        (box_mm[2].as_f64().unwrap() - 25.4).abs() < 1e-6,
        "{box_mm}"
    );
    assert!(
        (box_mm[3].as_f64().unwrap() - 12.7).abs() < 1e-6,
        "{box_mm}"
    );
    let base = desk.revision();
    desk.done("/save", &json!({ "base": base, "file": "box.toml" }));
    assert_eq!(fs::read(desk.file(&path)).unwrap(), svg);
}
