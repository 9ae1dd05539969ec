//! The program as a test runs it: no settings of the machine, and foods and a model whose figures never change.
#![allow(dead_code, reason = "each test file uses its part of it")]

use assert_cmd::Command;
use std::path::{Path, PathBuf};

/// The model's numbers at the time of writing, laid over whatever the library has become.
const MODEL: &str = "
house_sigma = 0.16
fat_sigma = 0.3
plate_sigma = 0.12
portion_widening = 1.0
stated_sigma = 0.07
piece_sigma = 0.16
portion_scale = {}
";

/// A folder of its own that goes away with the test.
pub struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    pub fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(folder.path().join("config/platespan")).unwrap();
        Place { folder }
    }

    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Writes a file of this folder.
    pub fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    }

    /// The program, at home in this folder.
    pub fn platespan(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_platespan"));
        command
            .current_dir(self.path())
            .env("HOME", self.path())
            .env("XDG_CONFIG_HOME", self.path().join("config"))
            .env("XDG_DATA_HOME", self.path().join("data"))
            .env_remove("COLUMNS");
        command
    }

    /// The program with the foods and the model whose figures never change.
    pub fn with_fixed_foods(&self) -> Command {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let read = |path: &str| std::fs::read_to_string(root.join(path)).unwrap();
        let mut model: toml::Table = read("component-library/rules/model.toml").parse().unwrap();
        let fixed: toml::Table = MODEL.parse().unwrap();
        let table = model["model"].as_table_mut().unwrap();
        table.extend(fixed);
        let foods = read("tests/fixed/foods.toml");
        self.file("fixed.toml", &format!("{foods}\n{model}"));
        let mut command = self.platespan();
        command.args(["--library", "fixed.toml"]);
        command
    }
}

/// Runs a command; its output, its errors and its exit status.
pub fn run(command: &mut Command) -> (String, String, i32) {
    let output = command.output().unwrap();
    (
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
        output.status.code().unwrap(),
    )
}

/// What a command that must succeed prints.
#[track_caller]
pub fn stdout(command: &mut Command) -> String {
    let (out, errors, code) = run(command);
    assert_eq!(code, 0, "{errors}");
    out
}
