//! Hands what the fuzzer makes up to the target `es51922`.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| lullboard_fuzz::targets::run("es51922", bytes));
