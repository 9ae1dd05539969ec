//! Completions, manual pages, settings, explanations, and the examples of every `--help`.

mod fixed;

use clap::CommandFactory;
use fixed::{Place, run, stdout};
use std::path::Path;
use std::process::Command;

fn commands() -> Vec<clap::Command> {
    fn below(command: &clap::Command, all: &mut Vec<clap::Command>) {
        for command in command
            .get_subcommands()
            .filter(|command| command.get_name() != "help")
        {
            all.push(command.clone());
            below(command, all);
        }
    }
    let mut root = platespan::cli::Cli::command();
    root.build();
    let mut all = Vec::new();
    below(&root, &mut all);
    all
}

/// The lines of a command's `Examples:`.
fn examples(command: &clap::Command) -> Vec<String> {
    let help = command
        .get_after_help()
        .map(ToString::to_string)
        .unwrap_or_default();
    help.lines()
        .skip_while(|line| line.trim() != "Examples:")
        .skip(1)
        .take_while(|line| !line.trim().is_empty())
        .map(|line| line.trim().to_owned())
        .collect()
}

#[test]
fn every_command_shows_examples_of_itself() {
    for command in commands()
        .iter()
        .filter(|command| !command.has_subcommands())
    {
        let name = command.get_display_name().unwrap().replace('-', " ");
        let examples = examples(command);
        assert!(!examples.is_empty(), "`{name} --help` has no example");
        for example in examples {
            assert!(
                example.contains(&name),
                "an example of `{name}` is: {example}"
            );
        }
    }
}

/// Each runs as it stands, in a folder that holds the files of `tests/examples`.
#[test]
fn every_example_of_every_help_runs() {
    let program = Path::new(env!("CARGO_BIN_EXE_platespan")).parent().unwrap();
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap());
    let mut all = vec![platespan::cli::Cli::command()];
    all.extend(commands());
    for example in all.iter().flat_map(examples) {
        let place = Place::new();
        for file in std::fs::read_dir("tests/examples").unwrap() {
            let file = file.unwrap();
            std::fs::copy(file.path(), place.path().join(file.file_name())).unwrap();
        }
        let output = Command::new("bash")
            .args(["-o", "pipefail", "-c", &example])
            .current_dir(place.path())
            .env("PATH", &path)
            .env("HOME", place.path())
            .env("XDG_CONFIG_HOME", place.path().join("config"))
            .env("XDG_DATA_HOME", place.path().join("data"))
            .output()
            .unwrap();
        let errors = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{example}\n{errors}");
    }
}

#[test]
fn every_shell_gets_completions_of_every_command() {
    let place = Place::new();
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = stdout(place.platespan().args(["completions", shell]));
        for command in commands() {
            assert!(
                script.contains(command.get_name()),
                "{shell}: {}",
                command.get_name()
            );
        }
    }
    // bash itself takes them.
    place.file(
        "platespan.bash",
        &stdout(place.platespan().args(["completions", "bash"])),
    );
    let taken = Command::new("bash")
        .args(["-n", "platespan.bash"])
        .current_dir(place.path())
        .status()
        .unwrap();
    assert!(taken.success());
}

#[test]
fn every_command_has_a_manual_page() {
    let place = Place::new();
    // Twice: pages of an earlier version are replaced.
    for _ in 0..2 {
        stdout(place.platespan().args(["man", "deep/pages"]));
    }
    for command in commands() {
        let name = command.get_display_name().unwrap();
        let page = std::fs::read_to_string(place.path().join(format!("deep/pages/{name}.1")));
        let page = page.unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(page.contains(".SH SYNOPSIS"), "{name}");
    }
    let pages = std::fs::read_dir(place.path().join("deep/pages"))
        .unwrap()
        .count();
    assert_eq!(
        pages,
        commands().len() + 1,
        "and one for `platespan` itself"
    );
    place.file("file", "");
    let (_, errors, code) = run(place.platespan().args(["man", "file"]));
    assert_eq!(code, 1);
    assert!(errors.contains("cannot write `file`"), "{errors}");
}

#[test]
fn an_explanation_goes_from_the_words_to_the_figure() {
    let place = Place::new();
    let text = "loomfish, extra vellroot mash; ate half the vellroot mash";
    insta::assert_snapshot!(
        "explain_80",
        stdout(place.with_fixed_foods().args(["explain", text, "mash"]))
    );
    insta::assert_snapshot!(
        "explain_40",
        stdout(
            place
                .with_fixed_foods()
                .args(["explain", text, "mash", "--width", "40"])
        )
    );
    insta::assert_snapshot!(
        "explain_blend",
        stdout(place.with_fixed_foods().args([
            "explain",
            "dunmoss soup",
            "soup",
            "--energy",
            "kj",
            "--section",
            "Starters"
        ]))
    );
}

