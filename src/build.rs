/*! Build script: tells the program which build it is, as `DRIFTBOOK_BUILD`, a hash of its
sources, its dependencies and how it is compiled. A version number alone does not tell two
builds apart.
*/

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let mut hash = DefaultHasher::new();
    for name in ["Cargo.toml", "Cargo.lock"] {
        println!("cargo::rerun-if-changed={name}");
        fs::read(name)?.hash(&mut hash);
    }
    for folder in ["src", "data/words"] {
        println!("cargo::rerun-if-changed={folder}");
        for file in files(Path::new(folder))? {
            file.hash(&mut hash);
            fs::read(&file)?.hash(&mut hash);
        }
    }
    for name in ["TARGET", "OPT_LEVEL", "CARGO_ENCODED_RUSTFLAGS"] {
        env::var(name).unwrap_or_default().hash(&mut hash);
    }
    let compiler = env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    Command::new(compiler)
        .arg("-vV")
        .output()?
        .stdout
        .hash(&mut hash);
    println!("cargo::rustc-env=DRIFTBOOK_BUILD={:016x}", hash.finish());
    Ok(())
}

/// All files below `folder`, sorted, so that their order does not depend on the disk.
fn files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        match path.is_dir() {
            true => found.extend(files(&path)?),
            false => found.push(path),
        }
    }
    found.sort();
    Ok(found)
}
