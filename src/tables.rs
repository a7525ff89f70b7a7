//! Tables that tests write for the checks against other libraries in `tests/reference/`.

use std::path::Path;

/// Writes `NAME.csv` into the folder named by `TUBESIDE_TABLES`; without it, does nothing.
pub(crate) fn write(name: &str, header: &str, rows: &[String]) {
    let Some(folder) = std::env::var_os("TUBESIDE_TABLES") else {
        return;
    };
    let path = Path::new(&folder).join(format!("{name}.csv"));
    let text = format!("{header}\n{}\n", rows.join("\n"));
    std::fs::write(&path, text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
}
