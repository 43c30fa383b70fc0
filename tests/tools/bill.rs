//! What is shipped besides our own code: the bill of materials (`CycloneDX` 1.5, with the checksums of `Cargo.lock`) and the
//! licences' own texts. Both follow from the lock file alone, so that two builds have the same.

use crate::site::told;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

/// The bill, and the texts of all licences.
pub(crate) const FILES: [&str; 2] = ["bill.json", "licences.txt"];
const LOCK: &str = include_str!("../../Cargo.lock");

/// A package whose code is in a module.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Package {
    name: String,
    version: String,
    /// As SPDX writes it.
    licence: String,
    /// SHA-256 of its source.
    checksum: String,
    /// The texts of its licences, by the names of their files.
    texts: BTreeMap<String, String>,
}

/// What `cargo` answers of our crate.
fn cargo(words: &[&str]) -> Result<Vec<u8>, String> {
    let manifest = concat!(env!("CARGO_MANIFEST_DIR"), "/../../Cargo.toml");
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or("cargo".into()));
    let came = cargo.args(words).args(["--locked", "--manifest-path", manifest]).output();
    let came = came.map_err(|e| format!("cargo {}: {e}", words[0]))?;
    let why = || String::from_utf8_lossy(&came.stderr).into_owned();
    came.status.success().then_some(came.stdout.clone()).ok_or_else(why)
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or_default()
}

/// The packages in the module of a feature, in order: what is linked, macros left out.
fn shipped(feature: &str) -> Result<Vec<Package>, String> {
    let tree =
        ["tree", "--package", "dotdown", "--target", "wasm32-unknown-unknown", "--no-default-features"];
    let shown =
        ["--edges", "normal,no-proc-macro", "--prefix", "none", "--format", "{p}", "--features", feature];
    let tree = cargo(&[&tree[..], &shown[..]].concat())?;
    let tree = String::from_utf8_lossy(&tree);
    let linked: BTreeSet<(&str, &str)> = tree
        .lines()
        .filter_map(|line| line.split_once(" v"))
        .map(|(name, rest)| (name, first(rest)))
        .collect();
    let all = cargo(&["metadata", "--format-version", "1", "--filter-platform", "wasm32-unknown-unknown"])?;
    let all: Value = serde_json::from_slice(&all).map_err(|e| e.to_string())?;
    let theirs = |one: &&Value| {
        one["source"].is_string() && linked.contains(&(text(&one["name"]), text(&one["version"])))
    };
    let mut packages: Vec<Package> =
        list(&all["packages"]).filter(theirs).map(package).collect::<Result<_, _>>()?;
    packages.sort_unstable();
    Ok(packages)
}

/// The first word of a text.
fn first(text: &str) -> &str {
    text.split(' ').next().unwrap_or_default()
}

fn package(one: &Value) -> Result<Package, String> {
    let (name, version) = (text(&one["name"]), text(&one["version"]));
    let entry = format!("name = \"{name}\"\nversion = \"{version}\"\n");
    let checksum = LOCK.split("[[package]]\n").find(|part| part.starts_with(&entry));
    let checksum = checksum.and_then(|part| part.split_once("checksum = \"")?.1.get(..64));
    let folder = Path::new(text(&one["manifest_path"])).parent().unwrap_or(Path::new(""));
    let mut texts = BTreeMap::new();
    // Some keep them in a folder of that name.
    let folders = [folder.to_owned(), folder.join("LICENSES")];
    let files = folders.iter().flat_map(|folder| fs::read_dir(folder).into_iter().flatten());
    for path in files.filter_map(Result::ok).map(|file| file.path()).filter(|path| path.is_file()) {
        let file_name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let upper = file_name.to_uppercase();
        let named = ["LICENSE", "LICENCE", "COPYING", "NOTICE"].iter().any(|start| upper.starts_with(start));
        if named || path.starts_with(&folders[1]) {
            let body = fs::read_to_string(&path).map_err(|e| told(&path, &e))?;
            texts.insert(file_name, body.replace("\r\n", "\n"));
        }
    }
    Ok(Package {
        name: name.to_owned(),
        version: version.to_owned(),
        // An old way to write "or".
        licence: text(&one["license"]).replace('/', " OR "),
        checksum: checksum.ok_or_else(|| format!("{name} {version} has no checksum"))?.to_owned(),
        texts,
    })
}

