//! See `stored_log` in `checks.rs`.
#![no_main]

#[path = "../checks.rs"]
mod checks;

libfuzzer_sys::fuzz_target!(|data: &[u8]| checks::stored_log(data));
