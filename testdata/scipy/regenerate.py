#!/usr/bin/python3
"""Recompute every reference value that the tests take from SciPy and NumPy.

    /usr/bin/python3 testdata/scipy/regenerate.py [--out FOLDER] [FAMILY ...]

writes one JSON file for each family into FOLDER (default: the folder of this
script). The files are committed; a test runs this script into a temporary
folder and compares, so that the reference is live and not a frozen list.

To add a family, write a function that returns numbers, lists, strings and
dictionaries of them, and put @family above it: the function's name is the name
of the file. Inputs that a Go test needs belong in the file beside the results.
Inputs are made with integer arithmetic or taken from a source that is named,
never from a random generator of a library.
"""

import argparse
import json
import math
import pathlib

import numpy as np
import scipy
from scipy import interpolate, signal, stats
from scipy.spatial.transform import Rotation, Slerp

FAMILIES = {}


def family(function):
    """Register a function whose result becomes NAME.json."""
    FAMILIES[function.__name__] = function
    return function


def noise(count, seed=12345):
    """count values from -0.5 to 0.5 of the linear congruential generator
    s = (1664525 s + 1013904223) mod 2**32, stepped before each draw."""
    values = []
    for _ in range(count):
        seed = (1664525 * seed + 1013904223) % 2**32
        values.append(seed / 2**32 - 0.5)
    return np.array(values)


def wave(count):
    """A slow wave on an offset with noise, as an accelerometer axis shows."""
    return 9.81 + 3 * np.sin(np.arange(count) / 40) + noise(count, 99)


DESIGNS = [
    (order, kind, cutoff, rate)
    for order in (1, 2, 3, 4, 5, 8)
    for kind in ("lowpass", "highpass")
    for cutoff, rate in ((0.5, 100), (6, 60), (10, 100), (10, 200), (12, 100), (20, 200), (30, 400), (95, 200), (0.1, 1000))
]


@family
def butterworth():
    """Coefficients, steady states and gains of Butterworth designs."""
    cases = []
    for order, kind, cutoff, rate in DESIGNS:
        b, a = signal.butter(order, cutoff, kind, fs=rate)
        case = {"order": order, "kind": kind, "cutoff_hz": cutoff, "rate_hz": rate, "b": b, "a": a}
        frequencies = np.array([0, 0.1, 0.25, 0.5, 0.75, 0.9, 0.999]) * rate / 2
        sos = signal.butter(order, cutoff, kind, fs=rate, output="sos")
        case["gain_at_hz"] = frequencies
        case["gain"] = np.abs(signal.sosfreqz(sos, frequencies, fs=rate)[1])
        cases.append(case)
    b, a = signal.butter(2, 20, fs=200)
    return {
        "designs": cases,
        "step_response": signal.lfilter(b, a, np.ones(6)),
        "steady_state": signal.lfilter_zi(b, a),
    }


@family
def zero_phase():
    """Zero-phase output: filtfilt with odd padding, as polynomials for a short
    series and as sections for longer ones."""
    b, a = signal.butter(2, 20, fs=200)
    squares = np.arange(16.0) ** 2
    cases = []
    for order, kind, cutoff, rate in DESIGNS:
        x = wave(400)
        sos = signal.butter(order, cutoff, kind, fs=rate, output="sos")
        # The default of sosfiltfilt, written out: 3 (order + 1).
        y = signal.sosfiltfilt(sos, x, padtype="odd", padlen=3 * (order + 1))
        assert np.array_equal(y, signal.sosfiltfilt(sos, x))
        cases.append({"order": order, "kind": kind, "cutoff_hz": cutoff, "rate_hz": rate, "y": y[::7]})
    return {
        "squares": signal.filtfilt(b, a, squares, padtype="odd", padlen=9),
        "squares_without_padding": signal.filtfilt(b, a, squares, padtype=None),
        "x": wave(400),
        "every": 7,
        "designs": cases,
    }


@family
def dual_pass():
    """Cut-off of one pass for a given cut-off of two, found from the gain of
    the designed filter by bisection, without the closed formula."""
    cases = []
    for order in (1, 2, 3, 4):
        for cutoff, rate in ((10, 200), (20, 200), (10, 100), (6, 60), (12, 400), (50, 200), (90, 200)):
            low, high = cutoff, rate / 2 - 1e-9
            for _ in range(200):
                middle = (low + high) / 2
                sos = signal.butter(order, middle, fs=rate, output="sos")
                gain = abs(signal.sosfreqz(sos, [cutoff], fs=rate)[1][0]) ** 2
                low, high = (middle, high) if gain < math.sqrt(0.5) else (low, middle)
            cases.append({"order": order, "cutoff_hz": cutoff, "rate_hz": rate, "one_pass_hz": (low + high) / 2})
    return {"designs": cases}


