#!/bin/sh
# Two inquiries for the demo shop, asked, accepted and planned: one goes without a new die, one buys it.
# Works on a copy in out/die-or-no-die; the same numbers on every run.
#
#   sh examples/die-or-no-die.sh
#
# Tests set ELBOWROOM (the program), STORY_OUT (the folder) and STORY_STEPS (how long to search).
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
out=${STORY_OUT:-out/die-or-no-die}
shop=$out/shop

rm -rf "$out"
mkdir -p "$out"
cp -R examples/ottergrund "$shop"
grep -v '^O-2614,\|^O-2659,' examples/ottergrund/orders.csv > "$shop/orders.csv"

same="--steps ${STORY_STEPS:-8000} --threads 2 --seed 1"   # the same plan on every machine
plan() { "$program" plan "$shop" $same --seconds 120 --out "$out/$1" > "$out/$1.txt" 2>&1; }
asked() { "$program" promise "$shop" --plan "$out/before" --threads 2 --accept "$@" 2>/dev/null; }

echo "1/4 the plan before the customers call"
plan before
echo "2/4 the customers call"
asked --order O-2614 --part HR-704 --qty 24 --wanted 2026-12-16 --customer "Stiegenbau Quarz" > "$out/O-2614.txt"
asked --order O-2659 --part BR-205 --qty 3600 --wanted 2027-01-29 --material 2026-12-07 \
    --customer "Firnstadt Street Works" > "$out/O-2659.txt"
for order in O-2614 O-2659; do
    sed -n '/^Promise/,/^$/p' "$out/$order.txt"
done
echo "3/4 both orders are booked; the plan with them"
plan after
grep -E '^O-26(14|59)' "$out/after/orders.txt"
grep -E 'CP-28.6x85.8' "$out/after/tooling.txt"
echo "4/4 the tooling question for that plan"
"$program" tooling "$shop" --plan "$out/after" --threads 2 > "$out/tooling.txt" 2>&1
grep -A 4 -E '^== (CP-28.6x85.8|BD-42.2x126.5)' "$out/tooling.txt"
echo
echo "the whole answers: $out/O-2614.txt, $out/O-2659.txt, $out/tooling.txt, $out/before, $out/after"
