"""Rows of beats that the exporter wrote, the two models, and what follows from their scores; see `train`."""

import csv

import lightgbm as lgb
import numpy as np
from joblib import Parallel, delayed

SEED, FLOOR_SHARE, PREMATURE = 7, 0.4, 0.2
ECTOPIC_FROM, CLUSTER_SHARE, FURTHEST, IRREGULAR_MORE = -1.3, 0.6, 6.0, 0.4
# As in the crate: from the beat before an interpolated beat to the beat after it, as a share of the sinus interval.
INTERPOLATED = 0.85, 1.2
# A beat is ventricular above this score, with one lead and with more: where held-out records are missed and added alike.
VENTRICULAR_FROM = (0.0, -1.1)
# As in the crate: what makes a wide early beat one conducted with aberration, and what that takes from its score.
BEGINS_ALIKE, ALIKE, VARIES, LESS_VENTRICULAR = 0.8, 0.3, 0.2, 6.0
HEAD = 7
PACED = (102, 104, 107, 217)
ONE_LEAD, NOISY = (1, 2), (3, 4)
RISING_S = ["early", "early_of_recent", "early_of_trend", "early_over_spread"]
# What speaks for a ventricular beat the more of it there is, and the less; a few records must not teach otherwise.
RISING_V = """early dominant_distance ordinary_distance normal_distance worst_lead_distance length_ratio wider_ms width_ms
 cluster_width_ms cluster_regular_early_share similar_regular_early_share cluster_regular_early rule_score
 cluster_shape_score cluster_timing_score similar_near_early similar_early_share best_lead_distance
 cluster_distance cluster_length_ratio length_over_previous length_over_next similar_width_ms""".split()
FALLING_V = """dominant_cosine normal_cosine speed_ratio p_before similar_p cluster_p start_cosine
 normal_start_cosine cluster_speed_ratio""".split()
# Features that a model learns patients by: left out.
ABSOLUTE = "rr_s next_rr_s sinus_s length_ms speed peak_share quality polarity".split()
PATIENT = """v_share irregular_share dominant_p dominant_share dominant_length_ms dominant_speed
 dominant_width_ms""".split()
COMMON = dict(
    objective="binary", learning_rate=0.06, min_data_in_leaf=40, min_sum_hessian_in_leaf=1.0, bagging_fraction=0.7,
    bagging_freq=1, lambda_l2=5.0, max_bin=63, use_missing=False, verbose=-1, seed=SEED, deterministic=True,
    force_row_wise=True, num_threads=1,
)  # fmt: skip
# Models that each learn from another part of the records of patients, and whose mean is the score: one alone turns on chance in
# records unlike all others.
MODELS, RECORDS_SHARE = 8, 0.7
# What was found where there is no beat is early and has no P wave, and is rare in clean records: it weighs more.
NO_BEAT, NO_BEAT_WEIGHT = 5, 20
VENTRICULAR = dict(rounds=200, leave=ABSOLUTE, parameters=dict(COMMON, num_leaves=4, feature_fraction=0.2))
ECTOPIC = dict(rounds=100, leave=PATIENT, parameters=dict(COMMON, num_leaves=6, feature_fraction=0.5))


def load(folder):
    names = open(folder + "/features.txt").read().split()
    table = np.fromfile(folder + "/rows.f32", dtype="<f4").reshape(-1, HEAD + len(names))
    missed = {}
    for line in csv.reader(open(folder + "/sources.csv")):
        if line[0].isdigit():
            missed[(int(line[0]), int(line[1]))] = np.array([int(v) for v in line[3:8]])
    return names, table, missed