@family
def residual():
    """Winter's residual analysis on a series of two sines and noise."""
    t = np.arange(500) / 100
    x = 10 * np.sin(2 * np.pi * t) + 3 * np.sin(6 * np.pi * t + 0.5) + noise(500)
    cutoffs = np.arange(1, 31)
    r = []
    for cutoff in cutoffs:
        b, a = signal.butter(2, cutoff, fs=100)
        y = signal.filtfilt(b, a, x, padtype="odd", padlen=9)
        r.append(math.sqrt(np.mean((x - y) ** 2)))
    line = stats.linregress(cutoffs[11:], r[11:])
    below = next(i for i, v in enumerate(r) if v <= line.intercept)
    part = (r[below - 1] - line.intercept) / (r[below - 1] - r[below])
    return {
        "x": x, "rate_hz": 100, "cutoffs_hz": cutoffs, "residual": r, "tail_from_hz": 12,
        "intercept": line.intercept, "slope": line.slope, "chosen_hz": cutoffs[below - 1] + part,
    }


@family
def smoothing():
    """Savitzky-Golay weights and output, and the linear trend."""
    weights = [
        {"window": w, "degree": d, "derivative": k, "weights": signal.savgol_coeffs(w, d, deriv=k, use="dot")}
        for w, d, k in ((5, 2, 0), (5, 2, 1), (7, 2, 0), (7, 4, 1), (11, 3, 0), (11, 3, 1), (21, 4, 2), (31, 5, 0))
    ]
    x = wave(60)
    return {
        "weights": weights,
        "x": x,
        "smooth_11_3": signal.savgol_filter(x, 11, 3, mode="interp"),
        "derivative_11_3_200hz": signal.savgol_filter(x, 11, 3, deriv=1, delta=1 / 200, mode="interp"),
        "detrended": signal.detrend([1, 2, 4, 7, 11, 16]),
    }


@family
def between_samples():
    """Values between samples: the cubic through the four nearest ones."""
    x = wave(30)
    positions = np.array([0.0, 0.3, 1.0, 1.5, 7.25, 13.875, 28.5, 29.0])
    values = []
    for p in positions:
        first = min(max(int(p) - 1, 0), len(x) - 4)
        values.append(float(interpolate.lagrange(np.arange(4.0), x[first:first + 4])(p - first)))
    return {"x": x, "positions": positions, "cubic": values}


@family
def welch():
    """Power density by Welch's method: periodic Hann, constant detrend."""
    n = np.arange(1000)
    sine = 2 * np.sin(2 * np.pi * 3 * n / 100)
    f, p = signal.welch(sine, 100, "hann", 200, 100, detrend="constant")
    m = np.arange(64)
    mixed = np.sin(2 * np.pi * 8 * m / 64) + 0.25 * ((7 * m) % 5)
    fm, pm = signal.welch(mixed, 64, "hann", 32, 16, detrend="constant")
    fw, pw = signal.welch(wave(500), 200, "hann", 100, 75, detrend="constant")
    return {
        "hann_8": signal.windows.hann(8, sym=False),
        "sine": {"frequency": f, "power": p},
        "mixed": {"frequency": fm, "power": pm},
        "wave": {"x": wave(500), "frequency": fw, "power": pw},
    }


@family
def rotation():
    """Quaternions w, x, y, z; active; column vectors; angles in degrees."""

    def wxyz(r):
        x, y, z, w = r.as_quat()
        sign = 1 if w >= 0 else -1
        return sign * np.array([w, x, y, z])

    euler = [(90, 45, 30), (30, -20, 10), (-170, 80, 100), (10, -89, -150), (179, 0, -179)]
    rate = np.radians([20, 100, -30])
    turned = Rotation.from_rotvec(rate * 0.5)
    x90, y90 = Rotation.from_euler("x", 90, degrees=True), Rotation.from_euler("y", 90, degrees=True)
    ends = Rotation.from_euler("z", [0, 90], degrees=True)
    return {
        "intrinsic_zyx": [
            {"deg": e, "q": wxyz(Rotation.from_euler("ZYX", e, degrees=True)), "matrix": Rotation.from_euler("ZYX", e, degrees=True).as_matrix()}
            for e in euler
        ],
        "extrinsic_zyx": [{"deg": e, "q": wxyz(Rotation.from_euler("zyx", e, degrees=True))} for e in euler],
        "y_then_x": wxyz(x90 * y90),
        "x_then_y": wxyz(y90 * x90),
        "exp": [{"v": v, "q": wxyz(Rotation.from_rotvec(v))} for v in ([0.1, -0.2, 0.3], [1e-9, 0, 0], [0, 3, 0.5], [0.05, 0.05, -0.02])],
        "slerp_quarter": wxyz(Slerp([0, 1], ends)(0.25)),
        "body_rate": {"deg_s": [20, 100, -30], "seconds": 0.5, "q": wxyz(turned), "zyx_deg": turned.as_euler("ZYX", degrees=True)},
    }


