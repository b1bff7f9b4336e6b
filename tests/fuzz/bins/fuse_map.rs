//! Hands what the fuzzer makes up to the target `fuse_map`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("fuse_map", bytes));
