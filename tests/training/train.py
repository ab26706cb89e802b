"""Trains the model of beats and writes its weights; see `train`.

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
from joblib import Parallel, delayed
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LogisticRegression

SEED, JOBS, FLOOR_SHARE, PREMATURE = 7, 2, 0.4, 0.2
ECTOPIC_FROM, VENTRICULAR_FROM, GROUP_SHARE, FURTHEST = -1.0, -0.8, 0.6, 6.0
HEAD = 7
PACED = (102, 104, 107, 217)
NOISY = (3, 4)
RISING_S = ["early", "recent_early", "trend_early", "early_over_spread"]
# What speaks for a ventricular beat the more of it there is, and the less; a few records must not teach otherwise.
RISING_V = """early apart apart_on_time apart_near worst_lead length_ratio wider_ms width_ms width_group_ms early_share
 kin_early group_early rule_score shape_score timing_score near_early kin_early_all best_lead apart_cluster
 group_length length_before length_next kin_width_ms""".split()
FALLING_V = "cosine like_near speed_ratio p_before kin_p group_p start_like start_like_near group_speed".split()
# Numbers that a model learns patients by: left out.
ABSOLUTE = "rr_s after_s sinus_s length_ms speed peak quality polarity".split()
PATIENT = "v_share irregular_share usual_p usual_share usual_length_ms usual_speed width_usual_ms".split()
COMMON = dict(
    objective="binary", learning_rate=0.06, min_data_in_leaf=40, min_sum_hessian_in_leaf=1.0, bagging_fraction=0.7,
    bagging_freq=1, lambda_l2=5.0, max_bin=63, use_missing=False, verbose=-1, seed=SEED, deterministic=True,
    force_row_wise=True, num_threads=1,
)  # fmt: skip
VENTRICULAR = dict(rounds=200, leave=ABSOLUTE, parameters=dict(COMMON, num_leaves=4, feature_fraction=0.2))
ECTOPIC = dict(rounds=100, leave=PATIENT, parameters=dict(COMMON, num_leaves=6, feature_fraction=0.5))


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
        table = table[~np.isin(table[:, 0], PACED)]
        self.record, self.variant, ref, rule, _, self.second, shape = table[:, :HEAD].T
        self.ref, self.rule, self.shape = ref.astype(int), rule.astype(int), shape.astype(int)
        self.x = table[:, HEAD:]
        self.asked = np.isfinite(self.x[:, 0])
        early, irregular = self.of("early"), self.of("irregular")
        self.early = self.asked & (early >= np.float32(FLOOR_SHARE * PREMATURE))
        self.start_s = np.clip(20 * (early - PREMATURE + 0.05), -6, 2) - 3 * irregular
        self.start_v = np.clip(self.of("rule_score"), -4, 4)
        self.ds1 = sorted(int(r) for r in np.unique(self.record) if r < 1000)
        self.is_s, self.is_v = (self.ref == 1).astype(int), (self.ref == 2).astype(int)
        by_rules = (self.rule == 2) | (self.rule == 3)
        self.learn_v = self.asked & (self.ref != 3) & (self.ref != 4)
        self.learn_s = self.early & ~by_rules & (self.ref != 4)

    def of(self, name):
        return np.nan_to_num(self.x[:, self.names.index(name)].astype(np.float64))

    def weights(self, use, target):
        weight = np.zeros(len(self.ref))
        for record in np.unique(self.record):
            for wanted in (0, 1):
                own = use & (self.record == record) & (target == wanted)
                if own.any():
                    weight[own] = own.sum() ** -0.5 * (1.0 if record < 1000 else 0.6)
        weight[np.isin(self.variant, NOISY)] *= 0.5
        return weight

    def columns(self, how):
        return [k for k, name in enumerate(self.names) if name not in how["leave"]]

    def fit(self, how, use, target, start, weight, rising, falling):
        columns = self.columns(how)
        names = [self.names[k] for k in columns]
        monotone = [int(n in rising) - int(n in falling) for n in names]
        share = weight[use] * use.sum() / weight[use].sum()
        data = lgb.Dataset(self.x[use][:, columns], target[use], weight=share, init_score=start[use], feature_name=names)
        return lgb.train(dict(how["parameters"], monotone_constraints=monotone), data, how["rounds"])

    def fit_v(self, use):
        weight = self.weights(self.learn_v, self.is_v)
        return self.fit(VENTRICULAR, use & self.learn_v, self.is_v, self.start_v, weight, RISING_V, FALLING_V)

    def fit_s(self, use):
        weight = self.weights(self.learn_s, self.is_s)
        return self.fit(ECTOPIC, use & self.learn_s, self.is_s, self.start_s, weight, RISING_S, [])

    def held_out(self, fit, how, asked, start, otherwise):
        def one(record):
            out = asked & (self.record == record)
            if not out.any():
                return out, np.zeros(0)
            model = fit(self.record != record)
            return out, model.predict(self.x[out][:, self.columns(how)], raw_score=True) + start[out]

        score = np.full(len(self.ref), otherwise)
        for out, own in Parallel(n_jobs=JOBS)(delayed(one)(record) for record in self.ds1):
            score[out] = own
        return score

    def shared(self, score):
        """Every ventricular score, moved towards the mean of the others of the same shape."""
        out = score.copy()
        for record in self.ds1:
            for variant in np.unique(self.variant):
                own = np.where((self.record == record) & (self.variant == variant))[0]
                if len(own) == 0:
                    continue
                shape, clamped = self.shape[own], score[own].clip(-FURTHEST, FURTHEST)
                count, sums = np.bincount(shape), np.bincount(shape, clamped)
                others = (sums[shape] - clamped) / np.maximum(count[shape] - 1, 1)
                moved = (1 - GROUP_SHARE) * score[own] + GROUP_SHARE * others
                out[own] = np.where(count[shape] > 3, moved, score[own])
        return out

    def classes(self, v, s, ventricular_from=VENTRICULAR_FROM, ectopic_from=ECTOPIC_FROM):
        early, irregular = self.of("early"), self.of("irregular")
        barred = (irregular > 0) & (early < PREMATURE + 0.2)
        by_trees = np.where(self.early & (s > ectopic_from) & ~barred, 1, 0)
        return self.extended(np.where(v > ventricular_from, 2, by_trees))

    def extended(self, classes):
        """Supraventricular runs go on while beats stay early against the sinus interval before them."""
        out, early, irregular = classes.copy(), self.of("early"), self.of("irregular")
        before, run = (0, 0), False
        for k in range(len(out)):
            if (self.record[k], self.variant[k]) != before:
                before, run = (self.record[k], self.variant[k]), False
            if out[k] == 1:
                run = run or not irregular[k]
            elif run and out[k] == 0 and self.asked[k] and early[k] >= PREMATURE:
                out[k] = 1
            else:
                run = False
        return out

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


def tree_bytes(root, columns):
    nodes = []

    def walk(node):
        at = len(nodes)
        nodes.append(None)
        if "leaf_value" in node:
            nodes[at] = struct.pack("<HHHf", 0xFFFF, 0, 0, node["leaf_value"])
        else:
            left = walk(node["left_child"])
            right = walk(node["right_child"])
            nodes[at] = struct.pack("<HHHf", columns[node["split_feature"]], left, right, below(node["threshold"]))
        return at

    walk(root)
    return struct.pack("<H", len(nodes)) + b"".join(nodes)


def main(folder, out):
    rows = Rows(folder)
    print(f"{len(rows.ref)} rows, {rows.asked.sum()} asked")
    own = rows.held_out(rows.fit_v, VENTRICULAR, rows.asked, rows.start_v, -FURTHEST)
    v = rows.shared(own)
    s = rows.held_out(rows.fit_s, ECTOPIC, rows.early, rows.start_s, -9.0)
    np.save(folder + "/held_out.npy", np.stack([own, v, s]))
    titles = ("all leads", "first lead alone", "second lead alone", "electrode motion at 12 dB", "muscle noise at 6 dB")
    for variant, title in enumerate(titles):
        table(rows, rows.rule, variant, f"rules, {title}", variant == 0)
        for ventricular_from in (-1.2, -0.8, -0.4, 0.0):
            for ectopic_from in (-1.4, -1.0, -0.6):
                classes = rows.classes(v, s, ventricular_from, ectopic_from)
                table(rows, classes, variant, f"held out at {ventricular_from} {ectopic_from}, {title}", False)
    table(rows, rows.classes(v, s), 0, "held out, all leads")
    real = rows.record < 1000
    curves = []
    for what, use, score, right in (
        ("S", real & rows.early & (v <= VENTRICULAR_FROM), s, rows.is_s),
        ("V", real & (rows.ref != 3), v, rows.is_v),
    ):
        for title, leads in (("one lead", np.isin(rows.variant, (1, 2))), ("all leads together", ~np.isin(rows.variant, (1, 2)))):
            own = use & leads
            curves.append(knots(score[own], right[own]))
            calibration(curves[-1], score[own], right[own], f"{what}: probability said and share right, {title}")
    fusion = 0.5
    models = [rows.fit_v(np.ones(len(rows.ref), bool)), rows.fit_s(np.ones(len(rows.ref), bool))]
    trees = [[t["tree_structure"] for t in model.dump_model()["tree_info"]] for model in models]
    data = b"BTLR" + struct.pack("<HHHH", 2, len(rows.names), len(trees[0]), len(trees[1]))
    data += struct.pack("<5f", FLOOR_SHARE, ECTOPIC_FROM, VENTRICULAR_FROM, GROUP_SHARE, fusion)
    data += np.concatenate(curves).astype("<f4").tobytes()
    for how, of in zip((VENTRICULAR, ECTOPIC), trees):
        columns = rows.columns(how)
        data += b"".join(tree_bytes(root, columns) for root in of)
    open(out + "/beats.bin", "wb").write(data)
    seeds = sorted(int(r) - 1000 for r in np.unique(rows.record) if r >= 1000)
    show = lambda how: dict(how, parameters={k: v for k, v in how["parameters"].items() if k != "verbose"})
    about = {
        "what": "boosted trees that tell ventricular beats, and supraventricular ectopy among early beats",
        "file": "beats.bin", "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest(), "seed": SEED,
        "ventricular": dict(show(VENTRICULAR), rising=RISING_V, falling=FALLING_V, above=VENTRICULAR_FROM, group_share=GROUP_SHARE),
        "ectopic": dict(show(ECTOPIC), rising=RISING_S, above=ECTOPIC_FROM, floor_share=FLOOR_SHARE),
        "numbers": rows.names,
        "versions": {"lightgbm": lgb.__version__, "numpy": np.__version__, "scikit-learn": sklearn.__version__},
        "data": [
            {"name": "MIT-BIH Arrhythmia Database, DS1 of de Chazal 2004, all leads, each alone, and with noise on it",
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
    if len(sys.argv) > 3:
        JOBS = int(sys.argv[3])
    main(*sys.argv[1:3])
