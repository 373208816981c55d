//! The `sheetwright` program.

fn main() {}
