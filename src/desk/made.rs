//! Make: everything drawn, written and proved on a thread of its own, then shown, taken away as one file, or put into a folder.

use std::io::{Cursor, Write};
use std::sync::Arc;

use serde::Deserialize;
use serde_json::{Value, json};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::Desk;
use super::answer::{Answer, Asked, Outcome, Refused};
use super::at_hand::below;
use super::hints::hints;
use super::layout::{Laid, Subject, WorkAsked, threads};
use super::project::refuse_stale;
use super::work::{UntilEnd, Watcher, Work};
use crate::emit::png::InkCover;
use crate::files;
use crate::job::{self, FileSet, Made};
use crate::plan::Watch;

/// What came of making.
#[derive(Debug)]
pub(super) struct MadeSet {
    pub(super) laid: Arc<Laid>,
    end: End,
}

/// How making ended.
#[derive(Debug)]
enum End {
    /// All is written and measured.
    Done(Made),
    /// Somebody stopped it.
    Stopped,
    /// There is nothing to write, in words.
    Failed(String),
}

impl MadeSet {
    /// The files, if they were made.
    pub(super) fn files(&self) -> Option<&FileSet> {
        self.made().map(|made| &made.files)
    }

    fn made(&self) -> Option<&Made> {
        match &self.end {
            End::Done(made) => Some(made),
            End::Stopped | End::Failed(_) => None,
        }
    }
}

pub(super) fn make(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: WorkAsked = asked.json()?;
    let open = desk.open();
    refuse_stale(&open, wish.base)?;
    let subject = Subject::of(&open, wish.effort.into())?;
    let work = Arc::clone(&desk.work);
    let watch = work.begin("make", "laying out");
    std::thread::spawn(move || {
        let end = UntilEnd { work, watch };
        let set = make_all(&end.work, &subject, &end.watch);
        if !end.watch.is_left() {
            end.work.keep_made(set);
        }
    });
    Ok(Answer::Json(json!({ "state": "running" })))
}

fn make_all(work: &Work, subject: &Subject, watch: &Watcher) -> MadeSet {
    let known = work
        .layout()
        .filter(|laid| (laid.revision, laid.effort) == (subject.revision, subject.effort));
    let laid = known.unwrap_or_else(|| Arc::new(subject.lay_out(watch)));
    let end = |end| MadeSet {
        laid: Arc::clone(&laid),
        end,
    };
    if watch.is_stopped() {
        return end(End::Stopped);
    }
    let Some(plan) = laid.plan() else {
        return end(End::Failed("the layout failed".to_owned()));
    };
    if !plan.unplaced.is_empty() {
        return end(End::Failed(
            "nothing was written: not everything fits".to_owned(),
        ));
    }
    watch.say("drawing, writing and reading back", 0.6);
    let made = job::make(&subject.project, plan, threads());
    if watch.is_stopped() {
        return end(End::Stopped);
    }
    match made {
        Ok(made) => end(End::Done(made)),
        Err(broken) => end(End::Failed(broken.message)),
    }
}

pub(super) fn made(desk: &Desk, _: &Asked) -> Outcome {
    let is_running = desk.work.is_running("make");
    let (said, share) = desk.work.said("make").unwrap_or_default();
    let mut told = match desk.work.made() {
        Some(set) => to_json(&set),
        None => {
            json!({ "of_revision": null, "state": "none", "proved": false, "files": [], "verdict_words": [] })
        }
    };
    if is_running {
        told["state"] = "running".into();
    }
    told["said"] = said.into();
    told["share"] = share.into();
    Ok(Answer::Json(told))
}

fn to_json(set: &MadeSet) -> Value {
    let (state, words) = match &set.end {
        End::Done(made) => ("done", verdict(made)),
        End::Stopped => ("stopped", Vec::new()),
        End::Failed(words) => ("failed", vec![words.clone()]),
    };
    let made = set.made();
    let files = made.into_iter().flat_map(|made| &made.files);
    let files = files.map(|(name, bytes)| {
        json!({
            "name": name, "url": format!("/made/{name}"), "what": what(name), "bytes": bytes.len(),
        })
    });
    let hints = match (made, set.laid.plan()) {
        (Some(_), Some(plan)) => hints(&set.laid.project, plan),
        (Some(_) | None, _) => Vec::new(),
    };
    json!({
        "of_revision": set.laid.revision,
        "state": state,
        "proved": made.is_some_and(|made| made.verdict.is_proved()),
        "verdict_words": words,
        "deviation": made.map(|made| format!("{:.4} mm", made.verdict.largest_deviation_mm())),
        "files": files.collect::<Vec<_>>(),
        "ink": made.map_or_else(Vec::new, |made| ink(&made.ink)),
        "hints": hints,
        "diagnostics": set.laid.notes(),
    })
}

