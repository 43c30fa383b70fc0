//! Makes the npm package of the component, a folder beside the page that no visit fetches.

use crate::site::{FAST, Shrink, bind};
use std::fs;
use std::path::Path;

/// Makes the package in `out`, in place of what was there, out of the compiled component.
pub(crate) fn make(core: &Path, out: &Path, shrink: &Shrink) -> Result<(), String> {
    if out.exists() {
        fs::remove_dir_all(out).map_err(|e| format!("{}: {e}", out.display()))?;
    }
    bind(core, out, "dotdown", shrink, FAST)
}
