#!/bin/sh
# Passes the tests: brings its prerequisites, then formatting, lints and every test of the workspace.
#
#   sh tests/run.sh              everything
#   sh tests/run.sh -p NAME ...  the tests that `cargo test -p NAME ...` would run
set -eu
cd "$(dirname "$0")/.."
. tests/prerequisites.sh
need_rust
need_build_tools
need_python

if [ $# -gt 0 ]; then
    exec cargo test "$@"
fi

need_chromium
need_testers

echo "formatting"
cargo fmt --all --check
echo "lints"
cargo clippy --quiet --workspace --all-targets -- -D warnings
echo "documentation"
RUSTDOCFLAGS="-D warnings" cargo doc --quiet --workspace --no-deps
echo "tests"
cargo build --quiet --workspace --bin elbowroom
cargo test --workspace
