//! The README's examples are true: every `console` block is run and compared.
//!
//! `UPDATE_README=1 cargo test --test readme` writes what the commands really print into the README; read the diff.

use std::path::Path;
use std::process::Command;

/// What a command of the README prints, standard output and errors as a terminal of 80 columns shows them.
fn printed(command: &str) -> String {
    let binary = Path::new(env!("CARGO_BIN_EXE_platespan"));
    let folder = binary.parent().expect("a binary has a folder");
    let path = format!(
        "{}:{}",
        folder.display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let home = std::env::temp_dir().join("platespan-readme-home");
    let output = Command::new("sh")
        .arg("-c")
        .arg(format!("{command} 2>&1"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("PATH", path)
        .env("NO_COLOR", "1")
        .env("COLUMNS", "80")
        .env("XDG_CONFIG_HOME", &home)
        .env("XDG_DATA_HOME", &home)
        .output()
        .expect("sh runs");
    String::from_utf8(output.stdout)
        .expect("output is UTF-8")
        .trim_end()
        .to_owned()
}

#[test]
fn every_example_of_the_readme_prints_what_it_says() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(&file).expect("there is a README");
    let mut made = String::new();
    let mut examples = 0;
    let mut rest = readme.as_str();
    while let Some(start) = rest.find("```console\n$ ") {
        let body = start + "```console\n".len();
        let end = body + rest[body..].find("\n```").expect("a block ends");
        let command = rest[body..end]
            .lines()
            .next()
            .unwrap_or_default()
            .trim_start_matches("$ ");
        made.push_str(&rest[..body]);
        made.push_str(&format!("$ {command}\n{}", printed(command)));
        rest = &rest[end..];
        examples += 1;
    }
    made.push_str(rest);
    assert!(examples >= 5, "the README shows the main commands");
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(&file, made).expect("the README can be written");
    } else if made != readme {
        let differs = made
            .lines()
            .zip(readme.lines())
            .find(|(made, said)| made != said);
        panic!(
            "the README is not true any more: {differs:?}; run UPDATE_README=1 cargo test --test readme and read the diff"
        );
    }
}
