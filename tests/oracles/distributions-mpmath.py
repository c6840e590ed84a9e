"""Makes distributions-mpmath.json: tails and quantiles to 17 digits by mpmath 1.3.0. Run: python3 distributions-mpmath.py"""

import json
from pathlib import Path

import mpmath as mp

mp.mp.dps = 400  # so that 2p - 1 keeps p = 1e-300
half = mp.mpf(1) / 2


def digits(value):
    return float(mp.nstr(value, 17))


def student(t, freedom):
    t, v = mp.mpf(t), mp.mpf(freedom)
    return mp.betainc(v / 2, half, 0, v / (v + t * t), regularized=True)


def fisher(f, top, bottom):
    f, a, b = mp.mpf(f), mp.mpf(top), mp.mpf(bottom)
    return mp.betainc(b / 2, a / 2, 0, b / (b + a * f), regularized=True)


def quantile(p):
    return mp.sqrt(2) * mp.erfinv(2 * mp.mpf(p) - 1)


tables = {
    "normalTail": [[z, digits(mp.erfc(mp.mpf(z) / mp.sqrt(2)) / 2)] for z in [-6, -1.5, -0.1, 0, 0.5, 1, 1.96, 2.5758293035489004, 3, 5, 8, 12, 20, 37]],
    "normalQuantile": [[p, digits(quantile(p))] for p in [1e-300, 1e-20, 1e-8, 0.001, 0.025, 0.07, 0.3, 0.5, 0.6, 0.925, 0.975, 0.9999]],
    "chiSquareTail": [
        [x, d, digits(mp.gammainc(mp.mpf(d) / 2, mp.mpf(x) / 2, mp.inf, regularized=True))]
        for x, d in [(0.004, 1), (3.841458820694124, 1), (0.5, 3), (18.307, 10), (10, 2.5), (250, 200), (100, 5), (700, 20)]
    ],
    "studentTwoSided": [
        [t, v, digits(student(t, v))] for t, v in [(0.1, 1), (12.706204736, 1), (2.5, 2), (2.085963447, 20), (1.96, 1e6), (5, 3.5), (30, 10), (4, 200)]
    ],
    "fisherTail": [
        [f, a, b, digits(fisher(f, a, b))]
        for f, a, b in [(0.2, 3, 7), (2.901294536236157, 5, 15), (1.83, 19, 39.7), (11.03, 5, 15), (4, 1, 1), (50, 2, 100), (1.2, 200, 300)]
    ],
    "logGamma": [[x, digits(mp.loggamma(x))] for x in [1e-8, 0.1, 0.5, 1.5, 3, 10, 14.5, 15, 100.25, 1e6]],
}
lines = ['  "source": "mpmath 1.3.0 at 400 digits, by distributions-mpmath.py beside this file"']
for name, rows in tables.items():
    lines.append(f'  "{name}": [\n' + ",\n".join("    " + json.dumps(row) for row in rows) + "\n  ]")
Path(__file__).with_suffix(".json").write_text("{\n" + ",\n".join(lines) + "\n}\n")
