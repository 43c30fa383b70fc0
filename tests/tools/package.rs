//! Makes the npm package of the component, a folder beside the page that no visit fetches, and packs it.

use crate::bill;
use crate::site::{FAST, Shrink, bind, run, told};
use dotdown::component::types::declarations;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

const DESCRIPTION: &str = include_str!("../../src/component/npm/package.json");
const NODE: &str = include_str!("../../src/component/npm/node.js");
const FORMAT: &str = include_str!("../../src/book/FORMAT.md");
const README: &str = include_str!("../../src/component/npm/README.md");
const LICENSE: &str = include_str!("../../LICENSE");
const PAGE: &str = include_str!("../other_site/index.html");
const SCRIPT: &str = include_str!("../other_site/page.js");

/// The package's description with the component's version.
fn description(version: &str) -> String {
    DESCRIPTION.replace("\"0.0.0\"", &format!("\"{version}\""))
}

/// The package's README, with the page of another site as its example.
fn readme(version: &str) -> String {
    README.replace("@VERSION@", version).replace("@PAGE@", PAGE.trim()).replace("@SCRIPT@", SCRIPT.trim())
}

/// Makes the package in `out`, in place of what was there, out of the compiled component; and, if asked, its tarball
/// there, by `npm pack`.
pub(crate) fn make(core: &Path, out: &Path, shrink: &Shrink, pack: bool) -> Result<(), String> {
    if out.exists() {
        fs::remove_dir_all(out).map_err(|e| told(out, &e))?;
    }
    bind(core, out, "dotdown", shrink, FAST)?;
    let version = dotdown::component::VERSION;
    let types = out.join("dotdown.d.ts");
    let functions = fs::read_to_string(&types).map_err(|e| told(&types, &e))?;
    for (name, text) in [
        ("dotdown.d.ts", &*(functions + &declarations())),
        ("package.json", &*description(version)),
        ("node.js", NODE),
        ("README.md", &*readme(version)),
        ("FORMAT.md", FORMAT),
        ("LICENSE", LICENSE),
    ] {
        let path = out.join(name);
        fs::write(&path, text).map_err(|e| told(&path, &e))?;
    }
    bill::write("component", out)?;
    if pack {
        run(Command::new("npm").args(["pack", "--silent"]).current_dir(out).stdout(Stdio::null()))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{description, readme};

    #[test]
    fn every_place_is_filled() {
        assert!(description("1.2.3").contains("\"version\": \"1.2.3\""));
        let text = readme("1.2.3");
        assert!(
            text.contains("dotdown-1.2.3.tgz")
                && text.contains("import start, { balance, fall } from './dotdown/")
        );
        assert!(!["@VERSION@", "@PAGE@", "@SCRIPT@"].iter().any(|place| text.contains(place)));
    }
}
