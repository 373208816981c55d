//! A disk that refuses, and a program that is ended at any moment: what lies in the target folder is always one whole set.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

use crate::program::{files, fresh_folder, parts, sheetwright};

const PROGRAM: &str = env!("CARGO_BIN_EXE_sheetwright");

/// A job that is made in a moment; `copies` tell one from another.
fn project(copies: u32) -> String {
    format!(
        r#"
sheetwright = 1
[job]
name = "Leek tags"
copies = {copies}
cut_by = "machine"
[[stock]]
id = "cream"
format = "letter"
[[piece]]
id = "tag"
stock = "cream"
shape = {{ kind = "rectangle", size = "50 x 30 mm" }}
"#
    )
}

fn make(project: &Path, out: &Path) -> Command {
    let mut make = Command::new(PROGRAM);
    make.arg("make").arg(project).arg("--out").arg(out);
    make.stdout(Stdio::null()).stderr(Stdio::null());
    make
}

/// Names beside the target that no run may leave for good.
fn strays(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    names.filter(|name| name.starts_with('.')).collect()
}

#[test]
fn ended_at_two_hundred_random_moments_the_target_is_the_old_set_or_the_new_one() {
    let folder = fresh_folder("ended");
    let out = folder.join("made");
    let sets: Vec<(_, BTreeMap<String, Vec<u8>>)> = [2, 30]
        .map(|copies| {
            let file = folder.join(format!("{copies}.toml"));
            fs::write(&file, project(copies)).unwrap();
            assert!(make(&file, &out).status().unwrap().success());
            (file, files(&out))
        })
        .into();
    let begun = Instant::now();
    assert!(make(&sets[0].0, &out).status().unwrap().success());
    // The latest moment: later where the new set never comes, sooner where it always does, however busy the machine is.
    let mut latest = begun.elapsed();
    let mut random = Pcg64Mcg::seed_from_u64(20_270_417);
    let mut there_is = 0;
    let mut changes = 0;
    for run in 0..200 {
        let mut child = make(&sets[1 - there_is].0, &out).spawn().unwrap();
        let share = f64::from(random.next_u32()) / f64::from(u32::MAX);
        std::thread::sleep(latest.mul_f64(share));
        child.kill().unwrap();
        child.wait().unwrap();
        let there = files(&out);
        let which = sets.iter().position(|(_, set)| *set == there);
        let which =
            which.unwrap_or_else(|| panic!("a mixture after run {run}: {:?}", there.keys()));
        let has_come = which != there_is;
        changes += i32::from(has_come);
        latest = latest.mul_f64(if has_come { 0.95 } else { 1.05 });
        there_is = which;
    }
    // The moments were neither all before the new set nor all after it.
    assert!((1..200).contains(&changes), "{changes} of 200");
    assert!(make(&sets[0].0, &out).status().unwrap().success());
    assert_eq!(files(&out), sets[0].1);
    assert_eq!(strays(&folder), [""; 0]);
    fs::remove_dir_all(folder).unwrap();
}

/// A file may not grow over 8 blocks of 512 bytes, as on a disk that is nearly full.
#[test]
fn a_disk_that_refuses_is_told_and_leaves_the_earlier_set_whole() {
    let folder = fresh_folder("refused");
    let (file, out) = (folder.join("tags.toml"), folder.join("made"));
    fs::write(&file, project(2)).unwrap();
    assert!(make(&file, &out).status().unwrap().success());
    let before = files(&out);
    fs::write(&file, project(3)).unwrap();
    let refused = Command::new("sh")
        .args([
            "-c",
            "ulimit -f 8; trap '' XFSZ; exec \"$0\" make \"$1\" --out \"$2\"",
        ])
        .arg(PROGRAM)
        .args([&file, &out])
        .output()
        .unwrap();
    let (code, _, talk) = parts(&refused);
    assert_eq!(code, 2, "{talk}");
    assert!(talk.contains("cannot write"), "{talk}");
    assert_eq!(files(&out), before);
    assert_eq!(strays(&folder), [""; 0]);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_half_copied_folder_is_told() {
    let folder = fresh_folder("half-copied");
    let (file, out) = (folder.join("tags.toml"), folder.join("made"));
    fs::write(&file, project(2)).unwrap();
    assert!(make(&file, &out).status().unwrap().success());
    fs::remove_file(out.join("proof.pdf")).unwrap();
    let cut = fs::read(out.join("cut-01.svg")).unwrap();
    fs::write(out.join("cut-01.svg"), &cut[..cut.len() / 2]).unwrap();
    let (code, result, talk) = parts(&sheetwright(&["verify", out.to_str().unwrap()]));
    assert_eq!(code, 1, "{result}{talk}");
    assert!(
        result.contains("proof.pdf") && result.contains("cut-01.svg"),
        "{result}"
    );
    fs::remove_dir_all(folder).unwrap();
}

/// A pipe that nobody reads in time, and one that closes: the files are written whatever becomes of the talk.
#[test]
fn a_reader_that_goes_away_keeps_no_file_from_being_written() {
    let folder = fresh_folder("slow-pipe");
    let (file, out) = (folder.join("tags.toml"), folder.join("made"));
    fs::write(&file, project(2)).unwrap();
    let mut command = Command::new(PROGRAM);
    command.arg("make").arg(&file).arg("--out").arg(&out);
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    std::thread::sleep(Duration::from_millis(50));
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(out.join("report.json").is_file());
    fs::remove_dir_all(folder).unwrap();
}
