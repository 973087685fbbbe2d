"""Tails and quantiles of t, chi-squared and F, and a Welch spectrum, by SciPy: makes data/distributions.json.

    python3 distributions.py > ../data/distributions.json
"""
import json

import numpy
import scipy
from scipy import signal, special, stats

s = 12345
noise = []
for _ in range(512):
    s = (1664525 * s + 1013904223) % 2**32
    noise.append(s / 2**32 - 0.5)
x = numpy.array(noise) + numpy.sin(2 * numpy.pi * 1.3 * numpy.arange(512) * 0.05)
f, d = signal.welch(x, fs=20, window="hann", nperseg=128, noverlap=64, detrend="constant")
P = [0.005, 0.025, 0.3, 0.5, 0.9, 0.975, 0.995, 0.9999]
print(json.dumps({
    "made by": f"SciPy {scipy.__version__}",
    "logGamma": [[a, float(special.gammaln(a))] for a in [0.1, 0.5, 1, 1.5, 7, 33.3, 1000]],
    "t": [[p, n, float(stats.t.ppf(p, n))] for p in P for n in [1, 2.5, 3, 12, 40, 1e4]],
    "tTails": [[t, n, float(2 * stats.t.sf(t, n))] for t in [0.01, 1, 4, 30] for n in [1, 3, 40]],
    "chi2": [[p, n, float(stats.chi2.ppf(p, n))] for p in P for n in [1, 2, 5, 20, 50, 400]],
    "chi2Tail": [[x, n, float(stats.chi2.sf(x, n))] for x in [0.01, 3, 20, 95, 300] for n in [1, 5, 20, 50]],
    "F": [[p, m, n, float(stats.f.ppf(p, m, n))] for p in P for m, n in [[1, 3], [3, 20], [10, 200], [40, 6]]],
    "FTail": [[x, m, n, float(stats.f.sf(x, m, n))] for x in [0.1, 1, 5, 50] for m, n in [[1, 3], [3, 20], [10, 200]]],
    "normal": [[p, float(stats.norm.ppf(p))] for p in P],
    "welch": {"frequencyHz": f.tolist(), "density": d.tolist()},
}, separators=(",", ":")).replace('],"', '],\n"'))
