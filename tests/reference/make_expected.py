"""Writes expected.json: what two general reference libraries read from open recordings.

The Rust readers are compared with it, so the figures come from outside this project.
Libraries, pinned in requirements.txt: edfio 0.4.18, pydicom 3.0.2 and wfdb 4.3.1 (all from PyPI).
ISHNE files are read here with `struct` by the published layout (Badilini 1998), because the one package on PyPI
that reads them needs an old numpy; its samples were compared with these once and are equal.

    python make_expected.py [DATA_FOLDER]      default: ../shared/data beside the repository

With --made it also writes the tiny recordings under crates/beatledger-formats/tests/data afresh, from numbers
made here, and their expected values, so that the same facts are checked where there is no data folder.
"""

import argparse
import collections
import datetime
import hashlib
import json
import pathlib
import struct

import edfio
import numpy as np
import pydicom
import wfdb

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
MADE = ROOT / "crates" / "beatledger-formats" / "tests" / "data"


def facts(raw, adc_per_mv, adc_zero):
    """Facts of one signal: its raw integers and its gain."""
    raw = np.asarray(raw, dtype=np.int64)
    return {
        "count": int(raw.size),
        "first": [int(x) for x in raw[:20]],
        "last": [int(x) for x in raw[-20:]],
        "sum": int(raw.sum()),
        "sum_of_squares_mod_2_32": int((raw * raw).sum() % 2**32),
        "sha256_of_i32_le": hashlib.sha256(raw.astype("<i4").tobytes()).hexdigest(),
        "adc_per_mv": float(adc_per_mv),
        "adc_zero": float(adc_zero),
    }


MISSING = {"212": -2048}
MV = {"mV": 1.0, "uV": 1e-3, "V": 1e3}


def wfdb_record(stem, only=None):
    """A WFDB record: rate and facts of each signal, or of those named, whose samples of a frame are kept apart."""
    record = wfdb.rdrecord(str(stem), physical=False, smooth_frames=only is None)
    signals, per_frame = [], 1
    for i, name in enumerate(record.sig_name):
        if only and name not in only:
            continue
        raw = record.d_signal[:, i] if only is None else record.e_d_signal[i]
        one = facts(raw, record.adc_gain[i] / MV[record.units[i]], record.baseline[i])
        if only:
            one["missing"] = MISSING[record.fmt[i]]  # stands in the samples where the joined lead has a gap
        signals.append({"name": name, **one})
        per_frame = record.samps_per_frame[i] if only else 1
    return {"reader": "wfdb", "rate_hz": record.fs * per_frame, "signals": signals}


def annotations(stem, annotator):
    """Annotations of a WFDB record."""
    ann = wfdb.rdann(str(stem), annotator)
    return {
        "count": len(ann.sample),
        "symbols": dict(sorted(collections.Counter(ann.symbol).items())),
        "aux": dict(sorted(collections.Counter(a.rstrip("\0") for a in ann.aux_note if a).items())),
        "sha256_of_samples_i64_le": hashlib.sha256(np.asarray(ann.sample, dtype="<i8").tobytes()).hexdigest(),
    }


def edf_file(path, only=None):
    """An EDF or BDF file: rate, start, annotations and facts of each ordinary signal, or of those named."""
    edf = edfio.read_bdf(path) if path.suffix == ".bdf" else edfio.read_edf(path)
    signals = []
    for signal in edf.signals:
        if only and signal.label not in only:
            continue
        (dmin, dmax), (pmin, pmax) = signal.digital_range, signal.physical_range
        gain = (dmax - dmin) / (pmax - pmin)
        one = facts(signal.digital, gain / MV[signal.physical_dimension], dmin - pmin * gain)
        signals.append({"name": signal.label, **one})
    notes = edf.annotations
    return {
        "reader": "edfio",
        "rate_hz": float(edf.signals[0].sampling_frequency),
        "start_time": edf.starttime.isoformat(),
        "notes": {
            "count": len(notes),
            "first": [[n.onset, n.text] for n in notes[:3]],
            "last": [[n.onset, n.text] for n in notes[-3:]],
        },
        "signals": signals,
    }


