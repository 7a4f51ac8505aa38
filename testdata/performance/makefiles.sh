#!/usr/bin/env bash
# makefiles.sh SETDOWN DIR: the files that speed is measured on, made by the
# tool's own simulator: pairs of 1, 10, 60 and 600 min at 200 Hz with 6 digits,
# and batch/ with 200 pairs of 2 min. What is there already is kept.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
setdown=$1 dir=$2
mkdir -p "$dir/batch"

pair() { # MINUTES SEED NAME
    if [ ! -e "$dir/$3_right.csv" ]; then
        work=$(mktemp -d "$dir/.work-XXXXXX")
        "$setdown" simulate --minutes "$1" --seed "$2" --rate 200 --right-gain 0.5 --out "$work/sim" >/dev/null
        for side in left right; do
            python3 "$here/turn.py" <"$work/sim/${side}_foot.csv" >"$work/$side"
            mv "$work/$side" "$dir/$3_$side.csv"
        done
        rm -r "$work"
    fi
}

for minutes in 1 10 60; do pair $minutes $minutes m$minutes; done
for side in left right; do
    long=$dir/m600_$side.csv
    if [ ! -e "$long" ]; then
        python3 "$here/repeat.py" 10 3600 <"$dir/m60_$side.csv" >"$long.part"
        mv "$long.part" "$long"
    fi
done
# Twenty different pairs, each under ten names.
for k in $(seq 0 199); do
    seed=$((100 + k % 20))
    pair 2 $seed "m2s$seed"
    for side in left right; do
        ln -f "$dir/m2s${seed}_$side.csv" "$dir/batch/$(printf 'rec%03d_%s.csv' "$k" "$side")"
    done
done
