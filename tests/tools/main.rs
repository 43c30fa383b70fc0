//! The project's own tools, which `build.sh` builds and runs; nothing here is shipped.
//!
//! - [`site`]: the built core and `www/` become the static site.
//! - [`package`]: the built component becomes the npm package.
//! - [`bill`]: what is shipped besides our own code, and its licences.
//! - [`first_day`]: what a first visitor sees before the core has come.
//! - [`serve`]: a file server for this machine alone.
//! - [`sizes`]: bytes over the wire.
//! - [`tally`]: what a test run came to, and where its time went.

mod bill;
mod first_day;
mod package;
mod serve;
mod site;
mod sizes;
mod tally;

use std::path::Path;
use std::process::ExitCode;

const USAGE: &str = "usage:
  tools site CORE.wasm WWW OUT [--wasm-opt PROGRAM] [--join NODE_SCRIPT BUNDLER_FOLDER]
  tools package CORE.wasm OUT [--wasm-opt PROGRAM] [--pack]
  tools module CORE.wasm OUT NAME [--wasm-opt PROGRAM]
  tools serve FOLDER [--port N] [--under /sub/path] [--log FILE]
  tools sizes SITE
  tools tally LOG";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["site", core, www, out, rest @ ..] => site::Shrink::from_words(rest)
            .and_then(|(shrink, rest)| Ok((shrink, site::Joiner::from_words(rest)?)))
            .and_then(|(shrink, joiner)| {
                site::assemble(Path::new(core), Path::new(www), Path::new(out), &shrink, joiner.as_ref())
            }),
        ["package", core, out, rest @ ..] => site::Shrink::from_words(rest).and_then(|(shrink, rest)| {
            package::make(Path::new(core), Path::new(out), &shrink, rest == ["--pack"])
        }),
        ["module", core, out, name, rest @ ..] => site::Shrink::from_words(rest)
            .and_then(|(shrink, _)| site::bind(Path::new(core), Path::new(out), name, &shrink, site::FAST)),
        ["serve", rest @ ..] => serve::run(rest.iter().map(|word| (*word).to_owned())),
        ["sizes", site] => sizes::print(Path::new(site)),
        ["tally", log] => tally::print(Path::new(log)),
        _ => Err(USAGE.to_owned()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("tools: {why}");
            ExitCode::FAILURE
        }
    }
}
