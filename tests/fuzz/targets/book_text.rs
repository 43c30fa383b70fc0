//! See `book_text` in `checks.rs`.
#![no_main]

#[path = "../checks.rs"]
mod checks;

libfuzzer_sys::fuzz_target!(|data: &[u8]| checks::book_text(data));
