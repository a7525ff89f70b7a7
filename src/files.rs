//! Writing files so that each is there whole, or not at all.
//!
//! The text is written aside in the same folder, flushed to the disk, and only then given its name;
//! then the folder is flushed too. A crash at any moment leaves the file as it was before, or the
//! new one whole; at worst a part file beside it, whose name begins with a dot and ends in `.part`.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// Who may read what is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Readers {
    /// The owner alone: mode 0600, folders 0700. Only on systems with such modes.
    Owner,
    /// Whoever the system lets, or whoever could read the file that is replaced.
    Usual,
}

/// What to do when a file of that name is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Present {
    /// Put the new one in its place.
    Replace,
    /// Leave it and fail.
    Keep,
}

/// Why a file could not be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// A file of that name is there, and was to be kept.
    Exists,
    /// The folder is not there.
    NoFolder,
    /// A folder stands where the file should be, or the path has no file name.
    NotAFile,
    /// The permissions do not allow it.
    NotAllowed,
    /// The disk is full, or the user's share of it.
    Full,
    /// The disk is read-only.
    ReadOnly,
    /// Anything else.
    Other,
}

/// A file that could not be written. What stood there before still does.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{} could not be written: {}{}", path.display(), words(*trouble), detail(*trouble, why))]
pub struct NotWritten {
    /// The file.
    pub path: PathBuf,
    /// What kept it.
    pub trouble: Trouble,
    /// What the system said.
    pub why: String,
}

const fn words(trouble: Trouble) -> &'static str {
    match trouble {
        Trouble::Exists => "it is there already; give another name",
        Trouble::NoFolder => "its folder is not there; make the folder or give another path",
        Trouble::NotAFile => "that is a folder or no file name; give the path of a file",
        Trouble::NotAllowed => {
            "the permissions do not allow it; give a path in a folder of your own"
        }
        Trouble::Full => "the disk is full; free some space and try again",
        Trouble::ReadOnly => "the disk is read-only; give a path on another disk",
        Trouble::Other => "the system refused it; check the path and the disk",
    }
}

fn detail(trouble: Trouble, why: &str) -> String {
    match trouble {
        Trouble::Other => format!(" ({why})"),
        _ => String::new(),
    }
}

impl Trouble {
    /// The kind of trouble behind an error of the system.
    #[must_use]
    pub fn of(error: &io::Error) -> Self {
        match error.kind() {
            ErrorKind::AlreadyExists => Self::Exists,
            ErrorKind::NotFound => Self::NoFolder,
            ErrorKind::IsADirectory | ErrorKind::NotADirectory => Self::NotAFile,
            ErrorKind::PermissionDenied => Self::NotAllowed,
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
                Self::Full
            }
            ErrorKind::ReadOnlyFilesystem => Self::ReadOnly,
            _ => Self::Other,
        }
    }
}

/// Turns an error of the system into one that names the file.
fn at(path: &Path) -> impl Fn(io::Error) -> NotWritten + '_ {
    |error| NotWritten {
        path: path.to_owned(),
        trouble: Trouble::of(&error),
        why: error.to_string(),
    }
}

/// Writes a file whole, and on return it outlasts a power cut.
///
/// # Errors
/// [`NotWritten`], and then what stood at the path before still stands there.
pub fn write_whole(
    path: &Path,
    bytes: &[u8],
    readers: Readers,
    present: Present,
) -> Result<(), NotWritten> {
    let mut aside = Aside::beside(path, readers)?;
    aside.file.write_all(bytes).map_err(at(path))?;
    aside.put_in_place(present)
}

/// A file that is written aside and not yet in its place. Dropped before that, it is removed.
#[derive(Debug)]
pub struct Aside {
    /// The open file.
    pub file: File,
    aside: PathBuf,
    path: PathBuf,
    placed: bool,
}

impl Aside {
    /// Makes an empty file beside the path that it is for.
    ///
    /// # Errors
    /// [`NotWritten`] when the path is no file name, or its folder refuses a file.
    pub fn beside(path: &Path, readers: Readers) -> Result<Self, NotWritten> {
        if path.is_dir() {
            return Err(at(path)(ErrorKind::IsADirectory.into()));
        }
        let Some(name) = path.file_name() else {
            return Err(at(path)(ErrorKind::IsADirectory.into()));
        };
        static COUNT: AtomicU32 = AtomicU32::new(0);
        loop {
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            let mut part = OsString::from(".");
            part.push(name);
            part.push(format!(".{}-{count}.part", std::process::id()));
            let aside = path.with_file_name(part);
            match create_new(&aside, readers) {
                Ok(file) => {
                    return Self {
                        file,
                        aside,
                        path: path.to_owned(),
                        placed: false,
                    }
                    .with_readers_of_old(readers);
                }
                // A part file left by an earlier crash of a process with this number.
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(at(path)(error)),
            }
        }
    }

    /// Where the file is meanwhile.
    #[must_use]
    pub fn meanwhile(&self) -> &Path {
        &self.aside
    }

    fn with_readers_of_old(self, readers: Readers) -> Result<Self, NotWritten> {
        if let (Readers::Usual, Ok(old)) = (readers, fs::metadata(&self.path)) {
            fs::set_permissions(&self.aside, old.permissions()).map_err(at(&self.path))?;
        }
        Ok(self)
    }

