//! Assembles the static site: the core is bound for the browser and shrunk, the first day is written into the page,
//! everything is joined into one file besides, the addresses of what belongs to one build are stamped with it, and page
//! and service worker are told the hash of each file.

use crate::{bill, first_day};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use wasm_bindgen_cli_support::Bindgen;

/// What shrinks a wasm module; nothing where no program is there.
pub(crate) struct Shrink(Option<PathBuf>);

/// Only what the oldest browsers of the baseline understand: a newer feature would be an error here.
const BASELINE: &str = "--strip-debug --strip-producers --strip-target-features --mvp-features --enable-bulk-memory \
    --enable-bulk-memory-opt --enable-mutable-globals --enable-multivalue --enable-nontrapping-float-to-int \
    --enable-reference-types --enable-sign-ext --enable-simd";
/// Fewest bytes over the wire. Functions are not put into one another: that makes fewer bytes raw, but 6 % more packed.
pub(crate) const SMALL: &str =
    "--flatten --rereloop -Os --skip-pass=inlining-optimizing -Os --skip-pass=inlining-optimizing";
/// Fewest milliseconds; functions that the compiler did not put into one another stay so, for the bytes.
pub(crate) const FAST: &str = "-O3 --skip-pass=inlining-optimizing";

impl Shrink {
    /// From a command line's `--wasm-opt PROGRAM`; gives the words after it, too.
    pub(crate) fn from_words<'a>(words: &'a [&'a str]) -> Result<(Self, &'a [&'a str]), String> {
        match words {
            ["--wasm-opt", program, rest @ ..] => Ok((Self(Some(PathBuf::from(program))), rest)),
            ["--wasm-opt"] => Err("--wasm-opt needs a program".to_owned()),
            rest => Ok((Self(None), rest)),
        }
    }

    fn shrink(&self, module: &Path, passes: &str) -> Result<(), String> {
        let Some(program) = &self.0 else { return Ok(()) };
        let passes = BASELINE.split_whitespace().chain(passes.split_whitespace());
        run(Command::new(program).args(passes).arg(module).arg("-o").arg(module))
    }
}

/// The script that joins the page into one file, and the bundler that it uses.
pub(crate) struct Joiner {
    script: PathBuf,
    bundler: PathBuf,
}

impl Joiner {
    /// From a command line's `--join NODE_SCRIPT BUNDLER_FOLDER`.
    pub(crate) fn from_words(words: &[&str]) -> Result<Option<Self>, String> {
        match words {
            [] => Ok(None),
            ["--join", script, bundler] => Ok(Some(Self { script: script.into(), bundler: bundler.into() })),
            [word, ..] => Err(format!("{word} is not understood")),
        }
    }

    fn join(&self, site: &Path) -> Result<(), String> {
        run(Command::new("node").arg(&self.script).arg(site).arg(site.join(ONE_FILE)).arg(&self.bundler))
    }

