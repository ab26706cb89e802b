"""Writes expected.json and the sample record beside it: what independent libraries say of beats.

    pip install -r requirements.txt
    python make_expected.py [DATA_FOLDER]      default: ../shared/data beside the repository

1. Pairing: `wfdb.processing.compare_annotations` (wfdb 4.3.1, PyPI) pairs beats of two annotators, here of a
   reference and of a copy from which beats were taken, to which beats were added and in which beats were moved,
   by a fixed stream of integers that the Rust test makes again. Ten made series, and ten records of the MIT-BIH
   Arrhythmia Database (their annotations are not committed).
2. Beat times of an open recording by two independent libraries, sleepecg 0.6.0 and neurokit2 0.2.13 (PyPI).
   The recording is `pyhrv/files/SampleECG.txt` of the source distribution of pyhrv 0.5.0 (PyPI, BSD-3-Clause,
   licence beside it): 22.35 s, 1000 Hz, one lead, 10 bits. It is fetched from PyPI, checked by its SHA-256 and
   stored as WFDB format 212, samples unchanged.
"""

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
BEATS = set("NLRBejnAaJSVrEF/fQ")
SDIST = "87af2c1dbd1268980cd54e99e7e3a442eceff48de65dbf8e3d0a0e87d0204afb"


class Stream:
    """Knuth's 64-bit linear congruential generator; the upper 31 bits are used."""

    def __init__(self, seed):
        self.state = seed

    def below(self, limit):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % limit


def worsened(reference, stream):
    """A copy with beats taken out (3 %), moved (up to 40 samples) and added (3 %)."""
    out = set()
    for at in reference:
        taken, moved = stream.below(100) < 3, stream.below(81) - 40
        added, by = stream.below(100) < 3, 60 + stream.below(120)
        if not taken:
            out.add(max(at + moved, 0))
        if added:
            out.add(at + by)
    return sorted(out)


def made(stream):
    """500 beats, 417 to 1250 ms apart at 360 Hz."""
    at, out = 0, []
    for _ in range(500):
        at += 150 + stream.below(300)
        out.append(at)
    return out


def compared(reference, test):
    """Counts of pairs, missed and added beats, and the sum of distances in the pairs."""
    result = processing.compare_annotations(np.array(reference), np.array(test), WINDOW_SAMPLES)
    pairs = [(r, result.test_sample[m]) for r, m in zip(result.ref_sample, result.matching_sample_nums) if m >= 0]
    distance = int(sum(abs(int(r) - int(t)) for r, t in pairs))
    return {"pairs": int(result.tp), "missed": int(result.fn), "added": int(result.fp), "distance": distance}


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
        reference = [int(s) for s, symbol in zip(marks.sample, marks.symbol) if symbol in BEATS]
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
