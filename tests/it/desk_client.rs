//! A desk in the test's own process, and a plain client that speaks HTTP to it as a browser's page would.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::{Value, json};
use sheetwright::desk::{self, Start};

use super::program::fresh_folder;

/// A desk that runs until the tests end.
pub(crate) struct Desk {
    pub(crate) address: SocketAddr,
    pub(crate) key: String,
    pub(crate) folder: PathBuf,
}

/// What came back.
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) head: String,
    pub(crate) body: Vec<u8>,
}

impl Reply {
    pub(crate) fn json(&self) -> Value {
        let text = String::from_utf8_lossy(&self.body);
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {text}"))
    }

    pub(crate) fn text(&self) -> String {
        String::from_utf8(self.body.clone()).unwrap()
    }
}

impl Desk {
    /// A desk in an empty folder of its own.
    pub(crate) fn empty(name: &str) -> Self {
        Self::in_folder(fresh_folder(&format!("desk-{name}")), None)
    }

    /// A desk in a folder, with a project of it open.
    pub(crate) fn in_folder(folder: PathBuf, project: Option<&str>) -> Self {
        let running = desk::bind(&Start {
            folder: folder.clone(),
            project: project.map(str::to_owned),
            port: 0,
            today: (2027, 4, 17),
        })
        .unwrap();
        let (address, key) = (running.address(), running.key().to_owned());
        std::thread::spawn(move || running.run());
        Self {
            address,
            key,
            folder,
        }
    }

    pub(crate) fn file(&self, name: &str) -> PathBuf {
        Path::new(&self.folder).join(name)
    }

    /// One call with these header lines besides the host's.
    pub(crate) fn raw(&self, line: &str, headers: &[(&str, &str)], body: &[u8]) -> Reply {
        let mut stream = TcpStream::connect(self.address).unwrap();
        stream
            .set_read_timeout(Some(Duration::from_secs(300)))
            .unwrap();
        let mut head = format!("{line} HTTP/1.1\r\nConnection: close\r\n");
        if !headers.iter().any(|(name, _)| *name == "Host") {
            head += &format!("Host: {}\r\n", self.address);
        }
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        if !headers.iter().any(|(name, _)| *name == "Content-Length") {
            head += &format!("Content-Length: {}\r\n", body.len());
        }
        stream.write_all(format!("{head}\r\n").as_bytes()).unwrap();
        // A server that refuses by the head alone may close while the body is still on its way.
        let _ = stream.write_all(body);
        let mut bytes = Vec::new();
        let _ = stream.read_to_end(&mut bytes);
        reply(&bytes)
    }

    pub(crate) fn get(&self, path: &str) -> Reply {
        self.raw(&format!("GET {path}"), &[], b"")
    }

    pub(crate) fn post_bytes(&self, path: &str, body: &[u8]) -> Reply {
        let key = self.key.clone();
        self.raw(&format!("POST {path}"), &[("Desk-Key", &key)], body)
    }

    /// Posts JSON and returns the answer, whatever its status.
    pub(crate) fn post(&self, path: &str, body: &Value) -> Reply {
        self.post_bytes(path, body.to_string().as_bytes())
    }

    /// Posts JSON and returns the answer, which must be a good one.
    pub(crate) fn done(&self, path: &str, body: &Value) -> Value {
        let reply = self.post(path, body);
        assert_eq!(reply.status, 200, "{path}: {}", reply.text());
        reply.json()
    }

    pub(crate) fn state(&self) -> Value {
        self.get("/state").json()
    }

    pub(crate) fn revision(&self) -> u64 {
        self.state()["revision"].as_u64().unwrap()
    }

    /// One change of the project.
    pub(crate) fn change(&self, words: &str, edits: &Value) -> Value {
        let base = self.revision();
        self.done(
            "/change",
            &json!({ "base": base, "words": words, "edits": edits }),
        )
    }

    /// Starts work and waits for its end.
    pub(crate) fn worked(&self, start: &str, result: &str) -> Value {
        let base = self.revision();
        self.done(start, &json!({ "base": base, "effort": "quick" }));
        self.ended(result)
    }

    /// Waits until work has ended and returns what came of it.
    pub(crate) fn ended(&self, result: &str) -> Value {
        loop {
            if self.get("/pulse").json()["work"].is_null() {
                return self.get(result).json();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

fn reply(bytes: &[u8]) -> Reply {
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n");
    let end = end.unwrap_or_else(|| panic!("no head in {} bytes", bytes.len()));
    let head = String::from_utf8(bytes[..end].to_vec()).unwrap();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    Reply {
        status,
        head: head.to_lowercase(),
        body: bytes[end + 4..].to_vec(),
    }
}
