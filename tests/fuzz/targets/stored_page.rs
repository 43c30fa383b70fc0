//! See `stored_page` in `checks.rs`.
#![no_main]

#[path = "../checks.rs"]
mod checks;

libfuzzer_sys::fuzz_target!(|data: &[u8]| checks::stored_page(data));
