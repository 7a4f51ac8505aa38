#!/usr/bin/env bash
# instructions.sh: counts the instructions that one analysis of a 1 min pair
# takes (valgrind's callgrind, one thread) and compares with the committed
# figure. Prints both; fails only where the count grew by more than 30 %.
# instructions.sh --update writes the figure anew. Time on a shared machine says
# nothing; a count hardly depends on it. Needs Debian's valgrind.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
kept=$here/instructions.txt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# Without C code, without asynchronous preemption, whose signals callgrind cannot
# follow, and without RDTSCP, which it does not know.
(cd "$here/../.." && CGO_ENABLED=0 go build -o "$work/setdown" ./cmd/setdown)
"$work/setdown" simulate --minutes 1 --seed 1 --rate 200 --right-gain 0.5 --out "$work/sim" >/dev/null
GODEBUG=asyncpreemptoff=1,cpu.rdtscp=off GOMAXPROCS=1 valgrind --tool=callgrind --callgrind-out-file="$work/calls" \
    "$work/setdown" analyze --left "$work/sim/left_foot.csv" --right "$work/sim/right_foot.csv" \
    --format csv,json --out "$work/out" >"$work/log" 2>&1 || { cat "$work/log"; exit 1; }
count=$(sed -n 's/^summary: //p; s/^totals: //p' "$work/calls" | head -1)
if [ "${1:-}" = --update ]; then
    echo "$count" >"$kept"
fi
figure=$(cat "$kept")
echo "instructions of a 1 min pair: $count, committed: $figure ($((100 * count / figure)) %)"
if [ "$count" -gt $((figure * 130 / 100)) ]; then
    echo "more than 30 % above the committed figure: find out why, or update it with $0 --update" >&2
    exit 1
fi