/// What reading everything back found.
fn verdict(made: &Made) -> Vec<String> {
    let files = &made.verdict.files;
    let compared: usize = files.iter().map(|file| file.compared).sum();
    let mut words = vec![format!(
        "{compared} places in {} files were read back and compared with the layout",
        files.len()
    )];
    let findings = made.verdict.findings();
    words.extend(findings.map(|found| format!("{}: {}", found.file, found.message)));
    words
}

fn ink(ink: &[InkCover]) -> Vec<String> {
    let pages = ink.iter().enumerate();
    let told = pages.map(|(i, cover)| {
        let percent = cover.total_percent();
        format!("page {}: {percent:.0} % of it, all inks added up", i + 1)
    });
    told.collect()
}

/// What a file is for.
fn what(name: &str) -> &'static str {
    const KNOWN: &[(&str, &str)] = &[
        ("print.pdf", "print this, at 100 %"),
        (
            "proof.pdf",
            "look at this first: every layer of every sheet",
        ),
        ("instructions.pdf", "how it is made, step by step"),
        ("templates.pdf", "every piece at its true size"),
        ("kit.pdf", "what to buy, and labels for the bags"),
        ("cut-list.txt", "the cuts at the trimmer, one by one"),
        ("leftovers.toml", "the offcuts worth keeping"),
        ("plan.json", "the layout, for programs"),
        ("report.json", "what was measured, for programs"),
    ];
    let known = KNOWN.iter().find(|(own, _)| *own == name);
    match known {
        Some((_, what)) => what,
        None if name.starts_with("cut-") => "cut this",
        None if name.starts_with("sheet-") => "a picture of a sheet",
        None => "a picture of it, folded",
    }
}

/// The set that was made last.
fn present(desk: &Desk) -> Result<Arc<MadeSet>, Refused> {
    let set = desk.work.made();
    set.filter(|set| set.made().is_some())
        .ok_or_else(Refused::missing)
}

pub(super) fn file(desk: &Desk, asked: &Asked) -> Outcome {
    let set = present(desk)?;
    let files = set.files().ok_or_else(Refused::missing)?;
    let bytes = files.get(&asked.rest).ok_or_else(Refused::missing)?;
    Ok(Answer::File {
        kind: media_type(&asked.rest),
        bytes: bytes.clone(),
        name: None,
    })
}

/// The media type of a file that was made.
pub(super) fn media_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, extension)| extension) {
        Some("pdf") => "application/pdf",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("json") => "application/json",
        Some("zip") => "application/zip",
        Some(_) | None => "text/plain; charset=utf-8",
    }
}

pub(super) fn packed(desk: &Desk, _: &Asked) -> Outcome {
    let set = present(desk)?;
    let made = set.made().ok_or_else(Refused::missing)?;
    if !made.verdict.is_proved() {
        return Err(Refused::wrong("these files are not proved"));
    }
    let bytes = zip(&made.files).map_err(|e| Refused::broken(&e.to_string()))?;
    Ok(Answer::File {
        kind: media_type(".zip"),
        bytes,
        name: Some(format!("{}.zip", name_of(&set.laid.project.job.name))),
    })
}

/// A name as a file has it: `Seed box` becomes `seed-box`.
fn name_of(name: &str) -> String {
    let letters = name.to_lowercase();
    let words = letters.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    if words.is_empty() {
        "made".to_owned()
    } else {
        words.join("-")
    }
}

/// Files as one, as they are: PDFs and pictures are packed already.
pub(super) fn zip(files: &FileSet) -> zip::result::ZipResult<Vec<u8>> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for (name, bytes) in files {
        writer.start_file(name.as_str(), stored)?;
        writer.write_all(bytes)?;
    }
    Ok(writer.finish()?.into_inner())
}

#[derive(Debug, Deserialize)]
struct KeepAsked {
    folder: String,
}

/// Puts the set into a folder beside the project.
pub(super) fn keep(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: KeepAsked = asked.json()?;
    let set = present(desk)?;
    let made = set.made().ok_or_else(Refused::missing)?;
    let folder = desk.open().folder().to_owned();
    let folder = below(&folder, wish.folder.trim()).map_err(Refused::wrong)?;
    match files::deliver(&folder, made) {
        Ok(folder) => Ok(Answer::Json(json!({ "folder": folder }))),
        Err(refused) => Ok(Answer::Json(json!({ "problem": refused.message }))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_zip_holds_the_files_as_they_are() {
        let files = FileSet::from([
            ("print.pdf".to_owned(), vec![1, 2, 3]),
            ("cut-01.svg".to_owned(), b"<svg/>".to_vec()),
        ]);
        let bytes = zip(&files).unwrap();
        let mut read = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
        assert_eq!(read.len(), 2);
        let mut text = String::new();
        let mut file = read.by_name("cut-01.svg").unwrap();
        std::io::Read::read_to_string(&mut file, &mut text).unwrap();
        assert_eq!(text, "<svg/>");
    }

    #[test]
    fn names_of_jobs_become_names_of_files() {
        assert_eq!(name_of("Seed box, large"), "seed-box-large");
        assert_eq!(name_of("…"), "made");
    }
}
