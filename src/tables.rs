//! Tables that tests write for the checks against other libraries in `tests/reference/`.

use std::path::Path;

/// Writes a file of that name into a folder of that name in the folder named by
/// `TUBESIDE_TABLES`; without it, does nothing.
pub(crate) fn write_file(folder: &str, name: &str, text: &str) {
    let Some(tables) = std::env::var_os("TUBESIDE_TABLES") else {
        return;
    };
    let folder = Path::new(&tables).join(folder);
    let path = folder.join(name);
    std::fs::create_dir_all(&folder)
        .and_then(|()| std::fs::write(&path, text))
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
}

/// Writes `NAME.csv` into the folder named by `TUBESIDE_TABLES`; without it, does nothing.
pub(crate) fn write(name: &str, header: &str, rows: &[String]) {
    let Some(folder) = std::env::var_os("TUBESIDE_TABLES") else {
        return;
    };
    let path = Path::new(&folder).join(format!("{name}.csv"));
    let text = format!("{header}\n{}\n", rows.join("\n"));
    std::fs::write(&path, text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
}
