//! The `beatledger` command.

fn main() -> std::process::ExitCode {
    beatledger_desk::cli::run(std::env::args_os())
}
