"""turn.py < SENSOR.csv > OUT.csv: a simulated sensor file as the peer scripts read it.

The heading becomes t,ax,ay,az,gx,gy,gz, and the sensor is turned by half a turn about its third axis: the peers want
the second angular rate positive in swing. Digits stay as they are.
"""
import sys


def negative(cell):
    return cell[1:] if cell[0] == "-" else "-" + cell


def main():
    sys.stdin.readline()
    sys.stdout.write("t,ax,ay,az,gx,gy,gz\n")
    for line in sys.stdin:
        t, ax, ay, az, gx, gy, gz = line.rstrip("\n").split(",")
        sys.stdout.write(f"{t},{negative(ax)},{negative(ay)},{az},{negative(gx)},{negative(gy)},{gz}\n")


if __name__ == "__main__":
    main()
