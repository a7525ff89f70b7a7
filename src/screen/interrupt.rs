//! Ctrl-C as a wish to pause.

use std::sync::atomic::{AtomicBool, Ordering};

static PRESSED: AtomicBool = AtomicBool::new(false);

/// Takes over Ctrl-C for the whole program: from now on it only leaves a mark that the screens
/// look at. To be called once, before the first screen.
///
/// # Errors
/// Words of the system when the signal cannot be taken over.
pub fn take_over_ctrl_c() -> Result<(), String> {
    ctrlc::set_handler(|| PRESSED.store(true, Ordering::SeqCst)).map_err(|why| why.to_string())
}

/// True once after Ctrl-C.
pub(super) fn pressed() -> bool {
    PRESSED.swap(false, Ordering::SeqCst)
}
