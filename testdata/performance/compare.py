"""compare.py SETDOWN DATA --peers DIR [--pairs N] [--only WORK,...]: speed side by side.

Each work is done by setdown, peer.py and peer_expert.py in turn, N times over, on the same files; medians and their
ratios are printed as a Markdown table. Wall time, CPU time (user + system, children included) and peak memory (of the
largest process) are those that the system gives. A ratio says how many times as long the peer takes.
"""
import argparse
import os
import shutil
import statistics
import sys
import tempfile
import time

PYTHON = "/usr/bin/python3"  # the one that Debian's NumPy, SciPy and pandas are for


def measure(command):
    """Runs a command and returns (wall s, CPU s, peak MiB)."""
    quiet = os.open(os.devnull, os.O_RDWR)
    env = dict(os.environ, PYTHONDONTWRITEBYTECODE="1")
    actions = [(os.POSIX_SPAWN_DUP2, quiet, fd) for fd in (0, 1, 2)]
    began = time.perf_counter()
    pid = os.posix_spawnp(command[0], command, env, file_actions=actions)
    _, status, used = os.wait4(pid, 0)
    wall = time.perf_counter() - began
    os.close(quiet)
    if status != 0:
        sys.exit(f"failed with status {status}: {' '.join(command)}")
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


class Work:
    def __init__(self, name, commands, files):
        self.name, self.commands, self.files = name, commands, files
        self.runs = {who: [] for who in commands}

    def once(self, out):
        for who, command in self.commands.items():
            shutil.rmtree(out, ignore_errors=True)
            os.mkdir(out)
            self.runs[who].append(measure(command))

    def median(self, who, what):
        return statistics.median(r[what] for r in self.runs[who])

    def size(self):
        return sum(os.path.getsize(f) for f in self.files) / 1e6


def works(setdown, data, peers, out):
    """All works by name; the longest is setdown's alone."""
    found = {}
    for minutes in (1, 10, 60, 600):
        pair = [f"{data}/m{minutes}_left.csv", f"{data}/m{minutes}_right.csv"]
        own = [setdown, "analyze", "--left", pair[0], "--right", pair[1]]
        commands = {"setdown": own + ["--format", "csv,json", "--out", f"{out}/own"]}
        if minutes < 600:
            for p in ("peer", "peer_expert"):
                commands[p] = [PYTHON, f"{peers}/{p}.py", *pair, f"{out}/peer.csv"]
        if minutes == 60:
            commands["cat"] = ["sh", "-c", 'cat "$@" | cat >/dev/null', "sh", *pair]
            commands["page"] = own + ["--out", f"{out}/page"]
        found[f"m{minutes}"] = Work(f"{minutes} min pair", commands, pair)
    commands = {"setdown": [setdown, "batch", f"{data}/batch", "--out", f"{out}/own"]}
    for p in ("peer", "peer_expert"):
        commands[p] = [PYTHON, f"{peers}/{p}.py", "--batch", f"{data}/batch", f"{out}/peer"]
    found["batch"] = Work("batch, 200 pairs of 2 min", commands, [e.path for e in os.scandir(f"{data}/batch")])
    return found


def report(w):
    own = [w.median("setdown", i) for i in range(3)]
    cells = [w.name, f"{w.size():.1f}", f"{own[0]:.2f}", f"{own[1]:.2f}", f"{own[2]:.0f}"]
    for who, what in (("peer", 0), ("peer", 1), ("peer_expert", 0), ("peer_expert", 1)):
        cells.append(f"{w.median(who, what) / own[what]:.1f}x" if who in w.runs else "")
    cells.append(f"{w.median('peer', 2):.0f}" if "peer" in w.runs else "")
    print("| " + " | ".join(cells) + " |", flush=True)
    if "cat" in w.runs:
        return (f"60 min pair: {own[0] / w.median('cat', 0):.1f} times the wall time and {own[1] / w.median('cat', 1):.1f} times the CPU "
                f"time of cat FILES | cat >/dev/null; the page takes {w.median('page', 0) - own[0]:.2f} s more")
    return ""


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("setdown")
    ap.add_argument("data")
    ap.add_argument("--pairs", type=int, default=5)
    ap.add_argument("--only", default="m1,m10,m60,batch,m600")
    ap.add_argument("--peers", required=True)
    o = ap.parse_args()
    notes = []
    with tempfile.TemporaryDirectory() as top:
        out = f"{top}/out"
        all_works = works(o.setdown, o.data, o.peers, out)
        print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, medians of {o.pairs}\n")
        print("| work | MB | wall s | CPU s | peak MiB | wall, peer | CPU, peer | wall, expert | CPU, expert | peer's MiB |")
        print("|---|---|---|---|---|---|---|---|---|---|", flush=True)
        for name in o.only.split(","):
            for _ in range(o.pairs):
                all_works[name].once(out)
            notes.append(report(all_works[name]))
        print("\n" + "\n".join(n for n in notes if n) + f"\nload {os.getloadavg()[0]:.1f} at the end")


if __name__ == "__main__":
    main()
