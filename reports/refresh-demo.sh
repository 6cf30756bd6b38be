#!/bin/sh
# Plans the demo shop anew and keeps the small files of the plan in reports/demo. With a fixed seed,
# number of threads and number of steps the plan is the same on every machine.
set -eu
cd "$(dirname "$0")/.."
. tests/prerequisites.sh
need_rust
need_build_tools
cargo build --release --quiet --locked --workspace --bin elbowroom
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
"${CARGO_TARGET_DIR:-target}/release/elbowroom" plan examples/ottergrund \
    --seconds 600 --steps 1000000 --threads 2 --seed 1 --out "$out/plan"
mkdir -p reports/demo
for file in summary.txt orders.txt dispatch.txt tooling.txt no-tooling.txt load.txt load.svg \
    machine-time-2026-W50.svg machine-time-2026-W51.svg; do
    cp "$out/plan/$file" reports/demo/
done
