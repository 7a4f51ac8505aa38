"""repeat.py TIMES SECONDS < IN.csv > OUT.csv: a recording TIMES over, its clock (first column, s) running on by SECONDS."""
import sys


def main():
    times, seconds = int(sys.argv[1]), float(sys.argv[2])
    sys.stdout.write(sys.stdin.readline())
    rows = [line.split(",", 1) for line in sys.stdin]
    for k in range(times):
        later = k * seconds
        part = rows if k == 0 else rows[1:]  # the last row of one is the first of the next
        sys.stdout.write("".join(f"{float(t) + later:.6f},{rest}" for t, rest in part))


if __name__ == "__main__":
    main()
