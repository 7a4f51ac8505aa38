#!/usr/bin/env bash
# compare.sh [PEERS [DIR]]: builds setdown, makes the files in DIR (kept for the
# next time; about 1.2 GB) and measures setdown, the peers and cat in turn. PEERS
# is the folder of peer.py and peer_expert.py; COMPARE holds more arguments of
# compare.py, such as "--pairs 9 --only m10".
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
peers=${1:-$here/../../../shared/peer} dir=${2:-${TMPDIR:-/tmp}/setdown-performance}
mkdir -p "$dir"
(cd "$here/../.." && CGO_ENABLED=0 go build -o "$dir/setdown" ./cmd/setdown)
"$here/makefiles.sh" "$dir/setdown" "$dir"
# shellcheck disable=SC2086 # COMPARE is a list of arguments
python3 "$here/compare.py" "$dir/setdown" "$dir" --peers "$peers" ${COMPARE:-}