ISHNE_LEADS = dict(enumerate(["I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6"], 5))


def ishne_file(path):
    """An ISHNE file by its published layout; the sample count is per lead in the file named below."""
    data = path.read_bytes()
    count, _, at = struct.unpack_from("<iii", data, 14)
    (leads,) = struct.unpack_from("<h", data, 156)
    codes, resolution = struct.unpack_from("<12h", data, 158), struct.unpack_from("<12h", data, 206)
    (rate,) = struct.unpack_from("<h", data, 272)
    raw = np.frombuffer(data, "<i2", count * leads, at).reshape(count, leads)
    signals = [{"name": ISHNE_LEADS[codes[i]], **facts(raw[:, i], 1e6 / resolution[i], 0)} for i in range(leads)]
    hour, minute, second = struct.unpack_from("<3h", data, 150)
    return {"reader": "struct", "rate_hz": rate, "start_time": f"{hour:02}:{minute:02}:{second:02}", "signals": signals}


def ishne_annotations(path):
    """An ISHNE annotation file: label and unsigned 16-bit distance from the one before."""
    data = path.read_bytes()
    (block,) = struct.unpack_from("<i", data, 10)
    (at,) = struct.unpack_from("<I", data, 522 + block)
    samples, labels = [], []
    for label, _, step in struct.iter_unpack("<ccH", data[526 + block:]):
        at += step
        if label != b"!":
            samples.append(at)
            labels.append(label.decode())
    return {
        "count": len(samples),
        "labels": dict(sorted(collections.Counter(labels).items())),
        "sha256_of_samples_i64_le": hashlib.sha256(np.asarray(samples, dtype="<i8").tobytes()).hexdigest(),
    }


SCP_LEADS = {1: "I", 2: "II", 61: "III", 62: "aVR", 63: "aVL", 64: "aVF", **{k: f"V{k - 2}" for k in range(3, 9)}}


def dicom_file(path):
    """The first waveform of a DICOM object: rate and facts of each channel."""
    group = pydicom.dcmread(path).WaveformSequence[0]
    raw = np.frombuffer(group.WaveformData, "<i2").reshape(-1, group.NumberOfWaveformChannels)
    signals = []
    for i, channel in enumerate(group.ChannelDefinitionSequence):
        unit = MV[channel.ChannelSensitivityUnitsSequence[0].CodeValue]
        per_unit = float(channel.ChannelSensitivity) * float(channel.ChannelSensitivityCorrectionFactor)
        zero = -float(channel.ChannelBaseline) / per_unit
        code = channel.ChannelSourceSequence[0].CodeValue  # ends in the lead number of SCP-ECG
        name = SCP_LEADS[int(code.rsplit("-", 1)[1])]
        signals.append({"name": name, **facts(raw[:, i], 1 / (per_unit * unit), zero)})
    return {"reader": "pydicom", "rate_hz": float(group.SamplingFrequency), "signals": signals}


def wave(count, step, top):
    """Integers that visit the whole range in a fixed, uneven way."""
    return np.array([(i * i * step + 7 * i) % (2 * top) - top for i in range(count)], dtype=np.int64)


