#!/bin/sh
# Serves the demo shop: brings the prerequisites, builds the program, serves its page and its interface on
# this machine until Ctrl-C. Can be run from anywhere; what was recorded stays in out/serve-demo.store.
#
#   sh examples/serve-demo.sh                            then open http://127.0.0.1:8080/
#   sh examples/serve-demo.sh --listen 127.0.0.1:9000    further options go to `elbowroom serve`
set -eu
cd "$(dirname "$0")/.."

. tests/prerequisites.sh
need_rust
need_build_tools

echo "building (the first time some minutes: the solver library is built from source)"
cargo build --release --quiet --locked --workspace --bin elbowroom

mkdir -p out
exec "${CARGO_TARGET_DIR:-target}/release/elbowroom" serve examples/ottergrund --store out/serve-demo.store "$@"
