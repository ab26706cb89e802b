"""What general libraries read from files that the program wrote is what was written.

    python3 tests/reference/check_written.py BEATLEDGER_BINARY [RECORDING...]

Makes twelve minutes of the demo day in a temporary folder (and takes the recordings named), writes each in every
format with `beatledger convert`, and compares: EDF+ with edfio 0.4.18 and pyedflib 0.1.42, WFDB with wfdb 4.3.1, ISHNE
with ishneholterlib 2020.5.29 and by the published layout (Badilini 1998), Parquet with pyarrow 26.0.1. Raw integers are compared, not millivolts. Exit status 1 with the sentences about
what differs.
"""

import csv
import pathlib
import struct
import subprocess
import sys
import tempfile

import edfio
import numpy as np
import pyarrow.parquet
import pyedflib
import wfdb
from ishneholterlib import Holter

WRONG = []


def expect(what, found, expected):
    same = np.array_equal(found, expected) if isinstance(expected, np.ndarray) else found == expected
    print(("same   " if same else "DIFFERS"), what)
    if not same:
        WRONG.append(f"{what}: found {str(found)[:200]}, expected {str(expected)[:200]}")


def convert(binary, source, target, *more):
    """True when it was written; a refusal (status 2) is one of the format's limits and is said."""
    done = subprocess.run([binary, "convert", source, target, *more], capture_output=True, text=True)
    if done.returncode == 2:
        print("refused", target.name, done.stderr.strip().splitlines()[-1][:150])
        return False
    assert done.returncode == 0, (done.returncode, done.stderr)
    return True


def ishne_by_layout(path):
    """Samples, nanovolts, rate and whether the checksum is right, by the published layout alone."""
    data = path.read_bytes()
    block, _, _, at = struct.unpack_from("<iiii", data, 10)
    leads, rate = struct.unpack_from("<h", data, 156)[0], struct.unpack_from("<h", data, 272)[0]
    crc = 0xFFFF
    for byte in data[10 : 522 + block]:
        crc ^= byte << 8
        for _ in range(8):
            crc = (crc << 1 ^ 0x1021 if crc & 0x8000 else crc << 1) & 0xFFFF
    samples = np.frombuffer(data[at:], "<i2").reshape(-1, leads)
    nanovolts = struct.unpack_from(f"<{leads}h", data, 206)
    return samples, nanovolts, rate, crc == struct.unpack_from("<H", data, 8)[0]


def check_edf(path, start=None):
    """Raw integers by two libraries; gives them, with the beats among the annotations (seconds, text)."""
    file = edfio.read_edf(path)
    raw = np.stack([s.digital for s in file.signals], axis=1).astype(np.int64)
    # The strict reader opens no file with gaps.
    if file.is_continuous:
        strict = pyedflib.EdfReader(str(path))
        other = np.stack([strict.readSignal(i, digital=True) for i in range(strict.signals_in_file)], axis=1)
        strict.close()
        expect(f"{path.name}: pyedflib, the strict reader, reads what edfio reads", other.astype(np.int64), raw)
    beats = [(a.onset, a.text) for a in file.annotations if a.text.startswith("beat ")]
    return raw, beats


def check_wfdb(path):
    record = wfdb.rdrecord(str(path.with_suffix("")), physical=False)
    # Headers hold 16 bits with a sign, the library counts without one.
    sums = [int(c) % 65536 for c in record.calc_checksum()]
    expect(f"{path.name}: checksums of the header", [c % 65536 for c in record.checksum], sums)
    return record.d_signal.astype(np.int64), record


