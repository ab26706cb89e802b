"""Trains the model of early beats and writes its weights; see `train`.

Rows come from the exporter. Every record of DS1 is held out once; thresholds and probabilities are fitted on what
the models said of records that they had not seen. Records weigh by the square root of their beats of a class.
"""

import csv
import hashlib
import json
import struct
import sys

import lightgbm as lgb
import numpy as np
import sklearn
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LogisticRegression

SEED, ROUNDS, FLOOR_SHARE, PREMATURE = 7, 80, 0.4, 0.2
THRESHOLD = -1.5
RISING = ["early", "recent_early", "trend_early", "early_over_spread"]
HEAD = 5
PARAMETERS = dict(
    objective="binary", learning_rate=0.06, num_leaves=6, min_data_in_leaf=40, min_sum_hessian_in_leaf=1.0,
    feature_fraction=0.5, bagging_fraction=0.7, bagging_freq=1, lambda_l2=5.0, max_bin=63, use_missing=False,
    verbose=-1, seed=SEED, deterministic=True, force_row_wise=True, num_threads=1,
)  # fmt: skip


def load(folder):
    names = open(folder + "/names.txt").read().split()
    table = np.fromfile(folder + "/rows.f32", dtype="<f4").reshape(-1, HEAD + len(names))
    missed = {}
    for line in csv.reader(open(folder + "/sources.csv")):
        if line[0].isdigit():
            missed[(int(line[0]), int(line[1]))] = np.array([int(v) for v in line[3:8]])
    return names, table, missed


class Rows:
    def __init__(self, folder):
        self.names, table, self.missed = load(folder)
        self.record, self.variant, ref, rule, self.ventricular = table[:, :HEAD].T
        self.ref, self.rule = ref.astype(int), rule.astype(int)
        self.x = table[:, HEAD:].astype(np.float64)
        self.asked = np.isfinite(self.x[:, 0])
        early, irregular = (self.x[:, self.names.index(n)] for n in ("early", "irregular"))
        start = np.clip(20 * (early - PREMATURE + 0.05), -6, 2) - 3 * irregular
        self.start = np.where(self.asked, start, 0)
        self.target = (self.ref == 1).astype(int)
        self.weight = self.weights()
        self.ds1 = sorted(r for r in np.unique(self.record) if r < 1000)

    def weights(self):
        weight = np.zeros(len(self.ref))
        for record in np.unique(self.record):
            for target in (0, 1):
                own = self.asked & (self.record == record) & (self.target == target)
                if own.any():
                    weight[own] = own.sum() ** -0.5 * (1.0 if record < 1000 else 0.6)
        return weight

    def fit(self, use):
        use = use & self.asked
        weight = self.weight[use] * use.sum() / self.weight[use].sum()
        rising = [int(n in RISING) for n in self.names]
        data = lgb.Dataset(self.x[use], self.target[use], weight=weight, init_score=self.start[use],
                           feature_name=self.names)  # fmt: skip
        return lgb.train(dict(PARAMETERS, monotone_constraints=rising), data, ROUNDS)

    def score(self, model, of):
        return model.predict(self.x[of], raw_score=True) + self.start[of]

    def held_out(self):
        score = np.full(len(self.ref), -9.0)
        for record in self.ds1:
            out = self.asked & (self.record == record)
            if out.any():
                score[out] = self.score(self.fit(self.record != record), out)
        return score

    def classes(self, score, threshold):
        early, irregular = (self.x[:, self.names.index(n)] for n in ("early", "irregular"))
        barred = (irregular > 0) & (early < PREMATURE + 0.2)
        by_trees = np.where((score > threshold) & ~barred, 1, 0)
        return np.where((self.rule == 2) | (self.rule == 3), self.rule, np.where(self.asked, by_trees, 0))

    def matrix(self, record, variant, classes):
        own = (self.record == record) & (self.variant == variant)
        matrix = np.zeros((6, 5), int)
        np.add.at(matrix, (self.ref[own], classes[own]), 1)
        return matrix, self.missed[(int(record), variant)]


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


