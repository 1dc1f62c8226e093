//! Files into the world: whole or not at all, and never over an input.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail};

/// A file to be written: its name in the output folder, which may lead through folders below it, and its bytes.
pub struct File {
    /// The name, with its ending.
    pub name: String,
    /// What goes into it.
    pub bytes: Vec<u8>,
}

/// Writes all files into `folder`, which is made if missing; if one cannot be written, none is.
///
/// Each is written to a temporary name in the same folder and flushed; only when all are there are they renamed.
pub fn write_all(folder: &Path, files: &[File], inputs: &[PathBuf]) -> anyhow::Result<Vec<PathBuf>> {
    fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}; name another with --out", folder.display()))?;
    let paths: Vec<PathBuf> = files.iter().map(|f| folder.join(&f.name)).collect();
    for path in &paths {
        refuse_inputs(path, inputs)?;
        if path.is_dir() {
            bail!("{} is a folder; name another file with --name", path.display());
        }
    }
    let mut waiting = Vec::new();
    for (file, path) in files.iter().zip(&paths) {
        let home = path.parent().unwrap_or(folder);
        fs::create_dir_all(home)
            .with_context(|| format!("cannot make the folder {}; name another with --out", home.display()))?;
        let written = write_aside(home, &file.bytes);
        waiting.push(
            written.with_context(|| {
                format!("cannot write {}; name another folder with --out", path.display())
            })?,
        );
    }
    for (temporary, path) in waiting.into_iter().zip(&paths) {
        temporary.persist(path).with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(paths)
}

/// Writes one file by its path, whole or not at all.
pub fn write_one(path: &Path, bytes: Vec<u8>) -> anyhow::Result<PathBuf> {
    let Some(name) = path.file_name() else { bail!("{} names no file; add a file name", path.display()) };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = File { name: name.to_string_lossy().into_owned(), bytes };
    Ok(write_all(folder, &[file], &[])?.swap_remove(0))
}

/// Writes a file that is not there yet.
pub fn write_new(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(folder).with_context(|| format!("cannot make the folder {}", folder.display()))?;
    let waiting = write_aside(folder, bytes);
    let waiting = waiting.with_context(|| format!("cannot write {}", path.display()))?;
    match waiting.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => {
            bail!("{} is there already and is not overwritten; name another file", path.display())
        }
        Err(error) => Err(error.error).with_context(|| format!("cannot write {}", path.display())),
    }
}

fn write_aside(folder: &Path, bytes: &[u8]) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".thrice-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

fn refuse_inputs(path: &Path, inputs: &[PathBuf]) -> anyhow::Result<()> {
    let Ok(real) = path.canonicalize() else { return Ok(()) };
    if inputs.iter().filter_map(|i| i.canonicalize().ok()).any(|i| i == real) {
        bail!("{} was read as input and is not overwritten; choose another --name or --out", path.display());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str, bytes: &[u8]) -> File {
        File { name: name.into(), bytes: bytes.to_vec() }
    }

    #[test]
    fn files_are_replaced_whole_and_leave_nothing_aside() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("new/below");
        write_all(&folder, &[file("a.txt", b"one")], &[]).unwrap();
        write_all(&folder, &[file("a.txt", b"two"), file("b.txt", b"three")], &[]).unwrap();
        assert_eq!(fs::read(folder.join("a.txt")).unwrap(), b"two");
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
    }

    #[test]
    fn an_input_is_never_overwritten() {
        let dir = tempfile::tempdir().unwrap();
        let input = dir.path().join("mine.svg");
        fs::write(&input, "drawn by hand").unwrap();
        let files = [file("other.svg", b"x"), file("mine.svg", b"x")];
        let told = write_all(dir.path(), &files, std::slice::from_ref(&input)).unwrap_err().to_string();
        assert!(told.contains("is not overwritten"), "{told}");
        assert_eq!(fs::read(&input).unwrap(), b"drawn by hand");
        assert!(!dir.path().join("other.svg").exists());
    }

    #[test]
    fn a_name_taken_by_a_folder_writes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir(dir.path().join("b.txt")).unwrap();
        assert!(write_all(dir.path(), &[file("a.txt", b"x"), file("b.txt", b"x")], &[]).is_err());
        assert!(!dir.path().join("a.txt").exists());
    }
}
