"""Trains the model of beats and writes its weights; see `train`.

Rows come from the exporter. Every record of DS1 is held out once; thresholds and probabilities are fitted on what
the models said of records that they had not seen. Records weigh by the square root of their beats of a class.
"""

import hashlib
import json
import struct
import sys

import lightgbm as lgb
import numpy as np
import sklearn
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LogisticRegression

from rows import (
    ALIKE, BEGINS_ALIKE, CLUSTER_SHARE, ECTOPIC, ECTOPIC_FROM, FALLING_V, FLOOR_SHARE, FURTHEST, LESS_VENTRICULAR, MODELS,
    NO_BEAT_WEIGHT, RECORDS_SHARE, RISING_S, RISING_V, SEED, VARIES, VENTRICULAR, VENTRICULAR_FROM, Rows,
)  # fmt: skip


def line(matrix, missed):
    def share(a, b):
        return f"{100 * a / b:6.2f}" if b else "     -"

    v, s = matrix[2, 2], matrix[1, 1]
    v_all, s_all = matrix[2].sum() + missed[2], matrix[1].sum() + missed[1]
    v_false, s_false = matrix[[0, 1, 5], 2].sum(), matrix[[0, 2, 3, 5], 1].sum()
    return (f"V {share(v, v_all)} {share(v, v + v_false)} (missed {v_all - v}, false {v_false})   "
            f"S {share(s, s_all)} {share(s, s + s_false)} (missed {s_all - s}, false {s_false})")  # fmt: skip


def table(rows, classes, variant, title, every=True):
    print(title)
    total, total_missed = np.zeros((6, 5), int), np.zeros(5, int)
    for record in rows.ds1:
        matrix, missed = rows.matrix(record, variant, classes)
        total, total_missed = total + matrix, total_missed + missed
        if every:
            print(f"  {int(record)} {line(matrix, missed)}")
    print(f"  all {line(total, total_missed)}", flush=True)


def knots(score, right):
    """Eight points of a rising curve from score to the share that was right."""
    line = LogisticRegression(C=1e6).fit(score[:, None], right)
    rough = line.predict_proba(score[:, None])[:, 1]
    rising = IsotonicRegression(y_min=0.002, y_max=0.998, out_of_bounds="clip").fit(score, right)
    edges = [0, 0.02, 0.06, 0.15, 0.3, 0.5, 0.75, 0.9, 1.0001]
    points = []
    for low, high in zip(edges, edges[1:]):
        own = (rough >= low) & (rough < high)
        x = float(score[own].mean()) if own.any() else points[-1][0] + 1e-3
        y = float(rising.predict(score[own]).mean()) if own.any() else points[-1][1]
        points.append((x, max(y, points[-1][1]) if points else y))
    return np.array(points, dtype=np.float32)


def calibration(points, score, right, title):
    print(title)
    probability = np.interp(score, points[:, 0], points[:, 1])
    for low in np.arange(0, 1, 0.1):
        own = (probability >= low) & (probability < low + 0.1 + 1e-9 * (low > 0.85))
        if own.any():
            print(f"  said {probability[own].mean():.3f}  was {right[own].mean():.3f}  beats {own.sum()}")


def below(value):
    """The largest f32 that is not above `value`, so that `x <= t` stays the same for every f32 x."""
    t = np.float32(value)
    return t if float(t) <= value else np.nextafter(t, np.float32(-np.inf))


def digest(names):
    """FNV-1a with 64 bits of the names, each followed by a line feed; the crate compares it with that of its own list."""
    value = 0xCBF29CE484222325
    for byte in "".join(name + "\n" for name in names).encode():
        value = (value ^ byte) * 0x100000001B3 % 2**64
    return value


def tree_bytes(root, columns):
    nodes = []

    def walk(node):
        at = len(nodes)
        nodes.append(None)
        if "leaf_value" in node:
            nodes[at] = struct.pack("<HHHf", 0xFFFF, 0, 0, node["leaf_value"] / MODELS)
        else:
            left = walk(node["left_child"])
            right = walk(node["right_child"])
            nodes[at] = struct.pack("<HHHf", columns[node["split_feature"]], left, right, below(node["threshold"]))
        return at

    walk(root)
    return struct.pack("<H", len(nodes)) + b"".join(nodes)


