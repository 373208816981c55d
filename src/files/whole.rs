//! A folder that is there whole: the old one until the new one is written, read back, and put in its place.
//!
//! A new folder is filled beside the old one, under the old one's name with a dot before and `.partial` behind it, and put in its place by
//! exchanging the two names in one step. Where a system cannot do that, the old one steps aside first, as `.old`; [`mend`] ends what
//! breaks off between the two steps.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use super::file_name;

/// Replaces `folder`, or what a link of that name leads to, by one that holds just `files`.
///
/// # Errors
/// If the disk refuses; the old folder is there then as it was.
pub(super) fn replace(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> io::Result<()> {
    let folder = &folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    mend(folder)?;
    let partial = neighbour(folder, "partial");
    fill(&partial, files)
        .and_then(|()| put_in_place(&partial, folder))
        .inspect_err(|_| {
            // The disk has refused already; what it leaves is taken away by the next run.
            let _ = remove_if_there(&partial);
        })
}

/// Takes away what a run that broke off has left beside `folder`, and puts back the old folder if it had stepped aside.
///
/// # Errors
/// If the disk refuses.
pub(super) fn mend(folder: &Path) -> io::Result<()> {
    put_back(folder)?;
    remove_if_there(&neighbour(folder, "old"))?;
    remove_if_there(&neighbour(folder, "partial"))
}

/// Puts the old folder back if a run broke off after it had stepped aside and before the new one was in its place.
///
/// # Errors
/// If the disk refuses.
pub(super) fn put_back(folder: &Path) -> io::Result<()> {
    let old = neighbour(folder, "old");
    if is_there(folder) || !is_there(&old) {
        return Ok(());
    }
    fs::rename(&old, folder)
}

fn put_in_place(partial: &Path, folder: &Path) -> io::Result<()> {
    if !is_there(folder) {
        return fs::rename(partial, folder);
    }
    match exchange(partial, folder) {
        Ok(()) => remove_if_there(partial),
        Err(e) if is_unknown(&e) => step_aside(partial, folder),
        Err(e) => Err(e),
    }
}

/// The same in two steps.
fn step_aside(partial: &Path, folder: &Path) -> io::Result<()> {
    let old = neighbour(folder, "old");
    fs::rename(folder, &old)?;
    if let Err(e) = fs::rename(partial, folder) {
        fs::rename(&old, folder)?;
        return Err(e);
    }
    remove_if_there(&old)
}

/// Exchanges the names of two folders in one step.
#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange(a: &Path, b: &Path) -> io::Result<()> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    Ok(renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE)?)
}

/// Says that the system has no such step.
#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange(_: &Path, _: &Path) -> io::Result<()> {
    Err(io::ErrorKind::Unsupported.into())
}

/// Whether a system or a disk does not know the step, rather than refuse it.
fn is_unknown(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::Unsupported | io::ErrorKind::InvalidInput
    )
}

/// Writes `files` into a new folder and reads each back, so that what was proved is what lies on the disk.
fn fill(folder: &Path, files: &BTreeMap<String, Vec<u8>>) -> io::Result<()> {
    fs::create_dir_all(folder)?;
    for (name, bytes) in files {
        let file = folder.join(name);
        fs::write(&file, bytes)?;
        if fs::read(&file)? != *bytes {
            return Err(io::Error::other(format!(
                "the disk does not hold {name} as written"
            )));
        }
    }
    Ok(())
}

/// Whether there is anything of that name, a broken link included.
fn is_there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// Takes a folder of that name away.
pub(super) fn remove_if_there(folder: &Path) -> io::Result<()> {
    match fs::remove_dir_all(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(()),
        other => other,
    }
}

/// `dir/name` -> `dir/.name.suffix`, on the same disk so that a rename is one step.
pub(super) fn neighbour(path: &Path, suffix: &str) -> PathBuf {
    path.with_file_name(format!(".{}.{suffix}", file_name(path)))
}

#[cfg(test)]
mod tests {
    use super::super::empty_folder::EmptyFolder;
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<_> = entries.map(|e| file_name(&e.unwrap().path())).collect();
        names.sort();
        names
    }

    fn set(text: &str) -> BTreeMap<String, Vec<u8>> {
        BTreeMap::from([("a.txt".to_owned(), text.into())])
    }

    #[test]
    fn a_folder_takes_the_place_of_another_in_one_step_or_in_two() {
        let root = EmptyFolder::new("whole-place");
        let made = root.0.join("made");
        replace(&made, &set("first")).unwrap();
        replace(&made, &set("second")).unwrap();
        assert_eq!(fs::read(made.join("a.txt")).unwrap(), b"second");
        let partial = neighbour(&made, "partial");
        fill(&partial, &set("third")).unwrap();
        step_aside(&partial, &made).unwrap();
        assert_eq!(fs::read(made.join("a.txt")).unwrap(), b"third");
        assert_eq!(names(&root.0), ["made"]);
    }

    #[test]
    fn what_broke_off_between_two_steps_is_ended_and_what_was_begun_is_taken_away() {
        let root = EmptyFolder::new("whole-mend");
        let made = root.0.join("made");
        fill(&neighbour(&made, "old"), &set("old")).unwrap();
        fill(&neighbour(&made, "partial"), &set("half")).unwrap();
        mend(&made).unwrap();
        assert_eq!(fs::read(made.join("a.txt")).unwrap(), b"old");
        fill(&neighbour(&made, "old"), &set("older")).unwrap();
        mend(&made).unwrap();
        assert_eq!(fs::read(made.join("a.txt")).unwrap(), b"old");
        assert_eq!(names(&root.0), ["made"]);
    }
}
