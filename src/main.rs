//! `platespan`: parses the command line, calls the library, picks the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    platespan::cli::run()
}
