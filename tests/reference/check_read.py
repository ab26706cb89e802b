"""Compares, sample for sample, what the readers read with what general reference libraries read from the same file.

    python check_read.py DATA_FOLDER RAW_PROGRAM

RAW_PROGRAM is `crates/beatledger-formats/examples/raw.rs`, built.
Every sample file of DATA_FOLDER/formats is looked at, and at least one record of every database there that has
signals or annotations.
Libraries (pinned in requirements.txt): edfio and pyedflib for EDF and BDF, wfdb for WFDB records and annotations,
pydicom for DICOM, ishneholterlib for ISHNE samples; ISHNE annotations by the published layout (Badilini 1998).
Prints a line for each file; exit status 1 when one differs.
"""

import json
import pathlib
import struct
import subprocess
import sys
import tempfile

import edfio
import ishneholterlib
import numpy as np
import pydicom
import pyedflib
import wfdb

GAP = -(2**31)


class Ours:
    """What our readers wrote for one file."""

    def __init__(self, folder, n):
        self.facts = json.loads((folder / f"{n}.json").read_text())
        self.leads = {}
        for k, lead in enumerate(self.facts.get("leads", [])):
            raw = np.fromfile(folder / f"{n}-{k}.i32", "<i4").astype(np.int64)
            self.leads[lead["name"]] = (raw, lead["missing"])


def same(name, ours, theirs, mark=None):
    """One lead against one list of integers; `mark` is how the library writes a gap. Gives what differs, in words."""
    raw, missing = ours
    theirs = np.asarray(theirs, dtype=np.int64)
    if len(raw) != len(theirs):
        return f"{name}: {len(raw)} samples here, {len(theirs)} there"
    if mark is not None and missing is not None:
        raw, theirs = np.where(raw == missing, GAP, raw), np.where(theirs == mark, GAP, theirs)
    wrong = np.flatnonzero(raw != theirs)
    if len(wrong):
        at = wrong[0]
        return f"{name}: {len(wrong)} samples differ, the first at {at}: {raw[at]} here, {theirs[at]} there"
    return None


def leads(ours, theirs, mark=None, all_theirs=True):
    """All leads against a dictionary of lists; `all_theirs` says that each of theirs must be a lead here."""
    if not ours.leads:
        return [f"not read: {ours.facts.get('refused')}"]
    faults = [f"{name}: not there" for name in ours.leads if name not in theirs]
    if all_theirs:
        faults += [f"{name}: no lead here" for name in theirs if name not in ours.leads]
    found = [same(name, ours.leads[name], theirs[name], mark) for name in ours.leads if name in theirs]
    return faults + [f for f in found if f]


def edf_by_edfio(ours, path):
    read = edfio.read_bdf if path.suffix == ".bdf" else edfio.read_edf
    return leads(ours, {s.label: s.digital for s in read(path).signals}, all_theirs=False)


def edf_by_pyedflib(ours, path):
    with pyedflib.EdfReader(str(path)) as file:
        labels = file.getSignalLabels()
        theirs = {labels[i]: file.readSignal(i, digital=True) for i in range(file.signals_in_file)}
    return leads(ours, theirs, all_theirs=False)


def wfdb_record(ours, path):
    record = wfdb.rdrecord(str(path.with_suffix("")), physical=False)
    names = [name or f"ECG {i + 1}" for i, name in enumerate(record.sig_name)]
    return leads(ours, {name: record.d_signal[:, i] for i, name in enumerate(names)})


def wfdb_joined(ours, path):
    """A record of several segments: samples of a frame are kept apart; signals that are no leads are left out."""
    record = wfdb.rdrecord(str(path.with_suffix("")), physical=False, smooth_frames=False)
    theirs = dict(zip(record.sig_name, record.e_d_signal))
    # Format 212 writes a missing sample as its lowest value, and so does the library where a segment lacks a signal.
    return leads(ours, theirs, mark=-2048, all_theirs=False)