    /// Writes a script with short names and no comments, in the JavaScript of that year.
    fn minify(&self, script: &Path, target: &str) -> Result<(), String> {
        let how = ["--minify", "--charset=utf8", "--allow-overwrite", "--log-level=warning", target];
        let out = format!("--outfile={}", script.display());
        run(Command::new(self.bundler.join("bin/esbuild")).arg(script).args(how).arg(out))
    }
}

/// The page as one file: it stands beside the others, and no visit fetches it unasked.
const ONE_FILE: &str = "dotdown.html";
const WORKER: &str = "sw.js";
/// What a host may be told to send with each file.
const HEADERS: &str = "_headers";
/// The script that the page holds inside, so that it is there whatever else does not come.
const GUARD: &str = "guard.js";
/// What belongs to one build, and has it in its address: no tab is ever given the file of another.
const STAMPED: [&str; 5] = ["app.js", "app_bg.wasm", "start.js", "style.css", "worker.js"];

pub(crate) fn run(command: &mut Command) -> Result<(), String> {
    let ended = command.status().map_err(|e| format!("{}: {e}", command.get_program().display()))?;
    ended.success().then_some(()).ok_or_else(|| format!("{} failed", command.get_program().display()))
}

/// Binds a module for the browser: `NAME.js`, `NAME.d.ts` and `NAME_bg.wasm` in `out`; the last goes through `passes` of
/// `wasm-opt`.
pub(crate) fn bind(core: &Path, out: &Path, name: &str, shrink: &Shrink, passes: &str) -> Result<(), String> {
    let mut bindgen = Bindgen::new();
    // The page hands the module over; whoever starts the package without an argument gets the file beside the script.
    bindgen.input_path(core).out_name(name).typescript(true).omit_default_module_path(name == "app");
    bindgen
        .web(true)
        .and_then(|bindgen| bindgen.generate(out))
        .map_err(|e| format!("{}: {e:#}", core.display()))?;
    remove(&out.join(format!("{name}_bg.wasm.d.ts")))?;
    shrink.shrink(&out.join(format!("{name}_bg.wasm")), passes)
}

/// Assembles the site in `out`, in place of what was there, out of the compiled core and the folder `www`.
pub(crate) fn assemble(
    core: &Path,
    www: &Path,
    out: &Path,
    shrink: &Shrink,
    joiner: Option<&Joiner>,
) -> Result<(), String> {
    let fresh = out.with_extension("fresh");
    if fresh.exists() {
        fs::remove_dir_all(&fresh).map_err(|e| told(&fresh, &e))?;
    }
    copy(www, &fresh)?;
    bind(core, &fresh, "app", shrink, SMALL)?;
    remove(&fresh.join("app.d.ts"))?;
    for (script, target) in
        [("app.js", "--format=esm"), ("start.js", "--format=esm"), (GUARD, "--target=es5")]
    {
        joiner.map_or(Ok(()), |joiner| joiner.minify(&fresh.join(script), target))?;
    }
    first_day::write(&fresh)?;
    let page = fresh.join("index.html");
    let build = &hex(&Sha256::digest(rows(&fresh, None)?.concat()))[..8];
    edit(&page, |text| text.replacen("<html ", &format!("<html data-build=\"{build}\" "), 1))?;
    if let Some(joiner) = joiner {
        joiner.join(&fresh)?;
        edit(&page, |text| text.replacen("<html ", &format!("<html data-whole=\"{ONE_FILE}\" "), 1))?;
    }
    seal(&fresh, build)?;
    bill::write("app", &fresh)?;
    let list = rows(&fresh, Some(build))?.concat();
    edit(&fresh.join(WORKER), |text| fill_worker(text, &list))?;
    if out.exists() {
        fs::remove_dir_all(out).map_err(|e| told(out, &e))?;
    }
    fs::rename(&fresh, out).map_err(|e| told(out, &e))
}

/// The names of the files that the page needs offline, in order.
pub(crate) fn offline_files(site: &Path) -> Result<Vec<String>, String> {
    let mut names = Vec::new();
    for entry in fs::read_dir(site).map_err(|e| told(site, &e))? {
        let entry = entry.map_err(|e| told(site, &e))?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let left_out = [WORKER, ONE_FILE, HEADERS].contains(&name.as_str()) || bill::FILES.contains(&&*name);
        if !left_out && !entry.path().is_dir() {
            names.push(name);
        }
    }
    names.sort_unstable();
    Ok(names)
}

/// Stamps the addresses of what belongs to this build, puts the guard into the page, and says there and in the policy
/// which bytes are meant.
fn seal(site: &Path, build: &str) -> Result<(), String> {
    let stamp = |text: &str, name: &str| text.replace(name, &format!("{name}?{build}"));
    edit(&site.join("start.js"), |text| stamp(text, "./app.js"))?;
    edit(&site.join("worker.js"), |text| stamp(text, "./app.js"))?;
    let [script, core, start, style] =
        ["app.js", "app_bg.wasm", "start.js", "style.css"].map(|name| hash(site, name));
    let path = site.join(GUARD);
    let guard = fs::read_to_string(&path).map_err(|e| told(&path, &e))?;
    remove(&path)?;
    let guard = guard.trim();
    let inline = format!("script-src 'self' 'sha256-{}'", STANDARD.encode(Sha256::digest(guard)));
    let filled = [
        ("<html ", format!("<html data-script=\"{}\" data-core=\"{}\" ", script?, core?)),
        ("href=\"style.css\"", format!("href=\"style.css?{build}\" integrity=\"{}\"", style?)),
        ("src=\"start.js\"", format!("src=\"start.js?{build}\" integrity=\"{}\"", start?)),
        ("script-src 'self'", inline),
        ("<script src=\"guard.js\">", format!("<script>{guard}")),
    ];
    filled
        .iter()
        .try_for_each(|(place, with)| edit(&site.join("index.html"), |text| text.replacen(place, with, 1)))
}

/// The hash of a file, as a browser's integrity check reads it.
fn hash(site: &Path, name: &str) -> Result<String, String> {
    let path = site.join(name);
    let body = fs::read(&path).map_err(|e| told(&path, &e))?;
    Ok(["sha256-", &STANDARD.encode(Sha256::digest(body))].concat())
}

/// The service worker's rows, one a file of the page: its address, stamped with the build where it is known, and its hash.
fn rows(site: &Path, build: Option<&str>) -> Result<Vec<String>, String> {
    let row = |name: String| {
        let address = match build {
            _ if name == "index.html" => "./".to_owned(),
            Some(build) if STAMPED.contains(&name.as_str()) => [&name, "?", build].concat(),
            _ => name.clone(),
        };
        Ok(format!("'{address}': '{}', ", hash(site, &name)?))
    };
    offline_files(site)?.into_iter().map(row).collect()
}

/// The worker's script with the list of files, and a version that changes with either.
fn fill_worker(script: &str, list: &str) -> String {
    let version = hex(&Sha256::digest([list, script].concat()));
    script.replace("@VERSION@", &version[..16]).replace("/* @FILES@ */", list)
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn copy(from: &Path, to: &Path) -> Result<(), String> {
    fs::create_dir_all(to).map_err(|e| told(to, &e))?;
    for entry in fs::read_dir(from).map_err(|e| told(from, &e))? {
        let entry = entry.map_err(|e| told(from, &e))?;
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), &target).map_err(|e| told(&target, &e))?;
        }
    }
    Ok(())
}

