//! The program with its page open, and requests written out by hand.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::Value;

/// A page that is open until it is dropped.
pub struct Page {
    program: Child,
    /// Where it is.
    pub port: u16,
}

/// What came back.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Page {
    pub fn open() -> Self {
        let program = Command::new(env!("CARGO_BIN_EXE_thrice"))
            .args(["page", "--no-open", "--port", "0"])
            .stdout(Stdio::piped())
            .spawn();
        let mut program = program.unwrap();
        let mut line = String::new();
        BufReader::new(program.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let port = line.trim().trim_end_matches('/').rsplit(':').next().unwrap().parse();
        Self { port: port.unwrap_or_else(|_| panic!("no address in `{line}`")), program }
    }

    /// What the page's own scripts would get.
    pub fn post(&self, path: &str, body: &Value) -> Answer {
        self.send(&self.request(path, body.to_string().as_bytes(), &[]))
    }

    /// What is at an address.
    pub fn get(&self, path: &str) -> Answer {
        let port = self.port;
        self.send(
            format!("GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n").as_bytes(),
        )
    }

    /// A request as the page sends it, with some headers replaced; an empty value leaves a header out.
    pub fn request(&self, path: &str, body: &[u8], replaced: &[(&str, &str)]) -> Vec<u8> {
        let (host, origin) = (format!("127.0.0.1:{}", self.port), format!("http://127.0.0.1:{}", self.port));
        let length = body.len().to_string();
        let usual = [
            ("Host", host.as_str()),
            ("Origin", &origin),
            ("Content-Type", "application/json"),
            ("Content-Length", &length),
            ("Connection", "close"),
        ];
        let mut text = format!("POST {path} HTTP/1.1\r\n");
        for (name, value) in usual {
            let value = replaced.iter().find(|(n, _)| *n == name).map_or(value, |(_, v)| v);
            if !value.is_empty() {
                text += &format!("{name}: {value}\r\n");
            }
        }
        let mut bytes = (text + "\r\n").into_bytes();
        bytes.extend_from_slice(body);
        bytes
    }

    /// Bytes on the wire, and what comes back.
    pub fn send(&self, bytes: &[u8]) -> Answer {
        let mut stream = self.connect();
        // A server that has answered may not read to the end.
        let _ = stream.write_all(bytes);
        read(stream)
    }

    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(120))).unwrap();
        stream
    }

    /// The most memory that it has had, MB; only where the system tells.
    pub fn most_memory_mb(&self) -> Option<f64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.program.id())).ok()?;
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
        Some(peak.trim().trim_end_matches(" kB").parse::<f64>().ok()? / 1000.0)
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        self.program.kill().unwrap();
        self.program.wait().unwrap();
    }
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("{self:?} is no data"))
    }

    /// Status and what is said to be wrong.
    pub fn refused(&self) -> (u16, String) {
        (self.status, self.json()["error"].as_str().unwrap().to_owned())
    }
}

/// An answer to its end.
pub fn read(mut stream: TcpStream) -> Answer {
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let split = bytes.windows(4).position(|w| w == b"\r\n\r\n");
    let split = split.unwrap_or_else(|| panic!("no head in {:?}", String::from_utf8_lossy(&bytes)));
    let head = String::from_utf8(bytes[..split].to_vec()).unwrap();
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    Answer { status, head, body: bytes[split + 4..].to_vec() }
}
