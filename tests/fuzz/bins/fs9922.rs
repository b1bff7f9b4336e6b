//! Hands what the fuzzer makes up to the target `fs9922`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("fs9922", bytes));