fn edit(path: &Path, change: impl FnOnce(&str) -> String) -> Result<(), String> {
    let text = fs::read_to_string(path).map_err(|e| told(path, &e))?;
    let changed = change(&text);
    if changed == text {
        return Err(format!("{}: there is no place for what belongs in it", path.display()));
    }
    fs::write(path, changed).map_err(|e| told(path, &e))
}

fn remove(path: &Path) -> Result<(), String> {
    fs::remove_file(path).map_err(|e| told(path, &e))
}

pub(crate) fn told(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", path.display())
}

#[cfg(test)]
mod tests {
    use super::{copy, edit, fill_worker, hash, offline_files, rows, seal};
    use std::fs;
    use std::path::{Path, PathBuf};

    /// A folder of this test's own.
    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("dotdown-tools-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).expect("a folder");
        folder
    }

    #[test]
    fn what_no_visit_fetches_is_not_kept_offline() {
        let folder = folder("files");
        for name in
            ["sw.js", "dotdown.html", "_headers", "bill.json", "licences.txt", "style.css", "index.html"]
        {
            fs::write(folder.join(name), "").expect("written");
        }
        fs::create_dir(folder.join("component")).expect("the package's folder");
        assert_eq!(offline_files(&folder).expect("listed"), ["index.html", "style.css"]);
        fs::remove_dir_all(folder).expect("removed");
    }

    /// The hash of no bytes at all: FIPS 180-4's example of SHA-256, in base 64.
    #[test]
    fn hashes_are_as_an_integrity_check_reads_them() {
        let folder = folder("hashes");
        fs::write(folder.join("index.html"), "").expect("written");
        fs::write(folder.join("app.js"), "").expect("written");
        let sum = "sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU=";
        assert_eq!(hash(&folder, "app.js").expect("hashed"), sum);
        let plain = [format!("'app.js': '{sum}', "), format!("'./': '{sum}', ")];
        assert_eq!(rows(&folder, None).expect("hashed"), plain);
        let stamped = [format!("'app.js?01ab': '{sum}', "), format!("'./': '{sum}', ")];
        assert_eq!(rows(&folder, Some("01ab")).expect("hashed"), stamped);
        fs::remove_dir_all(folder).expect("removed");
    }

    #[test]
    fn the_version_follows_each_file_and_the_worker_itself() {
        let worker = |script: &str, list: &str| fill_worker(script, list);
        let script = "const VERSION = '@VERSION@'; const FILES = { /* @FILES@ */ };";
        let one = worker(script, "'a': 'x', ");
        assert!(one.contains("{ 'a': 'x',  }") && !one.contains('@'), "{one}");
        let version = |text: &str| text.split('\'').nth(1).map(str::to_owned);
        assert_ne!(version(&one), version(&worker(script, "'a': 'y', ")));
        assert_ne!(version(&one), version(&worker(&format!("{script} "), "'a': 'x', ")));
    }

    #[test]
    fn a_page_without_the_place_is_an_error() {
        let folder = folder("place");
        let page = folder.join("index.html");
        fs::write(&page, "<html>").expect("written");
        assert!(edit(&page, |text| text.replace("<html ", "<html x ")).is_err());
        fs::remove_dir_all(folder).expect("removed");
    }

    #[test]
    fn the_shell_has_every_place_that_is_filled() {
        let www = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../www");
        let folder = folder("shell");
        copy(&www, &folder).expect("copied");
        crate::first_day::write(&folder).expect("the first day");
        let worker = fs::read_to_string(folder.join("sw.js")).expect("the worker");
        assert!(worker.contains("@VERSION@") && worker.contains("/* @FILES@ */"));
        let page = fs::read_to_string(folder.join("index.html")).expect("the page");
        assert!(page.contains("<html ") && page.contains("data-result"));
        for name in ["app.js", "app_bg.wasm"] {
            fs::write(folder.join(name), "").expect("written");
        }
        seal(&folder, "0123abcd").expect("sealed");
        let page = fs::read_to_string(folder.join("index.html")).expect("the page");
        assert!(!page.contains("guard.js\"") && !folder.join("guard.js").exists());
        for name in ["start.js", "style.css"] {
            let sealed =
                format!("=\"{name}?0123abcd\" integrity=\"{}\"", hash(&folder, name).expect("hashed"));
            assert!(page.contains(&sealed), "{sealed}");
        }
        fs::remove_dir_all(folder).expect("removed");
    }
}
