//! Embeds the shipped checklists anew when a file is added to their folder, which the compiler
//! would not see by itself; and reads them as YAML beforehand, so that a start need not.

#[path = "src/checklist/packed.rs"]
#[allow(dead_code, reason = "nothing is unpacked here")]
mod packed;
#[path = "src/checklist/tree.rs"]
#[allow(dead_code, reason = "what is wrong with a file is told by the program")]
mod tree;

use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs};

const FOLDER: &str = "checklists";

fn main() -> Result<(), Box<dyn Error>> {
    for seen in [
        FOLDER,
        "build.rs",
        "src/checklist/packed.rs",
        "src/checklist/tree.rs",
    ] {
        println!("cargo:rerun-if-changed={seen}");
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("no folder to write to")?);
    let mut table = String::from("&[\n");
    let mut files: Vec<PathBuf> = fs::read_dir(FOLDER)?
        .map(|entry| entry.map(|entry| entry.path()))
        .collect::<Result<_, _>>()?;
    files.sort();
    for path in files {
        if let Some(bytes) = tree_of(&path) {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let packed = out.join(format!("{name}.packed"));
            fs::write(&packed, bytes)?;
            writeln!(
                table,
                "({:?}, include_bytes!({:?})),",
                format!("{FOLDER}/{name}"),
                packed
            )?;
        }
    }
    table.push_str("]\n");
    fs::write(out.join("packed.rs"), table)?;
    Ok(())
}

/// The packed tree of a file. One that cannot be read is left to the program, which says why.
fn tree_of(path: &Path) -> Option<Vec<u8>> {
    if path.extension()? != "yaml" {
        return None;
    }
    let text = fs::read_to_string(path).ok()?;
    if text.contains('\r') || text.starts_with('\u{feff}') {
        return None;
    }
    packed::pack(&tree::parse(&text).ok()?)
}
