//! Hands what the fuzzer makes up to the target `unnamed`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("unnamed", bytes));
