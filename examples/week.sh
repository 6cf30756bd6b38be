#!/bin/sh
# The planner's week on a copy of the demo shop in out/week, command by command; examples/week.md is the
# text to it. Every command is shown before it runs.
#
#   sh examples/week.sh
#
# Tests set ELBOWROOM (the program), WEEK_OUT (the folder) and WEEK_SEARCH (how long to search).
set -eu
cd "$(dirname "$0")/.."
program=${ELBOWROOM:-}
if [ -z "$program" ]; then
    . tests/prerequisites.sh
    need_rust
    need_build_tools
    cargo build --release --quiet --locked --workspace --bin elbowroom
    program="${CARGO_TARGET_DIR:-target}/release/elbowroom"
fi
out=${WEEK_OUT:-out/week}
shop=$out/shop
search=${WEEK_SEARCH:---seconds 10 --steps 2000 --threads 2 --seed 1}

rm -rf "$out"
mkdir -p "$out"
cp -R examples/ottergrund "$shop"

day() { printf '\n== %s\n' "$*"; }
run() {
    printf '$ elbowroom %s\n' "$*"
    "$program" "$@"
}

day "Monday, 7 December: the order system's export, the week's plan, sheets for the cells"
run import "$shop" examples/week/orders-monday.csv --mapping examples/week/mapping.toml
run import "$shop" examples/week/orders-monday.csv --mapping examples/week/mapping.toml --apply > "$out/import.txt"
# shellcheck disable=SC2086
run plan "$shop" $search --publish --by planner --why "the week" --now 2026-12-07T05:00:00+01:00 \
    --out "$out/monday" > "$out/monday.txt"
ls "$out/monday" | grep '^sheet-' | tr '\n' ' '

day "Tuesday, 8 December, a holiday: the sheets of Monday are typed in"
sh examples/week/floor.sh "$program" "$shop" "$out/monday" 2026-12-07

day "Wednesday, 9 December: draw-1 stands still until tomorrow night"
run notice "$shop" down draw-1 --from 2026-12-09 --until 2026-12-10 --why "spindle bearing"
# shellcheck disable=SC2086
run plan "$shop" $search --publish --by planner --why "draw-1 down" --now 2026-12-09T05:30:00+01:00 \
    --out "$out/wednesday" > "$out/wednesday.txt"
run compare "$out/monday" "$out/wednesday"

day "Thursday, 10 December: yesterday's sheets, and what if"
sh examples/week/floor.sh "$program" "$shop" "$out/wednesday" 2026-12-09
# shellcheck disable=SC2086
run what-if "$shop" examples/week/thursday.toml --now 2026-12-10T05:30:00+01:00 $search

day "Friday, 11 December: look back, and what the times say"
sh examples/week/floor.sh "$program" "$shop" "$out/wednesday" 2026-12-10
run look-back "$shop" --from 2026-12-07 --until 2026-12-10 --out "$out/friday"
run estimates "$shop" --from 2026-12-07 --until 2026-12-10
run estimates "$shop" --from 2026-12-07 --until 2026-12-10 --write > "$out/estimates.txt"

day "Friday afternoon: today's sheets so far, and the next week"
sh examples/week/floor.sh "$program" "$shop" "$out/wednesday" 2026-12-11 15:00
run notice "$shop" --remove 1
# shellcheck disable=SC2086
run plan "$shop" $search --publish --by planner --why "the next week" --now 2026-12-11T15:00:00+01:00 \
    --start 2026-12-14 --out "$out/next" > "$out/next.txt"
head -n 3 "$out/next.txt"
