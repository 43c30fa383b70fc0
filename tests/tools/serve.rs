//! A small static file server for this machine alone: `./build.sh serve` and the browser tests run it.
//!
//! `serve FOLDER [--port N] [--under /sub/path] [--log FILE]` serves the folder on 127.0.0.1, prints its address as
//! one line, and logs each request line to FILE. The headers in the folder's file `_headers` go with each file. Port 0 takes any free port. When a file `NAME.br` lies beside a
//! requested file and the browser accepts brotli, that is sent in its place. Nothing is cached, no path leaves the
//! folder, and nothing but GET and HEAD is answered.

use std::fs;
use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// The longest request line or header line that is read.
const MAX_LINE: u64 = 8192;
/// The most header lines that are read.
const MAX_HEADERS: usize = 100;

/// What the command line asked for.
struct Options {
    folder: PathBuf,
    port: u16,
    under: String,
    headers: String,
    log: Option<Mutex<fs::File>>,
}

/// The parts of a request that matter here.
struct Request {
    method: String,
    target: String,
    brotli: bool,
    close: bool,
}

/// Serves until it is ended.
pub(crate) fn run(words: impl Iterator<Item = String>) -> Result<(), String> {
    let options = Arc::new(options(words)?);
    let listener = TcpListener::bind(("127.0.0.1", options.port)).map_err(|error| {
        format!("port {} cannot be opened ({error}); choose another with PORT=8001", options.port)
    })?;
    let address = listener.local_addr().map_err(|error| error.to_string())?;
    println!("http://localhost:{}{}/", address.port(), options.under);
    io::stdout().flush().map_err(|error| error.to_string())?;
    for stream in listener.incoming().flatten() {
        let options = Arc::clone(&options);
        std::thread::spawn(move || {
            // A browser that hangs up in the middle is no fault of ours.
            let _ = converse(&stream, &options);
        });
    }
    Ok(())
}

fn options(mut words: impl Iterator<Item = String>) -> Result<Options, String> {
    let mut folder = None;
    let (mut port, mut under, mut log) = (8000, String::new(), None);
    while let Some(word) = words.next() {
        let mut value = || words.next().ok_or_else(|| format!("{word} needs a value"));
        match word.as_str() {
            "--port" => {
                port = value()?.parse().map_err(|_| "--port needs a number from 0 to 65535".to_owned())?;
            }
            "--under" => value()?.trim_end_matches('/').clone_into(&mut under),
            "--log" => {
                let path = value()?;
                let file = fs::OpenOptions::new().create(true).append(true).open(&path);
                log = Some(Mutex::new(file.map_err(|error| format!("{path}: {error}"))?));
            }
            _ if folder.is_none() && !word.starts_with('-') => folder = Some(word),
            _ => return Err(format!("{word} is not understood")),
        }
    }
    if !under.is_empty() && !under.starts_with('/') {
        return Err("--under needs a path that starts with /".to_owned());
    }
    let folder = folder.ok_or("usage: serve FOLDER [--port N] [--under /sub/path] [--log FILE]")?;
    let folder = fs::canonicalize(&folder).map_err(|error| format!("{folder}: {error}"))?;
    // As hosts read it: what is indented belongs to the path above, here to every one.
    let headers = fs::read_to_string(folder.join("_headers")).unwrap_or_default();
    let headers = headers
        .lines()
        .filter(|line| line.starts_with(' '))
        .map(|line| [line.trim(), "\r\n"].concat())
        .collect();
    Ok(Options { folder, port, under, headers, log })
}

/// Answers the requests of one connection until either side closes it.
fn converse(stream: &TcpStream, options: &Options) -> io::Result<()> {
    stream.set_read_timeout(Some(Duration::from_secs(30)))?;
    stream.set_nodelay(true)?;
    let mut reader = BufReader::new(stream);
    while let Some(request) = read_request(&mut reader)? {
        if let Some(log) = &options.log
            && let Ok(mut file) = log.lock()
        {
            writeln!(file, "{} {}", request.method, request.target)?;
        }
        answer(stream, options, &request)?;
        if request.close {
            break;
        }
    }
    Ok(())
}

/// Reads one request's head; `None` at the end of the connection.
fn read_request(reader: &mut impl BufRead) -> io::Result<Option<Request>> {
    let Some(line) = read_line(reader)? else { return Ok(None) };
    let mut words = line.split_whitespace();
    let (Some(method), Some(target)) = (words.next(), words.next()) else { return Ok(None) };
    let mut request =
        Request { method: method.to_owned(), target: target.to_owned(), brotli: false, close: false };
    for _ in 0..MAX_HEADERS {
        let Some(line) = read_line(reader)? else { return Ok(None) };
        if line.is_empty() {
            return Ok(Some(request));
        }
        let line = line.to_ascii_lowercase();
        match line.split_once(':') {
            Some(("accept-encoding", list)) => request.brotli = list.split(',').any(|one| one.trim() == "br"),
            Some(("connection", what)) => request.close = what.trim() == "close",
            _ => {}
        }
    }
    Ok(None)
}

