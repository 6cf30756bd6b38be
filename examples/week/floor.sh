#!/bin/sh
# Plays the shop floor for one day: reports what of a plan was to begin and to end on that day, as people
# at the cells would from their dispatch sheets. Changing over takes a fifth longer than planned, sawing a
# tenth longer, everything else as long as planned; one piece in fifty is scrap.
#
#   sh examples/week/floor.sh PROGRAM SHOP_FOLDER PLAN_FOLDER DAY
set -eu
program=$1 shop=$2 plan=$3 day=$4

# A local time of the shop, in winter, and so many minutes later.
moment() { date -u -d "$1 +0100 $2 minutes" +%Y-%m-%dT%H:%M:00Z; }
say() { "$program" record "$shop" "$@" --by floor > /dev/null; }

# Columns of dispatch.csv: 1 cell, 3 order, 5 step, 7 pieces, 8 changeover from, 9 run from, 10 end,
# 14 minutes of changeover, 15 minutes of run, 20 under way before the plan began. What happens first
# comes first.
tr -d '\r' < "$plan/dispatch.csv" | awk -F , -v day="$day" '
    NR == 1 { next }
    { over = int($14 / 5); more = $5 == "cut" ? int($15 / 10) : 0; scrap = int($7 / 50) }
    substr($8, 1, 10) == day && $20 == "no" {
        print $8 ",started," $1 "," $3 "," $5 ",0,0,0"
        if ($14 > 0 && substr($9, 1, 10) == day) print $9 ",counted," $1 "," $3 "," $5 "," over ",1,0"
    }
    substr($10, 1, 10) == day {
        print $10 ",finished," $1 "," $3 "," $5 "," over + more "," $7 - scrap "," scrap
    }' | sort | while IFS=, read -r time what cell order step later good scrap; do
    at=$(moment "$time" "$later")
    case $what in
        started) say started "$order" "$step" --cell "$cell" --at "$at" ;;
        counted) say counted "$order" "$step" --good "$good" --at "$at" ;;
        finished) say finished "$order" "$step" --good "$good" --scrap "$scrap" --cell "$cell" --at "$at" ;;
    esac
done
echo "reported: what was to begin and to end on $day"
