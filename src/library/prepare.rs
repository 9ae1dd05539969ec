//! Build script: reads `component-library/` once, here, and leaves a prepared form for the binary to embed, so that a
//! command does not pay for parsing thousands of entries and names at every start.

use std::path::{Path, PathBuf};
use std::{env, fs};

#[path = "phrases.rs"]
#[allow(dead_code, missing_docs)]
mod phrases;
#[path = "schema.rs"]
#[allow(dead_code, missing_docs)]
mod schema;

use phrases::{
    CLASS, DISH, FOOD, MANY, PREPARATION, PhraseIndex, Pointer, SIZE, UNIT, WORD, packed,
};

fn main() {
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets it"))
        .join("component-library");
    println!("cargo::rerun-if-changed={}", root.display());
    for file in ["schema.rs", "phrases.rs", "prepare.rs"] {
        println!("cargo::rerun-if-changed=src/library/{file}");
    }
    let mut paths = Vec::new();
    collect(&root, &mut paths);
    paths.sort();
    let mut files: Vec<(String, schema::File)> = Vec::new();
    for path in paths {
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
    let (index, names) = index(&mut files);
    let mut lists: Vec<Vec<Pointer>> = Vec::new();
    let phrases = index.phrases.iter().map(|(key, pointers)| {
        let value = match pointers.as_slice() {
            [one] => packed(*one),
            many => {
                lists.push(many.to_vec());
                MANY + lists.len() as u64 - 1
            }
        };
        (key.as_str(), value)
    });
    let map = fst::Map::from_iter(phrases.collect::<Vec<_>>()).expect("keys are sorted");
    write("phrases.fst", map.as_fst().as_bytes());
    let words = fst::Map::from_iter(index.words.iter().map(|(word, uses)| (word, *uses)))
        .expect("keys are sorted");
    write("words.fst", words.as_fst().as_bytes());
    write("lists.bin", &encoded(&(index.longest, lists)));
    write("names.bin", &encoded(&names));
    write("library.bin", &encoded(&files));
}

/// The index of all phrases, and the names of every food and then every dish, which the entries themselves lose: they
/// are needed only where a command shows or searches them.
fn index(files: &mut [(String, schema::File)]) -> (PhraseIndex, Vec<Vec<String>>) {
    let mut index = PhraseIndex::default();
    let (mut foods, mut dishes) = (Vec::new(), Vec::new());
    for (_, file) in files.iter_mut() {
        for food in &mut file.food {
            foods.push(std::mem::take(&mut food.aliases));
        }
        for dish in &mut file.dish {
            dishes.push(std::mem::take(&mut dish.aliases));
        }
    }
    for (kind, entries) in [(FOOD, &foods), (DISH, &dishes)] {
        for (at, names) in entries.iter().enumerate() {
            for name in names {
                index.add_name((kind, at as u32), name);
            }
        }
    }
    let mut add = |kind: u8, words: Vec<&Vec<String>>| {
        for (at, words) in words.into_iter().enumerate() {
            for phrase in words {
                index.add_rule((kind, at as u32), phrase);
            }
        }
    };
    let all = |pick: fn(&schema::File) -> Vec<&Vec<String>>| {
        files.iter().flat_map(|(_, file)| pick(file)).collect()
    };
    add(
        PREPARATION,
        all(|file| file.preparation.iter().map(|entry| &entry.words).collect()),
    );
    add(
        SIZE,
        all(|file| file.size.iter().map(|entry| &entry.words).collect()),
    );
    add(
        UNIT,
        all(|file| file.unit.iter().map(|entry| &entry.words).collect()),
    );
    add(
        CLASS,
        all(|file| file.class.iter().map(|entry| &entry.words).collect()),
    );
    add(
        WORD,
        all(|file| file.word.iter().map(|entry| &entry.words).collect()),
    );
    foods.append(&mut dishes);
    (index, foods)
}

fn encoded<T: serde::Serialize>(value: &T) -> Vec<u8> {
    postcard::to_stdvec(value).expect("plain data")
}

fn write(name: &str, bytes: &[u8]) {
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets it")).join(name);
    fs::write(&out, bytes).unwrap_or_else(|error| panic!("{}: {error}", out.display()));
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
