"""Writes expected.json and the sample record beside it: what independent libraries say of beats.

    pip install -r requirements.txt
    python make_expected.py [DATA_FOLDER]      default: ../shared/data beside the repository

1. Pairing: `wfdb.processing.compare_annotations` (wfdb 4.3.1, PyPI) pairs beats of two annotators, here of a
   reference and of a copy from which beats were taken, to which beats were added and in which beats were moved
   and labelled anew, by a fixed stream of integers that the Rust test makes again; the matrix of labels is
   counted from its pairs. All places and moves are even and additions odd, so that no two beats are equally
   far from a third: there the standard leaves the earlier one alone and that comparator takes it. Ten made
   series, and ten records of the MIT-BIH Arrhythmia Database (their annotations are not committed).
2. Beat times of an open recording by two independent libraries, sleepecg 0.6.0 and neurokit2 0.2.13 (PyPI).
   The recording is `pyhrv/files/SampleECG.txt` of the source distribution of pyhrv 0.5.0 (PyPI, BSD-3-Clause,
   licence beside it): 22.35 s, 1000 Hz, one lead, 10 bits. It is fetched from PyPI, checked by its SHA-256 and
   stored as WFDB format 212, samples unchanged.
"""

import collections
import hashlib
import io
import json
import pathlib
import subprocess
import sys
import tarfile
import tempfile

import neurokit2
import numpy as np
import sleepecg
import wfdb
from wfdb import processing

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent.parent
WINDOW_SAMPLES = 54  # 150 ms at 360 Hz
RECORDS = ["101", "106", "108", "114", "118", "119", "201", "203", "208", "223"]
# de Chazal 2004: escape beats (e j n) count as N.
CLASSES_OF = {"N": "NLRBejn", "S": "AaJS", "V": "VrE", "F": "F", "Q": "/fQ"}
CLASSES = {symbol: c for c, all in CLASSES_OF.items() for symbol in all}
SDIST = "87af2c1dbd1268980cd54e99e7e3a442eceff48de65dbf8e3d0a0e87d0204afb"


class Stream:
    """Knuth's 64-bit linear congruential generator; the upper 31 bits are used."""

    def __init__(self, seed):
        self.state = seed

    def below(self, limit):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % limit


def worsened(reference, stream):
    """A copy with beats taken out (3 %), moved (up to 40 samples), added (3 %) and labelled anew (5 %)."""
    out = []
    for at, label in reference:
        taken, moved = stream.below(100) < 3, 2 * stream.below(41) - 40
        added, by = stream.below(100) < 3, 61 + 2 * stream.below(60)
        changed, to = stream.below(100) < 5, "NSVFQ"[stream.below(5)]
        if not taken:
            out.append((max(at + moved, 0), to if changed else label))
        if added:
            out.append((at + by, to))
    first = {}
    for at, label in out:
        first.setdefault(at, label)
    return sorted(first.items())


def made(stream):
    """500 beats, 417 to 1250 ms apart at 360 Hz; one in ten S, one in ten V."""
    at, out = 0, []
    for _ in range(500):
        at += 150 + 2 * stream.below(150)
        out.append((at, "NNNNNNNNSV"[stream.below(10)]))
    return out


def compared(reference, test):
    """Sum of distances in the pairs, and counts by reference label (capital, O for none) and test label (small)."""
    result = processing.compare_annotations(
        np.array([at for at, _ in reference]), np.array([at for at, _ in test]), WINDOW_SAMPLES
    )
    partner = {r: int(m) for r, m in enumerate(result.matching_sample_nums) if m >= 0}
    cells = collections.Counter(
        label + (test[partner[i]][1].lower() if i in partner else "o") for i, (_, label) in enumerate(reference)
    )
    used = set(partner.values())
    cells.update("O" + label.lower() for i, (_, label) in enumerate(test) if i not in used)
    pairs = sum(n for cell, n in cells.items() if cell[0] != "O" and cell[1] != "o")
    assert pairs == result.tp and len(test) - pairs == result.fp and len(reference) - pairs == result.fn
    distance = int(sum(abs(reference[r][0] - test[t][0]) for r, t in partner.items()))
    return {"distance": distance, "cells": dict(sorted(cells.items()))}


def pairing(data):
    """Expected counts of the made series and of the records."""
    out = {"window_samples": WINDOW_SAMPLES, "made": [], "records": {}}
    for seed in range(1, 11):
        stream = Stream(seed)
        reference = made(stream)
        out["made"].append(compared(reference, worsened(reference, stream)))
    for name in RECORDS:
        path = data / "mitdb" / name
        if not path.with_suffix(".atr").exists():
            sys.exit(f"{path}.atr is not there")
        marks = wfdb.rdann(str(path), "atr")
        reference = [(int(at) // 2 * 2, CLASSES[symbol]) for at, symbol in zip(marks.sample, marks.symbol) if symbol in CLASSES]
        out["records"][name] = compared(reference, worsened(reference, Stream(int(name))))
    return out


def sample_text():
    """The recording and its licence out of the source distribution."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["pip", "download", "-q", "--no-deps", "--no-binary", ":all:", "-d", folder, "pyhrv==0.5.0"]
        subprocess.run([sys.executable, "-m", *command], check=True)
        packed = next(pathlib.Path(folder).glob("*.tar.gz")).read_bytes()
    if hashlib.sha256(packed).hexdigest() != SDIST:
        sys.exit("the source distribution of pyhrv 0.5.0 is another one")
    with tarfile.open(fileobj=io.BytesIO(packed)) as tar:
        read = lambda name: tar.extractfile(f"pyhrv-0.5.0/{name}").read().decode()
        return read("pyhrv/files/SampleECG.txt"), read("LICENSE.txt")


def sample():
    """Writes the record and gives the beats of both libraries."""
    text, licence = sample_text()
    (HERE / "sample_ecg.LICENSE.txt").write_text(licence)
    raw = np.array([int(line.split()[-1]) for line in text.splitlines() if not line.startswith("#")])
    wfdb.wrsamp(
        "sample_ecg", fs=1000, units=["mV"], sig_name=["ECG"], d_signal=raw[:, None] - 512, fmt=["212"],
        adc_gain=[200.0], baseline=[0], write_dir=str(HERE),
        comments=["from pyhrv 0.5.0 (PyPI, BSD-3-Clause); its gain is not known, 200 units a mV are a stand-in"],
    )
    cleaned = neurokit2.ecg_clean(raw, sampling_rate=1000)
    _, info = neurokit2.ecg_peaks(cleaned, sampling_rate=1000)
    return {
        "samples": len(raw),
        "sleepecg": [int(i) for i in sleepecg.detect_heartbeats(raw.astype(float), 1000)],
        "neurokit2": [int(i) for i in info["ECG_R_Peaks"]],
    }


def main():
    data = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT.parent / "shared" / "data"
    expected = {"pairing": pairing(data), "sample": sample()}
    (HERE / "expected.json").write_text(json.dumps(expected, indent=1) + "\n")


if __name__ == "__main__":
    main()
