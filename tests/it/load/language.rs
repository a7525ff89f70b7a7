//! Every example in the language's documentation loads.

use std::path::Path;

use super::read;