def main(folder, out, jobs=2):
    rows = Rows(folder)
    print(f"{len(rows.ref)} rows, {rows.asked.sum()} asked")
    own = rows.held_out(rows.fit_v, VENTRICULAR, rows.asked, rows.start_v, -FURTHEST, jobs)
    v = rows.shared(rows.less_aberrant(own, rows.ventricular_from())[0])
    s = rows.held_out(rows.fit_s, ECTOPIC, rows.early, rows.start_s, -9.0, jobs)
    np.save(folder + "/held_out.npy", np.stack([own, v, s]))
    titles = ("all leads", "first lead alone", "second lead alone", "electrode motion at 12 dB", "muscle noise at 6 dB", "at 128 Hz", "at 257 Hz")
    for variant, title in enumerate(titles):
        table(rows, rows.rule, variant, f"rules, {title}", False)
        for ventricular_from in (-1.4, -1.1, -0.8, -0.4, 0.0, 0.4):
            for ectopic_from in (-1.6, -1.3, -1.0):
                classes = rows.classes(own, s, ventricular_from, ectopic_from)
                table(rows, classes, variant, f"held out at {ventricular_from} {ectopic_from}, {title}", False)
    for variant, title in enumerate(titles):
        table(rows, rows.classes(own, s), variant, f"held out, {title}", variant == 0)
    real = rows.record < 1000
    curves = []
    for what, use, score, right in (
        ("S", real & rows.early & (v <= rows.ventricular_from()), s, rows.is_s),
        ("V", real & (rows.ref != 3), v, rows.is_v),
    ):
        for title, leads in (("one lead", np.isin(rows.variant, (1, 2))), ("all leads together", ~np.isin(rows.variant, (1, 2)))):
            own = use & leads
            curves.append(knots(score[own], right[own]))
            calibration(curves[-1], score[own], right[own], f"{what}: probability said and share right, {title}")
    fusion = 0.5
    models = [rows.fit_v(np.ones(len(rows.ref), bool)), rows.fit_s(np.ones(len(rows.ref), bool))]
    trees = [model.trees() for model in models]
    data = b"BTLR" + struct.pack("<HHHHQ", 4, len(rows.names), len(trees[0]), len(trees[1]), digest(rows.names))
    data += struct.pack("<6f", FLOOR_SHARE, ECTOPIC_FROM, *VENTRICULAR_FROM, CLUSTER_SHARE, fusion)
    data += np.concatenate(curves).astype("<f4").tobytes()
    for how, of in zip((VENTRICULAR, ECTOPIC), trees):
        columns = rows.columns(how)
        data += b"".join(tree_bytes(root, columns) for root in of)
    open(out + "/beats.bin", "wb").write(data)
    seeds = sorted(int(r) - 1000 for r in np.unique(rows.record) if r >= 1000)
    show = lambda how: dict(how, parameters={k: v for k, v in how["parameters"].items() if k != "verbose"})
    about = {
        "what": "boosted trees that tell ventricular beats, and supraventricular ectopy among early beats",
        "file": "beats.bin", "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest(), "seed": SEED, "models": MODELS, "records_share": RECORDS_SHARE,
        "ventricular": dict(show(VENTRICULAR), rising=RISING_V, falling=FALLING_V, above=VENTRICULAR_FROM, cluster_share=CLUSTER_SHARE,
                            aberrant=dict(begins_alike=BEGINS_ALIKE, alike=ALIKE, varies=VARIES, less=LESS_VENTRICULAR)),
        "ectopic": dict(show(ECTOPIC), rising=RISING_S, no_beat_weight=NO_BEAT_WEIGHT, above=ECTOPIC_FROM, floor_share=FLOOR_SHARE),
        "features": rows.names, "features_digest": f"{digest(rows.names):016x}",
        "versions": {"lightgbm": lgb.__version__, "numpy": np.__version__, "scikit-learn": sklearn.__version__},
        "data": [
            {"name": "MIT-BIH Arrhythmia Database, DS1 of de Chazal 2004, all leads, each alone, with noise on it, and at 128 and 257 Hz",
             "records": rows.ds1, "licence": "ODC-By 1.0", "doi": "10.13026/C2F305"},
            {"name": "MIT-BIH Noise Stress Test Database, electrode motion at 12 dB and muscle noise at 6 dB",
             "records": ["em", "ma"], "licence": "ODC-By 1.0", "doi": "10.13026/C2HS3T"},
            {"name": "made days of this project", "seeds": seeds, "licence": "Apache-2.0"},
        ],
    }  # fmt: skip
    json.dump(about, open(out + "/beats.json", "w"), indent=1)
    open(out + "/beats.json", "a").write("\n")
    print(len(data), "bytes")


if __name__ == "__main__":
    main(*sys.argv[1:3], *map(int, sys.argv[3:4]))
