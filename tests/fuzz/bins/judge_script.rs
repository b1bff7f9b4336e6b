//! Hands what the fuzzer makes up to the target `judge_script`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("judge_script", bytes));