fn read_line(reader: &mut impl BufRead) -> io::Result<Option<String>> {
    let mut line = String::new();
    let read = reader.by_ref().take(MAX_LINE).read_line(&mut line)?;
    let whole = read > 0 && line.ends_with('\n');
    Ok(whole.then(|| line.trim_end().to_owned()))
}

fn answer(stream: &TcpStream, options: &Options, request: &Request) -> io::Result<()> {
    let path = request.target.split(['?', '#']).next().unwrap_or_default();
    if request.method != "GET" && request.method != "HEAD" {
        return send(
            stream,
            request,
            "405 Method Not Allowed",
            "text/plain; charset=utf-8",
            "",
            b"GET and HEAD only\n",
        );
    }
    if !options.under.is_empty() && path == options.under {
        let location = format!("Location: {}/\r\n", options.under);
        return send(
            stream,
            request,
            "301 Moved Permanently",
            "text/plain; charset=utf-8",
            &location,
            b"moved\n",
        );
    }
    let Some(file) = path.strip_prefix(&options.under).and_then(|rest| find(&options.folder, rest)) else {
        return send(stream, request, "404 Not Found", "text/plain; charset=utf-8", "", b"no such file\n");
    };
    let mut packed = file.clone().into_os_string();
    packed.push(".br");
    if request.brotli
        && let Ok(body) = fs::read(&packed)
    {
        let extra = ["Content-Encoding: br\r\n", &options.headers].concat();
        return send(stream, request, "200 OK", mime(&file), &extra, &body);
    }
    match fs::read(&file) {
        Ok(body) => send(stream, request, "200 OK", mime(&file), &options.headers, &body),
        Err(_) => send(stream, request, "404 Not Found", "text/plain; charset=utf-8", "", b"no such file\n"),
    }
}

fn send(
    mut stream: &TcpStream,
    request: &Request,
    status: &str,
    mime: &str,
    extra: &str,
    body: &[u8],
) -> io::Result<()> {
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {mime}\r\nContent-Length: {}\r\nCache-Control: no-store\r\n\
         Vary: Accept-Encoding\r\n{extra}\r\n",
        body.len()
    );
    let mut whole = head.into_bytes();
    if request.method != "HEAD" {
        whole.extend_from_slice(body);
    }
    stream.write_all(&whole)
}

/// The file that a path under the folder names; `None` for anything outside it, hidden, or not there.
fn find(folder: &Path, path: &str) -> Option<PathBuf> {
    let path = unescape(path.strip_prefix('/')?)?;
    let mut file = folder.to_path_buf();
    for part in path.split('/') {
        let plain = !part.starts_with('.') && !part.contains(['\\', ':', '\0']);
        plain.then(|| file.push(part))?;
    }
    if path.is_empty() || path.ends_with('/') {
        file.push("index.html");
    }
    let file = fs::canonicalize(file).ok()?;
    (file.starts_with(folder) && file.is_file()).then_some(file)
}

/// Undoes percent escapes; `None` when they are malformed.
fn unescape(text: &str) -> Option<String> {
    let mut bytes = Vec::with_capacity(text.len());
    let mut rest = text.bytes();
    while let Some(byte) = rest.next() {
        if byte == b'%' {
            let digits = [rest.next()?, rest.next()?];
            bytes.push(u8::from_str_radix(std::str::from_utf8(&digits).ok()?, 16).ok()?);
        } else {
            bytes.push(byte);
        }
    }
    String::from_utf8(bytes).ok()
}

fn mime(file: &Path) -> &'static str {
    match file.extension().and_then(|name| name.to_str()).unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "wasm" => "application/wasm",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "ts" | "txt" | "md" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::{find, unescape};
    use std::path::Path;

    #[test]
    fn no_path_leaves_the_folder() {
        let here = std::fs::canonicalize(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../www"))
            .expect("www is there");
        assert!(find(&here, "/index.html").is_some());
        assert!(find(&here, "/").is_some());
        for path in
            ["/../Cargo.toml", "/%2e%2e/Cargo.toml", "/..%2fCargo.toml", "//etc/passwd", "/%00", "/%2", "x"]
        {
            assert!(find(&here, path).is_none(), "{path}");
        }
    }

    #[test]
    fn percent_escapes_are_undone() {
        assert_eq!(unescape("a%20b").as_deref(), Some("a b"));
        assert_eq!(unescape("%zz"), None);
    }
}
