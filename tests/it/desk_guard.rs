//! The desk answers its own page and nobody else, and never leaves its folder.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

use serde_json::json;

use super::desk_client::Desk;
use super::program::fresh_folder;

#[test]
fn the_page_has_the_key_and_may_load_nothing_from_elsewhere() {
    let desk = Desk::empty("page");
    let page = desk.get("/");
    assert_eq!(page.status, 200);
    assert!(page.text().contains(&desk.key));
    // The directives that the Content Security Policy Level 3 names; no source but the page's own, and no inline script.
    for line in [
        "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'",
        "x-content-type-options: nosniff",
        "referrer-policy: no-referrer",
        "cache-control: no-store",
        "content-type: text/html; charset=utf-8",
    ] {
        assert!(page.head.contains(line), "{line}\n{}", page.head);
    }
    let text = page.text();
    assert!(!text.contains("style=") && !text.contains("onclick="));
    for (name, kind) in [("main.js", "text/javascript"), ("desk.css", "text/css")] {
        let file = desk.get(&format!("/page/{name}"));
        assert_eq!(file.status, 200, "{name}");
        assert!(file.head.contains(kind), "{}", file.head);
    }
}

#[test]
fn calls_under_another_name_or_from_another_page_are_refused() {
    let desk = Desk::empty("elsewhere");
    let port = desk.address.port();
    let foreign_host = format!("seeds.example:{port}");
    let key = desk.key.clone();
    for headers in [
        [("Host", foreign_host.as_str()), ("Desk-Key", key.as_str())],
        [
            ("Origin", "http://seeds.example"),
            ("Desk-Key", key.as_str()),
        ],
        [("Origin", "null"), ("Desk-Key", key.as_str())],
        [("Sec-Fetch-Site", "cross-site"), ("Desk-Key", key.as_str())],
    ] {
        assert_eq!(
            desk.raw("GET /state", &headers, b"").status,
            403,
            "{headers:?}"
        );
        let posted = desk.raw("POST /undo", &headers, b"{\"base\":0}");
        assert_eq!(posted.status, 403, "{headers:?}");
    }
    let own = format!("http://localhost:{port}");
    let own_host = format!("localhost:{port}");
    let own = [("Host", own_host.as_str()), ("Origin", own.as_str())];
    assert_eq!(desk.raw("GET /state", &own, b"").status, 200);
}

#[test]
fn what_changes_something_needs_the_key() {
    let desk = Desk::empty("key");
    for path in [
        "/text", "/save", "/open", "/begin", "/try", "/make", "/upload", "/stop",
    ] {
        let line = format!("POST {path}");
        assert_eq!(desk.raw(&line, &[], b"{}").status, 403, "{path}");
        let wrong = "0".repeat(64);
        assert_eq!(
            desk.raw(&line, &[("Desk-Key", &wrong)], b"{}").status,
            403,
            "{path}"
        );
    }
    assert_eq!(
        desk.raw("DELETE /state", &[("Desk-Key", &desk.key)], b"")
            .status,
        405
    );
    assert_eq!(desk.get("/no-such-thing").status, 404);
}

#[test]
fn a_body_that_is_too_large_or_none_is_refused_in_words() {
    let desk = Desk::empty("bodies");
    let key = desk.key.clone();
    let large = [("Desk-Key", key.as_str()), ("Content-Length", "64000001")];
    assert_eq!(
        desk.raw("POST /upload?name=leaf.png", &large, b"").status,
        413
    );
    let text = [("Desk-Key", key.as_str()), ("Content-Length", "20000000")];
    assert_eq!(desk.raw("POST /text", &text, b"").status, 413);
    for body in ["", "{", "[]", "{\"base\":\"a\"}", "{\"base\":-1}"] {
        let reply = desk.post_bytes("/undo", body.as_bytes());
        assert_eq!(reply.status, 400, "{body}");
        assert!(
            reply.json()["problem"].as_str().unwrap().len() > 10,
            "{body}"
        );
    }
}

#[test]
fn paths_from_the_page_never_leave_the_folder() {
    let desk = Desk::empty("paths");
    let outside = desk.folder.parent().unwrap().join("desk-outside.toml");
    std::fs::write(&outside, "sheetwright = 1\n").unwrap();
    for path in [
        "../desk-outside.toml",
        "/etc/hosts",
        "a/../../desk-outside.toml",
        "",
    ] {
        let opened = desk.post("/open", &json!({ "project": path }));
        assert_eq!(opened.status, 400, "{path}");
    }
    desk.done("/open", &json!({ "example": "plant-labels" }));
    for file in [
        "../out.toml",
        "/tmp/out.toml",
        ".hidden.toml",
        "out.txt",
        "a/../../b.toml",
    ] {
        let base = desk.revision();
        let saved = desk.post("/save", &json!({ "base": base, "file": file }));
        assert_eq!(saved.status, 400, "{file}");
    }
    for path in [
        "/page/..%2f..%2f..%2fCargo.toml",
        "/page/%2e%2e/mod.rs",
        "/made/..%2fplan.json",
    ] {
        assert_eq!(desk.get(path).status, 404, "{path}");
    }
    // What a project names stays in its folder, too: `load` refuses it by name.
    let base = desk.revision();
    let text = desk.state()["text"]
        .as_str()
        .unwrap()
        .replace("art/leaf.svg", "../leaf.svg");
    let told = desk.done("/text", &json!({ "base": base, "text": text }));
    assert!(
        told["diagnostics"].to_string().contains("asset.outside"),
        "{}",
        told["diagnostics"]
    );
}

#[test]
fn the_program_says_where_its_desk_is_and_serves_the_folder_it_was_given() {
    let folder = fresh_folder("desk-program");
    let mut child = Command::new(env!("CARGO_BIN_EXE_sheetwright"))
        .args(["desk", folder.to_str().unwrap(), "--no-browser"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut line = String::new();
    let said = BufReader::new(child.stdout.take().unwrap()).read_line(&mut line);
    let address = line.trim().strip_prefix("the desk is at http://");
    let address = address
        .and_then(|rest| rest.strip_suffix('/'))
        .map(str::to_owned);
    let desk = address.map(|address| Desk {
        address: address.parse().unwrap(),
        key: String::new(),
        folder: folder.clone(),
    });
    let state = desk.as_ref().map(|desk| desk.get("/state").json());
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(said.is_ok() && desk.is_some(), "{line}");
    assert!(desk.unwrap().address.ip().is_loopback());
    let told = state.unwrap()["folder"].as_str().unwrap().to_owned();
    assert_eq!(std::path::Path::new(&told), folder.canonicalize().unwrap());
}
