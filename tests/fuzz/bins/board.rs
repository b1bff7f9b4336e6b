//! Hands what the fuzzer makes up to the target `board`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("board", bytes));
