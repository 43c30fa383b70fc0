//! The house holds together: which room uses which is what the table in DEVELOPERS.md says, no arrow runs up, and the page
//! names every room and no path that is gone. No outside source: these are rules of this repository.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

type Arrows = BTreeMap<String, BTreeSet<String>>;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn guide() -> String {
    fs::read_to_string(root().join("DEVELOPERS.md")).expect("the guide")
}

/// Every Rust file below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    entries
        .flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] })
        .filter(|path| path.extension().is_some_and(|end| end == "rs"))
        .collect()
}

/// The room of a file: the first folder or file below `src`.
fn room(file: &Path) -> String {
    let below = file.strip_prefix(root().join("src")).expect("below src");
    let first = below.components().next().expect("a name").as_os_str().to_string_lossy();
    first.trim_end_matches(".rs").to_owned()
}

/// The names behind each `crate::` of a text, comments and unit tests left out.
fn named(text: &str) -> BTreeSet<String> {
    let code = text.split("\n#[cfg(test)]\n").next().unwrap_or_default();
    let code: String = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let word = |text: &str| -> String {
        text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    code.split("crate::")
        .skip(1)
        .flat_map(|rest| match rest.strip_prefix('{') {
            Some(list) => list.split('}').next().unwrap_or_default().split(',').map(word).collect(),
            None => vec![word(rest)],
        })
        .filter(|name| !name.is_empty())
        .collect()
}

fn arrows_of_the_code() -> Arrows {
    let mut arrows = Arrows::new();
    for file in files(&root().join("src")) {
        let room = room(&file);
        if room == "lib" || file.ends_with("tests.rs") {
            continue;
        }
        let mut used = named(&fs::read_to_string(&file).expect("a file"));
        used.remove(&room);
        arrows.entry(room).or_default().extend(used);
    }
    arrows
}

/// The table's rows, from the ground up: a room, and what it uses.
fn arrows_of_the_guide() -> Vec<(String, BTreeSet<String>)> {
    let guide = guide();
    let (_, table) = guide.split_once("| room | uses | never |").expect("the table of arrows");
    let rows = table.lines().skip(2).take_while(|line| line.starts_with('|'));
    let names =
        |cell: &str| -> BTreeSet<String> { cell.split('`').skip(1).step_by(2).map(str::to_owned).collect() };
    rows.map(|row| {
        let cells: Vec<&str> = row.split('|').collect();
        (names(cells[1]).into_iter().next().expect("a room"), names(cells[2]))
    })
    .collect()
}

#[test]
fn the_table_of_arrows_is_what_the_code_does() {
    let (code, guide) = (arrows_of_the_code(), arrows_of_the_guide());
    assert!(code.len() > 10, "{code:?}");
    let faults: Vec<String> = guide
        .iter()
        .flat_map(|(room, told)| {
            let used = code.get(room).cloned().unwrap_or_default();
            let undrawn = used.difference(told).map(|other| format!("{room} uses {other}: not in the table"));
            let unused = told.difference(&used).map(|other| format!("{room} does not use {other}"));
            undrawn.chain(unused).collect::<Vec<_>>()
        })
        .collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let rooms: BTreeSet<&String> = guide.iter().map(|(room, _)| room).collect();
    assert_eq!(rooms, code.keys().collect(), "the table names every room, and no other");
}

#[test]
fn no_arrow_runs_up() {
    let mut below = BTreeSet::new();
    for (room, told) in arrows_of_the_guide() {
        let up: Vec<&String> = told.difference(&below).collect();
        assert!(up.is_empty(), "{room} uses {up:?}, which stand above it");
        below.insert(room);
    }
}

/// What stands side by side in a folder, below its door `mod.rs`: the name of each, and its files.
fn neighbours(folder: &Path) -> BTreeMap<String, Vec<PathBuf>> {
    let mut found: BTreeMap<String, Vec<PathBuf>> = BTreeMap::new();
    for file in files(folder).into_iter().filter(|file| !file.ends_with("tests.rs")) {
        let below = file.strip_prefix(folder).expect("below the folder").with_extension("");
        let first = below.components().next().expect("a name").as_os_str().to_string_lossy().into_owned();
        if first != "mod" && first != "lib" {
            found.entry(first).or_default().push(file);
        }
    }
    found
}

/// The neighbours in `folder` that a file uses, by `super::` or by the folder's own path.
fn used_beside(folder: &Path, file: &Path) -> BTreeSet<String> {
    let below = file.strip_prefix(folder).expect("below the folder").components().count() - 1;
    let supers = "super::".repeat(below + usize::from(!file.ends_with("mod.rs")));
    let own: Vec<_> = folder.strip_prefix(root().join("src")).expect("below src").components().collect();
    let path: String =
        own.iter().map(|part| part.as_os_str().to_string_lossy().into_owned() + "::").collect();
    let text = fs::read_to_string(file).expect("a file").replace("pub(super)", "");
    let here = text.replace(&format!("crate::{path}"), "\u{1}");
    let mut here = here.replace("crate::", "elsewhere::");
    if !supers.is_empty() {
        // The longest chain first: a shorter one leads to a nearer folder.
        here = here.replace(&format!("super::{supers}"), "elsewhere::").replace(&supers, "\u{1}");
    }
    named(&here.replace('\u{1}', "crate::"))
}

/// No file needs itself by way of its neighbours, in any folder.
#[test]
fn no_circle_among_files() {
    let src = root().join("src");
    let folders: BTreeSet<PathBuf> =
        files(&src).iter().filter_map(|file| file.parent().map(Path::to_owned)).collect();
    assert!(folders.len() > 15, "{folders:?}");
    for folder in folders {
        let mut needs: BTreeMap<String, BTreeSet<String>> = neighbours(&folder)
            .into_iter()
            .map(|(name, files)| {
                let mut used: BTreeSet<String> =
                    files.iter().flat_map(|file| used_beside(&folder, file)).collect();
                used.remove(&name);
                (name, used)
            })
            .collect();
        while !needs.is_empty() {
            let left: BTreeSet<String> = needs.keys().cloned().collect();
            needs.retain(|_, parts| !parts.is_disjoint(&left));
            assert!(needs.len() < left.len(), "a circle in {}: {needs:?}", folder.display());
        }
    }
}

/// A part of the results is made of the plan and of parts before it: none is handed the whole.
#[test]
fn no_part_of_the_results_takes_the_whole() {
    for file in files(&root().join("src/results")).iter().filter(|file| !file.ends_with("mod.rs")) {
        let text = fs::read_to_string(file).expect("a file");
        assert!(!text.contains("&Results"), "{} takes the whole", file.display());
    }
}

/// The look itself finds what it is for.
#[test]
fn names_are_read_from_code_alone() {
    let text = "//! crate::web\nuse crate::{kit, units::Units};\nfn f() { crate::plan::link::read(\"\") }\n#[cfg(test)]\nmod tests { use crate::view; }";
    assert_eq!(named(text), ["kit", "plan", "units"].map(str::to_owned).into());
}

#[test]
fn every_path_that_the_guide_names_is_there() {
    let guide = guide();
    let mut paths = 0;
    for word in guide.split('`').skip(1).step_by(2) {
        let first = word.split_whitespace().next().unwrap_or_default();
        let is_path = ["src/", "www/", "tests/"].iter().any(|start| first.starts_with(start));
        if is_path && !first.contains(['*', '<']) {
            assert!(root().join(first).exists(), "{first} is gone");
            paths += 1;
        }
    }
    assert!(paths > 8, "{paths} paths");
}
