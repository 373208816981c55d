//! Programs of others that look at our files: poppler, mupdf and qpdf.

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
    thread,
};

use image::RgbImage;

/// Independent renderers of PDF pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Renderer {
    /// poppler, through cairo.
    Cairo,
    /// poppler's own rasteriser.
    Splash,
    /// mupdf.
    Mupdf,
}

/// All of them.
pub(crate) const RENDERERS: [Renderer; 3] = [Renderer::Cairo, Renderer::Splash, Renderer::Mupdf];

/// Returns what a program writes to its standard output; fails the test if the program fails.
pub(crate) fn run(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program)
        .args(arguments)
        .output()
        .unwrap_or_else(|error| panic!("{program}: {error}; see tests/run"));
    let talk = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} {arguments:?}: {talk}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// A file on disk that `qpdf --check` has nothing to say against. It lies in a folder of its own, which goes away with a passed test.
pub(crate) struct PdfFile {
    /// Where it is; other files of the same test stand beside it.
    pub(crate) path: String,
    folder: PathBuf,
}

impl PdfFile {
    /// Writes and checks the file.
    pub(crate) fn checked(test: &str, bytes: &[u8]) -> Self {
        // Two runs of the tests may share the target folder.
        let name = format!("{test}-{}", std::process::id());
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        fs::create_dir_all(&folder).unwrap();
        let path = folder.join("file.pdf");
        fs::write(&path, bytes).unwrap();
        let file = Self {
            path: path.to_str().unwrap().into(),
            folder,
        };
        let report = run("qpdf", &["--check", &file.path]);
        assert!(
            report.contains("No syntax or stream encoding errors"),
            "{report}"
        );
        file
    }

    /// Returns the first page as this renderer draws it.
    pub(crate) fn picture(&self, renderer: Renderer, resolution_dpi: u32) -> RgbImage {
        let stem = format!("{}-{renderer:?}", self.path);
        let png = format!("{stem}.png");
        let dpi = resolution_dpi.to_string();
        match renderer {
            Renderer::Cairo => run(
                "pdftocairo",
                &["-png", "-singlefile", "-r", &dpi, &self.path, &stem],
            ),
            Renderer::Splash => run(
                "pdftoppm",
                &["-png", "-singlefile", "-r", &dpi, &self.path, &stem],
            ),
            Renderer::Mupdf => run(
                "mutool",
                &["draw", "-q", "-r", &dpi, "-o", &png, &self.path, "1"],
            ),
        };
        image::open(png).unwrap().into_rgb8()
    }

    /// Returns the file with every stream unpacked and its objects in plain order, as qpdf rewrites it.
    pub(crate) fn unpacked(&self) -> String {
        let path = format!("{}-unpacked.pdf", self.path);
        run(
            "qpdf",
            &[
                "--qdf",
                "--object-streams=disable",
                "--no-original-object-ids",
                &self.path,
                &path,
            ],
        );
        String::from_utf8_lossy(&fs::read(path).unwrap()).into_owned()
    }

    /// Returns an object as mupdf reads it, on one line; a path such as `trailer/Root`, positions in arrays counted from 1.
    pub(crate) fn object(&self, path: &str) -> String {
        let text = run("mutool", &["show", &self.path, path]);
        let words: Vec<&str> = text.split_whitespace().collect();
        match words.as_slice() {
            [_number, _generation, "obj", object @ .., "endobj"] => object.join(" "),
            object => object.join(" "),
        }
    }
}

impl Drop for PdfFile {
    fn drop(&mut self) {
        if !thread::panicking() {
            fs::remove_dir_all(&self.folder).unwrap();
        }
    }
}
