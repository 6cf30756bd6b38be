#!/bin/sh
# Measures everything and makes reports/benchmarks.md anew, in one go.
#
#   sh reports/refresh-benchmarks.sh [SECONDS [FOLDER [EVERY]]]
#
# SECONDS is the time of each solve (default 10), FOLDER one of published instances (see the help of
# `bench`; without it their section is left out), EVERY takes each so-manieth instance of a set
# (default 1). The general solver beside ours needs Python with the `ortools` package and is left
# out without it. With 10 s and no folder it takes some fifty minutes. Leave the machine alone meanwhile.
set -eu
cd "$(dirname "$0")/.."
. tests/prerequisites.sh
need_rust
need_build_tools
need_python
seconds=${1:-10}
folder=${2:-}
every=${3:-1}
# All of the workspace at once: other selections take other features and compile the solver library anew.
cargo build --release --quiet --locked --workspace --bins
bench="${CARGO_TARGET_DIR:-target}/release/bench"
page=$(mktemp)
trap 'rm -f "$page"' EXIT

# A section: its title, and what `bench` prints for it.
section() {
    title=$1
    shift
    echo "measuring: $title" >&2
    printf '\n## %s\n\n' "$title" >>"$page"
    "$bench" --bare "$@" >>"$page"
}

{
    printf '# Benchmarks\n\nMade by `sh reports/refresh-benchmarks.sh'
    printf ' %s' "$seconds" ${folder:+FOLDER} ${folder:+"$every"}
    printf '`. Machines are noisy: look at ratios.\n\n'
    "$bench" heading
    python3 -c 'import ortools; print("- general solver: OR-Tools", ortools.__version__)' 2>/dev/null || true
} >"$page"
section "The reference shops" calls
if python3 -c 'import ortools' 2>/dev/null; then
    section "Cost and bound, and a general constraint solver beside" peer "$seconds"
else
    section "Cost and bound" shops "$seconds"
fi
section "Cost and bound after a second" shops 1
section "Cost and bound after a minute" shops 60
section "Small shops proved" proofs 60
section "Cost against seconds" curves
section "Shops of growing size" sizes "$seconds"
section "Stopping" stops
section "The program on the demo shop" program
section "Parts and books" book
section "A schedule carried out by chance" rehearsal
section "Promises" promise
section "Plans anew" replan
section "Imports" import
section "Reports" report
section "Cutting plans" cutting
if [ -n "$folder" ]; then
    section "Published instances" published "$folder" "$seconds" --every "$every"
    section "Unrelated machines with setups, the larger instances" \
        published "$folder" 60 --set upmsp_sdst_large --every 2
fi
mv "$page" reports/benchmarks.md
chmod 644 reports/benchmarks.md
trap - EXIT
echo "reports/benchmarks.md is new" >&2
