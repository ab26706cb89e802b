"""Times `sleepecg.detect_heartbeats` (sleepecg 0.6.0, PyPI, written in C) for the bench `detect`.

    python time_detect.py SAMPLES RATE TIMES

SAMPLES is a file of little-endian 64-bit floats, one lead. Prints the median of TIMES runs in seconds and the
number of beats found.
"""

import statistics
import sys
import time

import numpy as np
import sleepecg


def main():
    samples = np.fromfile(sys.argv[1], dtype="<f8")
    rate, times = float(sys.argv[2]), int(sys.argv[3])
    taken, beats = [], []
    for _ in range(times):
        start = time.perf_counter()
        beats = sleepecg.detect_heartbeats(samples, rate)
        taken.append(time.perf_counter() - start)
    print(statistics.median(taken), len(beats))


if __name__ == "__main__":
    main()
