//! Build script: reads `component-library/` once, here, and leaves a compact form for the binary to embed, so that a
//! command does not pay for parsing a thousand entries at every start.

use std::path::{Path, PathBuf};
use std::{env, fs};

#[path = "schema.rs"]
#[allow(dead_code, missing_docs)]
mod schema;

fn main() {
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets it"))
        .join("component-library");
    println!("cargo::rerun-if-changed={}", root.display());
    println!("cargo::rerun-if-changed=src/library/schema.rs");
    let mut names = Vec::new();
    collect(&root, &mut names);
    names.sort();
    let mut files: Vec<(String, schema::File)> = Vec::new();
    for path in names {
        let text =
            fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let file =
            toml::from_str(&text).unwrap_or_else(|error| panic!("{}:\n{error}", path.display()));
        let name = path
            .strip_prefix(&root)
            .expect("found below it")
            .display()
            .to_string()
            .replace('\\', "/");
        files.push((name, file));
    }
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets it")).join("library.bin");
    fs::write(out, postcard::to_stdvec(&files).expect("plain data"))
        .expect("OUT_DIR can be written");
}

fn collect(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in
        fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
    {
        let path = entry.expect("readable entry").path();
        if path.is_dir() {
            collect(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "toml") {
            into.push(path);
        }
    }
}
