//! Running the built `elbowroom` program as a user would.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;

/// The root of the repository.
pub fn repository() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the tests lie inside the repository")
}

/// The built program, in the same profile as the tests. Built once where that has not been done.
pub fn program() -> &'static Path {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM.get_or_init(|| {
        let test = std::env::current_exe().expect("a running test has a path");
        let here = test.parent().expect("a program lies in a folder");
        // Tests lie in target/PROFILE/deps, benchmarks in target/PROFILE.
        let folder = if here.ends_with("deps") { here.parent().unwrap_or(here) } else { here };
        // The toolchain's own cargo, started by hand, would heed the toolchain files of dependencies.
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut build = Command::new(cargo);
        build.current_dir(repository()).args(["build", "--quiet", "--workspace", "--bin", "elbowroom"]);
        if folder.ends_with("release") {
            build.arg("--release");
        }
        assert!(build.status().expect("cargo can be started").success(), "the program does not build");
        folder.join(format!("elbowroom{}", std::env::consts::EXE_SUFFIX))
    })
}

/// What the program did.
#[derive(Debug)]
pub struct Ran {
    /// Its exit code.
    pub code: i32,
    /// What it printed.
    pub stdout: String,
    /// What it told apart from its results.
    pub stderr: String,
}

impl Ran {
    /// Its standard output as JSON.
    ///
    /// # Panics
    /// If it is none.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("no JSON ({error}): {self:?}"))
    }
}

/// Runs the program with these arguments, in the root of the repository.
///
/// # Panics
/// If it cannot be started or is ended by a signal.
pub fn run<S: AsRef<std::ffi::OsStr>>(arguments: &[S]) -> Ran {
    let output = Command::new(program())
        .current_dir(repository())
        .args(arguments)
        .output()
        .expect("the program can be started");
    ran(&output)
}

/// Reads what a finished process printed.
///
/// # Panics
/// If it was ended by a signal.
pub fn ran(output: &Output) -> Ran {
    Ran {
        code: output.status.code().expect("the process ended by itself"),
        stdout: String::from_utf8_lossy(&output.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Runs a script of `tests/referee` with Python 3.
///
/// # Panics
/// If Python cannot be started: the tests need it (`tests/prerequisites.sh` brings it).
pub fn python<S: AsRef<std::ffi::OsStr>>(script: &str, arguments: &[S]) -> Ran {
    let output = Command::new("python3")
        .arg(repository().join("tests/referee").join(script))
        .args(arguments)
        .output()
        .expect("the tests need python3 for the independent referee");
    ran(&output)
}
