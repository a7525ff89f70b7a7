//! Embeds the shipped checklists anew when a file is added to their folder, which the compiler
//! would not see by itself.

fn main() {
    println!("cargo:rerun-if-changed=checklists");
    println!("cargo:rerun-if-changed=build.rs");
}
