//! `platespan completions` and `platespan man`: what a shell and a manual reader need, from the commands' own words.

use super::{Cli, CliError, print};
use clap::{Args, CommandFactory};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `platespan completions`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan completions bash > platespan.bash
  platespan completions fish > platespan.fish

Where a shell looks for them: bash in ~/.local/share/bash-completion/completions/platespan, fish in
~/.config/fish/completions/platespan.fish, zsh in a file `_platespan` of a folder in $fpath.")]
pub struct CompletionsArgs {
    /// The shell they are for
    #[arg(value_enum)]
    shell: clap_complete::Shell,
}

/// Arguments of `platespan man`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan man pages
  platespan man ~/.local/share/man/man1")]
pub struct ManArgs {
    /// Folder to write them to; it is made where it is not there, and pages of an earlier version are replaced
    folder: PathBuf,
}

/// Prints the completions of a shell.
pub fn completions(args: &CompletionsArgs) -> Result<ExitCode, CliError> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "platespan", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(ExitCode::SUCCESS)
}

/// Writes a manual page for each command.
pub fn man(args: &ManArgs) -> Result<ExitCode, CliError> {
    std::fs::create_dir_all(&args.folder).map_err(|source| CliError::Write {
        path: args.folder.clone(),
        source,
    })?;
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    let mut written = 0;
    page(&command, &args.folder, &mut written)?;
    print(&format!(
        "wrote {written} manual pages to {}; read one with `man -l {}`\n",
        args.folder.display(),
        args.folder.join("platespan.1").display()
    ))?;
    Ok(ExitCode::SUCCESS)
}

fn page(command: &clap::Command, folder: &Path, written: &mut usize) -> Result<(), CliError> {
    let name = command
        .get_display_name()
        .unwrap_or_else(|| command.get_name())
        .to_owned();
    let path = folder.join(format!("{name}.1"));
    let mut text = Vec::new();
    let failed = |source| CliError::Write {
        path: path.clone(),
        source,
    };
    clap_mangen::Man::new(command.clone().name(name))
        .render(&mut text)
        .map_err(failed)?;
    super::save::replace(&path, &text, for_everybody()).map_err(failed)?;
    *written += 1;
    command
        .get_subcommands()
        .filter(|command| !command.is_hide_set())
        .try_for_each(|command| page(command, folder, written))
}

/// A manual page is for everybody to read.
fn for_everybody() -> Option<std::fs::Permissions> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        Some(std::fs::Permissions::from_mode(0o644))
    }
    #[cfg(not(unix))]
    None
}
