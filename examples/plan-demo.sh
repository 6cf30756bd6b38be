#!/bin/sh
# Plans two weeks of the demo shop: brings the prerequisites, builds the program, plans, and says where
# to look. Can be run from anywhere and as often as you like; the second time it only plans.
#
#   sh examples/plan-demo.sh                  plans for 10 seconds into out/demo
#   sh examples/plan-demo.sh --seconds 60     further options go to `elbowroom plan`
set -eu
cd "$(dirname "$0")/.."
shop=examples/ottergrund
out=out/demo

. tests/prerequisites.sh
echo "1/3 looking for Rust, a C++ compiler, cmake and libclang"
need_rust
need_build_tools

echo "2/3 building (the first time some minutes: the solver library is built from source)"
cargo build --release --quiet --locked --workspace --bin elbowroom

echo "3/3 planning $shop"
program="${CARGO_TARGET_DIR:-target}/release/elbowroom"
if [ $# -eq 0 ]; then
    set -- --seconds 10 --seed 1
fi
"$program" plan "$shop" --out "$out" "$@"

echo
echo "What to look for in this plan: examples/README.md"
echo "To plan it yourself: $program plan $shop --out $out"
