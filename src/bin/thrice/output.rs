//! Files into the world: sets whole or not at all, and never over an input.
//!
//! A set is the files of one design, or of one quilt. While a set is written, its folders are locked, so that two runs take
//! turns. First all files are written to temporary names beside their own and flushed; then what the set had before is
//! removed, machine files first; then the new files take their names, machine files last. Wherever the program is stopped,
//! a machine file stands only beside the files that belong to it. What a stopped run leaves behind, the next one removes.

use std::fs;
use std::io::Write;
use std::path::{Component, Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, bail};
use thrice::base::plain::unfit_file_name;
use thrice::wire::Format;

use super::words::typed;

/// What the names of temporary files begin with.
const ASIDE: &str = ".thrice-";

/// How long a run waits for another one that writes into the same folder.
const PATIENCE: Duration = Duration::from_secs(60);

/// A file to be written: its name in the output folder, which may lead through folders below it, and its bytes.
pub struct File {
    /// The name, with its ending.
    pub name: String,
    /// What goes into it.
    pub bytes: Vec<u8>,
}

/// Writes a set of files into `folder`, which is made if missing, and removes `old`, names in the folder that belonged to
/// the set before and do not any more; they are looked up when no other run writes there.
pub fn write_set(
    folder: &Path,
    files: &[File],
    old: &dyn Fn() -> Vec<String>,
    inputs: &[PathBuf],
) -> anyhow::Result<Vec<PathBuf>> {
    let paths: Vec<PathBuf> = files.iter().map(|f| folder.join(&f.name)).collect();
    for (file, path) in files.iter().zip(&paths) {
        check_name(&file.name)?;
        refuse_inputs(path, inputs)?;
        if path.is_dir() {
            bail!("{} is a folder; name another file with --name", path.display());
        }
    }
    let homes = homes(folder, &paths)?;
    let _locks: Vec<fs::File> = homes.iter().map(|home| lock(home)).collect::<anyhow::Result<_>>()?;
    homes.iter().for_each(|home| remove_debris(home));
    let mut waiting = Vec::new();
    for (file, path) in files.iter().zip(&paths) {
        let written = write_aside(path.parent().unwrap_or(folder), &file.bytes);
        let told = || format!("cannot write {}; name another folder with --out", path.display());
        waiting.push((written.with_context(told)?, path));
    }
    let gone =
        old().into_iter().map(|name| folder.join(name)).filter(|path| refuse_inputs(path, inputs).is_ok());
    let mut gone: Vec<PathBuf> = gone.chain(paths.iter().cloned()).filter(|path| path.is_file()).collect();
    gone.sort();
    gone.dedup();
    gone.sort_by_key(|path| !is_machine_file(path));
    for path in gone {
        fs::remove_file(&path)
            .with_context(|| format!("cannot replace {}; name another folder with --out", path.display()))?;
    }
    waiting.sort_by_key(|(_, path)| is_machine_file(path));
    for (temporary, path) in waiting {
        temporary.persist(path).with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(paths)
}

/// Writes one file by its path, whole or not at all.
pub fn write_one(path: &Path, bytes: Vec<u8>) -> anyhow::Result<PathBuf> {
    let Some(name) = path.file_name() else {
        return Err(typed(format!("{} names no file; add a file name", path.display())));
    };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = File { name: name.to_string_lossy().into_owned(), bytes };
    Ok(write_set(folder, &[file], &Vec::new, &[])?.swap_remove(0))
}

/// The one check that every name goes through: parts that are file names on any system, and no way out of the folder.
fn check_name(name: &str) -> anyhow::Result<()> {
    let told = |part: &str, why: &str| {
        typed(format!("`{part}` cannot name a file, as {why}; give another --name or title"))
    };
    for part in Path::new(name).components() {
        match part {
            Component::Normal(part) => {
                let part = part.to_string_lossy();
                if let Some(why) = unfit_file_name(&part) {
                    return Err(told(&part, &why));
                }
            }
            _ => return Err(told(name, "it leads out of the folder")),
        }
    }
    if name.is_empty() { Err(told(name, "it is empty")) } else { Ok(()) }
}

/// The folders of the files, made if missing, each once and in order, so that two runs that lock them take turns.
fn homes(folder: &Path, paths: &[PathBuf]) -> anyhow::Result<Vec<PathBuf>> {
    let mut homes: Vec<PathBuf> = paths.iter().filter_map(|path| Some(path.parent()?.to_owned())).collect();
    homes.push(folder.to_owned());
    homes.sort();
    homes.dedup();
    for home in &homes {
        fs::create_dir_all(home)
            .with_context(|| format!("cannot make the folder {}; name another with --out", home.display()))?;
    }
    Ok(homes)
}

/// Waits until no other run writes into the folder. The lock ends with the file, or with the program.
fn lock(folder: &Path) -> anyhow::Result<fs::File> {
    // A folder can be locked itself where it can be opened; else a file in it is.
    let cannot = || format!("cannot lock the folder {}; name another with --out", folder.display());
    let file = if cfg!(unix) {
        fs::File::open(folder)
    } else {
        fs::OpenOptions::new().create(true).append(true).open(folder.join(".lock"))
    };
    let file = file.with_context(cannot)?;
    let begun = Instant::now();
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(fs::TryLockError::WouldBlock) if begun.elapsed() < PATIENCE => {
                std::thread::sleep(Duration::from_millis(10));
            }
            Err(fs::TryLockError::WouldBlock) => bail!(
                "another run is writing into {}; wait for it, or name another folder with --out",
                folder.display()
            ),
            // A file system without locks: what is written is whole, only two runs at once are not told apart.
            Err(fs::TryLockError::Error(error)) if error.kind() == std::io::ErrorKind::Unsupported => {
                return Ok(file);
            }
            Err(fs::TryLockError::Error(error)) => return Err(error).with_context(cannot),
        }
    }
}

