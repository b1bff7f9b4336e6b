//! Licence expressions as crates write them (SPDX, and the older slash for OR).

/// What may be in a binary that we hand out. MPL-2.0 asks that its files can be had: the notices
/// say where.
const TAKEN: [&str; 10] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Zlib",
];

/// Whether the licences that we take are enough for it.
pub(crate) fn taken(expression: &str) -> bool {
    holds(expression, &|licence| TAKEN.contains(&licence))
}

/// Whether this licence alone is enough for it.
pub(crate) fn may_be(expression: &str, licence: &str) -> bool {
    holds(expression, &|other| other == licence)
}

fn holds(expression: &str, accepts: &dyn Fn(&str) -> bool) -> bool {
    let spaced = expression
        .replace('/', " OR ")
        .replace('(', " ( ")
        .replace(')', " ) ");
    let mut words: Vec<&str> = spaced.split_whitespace().rev().collect();
    let held = any(&mut words, accepts);
    held && words.is_empty()
}

fn any(words: &mut Vec<&str>, accepts: &dyn Fn(&str) -> bool) -> bool {
    let mut held = all(words, accepts);
    while words.last() == Some(&"OR") {
        words.pop();
        held |= all(words, accepts);
    }
    held
}

fn all(words: &mut Vec<&str>, accepts: &dyn Fn(&str) -> bool) -> bool {
    let mut held = one(words, accepts);
    while words.last() == Some(&"AND") {
        words.pop();
        held &= one(words, accepts);
    }
    held
}

/// A licence, an exception to it only adding to what is allowed; or what stands in brackets.
fn one(words: &mut Vec<&str>, accepts: &dyn Fn(&str) -> bool) -> bool {
    match words.pop() {
        Some("(") => {
            let held = any(words, accepts);
            words.pop() == Some(")") && held
        }
        Some(licence) => {
            if words.last() == Some(&"WITH") {
                words.truncate(words.len().saturating_sub(2));
            }
            accepts(licence)
        }
        None => false,
    }
}

#[test]
fn an_expression_is_read_as_it_binds() {
    for expression in [
        "MIT",
        "MIT OR GPL-3.0-only",
        "GPL-3.0-only OR MIT AND Zlib",
        "Apache-2.0 WITH LLVM-exception",
        "(MIT OR GPL-3.0-only) AND Unicode-3.0",
        "Unlicense/MIT",
    ] {
        assert!(taken(expression), "{expression}");
    }
    for expression in [
        "",
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT OR Zlib) AND LGPL-2.1",
        "(MIT",
        "MIT Zlib",
    ] {
        assert!(!taken(expression), "{expression}");
    }
    assert!(may_be("MIT OR Apache-2.0", "MIT") && !may_be("Apache-2.0 AND MIT", "MIT"));
}
