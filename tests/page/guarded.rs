//! Strangers, crowds and broken requests.

use std::io::Write;

use serde_json::{Value, json};

use crate::asked::{Page, read};

/// A small design, another one for every number.
fn small(number: u32) -> Value {
    let side = format!("{}mm", 60 + number % 50);
    json!({"design": {"motif": "grid", "shape": {"option": "square", "value": side}}, "card": true})
}

#[test]
fn the_good_are_answered_among_the_slow_the_large_and_the_strange() {
    let page = Page::open();
    let slow = {
        let mut slow = Vec::new();
        for _ in 0..40 {
            let mut stream = page.connect();
            let whole = page.request("/api/draw", small(0).to_string().as_bytes(), &[]);
            stream.write_all(&whole[..whole.len() - 10]).unwrap();
            slow.push(stream);
        }
        slow
    };
    let large = vec![b' '; 9_000_000];
    // A good one does not wait for the slow: it is answered before any of them is told.
    assert_eq!(page.post("/api/draw", &small(0)).status, 200);
    for stream in &slow {
        stream.set_nonblocking(true).unwrap();
        let told = stream.peek(&mut [0]).map_err(|error| error.kind());
        assert_eq!(told, Err(std::io::ErrorKind::WouldBlock));
        stream.set_nonblocking(false).unwrap();
    }
    std::thread::scope(|scope| {
        let good: Vec<_> = (0..200)
            .map(|n| {
                (
                    n,
                    scope.spawn({
                        let page = &page;
                        move || page.post("/api/draw", &small(n))
                    }),
                )
            })
            .collect();
        let bad = (0..20).map(|n| {
            let (page, large) = (&page, &large);
            scope.spawn(move || match n % 4 {
                0 => page.send(&page.request("/api/draw", large, &[])).refused(),
                1 => page.send(&page.request("/api/draw", b"{\"design\": ", &[])).refused(),
                2 => page
                    .send(&page.request("/api/draw", b"{}", &[("Origin", "http://elsewhere.test")]))
                    .refused(),
                _ => page.send(&page.request("/api/draw", b"{}", &[("Host", "elsewhere.test")])).refused(),
            })
        });
        let bad: Vec<_> = bad.collect();
        for (n, answer) in good {
            let drawn = answer.join().unwrap();
            assert_eq!(drawn.status, 200, "{}", String::from_utf8_lossy(&drawn.body));
            let side = f64::from(60 + n % 50);
            assert_eq!(drawn.json()["size_mm"], json!([side, side]));
        }
        let told: Vec<(u16, String)> = bad.into_iter().map(|b| b.join().unwrap()).collect();
        for (n, (status, told)) in told.iter().enumerate() {
            let expected = [
                (413, "the request is 9.0 MB long"),
                (400, "the request cannot be read"),
                (403, "the request comes from another page"),
                (403, "this server is called 127.0.0.1:"),
            ];
            let (code, words) = expected[n % 4];
            assert_eq!(*status, code, "{told}");
            assert!(told.starts_with(words), "{told}");
        }
    });
    // The slow are told in the end.
    for stream in slow {
        assert_eq!(read(stream).refused(), (408, "the request did not come within 10 s".to_owned()));
    }
    if let Some(most) = page.most_memory_mb() {
        assert!(most < 500.0, "{most} MB");
    }
}

#[test]
fn nothing_is_read_from_a_folder_or_written_to_one() {
    let page = Page::open();
    let square = json!({"option": "square", "value": "4in"});
    let tried = [
        json!({"motif": "grid", "shape": square, "options": {"out": "/tmp/x"}}),
        json!({"motif": "grid", "shape": square, "options": {"motifs": "/tmp"}}),
        json!({"motif": "grid", "shape": {"option": "outline", "value": "Cargo.toml"}}),
        json!({"shape": square, "options": {"drawing": "Cargo.toml"}}),
        json!({"motif": "grid", "shape": square, "options": {"name": "../x"}}),
    ];
    for design in tried {
        let answer = page.post("/api/files", &json!({"design": design}));
        assert_eq!(answer.status, 400, "{design}");
        assert!(answer.json()["field"].is_string(), "{design}: {}", answer.json());
    }
    for path in ["/assets/../mod.rs", "/assets/%2e%2e/mod.rs", "/etc/passwd", "/assets/", "/api/draw"] {
        assert_eq!(page.get(path).status, 404, "{path}");
    }
}

#[test]
fn every_answer_keeps_other_pages_out() {
    let page = Page::open();
    let start = page.get("/api/start");
    for answer in [page.get("/"), start.clone(), page.get("/nothing"), page.post("/api/draw", &json!({}))] {
        let head = answer.head.to_lowercase();
        for header in [
            "content-security-policy: default-src 'self';",
            "x-content-type-options: nosniff",
            "cross-origin-resource-policy: same-origin",
            "x-frame-options: deny",
        ] {
            assert!(head.contains(header), "{header} is not in {head}");
        }
        assert!(!head.contains("access-control-"), "{head}");
    }
    let start = start.json();
    assert!(start["motifs"].as_array().unwrap().len() > 30);
    assert!(page.get("/").head.to_lowercase().contains("content-type: text/html"));
}

#[test]
fn it_listens_on_this_machine_alone_and_a_port_in_use_is_told() {
    let page = Page::open();
    let port = page.port.to_string();
    let second = std::process::Command::new(env!("CARGO_BIN_EXE_thrice"))
        .args(["page", "--no-open", "--port", &port])
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2));
    let told = String::from_utf8(second.stderr).unwrap();
    assert!(told.starts_with(&format!("error: port {port} cannot be used: ")), "{told}");
    // Another address of this machine finds nobody at that port.
    assert!(std::net::TcpStream::connect(("127.0.0.2", page.port)).is_err() || !cfg!(target_os = "linux"));
}
