//! Scans dropped on the desk: a printer measured by one, and what is refused.

use kurbo::Point;
use serde_json::json;
use sheetwright::load::{self, NamedText};

use super::desk_client::Desk;
use super::scanned_chart::{A4, Print, chart_ink, write_png};
use super::simulator::target::Side;

const LABELS: &str = "sheetwright = 1\n[job]\nname = \"Labels\"\ncopies = 4\ncut_by = \"machine\"\n[[stock]]\nid = \"oat\"\nformat = \"a4\"\nface_a = \"printable\"\n[[piece]]\nid = \"label\"\nstock = \"oat\"\nshape = { kind = \"rectangle\", width = \"50 mm\", height = \"70 mm\" }\n[[piece.artwork]]\ncolour = \"#a3b18a\"\n";

fn labels(name: &str) -> Desk {
    let desk = Desk::empty(name);
    let base = desk.revision();
    desk.done("/text", &json!({ "base": base, "text": LABELS }));
    desk
}

/// The truth is the simulator's: where it says that the print lies at the corners of the page.
#[test]
fn a_scanned_chart_becomes_the_projects_printer_within_what_is_told_of_it() {
    let desk = labels("scan");
    let mut print = Print::home(&chart_ink(A4, Side::Front), A4, 71);
    let file = desk.file("scan.png");
    write_png(&file, &print.scan(300.0));
    let scan = std::fs::read(&file).unwrap();
    let told = desk.post_bytes(
        "/measure/scan?of=printer&paper=a4&name=Attic%20printer&keep=true",
        &scan,
    );
    assert_eq!(told.status, 200, "{}", told.text());
    let told = told.json();
    assert_eq!(told["works"], true, "{told}");
    assert!(
        told["words"].to_string().contains("19 sheets in 20"),
        "{told}"
    );
    assert_eq!(told["state"]["doc"]["job"]["printer"], "printer.toml");
    let picture = desk.get(told["picture"].as_str().unwrap());
    assert!(image::load_from_memory(&picture.body).unwrap().width() > 1000);

    let base = desk.revision();
    desk.done("/save", &json!({ "base": base, "file": "labels.toml" }));
    let text = std::fs::read_to_string(desk.file("printer.toml")).unwrap();
    let name = "printer.toml".to_owned();
    let profile = load::printer_profile(&NamedText { name, text }, None).unwrap();
    let front = profile.value.calibration.unwrap().front;
    for corner in [(20.0, 20.0), (190.0, 20.0), (20.0, 277.0), (190.0, 277.0)] {
        let at = Point::from(corner);
        let off = (front.sheet_from_page * at - print.map(A4) * at)
            .hypot2()
            .sqrt();
        let within = front.spread.r95_mm(at);
        assert!(
            off <= within,
            "{off} mm at {corner:?}, told to be within {within} mm"
        );
    }
}