def write_made():
    """Tiny recordings from made numbers: WFDB 212 and 16 with annotations, EDF+C with notes."""
    MADE.mkdir(parents=True, exist_ok=True)
    pair = np.stack([wave(501, 31, 2047), wave(501, 17, 900)], axis=1)
    common = {"fs": 360, "units": ["mV", "mV"], "sig_name": ["MLII", "V1"], "write_dir": str(MADE)}
    wfdb.wrsamp("made212", d_signal=pair, fmt=["212", "212"], adc_gain=[200.0, 200.0], baseline=[0, 24],
                comments=["made numbers, no person"], **common)
    wide = np.stack([wave(300, 977, 32767), wave(300, 5, 12000)], axis=1)
    wfdb.wrsamp("made16", d_signal=wide, fmt=["16", "16"], adc_gain=[74470.25, 1000.0], baseline=[-352766, 0],
                base_time=datetime.time(9, 30, 15), base_date=datetime.date(2020, 10, 24), **common)
    samples = np.array([5, 18, 77, 300, 301, 480, 500, 90000])
    wfdb.wrann("made212", "atr", samples, symbol=["+", "N", "V", "A", "~", "F", "/", "N"],
               subtype=np.array([0, 0, 0, 0, 3, 0, 0, 0]), chan=np.array([0, 0, 1, 0, 0, 0, 0, 0]),
               aux_note=["(N", "", "", "", "", "", "odd", ""], fs=360, write_dir=str(MADE))
    signals = [
        edfio.EdfSignal.from_digital(wave(500, 31, 2000).astype(np.int16), 100, label="ECG V1",
                                     physical_dimension="mV", physical_range=(-5, 5), digital_range=(-2048, 2047)),
        edfio.EdfSignal.from_digital(wave(500, 977, 32767).astype(np.int16), 100, label="ECG V5",
                                     physical_dimension="uV", physical_range=(-3276.8, 3276.7),
                                     digital_range=(-32768, 32767), prefiltering="HP:0.05Hz"),
    ]
    edfio.Edf(
        signals,
        starttime=datetime.time(9, 30, 15, 500000),
        recording=edfio.Recording(startdate=datetime.date(2020, 10, 25), equipment_code="R7"),
        annotations=[edfio.EdfAnnotation(1.25, None, "Patient event"), edfio.EdfAnnotation(3.0, 1.5, "dizzy \u00e9")],
        data_record_duration=1,
    ).write(MADE / "made.edf")
    write_json(MADE / "expected.json", {
        "made212": wfdb_record(MADE / "made212"),
        "made16": wfdb_record(MADE / "made16"),
        "made212.atr": annotations(MADE / "made212", "atr"),
        "made.edf": edf_file(MADE / "made.edf"),
    })


def write_json(path, what):
    path.write_text(json.dumps(what, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("data", nargs="?", type=pathlib.Path, default=ROOT / ".." / "shared" / "data")
    parser.add_argument("--made", action="store_true", help="write the tiny made recordings as well")
    given = parser.parse_args()
    if given.made:
        write_made()
    formats = given.data / "formats"
    write_json(HERE / "expected.json", {
        "libraries": {"edfio": edfio.__version__, "pydicom": pydicom.__version__, "wfdb": wfdb.__version__},
        "mitdb/208": wfdb_record(given.data / "mitdb" / "208"),
        "mitdb/208.atr": annotations(given.data / "mitdb" / "208", "atr"),
        "cpsc2021/data_92_4": wfdb_record(given.data / "cpsc2021" / "data_92_4"),
        "cinc2017/A00067": wfdb_record(given.data / "cinc2017" / "A00067"),
        "formats/wfdb_formats/binformats": wfdb_record(formats / "wfdb_formats" / "binformats"),
        "formats/wfdb_multisegment/041s/041s": wfdb_record(
            formats / "wfdb_multisegment" / "041s" / "041s", ["III", "I", "V"]),
        # All its rates differ; the fastest signal is the one that is read.
        "formats/bdf/test_generator_datarec_generator_2.bdf": edf_file(
            formats / "bdf" / "test_generator_datarec_generator_2.bdf", ["sine 2.5Hz"]),
        "formats/ishne/ECG_P28.01.ecg": ishne_file(formats / "ishne" / "ECG_P28.01.ecg"),
        "formats/ishne/ECG_P28.01.ann": ishne_annotations(formats / "ishne" / "ECG_P28.01.ann"),
        "formats/dicom/waveform_ecg.dcm": dicom_file(formats / "dicom" / "waveform_ecg.dcm"),
        "formats/edf/adfecgdb/r01.edf": edf_file(given.data / "formats" / "edf" / "adfecgdb" / "r01.edf"),
    })


if __name__ == "__main__":
    main()