def tree_bytes(root):
    nodes = []

    def walk(node):
        at = len(nodes)
        nodes.append(None)
        if "leaf_value" in node:
            nodes[at] = struct.pack("<HHHf", 0xFFFF, 0, 0, node["leaf_value"])
        else:
            left = walk(node["left_child"])
            right = walk(node["right_child"])
            nodes[at] = struct.pack("<HHHf", node["split_feature"], left, right, below(node["threshold"]))
        return at

    walk(root)
    return struct.pack("<H", len(nodes)) + b"".join(nodes)


def main(folder, out):
    rows = Rows(folder)
    print(f"{len(rows.ref)} rows, {rows.asked.sum()} asked")
    score = rows.held_out()
    np.save(folder + "/held_out.npy", score)
    titles = ("all leads", "first lead alone", "second lead alone")
    for variant, title in enumerate(titles):
        table(rows, rows.rule, variant, f"rules, {title}", False)
        for threshold in (-2, -1.75, -1.5, -1.25):
            table(rows, rows.classes(score, threshold), variant, f"held out at {threshold}, {title}", False)
    table(rows, rows.classes(score, THRESHOLD), 0, "held out, all leads")
    real = rows.record < 1000
    curves = []
    is_v = (rows.ref == 2).astype(int)
    judged = real & (rows.ref != 3) & (rows.rule != 3)
    for what, own, of, right in (("S", rows.asked & real, score, rows.target), ("V", judged, rows.ventricular, is_v)):
        for title, leads in (("one lead", rows.variant > 0), ("all leads together", rows.variant == 0)):
            use = own & leads
            curves.append(knots(of[use], right[use]))
            calibration(curves[-1], of[use], right[use], f"{what}: probability said and share right, {title}")
    called = np.bincount(rows.ref[real & (rows.rule == 3) & (rows.variant == 0)], minlength=6)
    print("references of beats called F, all leads together (N S V F Q none)", called)
    fusion = float(called[3] / max(1, called.sum()))
    model = rows.fit(np.ones(len(rows.ref), bool))
    trees = [t["tree_structure"] for t in model.dump_model()["tree_info"]]
    data = b"BTLR" + struct.pack("<HHI3f", 1, len(rows.names), len(trees), FLOOR_SHARE, THRESHOLD, fusion)
    data += np.concatenate(curves).astype("<f4").tobytes()
    data += b"".join(map(tree_bytes, trees))
    open(out + "/beats.bin", "wb").write(data)
    seeds = sorted(int(r) - 1000 for r in np.unique(rows.record) if r >= 1000)
    about = {
        "what": "boosted trees that tell supraventricular ectopic from normal among early beats",
        "file": "beats.bin", "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest(),
        "seed": SEED, "rounds": ROUNDS, "parameters": {k: v for k, v in PARAMETERS.items() if k != "verbose"},
        "numbers": rows.names, "rising": RISING, "threshold": THRESHOLD, "floor_share": FLOOR_SHARE,
        "versions": {"lightgbm": lgb.__version__, "numpy": np.__version__, "scikit-learn": sklearn.__version__},
        "data": [
            {"name": "MIT-BIH Arrhythmia Database, DS1 of de Chazal 2004, all leads and each alone",
             "records": [int(r) for r in rows.ds1], "licence": "ODC-By 1.0", "doi": "10.13026/C2F305"},
            {"name": "made days of this project", "seeds": seeds, "licence": "Apache-2.0"},
        ],
    }  # fmt: skip
    json.dump(about, open(out + "/beats.json", "w"), indent=1)
    open(out + "/beats.json", "a").write("\n")
    print(len(data), "bytes")


if __name__ == "__main__":
    main(*sys.argv[1:3])
