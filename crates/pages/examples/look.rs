//! Shows the pages on one machine, to look at them while they are made; `loopwright serve` is the real thing.
//!
//! `cargo run -p loopwright-pages --example look -- 8088`

#[path = "../tests/shelf/mod.rs"]
mod shelf;

use std::io::{BufRead, BufReader, Read, Write as _};
use std::net::{TcpListener, TcpStream};

use pages::{Content, Method, Sheet, assets};
use shelf::{Shelf, fields};

fn main() -> std::io::Result<()> {
    let port = std::env::args().nth(1).and_then(|port| port.parse().ok()).unwrap_or(8088);
    let shelf = Shelf::new();
    let listener = TcpListener::bind(("127.0.0.1", port))?;
    for stream in listener.incoming() {
        // A browser that goes away in the middle ends only its own request.
        let _ = stream.and_then(|stream| serve(&shelf, stream));
    }
    Ok(())
}

fn serve(shelf: &Shelf, mut stream: TcpStream) -> std::io::Result<()> {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut line = String::new();
    reader.read_line(&mut line)?;
    let mut parts = line.split_whitespace();
    let method = if parts.next() == Some("POST") { Method::Post } else { Method::Get };
    let target = parts.next().unwrap_or("/").to_owned();
    let (mut length, mut kind, mut sheet) = (0, String::new(), Sheet::System);
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        let Some((name, value)) = line.trim().split_once(':') else { break };
        match name.to_lowercase().as_str() {
            "content-length" => length = value.trim().parse().unwrap_or(0),
            "content-type" => kind = value.trim().to_owned(),
            "cookie" if value.contains("sheet=night") => sheet = Sheet::Night,
            "cookie" if value.contains("sheet=light") => sheet = Sheet::Light,
            _ => {}
        }
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    if let Some(asset) = assets().iter().find(|asset| asset.path == target) {
        return send(&mut stream, 200, asset.media_type, "", asset.bytes);
    }
    let mut request = shelf.request(method, &target);
    request.sheet = sheet;
    if kind.starts_with("application/x-www-form-urlencoded") {
        request.form = fields(&String::from_utf8_lossy(&body));
    }
    let answer = shelf.ask(&request);
    let remember = match answer.remember {
        Some(pages::Remember::Sheet(sheet)) => format!("set-cookie: sheet={}\r\n", sheet.word()),
        _ => String::new(),
    };
    match answer.content {
        Content::Html(text) => {
            send(&mut stream, answer.status, "text/html; charset=utf-8", "", text.as_bytes())
        }
        Content::Json(text) => send(&mut stream, answer.status, "application/json", "", text.as_bytes()),
        Content::Text(text) => send(&mut stream, answer.status, "text/plain", "", text.as_bytes()),
        Content::Svg(text) => send(&mut stream, answer.status, "image/svg+xml", "", text.as_bytes()),
        Content::File { media_type, bytes, .. } => send(&mut stream, answer.status, media_type, "", &bytes),
        Content::Redirect(to) => {
            send(&mut stream, 303, "text/plain", &format!("location: {to}\r\n{remember}"), b"")
        }
    }
}

fn send(stream: &mut TcpStream, status: u16, kind: &str, more: &str, bytes: &[u8]) -> std::io::Result<()> {
    const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; \
                          connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";
    write!(
        stream,
        "HTTP/1.1 {status} X\r\ncontent-type: {kind}\r\ncontent-length: {}\r\ncontent-security-policy: {POLICY}\r\n\
         connection: close\r\n{more}\r\n",
        bytes.len()
    )?;
    stream.write_all(bytes)
}