class Mean:
    """Models whose mean is the score."""

    def __init__(self, models):
        self.models = models

    def predict(self, x):
        return np.mean([model.predict(x, raw_score=True) for model in self.models], axis=0)

    def trees(self):
        return [t["tree_structure"] for model in self.models for t in model.dump_model()["tree_info"]]


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
        alike = np.maximum(self.of("dominant_cosine"), self.of("normal_cosine")) >= ALIKE
        begins = np.maximum(self.of("start_cosine"), self.of("normal_start_cosine")) >= BEGINS_ALIKE
        varies = self.of("similar_rr_spread") >= VARIES
        several = ~np.isin(self.variant, ONE_LEAD)
        self.aberrant = self.asked & several & (early >= PREMATURE) & alike & begins & varies
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
        parameters = dict(how["parameters"], monotone_constraints=monotone)
        models = []
        for k in range(MODELS):
            own = use & self.part_of_records(use, k)
            share = weight[own] * own.sum() / weight[own].sum()
            data = lgb.Dataset(self.x[own][:, columns], target[own], weight=share, init_score=start[own], feature_name=names)
            models.append(lgb.train(dict(parameters, seed=SEED + k), data, how["rounds"]))
        return Mean(models)

    def part_of_records(self, use, k):
        """Rows of the made days, and of a part of the other records in use that the number of the model chooses."""
        records = np.unique(self.record[use])
        real, made = records[records < 1000], records[records >= 1000]
        chosen = np.random.default_rng(100 + k).choice(real, round(RECORDS_SHARE * len(real)), replace=False)
        return np.isin(self.record, np.concatenate([chosen, made]))

    def fit_v(self, use):
        weight = self.weights(self.learn_v, self.is_v)
        return self.fit(VENTRICULAR, use & self.learn_v, self.is_v, self.start_v, weight, RISING_V, FALLING_V)

    def fit_s(self, use):
        weight = self.weights(self.learn_s, self.is_s) * np.where(self.ref == NO_BEAT, NO_BEAT_WEIGHT, 1)
        return self.fit(ECTOPIC, use & self.learn_s, self.is_s, self.start_s, weight, RISING_S, [])

    def held_out(self, fit, how, asked, start, otherwise, jobs):
        def one(record):
            out = asked & (self.record == record)
            if not out.any():
                return out, np.zeros(0)
            model = fit(self.record != record)
            return out, model.predict(self.x[out][:, self.columns(how)]) + start[out]

        score = np.full(len(self.ref), otherwise)
        for out, own in Parallel(n_jobs=jobs)(delayed(one)(record) for record in self.ds1):
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
                moved = (1 - CLUSTER_SHARE) * score[own] + CLUSTER_SHARE * others
                out[own] = np.where(count[shape] > 3, moved, score[own])
        return out

    def ventricular_from(self):
        return np.where(np.isin(self.variant, ONE_LEAD), *VENTRICULAR_FROM)

    def less_aberrant(self, own, ventricular_from):
        """Scores without what aberration explains, and the wide beats that are conducted with it."""
        return own - LESS_VENTRICULAR * self.aberrant, self.aberrant & (own > ventricular_from)

    def classes(self, own, s, ventricular_from=None, ectopic_from=ECTOPIC_FROM):
        ventricular_from = self.ventricular_from() if ventricular_from is None else ventricular_from
        own, conducted = self.less_aberrant(own, ventricular_from)
        v = self.shared(own)
        early, irregular = self.of("early"), self.of("irregular")
        barred = (irregular > 0) & (early < PREMATURE + IRREGULAR_MORE)
        ectopic = self.early & (s > ectopic_from) & ~barred & ~self.after_interpolated(v > ventricular_from)
        by_trees = np.where(conducted | ectopic, 1, 0)
        return self.extended(np.where(v > ventricular_from, 2, by_trees))

    def after_interpolated(self, ventricular):
        """Beats one sinus interval after the beat before a single ventricular one: early against that one only."""
        out, rr, sinus = np.zeros(len(ventricular), bool), self.of("rr_s"), self.of("sinus_s")
        share = (rr[1:-1] + rr[2:]) / np.maximum(sinus[1:-1], 1e-3)
        same = (self.record[2:] == self.record[:-2]) & (self.variant[2:] == self.variant[:-2])
        between = (INTERPOLATED[0] <= share) & (share <= INTERPOLATED[1])
        out[2:] = same & ventricular[1:-1] & ~ventricular[:-2] & between
        return out

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