def check_marks(binary, source, folder, rate, samples):
    table = folder / "beats.csv"
    convert(binary, source, table)
    rows = list(csv.DictReader(table.open(encoding="utf-8")))
    places = np.array([int(r["sample"]) for r in rows])
    expect(f"{source.name}: more than 50 beats, in order", bool(len(places) > 50 and (np.diff(places) > 0).all()), True)

    convert(binary, source, folder / "beats.parquet")
    beats = pyarrow.parquet.read_table(folder / "beats.parquet")
    types = {f.name: str(f.type) for f in beats.schema}
    expect("beats.parquet: types", types, {
        "sample": "int64", "time_s": "double", "time_local": "timestamp[ms]", "rr_ms": "double", "class": "string",
        "class_found": "string", "origin": "string", "confidence": "double", "group": "int64"})
    expect("beats.parquet: samples", beats["sample"].to_numpy(), places)
    expect("beats.parquet: classes", beats["class"].to_pylist(), [r["class"] for r in rows])
    expect("beats.parquet: nulls of rr_ms", beats["rr_ms"].null_count, sum(r["rr_ms"] == "" for r in rows))
    rr = [v for v in beats["rr_ms"].to_pylist() if v is not None]
    expect("beats.parquet: rr_ms", bool(np.allclose(rr, [float(r["rr_ms"]) for r in rows if r["rr_ms"]], atol=6e-4)), True)
    times = [t.isoformat(timespec="milliseconds") for t in beats["time_local"].to_pylist() if t]
    expect("beats.parquet: wall clock", times, [r["time_local"] for r in rows if r["time_local"]])
    meta = beats.schema.metadata
    expect("beats.parquet: rate", int(meta[b"rate_num"]) / int(meta[b"rate_den"]), rate)

    convert(binary, source, folder / "e.events.csv")
    convert(binary, source, folder / "e.events.parquet")
    events = pyarrow.parquet.read_table(folder / "e.events.parquet").to_pylist()
    rows_e = list(csv.DictReader((folder / "e.events.csv").open(encoding="utf-8")))
    expect("events.parquet: kinds and places", [(e["kind"], e["start_sample"], e["end_sample"]) for e in events],
           [(r["kind"], int(r["start_sample"]), int(r["end_sample"])) for r in rows_e])
    expect("events.parquet: certainty and reason", [(f"{e['certainty']:.2f}", e["reason"] or "") for e in events],
           [(r["certainty"], r["reason"]) for r in rows_e])

    convert(binary, source, folder / "m.atr")
    marks = wfdb.rdann(str(folder / "m"), "atr")
    is_beat = np.isin(marks.symbol, list("NSVFQ"))
    expect("m.atr: beats", marks.sample[is_beat], places)
    expect("m.atr: classes", [s for s in marks.symbol if s in "NSVFQ"], [r["class"] for r in rows])
    expect("m.atr: the first rhythm mark", next((a for a, s in zip(marks.aux_note, marks.symbol) if s == "+"), None), "(N")

    convert(binary, source, folder / "m.edf", "--marks")
    _, beats_edf = check_edf(folder / "m.edf")
    found = np.array([round(onset * rate) for onset, _ in beats_edf])
    expect("m.edf: beats as annotations", found, places)

    if convert(binary, source, folder / "m.ann"):
        data = (folder / "m.ann").read_bytes()
        at, list_ = struct.unpack_from("<I", data, 522)[0], []
        for k in range(526, len(data), 4):
            at += struct.unpack_from("<H", data, k + 2)[0]
            if data[k] != ord("!"):
                list_.append(at)
        expect("m.ann: beats", np.array(list_), places)

    convert(binary, source, folder / "m.rr.txt")
    lines = [float(x) for x in (folder / "m.rr.txt").read_text().splitlines() if not x.startswith("#")]
    expect("m.rr.txt: intervals", bool(np.allclose(lines, rr, atol=1.1e-3)), True)


def check(binary, source, folder):
    """Every format against the one that holds all samples: the 16-bit WFDB record."""
    reference = folder / "w16.hea"
    if not convert(binary, source, reference):
        return
    raw, record = check_wfdb(reference)
    if convert(binary, source, folder / "w212.hea", "--as", "wfdb212"):
        expect(f"{source.name}: 212 as 16", check_wfdb(folder / "w212.hea")[0], raw)
    if convert(binary, source, folder / "e.edf"):
        found, _ = check_edf(folder / "e.edf")
        expect(f"{source.name}: EDF+ as WFDB", found[: len(raw)], raw)
    if convert(binary, source, folder / "i.ecg"):
        samples, nanovolts, rate, sound = ishne_by_layout(folder / "i.ecg")
        expect(f"{source.name}: ISHNE as WFDB, zero taken off", samples.astype(np.int64) + np.array(record.baseline), raw)
        expect(f"{source.name}: ISHNE checksum, rate", (sound, rate), (True, record.fs))
        # Its own checksum needs an older numpy; the one worked out above stands in for it.
        holter = Holter(str(folder / "i.ecg"), check_valid=False)
        holter.load_data(convert=False)
        expect(f"{source.name}: ishneholterlib finds the header sound", holter.is_valid(verify_checksum=False), True)
        other = np.stack([lead.data for lead in holter.lead], axis=1)
        expect(f"{source.name}: ishneholterlib reads the same", other.astype(np.int64), samples.astype(np.int64))
        expect(f"{source.name}: nanovolts", [lead.res for lead in holter.lead], list(nanovolts))
    check_marks(binary, source, folder, record.fs, len(raw))


def main():
    binary = pathlib.Path(sys.argv[1]).resolve()
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        subprocess.run([binary, "demo", "--hours", "0.2", folder], check=True, capture_output=True)
        for k, source in enumerate([folder / "working-day.edf", *map(pathlib.Path, sys.argv[2:])]):
            (folder / str(k)).mkdir()
            check(binary, source, folder / str(k))
    for sentence in WRONG:
        print(sentence, file=sys.stderr)
    return 1 if WRONG else 0


if __name__ == "__main__":
    sys.exit(main())
