#!/bin/sh
# Plays the shop floor for one day: reports what of a plan was to begin and to end on that day, as people
# at the cells would from their dispatch sheets. Changing over takes a fifth longer than planned, sawing a
# tenth longer, everything else as long as planned; one piece in fifty is scrap. A lot begins when it was
# planned to, or when its cell and its pieces are free if that is later.
#
#   sh examples/week/floor.sh PROGRAM SHOP_FOLDER PLAN_FOLDER DAY [HH:MM]
#
# With a time of day only what had happened by then.
set -eu
program=$1 shop=$2 plan=$3 day=$4 until=${5:-24:00}

# A local time of the shop, in winter, and so many minutes later.
moment() { date -u -d "$1 +0100 $2 minutes" +%Y-%m-%dT%H:%M:00Z; }
say() { "$program" record "$shop" "$@" --by floor > /dev/null; }

# Columns of dispatch.csv: 1 cell, 3 order, 5 step, 7 pieces; 8 changeover from, 9 run from, 10 end, and the
# same in minutes of the plan in 11 to 13; 14 minutes of changeover, 15 minutes of run, 20 under way before
# the plan began. Lots are taken in the order in which they begin, reports in that in which they happen.
tr -d '\r' < "$plan/dispatch.csv" | sed 1d | sort -t , -k 11,11n | awk -F , -v day="$day" -v until="$until" '
    function clock(text) { return substr(text, 1, 2) * 60 + substr(text, 4, 2) }
    function happens(stamp, later, text) {
        if (clock(substr(stamp, 12, 5)) + later <= clock(until)) print stamp "," later "," text
    }
    {
        over = int($14 / 5); more = $5 == "cut" ? int($15 / 10) : 0; scrap = int($7 / 50)
        begins = substr($8, 1, 10) == day && $20 == "no"; ends = substr($10, 1, 10) == day
        late = 0
        if (begins && free[$1] > $11) late = free[$1] - $11
        if (begins && done[$3] > $11 + late) late = done[$3] - $11
        if (begins) {
            happens($8, late, "started," $1 "," $3 "," $5 ",0,0")
            if ($14 > 0 && substr($9, 1, 10) == day) happens($9, late + over, "counted," $1 "," $3 "," $5 ",1,0")
        }
        if (ends) happens($10, late + over + more, "finished," $1 "," $3 "," $5 "," $7 - scrap "," scrap)
        if (begins || ends) free[$1] = done[$3] = $13 + late + over + more
    }' | while IFS=, read -r time later rest; do
    echo "$(moment "$time" "$later"),$rest"
done | sort | while IFS=, read -r at what cell order step good scrap; do
    case $what in
        started) say started "$order" "$step" --cell "$cell" --at "$at" ;;
        counted) say counted "$order" "$step" --good "$good" --at "$at" ;;
        finished) say finished "$order" "$step" --good "$good" --scrap "$scrap" --cell "$cell" --at "$at" ;;
    esac
done
echo "reported: what was to begin and to end on $day"
