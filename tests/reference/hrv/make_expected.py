"""Writes expected.json: heart-rate variability of open day-long RR series by general reference libraries.

    python make_expected.py [DATA_FOLDER]      default: ../shared/data beside the repository

Libraries, pinned in requirements.txt (all from PyPI): neurokit2, hrv-analysis, nolds; wfdb reads the annotations.
The series are those of nsr2db and chf2db (RR in seconds, one a line), one 1,000-interval sample, and the nine
records of nsrdb (beats in 1/128 s). Only nsrdb has beat labels: there an interval is taken between two beats N that
follow each other; elsewhere every interval is. Intervals outside 300 to 2000 ms are left out before any library sees
them, what is left is one series, and the Rust test does the same, so that editing is not what is compared.
Where a library's definition is another one, README.md beside this file says which and how far apart the values lie.
"""

import json
import pathlib
import sys
import warnings

import hrvanalysis
import neurokit2
import nolds
import numpy as np
import scipy.interpolate
import scipy.signal
import wfdb

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent.parent
SERIES = {
    "nsr2db/nsr001_rr_secs.txt": 1000.0,
    "chf2db/chf201_rr_secs.txt": 1000.0,
    "hrv/test_nn_intervals.txt": 1.0,
}
NSRDB = ["16265", "16273", "16483", "16773", "16795", "17453", "18184", "19090", "19140"]
NSRDB_HZ = 128
BEATS = set("NLRBAaJSVrFejnE/fQ?")
SHORT = np.arange(4, 17)
LONG = np.arange(16, 65, 4)


def series(path, to_ms):
    """Intervals in whole microseconds of a ms; the first line of a file in seconds is no interval."""
    values = np.array([float(line.split()[0]) for line in path.read_text().split("\n") if line.strip()])
    if to_ms != 1.0:
        values = values[1:]
    ms = np.round(values * to_ms, 3)
    return ms[(ms >= 300.0) & (ms <= 2000.0)]


def labelled_series(path):
    """Intervals between two beats N that follow each other, ms; path is that of the annotations without `.atr`."""
    marks = wfdb.rdann(str(path), "atr")
    beats = [(at, symbol) for at, symbol in zip(marks.sample, marks.symbol) if symbol in BEATS]
    pairs = zip(beats, beats[1:])
    ms = np.array([(b[0] - a[0]) * 1000.0 / NSRDB_HZ for a, b in pairs if a[1] == "N" and b[1] == "N"])
    return ms[(ms >= 300.0) & (ms <= 2000.0)]


def lomb_bands(ms):
    """Bands of the first 300 s by scipy's Lomb-Scargle at multiples of 1/300 Hz, scaled so that a sine of amplitude A
    has A * A / 2."""
    t = np.cumsum(ms) / 1000.0
    ms, t = ms[t < 300.0], t[t < 300.0]
    f = np.arange(1, 121) / 300.0
    power = scipy.signal.lombscargle(t, ms - ms.mean(), 2 * np.pi * f) * 2 / len(ms) * (ms.sum() / 1000.0 / 300.0)
    return bands(power, 300.0)


def bands(power, period_s):
    """Sums of the lines at 1, 2, ... / period_s Hz in the bands of the Task Force 1996, as far as there are lines; shares
    and ratio of LF and HF where both are there."""
    hz = np.arange(1, len(power) + 1) / period_s + 1e-12
    edges = {"ulf_ms2": (0, 0.003), "vlf_ms2": (0.003, 0.04), "lf_ms2": (0.04, 0.15), "hf_ms2": (0.15, 0.40)}
    inside = lambda low, high: (hz > low + 1e-9) & (hz <= high + 1e-9)
    out = {key: power[inside(low, high)].sum() for key, (low, high) in edges.items() if hz[-1] >= high - 1e-9}
    if period_s == 300.0:
        # Five minutes hold no ULF: their lowest waves are VLF.
        out["vlf_ms2"] = power[hz <= 0.04 + 1e-9].sum()
        del out["ulf_ms2"]
    if "hf_ms2" in out:
        both = out["lf_ms2"] + out["hf_ms2"]
        out["total_ms2"] = sum(value for key, value in out.items() if key.endswith("f_ms2"))
        out |= {"lf_nu": 100 * out["lf_ms2"] / both, "hf_nu": 100 * out["hf_ms2"] / both}
        out["lf_hf"] = out["lf_ms2"] / out["hf_ms2"]
    return out


def even_bands(ms, period_s):
    """Bands of the first `period_s` by a natural cubic spline through the intervals, asked four times a second, and
    numpy's Fourier transform; scaled so that the integral is the variance. Of five minutes the spline holds on before
    its first and after its last interval, of a day there is nothing there."""
    t = np.cumsum(ms) / 1000.0
    ms, t = ms[t < period_s], t[t < period_s]
    grid = np.arange(int(period_s * 4)) / 4.0
    spline = scipy.interpolate.CubicSpline(t, ms, bc_type="natural")
    inside = (grid >= t[0]) & (grid <= t[-1])
    if period_s == 300.0:
        laid, covered = spline(np.clip(grid, t[0], t[-1])) - ms.mean(), len(grid)
    else:
        laid, covered = np.where(inside, spline(np.clip(grid, t[0], t[-1])) - ms.mean(), 0.0), int(inside.sum())
    lines = int(0.4 * period_s + 0.5)
    power = 2 * np.abs(np.fft.rfft(laid)[1 : lines + 1]) ** 2 / (len(grid) * covered)
    return bands(power, period_s)


