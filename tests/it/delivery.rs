//! What a failed proof does to the disk.

use std::path::Path;

use sheetwright::files::deliver;
use sheetwright::job::{self, Made};

use crate::damage::{changed, svg};
use crate::folder::Folder;
use crate::program::{files, fresh_folder};

const PROJECT: &str = r#"
sheetwright = 1

[job]
name = "Leek tags"
copies = 2
cut_by = "machine"

[[stock]]
id = "cream"
name = "Cream card"
format = "letter"
caliper = "0.3 mm"

[[piece]]
id = "tag"
name = "Tag"
stock = "cream"
shape = { kind = "rectangle", size = "50 x 30 mm" }
"#;

fn made() -> Made {
    crate::made::made(PROJECT, &Folder(".".into()))
}

/// A set as it would be if the writer of cut files had a bug.
fn failed() -> Made {
    let mut files = changed(&made().files, "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "tag_1.", |x, y| (x + 0.02, y))
    });
    files.remove("report.json");
    let verdict = job::verify(&files).unwrap();
    assert!(!verdict.is_proved());
    files.insert("report.json".into(), b"{}\n".to_vec());
    Made {
        files,
        verdict,
        ink: Vec::new(),
    }
}

fn beside(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_failed_proof_leaves_an_earlier_result_as_it_is_until_a_proved_one_comes() {
    let folder = fresh_folder("delivery-earlier");
    let target = folder.join("tags");
    assert_eq!(deliver(&target, &made()).unwrap(), target);
    let earlier = files(&target);
    let went_to = deliver(&target, &failed()).unwrap();
    assert_eq!(went_to, folder.join("tags.rejected"));
    assert_eq!(files(&target), earlier);
    assert_eq!(files(&went_to), failed().files);
    assert_ne!(files(&went_to)["cut-01.svg"], earlier["cut-01.svg"]);
    assert_eq!(beside(&folder), ["tags", "tags.rejected"]);
    deliver(&target, &made()).unwrap();
    assert_eq!(beside(&folder), ["tags"]);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_failed_proof_makes_no_target() {
    let folder = fresh_folder("delivery-first");
    deliver(&folder.join("tags"), &failed()).unwrap();
    assert_eq!(beside(&folder), ["tags.rejected"]);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_rejected_folder_that_is_not_ours_is_left_alone() {
    let folder = fresh_folder("delivery-foreign");
    let foreign = folder.join("tags.rejected");
    std::fs::create_dir(&foreign).unwrap();
    std::fs::write(foreign.join("letter.txt"), "to keep").unwrap();
    let refused = deliver(&folder.join("tags"), &failed()).unwrap_err();
    assert_eq!(refused.code, "file.foreign-folder");
    deliver(&folder.join("tags"), &made()).unwrap();
    assert_eq!(beside(&folder), ["tags", "tags.rejected"]);
    assert_eq!(beside(&foreign), ["letter.txt"]);
    std::fs::remove_dir_all(folder).unwrap();
}
