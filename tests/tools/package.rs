//! Makes the npm package of the component, a folder beside the page that no visit fetches.

use crate::site::{FAST, Shrink, bind};
use dotdown::component::types::declarations;
use std::fs;
use std::path::Path;

/// Makes the package in `out`, in place of what was there, out of the compiled component.
pub(crate) fn make(core: &Path, out: &Path, shrink: &Shrink) -> Result<(), String> {
    if out.exists() {
        fs::remove_dir_all(out).map_err(|e| format!("{}: {e}", out.display()))?;
    }
    bind(core, out, "dotdown", shrink, FAST)?;
    let types = out.join("dotdown.d.ts");
    let functions = fs::read_to_string(&types).map_err(|e| format!("{}: {e}", types.display()))?;
    fs::write(&types, functions + &declarations()).map_err(|e| format!("{}: {e}", types.display()))
}