def slow_bands(ms):
    """ULF and VLF of the first day by scipy's Lomb-Scargle, which sums beat by beat: faster waves would take an hour."""
    t = np.cumsum(ms) / 1000.0
    ms, t = ms[t < 86400.0], t[t < 86400.0]
    scale = 2 / len(ms) * (ms.sum() / 1000.0 / 86400.0)
    power = [
        scipy.signal.lombscargle(t, ms - ms.mean(), 2 * np.pi * np.arange(k, min(k + 64, 3457)) / 86400.0) * scale
        for k in range(1, 3457, 64)
    ]
    return bands(np.concatenate(power), 86400.0)


def tinn_ms(ms):
    """Base of the triangle of least squares with its top on the highest bin (Task Force 1996): bins of 1/128 s from zero,
    the base from bin centre to bin centre, both sides tried one by one."""
    heights = np.bincount((ms / 7.8125).astype(int)).astype(float)
    top = int(np.argmax(heights))
    first, last = np.nonzero(heights)[0][[0, -1]]

    def side(values):
        at = np.arange(len(values))
        misses = [((values - values[0] * np.clip(1 - at / foot, 0, None)) ** 2).sum() for foot in range(1, 3 * len(values))]
        return 1 + int(np.argmin(misses))

    return (side(heights[first : top + 1][::-1]) + side(heights[top : last + 1])) * 7.8125


def values(ms):
    """What the libraries say of one series."""
    time = hrvanalysis.get_time_domain_features(list(ms))
    geometry = hrvanalysis.get_poincare_plot_features(list(ms))
    peaks = np.concatenate([[0], np.cumsum(ms)])
    nk_time = neurokit2.hrv_time({"RRI": ms, "RRI_Time": peaks[1:] / 1000.0}, sampling_rate=1000)
    start = ms[:400]
    dfa = lambda boxes: float(neurokit2.fractal_dfa(ms, scale=boxes, overlap=False, multifractal=False)[0])
    return {
        "count": len(ms),
        "sum_ms": float(ms.sum()),
        "hrvanalysis": {
            "sdnn_ms": time["sdnn"], "rmssd_ms": time["rmssd"], "nn50": time["nni_50"], "mean_ms": time["mean_nni"],
            "pnn50_percent": time["pnni_50"],
            "sd1_ms": geometry["sd1"], "sd2_ms": geometry["sd2"],
        },
        "neurokit2": {
            "sdnn_ms": float(nk_time["HRV_SDNN"].iloc[0]), "rmssd_ms": float(nk_time["HRV_RMSSD"].iloc[0]),
            "sdann_ms": float(nk_time["HRV_SDANN5"].iloc[0]), "sdnn_index_ms": float(nk_time["HRV_SDNNI5"].iloc[0]),
            "pnn50_percent": float(nk_time["HRV_pNN50"].iloc[0]),
            "tinn_ms": float(nk_time["HRV_TINN"].iloc[0]), "triangular_index": float(nk_time["HRV_HTI"].iloc[0]),
            "dfa_alpha1": dfa(SHORT), "dfa_alpha2": dfa(LONG),
            "sample_entropy_400": float(neurokit2.entropy_sample(start, delay=1, dimension=2, tolerance=0.2 * start.std(ddof=1))[0]),
        },
        "nolds": {
            "sample_entropy_400": float(nolds.sampen(start, emb_dim=2, tolerance=0.2 * start.std(ddof=1))),
        },
        "scipy_first_300_s": lomb_bands(ms),
        "scipy_even_first_300_s": even_bands(ms, 300.0),
        "scipy_tinn_ms": tinn_ms(ms),
        # A day for series that last one.
        "scipy_day": slow_bands(ms) if len(ms) > 10_000 else {},
        "scipy_even_day": even_bands(ms, 86400.0) if len(ms) > 10_000 else {},
    }


def plain(value):
    """Ten digits, which are the same on every processor; a value that does not exist is null."""
    if isinstance(value, dict):
        return {key: plain(inner) for key, inner in value.items()}
    if isinstance(value, (str, int)):
        return value
    return None if np.isnan(value) else float(f"{float(value):.10g}")


def main():
    data = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / ".." / "shared" / "data"
    warnings.simplefilter("ignore")
    import importlib.metadata as m
    out = {"libraries": {name: m.version(name) for name in ["neurokit2", "hrv-analysis", "nolds", "scipy", "numpy", "wfdb"]}}
    for name, to_ms in SERIES.items():
        out[name] = values(series(data / name, to_ms))
    for record in NSRDB:
        out[f"nsrdb/{record}.atr"] = values(labelled_series(data / "nsrdb" / record))
    (HERE / "expected.json").write_text(json.dumps(plain(out), indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
