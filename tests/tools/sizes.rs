//! Bytes over the wire: each file of a first visit raw and by brotli, and their sum.

use crate::site::offline_files;
use std::fs;
use std::path::Path;

/// Bytes by brotli, quality 11 and a window of 22 bits, as a host would send them.
fn brotli(body: &[u8]) -> Result<usize, String> {
    let params = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &*body, &mut packed, &params).map_err(|e| e.to_string())?;
    Ok(packed.len())
}

/// Prints a table of the site.
pub(crate) fn print(site: &Path) -> Result<(), String> {
    println!("{:>9} {:>9}", "raw", "brotli");
    let weigh = |name: &str| -> Result<(usize, usize), String> {
        let body = fs::read(site.join(name)).map_err(|e| format!("{name}: {e}"))?;
        let row = (body.len(), brotli(&body)?);
        println!("{:>9} {:>9}  {name}", row.0, row.1);
        Ok(row)
    };
    let mut visit = (0, 0);
    for name in offline_files(site)?.iter().map(String::as_str).chain(["sw.js"]) {
        let (raw, packed) = weigh(name)?;
        visit = (visit.0 + raw, visit.1 + packed);
    }
    println!("{:>9} {:>9}  a first visit in all", visit.0, visit.1);
    if site.join("dotdown.html").exists() {
        println!("not of a visit:");
        weigh("dotdown.html")?;
    }
    if site.join("component").exists() {
        println!("the npm package, for others:");
        weigh("component/dotdown.js")?;
        weigh("component/dotdown_bg.wasm")?;
    }
    Ok(())
}