@family
def quantiles():
    """Hyndman and Fan's type 7, NumPy's "linear"."""
    series = {"four": [1, 2, 3, 4], "one": [7], "noise": list(noise(101)), "ties": [1, 1, 2, 2, 2, 9]}
    at = [0, 0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975, 1]
    return {name: {"x": x, "at": at, "quantile": np.quantile(x, at, method="linear")} for name, x in series.items()}


@family
def distributions():
    """Quantiles and tail probabilities of the distributions in use."""
    df = [1, 2, 4, 4.785144, 9, 16, 24, 99]
    return {
        "normal_0975": stats.norm.ppf(0.975),
        "t_0975": [{"df": d, "quantile": stats.t.ppf(0.975, d)} for d in df],
        "f_0975": [{"df1": a, "df2": b, "quantile": stats.f.ppf(0.975, a, b)} for a, b in ((5, 15), (5, 18), (15, 5), (1, 10))],
        "chi2_0025": [{"df": d, "quantile": stats.chi2.ppf(0.025, d)} for d in (1, 5, 24)],
    }


@family
def trend():
    """Slopes by Theil and Sen; least squares; Kendall's tau."""
    series = {
        "sen_1968": ([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78]),
        "ties": (list(range(1, 10)), [10, 22, 21, 30, 22, 30, 40, 40, 35]),
    }
    result = {}
    for name, (t, y) in series.items():
        sen = stats.theilslopes(y, t, 0.95)
        line = stats.linregress(t, y)
        result[name] = {
            "t": t, "y": y, "slope": sen.slope, "low_95": sen.low_slope, "high_95": sen.high_slope,
            "tau_b": stats.kendalltau(t, y).statistic, "ols_slope": line.slope, "ols_intercept": line.intercept,
        }
    return result


@family
def statistics():
    """Exact rank tests, score intervals, a skewed sample's summaries, a fit."""
    x = noise(24, 7)
    y = 0.6 * x + noise(24, 8)
    t = list(range(24))
    rank = [{"n": n, "p": stats.kendalltau(t[:n], y[:n], method="exact").pvalue, "tau": stats.kendalltau(t[:n], y[:n]).statistic}
            for n in (3, 5, 8, 12, 24)]
    wilson = []
    for k, n in ((0, 12), (1, 25), (13, 25), (60, 100), (400, 400)):
        interval = stats.binomtest(k, n).proportion_ci(0.95, method="wilson")
        wilson.append({"k": k, "n": n, "low": interval.low, "high": interval.high})
    line = stats.linregress(x, y)
    return {
        "x": x, "y": y,
        "kendall_exact": rank,
        "wilson": wilson,
        "mad": stats.median_abs_deviation(x, scale="normal"),
        "sd": np.std(x, ddof=1),
        "line": {"slope": line.slope, "intercept": line.intercept, "slope_se": line.stderr,
                 "intercept_se": line.intercept_stderr, "r_squared": line.rvalue**2},
        "normal_scores": stats.norm.ppf((stats.rankdata([3, 1, 4, 1, 5, 9, 2, 6]) - 0.5) / 8),
        "f_tail": [{"df1": 5, "df2": 18, "f": 1.794678, "p": stats.f.sf(1.794678, 5, 18)}],
    }


def plain(value):
    """Turn NumPy values into what json writes, floats with all their digits."""
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple, np.ndarray)):
        return [plain(v) for v in value]
    if isinstance(value, (np.floating, np.integer)):
        return value.item()
    return value


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=pathlib.Path, default=pathlib.Path(__file__).parent)
    parser.add_argument("families", nargs="*", metavar="FAMILY", help="default: all of " + ", ".join(FAMILIES))
    args = parser.parse_args()
    made_with = {"scipy": scipy.__version__, "numpy": np.__version__}
    for name in args.families or FAMILIES:
        content = {"made_with": made_with, "values": plain(FAMILIES[name]())}
        path = args.out / f"{name}.json"
        path.write_text(json.dumps(content, indent=1, allow_nan=False) + "\n")


if __name__ == "__main__":
    main()