/// Removes the temporary files of a run that was stopped. The folder is locked, so no other run's are among them.
fn remove_debris(folder: &Path) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten().filter(|e| e.file_name().to_string_lossy().starts_with(ASIDE)) {
        if entry.file_type().is_ok_and(|kind| kind.is_file()) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn is_machine_file(path: &Path) -> bool {
    path.extension().and_then(|e| Format::from_extension(&e.to_string_lossy())).is_some()
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
    builder.prefix(ASIDE);
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
        write_set(&folder, &[file("a.txt", b"one")], &Vec::new, &[]).unwrap();
        write_set(&folder, &[file("a.txt", b"two"), file("b.txt", b"three")], &Vec::new, &[]).unwrap();
        assert_eq!(fs::read(folder.join("a.txt")).unwrap(), b"two");
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
    }

    #[test]
    fn an_input_is_never_overwritten() {
        let dir = tempfile::tempdir().unwrap();
        let input = dir.path().join("mine.svg");
        fs::write(&input, "drawn by hand").unwrap();
        let files = [file("other.svg", b"x"), file("mine.svg", b"x")];
        let told =
            write_set(dir.path(), &files, &Vec::new, std::slice::from_ref(&input)).unwrap_err().to_string();
        assert!(told.contains("is not overwritten"), "{told}");
        assert_eq!(fs::read(&input).unwrap(), b"drawn by hand");
        assert!(!dir.path().join("other.svg").exists());
    }

    #[test]
    fn a_name_taken_by_a_folder_writes_nothing() {
        let dir = tempfile::tempdir().unwrap();
        fs::create_dir(dir.path().join("b.txt")).unwrap();
        assert!(write_set(dir.path(), &[file("a.txt", b"x"), file("b.txt", b"x")], &Vec::new, &[]).is_err());
        assert!(!dir.path().join("a.txt").exists());
    }

    #[test]
    fn what_belonged_to_the_set_before_goes_with_it_and_so_does_debris() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        for name in ["a.exp", "a.json", "mine.txt", ".thrice-dead", "in.exp"] {
            fs::write(at(name), "old").unwrap();
        }
        let old = ["a.exp", "a.json", "in.exp", "never.dst"].map(str::to_owned);
        write_set(
            dir.path(),
            &[file("a.json", b"new"), file("a.dst", b"new")],
            &|| old.to_vec(),
            &[at("in.exp")],
        )
        .unwrap();
        let mut left: Vec<String> = fs::read_dir(dir.path())
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        left.sort();
        assert_eq!(left, ["a.dst", "a.json", "in.exp", "mine.txt"]);
    }

    #[test]
    fn no_name_leads_out_of_the_folder() {
        let dir = tempfile::tempdir().unwrap();
        let folder = dir.path().join("out");
        let long = format!("{}.json", "x".repeat(252));
        for name in ["../x", "/x", "a/../../x", "a/con.dst", "x.", "a\nb", "", long.as_str()] {
            let told =
                write_set(&folder, &[file("good.dst", b"x"), file(name, b"x")], &Vec::new, &[]).unwrap_err();
            assert_eq!(crate::words::exit_code(&told), 2, "{name}: {told}");
            assert!(!folder.exists(), "{name}");
        }
    }

    #[test]
    fn two_runs_take_turns() {
        let dir = tempfile::tempdir().unwrap();
        let held = lock(dir.path()).unwrap();
        std::thread::scope(|scope| {
            let other = scope.spawn(|| write_set(dir.path(), &[file("a.txt", b"x")], &Vec::new, &[]).is_ok());
            std::thread::sleep(Duration::from_millis(50));
            assert!(!dir.path().join("a.txt").exists());
            drop(held);
            assert!(other.join().unwrap());
        });
        assert!(dir.path().join("a.txt").exists());
    }
}