def dicom(ours, path):
    group = max(pydicom.dcmread(path).WaveformSequence, key=lambda g: g.NumberOfWaveformSamples)
    raw = np.frombuffer(group.WaveformData, "<i2").reshape(-1, group.NumberOfWaveformChannels)
    # The order is that of the leads here, whose names come from codes; both files list all channels.
    return leads(ours, dict(zip(ours.leads, raw.T))) + (
        [] if raw.shape[1] == len(ours.leads) else [f"{raw.shape[1]} channels there"])


def ishne(ours, path):
    holter = ishneholterlib.Holter(str(path), check_valid=False)
    holter.load_data(convert=False)
    columns = [lead.data for lead in holter.lead]
    return leads(ours, dict(zip(ours.leads, columns)))


def ishne_annotations(ours, path):
    data = path.read_bytes()
    (block,) = struct.unpack_from("<i", data, 10)
    (at,) = struct.unpack_from("<I", data, 522 + block)
    theirs = []
    for label, _, step in struct.iter_unpack("<ccH", data[526 + block:]):
        at += step
        if label != b"!":
            theirs.append(at)
    return rows(ours, theirs, None)


def annotations(ours, path):
    ann = wfdb.rdann(str(path.with_suffix("")), path.suffix[1:])
    return rows(ours, [int(s) for s in ann.sample], list(ann.symbol))


def rows(ours, samples, symbols):
    if "annotations" not in ours.facts:
        return [f"not read: {ours.facts.get('refused')}"]
    here = ours.facts["annotations"]
    faults = [] if [r[0] for r in here] == samples else ["the places differ"]
    if symbols is not None and [r[1] for r in here] != symbols:
        faults.append("the symbols differ")
    return faults


def refused(ours, _path):
    return [] if "refused" in ours.facts else ["read, though it is no recording that is known"]


# How each file is looked at; a pattern may give several files.
LOOKS = [
    ("formats/edf/adfecgdb/r01.edf", [edf_by_edfio, edf_by_pyedflib]),
    ("formats/edf/test_subsecond.edf", [edf_by_edfio]),
    ("formats/edf/test_edfann.edf", [refused]),
    ("formats/bdf/*.bdf", [edf_by_edfio, edf_by_pyedflib]),
    ("formats/ishne/*.ecg", [ishne]),
    ("formats/ishne/*.ann", [ishne_annotations]),
    ("formats/dicom/*.dcm", [dicom]),
    ("formats/wfdb_formats/binformats.hea", [wfdb_record]),
    ("formats/wfdb_formats/flacformats.hea", [refused]),
    ("formats/wfdb_multisegment/041s/041s.hea", [wfdb_joined]),
    ("formats/scp/*.scp", [refused]),
    ("formats/aecg/*.xml", [refused]),
    ("mitdb/1*.hea", [wfdb_record]),
    ("mitdb/1*.atr", [annotations]),
    ("nstdb/*.hea", [wfdb_record]),
    ("cpsc2021/*.hea", [wfdb_record]),
    ("cpsc2021/*.atr", [annotations]),
    ("cinc2017/A0[01]*.hea", [wfdb_record]),
    ("afdb/0[45]*.atr", [annotations]),
    ("afdb/0[45]*.qrs", [annotations]),
    ("nsrdb/16*.atr", [annotations]),
    ("sddb/*.atr", [annotations]),
    ("sddb/*.ari", [annotations]),
]


def main():
    data, program = pathlib.Path(sys.argv[1]), sys.argv[2]
    looks = [(path, checks) for pattern, checks in LOOKS for path in sorted(data.glob(pattern))]
    failed = 0
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([program, folder, *(str(path) for path, _ in looks)], check=True)
        for n, (path, checks) in enumerate(looks):
            ours = Ours(pathlib.Path(folder), n)
            faults = [f"{check.__name__}: {fault}" for check in checks for fault in check(ours, path)]
            failed += bool(faults)
            samples = sum(len(raw) for raw, _ in ours.leads.values())
            what = f"{samples} samples" if samples else f"{len(ours.facts.get('annotations', []))} annotations"
            if "refused" in ours.facts:
                what = "refused: " + ours.facts["refused"]
            print(f"{'DIFFERS' if faults else 'same'}  {path.relative_to(data)}  {what}")
            for fault in faults:
                print(f"    {fault}")
    print(f"{len(looks)} files, {failed} differ")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