    /// Flushes the file and gives it its name.
    ///
    /// # Errors
    /// [`NotWritten`]; the file written aside is removed.
    pub fn put_in_place(mut self, present: Present) -> Result<(), NotWritten> {
        self.file.flush().map_err(at(&self.path))?;
        self.file.sync_all().map_err(at(&self.path))?;
        match present {
            Present::Replace => fs::rename(&self.aside, &self.path).map_err(at(&self.path))?,
            Present::Keep => self.link()?,
        }
        self.placed = true;
        sync_folder_of(&self.path).map_err(at(&self.path))
    }

    /// Gives the file its name only if no other has it. A second name for the same file is the one
    /// way to do that in a single act; where a disk knows none, it is looked for first.
    fn link(&self) -> Result<(), NotWritten> {
        match fs::hard_link(&self.aside, &self.path) {
            Ok(()) => fs::remove_file(&self.aside).map_err(at(&self.path)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(at(&self.path)(error)),
            Err(_) if self.path.symlink_metadata().is_ok() => {
                Err(at(&self.path)(ErrorKind::AlreadyExists.into()))
            }
            Err(_) => fs::rename(&self.aside, &self.path).map_err(at(&self.path)),
        }
    }
}

impl Drop for Aside {
    fn drop(&mut self) {
        if !self.placed {
            // Nothing more can be done when this fails; the part file harms nothing.
            drop(fs::remove_file(&self.aside));
        }
    }
}

/// Creates a file that was not there, readable as asked.
///
/// # Errors
/// What the system said.
pub fn create_new(path: &Path, readers: Readers) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create_new(true);
    #[cfg(unix)]
    if readers == Readers::Owner {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    #[cfg(not(unix))]
    let _ = readers;
    options.open(path)
}

/// Makes a folder and those above it; what is there already stays as it is.
///
/// # Errors
/// [`NotWritten`] for the first that could not be made.
pub fn make_folder(path: &Path, readers: Readers) -> Result<(), NotWritten> {
    if path.as_os_str().is_empty() {
        return Ok(());
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    if readers == Readers::Owner {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    #[cfg(not(unix))]
    let _ = readers;
    builder.create(path).map_err(at(path))
}

/// Flushes the folder that holds the path, so that a new name in it outlasts a power cut.
///
/// # Errors
/// What the system said.
pub fn sync_folder_of(path: &Path) -> io::Result<()> {
    // Only Unix lets a folder be opened and flushed; elsewhere the system does it with the file.
    #[cfg(unix)]
    {
        let folder = match path.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        };
        File::open(folder)?.sync_all()
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_is_written_and_replaced_with_nothing_left_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.md");
        for text in ["one", "two"] {
            write_whole(&path, text.as_bytes(), Readers::Usual, Present::Replace).unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
        assert_eq!(names(folder.path()), ["a.md"]);
    }

    #[test]
    fn a_file_to_be_kept_is_kept() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.md");
        write_whole(&path, b"one", Readers::Usual, Present::Keep).unwrap();
        let error = write_whole(&path, b"two", Readers::Usual, Present::Keep).unwrap_err();
        assert_eq!(error.trouble, Trouble::Exists);
        assert_eq!(fs::read_to_string(&path).unwrap(), "one");
        assert_eq!(names(folder.path()), ["a.md"]);
    }

    #[test]
    fn a_file_written_aside_and_given_up_leaves_the_old_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.md");
        fs::write(&path, "old").unwrap();
        let mut aside = Aside::beside(&path, Readers::Usual).unwrap();
        aside.file.write_all(b"half").unwrap();
        assert_eq!(names(folder.path()).len(), 2);
        drop(aside);
        assert_eq!(names(folder.path()), ["a.md"]);
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    }

    #[test]
    fn each_trouble_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let write = |path: &Path| {
            write_whole(path, b"x", Readers::Usual, Present::Replace)
                .unwrap_err()
                .trouble
        };
        assert_eq!(write(&folder.path().join("no/a.md")), Trouble::NoFolder);
        assert_eq!(write(folder.path()), Trouble::NotAFile);
        assert_eq!(write(Path::new("/")), Trouble::NotAFile);
        let file = folder.path().join("file");
        fs::write(&file, "").unwrap();
        assert_eq!(write(&file.join("a.md")), Trouble::NotAFile);
        // Linux refuses every write to this device as if a disk were full (man 4 full).
        #[cfg(target_os = "linux")]
        {
            let error = File::create("/dev/full").unwrap().write_all(b"x");
            assert_eq!(Trouble::of(&error.unwrap_err()), Trouble::Full);
        }
    }

    #[test]
    fn an_error_says_what_where_and_what_to_do() {
        let error = write_whole(
            Path::new("/nowhere/a.md"),
            b"",
            Readers::Usual,
            Present::Replace,
        )
        .unwrap_err();
        assert_eq!(
            error.to_string(),
            "/nowhere/a.md could not be written: its folder is not there; make the folder or give another path"
        );
    }

    #[cfg(unix)]
    #[test]
    fn modes_are_as_asked() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        let deep = folder.path().join("one/two");
        make_folder(&deep, Readers::Owner).unwrap();
        assert_eq!(mode(&deep), 0o700);
        assert_eq!(mode(&folder.path().join("one")), 0o700);
        let path = deep.join("a");
        write_whole(&path, b"x", Readers::Owner, Present::Keep).unwrap();
        assert_eq!(mode(&path), 0o600);
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        write_whole(&path, b"y", Readers::Usual, Present::Replace).unwrap();
        assert_eq!(mode(&path), 0o640, "the readers of the old file stay");
        write_whole(&path, b"z", Readers::Owner, Present::Replace).unwrap();
        assert_eq!(mode(&path), 0o600);
    }
}
