//! One entry to one line of JSON and back.
