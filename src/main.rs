//! The `tubeside` program.

fn main() -> std::process::ExitCode {
    tubeside::run()
}
