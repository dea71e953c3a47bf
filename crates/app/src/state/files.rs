//! Writing files whole.

use std::io::Write as _;
use std::path::Path;

/// Writes a file so that it is either the old one or the new one, whole, whatever happens in between:
/// written beside, synced, renamed.
///
/// # Errors
/// When the folder or the file cannot be written.
pub fn write_whole(file: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let name = file
        .file_name()
        .ok_or_else(|| std::io::Error::new(std::io::ErrorKind::InvalidInput, "the path names no file"))?;
    let mut beside_name = std::ffi::OsString::from(".");
    beside_name.push(name);
    beside_name.push(format!(".{}.part", std::process::id()));
    let beside = file.with_file_name(beside_name);
    let written = (|| {
        let mut out = std::fs::File::create(&beside)?;
        out.write_all(bytes)?;
        out.sync_all()?;
        std::fs::rename(&beside, file)
    })();
    if written.is_err() {
        // Nothing of use is in it, and the cause of the first error matters more.
        let _ = std::fs::remove_file(&beside);
    }
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole() {
        let folder = std::env::temp_dir().join(format!("glidewright-files-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join("a.png");
        for text in ["one", "two"] {
            write_whole(&file, text.as_bytes()).unwrap();
            assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
        }
        assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1, "something was left behind");
        assert!(write_whole(&folder.join("no/such/folder.png"), b"x").is_err());
        assert!(write_whole(Path::new("/"), b"x").is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
