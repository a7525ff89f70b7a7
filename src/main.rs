//! The `tubeside` program.

fn main() {}