/// Writes both files beside the module of a feature.
pub(crate) fn write(feature: &str, folder: &Path) -> Result<(), String> {
    let packages = shipped(feature)?;
    let component = |one: &Package| {
        json!({
            "type": "library", "name": one.name, "version": one.version,
            "purl": format!("pkg:cargo/{}@{}", one.name, one.version),
            "licenses": [{ "expression": one.licence }],
            "hashes": [{ "alg": "SHA-256", "content": one.checksum }],
        })
    };
    let ours = json!({ "type": "application", "name": "dotdown", "version": dotdown::component::VERSION, "licenses": [{ "expression": "MIT" }] });
    let bill = json!({
        "bomFormat": "CycloneDX", "specVersion": "1.5", "version": 1, "metadata": { "component": ours },
        "components": packages.iter().map(component).collect::<Vec<_>>(),
    });
    let bill = serde_json::to_string_pretty(&bill).map_err(|e| e.to_string())? + "\n";
    for (name, body) in FILES.into_iter().zip([bill, licences(&packages)]) {
        fs::write(folder.join(name), body).map_err(|e| told(folder, &e))?;
    }
    Ok(())
}

/// Every licence's text, each once, under the packages that have it.
fn licences(packages: &[Package]) -> String {
    let mut holders: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut out =
        "What Dotdown is made of besides its own code, and the texts of the licences.\n\n".to_owned();
    for one in packages {
        let _ = writeln!(out, "{} {}: {}", one.name, one.version, one.licence);
        for body in one.texts.values() {
            holders.entry(body.trim()).or_default().push(format!("{} {}", one.name, one.version));
        }
    }
    for (body, names) in holders {
        let _ = writeln!(out, "\n{}\n{}\n\n{body}", "-".repeat(80), names.join(", "));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{shipped, text};
    use dotdown::page::{Page, Screen};
    use serde_json::Value;
    use std::fs;
    use std::path::Path;

    #[test]
    fn the_about_screen_names_all_that_is_shipped_with_its_licence() {
        let mut page = Page::new();
        page.screen = Screen::About;
        let shown = dotdown::view::screen(&page);
        let rows: Vec<(&str, &str)> = shown
            .split_once("data-result=\"shipped\">")
            .and_then(|(_, rest)| rest.split_once("</ul>"))
            .map(|(rows, _)| rows.split("<li>").filter_map(|row| row.split_once(": ")).collect())
            .expect("the list");
        for one in shipped("app").expect("cargo tells") {
            let row = rows.iter().find(|(names, _)| names.split(", ").any(|name| name == one.name));
            let (_, licence) = row.unwrap_or_else(|| panic!("{} ({}) is not shown", one.name, one.licence));
            let plain = |text: &str| {
                let mut words: Vec<String> = text
                    .split(|c: char| !c.is_alphanumeric() && c != '-' && c != '.')
                    .filter(|word| !["OR", "or", "AND", "and", "", "li"].contains(word))
                    .map(|word| word.trim_end_matches('.').to_owned())
                    .collect();
                words.sort_unstable();
                words
            };
            // A version's point would stand as a decimal sign, which is the reader's to choose.
            let wanted = one.licence.replace("-2.0", " 2").replace("-3.0", " 3");
            assert_eq!(plain(licence), plain(&wanted), "{}", one.name);
        }
        let named: usize = rows.iter().map(|(names, _)| names.split(", ").count()).sum();
        assert_eq!(named, shipped("app").expect("cargo tells").len(), "and nothing else");
    }

    /// Whatever builds, tests or measures comes with a hash in a lock file of ours.
    #[test]
    fn every_lock_file_has_a_hash_for_each_package_that_is_fetched() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
        let read = |path: &str| fs::read_to_string(root.join(path)).unwrap_or_else(|e| panic!("{path}: {e}"));
        for folder in ["", "tests/fuzz/", "tests/tools/drivers/", "tests/bench/rope/", "tests/bench/golden/"]
        {
            let lock = read(&format!("{folder}Cargo.lock"));
            let fetched: Vec<&str> =
                lock.split("[[package]]\n").filter(|part| part.contains("\nsource = ")).collect();
            assert!(fetched.len() > 5, "{folder}");
            for part in fetched {
                assert!(part.contains("\nchecksum = \""), "{folder}Cargo.lock: {part}");
            }
        }
        for folder in ["tests/browser", "tests/tools/npm", "tests/tools/lighthouse"] {
            let lock: Value =
                serde_json::from_str(&read(&format!("{folder}/package-lock.json"))).expect("JSON");
            let packages = lock["packages"].as_object().expect("packages");
            for (name, one) in packages.iter().filter(|(name, _)| !name.is_empty()) {
                assert!(text(&one["integrity"]).starts_with("sha512-"), "{folder}: {name}");
            }
            assert!(packages.len() > 1, "{folder}");
        }
    }
}