/// The figure at the end of the arithmetic is the figure of the answer.
#[test]
fn an_explanation_and_the_answer_agree() {
    let place = Place::new();
    let csv = stdout(place.with_fixed_foods().args([
        "estimate",
        "loomfish, vellroot mash",
        "--format",
        "csv",
    ]));
    let explained =
        stdout(
            place
                .with_fixed_foods()
                .args(["explain", "loomfish, vellroot mash", "loomfish"]),
        );
    let row = csv::Reader::from_reader(csv.as_bytes())
        .records()
        .next()
        .unwrap()
        .unwrap();
    let likely: f64 = row[5].parse().unwrap();
    assert!(
        explained.contains(&format!("= {likely:.0} kcal; low")),
        "{csv}\n{explained}"
    );
}

#[test]
fn what_is_not_on_the_plate_is_told_with_what_is() {
    let place = Place::new();
    let (_, errors, code) =
        run(place
            .with_fixed_foods()
            .args(["explain", "loomfish, vellroot mash", "gravy"]));
    assert_eq!(code, 2);
    insta::assert_snapshot!(errors, @r#"platespan: nothing on this plate is called "gravy"; it holds: Loomfish, baked; Vellroot mash"#);
}

#[test]
fn settings_say_where_each_value_came_from() {
    let place = Place::new();
    let shown = |args: &[&str]| stdout(place.platespan().arg("settings").args(args));
    insta::assert_snapshot!("settings_none", shown(&[]));
    place.file("config/platespan/own.toml", "");
    place.file(
        "config/platespan/settings.toml",
        "# at work\nenergy = \"kj\"\nmeasure = \"cups\"\nsetting = \"lunch\"\nlibraries = [\"own.toml\"]\neye = \"eye.toml\"\n",
    );
    place.file("more.toml", "");
    insta::assert_snapshot!(
        "settings_80",
        shown(&["--energy", "kcal", "--library", "more.toml"])
    );
    insta::assert_snapshot!("settings_40", shown(&["--width", "40"]));
}

#[test]
fn the_settings_file_speaks_for_the_flags_that_are_not_given() {
    let place = Place::new();
    let dish = "loomfish, vellroot mash";
    let answer =
        |args: &[&str]| stdout(place.with_fixed_foods().args(["estimate", dish]).args(args));
    let (kcal, kj) = (answer(&[]), answer(&["--energy", "kj", "--width", "40"]));
    assert!(kcal.contains("kcal") && kj.contains("kJ"));
    place.file(
        "config/platespan/settings.toml",
        "energy = \"kJ\"\nwidth = 40\n",
    );
    assert_eq!(answer(&[]), kj);
    assert_eq!(answer(&["--energy", "kcal", "--width", "80"]), kcal);
}

#[test]
fn libraries_of_the_settings_file_lie_under_those_of_a_command() {
    let place = Place::new();
    let food = |name: &str| {
        format!(
            "[[food]]\nid = \"quillbean\"\nname = \"{name}\"\naliases = [\"quillbean\"]\ncategory = \"potato\"\nsource = \"invented\"\nper_100g = {{ kcal = 100, protein = 5, fat = 0, carbohydrate = 20, fibre = 0 }}\n"
        )
    };
    place.file("config/platespan/own.toml", &food("Quillbean of the file"));
    place.file(
        "config/platespan/settings.toml",
        "libraries = [\"own.toml\"]\n",
    );
    let answer =
        |args: &[&str]| stdout(place.platespan().args(["estimate", "quillbean"]).args(args));
    assert!(answer(&[]).contains("Quillbean of the file"));
    place.file("flag.toml", &food("Quillbean of the flag"));
    assert!(answer(&["--library", "flag.toml"]).contains("Quillbean of the flag"));
}

#[test]
fn a_settings_file_that_says_what_cannot_be_is_told_with_its_line() {
    let place = Place::new();
    let errors = |text: &str| {
        place.file("config/platespan/settings.toml", text);
        let (_, errors, code) = run(place.platespan().args(["estimate", "tomato soup"]));
        assert_eq!(code, 2);
        errors.replace(&place.path().display().to_string(), "~")
    };
    insta::assert_snapshot!(errors("energy = \"kj\"\nwitdh = 60\n"), @"platespan: ~/config/platespan/settings.toml: line 2: `witdh` is no setting, did you mean `width`?; known are energy, measure, setting, width, libraries, eye");
    let setting = errors("\nsetting = \"moonbase\"\n");
    assert!(
        setting.starts_with("platespan: ~/config/platespan/settings.toml: line 2: there is no setting `moonbase`; choose one of main,"),
        "{setting}"
    );
    // What needs no settings works all the same.
    stdout(place.platespan().args(["completions", "bash"]));
}
