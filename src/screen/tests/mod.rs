//! Tests of the screen with made views.

mod grammar;
mod keys_form;
mod made;
mod pages;
mod plain_form;
mod pty;
mod script_form;
